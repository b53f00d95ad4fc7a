package report

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

const headline = "mean_fps"

// Size is all that is shown at one resolution.
type Size struct {
	Name, Title string
	Summaries   []Chapter
	Games       []Game
}

// Game is one game at one resolution. The first table is of the mean frame rate and the lows, the others of a further figure each.
type Game struct {
	ID, Title, Settings string
	Charts              []template.HTML
	FramesIn            string // the files of its frame times, where the page has no room for them
	Tables              []MetricGrid
	Said                []string // what may be said of mean frame rates, in the order of the table
}

// MetricGrid is a table of one figure.
type MetricGrid struct {
	Metric string
	Grid   Grid
}

// further are the figures that have a table for each game and resolution beside the mean frame rate; every other one is in the archive.
var further = []string{"low1_quantile_fps", "low1_tail_mean_fps", "low1_time_share_fps", "low01_quantile_fps", "low01_tail_mean_fps",
	"low01_time_share_fps", "frame_ms_p99", "hitch_events", "mean_power_w", "energy_per_frame_j"}

func lowKinds() []string {
	return []string{compute.LowQuantile.String(), compute.LowTailMean.String(), compute.LowTimeShare.String()}
}

// metrics are the figures that the page has tables of.
func (v view) metrics() (out []MetricChoice) {
	for _, name := range append([]string{headline}, further...) {
		m, ok := compute.MetricByName(name)
		if ok && slices.ContainsFunc(v.Tables.Cells, func(c archive.CellRow) bool { return c.Metric == name && c.Mean != nil }) {
			title := m.Title
			if name == headline {
				title = "mean frame rate and 1 % low"
			}
			out = append(out, MetricChoice{name, title})
		}
	}
	return out
}

func (v view) sizes() (out []Size) {
	for i, w := range v.Words.Resolutions {
		s := Size{Name: w.Name, Title: w.String(), Summaries: v.summaries(i, w)}
		for j, g := range v.Words.Games {
			if game, ok := v.game(i, j, w, g); ok {
				s.Games = append(s.Games, game)
			}
		}
		out = append(out, s)
	}
	return out
}

// game lays out a game at a resolution; none of its cells may be planned.
func (v view) game(i, j int, w SizeWords, g GameWords) (Game, bool) {
	var planned []CellWords
	for _, c := range v.Words.Cells {
		if c.Game == g.Game && c.Variant == g.Variant && c.Resolution == w.Name {
			planned = append(planned, c)
		}
	}
	if len(planned) == 0 {
		return Game{}, false
	}
	slices.SortStableFunc(planned, func(a, b CellWords) int { return cmp.Compare(v.mean(b), v.mean(a)) })
	id := "g" + number(float64(i), 0) + "-" + number(float64(j), 0)
	game := Game{ID: id, Title: g.String(), Settings: settings(g), Charts: v.charts.of(g.Game + "-" + g.Variant + "-" + w.Name)}
	if times := "frames-" + g.Game + "-" + g.Variant + "-" + w.Name; slices.Contains(v.charts.left, times) {
		game.FramesIn = "charts/" + times
	} else {
		game.Charts = append(game.Charts, v.charts.of(times)...)
	}
	game.Said = v.saidOf(planned)
	game.Tables = append(game.Tables, MetricGrid{headline, v.rates(id, g.String()+" at "+w.Name, planned)})
	for k, m := range v.metrics() {
		if m.Name == headline {
			continue
		}
		if grid, ok := v.figures(id+"-"+number(float64(k), 0), m, g.String()+" at "+w.Name, planned); ok {
			game.Tables = append(game.Tables, MetricGrid{m.Name, grid})
		}
	}
	return game, true
}

// saidOf are the sentences on mean frame rates against the baseline's. One that a viewer's calculator would contradict says so.
func (v view) saidOf(planned []CellWords) (out []string) {
	b := v.book
	for _, c := range planned {
		r, ok := b.diffs[measured{c.Key, headline}]
		if !ok || b.verdict(r) == "open" {
			continue
		}
		x := b.ofCells(r)
		if x.sentence == "" {
			continue
		}
		if b.contradicted(r, x) {
			x.sentence += " Careful: the figures on screen give another percentage."
		}
		out = append(out, x.sentence)
	}
	return out
}

// mean is by what rows are ordered, 0 without a figure.
func (v view) mean(c CellWords) float64 {
	if r := v.cells[cellKey{c.Key, headline}]; r.Mean != nil {
		return *r.Mean
	}
	return 0
}

func settings(g GameWords) string {
	parts := []string{}
	for _, p := range g.Settings {
		parts = append(parts, strings.ReplaceAll(p.Key, "_", " ")+" "+p.Value)
	}
	for _, p := range []string{g.Scene, g.Drive} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	if g.Build != "" {
		parts = append(parts, "build "+g.Build)
	}
	return strings.Join(parts, ", ")
}

// rates is the table of mean frame rates and lows.
func (v view) rates(id, where string, planned []CellWords) Grid {
	g := Grid{ID: id, Caption: where + ": mean frame rate and 1 % low, fps", Heads: []Column{{Text: "card"}, {Text: "mean fps", Figure: true}}}
	for _, k := range lowKinds() {
		g.Heads = append(g.Heads, Column{Text: "1 % low, " + strings.ReplaceAll(k, "_", " "), Figure: true, Low: k})
	}
	g.Heads = append(g.Heads, Column{Text: "against the baseline", Figure: true}, Column{Text: "verdict"}, Column{Text: "state"}, Column{Text: "what to know"})
	for _, c := range planned {
		key := cellKey{c.Key, headline}
		row, d := v.cells[key], v.against[key]
		line := Line{Name: v.name(c.Mode), Base: c.Mode == v.Words.Baseline}
		mean := numeral(row.Mean, 1)
		mean.Beside = bracketed(row.CILow, row.CIHigh, 1)
		line.Cells = append(line.Cells, mean)
		for _, k := range lowKinds() {
			low, _ := compute.LowMetrics(lowOf(k))
			f := numeral(v.cells[cellKey{c.Key, low}].Mean, 1)
			f.Low = k
			line.Cells = append(line.Cells, f)
		}
		difference, verdict := v.compared(c, d)
		state := Field{Text: stateShown(c.State), Class: "state", Sign: stateSigns[c.State]}
		line.Cells = append(line.Cells, difference, verdict, state, know(v.toKnow(c, d)))
		g.Rows = append(g.Rows, line)
	}
	g.trim(len(g.Heads) - 1)
	return g
}

// compared words a cell's difference from the baseline's.
func (v view) compared(c CellWords, d archive.ComparisonRow) (difference, verdict Field) {
	switch {
	case c.Mode == v.Words.Baseline:
		return plainly(""), verdictField("baseline", false)
	case !holds(c.State):
		return v.difference(c, d, ""), Field{Text: stateShown(c.State), Class: "verdict open"}
	case !v.baseHolds(c):
		return v.difference(c, d, ""), Field{Text: "open", Class: "verdict open"}
	}
	return v.difference(c, d, text(d.Verdict)), verdictField(text(d.Verdict), d.Firm != nil && *d.Firm)
}

func (v view) difference(_ CellWords, d archive.ComparisonRow, verdict string) Field {
	if d.Percent != nil {
		return differenceField(d.Percent, d.CILow, d.CIHigh, "%", verdict)
	}
	return differenceField(d.Difference, d.CILow, d.CIHigh, d.Unit, verdict)
}

func (v view) baseHolds(c CellWords) bool {
	base := c.Key
	base.Mode = v.Words.Baseline
	return holds(v.states[base].State)
}

// toKnow is what stands beside a cell's figure: why it is as it is, and what would settle it.
func (v view) toKnow(c CellWords, d archive.ComparisonRow) (out []string) {
	out = append(out, c.Why...)
	out = append(out, c.Notes...)
	if text(d.Verdict) == string(compute.Unresolved) && d.RepeatsNeeded != nil {
		out = append(out, several(int(*d.RepeatsNeeded), "launch", "launches")+" a side would show a difference of "+short(v.Words.Statistics.MarginPct)+" %")
	}
	if c.Passes != c.Of && !holds(c.State) && c.Passes > 0 {
		out = append(out, number(float64(c.Passes), 0)+" of "+several(c.Of, "pass", "passes"))
	}
	return out
}

func lowOf(name string) compute.LowKind {
	for _, k := range []compute.LowKind{compute.LowQuantile, compute.LowTailMean, compute.LowTimeShare} {
		if k.String() == name {
			return k
		}
	}
	return compute.LowQuantile
}

// figures is the table of a further figure, false where no cell has it.
func (v view) figures(id string, m MetricChoice, where string, planned []CellWords) (Grid, bool) {
	metric, _ := compute.MetricByName(m.Name)
	g := Grid{ID: id, Caption: where + ": " + m.Title + ", " + metric.MeanUnit(), Heads: []Column{{Text: "card"}, {Text: "mean, " + metric.MeanUnit(), Figure: true},
		{Text: "against the baseline", Figure: true}, {Text: "verdict"}, {Text: "passes", Figure: true}, {Text: "flags"}}}
	any := false
	for _, c := range planned {
		row := v.cells[cellKey{c.Key, m.Name}]
		d := v.against[cellKey{c.Key, m.Name}]
		any = any || row.Mean != nil
		mean := numeral(row.Mean, metric.Decimals)
		mean.Beside = bracketed(row.CILow, row.CIHigh, metric.Decimals)
		difference, verdict := v.compared(c, d)
		n := float64(row.N)
		flags := strings.ReplaceAll(strings.Join(unique(strings.Fields(text(row.Flags)+" "+text(d.Flags))), ", "), "_", " ")
		g.Rows = append(g.Rows, Line{Name: v.name(c.Mode), Base: c.Mode == v.Words.Baseline,
			Cells: []Field{mean, difference, verdict, numeral(&n, 0), plainly(flags)}})
	}
	g.trim(len(g.Heads) - 1)
	return g, any
}

package report

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// Bench is one soak or sweep: its temperatures, its other figures, and what they differ by.
type Bench struct {
	Title, Means string
	Charts       []template.HTML
	Grids        []Grid
	Notes        []string
}

// temperatures are the figures of a probe, with the heads of their columns.
var temperatures = []struct{ figure, head string }{
	{"end_c", "end, °C"}, {"rise_k", "rise over ambient, K"}, {"normalised_c", "worked out for one room, °C"}, {"peak_c", "peak, °C"},
	{"sustained_peak_c", "10-s peak, °C"}, {"settling", "at the end"}, {"final_c", "forecast, °C"}, {"final_rise_k", "forecast over ambient, K"},
	{"time_constant_s", "slowest time constant, s"}, {"cooling_drop_k", "fall in cooling, K"},
}

// benches are the soaks in the plan's order, then the sweeps.
func (v view) benches() (out []Bench) {
	var names []string
	known := map[string]ProtocolWords{}
	for _, p := range v.Words.Protocols {
		names, known[p.Soak] = append(names, p.Soak), p
	}
	for _, r := range v.Tables.Readings {
		if r.Protocol != nil {
			names = append(names, *r.Protocol)
		}
	}
	for i, name := range unique(names) {
		var own, apart []archive.ReadingRow
		for _, r := range v.Tables.Readings {
			switch {
			case text(r.Protocol) != name:
			case r.BaseCard == nil:
				own = append(own, r)
			default:
				apart = append(apart, r)
			}
		}
		b := Bench{Title: "Sweep " + name, Charts: v.charts.beginning("soak-" + name + "-"), Notes: v.benchNotes(name, own)}
		if p, ok := known[name]; ok {
			b.Title = "Soak " + name
			b.Means = p.Load + ": " + duration(p.LengthS) + " of load, the end is its last " + duration(p.SettleS)
		}
		id := "b" + number(float64(i), 0)
		for _, g := range []Grid{v.probes(id+"-t", b.Title, own), v.otherFigures(id+"-o", b.Title, own), v.apart(id+"-d", b.Title, apart)} {
			if len(g.Rows) > 0 {
				b.Grids = append(b.Grids, g)
			}
		}
		if len(b.Grids) > 0 {
			out = append(out, b)
		}
	}
	return out
}

func duration(s int) string {
	if s >= 60 && s%60 == 0 {
		return number(float64(s/60), 0) + " min"
	}
	return number(float64(s), 0) + " s"
}

// sensorName is a group where the figure is of one, else the sensor.
func sensorName(r archive.ReadingRow) string { return cmp.Or(text(r.ProbeGroup), text(r.Sensor)) }

// runKey is one soak, or one step of a sweep.
type runKey struct {
	Mode
	repeat int32
	fan    float64
}

func runOf(r archive.ReadingRow) runKey {
	k := runKey{Mode: Mode{r.Card, text(r.Mode)}}
	if r.Repeat != nil {
		k.repeat = *r.Repeat
	}
	if r.FanPct != nil {
		k.fan = *r.FanPct
	}
	return k
}

func (v view) runName(k runKey, several bool) Name {
	n := v.name(k.Mode)
	switch {
	case k.fan > 0:
		n.Extra = "fan at " + short(k.fan) + " %"
	case k.repeat > 0 && several:
		n.Extra = "#" + number(float64(k.repeat), 0)
	}
	return n
}

func repeated(rows []archive.ReadingRow) bool {
	return slices.ContainsFunc(rows, func(r archive.ReadingRow) bool { return r.Repeat != nil && *r.Repeat > 1 })
}

// probes is the table of temperatures: a row a soak and probe.
func (v view) probes(id, title string, own []archive.ReadingRow) Grid {
	g := Grid{ID: id, Caption: title + ": temperatures; ± is the expanded uncertainty U at 95 %", Heads: []Column{{Text: "card"}, {Text: "probe"}}}
	for _, t := range temperatures {
		g.Heads = append(g.Heads, Column{Text: t.head, Figure: t.figure != "settling"})
	}
	type rowKey struct {
		runKey
		sensor string
	}
	at := map[rowKey]int{}
	for _, r := range own {
		i := slices.IndexFunc(temperatures, func(t struct{ figure, head string }) bool { return t.figure == r.Figure })
		if i < 0 {
			continue
		}
		k := rowKey{runOf(r), sensorName(r)}
		row, ok := at[k]
		if !ok {
			row = len(g.Rows)
			at[k] = row
			g.Rows = append(g.Rows, Line{Name: v.runName(k.runKey, repeated(own)), Base: k.Mode == v.Words.Baseline,
				Cells: append([]Field{plainly(k.sensor)}, slices.Repeat([]Field{plainly("")}, len(temperatures))...)})
		}
		g.Rows[row].Cells[i+1] = readingField(r)
	}
	g.trim(2)
	return g
}

// reading words a figure of the bench with its U.
func readingField(r archive.ReadingRow) Field {
	if r.Text != nil {
		return plainly(strings.ReplaceAll(*r.Text, "_", " "))
	}
	f := numeral(r.Value, decimalsOf(r.Figure))
	if r.Expanded != nil && r.Value != nil {
		f.Beside = "± " + unsigned(*r.Expanded, decimalsOf(r.Figure))
	}
	return f
}

// decimalsOf is how many decimals a figure of the bench is shown with.
func decimalsOf(figure string) int {
	if m, ok := metricOf(figure); ok && m.Decimals > 0 {
		return m.Decimals
	}
	switch {
	case strings.HasSuffix(figure, "_rpm"), strings.HasSuffix(figure, "_mhz"), strings.HasSuffix(figure, "_s"), strings.HasSuffix(figure, "_j"):
		return 0
	case strings.HasSuffix(figure, "_share"):
		return 2
	}
	return 1
}

func metricOf(figure string) (compute.Metric, bool) {
	if m, ok := compute.SoakMetric(figure); ok {
		return m, true
	}
	return compute.MetricByName(figure)
}

// figureTitle is what a figure of the bench is called.
func benchTitle(figure string) string {
	if m, ok := metricOf(figure); ok {
		return m.Title
	}
	for _, e := range benchEntries() {
		if e.Name == figure {
			return e.Shown()
		}
	}
	return strings.ReplaceAll(figure, "_", " ")
}

// otherFigures is the table of all that is no temperature of a probe: a row a soak, a column a figure and channel.
func (v view) otherFigures(id, title string, own []archive.ReadingRow) Grid {
	g := Grid{ID: id, Caption: title + ": power, clocks, fan and sound", Heads: []Column{{Text: "card"}}}
	type columnKey struct{ figure, sensor, at string }
	columns, rows := map[columnKey]int{}, map[runKey]int{}
	isTemperature := func(r archive.ReadingRow) bool {
		return slices.ContainsFunc(temperatures, func(t struct{ figure, head string }) bool { return t.figure == r.Figure })
	}
	for _, r := range own {
		if c := (columnKey{r.Figure, sensorName(r), text(r.MeasuredAt)}); !isTemperature(r) {
			if _, ok := columns[c]; !ok {
				columns[c] = len(columns)
				head := benchTitle(r.Figure)
				if r.Unit != "" {
					head += ", " + r.Unit
				}
				if where := cmp.Or(c.at, c.sensor); where != "" {
					head += " (" + where + ")"
				}
				g.Heads = append(g.Heads, Column{Text: head, Figure: r.Text == nil})
			}
		}
	}
	for _, r := range own {
		if isTemperature(r) {
			continue
		}
		k := runOf(r)
		i, ok := rows[k]
		if !ok {
			i = len(g.Rows)
			rows[k] = i
			g.Rows = append(g.Rows, Line{Name: v.runName(k, repeated(own)), Base: k.Mode == v.Words.Baseline,
				Cells: slices.Repeat([]Field{plainly("")}, len(columns))})
		}
		g.Rows[i].Cells[columns[columnKey{r.Figure, sensorName(r), text(r.MeasuredAt)}]] = readingField(r)
	}
	for i, l := range g.Rows {
		if slices.ContainsFunc(l.Cells, func(f Field) bool { return f.Text == "upper bound" }) {
			g.Rows[i].Name.Extra = strings.TrimSpace(g.Rows[i].Name.Extra + " (sound is an upper bound)")
		}
	}
	g.trim(1)
	return g
}

// apart is the table of what soaks differ by.
func (v view) apart(id, title string, rows []archive.ReadingRow) Grid {
	g := Grid{ID: id, Caption: title + ": differences from the baseline, with 95 % intervals", Heads: []Column{{Text: "card"}, {Text: "figure"}, {Text: "of"},
		{Text: "difference", Figure: true}, {Text: "verdict"}, {Text: "what to know"}}}
	for _, r := range rows {
		n := v.name(Mode{r.Card, text(r.Mode)})
		if base := (Mode{text(r.BaseCard), text(r.BaseMode)}); base != v.Words.Baseline {
			n.Extra = "against " + v.called(base)
		}
		verdict := verdictField(text(r.Verdict), false)
		if text(r.Verdict) == string(compute.Single) {
			verdict.Text = "one soak"
		}
		g.Rows = append(g.Rows, Line{Name: n, Cells: []Field{plainly(benchTitle(r.Figure)), plainly(strings.Join(filled(sensorName(r), text(r.MeasuredAt)), ", ")),
			differenceField(r.Value, r.CILow, r.CIHigh, r.Unit, text(r.Verdict)), verdict, know(filled(text(r.Why), text(r.Note)))}})
	}
	g.trim(len(g.Heads) - 1)
	return g
}

func filled(all ...string) []string {
	return slices.DeleteFunc(all, func(s string) bool { return s == "" })
}

// benchNotes are what stands against the soaks of a protocol, and why figures of them cannot be had.
func (v view) benchNotes(name string, own []archive.ReadingRow) (out []string) {
	for _, s := range v.Words.Soaks {
		if s.Soak != name {
			continue
		}
		who := v.called(s.Mode) + " #" + number(float64(s.Repeat), 0) + ": "
		if s.State != "ready" {
			out = append(out, who+strings.Join(append([]string{s.State}, s.Why...), ", "))
		}
		for _, n := range s.Notes {
			out = append(out, who+n)
		}
	}
	for _, r := range own {
		if why := text(r.Why); r.Value == nil && r.Text == nil && why != "" {
			out = append(out, strings.Join(filled(benchTitle(r.Figure), sensorName(r)), ", ")+", none: "+why)
		}
	}
	return unique(out)
}

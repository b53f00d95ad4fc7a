package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// named is a chart with the name that its files have.
type named struct {
	name string
	pic  func(chart.Format) chart.Picture
}

// charts lists the charts of a report: the headlines, one for each game, variant and resolution, those of soaks, value.
func charts(s Source) (out []named) {
	out = summaryCharts(s)
	for _, g := range s.Words.Games {
		for _, size := range s.Words.Resolutions {
			if rails, ok := cellRails(s, g, size); ok {
				out = append(out, named{fmt.Sprintf("%s-%s-%s", g.Game, g.Variant, size.Name), func(f chart.Format) chart.Picture { return rails.Picture(f, s.Look) }})
			}
		}
	}
	for _, p := range s.Words.Protocols {
		for _, rails := range soakRails(s, p) {
			out = append(out, named{rails.Head.Name, func(f chart.Format) chart.Picture { return rails.Picture(f, s.Look) }})
		}
	}
	return slices.Concat(out, levelCharts(s), sweepCharts(s), valueCharts(s))
}

// allCharts lists all charts of a report; from times on they are those of frame times, each pass reduced to so many columns.
func allCharts(s Source, columns int) (all []named, times int, err error) {
	curves, err := soakCurves(s)
	if err != nil {
		return nil, 0, err
	}
	frames, err := frameCharts(s, columns)
	all = append(charts(s), curves...)
	return append(all, frames...), len(all), err
}

// row names a card and mode on a chart; its hue follows from the place of the card in the plan.
func (w Words) row(m ModeWords) chart.Row {
	r := chart.Row{ID: m.Card + "." + m.Mode.Mode, Card: m.Card, Order: w.order(m.Card), Name: m.Title}
	if !m.Alone {
		r.Mode = m.Mode.Mode
	}
	return r
}

// order is the place of a card in the plan.
func (w Words) order(card string) int {
	var seen []string
	for _, m := range w.Modes {
		if !slices.Contains(seen, m.Card) {
			seen = append(seen, m.Card)
		}
	}
	return slices.Index(seen, card)
}

// lowColumn is the column of the 1 % low that the review shows.
func (w Words) lowColumn() string { return "low1_" + w.Statistics.Lows + "_fps" }

// cellRails is the chart of one game, variant and resolution; ok is false where the plan asks for no cell of it.
func cellRails(s Source, g GameWords, size SizeWords) (c chart.Rails, ok bool) {
	c = chart.Rails{Head: chart.Head{Name: g.Game + "-" + g.Variant + "-" + size.Name, Title: g.title(), Settings: g.settings(size),
		Notes: s.Words.reusedNote(isAt(g, size))}, Unit: "frames per second", Better: chart.More, Decimals: 1, Mark: "mean", Second: "1 % low",
		Means: "the rate that 99 % of frames beat", Against: "against " + s.Words.title(s.Words.Baseline)}
	for _, m := range s.Words.Modes {
		k := Key{Mode: m.Mode, Game: g.Game, Variant: g.Variant, Resolution: size.Name}
		i := slices.IndexFunc(s.Words.Cells, func(c CellWords) bool { return c.Key == k })
		if i < 0 {
			continue
		}
		ok = true
		r := s.cellRail(m, s.Words.Cells[i])
		if r.Note != "" {
			c.Note = "state"
		}
		c.Rails = append(c.Rails, r)
	}
	return c, ok
}

func (s Source) cellRail(m ModeWords, cell CellWords) chart.Rail {
	r := chart.Rail{Row: s.Words.row(m)}
	mean, low := s.stat(cell.Key, "mean_fps"), s.stat(cell.Key, s.Words.lowColumn())
	if cell.State == "failed" || mean == nil || mean.Mean == nil {
		r.Absent = cell.absent()
		return r
	}
	r.Figure = interval(mean.Mean, mean.CILow, mean.CIHigh)
	if low != nil && low.Mean != nil {
		r.Second = chart.Known(*low.Mean)
	}
	switch {
	case cell.State == "short":
		r.Note = fmt.Sprintf("%d of %d passes", cell.Passes, cell.Of)
	case !holds(cell.State):
		r.Note = cell.State
	case cell.Reused != nil:
		r.Note = "reused"
	}
	if m.Mode == s.Words.Baseline {
		r.Standing = chart.Base
		return r
	}
	for _, d := range s.Tables.Comparisons {
		if d.Metric == "mean_fps" && d.Card == m.Card && d.Mode == m.Mode.Mode && d.Game == cell.Game && d.Variant == cell.Variant && d.Resolution == cell.Resolution &&
			(Mode{d.BaseCard, d.BaseMode}) == s.Words.Baseline {
			r.Percent, r.Standing = interval(d.Percent, d.CILow, d.CIHigh), standing(d.Verdict)
		}
	}
	return r
}

// absent says why a cell has no figure: its state and the first reason for it.
func (c CellWords) absent() string {
	state := c.State
	if state == "failed" {
		state = "does not run"
	}
	switch {
	case len(c.Why) == 0:
		return state
	case state == "absent":
		return c.Why[0] // which says it all
	}
	return state + ": " + c.Why[0]
}

// stat is a cell's row in one metric, nil where there is none.
func (s Source) stat(k Key, metric string) *archive.CellRow {
	for i, c := range s.Tables.Cells {
		if c.Metric == metric && c.Card == k.Card && c.Mode == k.Mode.Mode && c.Game == k.Game && c.Variant == k.Variant && c.Resolution == k.Resolution {
			return &s.Tables.Cells[i]
		}
	}
	return nil
}

func interval(x, low, high *float64) chart.Figure {
	switch {
	case x == nil:
		return chart.Figure{}
	case low == nil || high == nil:
		return chart.Known(*x)
	}
	return chart.Between(*x, *low, *high)
}

// standing is a verdict of the archive in the chart's words.
func standing(verdict *string) chart.Standing {
	if verdict == nil {
		return chart.None
	}
	return map[string]chart.Standing{"ahead": chart.Ahead, "behind": chart.Behind, "level": chart.Level, "unresolved": chart.Unresolved,
		"single": chart.Single}[*verdict]
}

// soakRails are the charts of a soak: power, noise, and the temperature of each probe or group that the baseline has.
func soakRails(s Source, p ProtocolWords) (out []chart.Rails) {
	for _, kind := range []struct {
		figure, title, unit string
	}{{"rise_k", "Rise above the room", "kelvin above the room"}, {"end_c", "End of the soak", "°C"}, {"sound_level_db", "Noise", "dB"}, {"mean_power_w", "Power", "watts"}} {
		for _, sensor := range s.sensors(p.Soak, kind.figure) {
			if kind.figure == "end_c" && slices.Contains(s.sensors(p.Soak, "rise_k"), sensor) {
				continue // the rise allows for the room
			}
			c := chart.Rails{Head: chart.Head{Name: "soak-" + p.Soak + "-" + kind.figure, Title: kind.title, Settings: p.Load + ", " + minutes(p.LengthS)},
				Unit: p.unit(kind.unit), Better: chart.Less, Decimals: 1, Mark: "mean of the soaks", Interval: "expanded uncertainty",
				Against: "against " + s.Words.title(s.Words.Baseline)}
			if sensor != "" {
				c.Head.Name = plainName(c.Head.Name + "-" + sensor)
				c.Title += ", " + strings.ReplaceAll(sensor, "_", " ")
			}
			for _, m := range s.Words.Modes {
				if r, ok := s.soakRail(m, p.Soak, kind.figure, sensor); ok {
					c.Rails = append(c.Rails, r)
				}
			}
			if len(c.Rails) > 1 {
				out = append(out, c)
			}
		}
	}
	return out
}

// sensor is what tells a reading's sensor from others of its figure: the group, the place of power, or its own name.
func sensor(r archive.ReadingRow) string {
	for _, name := range []*string{r.ProbeGroup, r.MeasuredAt, r.Sensor} {
		if name != nil {
			return *name
		}
	}
	return ""
}

// sensors lists those that a figure of a soak is had of, in the table's order. Levels are one however they were taken.
func (s Source) sensors(soak, figure string) (out []string) {
	grouped := s.grouped(soak)
	for _, r := range s.Tables.Readings {
		if r.ProbeGroup == nil && r.Sensor != nil && slices.Contains(grouped, *r.Sensor) {
			continue // the hottest of its group stands for it
		}
		if r.Protocol == nil || *r.Protocol != soak || r.Figure != figure || r.BaseCard != nil || r.Value == nil || r.FanPct != nil {
			continue
		}
		name := sensor(r)
		if figure == "sound_level_db" {
			name = ""
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// grouped lists the probes that belong to a group of a soak.
func (s Source) grouped(soak string) []string {
	for _, p := range s.Words.Protocols {
		if p.Soak == soak {
			return p.Grouped
		}
	}
	return nil
}

// soakRail is a card and mode in one figure of a soak: the mean over its soaks, give or take the largest expanded uncertainty.
func (s Source) soakRail(m ModeWords, soak, figure, of string) (r chart.Rail, ok bool) {
	r = chart.Rail{Row: s.Words.row(m)}
	sum, n, most := 0.0, 0, 0.0
	for _, x := range s.Tables.Readings {
		if x.Protocol == nil || *x.Protocol != soak || x.Figure != figure || x.Card != m.Card || x.Mode == nil || *x.Mode != m.Mode.Mode || x.FanPct != nil ||
			figure != "sound_level_db" && sensor(x) != of {
			continue
		}
		switch {
		case x.BaseCard != nil && (Mode{*x.BaseCard, *x.BaseMode}) == s.Words.Baseline:
			r.Standing = standing(x.Verdict)
			if r.Percent = interval(x.Value, x.CILow, x.CIHigh); x.Unit != "%" {
				r.Apart = x.Unit
			}
		case x.BaseCard == nil && x.Value != nil:
			sum, n = sum+*x.Value, n+1
			if x.Expanded != nil {
				most = max(most, *x.Expanded)
			}
		}
	}
	if n == 0 {
		return r, false
	}
	mean := sum / float64(n)
	r.Figure = chart.Known(mean)
	if most > 0 {
		r.Figure = chart.Between(mean, mean-most, mean+most)
	}
	if m.Mode == s.Words.Baseline {
		r.Standing = chart.Base
	}
	return r, true
}

// unit is a figure's unit in words; a level says how and from where it was heard.
func (p ProtocolWords) unit(u string) string {
	if u == "dB" && p.Sound != "" {
		return p.Sound
	}
	return u
}

func minutes(s int) string {
	if s%60 == 0 {
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d s", s)
}

// title is how a game in a variant is called.
func (g GameWords) title() string {
	if g.Alone {
		return g.Title
	}
	return g.Title + ", " + strings.ReplaceAll(g.Variant, "_", " ")
}

// settings is the line under a chart that makes its figures mean something.
func (g GameWords) settings(size SizeWords) string {
	parts := []string{fmt.Sprintf("%d×%d", size.Width, size.Height)}
	for _, p := range g.Settings {
		if p.Value != "0" && p.Value != "off" {
			parts = append(parts, strings.ReplaceAll(p.Key+" "+p.Value, "_", " "))
		}
	}
	if g.Scene != "" {
		parts = append(parts, g.Scene)
	}
	return strings.Join(parts, " · ")
}

// title is how a card in a mode is called.
func (w Words) title(m Mode) string {
	for _, x := range w.Modes {
		if x.Mode == m {
			if x.Alone {
				return x.Title
			}
			return x.Title + " " + m.Mode
		}
	}
	return cmp.Or(m.Card, "the baseline")
}

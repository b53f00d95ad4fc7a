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
		charts := append(v.charts.beginning("soak-"+name+"-"), v.charts.beginning("sweep-"+name+"-")...)
		b := Bench{Title: "Sweep " + name, Charts: charts, Notes: v.benchNotes(name, own)}
		if p, ok := known[name]; ok {
			b.Title = "Soak " + name
			b.Means = p.Load + ": " + duration(p.LengthS) + " of load, the end is its last " + duration(p.SettleS)
		}
		id := "b" + number(float64(i), 0)
		grids := []Grid{v.probes(id+"-t", b.Title, own)}
		for j, kind := range kindsOfFigures {
			grids = append(grids, v.otherFigures(id+"-o"+number(float64(j), 0), b.Title, kind, own))
		}
		for _, g := range append(grids, v.apart(id+"-d", b.Title, apart), v.equalNoise(id+"-e", name)) {
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

// kindsOfFigures are the tables of what is no temperature of a probe: one of all would be wider than a sheet.
var kindsOfFigures = []string{"power and energy", "clocks", "fan", "sound", "frame rate"}

// kindOfFigure is in which of them a figure stands, "" for a temperature of a probe.
func kindOfFigure(figure string) string {
	switch {
	case slices.ContainsFunc(temperatures, func(t struct{ figure, head string }) bool { return t.figure == figure }):
		return ""
	case strings.HasPrefix(figure, "clock_"), strings.HasPrefix(figure, "power_limited"):
		return kindsOfFigures[1]
	case strings.HasPrefix(figure, "fan_"):
		return kindsOfFigures[2]
	case strings.HasPrefix(figure, "sound_"), strings.HasSuffix(figure, "_db"):
		return kindsOfFigures[3]
	case strings.HasPrefix(figure, "frame_rate_"):
		return kindsOfFigures[4]
	}
	return kindsOfFigures[0]
}

// otherFigures is the table of one kind of figures: a row a soak, a column a figure and channel.
func (v view) otherFigures(id, title, kind string, own []archive.ReadingRow) Grid {
	g := Grid{ID: id, Caption: title + ": " + kind, Heads: []Column{{Text: "card"}}}
	type columnKey struct{ figure, sensor, at string }
	keyOf := func(r archive.ReadingRow) columnKey { return columnKey{r.Figure, sensorName(r), text(r.MeasuredAt)} }
	columns, rows := map[columnKey]int{}, map[runKey]int{}
	var those []archive.ReadingRow
	for _, r := range own {
		if kindOfFigure(r.Figure) != kind {
			continue
		}
		those = append(those, r)
		if _, ok := columns[keyOf(r)]; !ok {
			columns[keyOf(r)] = len(columns)
			g.Heads = append(g.Heads, Column{Text: figureHead(r), Figure: r.Text == nil})
		}
	}
	for _, r := range those {
		k := runOf(r)
		i, ok := rows[k]
		if !ok {
			i = len(g.Rows)
			rows[k] = i
			g.Rows = append(g.Rows, Line{Name: v.runName(k, repeated(own)), Base: k.Mode == v.Words.Baseline, Cells: slices.Repeat([]Field{plainly("")}, len(columns))})
		}
		f := readingField(r)
		if r.Figure == "sound_level_db" && r.Value != nil && atMost(r, own) {
			f.Text = "at most " + f.Text
		}
		g.Rows[i].Cells[columns[keyOf(r)]] = f
	}
	g.trim(1)
	if len(g.Heads) == 1 {
		g.Rows = nil
	}
	return g
}

// atMost reports whether a level is an upper bound, too near to its background to be more.
func atMost(r archive.ReadingRow, own []archive.ReadingRow) bool {
	return slices.ContainsFunc(own, func(x archive.ReadingRow) bool {
		return x.Figure == "sound_treatment" && text(x.Text) == "upper_bound" && runOf(x) == runOf(r)
	})
}

// figureHead heads a column with a figure, its unit and of what it is.
func figureHead(r archive.ReadingRow) string {
	head := figureTitle(r.Figure)
	if r.Unit != "" {
		head += ", " + r.Unit
	}
	if where := cmp.Or(text(r.MeasuredAt), sensorName(r)); where != "" {
		head += " (" + where + ")"
	}
	return head
}

// apart is the table of what soaks differ by.
func (v view) apart(id, title string, rows []archive.ReadingRow) Grid {
	g := Grid{ID: id, Caption: title + ": differences from the baseline, with 95 % intervals", Heads: []Column{{Text: "card"}, {Text: "figure"}, {Text: "of"},
		{Text: "difference", Figure: true}, {Text: "verdict"}, {Text: "what to know"}}}
	for _, r := range rows {
		n := v.name(Mode{r.Card, text(r.Mode)})
		if base := (Mode{text(r.BaseCard), text(r.BaseMode)}); base != v.Words.Baseline {
			n.Extra = "against " + v.Words.Called(base)
		}
		verdict := verdictField(text(r.Verdict), false)
		if text(r.Verdict) == string(compute.Single) {
			verdict.Text = "one soak"
		}
		g.Rows = append(g.Rows, Line{Name: n, Cells: []Field{plainly(figureTitle(r.Figure)), plainly(strings.Join(filled(sensorName(r), text(r.MeasuredAt)), ", ")),
			differenceField(r.Value, r.CILow, r.CIHigh, r.Unit, text(r.Verdict)), verdict, know(filled(text(r.Why), text(r.Note)))}})
	}
	g.trim(len(g.Heads) - 1)
	return g
}

// equalNoise is the table of a soak's modes at the level that they are to be compared at.
func (v view) equalNoise(id, soak string) Grid {
	g := Grid{ID: id}
	for _, p := range v.Words.Protocols {
		if p.Soak != soak {
			continue
		}
		probe := v.probeAtLevel(p)
		g.Caption = "Soak " + soak + " at equal noise, " + short(p.TargetDB) + " " + orElse(p.Sound, "dB") + ": figures without an interval"
		g.Heads = []Column{{Text: "card"}, {Text: probe + ", °C", Figure: true}, {Text: "rise over ambient, K", Figure: true}, {Text: "fan, %", Figure: true},
			{Text: "fan, rpm", Figure: true}, {Text: "what to know"}}
		for _, x := range v.leveled(p, probe) {
			g.Rows = append(g.Rows, Line{Name: v.name(x.Mode), Base: x.Mode == v.Words.Baseline, Cells: []Field{numeral(x.end, 1), numeral(x.rise, 1),
				numeral(x.fan, 0), numeral(x.rpm, 0), know(x.notes(probe))}})
		}
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
		who := v.Words.Called(s.Mode) + " #" + number(float64(s.Repeat), 0) + ": "
		if s.State != "ready" {
			out = append(out, who+strings.Join(append([]string{s.State}, s.Why...), ", "))
		}
		for _, n := range s.Notes {
			out = append(out, who+n)
		}
	}
	for _, r := range own {
		if why := text(r.Why); r.Value == nil && r.Text == nil && why != "" {
			out = append(out, strings.Join(filled(figureTitle(r.Figure), sensorName(r)), ", ")+", none: "+why)
		}
	}
	return unique(out)
}

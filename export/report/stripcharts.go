package report

import (
	"fmt"

	"github.com/rigslate/rigslate/export/chart"
	"github.com/rigslate/rigslate/export/sheets"
)

// A strip is one card's frame times over the time of its capture, to be laid over or under the footage of that pass, with how each second ran beside the
// other passes.
type strip struct {
	name  string
	row   ModeWords
	game  GameWords
	size  SizeWords
	pass  cellPass
	chart func() chart.FrameTimes
}

// strips are those of every cell with frames.
func (s Source) strips() (out []strip) {
	s.eachShown(func(g GameWords, size SizeWords, rows []ModeWords, passes []cellPass) {
		for i, p := range passes {
			name := fileName(fmt.Sprintf("strip-%s-%s-%s", cellsName(g, size), p.Card, p.Mode))
			out = append(out, strip{name, rows[i], g, size, p, func() chart.FrameTimes { return s.strip(name, g, size, rows[i], p) }})
		}
	})
	return out
}

func (s Source) strip(name string, g GameWords, size SizeWords, m ModeWords, p cellPass) chart.FrameTimes {
	lane := s.lane(m, p)
	lane.Seconds = p.seconds
	return chart.FrameTimes{Head: chart.Head{Name: name, Title: g.title() + ": frame times", Settings: g.settings(size)},
		Limit: 1000.0 / 60, LimitWords: "a 60 Hz screen", Lanes: []chart.Lane{lane}}
}

// footage are the rates at which videos are cut, frames a second, with how they are written.
var footage = []struct {
	name string
	rate float64
}{{"23.976", 24000.0 / 1001}, {"24", 24}, {"25", 25}, {"29.97", 30000.0 / 1001}, {"30", 30}, {"50", 50}, {"59.94", 60000.0 / 1001}, {"60", 60}}

// stripTimes is a table beside the strips, for who lays them to footage: which capture each is of, where time stands on it, and how long it is in frames of
// a video. A mark that goes from left_px to right_px in that time shows the frame that is on screen.
func stripTimes(s Source) (File, bool, error) {
	t := sheets.Table{Name: "strips", Columns: []sheets.Column{{Title: "strip"}, {Title: "card"}, {Title: "mode"}, {Title: "game"}, {Title: "variant"}, {Title: "resolution"},
		{Title: "pass"}, {Title: "begins in the capture at", Unit: "s", Decimals: 3}, {Title: "ends in the capture at", Unit: "s", Decimals: 3},
		{Title: "length", Unit: "s", Decimals: 3}, {Title: "left edge of the plot", Unit: "px of 1920", Decimals: 2}, {Title: "right edge of the plot", Unit: "px of 1920", Decimals: 2},
		{Title: "one second is", Unit: "px of 1920", Decimals: 3}}}
	for _, f := range footage {
		t.Columns = append(t.Columns, sheets.Column{Title: "length at " + f.name + " a second", Unit: "frames", Decimals: 1})
	}
	for _, x := range s.strips() {
		b := x.chart().TimeBase(chart.Band, s.Look)
		row := []sheets.Cell{sheets.Text(x.name), sheets.Text(x.row.Title), sheets.Text(x.pass.Mode), sheets.Text(x.game.Title), sheets.Text(x.pass.Variant),
			sheets.Text(x.pass.Resolution), sheets.Number(float64(x.pass.Repeat))}
		length := b.ToS - b.FromS
		for _, v := range []float64{b.FromS, b.ToS, length, b.Left, b.Left + b.PerSecond*length, b.PerSecond} {
			row = append(row, sheets.Number(v))
		}
		for _, f := range footage {
			row = append(row, sheets.Number(length*f.rate))
		}
		t.Rows = append(t.Rows, row)
	}
	if len(t.Rows) == 0 {
		return File{}, false, nil
	}
	text, err := t.CSV()
	if err != nil {
		return File{}, false, fmt.Errorf("table %s: %w", t.Name, err)
	}
	return File{Path: "charts/strips.csv", Content: text}, true, nil
}

package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/export/history"
)

// grid is the table of one cell over time.
func (l LookBack) grid(line history.Line) Grid {
	m := l.Metric
	g := Grid{ID: "t-" + lineName(line.Key), Caption: line.Key.String() + ": " + l.figure() + " over time",
		Heads: []Column{{Text: "measured"}, {Text: "review, edition"}, {Text: "rig"}, {Text: "driver"}, {Text: "build"}, {Text: "passes", Figure: true},
			{Text: l.figure() + ", " + m.MeanUnit(), Figure: true}, {Text: "against the edition before", Figure: true}, {Text: "change"}, {Text: "to know"}}}
	const rig = 2 // its column
	rigs := severalRigs(line)
	if !rigs {
		g.Heads = slices.Delete(g.Heads, rig, rig+1)
		g.Caption += ", on " + known(line.Points[0].Facts.Rig)
	}
	for i, p := range line.Points {
		row := append(l.place(p), plainly(""), plainly(""), plainly(""))
		if !rigs {
			row = slices.Delete(row, rig-1, rig)
		}
		if s := line.Steps[i]; s != nil {
			row[len(row)-3], row[len(row)-2] = l.difference(*s), changeField(*s)
			row[len(row)-1] = know(l.toKnow(line, i, *s))
		}
		g.Rows = append(g.Rows, Line{Name: Name{Title: measuredOn(p)}, Cells: row})
	}
	g.trim(3)
	return g
}

// place is where a point comes from, and its figure.
func (l LookBack) place(p history.Point) []Field {
	passes := float64(p.Stat.N)
	mean := numeral(number64(p.Stat.Mean), l.Metric.Decimals)
	mean.Beside = bracketed(number64(p.Stat.Low), number64(p.Stat.High), l.Metric.Decimals)
	if !p.Holds() {
		mean.Class = "unresolved"
	}
	return []Field{{Text: p.Review, Beside: p.Edition[:min(7, len(p.Edition))] + "…"}, plainly(known(p.Facts.Rig)), plainly(known(p.Facts.Driver)), plainly(known(p.Facts.Build)), numeral(&passes, 0), mean}
}

// difference is that of a step with its interval.
func (l LookBack) difference(s history.Step) Field {
	c := s.Comparison
	x, unit := number64(c.Percent), "%"
	if x == nil {
		x, unit = number64(c.Difference), l.Metric.DifferenceUnit()
	}
	if x == nil {
		return plainly("")
	}
	return differenceField(x, number64(c.Low), number64(c.High), unit, string(c.Verdict))
}

// changeField words a change, with a sign that is not its colour.
func changeField(s history.Step) Field {
	var f Field
	switch {
	case s.Word == history.NotComparable && !s.Mixed:
		return Field{Text: "not comparable", Sign: "≠", Class: "verdict open"}
	case s.Change == "":
		return Field{Text: "no verdict", Sign: "◌", Class: "verdict open"}
	case s.Change == history.Changed:
		f = verdictField(string(s.Comparison.Verdict), false)
		f.Text = string(history.Changed)
	default:
		f = verdictField(string(s.Change), false)
	}
	if s.Mixed {
		f.Text += ", not comparable"
	}
	return f
}

// toKnow says with what reserve two points were compared, or why they were not.
func (l LookBack) toKnow(line history.Line, i int, s history.Step) (out []string) {
	var parts []string
	for _, d := range s.Differ {
		parts = append(parts, d.String())
	}
	words := map[history.Comparability]string{history.NotComparable: "not comparable", history.WithReserve: "with reserve"}[s.Word]
	if s.Mixed {
		words += ", compared as asked"
	}
	if len(parts) > 0 {
		out = append(out, words+": "+strings.Join(parts, ", "))
	}
	if s.Change == "" && s.Why != "" && s.Word != history.NotComparable {
		out = append(out, "no verdict: "+s.Why)
	}
	if s.Against != i-1 {
		out = append(out, "against "+measuredOn(line.Points[s.Against])+", the nearest that may be compared")
	}
	return out
}

// once is the table of cells that are in the archive in one edition only.
func (l LookBack) once() Grid {
	g := Grid{ID: "once-table", Caption: "Cells with passes of one edition only: nothing to compare over time",
		Heads: []Column{{Text: "card"}, {Text: "game"}, {Text: "resolution"}, {Text: "measured"}, {Text: "review, edition"}, {Text: "rig"}, {Text: "driver"},
			{Text: "build"}, {Text: "passes", Figure: true}, {Text: l.figure() + ", " + l.Metric.MeanUnit(), Figure: true}}}
	for _, line := range l.Lines {
		if len(line.Points) == 1 {
			p := line.Points[0]
			g.Rows = append(g.Rows, Line{Name: Name{Title: p.Card, Mode: p.Mode},
				Cells: append([]Field{plainly(p.Game + "·" + p.Variant), plainly(p.Resolution), plainly(measuredOn(p))}, l.place(p)...)})
		}
	}
	return g
}

// held is the table of contents of the archive, as far as it was asked for.
func (l LookBack) held() Grid {
	g := Grid{ID: "held-table", Caption: "Editions, by review and day of publishing",
		Heads: []Column{{Text: "review"}, {Text: "edition"}, {Text: "published"}, {Text: "measured"}, {Text: "cards"}, {Text: "games"}, {Text: "drivers"}, {Text: "builds"},
			{Text: "rigs"}, {Text: "cells", Figure: true}, {Text: "passes", Figure: true}, {Text: "to know"}}}
	for _, h := range l.Held {
		span := "not recorded"
		if !h.From.IsZero() {
			if span = h.From.Format(time.DateOnly); h.To.Format(time.DateOnly) != span {
				span += " to " + h.To.Format(time.DateOnly)
			}
		}
		cells, passes, newer := float64(h.Cells), float64(h.Passes), ""
		if h.Newer {
			newer = "a later edition has all of its passes, and stands for it"
		}
		g.Rows = append(g.Rows, Line{Name: Name{Title: h.Review}, Cells: []Field{plainly(h.Edition), plainly(h.Published.UTC().Format(time.DateOnly)), plainly(span),
			plainly(strings.ReplaceAll(strings.Join(h.Cards, ", "), ".", "·")), plainly(strings.Join(h.Games, ", ")), plainly(known(h.Drivers)), plainly(known(h.Builds)),
			plainly(known(h.Rigs)), numeral(&cells, 0), numeral(&passes, 0), know([]string{newer})}})
	}
	g.trim(1)
	return g
}

// notes say what holds for all lines.
func (l LookBack) notes() (out []string) {
	others, undated, drawn := 0, false, 0
	var spreads []string
	for _, line := range l.Lines {
		if len(line.Points) > 1 {
			drawn++
		}
		for _, p := range line.Points {
			others += p.Other
			undated = undated || p.From.IsZero()
		}
		for _, s := range line.Steps {
			if s == nil || s.Comparison.SessionSpread.Source == "" {
				continue
			}
			u := s.Comparison.SessionSpread
			text := fmt.Sprintf("%s %s (%s)", unsigned(u.Shown(l.Metric), 2), strings.TrimLeft(strings.TrimLeft(l.margin(), "0123456789."), " "), u.Source)
			if !slices.Contains(spreads, text) {
				spreads = append(spreads, text)
			}
		}
	}
	slices.Sort(spreads)
	if len(spreads) > 0 {
		out = append(out, "Session spread in the changes, which is what mounting a card again moves: "+strings.Join(spreads, ", ")+".")
	}
	if others > 0 {
		out = append(out, fmt.Sprintf("%s earlier editions hold the same passes. They are no evidence of a change: the latest edition stands for them.",
			several(others, "cell of", "cells of")))
	}
	if undated {
		out = append(out, "* by the day on which it was published; no pass says when it was made.")
	}
	if drawn > mostLines {
		out = append(out, fmt.Sprintf("The first %d of %d cells have charts here, the others their tables. Ask for fewer cells to see all.", mostLines, drawn))
	}
	return append(out, "Bold under a chart is what is another than in the edition before. Scales need not begin at zero, and span a tenth of the figures at least.")
}

func (l LookBack) provenance() []Part {
	out := append([]Part{}, l.Asked...)
	out = append(out, Part{"figure", l.figure() + " (" + l.Metric.Name + "), in " + l.Metric.MeanUnit()}, Part{"cells", several(len(l.Lines), "cell", "cells")},
		Part{"editions", several(len(l.Held), "edition", "editions")})
	return append(out, Part{"made by", "rigslate " + l.Tool})
}

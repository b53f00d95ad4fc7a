package changes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// Cause is one reason why figures are others. Cell is the cell it is of, nil for what is of no cell.
type Cause struct {
	Cell *report.Key `json:"cell,omitempty"`
	Text string      `json:"text"`
}

func (x Cause) is(y Cause) bool {
	return x.Text == y.Text && (x.Cell == nil) == (y.Cell == nil) && (x.Cell == nil || *x.Cell == *y.Cell)
}

// causes is what is known to have changed that figures rest on.
type causes struct {
	cells    map[report.Key]string
	order    []report.Key
	general  []Cause
	logs     map[string]bool // the first 16 digits of the hashes of logs that are new
	baseline report.Mode
}

// behind gathers from the changes of passes, states and the plan what figures rest on.
func behind(was, is Edition, c Changes) *causes {
	b := &causes{cells: map[report.Key]string{}, logs: map[string]bool{}, baseline: is.Source.Words.Baseline}
	add := func(k report.Key, text string) {
		if before, seen := b.cells[k]; seen {
			text = before + "; " + text
		} else {
			b.order = append(b.order, k)
		}
		b.cells[k] = text
	}
	for i, p := range c.Passes {
		if i > 0 && c.Passes[i-1].Cell == p.Cell {
			continue
		}
		for _, text := range together(c.Passes[i:]) {
			add(p.Cell, text)
		}
	}
	before, now := runsOf(was), runsOf(is)
	for k, rows := range now {
		for _, text := range circumstances(before[k], rows) {
			add(k, text)
		}
	}
	for _, s := range c.Cells {
		if s.Was != "" && s.Is != "" {
			add(s.Cell, strings.Join(append([]string{"it is " + s.Is + " now"}, s.Why...), ", "))
		}
	}
	slices.SortStableFunc(b.order, func(x, y report.Key) int { return strings.Compare(fmt.Sprint(x), fmt.Sprint(y)) })
	if was.DefinitionsVersion != is.DefinitionsVersion {
		b.general = append(b.general, Cause{Text: fmt.Sprintf("figures are worked out by definitions %d instead of %d", is.DefinitionsVersion, was.DefinitionsVersion)})
	}
	for _, p := range c.Plan {
		if strings.HasPrefix(p.At, "statistics.") {
			name := strings.ReplaceAll(strings.TrimPrefix(p.At, "statistics."), "_", " ")
			b.general = append(b.general, Cause{Text: fmt.Sprintf("%s is %s instead of %s", name, stated(p.Is), stated(p.Was))})
		}
	}
	for _, f := range c.Files {
		if len(f.Is) >= 16 {
			b.logs[f.Is[:16]] = true
		}
	}
	return b
}

// together words what became of the passes of the first one's cell, those alike in one: "passes 1 and 3 were made anew".
func together(all []PassChange) (out []string) {
	numbers := map[string][]string{}
	var order []string
	for _, p := range all {
		if p.Cell != all[0].Cell {
			break
		}
		if numbers[p.What] == nil {
			order = append(order, p.What)
		}
		numbers[p.What] = append(numbers[p.What], strconv.Itoa(p.Repeat))
	}
	for _, what := range order {
		n := numbers[what]
		if len(n) == 1 {
			out = append(out, "pass "+n[0]+" "+what)
			continue
		}
		verb, rest, _ := strings.Cut(what, " ")
		many := map[string]string{"was": "were", "is": "are", "counts": "count", "gave": "gave"}[verb]
		out = append(out, "passes "+strings.Join(n[:len(n)-1], ", ")+" and "+n[len(n)-1]+" "+many+" "+rest)
	}
	return out
}

func stated(s string) string {
	if s == "" {
		return "what it is by default"
	}
	return s
}

func runsOf(e Edition) map[report.Key][]archive.RunRow {
	out := map[report.Key][]archive.RunRow{}
	for _, r := range e.Source.Tables.Runs {
		out[key(r)] = append(out[key(r)], r)
	}
	return out
}

// of lists why a figure is another, as far as the editions tell: what changed in the cells that it is of, then what all rest on.
func (b *causes) of(f Figure) (out []Cause) {
	d := f.either()
	for _, k := range b.order {
		if b.rests(d.Subject, k) {
			out = append(out, Cause{&k, b.cells[k]})
		}
	}
	out = append(out, b.general...)
	if f.Was == nil || f.Is == nil {
		return out
	}
	was, is := f.Was.Rests, f.Is.Rests
	for _, c := range []struct{ was, is, text string }{
		{was.Price, is.Price, "the price is %s instead of %s"}, {was.Hoped, is.Hoped, "what is hoped is %s instead of %s"},
		{was.Session, is.Session, "the session spread is %s instead of %s"},
	} {
		if c.was != c.is && c.was != "" && c.is != "" {
			out = append(out, Cause{Text: fmt.Sprintf(c.text, c.is, c.was)})
		}
	}
	if was.Games != is.Games {
		out = append(out, Cause{Text: fmt.Sprintf("it rests on %s, before on %s", games(is.Games), games(was.Games))})
	}
	if was.Source != is.Source && b.logs[is.Source] {
		out = append(out, Cause{Text: "it was logged anew"})
	}
	if len(out) == 0 && !differ(f.Was.Value, f.Is.Value) && d.Subject.Kind != report.DisplayedReading {
		out = append(out, Cause{Text: "its own passes are the same; intervals lean on what all cells scatter by, and so do verdicts"})
	}
	return out
}

func games(n int) string {
	if n == 1 {
		return "1 game"
	}
	return strconv.Itoa(n) + " games"
}

// rests reports whether a figure rests on a cell. What a frame costs rests on the baseline's cells too: it is had over those that both have.
func (b *causes) rests(s report.Subject, k report.Key) bool {
	rated := s.Price != "" && s.Figure != "price" && k.Mode == b.baseline
	if s.Protocol != "" || s.Price != "" && s.Figure == "price" || k.Mode != s.Of && k.Mode != s.Against && !rated {
		return false
	}
	fits := func(asked, name string) bool { return asked == "" || asked == name }
	return fits(s.Game, k.Game) && fits(s.Variant, k.Variant) && fits(s.Resolution, k.Resolution)
}

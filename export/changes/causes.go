package changes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// Cause is one reason why figures are others. It is of a cell, of the soaks of a card in a mode, or of neither.
type Cause struct {
	Cell *report.Key  `json:"cell,omitempty"`
	Of   *report.Mode `json:"of,omitempty"`
	Text string       `json:"text"`
}

func (x Cause) is(y Cause) bool {
	return x.Text == y.Text && same(x.Cell, y.Cell) && same(x.Of, y.Of)
}

func same[T comparable](a, b *T) bool {
	return (a == nil) == (b == nil) && (a == nil || *a == *b)
}

// causes is what is known to have changed that figures rest on, each with which these are.
type causes struct {
	all      []cause
	baseline report.Mode
	soaks    map[string]string // of claims
}

type cause struct {
	Cause
	behind func(report.Subject) bool
}

// behind gathers from the changes of passes, states and the plan what figures rest on.
func behind(was, is Edition, c Changes) *causes {
	b := &causes{baseline: is.Source.Words.Baseline, soaks: map[string]string{}}
	for at, soak := range is.plan {
		if name, ok := strings.CutPrefix(at, "claim."); ok && strings.HasSuffix(name, ".soak") {
			b.soaks[strings.TrimSuffix(name, ".soak")] = soak
		}
	}
	b.ofCells(was, is, c)
	b.ofSoaks(is, c)
	if was.DefinitionsVersion != is.DefinitionsVersion {
		b.ofAll(fmt.Sprintf("figures are worked out by definitions %d instead of %d", is.DefinitionsVersion, was.DefinitionsVersion))
	}
	for _, p := range c.Plan {
		if name, ok := strings.CutPrefix(p.At, "statistics."); ok {
			b.ofAll(fmt.Sprintf("%s is %s instead of %s", strings.ReplaceAll(name, "_", " "), stated(p.Is), stated(p.Was)))
		}
	}
	return b
}

func (b *causes) ofAll(text string) {
	b.all = append(b.all, cause{Cause{Text: text}, func(report.Subject) bool { return true }})
}

// ofCells gathers what became of cells: their passes, what these were measured on, their states.
func (b *causes) ofCells(was, is Edition, c Changes) {
	texts := map[report.Key][]string{}
	for i, p := range c.Passes {
		if i == 0 || c.Passes[i-1].Cell != p.Cell {
			texts[p.Cell] = together(c.Passes[i:])
		}
	}
	before, now := runsOf(was), runsOf(is)
	for k, rows := range now {
		if more := circumstances(before[k], rows); len(more) > 0 {
			texts[k] = append(texts[k], more...)
		}
	}
	for _, s := range c.Cells {
		if s.Was != "" && s.Is != "" {
			texts[s.Cell] = append(texts[s.Cell], strings.Join(append([]string{"it is " + s.Is + " now"}, s.Why...), ", "))
		}
	}
	for _, k := range append(states(is).order, states(was).order...) {
		if len(texts[k]) == 0 {
			continue
		}
		b.all = append(b.all, cause{Cause{Cell: &k, Text: strings.Join(texts[k], "; ")}, func(s report.Subject) bool { return b.rests(s, k) }})
		texts[k] = nil
	}
}

// ofSoaks gathers what became of soaks and sweeps: their states, logs that are others, what is noted by hand otherwise.
func (b *causes) ofSoaks(is Edition, c Changes) {
	add := func(m report.Mode, protocol, text string) {
		b.all = append(b.all, cause{Cause{Of: &m, Text: protocol + ": " + text}, func(s report.Subject) bool {
			return (s.Protocol == protocol || s.Claim != "" && b.soaks[s.Claim] == protocol) && (s.Of == m || s.Against == m)
		}})
	}
	for _, s := range c.Soaks {
		add(s.Of, s.Soak, strings.Join(append([]string{"soak " + strconv.Itoa(s.Repeat) + " is " + s.Is + " now"}, s.Why...), ", "))
	}
	logged := func(source string) bool {
		return slices.ContainsFunc(c.Files, func(f FileChange) bool { return strings.HasPrefix(f.Is, source) })
	}
	noted := func(source string) bool {
		return slices.ContainsFunc(c.Plan, func(p PlanChange) bool { return strings.HasPrefix(p.At, source+".") })
	}
	seen := map[string]bool{}
	for _, r := range is.Source.Tables.Readings {
		if r.Protocol == nil || r.Source == nil || r.Mode == nil {
			continue
		}
		m := report.Mode{Card: r.Card, Mode: *r.Mode}
		for _, source := range strings.Fields(*r.Source) {
			at := m.Card + " " + m.Mode + " " + *r.Protocol + " " + source
			switch {
			case seen[at]:
			case logged(source):
				add(m, *r.Protocol, "it was logged anew")
			case noted(source):
				add(m, *r.Protocol, "what was noted by hand is another")
			}
			seen[at] = true
		}
	}
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

// of lists why a figure is another, as far as the editions tell.
func (b *causes) of(f Figure) (out []Cause) {
	d := f.either()
	for _, x := range b.all {
		if x.behind(d.Subject) && !slices.ContainsFunc(out, x.is) {
			out = append(out, x.Cause)
		}
	}
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
	if s.Protocol != "" || b.soaks[s.Claim] != "" || s.Price != "" && s.Figure == "price" || k.Mode != s.Of && k.Mode != s.Against && !rated {
		return false
	}
	fits := func(asked, name string) bool { return asked == "" || asked == name }
	return fits(s.Game, k.Game) && fits(s.Variant, k.Variant) && fits(s.Resolution, k.Resolution)
}

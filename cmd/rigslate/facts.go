package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// factLine is one fact over the cards: what each has of it and what that differs by from the baseline's. Of a limit there is a line for
// each name of a mode.
type factLine struct {
	name, mode string
	of         map[string]compute.Value
	apart      map[string]compute.Value
}

// factLines gathers the facts that are stated, the baseline's first.
func factLines(r *review.Review) (lines []*factLine) {
	line := func(f review.BenchFigure) *factLine {
		i := slices.IndexFunc(lines, func(l *factLine) bool { return l.name == f.Name && l.mode == f.Of.Mode })
		if i < 0 {
			i = len(lines)
			lines = append(lines, &factLine{f.Name, f.Of.Mode, map[string]compute.Value{}, map[string]compute.Value{}})
		}
		return lines[i]
	}
	base := r.Plan.Review.Baseline.Card
	for _, first := range []bool{true, false} {
		for _, f := range r.Bench {
			if f.IsFact() && f.Base == (plan.Mode{}) && (f.Of.Card == base) == first {
				line(f).of[f.Of.Card] = f.Value
			}
		}
	}
	for _, f := range r.Bench {
		if f.IsFact() && f.Base != (plan.Mode{}) {
			for _, l := range lines {
				if l.name == f.Name && l.mode == f.Of.Mode { // ratios have names of their own, and no line
					l.apart[f.Of.Card] = f.Value
				}
			}
		}
	}
	slices.SortStableFunc(lines, func(a, b *factLine) int { return min(len(a.mode), 1) - min(len(b.mode), 1) }) // those of modes last
	return lines
}

// title names a line with its unit.
func (l factLine) title() string {
	text := review.FactTitle(l.name)
	if l.mode != "" {
		text += ", " + l.mode
	}
	if unit := factUnit(l.name); unit != "" {
		text += " " + unit
	}
	return text
}

// factUnit is "" for what is counted in itself.
func factUnit(name string) string {
	unit, _ := plan.FactUnits(name)
	if unit == name {
		return ""
	}
	return unit
}

// alike reports whether all cards that a fact is stated of have the same.
func (l factLine) alike() bool {
	var first *compute.Value
	for _, v := range l.of {
		if first == nil {
			first = &v
		}
		if v != *first {
			return false
		}
	}
	return true
}

// printFacts prints the facts in which cards differ, the baseline first, and names the others.
func printFacts(w io.Writer, r *review.Review) {
	lines := factLines(r)
	if len(lines) == 0 {
		return
	}
	base := r.Plan.Review.Baseline.Card
	var others []string
	for _, c := range r.Plan.Cards {
		if c.Name != base {
			others = append(others, c.Name)
		}
	}
	fmt.Fprintf(w, "\nFacts of the cards, as the plan states them; in brackets how far from %s\n", base)
	shown := slices.DeleteFunc(slices.Clone(lines), func(l *factLine) bool { return l.alike() })
	for len(others) > 0 {
		n := len(others)
		for n > 1 && !fits(factRows(append([]string{base}, others[:n]...), shown)) {
			n--
		}
		printFactTable(w, factRows(append([]string{base}, others[:n]...), shown))
		others = others[n:]
	}
	for _, text := range factNotes(r, lines) {
		fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(text), screen.Width-4, "      "))
	}
}

// factRows are the rows of a table of facts of some cards, without those that none of them has.
func factRows(cards []string, lines []*factLine) [][]string {
	head := []string{""}
	for _, c := range cards {
		head = append(head, screen.Shorten(c, 16))
	}
	rows := [][]string{head}
	for _, l := range lines {
		row, stated := []string{screen.Shorten(l.title(), 30)}, false
		for _, c := range cards {
			cell := "–"
			if v, ok := l.of[c]; ok {
				cell, stated = l.number(v)+l.beside(c), true
			}
			row = append(row, cell)
		}
		if stated {
			rows = append(rows, row)
		}
	}
	return rows
}

// fits reports whether a table with its indent is as wide as the screen at most.
func fits(rows [][]string) bool {
	return !slices.ContainsFunc(screen.Columns(rows, make([]screen.Align, len(rows[0])), 2), func(line string) bool {
		return runewidth.StringWidth(line) > screen.Width-2
	})
}

func printFactTable(w io.Writer, rows [][]string) {
	if len(rows) > 1 {
		printRows(w, rows, make([]screen.Align, len(rows[0]))...) // all to the left: a difference follows its figure
	}
}

// beside is what a card's fact differs by from the baseline's, in brackets.
func (l factLine) beside(card string) string {
	d := l.apart[card]
	if !d.OK || d.X == 0 {
		return ""
	}
	sign := ""
	if d.X > 0 {
		sign = "+"
	}
	return " (" + sign + l.number(d) + ")"
}

// number gives an exact figure with as many decimals as it has, two at most: what is worked out may have more. Percentages have one.
func (l factLine) number(v compute.Value) string {
	if !v.OK {
		return "–"
	}
	at := 100.0
	if factUnit(l.name) == "%" {
		at = 10
	}
	return strings.Replace(strconv.FormatFloat(math.Round(at*v.X)/at, 'f', -1, 64), "-", "−", 1)
}

// factNotes names what all cards have alike and what is stated of one alone.
func factNotes(r *review.Review, lines []*factLine) (notes []string) {
	var alike []string
	alone := map[string][]string{}
	for _, l := range lines {
		if !l.alike() {
			continue
		}
		for _, c := range r.Plan.Cards {
			v, ok := l.of[c.Name]
			if !ok {
				continue
			}
			text := strings.TrimSpace(strings.TrimSuffix(l.title(), " "+factUnit(l.name)) + " " + l.number(v) + " " + factUnit(l.name) + l.beside(c.Name))
			if len(l.of) > 1 || len(r.Plan.Cards) == 1 {
				alike = append(alike, text)
				break
			}
			alone[c.Name] = append(alone[c.Name], text)
		}
	}
	if len(alike) > 0 {
		notes = append(notes, "alike wherever stated: "+strings.Join(alike, ", "))
	}
	for _, c := range r.Plan.Cards {
		if len(alone[c.Name]) > 0 {
			notes = append(notes, "stated of "+c.Name+" only: "+strings.Join(alone[c.Name], ", "))
		}
	}
	return notes
}

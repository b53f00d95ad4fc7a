package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// worthLine is what a card and mode is worth on some terms at one resolution; a figure without a Worth is not asked for.
type worthLine struct {
	mode                   plan.Mode
	own, against, breaking review.BenchFigure
}

// worthTable is the lines of one kind of price, resolution by resolution, "" being all of them.
type worthTable struct {
	terms       review.Terms
	prices      []review.BenchFigure
	resolutions []string
	lines       map[string][]*worthLine
}

// worthTables gathers what the review says of value, in its order.
func worthTables(r *review.Review) (tables []*worthTable) {
	for _, f := range r.Bench {
		if f.Worth == nil {
			continue
		}
		t := review.TermsOf(f.Worth.Price)
		i := slices.IndexFunc(tables, func(x *worthTable) bool { return x.terms == t })
		if i < 0 {
			i = len(tables)
			tables = append(tables, &worthTable{terms: t, lines: map[string][]*worthLine{}})
		}
		tables[i].add(f)
	}
	return tables
}

func (t *worthTable) add(f review.BenchFigure) {
	if len(f.Worth.Cells)+len(f.Worth.LeftOut) == 0 {
		if f.Base == (plan.Mode{}) {
			t.prices = append(t.prices, f)
		}
		return
	}
	size := f.Worth.Resolution
	if !slices.Contains(t.resolutions, size) {
		t.resolutions = append(t.resolutions, size)
	}
	i := slices.IndexFunc(t.lines[size], func(l *worthLine) bool { return l.mode == f.Of })
	if i < 0 {
		i = len(t.lines[size])
		t.lines[size] = append(t.lines[size], &worthLine{mode: f.Of})
	}
	switch l := t.lines[size][i]; {
	case f.Name != compute.PricePerFPS.Name:
		l.breaking = f
	case f.Base == (plan.Mode{}):
		l.own = f
	default:
		l.against = f
	}
}

// printWorth prints a table for each kind of price, the baseline first.
func printWorth(w io.Writer, r *review.Review) {
	for _, t := range worthTables(r) {
		rows := [][]string{{"", t.terms.Currency, "per fps", "difference", "", "break-even"}}
		var notes []string
		for _, size := range t.resolutions {
			lines := t.lines[size]
			if !slices.ContainsFunc(lines, func(l *worthLine) bool { return l.own.Value.OK || l.breaking.Value.OK }) {
				continue
			}
			rows = append(rows, []string{worthHeading(size, lines)})
			for _, l := range lines {
				rows = append(rows, worthRow(l, lines[0], t.cents()))
				notes = append(notes, worthNotes(size, l, lines[0])...)
			}
		}
		if len(rows) == 1 {
			continue
		}
		title := fmt.Sprintf("Value at a %s: price over mean frame rate, ahead where that is less", t.terms)
		fmt.Fprintf(w, "\n%s\n", screen.Wrap(finding.Printable(title), screen.Width, "  "))
		printRows(w, rows, screen.Left, screen.Right, screen.Left, screen.Left, screen.Left, screen.Left)
		notes = append([]string{pricesNote(t)}, slices.Compact(notes)...)
		if note := t.chanceNote(); note != "" {
			notes = append(notes, note)
		}
		for _, n := range notes {
			fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(n), screen.Width-4, "      "))
		}
	}
}

func worthHeading(size string, lines []*worthLine) string {
	games := 0
	for _, l := range lines {
		for _, f := range []review.BenchFigure{l.own, l.breaking} {
			if f.Worth != nil {
				games = max(games, f.Worth.Games)
			}
		}
	}
	if size == "" {
		size = "all resolutions"
	}
	return size + ", " + screen.Count(games, "game", "games")
}

func worthRow(l, base *worthLine, cents int) []string {
	out := []string{"  " + screen.Shorten(l.mode.String(), 20), "", "", "", "", ""}
	if l.overFewer(base) {
		out[0] += " *"
	}
	if l.own.Worth != nil {
		out[1], out[2] = screen.Number(l.own.Worth.Price.Amount, cents), worthFigure(l.own, compute.PricePerFPS.Decimals)
	}
	switch d := l.against; {
	case d.Worth == nil && l.breaking.Worth == nil:
		out[4] = "baseline"
	case d.Worth == nil:
		out[4] = "no price"
	case d.Value.OK:
		out[3] = strings.TrimSpace(screen.Signed(d.Value.X, 1) + " % " + resolvedInterval(d.Worth.Low, d.Worth.High, d.Worth.Verdict))
		out[4] = string(d.Worth.Verdict)
		if d.Worth.Verdict == "" {
			out[4] = "no verdict"
		}
	default:
		out[3], out[4] = "–", "not compared"
	}
	if l.breaking.Worth != nil {
		out[5] = worthFigure(l.breaking, 0)
	}
	return out
}

func worthFigure(f review.BenchFigure, decimals int) string {
	return strings.TrimSpace(number(f.Value, decimals) + " " + interval(f.Worth.Low, f.Worth.High, decimals))
}

// overFewer reports whether a line is over other cells than the baseline's own, so that the two must not be laid beside each other.
func (l *worthLine) overFewer(base *worthLine) bool {
	return l.against.Worth != nil && l.against.Worth.OfBase.OK && base.own.Worth != nil && len(l.against.Worth.Cells) != len(base.own.Worth.Cells)
}

// worthNotes says of a line why something of it is missing, and where it is over other cells than the baseline's.
func worthNotes(size string, l, base *worthLine) (notes []string) {
	at := " at " + size
	if size == "" {
		at = " over all resolutions"
	}
	d := l.against
	switch {
	case d.Worth == nil:
	case slices.Contains(d.Flags, "not_comparable"): // the prices are at fault, which is so at every resolution
		notes = append(notes, fmt.Sprintf("%s: %s", l.mode, d.Worth.Why))
	case d.Worth.Why != "":
		notes = append(notes, fmt.Sprintf("%s%s: %s", l.mode, at, d.Worth.Why))
	}
	if l.overFewer(base) {
		notes = append(notes, fmt.Sprintf("* %s%s: over %d of the baseline's %s; in these the baseline costs %s per fps", l.mode, at, len(d.Worth.Cells),
			screen.Count(len(base.own.Worth.Cells), "cell", "cells"), number(d.Worth.OfBase, compute.PricePerFPS.Decimals)))
	}
	return notes
}

// cents is how many decimals the prices of a table have.
func (t *worthTable) cents() int {
	for _, f := range t.prices {
		if f.Value.X != math.Trunc(f.Value.X) {
			return 2
		}
	}
	return 0
}

// pricesNote lists the prices, those of one place and date together.
func pricesNote(t *worthTable) string {
	cards := map[string][]string{}
	var order []string
	for _, f := range t.prices {
		p := f.Worth.Price
		from := "prices"
		if p.Where != "" {
			from += " at " + p.Where
		}
		if !p.On.IsZero() {
			from += " on " + p.On.UTC().Format(time.DateOnly)
		}
		if cards[from] == nil {
			order = append(order, from)
		}
		cards[from] = append(cards[from], f.Of.Card+" "+screen.Number(f.Value.X, t.cents()))
	}
	var words []string
	for _, from := range order {
		words = append(words, from+": "+strings.Join(cards[from], ", "))
	}
	return strings.Join(words, "; ") + ". The newest of a card counts. Cells are those of the headlines"
}

// chanceNote says how many of the verdicts may be there by luck.
func (t *worthTable) chanceNote() string {
	var all []compute.Comparison
	for _, lines := range t.lines {
		for _, l := range lines {
			if w := l.against.Worth; w != nil {
				all = append(all, compute.Comparison{Verdict: w.Verdict, P: w.P})
			}
		}
	}
	n, chance := compute.ByChance(all)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%s; at most about %.1f of them may be chance", screen.Count(n, "verdict", "verdicts"), chance)
}

package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/changes"
	"github.com/rigslate/rigslate/plan/finding"
)

// printStates lists cells and soaks that came, went, or are in another state.
func printStates(w io.Writer, c changes.Changes) {
	var lines []string
	for _, x := range c.Cells {
		lines = append(lines, namedCell(x.Cell)+"  "+turned(x.Was, x.Is, x.Why))
	}
	for _, x := range c.Soaks {
		lines = append(lines, fmt.Sprintf("%s·%s %s #%d  %s", x.Of.Card, x.Of.Mode, x.Soak, x.Repeat, turned(x.Was, x.Is, x.Why)))
	}
	if len(lines) == 0 {
		return
	}
	fmt.Fprintln(w, "\nCells and soaks")
	list, rest := some(w, lines)
	for _, l := range list {
		item(w, l)
	}
	rest()
}

// turned says from which state to which, and why it is in that.
func turned(was, is string, why []string) string {
	what := was + " → " + is
	switch {
	case was == "":
		what = "is new, " + is
	case is == "":
		what = "is no longer in the plan; it was " + was
	}
	if len(why) > 0 {
		what += ": " + strings.Join(why, "; ")
	}
	return what
}

// printPassChanges lists captures and logs that are others, with the hashes of what was and what is.
func printPassChanges(w io.Writer, c changes.Changes) {
	if len(c.Passes)+len(c.Files) == 0 {
		return
	}
	fmt.Fprintln(w, "\nCaptures and logs")
	list, rest := some(w, c.Passes)
	for _, p := range list {
		item(w, fmt.Sprintf("%s pass %d %s", namedCell(p.Cell), p.Repeat, p.What))
		for _, side := range []struct {
			word string
			p    *changes.Pass
		}{{"was", p.Was}, {"now", p.Is}} {
			if side.p == nil || p.Was != nil && p.Is != nil && p.Was.SHA256 == p.Is.SHA256 && side.p == p.Was {
				continue
			}
			rate := ""
			if side.p.MeanFPS != nil {
				rate = ", " + screen.Number(*side.p.MeanFPS, 1) + " fps"
			}
			entry(w, side.word, shortHash(side.p.SHA256)+"  "+side.p.Path+rate)
		}
	}
	rest()
	logs, rest := some(w, c.Files)
	for _, f := range logs {
		fmt.Fprintf(w, "  %s  %s → %s\n", finding.Printable(f.Path), cmp.Or(shortHash(f.Was), "not there"), cmp.Or(shortHash(f.Is), "not there"))
	}
	rest()
}

// shortHash is what tells files apart on a screen.
func shortHash(sum string) string { return sum[:min(len(sum), 12)] }

func printStated(w io.Writer, all []changes.PlanChange) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w, "\nThe plan")
	list, rest := some(w, all)
	for _, p := range list {
		item(w, fmt.Sprintf("%s  %s → %s", p.At, cmp.Or(p.Was, "not stated"), cmp.Or(p.Is, "not stated")))
	}
	rest()
}

func printChartChanges(w io.Writer, c changes.Changes) {
	switch {
	case c.NoCharts != "":
		fmt.Fprintln(w)
		paragraph(w, "Charts were not compared: "+c.NoCharts)
		return
	case len(c.Charts) == 0:
		fmt.Fprintln(w, "\nAll charts are the same.")
		return
	}
	fmt.Fprintf(w, "\n%s, as files of that name in report/charts\n", screen.Count(len(c.Charts), "chart changed", "charts changed"))
	words := map[changes.Word]string{changes.Added: " (new)", changes.Withdrawn: " (no longer there)"}
	var names []string
	for _, x := range c.Charts {
		names = append(names, x.Name+words[x.Word])
	}
	fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(strings.Join(names, ", ")), screen.Width-2, "  "))
}

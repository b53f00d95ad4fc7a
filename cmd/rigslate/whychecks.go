package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/finding"
)

// printChecks shows every check of a cell with its figure, those it passed too.
func printChecks(w io.Writer, r *review.Review, c review.Cell) {
	var rows [][]string
	for _, k := range r.Checks(c) {
		word := "ok"
		switch {
		case k.Skipped:
			word = "not checked"
		case !k.OK:
			word = "failed"
		}
		rows = append(rows, []string{k.Name, word, finding.Printable(k.Text)})
	}
	fmt.Fprintln(w, "\nChecks")
	heads := make([][]string, len(rows))
	for i, row := range rows {
		heads[i] = []string{row[0], row[1], "|"}
	}
	for i, line := range screen.Columns(heads, []screen.Align{screen.Left, screen.Left, screen.Left}, 2) {
		lead := "  " + strings.TrimSuffix(line, "|")
		room := screen.Width - runewidth.StringWidth(lead)
		fmt.Fprintln(w, lead+screen.Wrap(rows[i][2], room, strings.Repeat(" ", runewidth.StringWidth(lead))))
	}
}

// printCellTable shows the cell in every metric, with its own interval and the verdict against the baseline.
func printCellTable(w io.Writer, r *review.Review, c review.Cell) {
	if len(r.PassesOf(c, review.Used)) == 0 {
		return
	}
	base := r.Plan.Review.Baseline
	against := "; against " + base.String()
	if c.Cell.CardMode() == base {
		against = "; the baseline itself"
	}
	fmt.Fprintf(w, "\nOver %s, 95 %% intervals%s\n", launchText(c), against)
	var rows [][]string
	why := map[string]bool{}
	var reasons []string
	say := func(text string) {
		if text != "" && !why[text] {
			why[text] = true
			reasons = append(reasons, text)
		}
	}
	for _, s := range c.Stats {
		m, _ := compute.MetricByName(s.Metric)
		if !r.Senses(m) {
			continue
		}
		line := []string{m.Title, m.MeanUnit(), number(s.Mean, m.Decimals), interval(s.Low, s.High, m.Decimals), "", "", ""}
		say(s.Why)
		if d, ok := r.Against(c.Cell.Key, base, s.Metric); ok {
			decimals := m.Decimals
			if d.Percent.OK {
				line[4], decimals = screen.Signed(d.Percent.X, 1)+" %", 1
			} else {
				line[4] = signed(d.Difference, m.Decimals)
			}
			line[5], line[6] = interval(d.Low, d.High, decimals), heldVerdict(d)
			say(openNote(r, d))
			if d.Looks > 1 {
				say(looksNote(d.Comparison))
			}
			if d.Verdict == "" && d.Why != "" {
				say(m.Title + ": no verdict, " + d.Why)
			}
		}
		rows = append(rows, line)
	}
	printRows(w, rows, screen.Left, screen.Left, screen.Right, screen.Left, screen.Right, screen.Left, screen.Left)
	if s, ok := c.Stat("mean_fps"); ok && s.Borrowed && s.OwnLow.OK {
		say(fmt.Sprintf("Intervals: %s; the mean from this cell's own spread alone: %s fps.", s.Method, interval(s.OwnLow, s.OwnHigh, 1)))
	}
	say(identicalMetrics(c))
	for _, text := range reasons {
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
	}
}

// heldVerdict is a verdict as it may be read: open where a side is not ready, marked where it is firm.
func heldVerdict(d review.Comparison) string {
	switch {
	case d.Verdict == "":
		return "–"
	case !d.Holds:
		return "open"
	case d.Firm:
		return string(d.Verdict) + " firm"
	}
	return string(d.Verdict)
}

// openNote says which side keeps the verdicts of a cell open, "" if none does.
func openNote(r *review.Review, d review.Comparison) string {
	var sides []string
	for _, c := range r.Cells {
		if k := c.Cell.Key; !d.Holds && d.Difference.OK && !c.State.Holds() && (k == d.Of || k == d.Base) {
			sides = append(sides, fmt.Sprintf("%s is %s", k, c.State.Shown()))
		}
	}
	if len(sides) == 0 {
		return ""
	}
	return "No difference holds, so verdicts stay open: " + screen.List(sides) + "."
}

func launchText(c review.Cell) string {
	s, _ := c.Stat("mean_fps")
	return screen.Count(s.N, "pass", "passes") + " in " + screen.Count(s.Launches, "launch", "launches")
}

// signed gives a difference with its sign.
func signed(v compute.Value, decimals int) string {
	if !v.OK {
		return "–"
	}
	return screen.Signed(v.X, decimals)
}

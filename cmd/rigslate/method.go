package main

import (
	"fmt"
	"io"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
)

// printMethod says under all tables what holds for each of them: how many verdicts may be chance, where the intervals come from,
// what is only assumed, what is not judged.
func printMethod(w io.Writer, r *review.Review) {
	notes := verdictNotes(r)
	notes = append(notes, looksNotes(r)...)
	notes = append(notes, assumedNotes(r)...)
	if len(notes) > 0 {
		fmt.Fprintln(w)
	}
	for _, n := range notes {
		fmt.Fprintln(w, screen.Wrap(n, screen.Width, "  "))
	}
}

// tally counts the verdicts on mean frame rate against the baseline that hold, and how many of them may be chance.
type tally struct {
	Of         int     `json:"of"`
	Ahead      int     `json:"ahead"`
	Behind     int     `json:"behind"`
	Level      int     `json:"level"`
	Unresolved int     `json:"unresolved"`
	Firm       int     `json:"firm"`
	Chance     float64 `json:"may_be_chance"`
	MarginPct  float64 `json:"margin_pct"`
}

func tallyOf(r *review.Review) tally {
	t := tally{MarginPct: r.Plan.Statistics.MarginPct}
	var all []compute.Comparison
	counts := map[compute.Verdict]int{}
	for _, d := range headlineComparisons(r) {
		all = append(all, d.Comparison)
		counts[d.Verdict]++
		if d.Firm {
			t.Firm++
		}
	}
	t.Of, t.Chance = compute.ByChance(all)
	t.Ahead, t.Behind, t.Level, t.Unresolved = counts[compute.Ahead], counts[compute.Behind], counts[compute.Level], counts[compute.Unresolved]
	return t
}

// headlineComparisons are the comparisons of mean frame rate against the baseline that hold.
func headlineComparisons(r *review.Review) (out []review.Comparison) {
	for _, d := range r.Comparisons {
		if d.Metric.Name == "mean_fps" && d.Base.CardMode() == r.Plan.Review.Baseline && d.Holds {
			out = append(out, d)
		}
	}
	return out
}

func verdictNotes(r *review.Review) (notes []string) {
	t := tallyOf(r)
	if t.Of == 0 {
		return nil
	}
	sources := map[string]compute.SessionSpread{}
	for _, d := range headlineComparisons(r) {
		if d.Low.OK {
			sources[d.SessionSpread.Source] = d.SessionSpread
		}
	}
	notes = append(notes, fmt.Sprintf("%s: %d ahead, %d behind, %d level within %g %%, %d unresolved; at most about %.1f of them may be chance.",
		screen.Count(t.Of, "verdict", "verdicts"), t.Ahead, t.Behind, t.Level, t.MarginPct, t.Unresolved, t.Chance))
	if t.Firm > 0 {
		notes = append(notes, firmNote(t.Firm))
	}
	notes = append(notes, spreadNote(r))
	m, _ := compute.MetricByName("mean_fps")
	for _, source := range []struct{ name, words string }{
		{"sessions", "from this review's own sessions"},
		{"archive", "from " + screen.Count(r.ReviewsBehind("mean_fps"), "earlier review", "earlier reviews") + " on this rig"}, {"plan", "from the plan"}, {"default", "the default, since the plan states none"},
	} {
		if u, ok := sources[source.name]; ok {
			notes = append(notes, fmt.Sprintf("Session spread %.2g %%, %s: what mounting a card again moves.", u.Shown(m), source.words))
		}
	}
	return notes
}

// spreadNote says what the intervals lean on.
func spreadNote(r *review.Review) string {
	own, borrowed, from := 0, 0, 0
	for _, c := range r.Cells {
		s, ok := c.Stat("mean_fps")
		switch {
		case !ok || !s.Low.OK:
		case s.Borrowed:
			borrowed++
			from = s.From
		default:
			own++
		}
	}
	if borrowed == 0 {
		return "Each interval is from the cell's own spread: there are too few cells to borrow from."
	}
	note := fmt.Sprintf("Intervals: spread borrowed from %d cells, since a few passes cannot tell how noisy one cell is", from)
	if own > 0 {
		note += fmt.Sprintf("; %s too noisy for that", screen.Count(own, "cell is", "cells are"))
	}
	return note + ". The cell's own interval is in `why` and in the archive."
}

func assumedNotes(r *review.Review) (notes []string) {
	launches, sessions := 0, 0
	for _, p := range r.Passes {
		if p.Status == review.Used && p.Facts.Launch == "" {
			launches++
		}
		if p.Status == review.Used && p.Facts.Session == "" {
			sessions++
		}
	}
	if launches > 0 {
		notes = append(notes, fmt.Sprintf("Launch assumed for %s: nothing says which launch each was made in, so each counts as a launch of its own.", screen.Count(launches, "pass", "passes")))
	}
	if sessions > 0 {
		notes = append(notes, fmt.Sprintf("Session assumed for %s: nothing says which session each was made in, so all of a card and mode count as one.", screen.Count(sessions, "pass", "passes")))
	}
	return notes
}

func firmNote(n int) string {
	if n == 1 {
		return "firm marks the one lead or deficit that stands although so many cells were looked at."
	}
	return fmt.Sprintf("firm marks the %d leads and deficits that stand although so many cells were looked at.", n)
}

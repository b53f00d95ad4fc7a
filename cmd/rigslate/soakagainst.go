package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// spokenOf are the figures of a soak that are set against the baseline's on the screen; the others stand in the document and the archive.
// Where the rise over ambient cannot be had the end of the soak stands for it.
var spokenOf = []string{"rise_k", "end_c", "sound_level_db", "mean_power_w", "energy_per_frame_j", "fan_typical_rpm", "clock_median_mhz"}

// printSoakDiffs prints what each soak says of every mode against the baseline.
func printSoakDiffs(w io.Writer, r *review.Review, p plan.Soak) {
	var ds []review.BenchComparison
	for _, d := range r.BenchDiffs {
		if d.Soak == p.Name && d.Base == r.Plan.Review.Baseline && slices.Contains(spokenOf, d.Metric.Name) && !ousted(r, d) {
			ds = append(ds, d)
		}
	}
	if len(ds) == 0 {
		return
	}
	fmt.Fprintf(w, "\nSoak %s against %s\n", p.Name, r.Plan.Review.Baseline)
	lines := [][]string{{"", "", "", "difference", "95 % interval", ""}}
	var notes []string
	for i, d := range ds {
		mode := ""
		if i == 0 || ds[i-1].Of != d.Of {
			mode = screen.Shorten(d.Of.String(), 24)
		}
		difference, around, verdict := soakDiff(d)
		lines = append(lines, []string{mode, d.Metric.Title, screen.Shorten(d.Sensor.Name(), 14), difference, around, verdict})
		note := func(text string) {
			notes = append(notes, fmt.Sprintf("%s, %s: %s", d.Metric.Title, d.Sensor.Name(), text))
		}
		if d.Verdict == "" || d.Verdict == compute.Single {
			note(d.Why)
		}
		for _, n := range d.Notes {
			note(n)
		}
	}
	printRows(w, lines, screen.Left, screen.Left, screen.Left, screen.Right, screen.Left, screen.Left)
	for _, n := range gathered(notes) {
		fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(n), screen.Width-4, "      "))
	}
}

// ousted tells an end of the soak beside which the rise over ambient stands, a probe beside its group, and what hangs on a power that is refused.
func ousted(r *review.Review, d review.BenchComparison) bool {
	if p, _ := r.Plan.Soak(d.Soak); inGroup(p, d) {
		return true
	}
	if d.Metric.Name == "energy_per_frame_j" && !d.Difference.OK {
		return true
	}
	return d.Metric.Name == "end_c" && slices.ContainsFunc(r.BenchDiffs, func(x review.BenchComparison) bool {
		return x.Metric.Name == "rise_k" && x.Soak == d.Soak && x.Of == d.Of && x.Base == d.Base && x.Sensor == d.Sensor && x.Difference.OK == d.Difference.OK
	})
}

// inGroup tells a probe of several of which the hottest counts, where more than this one are on the card.
func inGroup(p plan.Soak, d review.BenchComparison) bool {
	probe, ok := p.Probe(d.Probe)
	return ok && probe.Thermocouple != nil && probe.Thermocouple.Group != "" && len(p.Group(probe.Thermocouple.Group, d.Of)) > 1
}

// soakDiff words a difference, its interval and what may be said of it.
func soakDiff(d review.BenchComparison) (difference, around, verdict string) {
	difference = "–"
	switch {
	case d.Percent.OK:
		difference = screen.Signed(d.Percent.X, 1) + " %"
	case d.Difference.OK:
		difference = screen.Signed(d.Difference.X, 1) + " " + d.Metric.DifferenceUnit()
	}
	switch {
	case !d.Holds && d.Difference.OK:
		return difference, "", "not ready"
	case d.Verdict == "":
		return difference, "", "no verdict"
	case d.Verdict == compute.Single:
		return difference, "", "one soak"
	}
	return difference, resolvedInterval(d.Low, d.High, d.Verdict), string(d.Verdict)
}

// gathered joins notes that say the same of several figures: "rise over ambient, board: …" and another become one line.
func gathered(notes []string) (out []string) {
	of := map[string][]string{}
	var order []string
	for _, n := range notes {
		figure, text, _ := strings.Cut(n, ": ")
		figure = strings.TrimSuffix(figure, ", ")
		if of[text] == nil {
			order = append(order, text)
		}
		if !slices.Contains(of[text], figure) {
			of[text] = append(of[text], figure)
		}
	}
	for _, text := range order {
		out = append(out, strings.Join(byTitle(of[text]), "; ")+": "+text)
	}
	return out
}

// byTitle says a figure's title once for all its sensors: "rise over ambient, core" and "rise over ambient, board" become one.
func byTitle(figures []string) (out []string) {
	last := ""
	for _, f := range figures {
		title, sensor, several := strings.Cut(f, ", ")
		if several && title == last {
			out[len(out)-1] += ", " + sensor
			continue
		}
		out, last = append(out, f), title
	}
	return out
}

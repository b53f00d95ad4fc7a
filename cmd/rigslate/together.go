package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// printTogether prints the table in which performance, power, rise, noise and price stand side by side, one for each soak that has the baseline.
func printTogether(w io.Writer, r *review.Review) {
	for _, p := range r.Plan.Soaks {
		rows := r.Together(p)
		if len(rows) == 0 || !anyOf(rows) {
			continue
		}
		fmt.Fprintf(w, "\nAll together, against %s: soak %s", r.Plan.Review.Baseline, p.Name)
		if p.Resolution != "" {
			fmt.Fprintf(w, ", frame rates at %s", p.Resolution)
		}
		fmt.Fprintln(w)
		lines := [][]string{{"", "performance", "power", "temperature", "noise", "price"}}
		notes := map[string]bool{}
		var order []string
		for _, t := range rows {
			lines = append(lines, []string{screen.Shorten(t.Of.String(), 20), performance(t.Performance), benchDiffWords(t.Power), benchDiffWords(t.Rise),
				benchDiffWords(t.Noise), priceWords(t.Price)})
			if t.Rise != nil {
				if n := fmt.Sprintf("temperature: %s of %s", t.Rise.Metric.Title, t.Rise.Sensor.Name()); !notes[n] {
					notes[n], order = true, append(order, n)
				}
			}
		}
		printRows(w, lines, screen.Left, screen.Left, screen.Left, screen.Left, screen.Left, screen.Left)
		if len(order) > 0 {
			fmt.Fprintln(w, "    "+screen.Wrap(strings.Join(order, "; "), screen.Width-4, "      "))
		}
	}
}

func anyOf(rows []review.Together) bool {
	for _, t := range rows {
		if t.Power != nil || t.Rise != nil || t.Noise != nil {
			return true
		}
	}
	return false
}

func performance(s *review.Summary) string {
	if s == nil || !s.Percent.OK {
		return "–"
	}
	return screen.Signed(s.Percent.X, 1) + " % " + cmp.Or(string(s.Verdict), "open")
}

func benchDiffWords(d *review.BenchComparison) string {
	if d == nil {
		return "–"
	}
	difference, _, verdict := soakDiff(*d)
	if !d.Difference.OK {
		return "not alike"
	}
	return difference + " " + verdict
}

func priceWords(p review.PriceApart) string {
	if !p.Percent.OK {
		return "–"
	}
	return screen.Signed(p.Percent.X, 1) + " % " + p.Kind
}

type togetherJSON struct {
	Soak        string   `json:"soak"`
	Of          modeJSON `json:"of"`
	Against     modeJSON `json:"against"`
	Performance cellDiff `json:"performance"`
	Power       cellDiff `json:"power"`
	Temperature cellDiff `json:"temperature"`
	Noise       cellDiff `json:"noise"`
	Price       cellDiff `json:"price"`
}

// cellDiff is one field of the table: a difference in percent or in its unit, and what may be said of it.
type cellDiff struct {
	Figure     string   `json:"figure,omitempty"`
	Difference *float64 `json:"difference"`
	Unit       string   `json:"unit,omitempty"`
	Verdict    string   `json:"verdict,omitempty"`
	Why        string   `json:"why,omitempty"`
}

func benchCell(d *review.BenchComparison) cellDiff {
	if d == nil {
		return cellDiff{Why: "not measured on both sides"}
	}
	x := cellDiff{Figure: d.Metric.Name, Difference: optional(d.Difference), Unit: d.Metric.DifferenceUnit(), Why: d.Why}
	if d.Metric.Scale == compute.Ratio {
		x.Difference, x.Unit = optional(d.Percent), "%"
	}
	if d.Holds {
		x.Verdict = string(d.Verdict)
	}
	return x
}

func togetherOf(r *review.Review, p plan.Soak) (out []togetherJSON) {
	for _, t := range r.Together(p) {
		x := togetherJSON{Soak: p.Name, Of: modeOf(t.Of), Against: modeOf(r.Plan.Review.Baseline), Power: benchCell(t.Power), Temperature: benchCell(t.Rise),
			Noise: benchCell(t.Noise), Performance: cellDiff{Why: "no frame rates on both sides"},
			Price: cellDiff{Figure: "price", Difference: optional(t.Price.Percent), Unit: "%", Why: t.Price.Percent.Why}}
		if s := t.Performance; s != nil {
			x.Performance = cellDiff{Figure: "mean_fps", Difference: optional(s.Percent), Unit: "%", Verdict: string(s.Verdict), Why: s.Why}
		}
		out = append(out, x)
	}
	return out
}

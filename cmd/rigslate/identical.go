package main

import (
	"slices"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
)

// identicalNotes says what a reader must know where nothing varies: an interval without width is no proof of a perfect bench.
func identicalNotes(mean compute.CellStat, d review.Comparison) (notes []string) {
	if slices.Contains(mean.Flags, compute.FlagIdentical) {
		text := "identical, all passes have exactly the same mean, so their own interval has no width"
		if mean.Borrowed {
			text += "; the one shown is by the spread of the other cells"
		}
		notes = append(notes, text)
	}
	if slices.Contains(d.Flags, compute.FlagIdentical) {
		notes = append(notes, "identical, nothing varies on either side and no session spread is counted: the interval of the difference has no width, and it has no p")
	}
	return notes
}

// identicalMetrics names the metrics in which all passes of a cell have exactly the same figure, "" if there are none.
func identicalMetrics(c review.Cell) string {
	var titles []string
	for _, s := range c.Stats {
		if slices.Contains(s.Flags, compute.FlagIdentical) {
			m, _ := compute.MetricByName(s.Metric)
			titles = append(titles, m.Title)
		}
	}
	if len(titles) == 0 {
		return ""
	}
	return "Identical in all passes, so that the cell's own interval has no width: " + screen.List(titles) + "."
}

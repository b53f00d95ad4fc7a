package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/schedule"
)

// lookList are the cells of a plan that have the same looks.
type lookList struct {
	looks []int
	cells int
}

// lookLists gathers the different looks of a plan's cells, waived ones apart, in order of appearance.
func lookLists(p *plan.Plan) (out []lookList) {
	for _, c := range p.Cells {
		if c.Waived != "" || len(c.Looks) == 0 {
			continue
		}
		i := slices.IndexFunc(out, func(l lookList) bool { return slices.Equal(l.looks, c.Looks) })
		if i < 0 {
			i = len(out)
			out = append(out, lookList{looks: c.Looks})
		}
		out[i].cells++
	}
	return out
}

// at gives "at 3, 5 and 8 passes".
func (l lookList) at() string {
	words := make([]string, len(l.looks))
	for i, n := range l.looks {
		words[i] = strconv.Itoa(n)
	}
	return "at " + screen.List(words) + " passes"
}

// printLooks says what all looks would come to. The estimate above counts the first of each cell.
func printLooks(w io.Writer, p *plan.Plan) {
	lists := lookLists(p)
	for i, l := range lists {
		lead := "Looks"
		if i > 0 {
			lead = ""
		}
		say(w, lead, fmt.Sprintf("%s (%s), the error of 5 %% split over them", l.at(), screen.Count(l.cells, "cell", "cells")))
	}
	if s, ok := schedule.EveryLook(p); ok {
		say(w, "", fmt.Sprintf("above is the first look; every look taken in one mounting a card: %s, %s",
			screen.Count(s.Passes, "pass", "passes"), screen.Duration(s.Total)))
	}
}

// looksNotes says under the tables what was paid for adding passes.
func looksNotes(r *review.Review) (notes []string) {
	for _, l := range lookLists(r.Plan) {
		notes = append(notes, fmt.Sprintf("Up to %d looks %s (%s): the error of 5 %% is split over them, so that all looks together err no more often. "+
			"There the intervals of differences are at %s.", len(l.looks), l.at(), screen.Count(l.cells, "cell", "cells"), confidence(len(l.looks))))
	}
	return notes
}

// confidence gives what is left of 100 % for one of so many looks.
func confidence(looks int) string {
	return screen.Number(100-5/float64(looks), 1) + " %"
}

// looksNote is the remark on one comparison, since the table's head says 95 %.
func looksNote(d compute.Comparison) string {
	return fmt.Sprintf("one of up to %d looks, so the interval of the difference is at %s", d.Looks, confidence(d.Looks))
}

// nextLook says when an unresolved cell may be looked at again.
func nextLook(c review.Cell) string {
	if n := c.NextLook(); n > 0 {
		return fmt.Sprintf("; the next look is at %d passes", n)
	}
	return ""
}

package main

import (
	"fmt"
	"io"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan/finding"
)

// reuseJSON is what a reuse block would lend today.
type reuseJSON struct {
	Name      string  `json:"reuse"`
	Review    string  `json:"review"`
	Cells     int     `json:"cells"`
	Reused    int     `json:"cells_reused"`
	Passes    int     `json:"passes_spared"`
	Minutes   float64 `json:"minutes_spared"`
	HandsOn   float64 `json:"hands_on_minutes_spared"`
	NotReused string  `json:"not_reused,omitempty"` // the first cell that is not, and why
}

func reuseDocument(all []review.ReuseAhead) (out []reuseJSON) {
	for _, x := range all {
		d := reuseJSON{x.Block.Name, x.Block.Review, x.Cells, x.Lent, x.Passes, x.Total.Minutes(), x.HandsOn.Minutes(), ""}
		if x.Not != "" {
			d.NotReused = fmt.Sprintf("%s: %s", x.NotCell, x.Not)
		}
		out = append(out, d)
	}
	return out
}

// printReuse says what need not be passed, as far as no capture is there.
func printReuse(w io.Writer, all []review.ReuseAhead) {
	for _, x := range all {
		var modes []string
		for _, m := range x.Block.Modes {
			modes = append(modes, m.String())
		}
		text := fmt.Sprintf("%d of %s of %s from %s", x.Lent, screen.Count(x.Cells, "cell", "cells"), screen.List(modes), x.Block.Review)
		if x.Lent > 0 {
			text += fmt.Sprintf(": %s and %s less", screen.Count(x.Passes, "pass", "passes"), screen.Duration(x.Total))
		}
		if x.Not != "" {
			text += fmt.Sprintf("; not %s: %s", x.NotCell, x.Not)
		}
		say(w, "Reuse", finding.Printable(text))
	}
}

package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// cellBudget is where a cell's uncertainty in one metric comes from, against the baseline or, for the baseline's own cells, of the
// figure itself.
type cellBudget struct {
	metric compute.Metric
	base   plan.Key
	compute.Budget
}

// budgetsOf are a cell's budgets in the figures that are mostly spoken: the mean and the plan's 1 % low.
func budgetsOf(r *review.Review, c review.Cell) (out []cellBudget) {
	if len(r.PassesOf(c, review.Used)) == 0 {
		return nil
	}
	base := c.Cell.Key
	base.Card, base.Mode = r.Plan.Review.Baseline.Card, r.Plan.Review.Baseline.Mode
	if base == c.Cell.Key {
		base = plan.Key{}
	}
	for _, name := range []string{"mean_fps", lowMetric(r.Plan.Statistics.Lows)} {
		m, _ := compute.MetricByName(name)
		out = append(out, cellBudget{m, base, r.Budget(c.Cell.Key, base, name)})
	}
	return out
}

// printBudgets says where the uncertainty comes from and what it takes to halve it.
func printBudgets(w io.Writer, r *review.Review, c review.Cell) {
	budgets := budgetsOf(r, c)
	if len(budgets) == 0 {
		return
	}
	absolute := budgets[0].base == (plan.Key{})
	of := "difference"
	var notes []string
	if absolute {
		of = "figure itself"
		notes = append(notes, "What mounting the card again moves is in here; the intervals above leave it out, as no other card is in them.")
	}
	fmt.Fprintf(w, "\nWhere the uncertainty of the %s comes from\n", of)
	for _, b := range budgets {
		text := []string{b.metric.Title + ": " + shares(b)}
		if b.Why == "" {
			text = append(text, "Halving it: "+halving(b.Budget, absolute)+".")
			notes = append(notes, budgetNote(b.Budget))
		}
		for i, line := range text {
			indent := []string{"  ", "    "}[i]
			fmt.Fprintln(w, indent+screen.Wrap(finding.Printable(line), screen.Width-len(indent), "    "))
		}
	}
	for _, n := range slices.Compact(notes) {
		fmt.Fprintln(w, "  "+screen.Wrap(n, screen.Width-2, "    "))
	}
}

// shares gives the standard error and what makes it up, the largest first.
func shares(b cellBudget) string {
	if b.Why != "" {
		return "not to be told, " + b.Why
	}
	type share struct {
		what    string
		x       float64
		percent int
	}
	all := []share{{what: "session", x: b.Session.X}}
	if b.Pass.OK {
		all = append(all, share{what: "launch", x: b.Launch.X}, share{what: "pass", x: b.Pass.X})
	} else {
		all = append(all, share{what: "launch and pass together", x: b.Together.X})
	}
	slices.SortStableFunc(all, func(a, b share) int { return cmp.Compare(b.x, a.x) })
	left := 100 // so that the whole percents sum to it; what rounding leaves is the largest's
	for i := len(all) - 1; i > 0; i-- {
		all[i].percent = int(math.Round(100 * all[i].x))
		left -= all[i].percent
	}
	all[0].percent = left
	text := "standard error " + standardError(b) + ":"
	for i, s := range all {
		if i > 0 {
			text += ","
		}
		text += fmt.Sprintf(" %s %d %%", s.what, s.percent)
	}
	return text
}

func standardError(b cellBudget) string {
	switch {
	case b.metric.Scale == compute.Ratio:
		return screen.Number(b.SE.X, 2) + " %"
	case b.metric.MeanUnit() == "share":
		return screen.Number(100*b.SE.X, 2) + " pp"
	}
	return screen.Number(b.SE.X, b.metric.Decimals+1) + " " + b.metric.MeanUnit()
}

// halving words the cheapest plan, and what can be had without mounting a card again where that is another.
func halving(b compute.Budget, absolute bool) string {
	h := b.Cheapest
	if !h.OK {
		return h.Why
	}
	text := "plan " + design(h, absolute)
	switch {
	case h.Sessions == 1:
		return text
	case b.InSession.OK:
		return text + "; or, without mounting a card again, " + design(b.InSession, absolute)
	}
	return text + "; without mounting a card again it is " + b.InSession.Why
}

func design(h compute.Halving, absolute bool) string {
	text := screen.Count(h.Launches, "launch", "launches")
	if !absolute {
		text += " a side"
	}
	if h.Passes > 1 {
		text += fmt.Sprintf(" of %d passes each", h.Passes)
	}
	if h.Sessions > 1 {
		text += fmt.Sprintf(" in %d sessions", h.Sessions)
	}
	return text + ", " + screen.Duration(time.Duration(h.Minutes*float64(time.Minute))) + " more"
}

// budgetNote says what the shares are of and what they rest on.
func budgetNote(b compute.Budget) string {
	note := "Shares are of the squared error. "
	if b.Pass.OK {
		note += "What passes of one launch differ by is known from " + screen.Count(b.From, "cell", "cells") + ". "
	} else {
		note += "Launch and pass cannot be told apart: " + b.Pass.Why + ". "
	}
	return note + "More passes count as a new plan, declared before the first of them: adding some until a lead shows makes false leads."
}

type budgetJSON struct {
	Metric        string       `json:"metric"`
	BaseCard      string       `json:"base_card,omitempty"`
	BaseMode      string       `json:"base_mode,omitempty"`
	StandardError *float64     `json:"standard_error"`
	Unit          string       `json:"unit"`
	Pass          *float64     `json:"pass_share"`
	Launch        *float64     `json:"launch_share"`
	Together      *float64     `json:"launch_and_pass_share"`
	Session       *float64     `json:"session_share"`
	From          int          `json:"passes_known_from_cells"`
	Halving       *halvingJSON `json:"halving"`
	InSession     *halvingJSON `json:"halving_without_mounting"`
	Why           string       `json:"why,omitempty"`
}

type halvingJSON struct {
	Sessions      int      `json:"sessions,omitempty"`
	Launches      int      `json:"launches,omitempty"`
	Passes        int      `json:"passes_per_launch,omitempty"`
	StandardError *float64 `json:"standard_error"`
	Minutes       *float64 `json:"minutes_more"`
	Why           string   `json:"why,omitempty"`
}

func budgetDocument(r *review.Review, c review.Cell) []budgetJSON {
	out := []budgetJSON{}
	for _, b := range budgetsOf(r, c) {
		out = append(out, b.document())
	}
	return out
}

func (b cellBudget) document() budgetJSON {
	unit := b.metric.MeanUnit()
	if b.metric.Scale == compute.Ratio {
		unit = "%"
	}
	why := b.Why
	if why == "" && !b.Pass.OK {
		why = b.Pass.Why
	}
	d := budgetJSON{Metric: b.metric.Name, BaseCard: b.base.Card, BaseMode: b.base.Mode, StandardError: optional(b.SE), Unit: unit,
		Pass: optional(b.Pass), Launch: optional(b.Launch), Together: optional(b.Together), Session: optional(b.Session), From: b.From, Why: why}
	if b.Why == "" {
		d.Halving, d.InSession = halvingOf(b.Cheapest), halvingOf(b.InSession)
	}
	return d
}

func halvingOf(h compute.Halving) *halvingJSON {
	d := &halvingJSON{Sessions: h.Sessions, Launches: h.Launches, Passes: h.Passes, StandardError: optional(h.SE), Why: h.Why}
	if h.OK {
		d.Minutes = &h.Minutes
	}
	return d
}

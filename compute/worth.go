package compute

import (
	"fmt"
	"math"
	"slices"
)

// Price is what a card costs: of a kind ("list", "street" or another word of the reviewer's), in a currency, with tax or without.
type Price struct {
	Amount   float64
	Currency string
	Kind     string
	Tax      bool
}

// Unlike says why two prices may not be set against each other, "" where they may: one kind, tax and currency only.
func (p Price) Unlike(q Price) string {
	with := map[bool]string{true: "with", false: "without"}
	switch {
	case !(p.Amount > 0) || !(q.Amount > 0) || math.IsInf(p.Amount, 1) || math.IsInf(q.Amount, 1):
		return fmt.Sprintf("prices of %g and %g; both must be above 0", p.Amount, q.Amount)
	case p.Currency != q.Currency:
		return fmt.Sprintf("one price in %s, the other in %s; rates of exchange are no part of a review", p.Currency, q.Currency)
	case p.Kind != q.Kind:
		return fmt.Sprintf("one is a %s price, the other a %s price", p.Kind, q.Kind)
	case p.Tax != q.Tax:
		return fmt.Sprintf("one price is %s tax, the other %s", with[p.Tax], with[q.Tax])
	}
	return ""
}

// PricePerFPS is the metric of a price divided by a mean frame rate, in the price's currency per fps. Since a price is exact, a cell of
// it has the spread of the frame rate's, and it is averaged over games, compared and judged as any other figure on the ratio scale. Its
// cells come from PerFrame.
var PricePerFPS = Metric{Name: "price_per_fps", Title: "price per frame rate", Unit: "currency per fps", Scale: Ratio, Decimals: 2}

const perSecond = "mean_fps" // the frame rate that a price is divided by

// PerFrame is a cell of mean_fps turned into one of PricePerFPS. It can be compared with cells of prices that are not Unlike.
func (p Price) PerFrame(c CellStat) CellStat {
	why := ""
	switch {
	case c.Metric != perSecond:
		why = "a price is divided by the mean frame rate, not by " + c.Metric
	case !(p.Amount > 0):
		why = "the card has no price"
	}
	over := func(v Value) Value {
		switch {
		case why != "":
			return Absent(why)
		case !v.OK:
			return v
		}
		return Known(p.Amount / v.X)
	}
	c.Metric, c.Flags = PricePerFPS.Name, slices.Clone(c.Flags)
	c.SpreadPct = Absent("a price does not vary from pass to pass; the frame rate has the spread")
	switch {
	case why != "":
		c.Centre, c.Why = Absent(why), why
	case c.Centre.OK:
		c.Centre = Known(math.Log(p.Amount) - c.Centre.X)
	}
	c.Mean = over(c.Mean)
	c.Low, c.High = over(c.High), over(c.Low)
	c.OwnLow, c.OwnHigh = over(c.OwnHigh), over(c.OwnLow)
	return c
}

// GameCell is a cell with the game it is of.
type GameCell struct {
	Game string
	Cell CellStat
}

// Average is a figure of one card and mode over games: the mean over the cells of a game, then over the games, geometric on the ratio
// scale (definitions, section 4), in the metric's MeanUnit. The interval holds the session spread once. Why says why there is none.
type Average struct {
	Metric          string
	Games, Cells    int
	Mean, Low, High Value
	Why             string
}

// AverageOver averages cells over games. u is used as given: see Between.
func AverageOver(m Metric, cells []GameCell, u SessionSpread) Average {
	a := Average{Metric: m.Name, Cells: len(cells)}
	if m.Scale != Ratio && m.Scale != Difference {
		a.absent(m.Name + " is not averaged over games")
		return a
	}
	if len(cells) == 0 {
		a.absent("no game to average over")
		return a
	}
	looks := 1
	var parts []part
	for _, c := range cells {
		if !c.Cell.Centre.OK {
			a.absent(c.Game + ": " + c.Cell.Centre.Why)
			return a
		}
		if !c.Cell.ShownVariance.OK && a.Why == "" {
			a.Why = c.Game + ": " + c.Cell.ShownVariance.Why
		}
		parts = append(parts, partOf(c.Game, c.Cell))
		looks = max(looks, looksAt(c.Cell))
	}
	o := meanOverGames(parts)
	a.Games, a.Mean = len(o.games), m.inUnit(o.d)
	if a.Why != "" {
		a.Low, a.High = Absent(a.Why), Absent(a.Why)
		return a
	}
	half := total(append(o.errs, u.term(o.sessions...))...).half(0.025 / float64(looks))
	a.Low, a.High = bounds(m.inUnit, o.d, half)
	return a
}

func (a *Average) absent(why string) {
	none := Absent(why)
	a.Why, a.Mean, a.Low, a.High = why, none, none, none
}

// BreakEven is the price at which a card costs as much per frame as the base, in the base price's currency, kind and tax.
type BreakEven struct{ Amount, Low, High Value }

// BreakEven is the base's price times the ratio of the frame rates over games, its interval that of the ratio for these very games
// (definitions, section 6). s is a summary of the mean frame rate of the card against the base.
func (p Price) BreakEven(s Summary) BreakEven {
	times := func(ratio Value) Value {
		if !ratio.OK {
			return ratio
		}
		return Known(float64(p.Amount * ratio.X))
	}
	ofPercent := func(percent Value) Value {
		if !percent.OK {
			return percent
		}
		return Known(1 + percent.X/100)
	}
	switch {
	case s.Metric != perSecond:
		none := Absent("a break-even price follows from the mean frame rate, not from " + s.Metric)
		return BreakEven{none, none, none}
	case !(p.Amount > 0):
		none := Absent("the base has no price")
		return BreakEven{none, none, none}
	}
	return BreakEven{times(s.Ratio), times(ofPercent(s.TheseLow)), times(ofPercent(s.TheseHigh))}
}

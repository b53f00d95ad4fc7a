package main

import (
	"time"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// factJSON is a fact of a card or, with a base, what one differs by: the difference under the fact's own name, the ratio under its own.
type factJSON struct {
	Card     string   `json:"card"`
	Mode     string   `json:"mode,omitempty"`
	BaseCard string   `json:"base_card,omitempty"`
	BaseMode string   `json:"base_mode,omitempty"`
	Figure   string   `json:"figure"`
	Unit     string   `json:"unit"`
	Value    *float64 `json:"value"`
	Why      string   `json:"why,omitempty"`
	Note     string   `json:"note,omitempty"`
	Source   string   `json:"source"`
}

// priceJSON is the price that a figure of value rests on.
type priceJSON struct {
	Amount   float64 `json:"amount"`
	Currency string  `json:"currency"`
	Kind     string  `json:"kind"`
	Tax      bool    `json:"tax"`
	Place    string  `json:"place,omitempty"`
	On       string  `json:"on,omitempty"`
}

type worthJSON struct {
	factJSON
	Price      priceJSON       `json:"price"`
	Resolution string          `json:"resolution,omitempty"`
	Games      int             `json:"games,omitempty"`
	Cells      []keyJSON       `json:"cells,omitempty"`
	LeftOut    []leftOutJSON   `json:"left_out,omitempty"`
	Low        *float64        `json:"ci_low"`
	High       *float64        `json:"ci_high"`
	P          *float64        `json:"p"`
	Verdict    compute.Verdict `json:"verdict,omitempty"`
	OfBase     *float64        `json:"price_per_fps_of_base"`
	Flags      []compute.Flag  `json:"flags,omitempty"`
}

func factOf(f review.BenchFigure) factJSON {
	return factJSON{f.Of.Card, f.Of.Mode, f.Base.Card, f.Base.Mode, f.Name, f.Unit, optional(f.Value), f.Value.Why, f.Note, f.Source}
}

func worthOf(f review.BenchFigure) worthJSON {
	w := f.Worth
	d := worthJSON{factJSON: factOf(f), Price: priceOf(w.Price), Resolution: w.Resolution, Games: w.Games, Low: optional(w.Low), High: optional(w.High),
		P: optional(w.P), Verdict: w.Verdict, OfBase: optional(w.OfBase), Flags: f.Flags}
	if d.Why == "" {
		d.Why = w.Why
	}
	for _, k := range w.Cells {
		d.Cells = append(d.Cells, keyOf(k))
	}
	for _, x := range w.LeftOut {
		d.LeftOut = append(d.LeftOut, leftOutJSON{keyOf(x.Cell), x.Why, optional(x.By)})
	}
	return d
}

func priceOf(p plan.Price) priceJSON {
	d := priceJSON{Amount: p.Amount, Currency: p.Currency, Kind: p.Kind, Tax: p.Tax, Place: p.Where}
	if !p.On.IsZero() {
		d.On = p.On.UTC().Format(time.DateOnly)
	}
	return d
}

// factsAndValue are the facts of cards and what rests on their prices.
func factsAndValue(r *review.Review) (facts []factJSON, value []worthJSON) {
	for _, f := range r.Bench {
		switch {
		case f.Worth != nil:
			value = append(value, worthOf(f))
		case f.IsFact():
			facts = append(facts, factOf(f))
		}
	}
	return facts, value
}

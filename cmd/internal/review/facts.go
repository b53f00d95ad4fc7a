package review

import (
	"fmt"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// exact is why a fact has no uncertainty.
const exact = "exact: a fact that is stated, or follows from one"

// gatherFacts adds what is stated of each card, what follows from it, and how that differs from the baseline's.
func (r *Review) gatherFacts() {
	base, _ := r.Plan.Card(r.Plan.Review.Baseline.Card)
	theirs := factsOf(base)
	for _, c := range r.Plan.Cards {
		own := factsOf(c)
		r.Bench = append(append(r.Bench, own...), against(own, theirs, r.Plan.Review.Baseline)...)
	}
}

// factsOf lists a card's facts: those of the card, then the limits of each of its modes.
func factsOf(c plan.Card) (out []BenchFigure) {
	add := func(mode, source, name string, value compute.Value, note string) {
		unit, _ := plan.FactUnits(name)
		if unit == name {
			unit = "" // counted in itself
		}
		out = append(out, BenchFigure{Of: plan.Mode{Card: c.Name, Mode: mode}, Name: name, Unit: unit, Value: value,
			U: compute.NoUncertainty(exact), Source: source, Note: note})
	}
	card := "card." + c.Name
	own := c.Facts("")
	for _, n := range own {
		note := ""
		if n.Key == "power_stages" {
			note = stagesOf(c.Phases)
		}
		add("", card, n.Key, compute.Known(n.Value), note)
	}
	if m := c.Memory; m != nil {
		add("", card, plan.Bandwidth, compute.MemoryBandwidth(m.RateGTps, m.BusBits), fmt.Sprintf("%g GT/s × %d bit / 8", m.RateGTps, m.BusBits))
	}
	if mass, ok := c.Fact("", plan.Mass); ok {
		for _, n := range c.PartsG {
			share := compute.FactRatio(compute.Known(n.Value), compute.Known(mass))
			if share.OK {
				share = compute.Known(100 * share.X)
			}
			add("", card, plan.PartShare(n.Key), share, fmt.Sprintf("%g g of %g g", n.Value, mass))
		}
	}
	for _, m := range c.Modes {
		for _, n := range c.Facts(m.Name)[len(own):] {
			add(m.Name, card+"."+m.Name, n.Key, compute.Known(n.Value), "")
		}
	}
	return out
}

// IsFact reports whether a figure is a fact of a card, or what one differs by. Prices are facts too, and stand for themselves.
func (f BenchFigure) IsFact() bool { return f.Worth == nil && strings.HasPrefix(f.Source, "card.") }

// FactTitle is how a fact is called, without its unit: "length", "power limit", "heatsink share of the mass".
func FactTitle(name string) string {
	words := strings.ReplaceAll(plan.WithoutUnit(name), "_", " ")
	if part, ok := strings.CutSuffix(name, plan.PartShare("")); ok {
		return strings.ReplaceAll(part, "_", " ") + " share of the mass"
	}
	if limit, ok := strings.CutPrefix(words, "limit "); ok {
		return limit + " limit"
	}
	if plug, ok := strings.CutPrefix(words, "connector "); ok {
		return plug + " connectors"
	}
	return words
}

// stagesOf words which phases a count of power stages comes from.
func stagesOf(groups []plan.Phases) string {
	var words []string
	for _, g := range groups {
		text := fmt.Sprintf("%s %d", g.Feeds, g.Count)
		if g.StagesEach > 1 {
			text += fmt.Sprintf(" × %d", g.StagesEach)
		}
		words = append(words, text)
	}
	return strings.Join(words, "; ")
}

// ratioOf names the ratio of a fact to the baseline's.
func ratioOf(fact string) string { return fact + "_ratio" }

// against sets a card's facts beside the baseline's: the difference under the fact's own name, in its unit, and the ratio of what has one.
// Temperatures and percentages have none. Limits are set beside those of the baseline's mode, and of the baseline itself nothing is.
func against(own, theirs []BenchFigure, baseline plan.Mode) (out []BenchFigure) {
	for _, f := range own {
		for _, b := range theirs {
			if f.Name != b.Name || f.Of == b.Of || b.Of.Mode != "" && b.Of.Mode != baseline.Mode || (f.Of.Mode == "") != (b.Of.Mode == "") {
				continue
			}
			d := f
			d.Base, d.Note = b.Of, ""
			_, difference := plan.FactUnits(f.Name)
			if difference != "" {
				d.Unit = difference
			}
			d.Value = compute.FactDifference(f.Value, b.Value)
			out = append(out, d)
			if difference == "" {
				d.Name, d.Unit, d.Value = ratioOf(f.Name), "", compute.FactRatio(f.Value, b.Value)
				out = append(out, d)
			}
		}
	}
	return out
}

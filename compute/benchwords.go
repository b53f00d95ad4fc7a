package compute

import "github.com/rigslate/rigslate/plan/glossary"

const (
	pageSix = "definitions, section 6"
	guide   = "JCGM 100:2008, Guide to the Expression of Uncertainty in Measurement"
	asGiven = "not at all: a figure of one measurement"
	aFact   = "not at all: a fact of a card"
)

// BenchEntries is what `explain` says of uncertainties of measurement, of value for money and of facts of a card. Those of temperatures
// and sound stand with their packages.
func BenchEntries() []glossary.Entry {
	return []glossary.Entry{
		{Name: "standard_uncertainty", Also: []string{"u", "combined uncertainty"}, Group: glossary.Bench, Unit: "that of the figure",
			Means: "How far off a measured figure may be, as a standard deviation. It adds up what the probe, the instrument, its placement and the " +
				"scatter of the readings each bring.",
			Say:     "Nothing: speak of the expanded one, which is what the figure may be off by.",
			Formula: "√Σ(c·u)² over the contributions u, c by how much the figure moves with each", Better: "lower", Averaged: asGiven, Source: guide},
		{Name: "expanded_uncertainty", Also: []string{"U", "uncertainty", "measurement uncertainty", "expanded", "coverage_factor"}, Group: glossary.Bench, Unit: "that of the figure",
			Means:   "The figure ± this holds the true value 19 times in 20. Two figures that lie nearer together than that are not told apart by it.",
			Say:     `"63 degrees, give or take three".`,
			Formula: "t(0.975; ν)·u, u the standard uncertainty and ν its degrees of freedom, not rounded", Better: "lower", Averaged: asGiven, Source: guide},
		{Name: "effective_df", Also: []string{"effective degrees of freedom"}, Group: glossary.Bench, Unit: "1",
			Means: "How well an uncertainty is itself known. Few readings give a small number, and with it a larger factor from u to U; infinite where " +
				"everything is stated and nothing estimated.",
			Say: "Nothing.", Formula: "u⁴ / Σ((c·uᵢ)⁴/νᵢ) over the contributions, νᵢ infinite for those that are stated",
			Better: "neither; more makes U smaller", Averaged: asGiven,
			Source: "F. E. Satterthwaite, Biometrics Bulletin 2(6), 1946; B. L. Welch, Biometrika 34, 1947"},
		{Name: PricePerFPS.Name, Title: PricePerFPS.Title, Also: []string{"value", "value for money", "price per frame"}, Group: glossary.Bench,
			Unit:  PricePerFPS.Unit,
			Means: "What a frame a second costs. A dear card that is fast and a cheap one that is slow may cost the same by the frame.",
			Say:   `"eleven percent less per frame at list price". Name the kind of price and the games; a frame rate beyond need is not worth its price.`,
			Formula: "price / F, F the geometric mean over games of the mean frame rates, first over the cells of a game; never across kinds of " +
				"price, tax or currency", Better: "lower", Averaged: PricePerFPS.Scale.averaged(), Source: pageSix, Parameters: []string{"price"}},
		{Name: "break_even_price", Also: []string{"break even"}, Group: glossary.Bench, Unit: "currency of the base's price",
			Means:   "The price at which a card costs as much per frame as the base. Above it the base is the better value in these games.",
			Say:     `"worth it below 640 euros". The interval says how sharp that limit is.`,
			Formula: "price of the base · F/F of the base, over the same cells; the interval is that of the ratio for these very games",
			Better:  "neither", Averaged: asGiven, Source: pageSix, Parameters: []string{"price", "baseline"}},
		{Name: "memory_bandwidth_gbps", Title: "memory bandwidth", Group: glossary.Bench, Unit: "GB/s",
			Means:   "How many bytes a second the memory can move at most. Games do not use all of it, so it foretells no frame rate.",
			Say:     `"twelve percent more memory bandwidth", as a fact of the card.`,
			Formula: "rate [GT/s] × bus [bit] / 8, with 10⁹ bytes in a GB", Better: "higher", Averaged: aFact, Source: pageSix, Parameters: []string{"memory"}},
		{Name: "power_stages", Also: []string{"stages", "phases"}, Group: glossary.Bench, Unit: "stages",
			Means:   "How many power stages feed the card. Phases of which each drives two stages count twice, so stages are more than phases.",
			Say:     `"twenty stages". They share the load; more of them make nothing faster.`,
			Formula: "Σ phases · stages each, over the groups of phases that are alike", Better: "neither", Averaged: aFact,
			Source: "common practice, no source", Parameters: []string{"phases"}},
		{Name: "price", Also: []string{"prices", "list price", "street price", "price_ratio", "price_tax"}, Group: glossary.Bench, Unit: "its currency",
			Means: "What a card costs, of a kind, at a place, with or without tax, on a day. Of a card's prices of one kind the newest counts, and only " +
				"like ones are set against each other.",
			Say:     `"sixty euros more at list price". Prices move: name the day.`,
			Formula: "as the plan states it; against the baseline the difference, and as price_ratio the quotient", Better: "lower", Averaged: aFact,
			Source: pageSix, Parameters: []string{"price", "baseline"}},
		{Name: "fact", Also: []string{"facts", "physical facts", "length_mm", "mass_g", "slots", "facts of a card"}, Group: glossary.Bench,
			Unit: "as its name ends: mm, g, W; a count has none",
			Means: "What is stated of a card: sizes, masses, connectors, memory, limits. It is exact, so it has no interval, and a claim on it is true or " +
				"false.",
			Say: `"56 millimetres longer".`,
			Formula: "as the plan states it; against the baseline the difference under the fact's name, and the quotient as NAME_ratio where the unit has " +
				"a zero; NAME_share_pct is 100 · a part's mass / the card's", Better: "neither", Averaged: aFact, Source: "common practice, no source",
			Parameters: []string{"body", "baseline"}},
	}
}

package compute

import (
	"math"
	"slices"
)

// CapKind says what keeps a frame rate from rising.
type CapKind string

const (
	NoCap   CapKind = ""
	Capped  CapKind = "cap"     // held at a rate displays and limiters use
	Ceiling CapKind = "ceiling" // held at some other rate, as by a processor or an engine's own limit
)

// CapFinding is what the rates of a pass's seconds, or of a cell's passes, say about a cap. Rate, in fps, is the listed rate of a
// cap and the 95th percentile of a ceiling; Share is the share of seconds at it (of a cell: of passes that have it). Where Kind is
// empty, Why says why nothing could be looked at, if that is so.
type CapFinding struct {
	Kind  CapKind
	Rate  float64
	Share float64
	Why   string
}

// near is how close two rates must be to count as one: 0.3 %, and what rounding may add to a rate exactly that far away.
const near = 0.003 * (1 + 1e-12)

// listedRates are the refresh and limiter rates a cap is looked for at, in Hz; each also counts times 1000/1001.
var listedRates = [...]float64{24, 25, 30, 40, 48, 50, 60, 72, 75, 90, 100, 120, 144, 160, 165, 175, 180, 200, 240, 280, 300,
	360, 480, 500, 540}

// findCap looks at the rates of the whole seconds of a pass (definitions, section 1). displayHz is 0 where no display is named.
// sorted is a buffer of at least the same length.
func findCap(rates, sorted []float64, displayHz float64) CapFinding {
	if len(rates) == 0 {
		return CapFinding{Why: "shorter than a second"}
	}
	sorted = sorted[:copy(sorted, rates)]
	slices.Sort(sorted)
	n := float64(len(rates))
	if rate, count := commonRate(sorted, displayHz); 2*count >= len(rates) {
		return CapFinding{Kind: Capped, Rate: rate, Share: float64(count) / n}
	}
	top, bottom := Quantile(sorted, 0.95, 7), Quantile(sorted, 0.02, 7)
	count := len(nearOnes(sorted, top.X))
	if float64(count) >= float64(0.3*n) && bottom.X < float64(top.X*0.98) {
		return CapFinding{Kind: Ceiling, Rate: top.X, Share: float64(count) / n}
	}
	return CapFinding{}
}

// commonRate returns the listed rate that most of the sorted rates are near, and how many. Of two that as many are near, as with
// 60 and 59.94, it is the one closer to the mean of those.
func commonRate(sorted []float64, displayHz float64) (best float64, most int) {
	closest := math.Inf(1)
	try := func(rate float64) {
		among := nearOnes(sorted, rate)
		if len(among) == 0 || len(among) < most {
			return
		}
		if away := math.Abs(meanOf(among) - rate); len(among) > most || away < closest {
			best, most, closest = rate, len(among), away
		}
	}
	for _, rate := range listedRates {
		try(rate)
		try(rate * 1000 / 1001)
	}
	if displayHz > 0 {
		try(displayHz)
	}
	return best, most
}

// nearOnes returns those of the sorted rates that lie within 0.3 % of rate.
func nearOnes(sorted []float64, rate float64) []float64 {
	from, _ := slices.BinarySearch(sorted, float64(rate*(1-near)))
	to := from
	for to < len(sorted) && sorted[to] <= float64(rate*(1+near)) {
		to++
	}
	return sorted[from:to]
}

// CellCap is what a cell has: what more than half of its passes have, at the median of their rates (definitions, section 1).
func CellCap(passes []CapFinding) CapFinding {
	for _, kind := range []CapKind{Capped, Ceiling} {
		var rates []float64
		for _, p := range passes {
			if p.Kind == kind {
				rates = append(rates, p.Rate)
			}
		}
		if 2*len(rates) > len(passes) {
			slices.Sort(rates)
			return CapFinding{Kind: kind, Rate: Quantile(rates, 0.5, 7).X, Share: float64(len(rates)) / float64(len(passes))}
		}
	}
	return CapFinding{}
}

// CertainCaps says of each cell of one game whether its cap or ceiling is certain: another cell has one at the same rate within
// 0.3 %. Two cells that are limited by the card do not meet by chance.
func CertainCaps(cells []CapFinding) []bool {
	certain := make([]bool, len(cells))
	for i, a := range cells {
		for j, b := range cells {
			if i != j && a.Kind != NoCap && b.Kind != NoCap && withinRatio(a.Rate, b.Rate, 1+near) {
				certain[i] = true
			}
		}
	}
	return certain
}

// withinRatio reports whether the larger of two positive figures is at most ratio times the smaller.
func withinRatio(a, b, ratio float64) bool {
	return min(a, b) > 0 && max(a, b) <= float64(ratio*min(a, b))
}

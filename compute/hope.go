package compute

import (
	"fmt"
	"math"
)

// Hope is what a claim expects, as the plan has it: a percentage where the claim is relative and the metric on the ratio scale, else
// a figure in the unit, percentage points for shares. Low and High bound the region, ±Inf where it is open; Near is the figure a
// region lies about, Within how far it may be off. Same is the margin about no difference.
type Hope struct {
	Low, High    float64
	Near, Within float64
	IsNear, Same bool
}

// region is where on the metric's scale a claim holds.
type region struct{ low, high float64 }

func (r region) holds(d float64) bool { return r.low <= d && d <= r.high }

// nearest returns the edge that is nearest to d.
func (r region) nearest(d float64) float64 {
	if math.Abs(d-r.low) <= math.Abs(r.high-d) {
		return r.low
	}
	return r.high
}

// region puts a hope on the metric's scale: a percentage x as ln(1 + x/100), an absolute figure of the ratio scale as ln x.
func (m Metric) region(h Hope, absolute bool, margin Margin) region {
	if h.Same {
		limit := m.step(margin.Percent, margin.Points)
		return region{math.Nextafter(-limit, 0), math.Nextafter(limit, 0)} // the margin itself is outside
	}
	if h.IsNear {
		h.Low, h.High = h.Near-h.Within, h.Near+h.Within
	}
	return region{m.edge(h.Low, absolute), m.edge(h.High, absolute)}
}

// edge returns a bound of a region on the metric's scale.
func (m Metric) edge(x float64, absolute bool) float64 {
	switch {
	case math.IsInf(x, 0):
		return x
	case m.Scale == Ratio && absolute, m.Scale == Count && absolute:
		return math.Log(max(x, 0)) // −Inf at 0: every figure is above
	case m.Scale == Ratio || m.Scale == Count:
		return math.Log(max(1+x/100, 0))
	case m.Unit == "share":
		return x / 100
	}
	return x
}

// RepeatsForClaim returns the launches a side that would settle an open claim with 80 % chance (definitions, section 5): to be level
// for the same, else to show what is claimed. weight is 1/γ for one cell in each of γ games. For an absolute figure the error is one
// side's, and what is to be shown is how far off it may be, else the margin.
func RepeatsForClaim(m Metric, h Hope, absolute bool, pairs []Pair, u SessionSpread, margin Margin) Repeats {
	var cells []CellStat
	for _, p := range pairs {
		cells = append(cells, p.Of)
		if !absolute {
			cells = append(cells, p.Base)
		}
	}
	noise, ok := PooledNoise(cells)
	if !ok {
		return Repeats{Why: "no spread to plan with"}
	}
	noise.Planned *= meanOverGames(partsFor(pairs)).weight
	switch {
	case h.Same:
		return RepeatsToLevel(m, margin, noise, u)
	case absolute:
		step := m.step(margin.Percent, margin.Points)
		if h.IsNear && m.Scale == Ratio {
			step = max(step, math.Log1p(h.Within/math.Abs(h.Near)))
		} else if h.IsNear {
			step = max(step, m.edge(h.Within, true))
		}
		power := func(ratio, nu float64) float64 { return differPower(ratio, nu, noise.error(0.05)) }
		return leastRepeats(m, 1, step, noise, u, power)
	case m.Scale == Difference:
		return RepeatsToDiffer(m, m.edge(h.claimed(), false), margin, noise, u)
	}
	return RepeatsToDiffer(m, h.claimed(), margin, noise, u)
}

// partsFor holds the pairs' games alone, for their weights.
func partsFor(pairs []Pair) (parts []part) {
	for _, p := range pairs {
		parts = append(parts, part{game: p.Game})
	}
	return parts
}

// claimed is the size of the difference that a hope names: the bound nearest to none for a region, the figure itself for one near it.
func (h Hope) claimed() float64 {
	switch {
	case h.IsNear:
		return h.Near
	case math.IsInf(h.Low, 0):
		return h.High
	case math.IsInf(h.High, 0) || math.Abs(h.Low) < math.Abs(h.High):
		return h.Low
	}
	return h.High
}

// String names a hope as a plan does, for messages.
func (h Hope) String() string {
	switch {
	case h.Same:
		return "the same"
	case h.IsNear:
		return fmt.Sprintf("%g within %g", h.Near, h.Within)
	case math.IsInf(h.Low, 0):
		return fmt.Sprintf("at most %g", h.High)
	case math.IsInf(h.High, 0):
		return fmt.Sprintf("at least %g", h.Low)
	}
	return fmt.Sprintf("%g to %g", h.Low, h.High)
}

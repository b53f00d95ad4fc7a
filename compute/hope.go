package compute

import (
	"math"
	"strconv"
	"strings"
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
		if m.Scale == Count {
			limit = math.Log1p(margin.Percent / 100) // rates are compared by their ratio
		}
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

// RepeatsForClaim returns the launches a side that would settle an open claim with 80 % chance (definitions, section 5). What was
// observed has no place here: a region is planned to be shown from its middle, by both one-sided tests, and a bound from one margin
// away. (To plan a bound as a difference from nothing, as the section has it, says nothing of a figure near the bound.) For one cell
// in each of γ games the variance of launches counts 1/γ. claims is how many the plan makes: each may err by its share only.
func RepeatsForClaim(m Metric, h Hope, absolute bool, pairs []Pair, u SessionSpread, margin Margin, claims int) Repeats {
	sides := 2
	var cells []CellStat
	for _, p := range pairs {
		cells = append(cells, p.Of)
		if absolute {
			sides = 1
		} else {
			cells = append(cells, p.Base)
		}
	}
	noise, ok := PooledNoise(cells)
	if !ok {
		return Repeats{Why: "no spread to plan with"}
	}
	noise.Looks = max(1, noise.Looks) * claims
	noise.Planned *= meanOverGames(partsFor(pairs)).weight
	step, power := m.step(margin.Percent, margin.Points), differPower
	if h.Same {
		power = levelPower
	} else if h.IsNear {
		r := m.region(h, absolute, margin)
		step, power = (r.high-r.low)/2, levelPower
	}
	return leastRepeats(m, sides, step, noise, u, func(ratio, nu float64) float64 { return power(ratio, nu, noise.error(0.05)) })
}

// partsFor holds the pairs' games alone, for their weights.
func partsFor(pairs []Pair) (parts []part) {
	for _, p := range pairs {
		parts = append(parts, part{game: p.Game})
	}
	return parts
}

// In words a hope with the unit it is stated in.
func (h Hope) In(unit string) string {
	figure := func(x float64) string {
		return strings.TrimSpace(strings.Replace(strconv.FormatFloat(x, 'f', -1, 64), "-", "−", 1) + " " + unit)
	}
	switch {
	case h.Same:
		return "the same"
	case h.IsNear && h.Within == 0: // of a fact, which may be expected to the digit
		return figure(h.Near)
	case h.IsNear:
		return figure(h.Near) + " within " + figure(h.Within)
	case math.IsInf(h.Low, 0):
		return "at most " + figure(h.High)
	case math.IsInf(h.High, 0):
		return "at least " + figure(h.Low)
	}
	return figure(h.Low) + " to " + figure(h.High)
}

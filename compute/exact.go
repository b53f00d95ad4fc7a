package compute

import "math"

// exactly is why a claim on facts has no interval and no p.
const exactly = "exact: there is nothing to test"

// rounding is how far, of the larger of the figures, an exact one may lie off an edge: what is worked out of decimals differs in its last digit.
const rounding = 1e-9

// ExactClaim sets a hope beside facts that have no uncertainty: supported or contradicted, with no interval and no p, so that it is not one of
// the tests that share their error. Of a difference the estimate is in percent where percent is so, else in the metric's unit; `same` is
// within the margin, in percent on the ratio scale and in points on the other. Without a base the figure stands alone.
func ExactClaim(m Metric, h Hope, of Value, base *Value, percent bool, margin Margin) ClaimFigures {
	c := ClaimFigures{Metric: m.Name, Looks: 1, hope: h, absolute: base == nil, exact: true}
	d, size := of, math.Abs(of.X)
	switch relative := percent || h.Same && m.Scale == Ratio; {
	case base == nil:
	case relative:
		if d = FactRatio(of, *base); d.OK {
			d = Known(100 * (d.X - 1))
		}
		size = 100
	default:
		d = FactDifference(of, *base)
		size = max(size, math.Abs(base.X))
	}
	if !d.OK {
		c.absent(d.Why)
		return c
	}
	c.Estimate = d
	c.noTest(exactly)
	if h.Same {
		most := margin.Points
		if m.Scale == Ratio {
			most = margin.Percent
		}
		c.Inside = math.Abs(d.X) < most // the margin itself is outside
		return c
	}
	if h.IsNear {
		h.Low, h.High = h.Near-h.Within, h.Near+h.Within
	}
	slack := rounding * max(size, math.Abs(d.X))
	c.Inside = h.Low-slack <= d.X && d.X <= h.High+slack
	return c
}

// BreakEvenClaim sets a hope in a currency beside the price at which a card costs as much per frame as the base, whose price it is called
// on. Since that price is the base's times the ratio of the mean frame rates, it is the hope as a percentage of the base's price that is
// tested, over the cells of the pairs. Estimate and intervals are in the currency. As of one card's figure no sign is tested, and "about" is
// said where the half-width is at most what the hope allows.
func (p Price) BreakEvenClaim(h Hope, pairs []Pair, u SessionSpread, margin Margin) ClaimFigures {
	rate, _ := MetricByName(perSecond)
	if !(p.Amount > 0) {
		c := ClaimFigures{Metric: rate.Name, Looks: 1, hope: h, absolute: true}
		c.absent("the base has no price")
		return c
	}
	c := Claim(rate, p.AsPercent(h), false, pairs, u, margin)
	c.hope, c.absolute = h, true
	c.Estimate, c.Low, c.High = p.fromPercent(c.Estimate), p.fromPercent(c.Low), p.fromPercent(c.High)
	if c.HalfWidth.OK {
		c.HalfWidth = Known(c.High.X/2 - c.Low.X/2)
	}
	if c.PSign.OK {
		c.PSign = Absent("the claim has no sign")
	}
	if relative := c.offer; relative != nil {
		c.offer = func(c *ClaimFigures, claims int) {
			c.absolute = false
			relative(c, claims)
			c.absolute = true
			c.SaidLow, c.SaidHigh = p.fromPercent(c.SaidLow), p.fromPercent(c.SaidHigh)
		}
	}
	return c
}

// AsPercent turns a hope for a break-even price into one for the ratio of mean frame rates, in percent.
func (p Price) AsPercent(h Hope) Hope {
	if h.Same {
		return h
	}
	return Hope{Low: 100 * (h.Low/p.Amount - 1), High: 100 * (h.High/p.Amount - 1), Near: 100 * (h.Near/p.Amount - 1), Within: 100 * h.Within / p.Amount,
		IsNear: h.IsNear}
}

func (p Price) fromPercent(percent Value) Value {
	if !percent.OK {
		return percent
	}
	return Known(float64(p.Amount * (1 + percent.X/100)))
}

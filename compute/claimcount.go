package compute

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// counted is the evidence of events by time, the cells' events and minutes added up: against a base the exact binomial of
// compareCounts, alone the exact Poisson, whose interval is F. Garwood's (Biometrika 28, 1936).
func (c *ClaimFigures) counted(m Metric, pairs []Pair) evidence {
	var of, base CellStat
	var minutes, baseMinutes []float64
	games := map[string]bool{}
	for _, p := range pairs {
		games[p.Game] = true
		of.Events, minutes = of.Events+p.Of.Events, append(minutes, p.Of.Minutes)
		base.Events, baseMinutes = base.Events+p.Base.Events, append(baseMinutes, p.Base.Minutes)
		sides := []CellStat{p.Of, p.Base}
		if c.absolute {
			sides = sides[:1]
		}
		if why, ok := crowded(sides...); ok && c.Why == "" {
			c.Why = why
		}
		if slices.ContainsFunc(sides, func(s CellStat) bool { return s.Launches < 2 }) && c.Why == "" {
			c.Why = "one launch does not show how evenly the events fall"
		}
	}
	of.Minutes, base.Minutes = orderFree(minutes), orderFree(baseMinutes)
	c.Games = len(games)
	c.DF = Absent("an exact test has no degrees of freedom")
	if c.absolute {
		return c.rate(m, of)
	}
	e := rateRatio(of, base)
	c.Estimate = c.shown(m, e.d)
	if of.Events+base.Events == 0 {
		c.Why = "no events on either side"
	}
	e.verdict = func(looks int) Verdict {
		if p := 2 * float64(looks) * min(e.above(0), e.below(0)); p <= claimChance {
			return direction(m, e.d)
		}
		return Unresolved
	}
	return e
}

func rateRatio(of, base CellStat) evidence {
	x, n := of.Events, of.Events+base.Events
	share := func(edge float64) float64 {
		a := math.Exp(edge) * of.Minutes
		if math.IsInf(a, 1) {
			return 1
		}
		return a / (a + base.Minutes)
	}
	onScale := func(events float64) float64 { return math.Log(events / (1 - events) * (base.Minutes / of.Minutes)) }
	return evidence{
		d:     math.Log(of.Events / of.Minutes * (base.Minutes / base.Events)),
		above: func(edge float64) float64 { return binomialAtLeast(x, n, share(edge)) },
		below: func(edge float64) float64 { return binomialAtMost(x, n, share(edge)) },
		interval: func(tail float64) (float64, float64) {
			low, high := clopperPearson(x, n, 1-2*tail)
			return onScale(low), onScale(high)
		},
	}
}

// rate is the evidence of one side's events alone.
func (c *ClaimFigures) rate(m Metric, of CellStat) evidence {
	x, t := of.Events, of.Minutes
	c.Estimate = Known(x / t)
	return evidence{
		d: math.Log(x / t),
		above: func(edge float64) float64 {
			if x == 0 {
				return 1
			}
			return mathext.GammaIncReg(x, math.Exp(edge)*t)
		},
		below: func(edge float64) float64 { return mathext.GammaIncRegComp(x+1, math.Exp(edge)*t) },
		interval: func(tail float64) (float64, float64) {
			low := math.Inf(-1)
			if x > 0 {
				low = math.Log(mathext.GammaIncRegInv(x, tail) / t)
			}
			return low, math.Log(mathext.GammaIncRegCompInv(x+1, tail) / t)
		},
	}
}

package compute

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
)

// mostDispersion is the variance over mean of the events per launch above which they are not random arrivals, and an exact
// binomial test would claim too much (definitions, section 3).
const mostDispersion = 2

// count works out the events per minute of a cell and how evenly they fall on its launches.
func (c *CellStat) count(launches [][]Sample) {
	perLaunch := make([]float64, 0, len(launches))
	var minutes []float64
	for _, l := range launches {
		var events float64
		for _, s := range l {
			events += s.Value.X
			minutes = append(minutes, s.Minutes)
		}
		perLaunch = append(perLaunch, events)
		c.Events += events
	}
	slices.Sort(perLaunch)
	c.Minutes = orderFree(minutes)
	if c.Minutes <= 0 {
		c.absent("no time to count in")
		return
	}
	c.noInterval("counts are compared as they are, by the exact binomial")
	c.SpreadPct = Absent("a spread in percent is had on the ratio scale only")
	c.Mean = Known(c.Events / c.Minutes)
	c.Centre = c.Mean
	switch {
	case len(perLaunch) < 2:
		c.Why = oneLaunch(c.N)
		c.Dispersion = Absent(c.Why)
	case c.Events == 0:
		c.Dispersion = Absent("no events")
	default:
		c.Dispersion = Known(varianceOf(perLaunch) / meanOf(perLaunch))
	}
}

// compareCounts fills a comparison of events by time: given the events of both sides, those of one are binomial with its share
// of the time. p is twice the smaller tail; the interval of Clopper and Pearson for that share, Biometrika 26, 1934, turned into
// the ratio of the rates, in percent.
func (r *Comparison) compareCounts(a, base CellStat) {
	x, n := a.Events, a.Events+base.Events
	share := a.Minutes / (a.Minutes + base.Minutes)
	r.Difference = Known(a.Mean.X - base.Mean.X)
	r.DF = Absent("an exact test has no degrees of freedom")
	r.P = Known(min(1, 2*float64(r.Looks)*min(binomialAtMost(x, n, share), binomialAtLeast(x, n, share))))
	r.Ratio, r.Percent = Absent("no events on the other side"), Absent("no events on the other side")
	if base.Events > 0 {
		ratio := a.Mean.X / base.Mean.X
		r.Ratio, r.Percent = Known(ratio), Known(100*(ratio-1))
	}
	low, high := clopperPearson(x, n, 1-0.05/float64(r.Looks))
	r.OwnLow, r.OwnHigh = rateRatioPercent(low, share), rateRatioPercent(high, share)
	if n == 0 {
		r.OwnLow, r.OwnHigh = Absent("no events on either side"), Absent("no events on either side")
	}
	r.Low, r.High = r.OwnLow, r.OwnHigh
}

// rateRatioPercent turns the share of events on side a into the ratio of the rates, in percent above 1.
func rateRatioPercent(events, time float64) Value {
	if events >= 1 {
		return Absent("no upper limit: no events on the other side")
	}
	return Known(100 * (float64(events/(1-events)*((1-time)/time)) - 1))
}

// binomialAtLeast is P(X ≥ x) for X binomial of n trials at p.
func binomialAtLeast(x, n, p float64) float64 {
	if x <= 0 {
		return 1
	}
	return mathext.RegIncBeta(x, n-x+1, p)
}

// binomialAtMost is P(X ≤ x).
func binomialAtMost(x, n, p float64) float64 {
	if x >= n {
		return 1
	}
	return mathext.RegIncBeta(n-x, x+1, 1-p)
}

// clopperPearson is the exact interval for the probability of a binomial with x successes of n.
func clopperPearson(x, n, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	low, high = 0, 1
	if x > 0 {
		low = mathext.InvRegIncBeta(x, n-x+1, tail)
	}
	if x < n {
		high = 1 - mathext.InvRegIncBeta(n-x, x+1, tail)
	}
	return math.Max(low, 0), math.Min(high, 1)
}

// judgeCounts gives the verdict on a comparison of counts.
func (r *Comparison) judgeCounts(m Metric, a, base CellStat) {
	if why, ok := crowded(a, base); ok {
		r.Why = why
		return
	}
	r.Verdict = Unresolved
	if r.P.X <= 0.05 && r.Difference.X != 0 {
		r.Verdict = direction(m, r.Difference.X)
	}
}

// crowded says whether the events of a side fall too unevenly on its launches to be random arrivals.
func crowded(sides ...CellStat) (why string, ok bool) {
	for _, side := range sides {
		if side.Dispersion.OK && side.Dispersion.X > mostDispersion {
			return "the events crowd in some launches: their variance is more than twice their mean", true
		}
	}
	return "", false
}

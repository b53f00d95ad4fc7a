package compute

import (
	"fmt"
	"math"
	"slices"
)

// Sample is one pass's contribution to a cell. Minutes is the kept time, needed for counts. A pass whose launch is assumed or
// empty counts as a launch of its own, whatever name it was given; a session that is assumed or empty is not a recorded one.
type Sample struct {
	Value          Value
	Thin           bool // the figure is a low resting on too few frames
	Launch         string
	Session        string
	LaunchAssumed  bool
	SessionAssumed bool
	Minutes        float64
}

// CellStat is a metric over the passes of a cell (definitions, section 2). N, Launches and Sessions count the passes that have a
// value; Absent the others. Mean, Low, High, OwnLow and OwnHigh are in the metric's MeanUnit; SD is in percent (100·s) on the
// ratio scale and else in the unit; SpreadPct is in percent. Low and High are the interval to show, OwnLow and OwnHigh the one
// from the cell's own spread. ShownVariance and DF are what Low and High rest on: the cell's own, until Borrow leans it on the
// other cells of the review; Method says which. Why says why there is no mean or no interval, or why passes are Absent.
type CellStat struct {
	Metric             string
	N, Absent          int
	Launches, Sessions int
	Mean, SD           Value
	Low, High          Value
	OwnLow, OwnHigh    Value
	DF                 Value
	SpreadPct          Value
	Centre             Value   // on the metric's scale
	Variance           Value   // of the launches' values about it, on the scale; absent for one launch
	ShownVariance      Value   // that, or the borrowed one where it is more
	Expected           Value   // variance of launches to come, which repeats are planned with: the borrowed one even where that is less
	Borrowed           bool    // the shown interval rests on a borrowed spread
	From               int     // the cells it is borrowed from
	PriorDF            float64 // of all these cells: no mean of borrowed spreads has more
	Method             string  // "own spread" or "spread borrowed from N cells"; empty where there is no spread
	Session            string  // the one recorded session all passes are of, else empty
	PerSession         float64 // the part of u² that its centre keeps: 1/S over S sessions alike, 1 where not all are recorded
	Events, Minutes    float64
	Dispersion         Value // counts: variance over mean of the events per launch
	Looks              int   // declared looks at the cell as its passes grow, over which a comparison splits its error; 0 is one
	Flags              []Flag
	Why                string
}

// Cell combines the passes of a cell. Figures that are absent take no part and are counted in Absent.
func Cell(m Metric, samples []Sample) CellStat {
	c := CellStat{Metric: m.Name}
	used := make([]Sample, 0, len(samples))
	for _, s := range samples {
		if !s.Value.OK {
			c.Absent++
			c.Why = s.Value.Why
			continue
		}
		s.LaunchAssumed = s.LaunchAssumed || s.Launch == ""
		s.SessionAssumed = s.SessionAssumed || s.Session == ""
		used = append(used, s)
	}
	c.N = len(used)
	launches := byLaunch(used)
	c.Launches = len(launches)
	c.sessions(used, launches)
	c.flag(slices.ContainsFunc(used, func(s Sample) bool { return s.Thin }), FlagThin)
	c.flag(slices.ContainsFunc(used, func(s Sample) bool { return s.LaunchAssumed }), FlagLaunchAssumed)
	c.flag(c.Launches == 1, FlagSingle)
	switch {
	case len(samples) == 0:
		c.absent("no pass")
	case c.N == 0:
		c.absent(c.Why)
	case m.Scale == None:
		c.absent(m.Name + " is not averaged over passes")
	case m.Scale == Count:
		c.count(launches)
	default:
		c.average(m, launches)
	}
	return c
}

// byLaunch sorts passes into launches, in order of appearance. Launches are told apart by session and name together, so that
// numbering them anew in each session does no harm.
func byLaunch(samples []Sample) (launches [][]Sample) {
	for _, s := range samples {
		at := slices.IndexFunc(launches, func(l []Sample) bool {
			return !s.LaunchAssumed && !l[0].LaunchAssumed && l[0].Launch == s.Launch && l[0].Session == s.Session
		})
		if at < 0 {
			launches = append(launches, []Sample{s})
		} else {
			launches[at] = append(launches[at], s)
		}
	}
	return launches
}

// sessions counts the sessions, names the one all passes are recorded to be of, and says what the centre keeps of what sessions move:
// the mean of k launches, k_s of each session, has Σ(k_s/k)² of a session's variance.
func (c *CellStat) sessions(used []Sample, launches [][]Sample) {
	c.PerSession = 1
	var names []string
	recorded := true
	for _, s := range used {
		recorded = recorded && !s.SessionAssumed
		if !slices.Contains(names, s.Session) {
			names = append(names, s.Session)
		}
	}
	c.Sessions = len(names)
	if recorded && len(names) == 1 {
		c.Session = names[0]
	}
	if !recorded || len(names) < 2 {
		return
	}
	of := map[string]int{}
	for _, l := range launches {
		of[l[0].Session]++
	}
	squares := 0
	for _, n := range of {
		squares += n * n
	}
	c.PerSession = float64(squares) / float64(len(launches)*len(launches))
}

func (c *CellStat) flag(set bool, word Flag) {
	if set {
		c.Flags = append(c.Flags, word)
	}
}

// absent marks the cell as having no mean.
func (c *CellStat) absent(why string) {
	none := Absent(why)
	c.Mean, c.Centre, c.SpreadPct = none, none, none
	c.Why = why
	c.noInterval(why)
}

// noInterval marks what rests on a spread as absent.
func (c *CellStat) noInterval(why string) {
	none := Absent(why)
	c.SD, c.Variance, c.ShownVariance, c.Expected, c.DF, c.Dispersion = none, none, none, none, none, none
	c.Low, c.High, c.OwnLow, c.OwnHigh = none, none, none, none
}

// average works out centre, spread and interval on the metric's scale.
func (c *CellStat) average(m Metric, launches [][]Sample) {
	var raw []float64 // of every pass, in the unit
	means := make([]float64, 0, len(launches))
	for _, l := range launches {
		ys := make([]float64, 0, len(l))
		for _, s := range l {
			y := m.onScale(s.Value)
			if !y.OK {
				c.absent(y.Why)
				return
			}
			raw, ys = append(raw, s.Value.X), append(ys, y.X)
		}
		slices.Sort(ys)
		means = append(means, meanOf(ys))
	}
	slices.Sort(means) // so that the order of the passes cannot be seen in the last digit
	c.Centre = Known(meanOf(means))
	if !c.Centre.OK {
		c.absent(c.Centre.Why)
		return
	}
	c.Mean = m.inUnit(c.Centre.X)
	if allEqual(raw) {
		c.Mean = Known(raw[0]) // not by way of a logarithm
	}
	c.SpreadPct = rangeOfPasses(m, raw, c.Mean)
	c.Dispersion = Absent("not a count")
	k := len(means)
	if k < 2 {
		c.Why = oneLaunch(c.N)
		c.noInterval(c.Why)
		return
	}
	c.Variance = Known(varianceOf(means))
	if !c.Variance.OK {
		c.noInterval(c.Variance.Why)
		return
	}
	c.flag(c.Variance.X == 0, FlagIdentical)
	c.ShownVariance, c.Expected, c.Method = c.Variance, c.Variance, ownSpread
	s := math.Sqrt(c.Variance.X)
	c.DF = Known(float64(k - 1))
	c.SD = Known(s)
	if m.Scale == Ratio {
		c.SD = Known(100 * s)
	}
	half := TQuantile(0.975, c.DF.X) * s / math.Sqrt(float64(k))
	c.OwnLow, c.OwnHigh = bounds(m.inUnit, c.Centre.X, half)
	if half == 0 {
		c.OwnLow, c.OwnHigh = c.Mean, c.Mean
	}
	c.Low, c.High = c.OwnLow, c.OwnHigh
}

// bounds returns the ends of an interval in the unit, both or neither: one with a single end would read as if the other were known.
func bounds(inUnit func(float64) Value, centre, half float64) (low, high Value) {
	low, high = inUnit(centre-half), inUnit(centre+half)
	if !low.OK || !high.OK {
		wide := Absent("the spread is too large for an interval")
		return wide, wide
	}
	return low, high
}

// rangeOfPasses is 100·(max − min)/mean over the passes.
func rangeOfPasses(m Metric, raw []float64, mean Value) Value {
	if m.Scale != Ratio {
		return Absent("a spread in percent is had on the ratio scale only")
	}
	if len(raw) < 2 {
		return Absent("one pass")
	}
	return Known(100 * (slices.Max(raw) - slices.Min(raw)) / mean.X)
}

// oneLaunch says why a cell of n passes of one launch has no interval, and the mend.
func oneLaunch(n int) string {
	if n == 1 {
		return "one pass: run another in a launch of its own"
	}
	words := [...]string{2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine", 10: "ten"}
	count := fmt.Sprint(n)
	if n < len(words) {
		count = words[n]
	}
	return count + " passes of one launch: run them in launches of their own"
}

// spreadScale is d₂(n), the mean range of n normal values in standard deviations, for n = 2 to 10 (definitions, section 2).
var spreadScale = [...]float64{2: 1.128, 3: 1.693, 4: 2.059, 5: 2.326, 6: 2.534, 7: 2.704, 8: 2.847, 9: 2.970, 10: 3.078}

// SpreadLimit returns the SpreadPct above which the mean frame rates of n passes make a cell doubtful, in percent: the plan's
// limit, meant for three passes, scaled so that more passes do not look worse.
func SpreadLimit(maxSpreadPct float64, n int) float64 {
	return maxSpreadPct * spreadScale[min(max(n, 2), 10)] / spreadScale[3]
}

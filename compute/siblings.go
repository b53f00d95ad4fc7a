package compute

import (
	"math"
	"slices"
)

// Siblings is what comparing the passes of a cell with each other shows (definitions, section 2, "Siblings"). Checks has one entry
// a pass, in the order given. NotReproducible is set where no pass can be judged by its siblings, since these do not follow one
// scene: the passes did not show the same thing.
type Siblings struct {
	Checks          []SiblingCheck
	NotReproducible bool
}

// SiblingCheck is a pass against the other passes of its cell. DriftPct is in percent over the pass, DriftP the two-sided p of
// there being none; Drifts says that both make it one, and that no sibling lends it. Off says why neither check was made, else it
// is empty: only then is a pass without findings a good one.
type SiblingCheck struct {
	DriftPct, DriftP Value
	Drifts           bool
	Disturbances     []Stretch // in order of time
	Off              string
}

// A drift is above the one, in percent over the pass, and its p below the other.
const driftPct, driftP = 2, 0.05

// leastForDrift is the shared length in whole seconds below which no drift is looked for: a tenth of a shorter pass is less than two
// seconds, and its noise alone passes for a drift of 2 % too often (simulated, and seen on passes of 8 s that have none).
const leastForDrift = 20

const tooShortForDrift = "the passes share less than 20 s"

// CompareSiblings compares each pass of a cell with the others at the same place of the scene, which cancels the scene. Passes
// without figures take no part. Passes of different lengths are compared over the whole seconds that all have. With two passes
// each is compared with the other, so a drift is found in both, one falling and one rising; which of them is at fault cannot be
// told.
func CompareSiblings(passes []*Pass) Siblings {
	s := Siblings{Checks: make([]SiblingCheck, len(passes))}
	var places []int
	var used []*Pass
	for i, p := range passes {
		if p.Why != "" {
			s.Checks[i] = offCheck(p.Why)
			continue
		}
		places, used = append(places, i), append(used, p)
	}
	rates := sharedSeconds(used)
	profiles, why := alignedProfiles(used, rates)
	if len(used) == 1 {
		why = "one pass has no siblings"
	}
	if why != "" {
		for _, i := range places {
			s.Checks[i] = offCheck(why)
		}
		return s
	}
	checks := make([]*SiblingCheck, len(used))
	for k, alike := range siblingsAlike(profiles) {
		c := &s.Checks[places[k]]
		checks[k] = c
		if !alike {
			*c = offCheck(notAlike)
			continue
		}
		c.DriftPct, c.DriftP = Absent(tooShortForDrift), Absent(tooShortForDrift)
		if len(rates[k]) >= leastForDrift {
			c.DriftPct, c.DriftP, c.Drifts = driftBeside(profiles[k], but(profiles, k))
		}
		c.Disturbances = disturbances(rates, k, used[k].StartNS)
	}
	dropShadows(checks, profiles)
	s.NotReproducible = len(checks) > 0 && !slices.ContainsFunc(checks, func(c *SiblingCheck) bool { return c.Off == "" })
	return s
}

func offCheck(why string) SiblingCheck {
	return SiblingCheck{DriftPct: Absent(why), DriftP: Absent(why), Off: why}
}

// driftBeside returns the residual drift of a profile against those of other passes, in percent, its p, and whether it is one.
func driftBeside(profile []float64, others [][]float64) (pct, p Value, drifts bool) {
	y, ok := logRatio(profile, medianSeries(others))
	if !ok {
		none := Absent("no frame in a tenth of the pass")
		return none, none, false
	}
	pct, p = Drift(y)
	return pct, p, math.Abs(pct.X) > driftPct && p.OK && p.X < driftP
}

// dropShadows takes back the drifts that another pass lends: one of three that falls by 5 % pulls the median of the other two's
// siblings down by half of that, and they seem to rise. A drift stands if it is still there without the passes that drift more
// the other way, or if that leaves none to compare with. checks and profiles are of the same passes.
func dropShadows(checks []*SiblingCheck, profiles [][]float64) {
	stands := make([]bool, len(checks))
	for k, c := range checks {
		stands[k] = c.Drifts
		var rest [][]float64
		for i, other := range checks {
			against := other.Drifts && other.DriftPct.X*c.DriftPct.X < 0 && math.Abs(other.DriftPct.X) > math.Abs(c.DriftPct.X)
			if i != k && !against {
				rest = append(rest, profiles[i])
			}
		}
		if c.Drifts && len(rest) > 0 {
			pct, _, drifts := driftBeside(profiles[k], rest)
			stands[k] = drifts && pct.X*c.DriftPct.X > 0
		}
	}
	for k, c := range checks {
		c.Drifts = stands[k]
	}
}

// sharedSeconds returns the rates of the whole seconds that all passes have, pass by pass.
func sharedSeconds(passes []*Pass) [][]float64 {
	rates := make([][]float64, len(passes))
	shared := maxSeconds
	for _, p := range passes {
		shared = min(shared, len(p.SecondRates))
	}
	for i, p := range passes {
		rates[i] = p.SecondRates[:shared]
	}
	return rates
}

// alignedProfiles returns the profiles of passes so that a block is the same part of the scene in each. The tenths of kept times
// that agree within 1 %, a tenth of a block, are; else the profiles are those of the seconds that all share, ten at least.
func alignedProfiles(passes []*Pass, rates [][]float64) (profiles [][]float64, why string) {
	shortest, longest := int64(math.MaxInt64), int64(0)
	for _, p := range passes {
		shortest, longest = min(shortest, p.DurationNS), max(longest, p.DurationNS)
	}
	same := longest-shortest <= longest/(10*profileBlocks)
	for i, p := range passes {
		switch {
		case same:
			profiles = append(profiles, p.Profile[:])
		case len(rates[i]) < profileBlocks:
			return nil, "the passes differ in length and share fewer than ten whole seconds"
		default:
			profiles = append(profiles, profileOfSeconds(rates[i]))
		}
	}
	return profiles, ""
}

// profileOfSeconds returns the ten-block profile of whole seconds, the rate being even within each.
func profileOfSeconds(rates []float64) []float64 {
	profile := make([]float64, profileBlocks)
	n := len(rates) // a second is ten parts, a block n of them, so every edge falls between parts
	for part := range n * profileBlocks {
		profile[part/n] += rates[part/profileBlocks] / float64(n)
	}
	return profile
}

// but returns the series without the one at k.
func but(series [][]float64, k int) [][]float64 { return slices.Concat(series[:k], series[k+1:]) }

// medianSeries returns the median at each place over one or more series.
func medianSeries(series [][]float64) []float64 {
	medians := make([]float64, len(series[0]))
	column := make([]float64, len(series))
	for at := range medians {
		for i, s := range series {
			column[i] = s[at]
		}
		medians[at] = medianOf(column)
	}
	return medians
}

// logRatio returns ln(a/b) place by place, and whether there is one at each.
func logRatio(a, b []float64) ([]float64, bool) {
	y := make([]float64, len(a))
	for i := range a {
		if !(a[i] > 0 && b[i] > 0) {
			return nil, false
		}
		y[i] = math.Log(a[i] / b[i])
	}
	return y, true
}

package compute

import "math"

// Siblings is what comparing the passes of a cell with each other shows (definitions, section 2, "Siblings"). Checks has one entry
// a pass, in the order given. NotReproducible is set where no pass can be judged by its siblings, since these do not follow one
// scene: the passes did not show the same thing.
type Siblings struct {
	Checks          []SiblingCheck
	NotReproducible bool
}

// SiblingCheck is a pass against the other passes of its cell. DriftPct is in percent over the pass, DriftP the two-sided p of
// there being none; Drifts says that both make it one. Off says why neither check was made, else it is empty: a pass without
// findings is a good one only then.
type SiblingCheck struct {
	DriftPct, DriftP Value
	Drifts           bool
	Disturbances     []Stretch // in order of time
	Off              string
}

// Stretch is a run of whole seconds in which a pass was slow: its times in s from the start of the capture, frames cut from it
// included, and by how many percent the pass was below what its siblings had then, on the mean over the stretch. A pass that is
// slower throughout is not below by that: its usual distance from its siblings is taken out.
type Stretch struct{ FromS, ToS, BelowPct float64 }

const (
	driftPct, driftP = 2, 0.05 // a drift is above the one and below the other
	lowRatio         = 0.95    // of a second that is slow if its neighbour is
	deepRatio        = 0.8     // of a second that is slow by itself
	likeR            = 0.5     // correlation from which two passes show one scene
	likeRMS          = 0.02    // spread of a pair's ln ratio within which a scene is too flat to correlate
	notAlike         = "its siblings do not follow one scene"
)

// Longest returns the longest disturbance, of equally long ones the first, and whether there is any.
func (c SiblingCheck) Longest() (longest Stretch, found bool) {
	for _, s := range c.Disturbances {
		if s.ToS-s.FromS > longest.ToS-longest.FromS {
			longest, found = s, true
		}
	}
	return longest, found
}

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
	alike := siblingsAlike(profiles)
	off := 0
	for k, i := range places {
		switch {
		case why != "":
			s.Checks[i] = offCheck(why)
		case !alike[k]:
			s.Checks[i] = offCheck(notAlike)
			off++
		default:
			s.Checks[i] = checkPass(profiles, rates, k, used[k].StartNS)
		}
	}
	s.NotReproducible = off > 0 && off == len(used)
	return s
}

func offCheck(why string) SiblingCheck {
	return SiblingCheck{DriftPct: Absent(why), DriftP: Absent(why), Off: why}
}

// checkPass looks for both kinds of trouble in pass k.
func checkPass(profiles, rates [][]float64, k int, startNS int64) SiblingCheck {
	c := SiblingCheck{Disturbances: disturbances(rates, k, startNS)}
	y, ok := logRatio(profiles[k], medianSeries(profiles, k))
	if !ok {
		c.DriftPct = Absent("no frame in a tenth of the pass")
		c.DriftP = c.DriftPct
		return c
	}
	c.DriftPct, c.DriftP = driftOf(y)
	c.Drifts = math.Abs(c.DriftPct.X) > driftPct && c.DriftP.OK && c.DriftP.X < driftP
	return c
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

// nobody stands for no pass to leave out.
const nobody = -1

// medianSeries returns the median at each place over the series but one.
func medianSeries(series [][]float64, without int) []float64 {
	medians := make([]float64, len(series[0]))
	column := make([]float64, 0, len(series))
	for at := range medians {
		column = column[:0]
		for i, s := range series {
			if i != without {
				column = append(column, s[at])
			}
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

// disturbances returns the stretches in which pass k is slow both against its siblings and against all passes: of three passes,
// one that is fast for a while moves the former for the other two, but not the latter.
func disturbances(rates [][]float64, k int, startNS int64) []Stretch {
	beside := steadied(rates[k], medianSeries(rates, k))
	among := beside
	if len(rates) > 2 {
		among = steadied(rates[k], medianSeries(rates, nobody))
	}
	var found []Stretch
	for from := 0; from < len(beside); from++ {
		to, deep := from, false
		var below sum
		for to < len(beside) && max(beside[to], among[to]) < lowRatio {
			deep = deep || max(beside[to], among[to]) < deepRatio
			below.add(1 - beside[to])
			to++
		}
		if deep || to-from >= 2 {
			start := float64(startNS) / nsPerSecond
			found = append(found, Stretch{start + float64(from), start + float64(to), 100 * below.value() / float64(to-from)})
		}
		from = max(from, to-1)
	}
	return found
}

// steadied returns a/b second by second, divided by its own median. A second in which b has no frames has no ratio; it counts as
// 1, which is no finding. So does every second where most of a are empty.
func steadied(a, b []float64) []float64 {
	ratios := make([]float64, len(a))
	var known []float64
	for i := range a {
		if b[i] > 0 {
			ratios[i] = a[i] / b[i]
			known = append(known, ratios[i])
		}
	}
	usual := 0.0
	if len(known) > 0 {
		usual = medianOf(known)
	}
	for i := range ratios {
		if b[i] > 0 && usual > 0 {
			ratios[i] /= usual
		} else {
			ratios[i] = 1
		}
	}
	return ratios
}

// siblingsAlike says of each pass whether its siblings show one scene: the median over the pairs of them of the correlation of
// their profiles is at least 0.5. One sibling has no pair and cannot disagree.
func siblingsAlike(profiles [][]float64) []bool {
	alike := make([]bool, len(profiles))
	r := make([][]float64, len(profiles))
	for i := range profiles {
		r[i] = make([]float64, i)
		for j := range i {
			r[i][j] = likeness(profiles[i], profiles[j])
		}
	}
	for k := range profiles {
		var pairs []float64
		for i := range profiles {
			for j := range i {
				if i != k && j != k {
					pairs = append(pairs, r[i][j])
				}
			}
		}
		alike[k] = len(pairs) == 0 || medianOf(pairs) >= likeR
	}
	return alike
}

// likeness is Pearson's correlation of two profiles, or 1 where their ln ratio is within 2 % rms of its mean: what a flat scene
// leaves is noise, and noise does not correlate. The mean is taken out, as a correlation does, so that a pass that is faster
// throughout is alike still.
func likeness(a, b []float64) float64 {
	if y, ok := logRatio(a, b); ok && meanProduct(y, y) <= likeRMS*likeRMS {
		return 1
	}
	if allEqual(a) || allEqual(b) {
		return 0
	}
	return meanProduct(a, b) / math.Sqrt(float64(meanProduct(a, a)*meanProduct(b, b)))
}

// meanProduct is the mean of the products of two series' distances from their means.
func meanProduct(a, b []float64) float64 {
	meanA, meanB := meanOf(a), meanOf(b)
	var products sum
	for i := range a {
		products.add(float64((a[i] - meanA) * (b[i] - meanB)))
	}
	return products.value() / float64(len(a))
}

package compute

// Stretch is a run of whole seconds in which a pass was slow: its times in s from the start of the capture, frames cut from it
// included, and by how many percent the pass was below what its siblings had then, on the mean over the stretch. A pass that is
// slower throughout is not below by that: its usual distance from its siblings is taken out.
type Stretch struct{ FromS, ToS, BelowPct float64 }

const (
	lowRatio  = 0.95 // of a second that is slow if its neighbour is
	deepRatio = 0.8  // of a second that is slow by itself
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

// disturbances returns the stretches in which pass k is slow both against its siblings and against all passes: of three passes,
// one that is fast for a while moves the former for the other two, but not the latter.
func disturbances(rates [][]float64, k int, startNS int64) []Stretch {
	beside := steadied(rates[k], medianSeries(but(rates, k)))
	among := beside
	if len(rates) > 2 {
		among = steadied(rates[k], medianSeries(rates))
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

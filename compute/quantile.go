package compute

import (
	"fmt"
	"math"
)

// DefaultQuantileType is the sample quantile definition used where a plan names none.
const DefaultQuantileType = 7

// Quantile returns the p-quantile (0 ≤ p ≤ 1) of values sorted in rising order, in their unit, by one of the nine definitions
// of R. J. Hyndman and Y. Fan, Sample quantiles in statistical packages, The American Statistician 50(4), 1996
// (definitions, section 1). It is absent for no values, a p outside 0 to 1, or a kind outside 1 to 9.
func Quantile[T int64 | float64](sorted []T, p float64, kind int) Value {
	n := len(sorted)
	switch {
	case n == 0:
		return Absent("no values")
	case !(p >= 0 && p <= 1):
		return Absent(fmt.Sprintf("a quantile at %g is not within 0 to 1", p))
	case kind < 1 || kind > 9:
		return Absent(fmt.Sprintf("quantile type %d is not one of 1 to 9", kind))
	}
	var j int
	var g float64
	if kind <= 3 {
		j, g = stepPosition(n, p, kind)
	} else {
		j, g = linearPosition(n, p, kind)
	}
	// Position j + g lies between the j-th and the (j+1)-th smallest, counted from 1; beyond the ends it is the end.
	lo, hi := sorted[min(max(j, 1), n)-1], sorted[min(max(j+1, 1), n)-1]
	switch {
	case g <= 0 || lo == hi:
		return Known(float64(lo))
	case g >= 1:
		return Known(float64(hi))
	}
	return Known(min(float64(lo)+float64(g*float64(hi-lo)), float64(hi)))
}

// fuzz is how far a position may be from an integer and still count as it: 4 machine epsilons as in R's quantile, there
// absolute, here relative to positions above 1, since the rounding of n·p grows with n·p.
func fuzz(position float64) float64 { return 4 * 0x1p-52 * max(1, math.Abs(position)) }

// stepPosition is the position of the discontinuous types: 1 inverse of the distribution function, 2 with averaging at its
// steps, 3 the nearest even order statistic.
func stepPosition(n int, p float64, kind int) (j int, g float64) {
	at := float64(n) * p
	if kind == 3 {
		at -= 0.5
	}
	whole := math.Floor(at + fuzz(at))
	above := at > whole+fuzz(at)
	j = int(whole)
	switch {
	case above:
		g = 1
	case kind == 2:
		g = 0.5
	case kind == 3 && j%2 != 0:
		g = 1
	}
	return j, g
}

// linearPosition is the position of the continuous types, a + p·(n + 1 − a − b) with the a and b of each.
func linearPosition(n int, p float64, kind int) (j int, g float64) {
	var a, b float64
	switch kind {
	case 4:
		a, b = 0, 1
	case 5:
		a, b = 0.5, 0.5
	case 6:
		a, b = 0, 0
	case 7:
		a, b = 1, 1
	case 8:
		a, b = 1.0/3, 1.0/3
	case 9:
		a, b = 3.0/8, 3.0/8
	}
	at := a + float64(p*(float64(n)+1-a-b))
	whole := math.Floor(at + fuzz(at))
	g = at - whole
	if math.Abs(g) < fuzz(at) {
		g = 0
	}
	return int(whole), g
}

// twiceMedian returns the sum of the two middle values of sorted ns, so that the median of an even number stays an integer.
func twiceMedian(sortedNS []int64) int64 {
	n := len(sortedNS)
	return sortedNS[(n-1)/2] + sortedNS[n/2]
}

package compute

import (
	"math"
	"slices"
)

// theilSen returns the median of the slopes between all pairs of two or more values a step apart, per step (H. Theil, Proceedings
// of the Royal Netherlands Academy of Sciences 53, 1950; P. K. Sen, Journal of the American Statistical Association 63, 1968).
func theilSen(y []float64) float64 {
	slopes := make([]float64, 0, len(y)*(len(y)-1)/2)
	for i := range y {
		for j := i + 1; j < len(y); j++ {
			slopes = append(slopes, (y[j]-y[i])/float64(j-i))
		}
	}
	return medianOf(slopes)
}

// mannKendall returns Kendall's S of a series against time, how many pairs rise less how many fall, and its normal deviate with
// the corrections for continuity and for ties; 0 where all values are tied (H. B. Mann, Econometrica 13, 1945; M. G. Kendall, Rank
// correlation methods, 1975).
func mannKendall(y []float64) (s int, z float64) {
	for i, a := range y {
		for _, b := range y[i+1:] {
			switch {
			case b > a:
				s++
			case b < a:
				s--
			}
		}
	}
	variance18 := weightOfTies(len(y)) // 18 times the variance of S
	sorted := slices.Sorted(slices.Values(y))
	for from := 0; from < len(sorted); {
		to := from + 1
		for to < len(sorted) && sorted[to] == sorted[from] {
			to++
		}
		variance18 -= weightOfTies(to - from)
		from = to
	}
	switch {
	case s > 0:
		z = float64(s-1) / math.Sqrt(float64(variance18)/18)
	case s < 0:
		z = float64(s+1) / math.Sqrt(float64(variance18)/18)
	}
	return s, z
}

// weightOfTies is t(t − 1)(2t + 5).
func weightOfTies(t int) int { return t * (t - 1) * (2*t + 5) }

// Trend returns by how much a series of values a step apart rises per step, in their unit, and how likely values without a trend are
// to seem to have one: the slope by Theil and Sen, the two-sided p by Mann and Kendall. Both are absent for fewer than two values.
func Trend(y []float64) (slope, p Value) {
	if len(y) < 2 {
		few := Absent("fewer than two blocks")
		return few, few
	}
	_, z := mannKendall(y)
	return Known(theilSen(y)), Known(math.Erfc(math.Abs(z) / math.Sqrt2))
}

// Drift returns how far a series of logarithms, one a block, drifts over all its blocks, in percent, and the p of its Trend
// (definitions, section 2, "Siblings").
func Drift(y []float64) (pct, p Value) {
	slope, p := Trend(y)
	if !slope.OK {
		return slope, p
	}
	return Known(100 * math.Expm1(float64(len(y))*slope.X)), p
}

// medianOf returns the median of one or more values, which it sorts.
func medianOf(ys []float64) float64 {
	slices.Sort(ys)
	return Quantile(ys, 0.5, 7).X
}

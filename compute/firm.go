package compute

import "slices"

const falseDiscoveries = 0.05 // share of the firm leads that may be chance

// Firm marks the leads and trails that survive when all comparisons are looked at together: ahead and behind that Y. Benjamini
// and Y. Hochberg's procedure rejects at 5 % (Journal of the Royal Statistical Society B 57(1), 1995; definitions, section 3).
// comparisons are those of a review with its baseline in one metric; the marks are in the same order. Comparisons without a
// verdict, and single ones, test nothing and take no part. Of those that do, one where nothing varies has no p: it counts as 0
// where the sides differ, else as 1.
func Firm(comparisons []Comparison) []bool {
	marks := make([]bool, len(comparisons))
	var tested []int
	var ps []float64
	for i, r := range comparisons {
		if r.judged() {
			tested, ps = append(tested, i), append(ps, r.familyP())
		}
	}
	limit := discoveryLimit(ps, falseDiscoveries)
	for j, i := range tested {
		v := comparisons[i].Verdict
		marks[i] = ps[j] <= limit && (v == Ahead || v == Behind)
	}
	return marks
}

// ByChance returns how many of the verdicts under a table may be chance: 0.05·n of those that rest on a test (definitions,
// section 3).
func ByChance(comparisons []Comparison) (verdicts int, mayBeChance float64) {
	for _, r := range comparisons {
		if r.judged() {
			verdicts++
		}
	}
	return verdicts, float64(verdicts) * 0.05
}

// judged reports whether the verdict rests on a test.
func (r Comparison) judged() bool { return r.Verdict != "" && r.Verdict != Single }

func (r Comparison) familyP() float64 {
	switch {
	case r.P.OK:
		return r.P.X
	case r.Difference.X != 0:
		return 0
	}
	return 1
}

// discoveryLimit returns the largest of n p values that is at most q·i/n where it is the i-th smallest, and −1 where none is:
// all p up to it are rejected.
func discoveryLimit(ps []float64, q float64) float64 {
	sorted := slices.Sorted(slices.Values(ps))
	for i := len(sorted) - 1; i >= 0; i-- {
		if sorted[i] <= q*float64(i+1)/float64(len(sorted)) {
			return sorted[i]
		}
	}
	return -1
}

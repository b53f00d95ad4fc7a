package compute

import "math"

const (
	likeR    = 0.5  // correlation from which two passes show one scene
	likeRMS  = 0.02 // spread of a pair's ln ratio within which a scene is too flat to correlate
	notAlike = "its siblings do not follow one scene"
)

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

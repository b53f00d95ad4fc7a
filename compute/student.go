package compute

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// TQuantile returns the p-quantile of Student's t with nu degrees of freedom, nu up to +Inf. From nu = 10⁵ on it is the expansion
// about the normal quantile (Abramowitz and Stegun 26.7.5, two terms), whose next term is below 10⁻¹⁴ there while the inverse of
// the beta function loses digits with nu.
func TQuantile(p, nu float64) float64 {
	if nu < 1e5 {
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(p)
	}
	z := distuv.UnitNormal.Quantile(p)
	z3 := float64(z * z * z)
	z5 := z3 * z * z
	return z + (z3+z)/(4*nu) + (float64(5*z5)+float64(16*z3)+float64(3*z))/(96*nu*nu)
}

// largeNu is from how many degrees of freedom on probabilities of t come from the normal distribution's: the incomplete beta function
// loses digits with ν and is wrong by more than 1 from 10¹⁵ on, which quiet passes beside a given session spread do reach.
const largeNu = 1e4

// tTwoSided returns the probability that |t| is at least the one given, with nu degrees of freedom up to +Inf. From largeNu on it is
// that of the normal deviate of G. W. Hill, Algorithm 395, Communications of the ACM 13(10), 1970, to its second term, which has
// eleven digits of p there and more beyond.
func tTwoSided(t, nu float64) float64 {
	t = math.Abs(t)
	switch {
	case nu < largeNu && t < 1: // where ν/(ν + t²) is too near 1 to hold t
		return 1 - mathext.RegIncBeta(0.5, nu/2, t*t/(nu+float64(t*t)))
	case nu < largeNu:
		return mathext.RegIncBeta(nu/2, 0.5, nu/(nu+float64(t*t)))
	}
	if nu < 1e15 { // above which it cannot be told from the normal
		a := nu - 0.5
		z := math.Sqrt(a * math.Log1p(t*t/nu))
		t = z + (float64(z*z*z)+float64(3*z))/(48*a*a)
	}
	return math.Erfc(t / math.Sqrt2)
}

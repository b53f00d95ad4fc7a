package compute

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// tQuantile returns the p-quantile of Student's t with nu degrees of freedom, nu up to +Inf. From nu = 10⁵ on it is the expansion
// about the normal quantile (Abramowitz and Stegun 26.7.5, two terms), whose next term is below 10⁻¹⁴ there while the inverse of
// the beta function loses digits with nu.
func tQuantile(p, nu float64) float64 {
	if nu < 1e5 {
		return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(p)
	}
	z := distuv.UnitNormal.Quantile(p)
	z3 := float64(z * z * z)
	z5 := z3 * z * z
	return z + (z3+z)/(4*nu) + (float64(5*z5)+float64(16*z3)+float64(3*z))/(96*nu*nu)
}

// tTwoSided returns the probability that |t| is at least the one given, with nu degrees of freedom up to +Inf.
func tTwoSided(t, nu float64) float64 {
	if math.IsInf(nu, 1) {
		return math.Erfc(math.Abs(t) / math.Sqrt2)
	}
	return mathext.RegIncBeta(nu/2, 0.5, nu/(nu+float64(t*t)))
}

package compute

import (
	"fmt"
	"math"
)

// Contribution is one input of a result: its standard uncertainty in its own unit, that one's degrees of freedom (at least 1, +Inf
// where it is stated and not estimated), and by how much the result moves with a unit of the input. Why, where not empty, says why there is no
// such uncertainty; a result then has none either.
type Contribution struct {
	Name        string
	Standard    float64
	DF          float64
	Sensitivity float64
	Why         string
}

// Uncertainty is that of a measured result, in its unit: the combined standard uncertainty, the effective degrees of freedom (+Inf where
// all contributions are stated, 0 where there is no uncertainty), and the expanded one with its factor. Standard, Factor and Expanded are
// absent together, with one reason. Budget is what it is made of, as it was handed in.
type Uncertainty struct {
	Standard Value
	DF       float64
	Factor   Value
	Expanded Value
	Budget   []Contribution
}

// NoUncertainty is that of a result whose uncertainty cannot be had.
func NoUncertainty(why string) Uncertainty {
	none := Absent(why)
	return Uncertainty{Standard: none, Factor: none, Expanded: none}
}

// Stated is an input with a standard uncertainty that somebody states.
func Stated(name string, standard float64) Contribution {
	return Contribution{Name: name, Standard: standard, DF: math.Inf(1), Sensitivity: 1}
}

// Limits is an input known to lie within ± half of a stated value, all values within being as likely: half/√3 (JCGM 100:2008, 4.3.7).
func Limits(name string, half float64) Contribution { return Stated(name, half/math.Sqrt(3)) }

// Resolution is what an indication in whole steps hides: step/√12 (JCGM 100:2008, F.2.2.1).
func Resolution(name string, step float64) Contribution { return Stated(name, step/math.Sqrt(12)) }

// Repeated is the mean of independent readings: s/√n with n − 1 degrees of freedom (JCGM 100:2008, 4.2.3).
func Repeated(name string, readings []float64) Contribution {
	n := len(readings)
	if n < 2 {
		return Contribution{Name: name, Why: fmt.Sprintf("%s: %s", name, tooFew(n, "reading"))}
	}
	return estimated(name, math.Sqrt(varianceOf(readings)/float64(n)), float64(n-1))
}

// Sampled is the mean of samples in their order, each of which resembles the one before it, so that n of them tell as much as
// n_eff = n(1 − r₁)/(1 + r₁) independent ones, within 2 and n: s/√n_eff with n_eff − 1 degrees of freedom (definitions, section 6;
// G. V. Bayley, J. M. Hammersley, Supplement to the Journal of the Royal Statistical Society 8(2), 1946).
func Sampled(name string, samples []float64) Contribution {
	n := len(samples)
	if n < 2 {
		return Contribution{Name: name, Why: fmt.Sprintf("%s: %s", name, tooFew(n, "sample"))}
	}
	variance := varianceOf(samples)
	size := float64(n)
	if variance > 0 {
		size = effectiveSize(n, LagOne(samples))
	}
	return estimated(name, math.Sqrt(variance/size), size-1)
}

func estimated(name string, standard, df float64) Contribution {
	return Contribution{Name: name, Standard: standard, DF: df, Sensitivity: 1}
}

func tooFew(n int, what string) string {
	if n == 0 {
		return "no " + what
	}
	return "one " + what + " shows no scatter; at least 2 are needed"
}

// effectiveSize is how many independent samples n samples with the lag-1 autocorrelation r are worth, within 2 and n.
func effectiveSize(n int, r float64) float64 {
	most := float64(n)
	if r <= -1 {
		return most
	}
	return min(max(float64(most*(1-r))/(1+r), 2), most)
}

// LagOne is the lag-1 autocorrelation Σ(xᵢ − x̄)(xᵢ₊₁ − x̄) / Σ(xᵢ − x̄)² of samples that vary; of others it is NaN (NIST/SEMATECH
// e-Handbook 1.3.5.12).
func LagOne(x []float64) float64 {
	mean := meanOf(x)
	var squares, pairs sum
	for i, v := range x {
		squares.add(float64((v - mean) * (v - mean)))
		if i > 0 {
			pairs.add(float64((v - mean) * (x[i-1] - mean)))
		}
	}
	return pairs.value() / squares.value()
}

// By returns the contribution with its part in the result times c.
func (p Contribution) By(c float64) Contribution {
	p.Sensitivity *= c
	return p
}

// fault says what makes a contribution useless, "" if nothing.
func (p Contribution) fault() string {
	switch {
	case p.Why != "":
		return p.Why
	case !(p.Standard >= 0) || math.IsInf(p.Standard, 1):
		return fmt.Sprintf("%s: %g is no standard uncertainty; it is at least 0", p.Name, p.Standard)
	case !(p.DF >= 1):
		return fmt.Sprintf("%s: %g is no number of degrees of freedom; they are at least 1", p.Name, p.DF)
	case math.IsNaN(p.Sensitivity) || math.IsInf(p.Sensitivity, 0):
		return fmt.Sprintf("%s: how far it moves the result is not known", p.Name)
	}
	return ""
}

// Combine is the uncertainty of a result from independent contributions (JCGM 100:2008, 5.1.2 and annex G): u² = Σ(c·u)², ν by
// Welch–Satterthwaite and not rounded, U = t(0.975; ν)·u. Budgets of results that are added or subtracted may be joined and combined
// at once: it comes to the same as combining what each was combined to.
func Combine(parts ...Contribution) Uncertainty {
	if len(parts) == 0 {
		return NoUncertainty("nothing is known of what contributes to it")
	}
	largest := 0.0
	for _, p := range parts {
		if why := p.fault(); why != "" {
			u := NoUncertainty(why)
			u.Budget = parts
			return u
		}
		largest = max(largest, math.Abs(p.Sensitivity*p.Standard))
	}
	_, exponent := math.Frexp(largest) // taken out, so that no square is too large or too small
	terms := make([]spreadTerm, len(parts))
	for i, p := range parts {
		part := math.Ldexp(p.Sensitivity*p.Standard, -exponent)
		terms[i] = spreadTerm{float64(part * part), p.DF}
	}
	t := total(terms...)
	standard := math.Ldexp(math.Sqrt(t.v), exponent)
	factor := TQuantile(0.975, t.df)
	u := Uncertainty{Standard: Known(standard), DF: t.df, Factor: Known(factor), Expanded: Known(float64(factor * standard)), Budget: parts}
	if !u.Expanded.OK {
		u = NoUncertainty(u.Expanded.Why)
		u.Budget = parts
	}
	return u
}

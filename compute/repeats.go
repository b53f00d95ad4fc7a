package compute

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

const (
	planPower    = 0.8  // chance that the planned launches show what is there
	mostRepeats  = 1000 // beyond which an answer is not worth having
	enoughDF     = 20   // of a pooled spread, from which it is taken as it is
	spreadCredit = 0.2  // of χ²: below enoughDF the spread's upper 80 % limit is planned with
	chiNodes     = 100  // of the quadrature over the spread
)

// Noise is the spread of launches that repeats are planned with: a variance c² on the metric's scale with its degrees of freedom
// (+Inf where it is given). Planned is c², or its one-sided upper 80 % limit where too few launches stand behind it. Cells is the
// number it is pooled from, 0 for a given one. Looks is how many declared looks the error is split over, 0 for one: the answers are
// then for what one of them alone shows.
type Noise struct {
	Variance, DF float64
	Planned      float64
	Cells        int
	Looks        int
}

// error is the share of an error that one look may spend.
func (n Noise) error(whole float64) float64 { return whole / float64(max(n.Looks, 1)) }

// ExpectedNoise is a plan's expected spread: a percentage for metrics on the ratio scale, percentage points for shares.
func ExpectedNoise(m Metric, percent, points float64) Noise {
	c := m.step(percent, points)
	return Noise{Variance: c * c, DF: math.Inf(1), Planned: c * c}
}

// PooledNoise pools the expected spreads of the cells concerned: both sides of a comparison, or the cells of a game. It is false where
// none of them has a spread (definitions, section 5).
func PooledNoise(cells []CellStat) (Noise, bool) {
	var terms []spreadTerm
	for _, c := range cells {
		if c.Expected.OK {
			terms = append(terms, spreadTerm{c.Expected.X, c.spreadDF()})
		}
	}
	if len(terms) == 0 {
		return Noise{}, false
	}
	t := total(terms...)
	n := Noise{Variance: t.v / float64(len(terms)), DF: t.df, Cells: len(terms), Looks: looksAt(cells...)}
	n.Planned = n.Variance
	if n.DF < enoughDF {
		n.Planned *= n.DF / distuv.ChiSquared{K: n.DF}.Quantile(spreadCredit)
	}
	return n, true
}

// squaredError is SE² of a difference with k launches a side.
func (n Noise) squaredError(k int, u SessionSpread) float64 { return n.errorOfSides(2, k, u) }

// errorOfSides is SE² of a figure that sides with k launches each enter: 2 for a difference, 1 for a figure alone.
func (n Noise) errorOfSides(sides, k int, u SessionSpread) float64 {
	return float64(sides) * (n.Planned/float64(k) + float64(u.U*u.U))
}

// Repeats is a number of launches a side. Without one OK is false and Why says why.
type Repeats struct {
	K   int
	OK  bool
	Why string
}

// RepeatsToDiffer returns the least launches a side, from 2, with which a difference of the size claimed is seen with 80 % chance
// (definitions, section 5). claimed is in percent on the ratio scale, else in the unit, either way; a size below the margin
// matters to nobody, and the margin is planned for instead. What was observed has no place here.
func RepeatsToDiffer(m Metric, claimed float64, margin Margin, n Noise, u SessionSpread) Repeats {
	step := math.Abs(claimed)
	if m.Scale == Ratio {
		step = math.Log1p(step / 100)
	}
	step = max(step, m.step(margin.Percent, margin.Points))
	return leastRepeats(m, 2, step, n, u, func(ratio, nu float64) float64 { return differPower(ratio, nu, n.error(0.05)) })
}

// RepeatsToLevel returns the least launches a side, from 2, with which two equal cells are shown to be within the margin with 80 %
// chance (definitions, section 5).
func RepeatsToLevel(m Metric, margin Margin, n Noise, u SessionSpread) Repeats {
	power := func(ratio, nu float64) float64 { return levelPower(ratio, nu, n.error(0.05)) }
	return leastRepeats(m, 2, m.step(margin.Percent, margin.Points), n, u, power)
}

// ChanceOfLevel returns the chance from 0 to 1 with which k launches a side show two equal cells to be within the margin
// (definitions, section 5): what to expect where RepeatsToLevel asks for more.
func ChanceOfLevel(m Metric, k int, margin Margin, n Noise, u SessionSpread) Value {
	step := m.step(margin.Percent, margin.Points)
	switch {
	case m.Scale != Ratio && m.Scale != Difference:
		return Absent(m.Name + " is not planned for")
	case k < 2:
		return Absent("one launch a side shows nothing by itself")
	case !(step > 0):
		return Absent("no margin to be level within: it is 0")
	}
	return Known(levelPower(step/math.Sqrt(n.squaredError(k, u)), 2*float64(k)-2, n.error(0.05)))
}

// normalRepeats guesses how many repeats reach the planned power, as if the spread were known: 1.96 + 0.84 standard errors.
func normalRepeats(step float64, n Noise, u SessionSpread) int {
	room := step*step/(2.8*2.8) - 2*u.U*u.U
	if k := 2 * n.Planned / room; room > 0 && k < mostRepeats {
		return max(2, int(k))
	}
	return mostRepeats
}

// leastFrom returns the least k from 2 to mostRepeats that is enough, mostRepeats + 1 if none is; enough must not turn false again.
// It looks near the guess first, and halves what is left otherwise: each look costs an integral.
func leastFrom(guess int, enough func(k int) bool) int {
	low, high := 2, mostRepeats+1 // the answer lies in low…high
	for step := 1; low < high; step *= 2 {
		k := min(max(guess, low), high-1)
		if enough(k) {
			high, guess = k, k-step
		} else {
			low, guess = k+1, k+step
		}
		if step > 8 {
			break
		}
	}
	return low + sort.Search(high-low, func(i int) bool { return enough(low + i) })
}

// leastRepeats searches the least k with power enough for a step on the scale, of a figure that two sides enter or one. Power rises with k, but for the dips that showing
// level has far below 80 %.
func leastRepeats(m Metric, sides int, step float64, n Noise, u SessionSpread, power func(ratio, nu float64) float64) Repeats {
	switch {
	case m.Scale != Ratio && m.Scale != Difference:
		return Repeats{Why: m.Name + " is not planned for"}
	case !(step > 0):
		return Repeats{Why: "no difference to look for: the margin is 0"}
	}
	enough := func(k int, u SessionSpread) bool {
		return power(step/math.Sqrt(n.errorOfSides(sides, k, u)), float64(sides*(k-1))) >= planPower
	}
	k := leastFrom(normalRepeats(step, n, u), func(k int) bool { return enough(k, u) })
	switch {
	case k <= mostRepeats:
		return Repeats{K: k, OK: true}
	case enough(mostRepeats, SessionSpread{}):
		return Repeats{Why: "not reachable with this session spread"}
	}
	return Repeats{Why: fmt.Sprintf("not reachable with %d launches", mostRepeats)}
}

// ResolvableAt returns the least difference that k launches a side show with 80 % chance, in percent on the ratio scale, else in
// the unit: what a review can resolve (definitions, section 5).
func ResolvableAt(m Metric, k int, n Noise, u SessionSpread) Value {
	switch {
	case m.Scale != Ratio && m.Scale != Difference:
		return Absent(m.Name + " is not planned for")
	case k < 2:
		return Absent("one launch a side resolves nothing by itself")
	}
	nu, alpha := 2*float64(k)-2, n.error(0.05)
	low, high := 0.0, 1.0
	for differPower(high, nu, alpha) < planPower {
		low, high = high, 2*high
	}
	for range 45 { // halvings: to twelve digits
		if middle := (low + high) / 2; differPower(middle, nu, alpha) < planPower {
			low = middle
		} else {
			high = middle
		}
	}
	return m.shown(float64(high * math.Sqrt(n.squaredError(k, u))))
}

// differPower is the power of a two-sided t test at alpha for a difference of ratio standard errors: the upper tail of the
// noncentral t with nu degrees of freedom beyond t(1 − alpha/2, nu). The lower one, a lead taken for a trail, is no success.
//
// With T = (Z + ratio)/S it is E Φ(ratio − t·S) over S² ~ χ²_ν/ν.
func differPower(ratio, nu, alpha float64) float64 {
	if math.IsInf(ratio, 1) {
		return 1
	}
	t := TQuantile(1-alpha/2, nu)
	return overSpread(nu, math.Inf(1), func(s float64) float64 { return normal(ratio - t*s) })
}

// levelPower is the power of two one-sided t tests at alpha for equal sides and a margin of ratio standard errors:
// E max(0, 2Φ(ratio − t·S) − 1) over S² ~ χ²_ν/ν (K. F. Phillips, Journal of Pharmacokinetics and Biopharmaceutics 18(2), 1990).
func levelPower(ratio, nu, alpha float64) float64 {
	if math.IsInf(ratio, 1) {
		return 1
	}
	t := TQuantile(1-alpha, nu)
	return overSpread(nu, ratio/t, func(s float64) float64 { return math.Erf((ratio - t*s) / math.Sqrt2) })
}

// overSpread is the mean of g(S) over S² ~ χ²_ν/ν, nu ≥ 2, counting S below the limit. Gauss–Legendre over twelve standard
// deviations about 1, where g is smooth: to ten digits.
func overSpread(nu, limit float64, g func(s float64) float64) float64 {
	reach := 12 / math.Sqrt(2*nu)
	low, high := max(0, 1-reach), min(1+reach, limit)
	if high <= low {
		return 0
	}
	logGamma, _ := math.Lgamma(nu / 2)
	scale := math.Ln2 + nu/2*math.Log(nu/2) - logGamma
	density := func(s float64) float64 { return math.Exp(scale + (nu-1)*math.Log(s) - nu*s*s/2) }
	return quad.Fixed(func(s float64) float64 { return density(s) * g(s) }, low, high, chiNodes, quad.Legendre{}, 0)
}

// normal is Φ.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

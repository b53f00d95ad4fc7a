package compute

import (
	"math"
	"slices"
)

// spreads are the figures of a series of whole ns that rest on squares. sd and rmssd are in ns.
type spreads struct {
	sd    Value
	rmssd Value
	lag1  Value
}

// spread works out the standard deviation, the root mean square successive difference and the lag-1 autocorrelation of frame
// times whose sum is totalNS (definitions, section 1; J. von Neumann et al., The mean square successive difference, Annals of
// Mathematical Statistics 12, 1941; NIST/SEMATECH e-Handbook 1.3.5.12).
//
// With q the mean rounded down and d = x − q, D = Σd, the sums are exact integers up to a factor n:
//
//	n·Σ(x−x̄)²         = n·Σd² − D²
//	n·Σ(xᵢ−x̄)(xᵢ₊₁−x̄) = n·Σdᵢdᵢ₊₁ − D·(2D − d₁ − dₙ) + D² − D²/n
//
// so that no digits are lost however large the mean is against the spread, and no order of work can be seen in the result.
func spread(x []int64, totalNS int64) spreads {
	n := int64(len(x))
	if n < 2 {
		few := Absent("fewer than 2 frames")
		return spreads{few, few, few}
	}
	q := totalNS / n
	rest := totalNS - n*q
	var squares, lagged, steps wide
	before := x[0] - q
	squares = squares.plusProduct(before, before)
	for _, v := range x[1:] {
		d := v - q
		step := d - before
		squares = squares.plusProduct(d, d)
		lagged = lagged.plusProduct(d, before)
		steps = steps.plusProduct(step, step)
		before = d
	}
	around := squares.times(n).plusProduct(-rest, rest).float()
	pairs := lagged.times(n).plusProduct(-rest, 2*rest-(x[0]-q)-before).plusProduct(rest, rest).float()
	pairs -= float64(rest) * float64(rest) / float64(n)

	s := spreads{
		sd:    Known(math.Sqrt(around / (float64(n) * float64(n-1)))),
		rmssd: Known(math.Sqrt(steps.float() / float64(n-1))),
		lag1:  Absent("every frame takes the same time"),
	}
	if around > 0 {
		s.lag1 = Known(pairs / around)
	}
	return s
}

// sum is a running sum that carries what each addition rounds away (A. Neumaier, ZAMM 54, 1974).
type sum struct{ s, lost float64 }

func (a *sum) add(v float64) {
	t := a.s + v
	if math.Abs(a.s) >= math.Abs(v) {
		a.lost += (a.s - t) + v
	} else {
		a.lost += (v - t) + a.s
	}
	a.s = t
}

func (a *sum) value() float64 { return a.s + a.lost }

// orderFree returns the sum of values in an order of its own, which it sorts them into: the order in which cards, cells and
// passes come must not be seen in the last digit.
func orderFree(ys []float64) float64 {
	slices.Sort(ys)
	var s sum
	for _, y := range ys {
		s.add(y)
	}
	return s.value()
}

// meanOf returns the mean of one or more values. Equal values have exactly that mean.
func meanOf(ys []float64) float64 {
	if allEqual(ys) {
		return ys[0]
	}
	var s sum
	for _, y := range ys {
		s.add(y)
	}
	return s.value() / float64(len(ys))
}

// varianceOf returns the sample variance (n − 1) of two or more values in two passes. Equal values have exactly none.
func varianceOf(ys []float64) float64 {
	if allEqual(ys) {
		return 0
	}
	mean := meanOf(ys)
	var squares, left sum
	for _, y := range ys {
		squares.add(float64((y - mean) * (y - mean)))
		left.add(y - mean)
	}
	// The mean is rounded; what it misses is taken out again (Chan, Golub and LeVeque, The American Statistician 37(3), 1983).
	n := float64(len(ys))
	return (squares.value() - float64(left.value()*left.value())/n) / (n - 1)
}

func allEqual(ys []float64) bool {
	for _, y := range ys[1:] {
		if y != ys[0] {
			return false
		}
	}
	return true
}

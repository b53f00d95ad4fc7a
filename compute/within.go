package compute

import (
	"fmt"
	"slices"
)

// leastWithinDF is the degrees of freedom that all cells together must have: with fewer the variance can be near 0 by luck, as that of
// sessions can.
const leastWithinDF = leastSessionDF

// Within is what the passes of one launch differ by in a cell: a variance on the metric's scale with its degrees of freedom.
// PerLaunch is the mean of 1/n over the cell's launches of n passes, the part of that variance that the mean of a launch keeps.
// From is the number of the review's cells it is worked out from. Where no launch has two passes, or too few have, OK is false and Why
// says so: what a launch brings and what a pass brings cannot be told apart then.
type Within struct {
	OK           bool
	Variance, DF float64
	PerLaunch    float64
	From         int
	Why          string
}

// WithinLaunches works out, for each cell of a review in one metric, what passes of one launch differ by: the mean square within
// groups of a one-way analysis of variance with the launches as groups (G. W. Snedecor, W. G. Cochran, Statistical Methods). It
// is pooled over the cells by their degrees of freedom, and from ten cells on leant on all of them as the spread of launches is
// (see Borrow), since two passes of a launch tell as little as three launches of a cell do.
func WithinLaunches(m Metric, cells [][]Sample) []Within {
	out := make([]Within, len(cells))
	own := make([]spreadTerm, len(cells))
	centres := make([]float64, len(cells))
	var known, vary []spreadTerm
	for i, samples := range cells {
		launches := onScaleByLaunch(m, samples)
		own[i], out[i].PerLaunch, centres[i] = withinLaunches(launches)
		if own[i].df > 0 {
			known = append(known, own[i])
		}
		if own[i].df > 0 && varies(own[i].v, centres[i]) {
			vary = append(vary, own[i])
		}
	}
	pool, prior := pooled(known), fitPrior(m, vary)
	for i := range out {
		w := &out[i]
		switch {
		case len(known) == 0:
			w.Why = "every launch has one pass"
			continue
		case pool.df < leastWithinDF:
			w.Why = fmt.Sprintf("%g passes beyond the first of their launch, of the %d needed", pool.df, leastWithinDF)
			continue
		case !prior.OK:
			w.Variance, w.DF, w.From = pool.v, pool.df, len(known)
		case own[i].df > 0 && prior.tooNoisy(own[i].v, own[i].df):
			w.Variance, w.DF, w.From = own[i].v, own[i].df, 1
		default:
			w.Variance, w.DF = prior.lend(own[i].v, own[i].df)
			w.From = prior.Cells
		}
		if v := Known(w.Variance); !v.OK {
			*w = Within{PerLaunch: w.PerLaunch, Why: v.Why}
			continue
		}
		w.OK = true
	}
	return out
}

// onScaleByLaunch returns a cell's values on the metric's scale, launch by launch; none where a figure has no place on it.
func onScaleByLaunch(m Metric, samples []Sample) (out [][]float64) {
	var used []Sample
	for _, s := range samples {
		if s.Value.OK {
			s.LaunchAssumed = s.LaunchAssumed || s.Launch == ""
			used = append(used, s)
		}
	}
	for _, launch := range byLaunch(used) {
		var ys []float64
		for _, s := range launch {
			y := m.onScale(s.Value)
			if !y.OK {
				return nil
			}
			ys = append(ys, y.X)
		}
		slices.Sort(ys)
		out = append(out, ys)
	}
	return out
}

// withinLaunches returns the mean square within launches, the mean of 1/n over them, and the mean of all values.
func withinLaunches(launches [][]float64) (within spreadTerm, perLaunch, centre float64) {
	if len(launches) == 0 {
		return within, 0, 0
	}
	var squares, shares []float64
	for _, ys := range launches {
		n := float64(len(ys))
		shares = append(shares, 1/n)
		if n >= 2 {
			squares = append(squares, float64(varianceOf(ys)*(n-1)))
			within.df += n - 1
		}
	}
	if within.df > 0 {
		within.v = orderFree(squares) / within.df
	}
	return within, orderFree(shares) / float64(len(launches)), meanOf(slices.Sorted(slices.Values(slices.Concat(launches...))))
}

// pooled is the mean of variances weighted by their degrees of freedom.
func pooled(terms []spreadTerm) spreadTerm {
	var squares []float64
	var df float64 // a whole number
	for _, t := range terms {
		squares = append(squares, float64(t.v*t.df))
		df += t.df
	}
	if df == 0 {
		return spreadTerm{}
	}
	return spreadTerm{orderFree(squares) / df, df}
}

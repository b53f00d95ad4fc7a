package compute

import (
	"cmp"
	"math"
	"slices"
)

// SessionSpread is what changing the session, that is mounting the card anew, moves results by: a standard deviation on the
// metric's scale, its degrees of freedom (+Inf where they are given, not estimated), and where it is from.
type SessionSpread struct {
	U      float64
	DF     float64
	Source string
}

// PlanSessionSpread is a plan's session spread: a percentage for metrics on the ratio scale, percentage points for shares.
func PlanSessionSpread(m Metric, percent, points float64) SessionSpread {
	return SessionSpread{U: m.step(percent, points), DF: math.Inf(1), Source: "plan"}
}

// Between returns the session spread that concerns two cells: none where all passes of both are of one recorded session.
func (u SessionSpread) Between(a, base CellStat) SessionSpread {
	if a.Session != "" && a.Session == base.Session {
		return SessionSpread{DF: math.Inf(1), Source: "one session"}
	}
	return u
}

// Shown returns the spread in percent for metrics on the ratio scale, else in the unit.
func (u SessionSpread) Shown(m Metric) float64 {
	if m.Scale == Ratio {
		return 100 * math.Expm1(u.U)
	}
	return u.U
}

// Margin is the difference that does not matter to a buyer: a percentage on the ratio scale, percentage points for shares.
type Margin struct{ Percent, Points float64 }

// DefaultMargin is the margin where a plan names none.
var DefaultMargin = Margin{Percent: 1, Points: 1}

// Comparison is cell A against a base cell (definitions, section 3). Difference is mean − base mean in the metric's MeanUnit;
// Ratio and Percent are had on the ratio scale and for counts. The interval is in percent there, else in the unit. DF is absent
// also where it is infinite, P where nothing varies. OwnLow and OwnHigh are from the sides' own spreads; Low, High, DF, P and the
// verdict from the shown ones, which Method describes. Why says why there is no verdict, or no interval. Where passes are added
// by declared looks the error of 5 % is split over Looks, so that all of them together err no more often: intervals are at
// 1 − 0.05/Looks and P is times Looks (C. E. Bonferroni, 1936; definitions, section 5).
type Comparison struct {
	Metric                     string
	N, BaseN                   int
	Difference, Ratio, Percent Value
	Low, High                  Value
	OwnLow, OwnHigh            Value
	DF, P                      Value
	Method                     string // as for a cell; empty for counts, and where there is no interval
	Verdict                    Verdict
	Why                        string
	Flags                      []Flag
	SessionSpread              SessionSpread
	Looks                      int
}

// looksAt is how many looks the error of a figure over these cells is split over.
func looksAt(cells ...CellStat) int {
	most := 1
	for _, c := range cells {
		most = max(most, c.Looks)
	}
	return most
}

// Compare sets cell A against the base cell of the same game, variant and resolution. u is used as given: see Between.
func Compare(m Metric, a, base CellStat, u SessionSpread, margin Margin) Comparison {
	if m.Scale == Count {
		u = SessionSpread{} // the exact test of counts has no place for one
	}
	r := Comparison{Metric: m.Name, N: a.N, BaseN: base.N, SessionSpread: u, Looks: looksAt(a, base)}
	for _, word := range []Flag{FlagThin, FlagLaunchAssumed, FlagSingle} {
		if slices.Contains(a.Flags, word) || slices.Contains(base.Flags, word) {
			r.Flags = append(r.Flags, word)
		}
	}
	if k, l := a.Launches, base.Launches; k > 0 && l > 0 && k != l && min(k, l) < 3 {
		r.Flags = append(r.Flags, FlagUnbalanced)
	}
	if r.Looks > 1 {
		r.Flags = append(r.Flags, FlagLooks)
	}
	for i, side := range []CellStat{a, base} {
		if !side.Centre.OK {
			why := side.Centre.Why
			if i == 1 {
				why = "the other side: " + why
			}
			r.absent(why)
			return r
		}
	}
	if m.Scale == Count {
		r.compareCounts(a, base)
	} else {
		r.compareMeans(m, a, base, u)
	}
	switch {
	case slices.Contains(r.Flags, FlagThin):
		r.Why = "a low rests on fewer than 5 frames"
	case m.Scale == Count && slices.Contains(r.Flags, FlagSingle):
		r.Verdict, r.Why = Single, noSpread(a, base)
	case m.Scale == Count:
		r.judgeCounts(m, a, base)
	case a.ShownVariance.OK && base.ShownVariance.OK:
		r.judgeMeans(m, a, base, u, margin)
	default:
		r.Why = noSpread(a, base)
		if slices.Contains(r.Flags, FlagSingle) {
			r.Verdict = Single
		}
	}
	return r
}

// absent marks the comparison as having no figure.
func (r *Comparison) absent(why string) {
	none := Absent(why)
	r.Why, r.Flags, r.SessionSpread = why, nil, SessionSpread{} // there is nothing to flag, and no spread entered
	r.Difference, r.Ratio, r.Percent = none, none, none
	r.Low, r.High, r.OwnLow, r.OwnHigh = none, none, none, none
	r.DF, r.P = none, none
}

// noSpread says why a side has no spread of its own.
func noSpread(a, base CellStat) string {
	switch {
	case a.Launches == 1:
		return oneLaunch(a.N)
	case base.Launches == 1:
		return "the other side has " + oneLaunch(base.N)
	case !a.Variance.OK:
		return a.Variance.Why
	}
	return base.Variance.Why
}

// spreadTerm is a squared standard error, or a contribution to one, and its degrees of freedom: +Inf where it is given and not
// estimated.
type spreadTerm struct{ v, df float64 }

// total adds independent contributions, the degrees of freedom by F. E. Satterthwaite, Biometrics Bulletin 2(6), 1946, and
// B. L. Welch, Biometrika 34, 1947. They are +Inf where nothing varies. Terms are sorted, so that the order of cells and games
// cannot be seen in the last digit.
func total(terms ...spreadTerm) spreadTerm {
	terms = slices.SortedFunc(slices.Values(terms), func(a, b spreadTerm) int { return cmp.Or(cmp.Compare(a.v, b.v), cmp.Compare(a.df, b.df)) })
	var v float64
	for _, t := range terms {
		v += t.v
	}
	if v == 0 {
		return spreadTerm{0, math.Inf(1)}
	}
	var inverse float64 // of the degrees of freedom; shares of the total, so that small variances do not underflow
	for _, t := range terms {
		inverse += t.v / v * (t.v / v) / t.df
	}
	return spreadTerm{v, 1 / inverse}
}

// term is what sessions bring to a squared error: of each side the part of u² that it keeps, see CellStat.PerSession.
func (u SessionSpread) term(perSession ...float64) spreadTerm {
	var keeps float64
	for _, part := range perSession {
		keeps += part
	}
	return spreadTerm{float64(keeps * u.U * u.U), u.DF}
}

// errorOf is the squared standard error of a difference of centres by the shown spreads and the session spread of both sides, which
// is twice u² unless a side was mounted several times (a card passed in S sessions keeps u²/S of it). Where a side's spread is borrowed both sides count as one term with the smaller degrees of freedom, since both lean on one prior.
func errorOf(a, base CellStat, u SessionSpread) spreadTerm {
	of, by, sessions := a.shownError(), base.shownError(), u.term(a.PerSession, base.PerSession)
	if a.Borrowed || base.Borrowed {
		return total(spreadTerm{of.v + by.v, min(of.df, by.df)}, sessions)
	}
	return total(of, by, sessions)
}

// ownErrorOf is errorOf by the sides' own spreads, which both must have.
func ownErrorOf(a, base CellStat, u SessionSpread) spreadTerm {
	own := func(c CellStat) spreadTerm {
		return spreadTerm{c.Variance.X / float64(c.Launches), float64(c.Launches - 1)}
	}
	return total(own(a), own(base), u.term(a.PerSession, base.PerSession))
}

// half is half the width of the two-sided interval that leaves out tail at each end.
func (t spreadTerm) half(tail float64) float64 {
	if t.v == 0 {
		return 0
	}
	return float64(TQuantile(1-tail, t.df) * math.Sqrt(t.v))
}

// compareMeans fills difference, intervals and p on the metric's scale.
func (r *Comparison) compareMeans(m Metric, a, base CellStat, u SessionSpread) {
	d := a.Centre.X - base.Centre.X
	r.Difference = Known(a.Mean.X - base.Mean.X)
	r.Ratio, r.Percent = Absent("not on the ratio scale"), Absent("not on the ratio scale")
	if m.Scale == Ratio {
		r.Ratio, r.Percent = Known(math.Exp(d)), m.shown(d)
	}
	none := Absent(noSpread(a, base))
	r.OwnLow, r.OwnHigh = none, none
	if a.Variance.OK && base.Variance.OK {
		half := ownErrorOf(a, base, u).half(0.025 / float64(r.Looks))
		r.OwnLow, r.OwnHigh = bounds(m.shown, d, half)
	}
	if !a.ShownVariance.OK || !base.ShownVariance.OK {
		r.Low, r.High, r.DF, r.P = none, none, none, none
		return
	}
	r.Method = a.Method
	if base.Borrowed {
		r.Method = base.Method
	}
	e := errorOf(a, base, u)
	half := e.half(0.025 / float64(r.Looks))
	r.Low, r.High = bounds(m.shown, d, half)
	r.DF, r.P = e.figures(d, r.Looks)
	if e.v == 0 {
		r.Flags = append(r.Flags, FlagIdentical)
	}
}

// shown returns a difference on the scale in percent for ratios, else in the unit.
func (m Metric) shown(d float64) Value {
	if m.Scale == Ratio {
		return Known(100 * math.Expm1(d))
	}
	return Known(d)
}

// judgeMeans gives the verdict on a difference of means.
func (r *Comparison) judgeMeans(m Metric, a, base CellStat, u SessionSpread, margin Margin) {
	r.Verdict = errorOf(a, base, u).verdict(m, a.Centre.X-base.Centre.X, m.step(margin.Percent, margin.Points), r.Looks)
}

// figures returns the degrees of freedom and the two-sided p of a difference, times the looks its error is split over.
func (t spreadTerm) figures(d float64, looks int) (df, p Value) {
	if t.v == 0 {
		return Absent("nothing varies"), Absent("nothing varies")
	}
	df = Known(t.df)
	if math.IsInf(t.df, 1) {
		df = Absent("infinite: only a given session spread contributes")
	}
	return df, Known(min(1, float64(looks)*tTwoSided(d/math.Sqrt(t.v), t.df)))
}

// verdict is level where the 90 % interval lies within the limit on the scale (two one-sided tests, D. J. Schuirmann, Journal of
// Pharmacokinetics and Biopharmaceutics 15(6), 1987), else the direction where the 95 % interval excludes 0.
func (t spreadTerm) verdict(m Metric, d, limit float64, looks int) Verdict {
	half90, half95 := t.half(0.05/float64(looks)), t.half(0.025/float64(looks))
	switch {
	case math.Abs(d)+half90 < limit:
		return Level
	case math.Abs(d) > half95:
		return direction(m, d)
	}
	return Unresolved
}

// direction says on which side of the base a difference other than 0 puts the cell.
func direction(m Metric, d float64) Verdict {
	if d > 0 == m.HigherBetter {
		return Ahead
	}
	return Behind
}

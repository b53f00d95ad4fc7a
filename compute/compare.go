package compute

import (
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

// Verdict is what may be said of a comparison; empty where nothing may.
type Verdict string

const (
	Ahead      Verdict = "ahead"
	Behind     Verdict = "behind"
	Level      Verdict = "level"
	Unresolved Verdict = "unresolved"
	Single     Verdict = "single" // one launch on a side, so no spread to judge by
)

// Comparison is cell A against a base cell (definitions, section 3). Difference is mean − base mean in the metric's MeanUnit;
// Ratio and Percent are had on the ratio scale and for counts. The interval is in percent there, else in the unit. DF is absent
// also where it is infinite, P where nothing varies. Why says why there is no verdict, or no interval.
type Comparison struct {
	Metric                     string
	N, BaseN                   int
	Difference, Ratio, Percent Value
	Low, High                  Value
	OwnLow, OwnHigh            Value
	DF, P                      Value
	Verdict                    Verdict
	Why                        string
	Flags                      []string
	SessionSpread              SessionSpread
}

// Compare sets cell A against the base cell of the same game, variant and resolution. u is used as given: see Between.
func Compare(m Metric, a, base CellStat, u SessionSpread, margin Margin) Comparison {
	r := Comparison{Metric: m.Name, N: a.N, BaseN: base.N, SessionSpread: u}
	for _, word := range []string{FlagThin, FlagLaunchAssumed, FlagSingle} {
		if slices.Contains(a.Flags, word) || slices.Contains(base.Flags, word) {
			r.Flags = append(r.Flags, word)
		}
	}
	if k, l := a.Launches, base.Launches; k > 0 && l > 0 && k != l && min(k, l) < 3 {
		r.Flags = append(r.Flags, FlagUnbalanced)
	}
	for _, side := range []CellStat{a, base} {
		if !side.Centre.OK {
			r.absent(side.Centre.Why)
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
	case slices.Contains(r.Flags, FlagSingle):
		r.Verdict = Single
		r.Why = singleSide(a, base)
	case m.Scale == Count:
		r.judgeCounts(m, a, base)
	default:
		r.judgeMeans(m, a, base, u, margin)
	}
	return r
}

// absent marks the comparison as having no figure.
func (r *Comparison) absent(why string) {
	none := Absent(why)
	r.Why = why
	r.Difference, r.Ratio, r.Percent = none, none, none
	r.Low, r.High, r.OwnLow, r.OwnHigh = none, none, none, none
	r.DF, r.P = none, none
}

// singleSide returns the reason of the side with one launch.
func singleSide(a, base CellStat) string {
	if a.Launches == 1 {
		return a.Why
	}
	return "the other side has " + base.Why
}

// errorTerms are the standard error of a difference of centres and its degrees of freedom, +Inf where only given spreads
// contribute.
type errorTerms struct{ se, df float64 }

// errorOf combines the spread of both sides and twice the session spread, its degrees of freedom by F. E. Satterthwaite,
// Biometrics Bulletin 2(6), 1946, and B. L. Welch, Biometrika 34, 1947. Both cells need a variance.
func errorOf(a, base CellStat, u SessionSpread) errorTerms {
	terms := [...]struct{ v, df float64 }{
		{a.Variance.X / float64(a.Launches), a.DF.X},
		{base.Variance.X / float64(base.Launches), base.DF.X},
		{float64(2 * u.U * u.U), u.DF},
	}
	var total float64
	for _, t := range terms {
		total += t.v
	}
	if total == 0 {
		return errorTerms{0, math.Inf(1)}
	}
	var inverse float64 // of the degrees of freedom; shares of the total, so that small variances do not underflow
	for _, t := range terms {
		inverse += t.v / total * (t.v / total) / t.df
	}
	return errorTerms{math.Sqrt(total), 1 / inverse}
}

// compareMeans fills difference, interval and p on the metric's scale.
func (r *Comparison) compareMeans(m Metric, a, base CellStat, u SessionSpread) {
	d := a.Centre.X - base.Centre.X
	r.Difference = Known(a.Mean.X - base.Mean.X)
	r.Ratio, r.Percent = Absent("not on the ratio scale"), Absent("not on the ratio scale")
	if m.Scale == Ratio {
		r.Ratio, r.Percent = Known(math.Exp(d)), m.shown(d)
	}
	if !a.Variance.OK || !base.Variance.OK {
		why := Absent(singleSide(a, base))
		r.Low, r.High, r.OwnLow, r.OwnHigh, r.DF, r.P = why, why, why, why, why, why
		return
	}
	e := errorOf(a, base, u)
	if e.se == 0 {
		r.Flags = append(r.Flags, FlagIdentical)
		r.OwnLow, r.OwnHigh = m.shown(d), m.shown(d)
		r.DF, r.P = Absent("nothing varies"), Absent("nothing varies")
	} else {
		half := float64(tQuantile(0.975, e.df) * e.se)
		r.OwnLow, r.OwnHigh = m.shown(d-half), m.shown(d+half)
		r.P = Known(tTwoSided(d/e.se, e.df))
		r.DF = Known(e.df)
		if math.IsInf(e.df, 1) {
			r.DF = Absent("infinite: only a given session spread contributes")
		}
	}
	r.Low, r.High = r.OwnLow, r.OwnHigh
}

// shown returns a difference on the scale in percent for ratios, else in the unit.
func (m Metric) shown(d float64) Value {
	if m.Scale == Ratio {
		return Known(100 * math.Expm1(d))
	}
	return Known(d)
}

// judgeMeans gives the verdict: level where the 90 % interval lies within the margin (two one-sided tests, D. J. Schuirmann,
// Journal of Pharmacokinetics and Biopharmaceutics 15(6), 1987), else the direction where the 95 % interval excludes 0.
func (r *Comparison) judgeMeans(m Metric, a, base CellStat, u SessionSpread, margin Margin) {
	d := a.Centre.X - base.Centre.X
	e := errorOf(a, base, u)
	limit := m.step(margin.Percent, margin.Points)
	var half90, half95 float64
	if e.se > 0 {
		half90, half95 = float64(tQuantile(0.95, e.df)*e.se), float64(tQuantile(0.975, e.df)*e.se)
	}
	switch {
	case math.Abs(d)+half90 < limit:
		r.Verdict = Level
	case math.Abs(d) > half95:
		r.Verdict = direction(m, d)
	default:
		r.Verdict = Unresolved
	}
}

// direction says on which side of the base a difference other than 0 puts the cell.
func direction(m Metric, d float64) Verdict {
	if d > 0 == m.HigherBetter {
		return Ahead
	}
	return Behind
}

package compute

import (
	"math"
	"slices"
)

const (
	controlError = 0.05 // of naming any session of a review whose sessions are all alike
	statedDF     = 3    // degrees of freedom that a stated spread counts as, the number that an estimated one needs to be used
)

// Control is a cell passed again in each session, so that a session that is off can be told from one that is not.
type Control struct {
	Samples  []Sample // of one metric, with their sessions
	LeastPct float64  // a deviation up to this matters to nobody, in percent
}

// ControlCheck is how the sessions of one control stand. With two sessions that are Apart, nothing tells which of them is off.
// Without at least two Sessions is empty and Why says so.
type ControlCheck struct {
	Sessions []ControlSession // in order of appearance
	Apart    bool
	Why      string
}

// ControlSession is one session of a control: by how many percent its mean is above that of the others (below it if negative), the
// percentage of the same sign beyond which it is out of limits, and whether it is.
type ControlSession struct {
	Name                    string
	FromOthersPct, LimitPct float64
	Out                     bool
}

// CheckControls holds every session of every control against the other sessions of that control, in a metric on the ratio scale.
//
// The mean of a session's launches, on ln y, is predicted from the means of the other sessions: it is out of limits where it lies
// outside the prediction interval, which is the externally studentised residual (R. D. Cook and S. Weisberg, Residuals and
// Influence in Regression, 1982, section 2.2.1) at 5 %, two-sided, split over all sessions of all controls (Bonferroni). A session
// under suspicion has no part in the limits it is held against. Three or four sessions cannot tell how much sessions vary, so their
// variance is moderated as that of a cell is (Smyth 2004, see Borrow): the spread that is stated, u with what launches add to it,
// counts as three degrees of freedom beside those of the other sessions' means. What launches add is from this control's launches
// within sessions, leaning on prior, the launches of all cells; expected is the spread of launches where there is no prior.
func CheckControls(m Metric, controls []Control, u SessionSpread, prior Prior, expected Noise) []ControlCheck {
	checks := make([]ControlCheck, len(controls))
	of := make([]sessionMeans, len(controls))
	tests := 0
	for i, c := range controls {
		if m.Scale == Ratio {
			of[i] = bySession(m, c.Samples)
		}
		switch n := len(of[i].names); n {
		case 0:
			checks[i].Why = "no pass of it is of a recorded session"
		case 1:
			checks[i].Why = "all its passes are of one session"
		case 2:
			tests++ // one difference, seen from either side
		default:
			tests += n
		}
	}
	for i, c := range controls {
		if checks[i].Why == "" {
			checks[i] = of[i].check(c.LeastPct, controlError/float64(tests), u, launchVariance(of[i], prior, expected))
		}
	}
	return checks
}

// launchVariance is that of the launches within a session.
func launchVariance(c sessionMeans, prior Prior, expected Noise) float64 {
	var squares []float64
	nu := 0.0
	for _, l := range c.launches {
		if n := float64(len(l)); n > 1 {
			squares, nu = append(squares, float64(varianceOf(l)*(n-1))), nu+n-1
		}
	}
	own := 0.0
	if nu > 0 {
		own = orderFree(squares) / nu
	}
	if !prior.OK {
		prior = Prior{Variance: expected.Planned, DF: statedDF, TotalDF: math.Inf(1)}
	}
	if nu > 0 && (prior.Variance == 0 || prior.tooNoisy(own, nu)) {
		return own
	}
	v, _ := prior.lend(own, nu)
	return v
}

// check holds each session against the others. launch is the variance of launches within a session, alpha the error of one test.
func (c sessionMeans) check(leastPct, alpha float64, u SessionSpread, launch float64) (k ControlCheck) {
	for i, name := range c.names {
		away, spread := c.fromOthers(i, float64(u.U*u.U), launch, statedDF)
		limit := spread.half(alpha / 2)
		s := ControlSession{Name: name, FromOthersPct: 100 * math.Expm1(away), LimitPct: 100 * math.Expm1(math.Copysign(limit, away))}
		if math.Abs(s.LimitPct) < leastPct {
			s.LimitPct = math.Copysign(leastPct, away)
		}
		out := math.Abs(s.FromOthersPct) > math.Abs(s.LimitPct)
		s.Out = out && len(c.names) > 2
		k.Apart = k.Apart || out && !s.Out
		k.Sessions = append(k.Sessions, s)
	}
	return k
}

// fromOthers returns how far the mean of session i is above that of the other sessions' means, on the scale, and the squared error of
// that with its degrees of freedom. session is the stated variance between sessions, counting as weight degrees of freedom.
//
// A session's mean of k launches varies by session + launch/k. For the others, with h their mean of 1/k, that is their variance s² with
// S − 2 degrees of freedom, moderated by session + launch·h; the difference from their mean varies by that times 1 + 1/(S − 1), and
// by the rest of launch/k where session i has fewer launches than they.
func (c sessionMeans) fromOthers(i int, session, launch, weight float64) (away float64, spread spreadTerm) {
	others := slices.Delete(slices.Clone(c.means), i, i+1)
	var shares []float64
	for j, l := range c.launches {
		if j != i {
			shares = append(shares, 1/float64(len(l)))
		}
	}
	slices.Sort(others)
	n := float64(len(others))
	h := orderFree(shares) / n
	stated := session + float64(launch*h)
	v, df := stated, weight
	if n > 1 {
		df = weight + n - 1
		v = (float64(weight*stated) + float64((n-1)*varianceOf(others))) / df
	}
	v = float64(v*(1+1/n)) + float64(launch*math.Max(0, 1/float64(len(c.launches[i]))-h))
	return c.means[i] - meanOf(others), spreadTerm{v, df}
}

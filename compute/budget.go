package compute

import (
	"cmp"
	"math"
)

// BudgetTerm is one cell's part in a figure: Weight is the factor its centre has there, 1 in a difference of two cells, 1/(γ·c) in
// a mean over γ games of c cells each. Launch and Pass are what one more start of its game and one more pass take at the bench, in
// minutes.
type BudgetTerm struct {
	Cell         CellStat
	Within       Within
	Weight       float64
	Launch, Pass float64
}

// BudgetSide is one card in a mode: the sessions the figure's passes of it are of, the part of u² that it keeps of them (see
// CellStat.PerSession), and what mounting it once more takes at the bench, in minutes.
type BudgetSide struct {
	Sessions   int
	PerSession float64
	Mount      float64
}

// Budget says where the uncertainty of a figure comes from (definitions, section 5). SE is its standard error, in percent on the
// ratio scale, else in the unit. Pass, Launch and Session are shares of its square and sum to 1; where passes cannot be told from
// launches, Pass and Launch are absent and Together, always their sum, stands for them. From is the number of cells that tell what
// passes of a launch differ by. Cheapest is the plan that halves SE at the least price, InSession the same without mounting a card
// again. Why says why there is no budget.
type Budget struct {
	SE                              Value
	Pass, Launch, Together, Session Value
	From                            int
	Cheapest, InSession             Halving
	Why                             string
}

// BudgetOf divides the squared error of a figure: the weighted sum over its terms of s̃²/k, and of each side what it keeps of u². Of a
// term's s̃², the variance of its launches' means, the passes make up σ²·PerLaunch, σ² the variance within launches, and the launches
// what is left, but not less than nothing.
//
// With launches of n passes each that is the textbook (MSB − MSW)/n of a one-way analysis of variance. With unequal ones it is the
// estimate from unweighted means (S. R. Searle, G. Casella, C. E. McCulloch, Variance Components, 1992) and not the one with
// n₀ = (N − Σn²/N)/(k − 1), since a cell's centre is the unweighted mean of its launches: so the parts sum to the error as shown.
func BudgetOf(m Metric, terms []BudgetTerm, sides []BudgetSide, u SessionSpread) Budget {
	e, why := errorParts(m, terms, sides, u)
	if why != "" {
		return NoBudget(why)
	}
	all := e.now()
	b := Budget{SE: m.shown(math.Sqrt(all)), Session: Known(e.session(1) / all), From: e.from}
	b.Together = Known(1 - b.Session.X)
	b.Pass, b.Launch = Absent(e.together), Absent(e.together)
	if e.together == "" {
		var pass []float64
		for _, p := range e.parts {
			pass = append(pass, p.pass/p.k*p.perLaunch)
		}
		b.Pass = Known(min(orderFree(pass)/all, b.Together.X))
		b.Launch = Known(b.Together.X - b.Pass.X)
	}
	now := 1
	for _, side := range sides {
		now = max(now, side.Sessions)
	}
	b.Cheapest, b.InSession = e.halve(m, mostSessions*now), e.halve(m, 1)
	return b
}

// NoBudget is the budget of a figure that has no standard error.
func NoBudget(why string) Budget {
	none := Absent(why)
	return Budget{SE: none, Pass: none, Launch: none, Together: none, Session: none, Why: why,
		Cheapest: Halving{Why: why}, InSession: Halving{Why: why}}
}

// errorPart is a term's contribution, its weight squared in it: the variance that launches bring and the one that passes do, k
// launches, n passes in all, and what more of either take.
type errorPart struct {
	launch, pass, perLaunch float64
	k, n                    float64
	startMinutes, minutes   float64
}

// squaredError is a figure's squared standard error in parts that answer to a plan. together says why passes count as launches, ""
// if they do not.
type squaredError struct {
	parts    []errorPart
	sides    []BudgetSide
	u2       float64
	together string
	from     int
}

func errorParts(m Metric, terms []BudgetTerm, sides []BudgetSide, u SessionSpread) (e squaredError, why string) {
	switch {
	case m.Scale != Ratio && m.Scale != Difference:
		return e, m.Name + " has no such budget"
	case len(terms) == 0:
		return e, "no cell"
	}
	e.sides, e.u2 = sides, float64(u.U*u.U)
	for _, t := range terms {
		if !t.Cell.ShownVariance.OK {
			return e, t.Cell.ShownVariance.Why
		}
		if !t.Within.OK {
			e.together = cmp.Or(t.Within.Why, "nothing says what passes of a launch differ by")
		}
		e.from = max(e.from, t.Within.From)
	}
	for _, t := range terms {
		w2 := float64(t.Weight * t.Weight)
		p := errorPart{launch: float64(w2 * t.Cell.ShownVariance.X), k: float64(t.Cell.Launches), n: float64(t.Cell.N),
			startMinutes: t.Launch, minutes: t.Pass}
		if e.together == "" {
			p.perLaunch = t.Within.PerLaunch
			p.pass = min(float64(w2*t.Within.Variance), p.launch/p.perLaunch)
			p.launch = max(0, p.launch-float64(p.pass*p.perLaunch))
		}
		e.parts = append(e.parts, p)
	}
	if e.now() == 0 {
		return e, "nothing varies"
	}
	return e, ""
}

// now is the squared error as it stands.
func (e squaredError) now() float64 {
	var parts []float64
	for _, p := range e.parts {
		parts = append(parts, (p.launch+float64(p.pass*p.perLaunch))/p.k)
	}
	return orderFree(append(parts, e.session(1)))
}

// session is the sessions' part where each side is mounted at least so many times.
func (e squaredError) session(sessions int) float64 {
	var keeps float64 // of two sides at most, so that their order does not matter
	for _, side := range e.sides {
		keeps += min(side.PerSession, 1/float64(sessions))
	}
	return float64(keeps * e.u2)
}

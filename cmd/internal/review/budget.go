package review

import (
	"cmp"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/schedule"
)

// BudgetPart is one cell in a figure, against Base unless that is the zero Key, as for an absolute figure. A mean over γ games of c
// cells each gives every one the weight 1/(γ·c).
type BudgetPart struct {
	Of, Base plan.Key
	Weight   float64
}

// Budget says where the uncertainty of a cell's figure comes from: of its difference from the base cell as the comparison shows it,
// or, with the zero Key for a base, of the figure itself with the session in it. It has none where the comparison has no interval.
func (r *Review) Budget(of, base plan.Key, metric string) compute.Budget {
	u := r.sessions[metric]
	if cell := r.cell(of); len(cell.Stats) > 0 && !cell.State.Holds() {
		return compute.NoBudget("the cell is not ready, and its passes come first")
	}
	if base != (plan.Key{}) {
		i := slices.IndexFunc(r.Comparisons, func(d Comparison) bool { return d.Of == of && d.Base == base && d.Metric.Name == metric })
		if i < 0 {
			return compute.NoBudget("not compared")
		}
		d := r.Comparisons[i]
		if !d.Holds {
			return compute.NoBudget("a side is not ready, and its passes come first")
		}
		if !d.Low.OK {
			return compute.NoBudget(cmp.Or(d.Why, "the comparison has no interval by spreads"))
		}
		u = d.SessionSpread
	}
	return r.BudgetOver(metric, []BudgetPart{{of, base, 1}}, u)
}

// BudgetOver is Budget for a figure over several cells, all of one card and mode against one other, with the session spread that
// its error was worked out with. A session is common to all of them.
func (r *Review) BudgetOver(metric string, parts []BudgetPart, u compute.SessionSpread) compute.Budget {
	m, ok := compute.MetricByName(metric)
	switch {
	case !ok:
		return compute.NoBudget("no metric is called " + metric)
	case len(parts) == 0:
		return compute.NoBudget("no cell")
	}
	within := r.withinLaunches(m)
	var terms []compute.BudgetTerm
	var of, base []plan.Key
	for _, p := range parts {
		of = append(of, p.Of)
		keys := []plan.Key{p.Of}
		if p.Base != (plan.Key{}) {
			base, keys = append(base, p.Base), append(keys, p.Base)
		}
		for _, k := range keys {
			t, why := r.budgetTerm(m, k)
			if why != "" {
				return compute.NoBudget(why)
			}
			t.Within, t.Weight = within[k], p.Weight
			terms = append(terms, t)
		}
	}
	return compute.BudgetOf(m, terms, r.budgetSides(metric, of, base), u)
}

// budgetTerm is a cell with what more of it takes at the bench; why says what it lacks.
func (r *Review) budgetTerm(m compute.Metric, k plan.Key) (t compute.BudgetTerm, why string) {
	stat, ok := r.cell(k).Stat(m.Name)
	switch {
	case !ok:
		return t, k.String() + " has no figures"
	case slices.Contains(stat.Flags, compute.FlagThin):
		return t, "a low rests on fewer than 5 frames"
	}
	launch, pass := schedule.LaunchCost(r.Plan, k)
	return compute.BudgetTerm{Cell: stat, Launch: launch.Minutes(), Pass: pass.Minutes()}, ""
}

// budgetSides are the cards that make up a figure, with what it takes to mount each once more after the other. Two modes of one card
// share their mountings.
func (r *Review) budgetSides(metric string, of, base []plan.Key) []compute.BudgetSide {
	if len(base) == 0 {
		return []compute.BudgetSide{r.budgetSide(metric, of, of[0].Card)}
	}
	a, b := r.budgetSide(metric, of, base[0].Card), r.budgetSide(metric, base, of[0].Card)
	if of[0].Card == base[0].Card {
		b.Mount = 0
	}
	return []compute.BudgetSide{a, b}
}

// budgetSide is one card in a mode over some cells, mounted after the card named. Of its sessions it keeps what the cell with the fewest
// does, as its figure over them does.
func (r *Review) budgetSide(metric string, keys []plan.Key, after string) compute.BudgetSide {
	side := compute.BudgetSide{Mount: schedule.MountCost(r.Plan, after, keys).Minutes()}
	for i, k := range keys {
		stat, _ := r.cell(k).Stat(metric)
		if i == 0 || stat.Sessions < side.Sessions {
			side.Sessions = stat.Sessions
		}
		side.PerSession = max(side.PerSession, stat.PerSession)
	}
	return side
}

// withinLaunches is what passes of one launch differ by, cell by cell, all cells leaning on each other.
func (r *Review) withinLaunches(m compute.Metric) map[plan.Key]compute.Within {
	var keys []plan.Key
	var cells [][]compute.Sample
	for _, c := range r.Cells {
		if c.Cell.Waived == "" {
			keys, cells = append(keys, c.Cell.Key), append(cells, r.samples(m, c))
		}
	}
	out := map[plan.Key]compute.Within{}
	for i, w := range compute.WithinLaunches(m, cells) {
		out[keys[i]] = w
	}
	return out
}

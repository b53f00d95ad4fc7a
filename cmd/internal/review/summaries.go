package review

import (
	"cmp"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
)

// AllGames is the group of every game and variant.
const AllGames = "all"

// Summary is one card and mode against the baseline over the games of a group at one resolution, in one metric. Leads and Trails are
// games with a firm verdict one way and none the other, Levels those where every cell is level.
type Summary struct {
	compute.Summary
	Group, Resolution     string
	Of, Base              plan.Mode
	Metric                compute.Metric
	LeftOut               []LeftOut
	Leads, Levels, Trails int
}

// LeftOut is a cell that takes no part in a headline, and why. By is its own difference, in percent on the ratio scale, where it has
// one that may be shown.
type LeftOut struct {
	Cell plan.Key
	Why  string
	By   compute.Value
}

// summarise works out the headline figures: every card and mode against the baseline, per resolution and group.
func (r *Review) summarise() {
	for _, size := range r.Plan.Resolutions {
		for _, group := range r.groups(size.Name) {
			for _, m := range compute.Metrics() {
				if m.Scale == compute.Ratio || m.Scale == compute.Difference {
					r.summariseGroup(group, size.Name, m)
				}
			}
		}
	}
}

// groups are those that a resolution's cells have, all games first. One that holds every cell anyway adds nothing.
func (r *Review) groups(resolution string) (out []string) {
	cells := map[string]int{}
	all := 0
	for _, c := range r.Cells {
		if c.Cell.Resolution != resolution || c.Cell.Waived != "" {
			continue
		}
		all++
		if g := r.groupOf(c.Cell.Key); g != "" {
			if cells[g] == 0 {
				out = append(out, g)
			}
			cells[g]++
		}
	}
	if all == 0 {
		return nil
	}
	out = slices.DeleteFunc(out, func(g string) bool { return cells[g] == all || g == AllGames })
	return append([]string{AllGames}, out...)
}

func (r *Review) groupOf(k plan.Key) string {
	game, _ := r.Plan.Game(k.Game)
	variant, _ := game.Variant(k.Variant)
	return variant.Group
}

// summariseGroup adds a summary for each card and mode that has cells in the group, in plan order.
func (r *Review) summariseGroup(group, resolution string, m compute.Metric) {
	var modes []plan.Mode
	of := map[plan.Mode][]Comparison{}
	for _, d := range r.Comparisons {
		k := d.Of
		if d.Metric.Name != m.Name || k.Resolution != resolution || d.Base.CardMode() != r.Plan.Review.Baseline ||
			group != AllGames && r.groupOf(k) != group {
			continue
		}
		if of[k.CardMode()] == nil {
			modes = append(modes, k.CardMode())
		}
		of[k.CardMode()] = append(of[k.CardMode()], d)
	}
	for _, mode := range modes {
		s := Summary{Group: group, Resolution: resolution, Of: mode, Base: r.Plan.Review.Baseline, Metric: m}
		var pairs []compute.Pair
		games := map[string][]Comparison{}
		for _, d := range of[mode] {
			if why := r.leftOut(d); why != "" {
				out := LeftOut{Cell: d.Of, Why: why}
				if d.Holds && m.Scale == compute.Ratio {
					out.By = d.Percent
				}
				s.LeftOut = append(s.LeftOut, out)
				continue
			}
			pairs = append(pairs, r.pair(d))
			games[d.Of.Game] = append(games[d.Of.Game], d)
		}
		s.Summary = compute.Summarise(m, pairs, r.between(m, pairs), r.margin())
		for _, d := range of[mode] {
			if r.leftOut(d) == "" {
				s.Flags = append(s.Flags, d.Flags...)
			}
		}
		s.Flags = distinct(s.Flags)
		s.count(games)
		r.Summaries = append(r.Summaries, s)
	}
}

// leftOut says why a comparison has no part in a headline, "" if it has.
func (r *Review) leftOut(d Comparison) string {
	of, base := r.cell(d.Of), r.cell(d.Base)
	switch {
	case of.State == coverage.Failed || base.State == coverage.Failed:
		return "does not run"
	case !d.Holds:
		return "not ready"
	case !d.Difference.OK:
		return cmp.Or(d.Difference.Why, d.Why)
	case of.flagged(flagLimitedElsewhere) || base.flagged(flagLimitedElsewhere):
		return "limited elsewhere"
	case slices.Contains(d.Flags, compute.FlagThin):
		return "a low rests on fewer than 5 frames"
	}
	return ""
}

// distinct keeps the first of each word.
func distinct(words []compute.Flag) (out []compute.Flag) {
	for _, w := range words {
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

func (c Cell) flagged(word compute.Flag) bool {
	return slices.ContainsFunc(c.Flags, func(f Flag) bool { return f.Word == word })
}

// cell returns the cell of a key, the zero Cell where the matrix has none.
func (r *Review) cell(k plan.Key) Cell {
	i, ok := r.at[k]
	if !ok {
		return Cell{}
	}
	return r.Cells[i]
}

// pair gives both sides of a comparison.
func (r *Review) pair(d Comparison) compute.Pair {
	of, _ := r.cell(d.Of).Stat(d.Metric.Name)
	base, _ := r.cell(d.Base).Stat(d.Metric.Name)
	return compute.Pair{Game: d.Of.Game, Of: of, Base: base}
}

// between is the session spread that concerns all pairs together: none only where everything is of one recorded session.
func (r *Review) between(m compute.Metric, pairs []compute.Pair) compute.SessionSpread {
	if len(pairs) == 0 {
		return r.sessions[m.Name]
	}
	first := pairs[0].Of
	var u compute.SessionSpread
	for _, p := range pairs {
		for _, side := range []compute.CellStat{p.Of, p.Base} {
			if u = r.sessions[m.Name].Between(side, first); u.U != 0 {
				return u
			}
		}
	}
	return u
}

// count tells games led, level and trailed.
func (s *Summary) count(games map[string][]Comparison) {
	for _, ds := range games {
		leads, trails, levels := 0, 0, 0
		for _, d := range ds {
			switch {
			case d.Firm && d.Verdict == compute.Ahead:
				leads++
			case d.Firm && d.Verdict == compute.Behind:
				trails++
			case d.Verdict == compute.Level:
				levels++
			}
		}
		switch {
		case leads > 0 && trails == 0:
			s.Leads++
		case trails > 0 && leads == 0:
			s.Trails++
		case levels == len(ds):
			s.Levels++
		}
	}
}

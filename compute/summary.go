package compute

import (
	"fmt"
	"math"
)

// Pair is a cell against the base's of the same game, variant and resolution.
type Pair struct {
	Game     string
	Of, Base CellStat
}

// leastGames is from how many games on one may speak of games like them.
const leastGames = 3

// Summary is one card and mode against the base over games (definitions, section 4): on the ratio scale the geometric mean of the
// ratios, which alone does not depend on which card is the base (P. J. Fleming, J. J. Wallace, Communications of the ACM 29(3),
// 1986). Difference is in the metric's MeanUnit and had on the difference scale only, Ratio and Percent on the ratio scale.
//
// These is the interval for these very games: how far the passes pin the mean down. Like is the one for games like these: how far
// another choice of games might move it; it needs three games. Both are in percent on the ratio scale, else in the unit, and hold the
// session spread once, since a card's session is common to its games. Verdict, DF and P belong to These.
type Summary struct {
	Metric                     string
	Games, Cells               int
	Difference, Ratio, Percent Value
	TheseLow, TheseHigh        Value
	LikeLow, LikeHigh          Value
	DF, P                      Value
	Most, Least                Extreme
	Verdict                    Verdict
	Why                        string
	Flags                      []Flag
	SessionSpread              SessionSpread
	Looks                      int
}

// Extreme is the game that stands out most to one side, with its difference in percent on the ratio scale, else in the unit.
type Extreme struct {
	Game string
	By   Value
}

// Summarise averages the differences of pairs over games. A pair without a centre on both sides must not be among them; one without
// a spread leaves the summary without interval and verdict. u is used as given: see Between.
func Summarise(m Metric, pairs []Pair, u SessionSpread, margin Margin) Summary {
	s := Summary{Metric: m.Name, Cells: len(pairs), SessionSpread: u, Looks: 1}
	if len(pairs) == 0 {
		s.absent("no game to average over")
		return s
	}
	if m.Scale != Ratio && m.Scale != Difference {
		s.absent(m.Name + " is not averaged over games")
		return s
	}
	var parts []part
	for _, p := range pairs {
		if !p.Of.Centre.OK || !p.Base.Centre.OK {
			s.absent(fmt.Sprintf("%s has no figure for both sides", p.Game))
			return s
		}
		parts = append(parts, partBetween(p.Game, p.Of, p.Base))
		s.Looks = max(s.Looks, looksAt(p.Of, p.Base))
		if s.Why == "" && (!p.Of.ShownVariance.OK || !p.Base.ShownVariance.OK) {
			s.Why = p.Game + ": " + noSpread(p.Of, p.Base)
		}
	}
	if s.Looks > 1 {
		s.Flags = append(s.Flags, FlagLooks)
	}
	o := meanOverGames(parts)
	s.Games = len(o.games)
	s.figures(m, o)
	s.intervals(m, o, u, margin)
	return s
}

func (s *Summary) absent(why string) {
	none := Absent(why)
	s.Why = why
	s.Difference, s.Ratio, s.Percent, s.Most.By, s.Least.By = none, none, none, none, none
	s.noInterval(why)
}

func (s *Summary) noInterval(why string) {
	none := Absent(why)
	s.TheseLow, s.TheseHigh, s.LikeLow, s.LikeHigh, s.DF, s.P = none, none, none, none, none, none
}

func (s *Summary) figures(m Metric, o overGames) {
	s.Difference, s.Ratio, s.Percent = Absent("not on the difference scale"), Absent("not on the ratio scale"), Absent("not on the ratio scale")
	if m.Scale == Ratio {
		s.Ratio, s.Percent = Known(math.Exp(o.d)), m.shown(o.d)
	} else {
		s.Difference = Known(o.d)
	}
	most, least := o.farthest()
	s.Most = Extreme{o.names[most], m.shown(o.games[most])}
	s.Least = Extreme{o.names[least], m.shown(o.games[least])}
}

func (s *Summary) intervals(m Metric, o overGames, u SessionSpread, margin Margin) {
	tail := 0.025 / float64(s.Looks)
	if s.Why != "" {
		s.noInterval(s.Why)
	} else {
		these := total(append(o.errs, u.term(o.sessions...))...)
		half := these.half(tail)
		s.TheseLow, s.TheseHigh = bounds(m.shown, o.d, half)
		s.DF, s.P = these.figures(o.d, s.Looks)
		if these.v == 0 {
			s.Flags = append(s.Flags, FlagIdentical)
		}
		s.Verdict = these.verdict(m, o.d, m.step(margin.Percent, margin.Points), s.Looks)
	}
	if s.Games < leastGames {
		none := Absent(fmt.Sprintf("%d games say nothing about others like them", s.Games))
		s.LikeLow, s.LikeHigh = none, none
		return
	}
	half := total(o.spread(), u.term(o.sessions...)).half(tail)
	s.LikeLow, s.LikeHigh = bounds(m.shown, o.d, half)
}

package compute

import (
	"math"
	"slices"
)

// part is what one cell, or one pair of cells, brings to a mean over games: its value on the metric's scale and the squared
// standard errors of its sides. Borrowed errors lean on one prior, so that together they have no more degrees of freedom than the
// cells it was worked out from.
type part struct {
	game     string
	d        float64
	errs     []spreadTerm
	sessions []float64 // of each side, what it keeps of a session's variance
	borrowed bool
	priorDF  float64
}

// partOf is one cell by its shown spread, which it must have.
func partOf(game string, c CellStat) part {
	return part{game, c.Centre.X, []spreadTerm{c.shownError()}, []float64{c.PerSession}, c.Borrowed, c.PriorDF}
}

// partBetween is cell a against its base, both with a shown spread. Where one is borrowed, both sides are one term with the smaller
// degrees of freedom, as in errorOf.
func partBetween(game string, a, base CellStat) part {
	of, by := a.shownError(), base.shownError()
	p := part{game: game, d: a.Centre.X - base.Centre.X, errs: []spreadTerm{of, by}, sessions: []float64{a.PerSession, base.PerSession}}
	if a.Borrowed || base.Borrowed {
		p.errs = []spreadTerm{{of.v + by.v, min(of.df, by.df)}}
		p.borrowed, p.priorDF = true, max(a.PriorDF, base.PriorDF)
	}
	return p
}

// shownError is the squared standard error of a cell's centre by its shown spread.
func (c CellStat) shownError() spreadTerm {
	return spreadTerm{c.ShownVariance.X / float64(c.Launches), c.spreadDF()}
}

// spreadDF are the degrees of freedom of a cell's shown spread: infinite where it is declared and not estimated.
func (c CellStat) spreadDF() float64 {
	if !c.DF.OK {
		return math.Inf(1)
	}
	return c.DF.X
}

// overGames is the mean over games of the means within each game, its error but for the session's, and what it rests on. weight
// is the sum of the parts' squared weights: 1/γ where each of γ games has one.
type overGames struct {
	d      float64
	games  []float64 // the mean of each, in order of appearance
	names  []string
	errs   []spreadTerm
	weight float64

	// What each side keeps of a session's variance: the most that any of its cells does. A mean over cells keeps no more, since a
	// session moves them at most alike.
	sessions []float64
}

// meanOverGames averages first within a game and then over games, so that a game with two variants counts no more than another.
func meanOverGames(parts []part) (o overGames) {
	of := map[string][]part{}
	for _, p := range parts {
		if of[p.game] == nil {
			o.names = append(o.names, p.game)
		}
		of[p.game] = append(of[p.game], p)
		if o.sessions == nil {
			o.sessions = make([]float64, len(p.sessions))
		}
		for i, keeps := range p.sessions {
			o.sessions[i] = max(o.sessions[i], keeps)
		}
	}
	var leaning []spreadTerm
	most := 0.0 // degrees of freedom of the prior
	for _, game := range o.names {
		var ds []float64
		for _, p := range of[game] {
			ds = append(ds, p.d)
			w := 1 / float64(len(of[game])*len(o.names))
			o.weight += float64(w * w)
			for _, e := range p.errs {
				e.v *= w * w
				if p.borrowed {
					leaning, most = append(leaning, e), max(most, p.priorDF)
				} else {
					o.errs = append(o.errs, e)
				}
			}
		}
		o.games = append(o.games, meanOf(slices.Sorted(slices.Values(ds))))
	}
	o.d = meanOf(slices.Sorted(slices.Values(o.games)))
	if len(leaning) > 0 {
		t := total(leaning...)
		t.df = min(t.df, most)
		o.errs = append(o.errs, t)
	}
	return o
}

// spread is s²(d_g)/γ, the squared error of the mean if the games were drawn from many like them.
func (o overGames) spread() spreadTerm {
	n := float64(len(o.games))
	return spreadTerm{varianceOf(slices.Sorted(slices.Values(o.games))) / n, n - 1}
}

// farthest returns the games with the largest and the smallest value.
func (o overGames) farthest() (most, least int) {
	for i, d := range o.games {
		if d > o.games[most] {
			most = i
		}
		if d < o.games[least] {
			least = i
		}
	}
	return most, least
}

// above is the one-sided p against a value at or below the edge: the chance of d or more if the edge were true.
func above(d, edge float64, e spreadTerm) float64 {
	if e.v == 0 {
		switch {
		case d > edge:
			return 0
		case d < edge:
			return 1
		}
		return 0.5
	}
	p := tTwoSided((d-edge)/math.Sqrt(e.v), e.df) / 2
	if d < edge {
		return 1 - p
	}
	return p
}

// below is the one-sided p against a value at or above the edge.
func below(d, edge float64, e spreadTerm) float64 { return above(-d, -edge, e) }

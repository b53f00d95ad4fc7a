// Package bridge compares two cards that never shared a bench, by cards that shared one with each of them: card A was tested last
// year beside C, card B today beside C, so A/B = (A/C)·(C/B), on logarithms, over the games that all of it was measured in.
//
// The model: an edition is a bench at its time, with its driver, builds and rig. What moved all cards alike between two editions
// moved C too, so C's mean move δ = mean(ln C₂ − ln C₁) takes it out of the comparison. What moved C alone, game by game, stays
// in, and the scatter of C's moves over the games is the measure of it. Sessions are in the error too: each card of the chain was
// mounted once more, and a mean over games does not average that out.
//
// Of several chains the one with the least planned variance is taken, that is by launches, games, mountings and joins, never by what was
// observed: to choose by the observed spread is to choose the chain that looks quiet by luck. Cards that make the same join are averaged
// with weights by planned variance, which is generalised least squares for them. Generalised least squares over all chains at once was
// rejected: it needs the variance of uneven moves between every pair of editions, and few pairs share the games to estimate it from.
//
// Like the rest of compute it knows no file. It is given cells by edition, on the metric's scale.
package bridge

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
)

// Place is where cells can be set side by side: a game under one set of settings. Cells of one game are averaged before games are.
type Place struct{ Game, Settings string }

func byPlace(a, b Place) int {
	return cmp.Or(strings.Compare(a.Game, b.Game), strings.Compare(a.Settings, b.Settings))
}

// Cell is the mean of a cell on the metric's scale, its standard error without what sessions bring, and its degrees of freedom: at
// least 1, +Inf where the spread is declared. Borrowed says that the spread leans on the edition's other cells.
type Cell struct {
	Centre, SE, DF float64
	Launches       int
	Borrowed       bool
}

// Edition is what was measured on one bench at one time: cells by card (or card and mode) and place. Sessions is the session
// spread on the scale; PriorDF the degrees of freedom of what borrowed spreads lean on, which no mean of them exceeds, 0 where it is not known.
type Edition struct {
	Name     string
	Sessions compute.SessionSpread
	PriorDF  float64
	Cells    map[string]map[Place]Cell
}

// Join is one step of a chain from an edition to another, by the cards that both have. Moved is by how much these cards moved from the one
// to the other in each of the result's games, later minus earlier link of the chain; Mean and SD are over the games. Noise is the standard
// deviation that their launches alone would bring. All are on the scale.
type Join struct {
	From, To    string
	Cards       []string
	Moved       []float64
	Mean, Noise float64
	SD          compute.Value
	P           compute.Value // of scatter as large as SD, if launches were all there is
	Uneven      bool
}

// Reserve is a word on why a bridge is to be used with reserve.
type Reserve string

const (
	FewGames      Reserve = "few_games"
	MovedUnevenly Reserve = "moved_unevenly"
)

// Result is card Of against card Base. D and the bounds are on the scale: ln for ratios. Direct is the error that a test of the two side by side
// with the same launches would have, Wider how many times wider the interval is than that test's. A result without joins is
// such a test. Why says why there is no interval.
type Result struct {
	Of, Base     string
	Editions     []string
	Joins        []Join
	Games        []string
	Places       []Place // where all of it was measured
	D            float64
	Differences  []float64 // of each game
	Error        compute.Uncertainty
	Direct       compute.Uncertainty
	Wider        compute.Value
	Low, High    compute.Value
	Verdict      compute.Verdict
	Reserves     []Reserve
	Why          string
	Alternatives int // other chains that were there
}

// Holds reports whether a place enters.
func (r Result) Holds(p Place) bool { return slices.Contains(r.Places, p) }

// Sound reports whether nothing speaks against relying on the bridge.
func (r Result) Sound() bool { return !slices.Contains(r.Reserves, MovedUnevenly) }

// leastGames is how many games a bridge needs to be used without reserve: with fewer the scatter of the moves is hardly known.
const leastGames = 3

// Between sets card of against card base by the chain with the least planned variance. margin is the difference that does not matter, on
// the scale; higher says that more is better. An error says what is missing.
func Between(editions []Edition, of, base string, margin float64, higher bool) (Result, error) {
	if of == base {
		return Result{}, fmt.Errorf("%s and %s are one card and mode", of, base)
	}
	for _, card := range []string{of, base} {
		if !slices.ContainsFunc(editions, func(e Edition) bool { return len(e.Cells[card]) > 0 }) {
			return Result{}, fmt.Errorf("no edition has a cell of %s that holds", card)
		}
	}
	chains := chainsOf(editions, of, base)
	if len(chains) == 0 {
		return Result{}, fmt.Errorf("no chain leads from %s to %s: no card was measured beside both, in the same games and settings, by way of at most three editions", of, base)
	}
	best := slices.MinFunc(chains, func(a, b chain) int {
		return cmp.Or(cmp.Compare(a.planned, b.planned), cmp.Compare(len(a.editions), len(b.editions)), -cmp.Compare(a.newest(), b.newest()),
			slices.Compare(a.through, b.through))
	})
	r := best.work(margin, higher)
	r.Alternatives = len(chains) - 1
	return r, nil
}

// work carries a chain out.
func (c chain) work(margin float64, higher bool) Result {
	r := Result{Of: c.of, Base: c.base, Games: c.games(), Places: c.places}
	for _, e := range c.editions {
		r.Editions = append(r.Editions, e.Name)
	}
	weight := c.weights()
	first, last := c.editions[0], c.editions[len(c.editions)-1]
	r.Differences = c.overPlaces(func(p Place) float64 { return first.Cells[c.of][p].Centre - last.Cells[c.base][p].Centre })
	moved := make([]float64, len(r.Games))
	for i := range c.through {
		j := c.join(i, r.Games, margin)
		for g := range moved {
			moved[g] += j.Moved[g]
		}
		r.Joins = append(r.Joins, j)
	}
	for g := range r.Differences {
		r.Differences[g] += moved[g]
	}
	r.D = mean(r.Differences)

	sides := leaning(first, weight, c.of)
	if first.Name == last.Name {
		sides = leaning(first, weight, c.of, c.base)
	} else {
		sides = append(sides, leaning(last, weight, c.base)...)
	}
	r.Direct = compute.Combine(append(slices.Clone(sides), sessions(first, 1), sessions(last, 1))...)
	r.Error = r.Direct
	if len(r.Joins) > 0 {
		r.Error = compute.Combine(append(append(sides, c.sessions()...), scatter(moved))...)
	}
	r.judge(margin, higher)
	return r
}

// judge gives interval, verdict and reserves.
func (r *Result) judge(margin float64, higher bool) {
	if len(r.Joins) > 0 && len(r.Games) < leastGames {
		r.Reserves = append(r.Reserves, FewGames)
	}
	if slices.ContainsFunc(r.Joins, func(j Join) bool { return j.Uneven }) {
		r.Reserves = append(r.Reserves, MovedUnevenly)
	}
	if !r.Error.Standard.OK {
		r.Why = r.Error.Standard.Why
		r.Low, r.High, r.Wider = compute.Absent(r.Why), compute.Absent(r.Why), compute.Absent(r.Why)
		return
	}
	half := r.Error.Expanded.X
	r.Low, r.High = compute.Known(r.D-half), compute.Known(r.D+half)
	if r.Wider = compute.Absent("nothing varies in the direct test"); r.Direct.Expanded.OK && r.Direct.Expanded.X > 0 {
		r.Wider = compute.Known(half / r.Direct.Expanded.X)
	}
	half90 := float64(compute.TQuantile(0.95, r.Error.DF) * r.Error.Standard.X)
	switch {
	case math.Abs(r.D)+half90 < margin:
		r.Verdict = compute.Level
	case math.Abs(r.D) <= half:
		r.Verdict = compute.Unresolved
	case (r.D > 0) == higher:
		r.Verdict = compute.Ahead
	default:
		r.Verdict = compute.Behind
	}
}

// scatter is what the moves of the joining cards bring to the mean over games: s²(δ_g)/γ with γ − 1 degrees of freedom.
func scatter(moved []float64) compute.Contribution {
	c := compute.Repeated("moves of the joining cards", moved)
	if len(moved) < 2 {
		c.Why = "one game shows nothing of how unevenly a card moved between editions; at least 2 are needed"
	}
	return c
}

// leaning are the contributions of cards of one edition: own spreads each by itself, borrowed ones as one term, since they lean on one prior.
func leaning(e Edition, weight map[Place]float64, cards ...string) (out []compute.Contribution) {
	var borrowed []compute.Contribution
	for _, card := range cards {
		for _, p := range slices.SortedFunc(keys(weight), byPlace) {
			cell := e.Cells[card][p]
			part := compute.Contribution{Name: card + " in " + p.Game, Standard: cell.SE, DF: cell.DF, Sensitivity: weight[p]}
			if cell.Borrowed {
				borrowed = append(borrowed, part)
			} else {
				out = append(out, part)
			}
		}
	}
	if len(borrowed) == 0 {
		return out
	}
	u := compute.Combine(borrowed...)
	if !u.Standard.OK {
		return append(out, borrowed...)
	}
	df := u.DF
	if e.PriorDF > 0 {
		df = min(df, e.PriorDF)
	}
	return append(out, compute.Contribution{Name: "spread borrowed in " + e.Name, Standard: u.Standard.X, DF: df, Sensitivity: 1})
}

// sessions is what mounting cards brings: parts is the sum of the squared weights of the cards mounted.
func sessions(e Edition, parts float64) compute.Contribution {
	df := e.Sessions.DF
	if df == 0 {
		df = math.Inf(1) // the zero value is no spread
	}
	return compute.Contribution{Name: "mounting in " + e.Name, Standard: e.Sessions.U, DF: df, Sensitivity: math.Sqrt(parts)}
}

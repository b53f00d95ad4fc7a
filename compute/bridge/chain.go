package bridge

import (
	"iter"
	"maps"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/rigslate/rigslate/compute"
)

// chain is a way from one card to another: editions one after the other, and the cards that join each to the next.
type chain struct {
	of, base string
	editions []Edition
	at       []int      // their indices
	joins    [][]string // cards of each join
	through  []string   // the card that each join was found by
	places   []Place    // where all of it was measured
	planned  float64    // variance
}

func (c chain) newest() int { return slices.Max(c.at) }

// plannedSpread is the standard deviation, on the ratio scale, that launches and uneven moves are planned with: the 0.5 % that repeats are
// planned with where nothing is known (definitions, section 5). Only its size against the session spread matters.
var plannedSpread = math.Log1p(0.005)

// chainsOf lists the chains: direct ones and those of one join, and only where there is none those of two.
func chainsOf(editions []Edition, of, base string) (out []chain) {
	add := func(at []int, through []string) bool {
		c := chain{of: of, base: base, at: at, through: through}
		for _, i := range at {
			c.editions = append(c.editions, editions[i])
		}
		for _, card := range through {
			c.joins = append(c.joins, []string{card})
		}
		if c.places = c.common(); len(c.places) == 0 {
			return false
		}
		c.widen()
		c.planned = c.plan()
		out = append(out, c)
		return true
	}
	var from, to []int
	for i, e := range editions {
		if len(e.Cells[of]) > 0 {
			from = append(from, i)
		}
		if len(e.Cells[base]) > 0 {
			to = append(to, i)
		}
	}
	for _, i := range from {
		for _, j := range to {
			if i == j { // links inside one edition are one direct comparison, whatever cards are between
				add([]int{i}, nil)
				continue
			}
			for _, card := range shared(editions[i], editions[j], of, base) {
				add([]int{i, j}, []string{card})
			}
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, i := range from {
		for mid := range editions {
			for _, j := range to {
				if mid == i || mid == j || i == j {
					continue
				}
				for _, a := range shared(editions[i], editions[mid]) {
					for _, b := range shared(editions[mid], editions[j]) {
						add([]int{i, mid, j}, []string{a, b})
					}
				}
			}
		}
	}
	return out
}

// shared are the cards that two editions have. Of a card that is one of the two compared nothing is joined: where it is in both editions,
// the direct comparison is.
func shared(a, b Edition, not ...string) (cards []string) {
	for _, card := range slices.Sorted(maps.Keys(a.Cells)) {
		if len(a.Cells[card]) > 0 && len(b.Cells[card]) > 0 && !slices.Contains(not, card) {
			cards = append(cards, card)
		}
	}
	return cards
}

// common are the places where all cells of the chain are.
func (c chain) common() []Place {
	var sides []map[Place]Cell
	sides = append(sides, c.editions[len(c.editions)-1].Cells[c.base])
	for i, cards := range c.joins {
		for _, card := range cards {
			sides = append(sides, c.editions[i].Cells[card], c.editions[i+1].Cells[card])
		}
	}
	var out []Place
	for p := range c.editions[0].Cells[c.of] {
		if !slices.ContainsFunc(sides, func(cells map[Place]Cell) bool { _, ok := cells[p]; return !ok }) {
			out = append(out, p)
		}
	}
	slices.SortFunc(out, byPlace)
	return out
}

// widen adds to each join the other cards that make it in all the chain's places: they cost no game.
func (c *chain) widen() {
	for i := range c.joins {
		a, b := c.editions[i], c.editions[i+1]
		for _, card := range shared(a, b, c.of, c.base, c.joins[i][0]) {
			missing := func(p Place) bool {
				_, first := a.Cells[card][p]
				_, second := b.Cells[card][p]
				return !first || !second
			}
			if !slices.ContainsFunc(c.places, missing) {
				c.joins[i] = append(c.joins[i], card)
			}
		}
		slices.Sort(c.joins[i])
	}
}

// games are the games of the places, in order.
func (c chain) games() (out []string) {
	for _, p := range c.places { // sorted by game
		if n := len(out); n == 0 || out[n-1] != p.Game {
			out = append(out, p.Game)
		}
	}
	return out
}

// overPlaces averages over the places of each game.
func (c chain) overPlaces(at func(Place) float64) []float64 {
	games := c.games()
	out := make([]float64, len(games))
	for g, game := range games {
		var ys []float64
		for _, p := range c.places {
			if p.Game == game {
				ys = append(ys, at(p))
			}
		}
		out[g] = mean(ys)
	}
	return out
}

// weights are those of the places in the mean over games; they add up to 1.
func (c chain) weights() map[Place]float64 {
	of := map[string]int{}
	for _, p := range c.places {
		of[p.Game]++
	}
	out := map[Place]float64{}
	for _, p := range c.places {
		out[p] = 1 / float64(of[p.Game]*len(of))
	}
	return out
}

// shares are the weights of the cards of a join, by planned variance of each one's move: launches of both cells, mounting in both
// editions, and what a card moves by itself. They add up to 1.
func (c chain) shares(i int) []float64 {
	weight := c.weights()
	var out []float64
	var total float64
	for _, card := range c.joins[i] {
		w := 1 / (c.launches(c.editions[i], card, weight) + c.launches(c.editions[i+1], card, weight) + c.own() + c.mounted(i) + c.mounted(i+1))
		out, total = append(out, w), total+w
	}
	for j := range out {
		out[j] /= total
	}
	return out
}

// launches is the planned variance that the launches of a card's cells bring to the mean over games.
func (c chain) launches(e Edition, card string, weight map[Place]float64) float64 {
	var v float64
	for _, p := range c.places {
		w := weight[p] * plannedSpread
		v += float64(w*w) / float64(max(1, e.Cells[card][p].Launches))
	}
	return v
}

// own is the planned variance of what a card moves by itself from one edition to another.
func (c chain) own() float64 { return plannedSpread * plannedSpread / float64(len(c.games())) }

// mounted is the variance of mounting a card in an edition of the chain.
func (c chain) mounted(i int) float64 { u := c.editions[i].Sessions.U; return float64(u * u) }

// plan is the variance by what was planned: launches, games, mountings and joins.
func (c chain) plan() float64 {
	weight := c.weights()
	last := len(c.editions) - 1
	v := c.launches(c.editions[0], c.of, weight) + c.launches(c.editions[last], c.base, weight) + c.mounted(0) + c.mounted(last)
	for i, cards := range c.joins {
		for j, share := range c.shares(i) {
			one := c.launches(c.editions[i], cards[j], weight) + c.launches(c.editions[i+1], cards[j], weight) + c.own() + c.mounted(i) + c.mounted(i+1)
			v += float64(share * share * one)
		}
	}
	return v
}

// sessions are the contributions of all mountings of the chain, one an edition.
func (c chain) sessions() (out []compute.Contribution) {
	parts := make([]float64, len(c.editions))
	parts[0]++
	parts[len(parts)-1]++
	for i := range c.joins {
		for _, share := range c.shares(i) {
			parts[i] += float64(share * share)
			parts[i+1] += float64(share * share)
		}
	}
	for i, e := range c.editions {
		out = append(out, sessions(e, parts[i]))
	}
	return out
}

// join works out how the cards of a join moved. They moved unevenly where the scatter over games is more than their launches explain
// (F test at 5 %), and what is more than that exceeds the margin.
func (c chain) join(i int, games []string, margin float64) Join {
	a, b, shares := c.editions[i], c.editions[i+1], c.shares(i)
	j := Join{From: a.Name, To: b.Name, Cards: c.joins[i]}
	j.Moved = c.overPlaces(func(p Place) float64 {
		var y float64
		for k, card := range j.Cards {
			y += float64(shares[k] * (b.Cells[card][p].Centre - a.Cells[card][p].Centre))
		}
		return y
	})
	j.Mean = mean(j.Moved)
	var parts []compute.Contribution
	weight := c.weights()
	for k, card := range j.Cards {
		scaled := map[Place]float64{}
		for p, w := range weight {
			scaled[p] = w * shares[k] * math.Sqrt(float64(len(games))) // of a game, on average over them
		}
		parts = append(append(parts, leaning(a, scaled, card)...), leaning(b, scaled, card)...)
	}
	noise := compute.Combine(parts...)
	j.Noise = noise.Standard.X
	scatter := compute.Repeated(strings.Join(j.Cards, " and "), j.Moved)
	if scatter.Why != "" {
		j.SD, j.P = compute.Absent(scatter.Why), compute.Absent(scatter.Why)
		return j
	}
	sd := scatter.Standard * math.Sqrt(float64(len(games)))
	j.SD = compute.Known(sd)
	excess := math.Sqrt(max(0, float64(sd*sd)-float64(j.Noise*j.Noise)))
	if j.Noise == 0 {
		j.P, j.Uneven = compute.Absent("nothing varies between launches"), excess > margin
		return j
	}
	ratio := sd / j.Noise
	f := distuv.F{D1: float64(len(games) - 1), D2: min(noise.DF, mostDF)}
	j.P = compute.Known(1 - f.CDF(ratio*ratio))
	j.Uneven = j.P.OK && j.P.X < 0.05 && excess > margin
	return j
}

// mostDF is where F can no longer be told from χ²/ν; the incomplete beta function needs a number.
const mostDF = 1e5

func mean(ys []float64) float64 {
	sorted := slices.Sorted(slices.Values(ys)) // so that the order cannot be seen in the last digit
	var sum float64
	for _, y := range sorted {
		sum += y
	}
	return sum / float64(len(sorted))
}

func keys(m map[Place]float64) iter.Seq[Place] { return maps.Keys(m) }

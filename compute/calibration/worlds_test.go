package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/rigslate/rigslate/compute"
)

// world is a kind of review with known truth.
type world struct {
	name   string
	design Design

	// A cell passed in several sessions has their differences in its launches' own spread as well as in u, so that its intervals are
	// wider than they need be: they may hold more often than is asked. README has a column for it.
	severalSessions bool
}

const typical = 0.005 // spread of launches: half a percent

// wide is the review that most worlds are: two cards in games many games, k launches each of so many passes, every card in sessions of
// its own.
func wide(games, k, passes, sessions int) Design {
	d := Design{Session: compute.SessionSpread{U: math.Log1p(0.002), DF: math.Inf(1), Source: "plan"}, Margin: compute.DefaultMargin, Claims: 7}
	for card := range 2 {
		for game := range games {
			c := Cell{Card: card, Game: fmt.Sprint("game ", game), Base: -1, Spread: typical}
			if card == 1 {
				c.Base = game
			}
			for launch := range k {
				c.Launches = append(c.Launches, Launch{Session: fmt.Sprintf("card %d, session %d", card, launch*sessions/k), Passes: passes})
			}
			d.Cells = append(d.Cells, c)
		}
	}
	return d
}

func (d Design) with(change func(*Design)) Design {
	change(&d)
	return d
}

// spread makes all spreads of a review typical times what is drawn.
func spread(of func(*rand.Rand) float64) func(*Design) {
	return func(d *Design) {
		d.Vary = func(rng *rand.Rand, spreads []float64) {
			for i := range spreads {
				spreads[i] = typical * of(rng)
			}
		}
	}
}

// byGame gives both cards the same spread in a game.
func byGame(of func(*rand.Rand) float64) func(*Design) {
	return func(d *Design) {
		d.Vary = func(rng *rand.Rand, spreads []float64) {
			half := len(spreads) / 2
			for i := range half {
				spreads[i] = typical * of(rng)
				spreads[half+i] = spreads[i]
			}
		}
	}
}

// inverseChi draws spreads as the prior of borrowing has them.
func inverseChi(nu0 int) func(*rand.Rand) float64 {
	return func(rng *rand.Rand) float64 {
		var chi float64
		for range nu0 {
			z := rng.NormFloat64()
			chi += float64(z * z)
		}
		return math.Sqrt(float64(nu0) / chi)
	}
}

func lognormal(factor float64) func(*rand.Rand) float64 {
	return func(rng *rand.Rand) float64 { return math.Exp(math.Log(factor) * rng.NormFloat64()) }
}

// some draws a spread larger by a factor once in so many cells.
func some(oneIn int, factor float64) func(*rand.Rand) float64 {
	return func(rng *rand.Rand) float64 {
		if rng.IntN(oneIn) == 0 {
			return factor
		}
		return 1
	}
}

func noSessions(d *Design)  { d.Session = compute.SessionSpread{DF: math.Inf(1), Source: "plan"} }
func estimated(d *Design)   { d.Session.Source, d.Session.DF = compute.OwnSessions, 4 }
func noisyPasses(d *Design) { each(d, func(c *Cell) { c.Within = typical }) }

func each(d *Design, change func(*Cell)) {
	for i := range d.Cells {
		change(&d.Cells[i])
	}
}

// worlds are the reviews that the figures must hold in.
func worlds() []world {
	usual := wide(30, 3, 1, 1)
	return []world{
		{name: "spreads as the prior has them, ν0 = 4", design: usual.with(spread(inverseChi(4)))},
		{name: "ν0 = 8", design: usual.with(spread(inverseChi(8)))},
		{name: "ν0 = 8, no sessions", design: usual.with(spread(inverseChi(8))).with(noSessions)},
		{name: "ν0 = 4, by game", design: usual.with(byGame(inverseChi(4)))},
		{name: "all cells alike", design: usual.with(noSessions)},
		{name: "lognormal by a factor 1.6", design: usual.with(spread(lognormal(1.6)))},
		{name: "lognormal by a factor 1.6, no sessions", design: usual.with(spread(lognormal(1.6))).with(noSessions)},
		{name: "one cell in ten thrice as noisy", design: usual.with(spread(some(10, 3)))},
		{name: "one cell in fifty ten times as noisy", design: usual.with(spread(some(50, 10)))},
		{name: "few cells", design: wide(6, 3, 1, 1).with(spread(lognormal(1.6)))},
		{name: "too few cells to borrow", design: wide(4, 3, 1, 1).with(spread(lognormal(1.6)))},
		{name: "five launches", design: wide(20, 5, 1, 1).with(spread(inverseChi(8)))},
		{name: "two passes a launch", design: wide(20, 3, 2, 1).with(spread(inverseChi(8))).with(noisyPasses)},
		{name: "four sessions a card, u estimated", design: wide(20, 8, 1, 4).with(spread(inverseChi(8))).with(estimated), severalSessions: true},
	}
}

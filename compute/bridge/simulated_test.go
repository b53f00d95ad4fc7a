package bridge

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/rigslate/rigslate/compute"
)

var trials = flag.Int("bridge.trials", 3000, "simulated bridges of each world")

// world is how two benches and the cards on them behave. Everything is on the scale of ln fps.
type world struct {
	games, launches int
	noise           float64 // sd of launches
	uneven          float64 // sd of what a joining card moves by itself, game by game
	mount           float64 // sd of mounting a card
	joining         int     // cards that make the join
	middle          bool    // a third edition between the two
	variants        bool    // two sets of settings a game
}

// measured simulates the editions, and returns what A/B is in truth over the games.
func (w world) measured(r *rand.Rand) (editions []Edition, truth float64) {
	var cards [][]string
	switch {
	case w.middle:
		cards = [][]string{{"a", "c0"}, {"c0", "d0"}, {"d0", "b"}}
	default:
		cards = [][]string{{"a"}, {"b"}}
		for i := range w.joining {
			cards[0], cards[1] = append(cards[0], fmt.Sprint("c", i)), append(cards[1], fmt.Sprint("c", i))
		}
	}
	var places []Place
	for g := range w.games {
		places = append(places, Place{fmt.Sprint("g", g), "one"})
		if w.variants {
			places = append(places, Place{fmt.Sprint("g", g), "two"})
		}
	}
	own := map[string]float64{} // of a card in a place, whatever the edition
	at := func(card string, p Place) float64 {
		k := fmt.Sprint(card, p)
		if _, ok := own[k]; !ok {
			own[k] = r.NormFloat64()
		}
		return own[k]
	}
	for _, p := range places {
		truth += (at("a", p) - at("b", p)) / float64(len(places))
	}
	for e := range cards {
		ed := Edition{Name: fmt.Sprint("e", e), Sessions: compute.SessionSpread{U: w.mount, DF: math.Inf(1)}, Cells: map[string]map[Place]Cell{}}
		all := map[string]float64{} // builds move a game for all cards alike
		for _, card := range cards[e] {
			mount := w.mount * r.NormFloat64()
			byGame := map[string]float64{}
			ed.Cells[card] = map[Place]Cell{}
			for _, p := range places {
				if _, ok := all[p.Game]; !ok {
					all[p.Game] = 0.02 * float64(e) // drivers: evenly, so that scatter is the card's own
				}
				if _, ok := byGame[p.Game]; !ok && card != "a" && card != "b" && e > 0 {
					byGame[p.Game] = w.uneven * r.NormFloat64()
				}
				ys := make([]float64, w.launches)
				for i := range ys {
					ys[i] = at(card, p) + all[p.Game] + byGame[p.Game] + mount + w.noise*r.NormFloat64()
				}
				m, v := moments(ys)
				ed.Cells[card][p] = Cell{Centre: m, SE: math.Sqrt(v / float64(w.launches)), DF: float64(w.launches - 1), Launches: w.launches}
			}
		}
		editions = append(editions, ed)
	}
	return editions, truth
}

func seeded(n uint64) *rand.Rand { return rand.New(rand.NewPCG(1, n)) }

func moments(ys []float64) (m, v float64) {
	for _, y := range ys {
		m += y / float64(len(ys))
	}
	for _, y := range ys {
		v += (y - m) * (y - m) / float64(len(ys)-1)
	}
	return m, v
}

var worlds = []world{
	{games: 3, launches: 3, noise: 0.005, joining: 1},
	{games: 6, launches: 3, noise: 0.005, joining: 1},
	{games: 6, launches: 3, noise: 0.005, uneven: 0.01, joining: 1},
	{games: 12, launches: 3, noise: 0.003, uneven: 0.003, joining: 1},
	{games: 6, launches: 3, noise: 0.005, mount: 0.002, joining: 1},
	{games: 8, launches: 5, noise: 0.004, uneven: 0.004, mount: 0.003, joining: 2},
	{games: 6, launches: 3, noise: 0.005, uneven: 0.005, mount: 0.002, middle: true},
	{games: 5, launches: 3, noise: 0.005, uneven: 0.005, joining: 1, variants: true},
}

// The intervals hold the truth as often as they say, in worlds that differ in games, launches, scatter, mounting and chains. The band is
// 93 to 96 %, widened by three standard errors of the simulation.
func TestIntervalsHold(t *testing.T) {
	rounds := *trials
	if testing.Short() {
		rounds /= 6
	}
	for i, w := range worlds {
		t.Run(fmt.Sprintf("%+v", w), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(20, uint64(i)))
			held := 0
			for range rounds {
				editions, truth := w.measured(r)
				b, err := Between(editions, "a", "b", math.Log(1.01), true)
				if err != nil || !b.Low.OK {
					t.Fatal(err, b.Why)
				}
				if b.Low.X <= truth && truth <= b.High.X {
					held++
				}
			}
			n := float64(rounds)
			cover := float64(held) / n
			slack := 3 * math.Sqrt(0.05*0.95/n)
			t.Logf("%.2f %% of %d", 100*cover, rounds)
			if cover < 0.93-slack || cover > 0.96+slack {
				t.Errorf("%.2f %% of the intervals hold the truth, expected 93 to 96 %%", 100*cover)
			}
		})
	}
}

// A card that moves evenly is seldom called uneven, one that moves by 3 % from game to game mostly is.
func TestUnevenMovesAreSeen(t *testing.T) {
	for _, c := range []struct {
		uneven, least, most float64
	}{{0, 0, 0.05}, {0.03, 0.95, 1}} {
		w := world{games: 8, launches: 3, noise: 0.005, uneven: c.uneven, joining: 1}
		r := rand.New(rand.NewPCG(7, 7))
		said := 0.0
		for range 500 {
			editions, _ := w.measured(r)
			b, err := Between(editions, "a", "b", math.Log(1.01), true)
			if err != nil {
				t.Fatal(err)
			}
			if !b.Sound() {
				said++
			}
			if b.Sound() == slices.Contains(b.Reserves, MovedUnevenly) {
				t.Fatal("sound and not")
			}
		}
		if share := said / 500; share < c.least || share > c.most {
			t.Errorf("uneven by %g: said of %.1f %%, expected %g to %g", c.uneven, 100*share, c.least, c.most)
		}
	}
}

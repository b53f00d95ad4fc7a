package bridge

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
)

// cellOf is the cell of these frame rates, each a launch of its own.
func cellOf(fps ...float64) Cell {
	var ys []float64
	for _, x := range fps {
		ys = append(ys, math.Log(x))
	}
	m, v := moments(ys)
	n := float64(len(ys))
	return Cell{Centre: m, SE: math.Sqrt(v / n), DF: n - 1, Launches: len(ys)}
}

func inGames(cells ...Cell) map[Place]Cell {
	out := map[Place]Cell{}
	for i, c := range cells {
		out[Place{Game: []string{"bazaar", "fjord", "kelp", "orrery", "quarry"}[i]}] = c
	}
	return out
}

func worked(mount float64) []Edition {
	u := compute.SessionSpread{U: mount, DF: math.Inf(1)}
	return []Edition{
		{Name: "last year", Sessions: u, Cells: map[string]map[Place]Cell{
			"heron_x.stock":  inGames(cellOf(118.2, 118.9, 117.5), cellOf(62.0, 62.4, 61.7), cellOf(96.1, 95.8, 96.9)),
			"tern_ref.stock": inGames(cellOf(107.1, 106.8, 107.6), cellOf(52.6, 52.9, 52.5), cellOf(88.0, 88.6, 87.9))}},
		{Name: "today", Sessions: u, Cells: map[string]map[Place]Cell{
			"tern_ref.stock": inGames(cellOf(109.4, 109.0, 110.1), cellOf(53.9, 53.7, 54.3), cellOf(90.5, 89.7, 90.1)),
			"gannet.stock":   inGames(cellOf(123.5, 123.9, 123.0), cellOf(65.5, 65.1, 66.0), cellOf(98.2, 98.9, 98.0))}},
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9*math.Max(1e-3, math.Abs(want)) {
		t.Errorf("%s is %.12g, expected %.12g", what, got, want)
	}
}

// R 4.2.2, by var, qt and pf from the frame rates above: with rows as games and columns as launches, d = rowMeans(C2) − rowMeans(C1),
// D = mean(rowMeans(A) − rowMeans(B) + d), v = c(apply(A, 1, var)/27, apply(B, 1, var)/27, var(d)/3), nu = c(2 × 6, 2),
// df = sum(v)^2/sum(v^2/nu), D ± qt(0.975, df)·sqrt(sum(v)); with mounting c(v, 2u², 2u²), u = log(1.002), nu Inf.
func TestWorkedByR(t *testing.T) {
	r, err := Between(worked(0), "heron_x.stock", "gannet.stock", math.Log(1.01), true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "D", r.D, -1.74871847973e-02)
	near(t, "variance", r.Error.Standard.X*r.Error.Standard.X, 7.72543172273e-06)
	near(t, "df", r.Error.DF, 1.25331519872e+01)
	near(t, "low", r.Low.X, -2.35146722142e-02)
	near(t, "high", r.High.X, -1.14596973804e-02)
	near(t, "wider", r.Wider.X, 1.04144732404e+00)
	j := r.Joins[0]
	near(t, "sd of the moves", j.SD.X, 1.59841433291e-03)
	near(t, "mean move", j.Mean, 2.25348500008e-02)
	near(t, "noise of the moves", j.Noise, 0.00373754930202)
	near(t, "p of the moves", j.P.X, 0.83532625305081)
	if r.Verdict != compute.Behind || len(r.Reserves) != 0 || !r.Sound() || !slices.Equal(r.Games, []string{"bazaar", "fjord", "kelp"}) {
		t.Errorf("%+v", r)
	}
	r, err = Between(worked(math.Log(1.002)), "heron_x.stock", "gannet.stock", math.Log(1.01), true)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "variance with mounting", r.Error.Standard.X*r.Error.Standard.X, 2.36934902829e-05)
	near(t, "df with mounting", r.Error.DF, 1.17888888126e+02)
	near(t, "low with mounting", r.Low.X, -2.71264440827e-02)
	near(t, "high with mounting", r.High.X, -7.84792551193e-03)
}

// Where both cards are in one edition that is the comparison, whatever other cards are there and whatever else they could be joined by.
func TestLinksInsideOneEditionAreDirect(t *testing.T) {
	es := worked(0)
	es[1].Cells["heron_x.stock"] = inGames(cellOf(121, 122, 121.5), cellOf(64, 64.3, 64.1), cellOf(97, 97.4, 97.9))
	r, err := Between(es, "heron_x.stock", "gannet.stock", math.Log(1.01), true)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for _, p := range []string{"bazaar", "fjord", "kelp"} {
		want += (es[1].Cells["heron_x.stock"][Place{Game: p}].Centre - es[1].Cells["gannet.stock"][Place{Game: p}].Centre) / 3
	}
	near(t, "D", r.D, want)
	near(t, "wider", r.Wider.X, 1)
	if len(r.Joins) != 0 || !slices.Equal(r.Editions, []string{"today"}) || r.Alternatives != 1 {
		t.Errorf("%+v", r)
	}
}

// The chain is chosen by what was planned: one over more games goes before one over fewer, however quiet that one looks.
func TestChainIsChosenByPlan(t *testing.T) {
	es := worked(0)
	quiet := Cell{Centre: 4, SE: 1e-9, DF: 2, Launches: 3}
	es[0].Cells["skua.stock"] = inGames(quiet)
	es[1].Cells["skua.stock"] = inGames(quiet)
	r, err := Between(es, "heron_x.stock", "gannet.stock", math.Log(1.01), true)
	if err != nil || len(r.Games) != 3 || !slices.Equal(r.Joins[0].Cards, []string{"tern_ref.stock"}) || r.Alternatives != 1 {
		t.Errorf("%+v, %v", r, err)
	}
}

// With one game nothing tells how unevenly a card moves, with two hardly anything does.
func TestFewGames(t *testing.T) {
	for games := 1; games <= 3; games++ {
		es := worked(0)
		for _, e := range es {
			for card := range e.Cells {
				for i, name := range []string{"bazaar", "fjord", "kelp"} {
					if i >= games {
						delete(e.Cells[card], Place{Game: name})
					}
				}
			}
		}
		r, err := Between(es, "heron_x.stock", "gannet.stock", math.Log(1.01), true)
		if err != nil {
			t.Fatal(err)
		}
		if got := slices.Contains(r.Reserves, FewGames); got != (games < 3) {
			t.Errorf("%d games: reserves %v", games, r.Reserves)
		}
		if r.Low.OK != (games > 1) || r.Low.OK == (r.Why != "") {
			t.Errorf("%d games: low %v, why %q", games, r.Low, r.Why)
		}
	}
}

func TestNoChain(t *testing.T) {
	es := worked(0)
	delete(es[1].Cells, "tern_ref.stock")
	for _, c := range []struct{ of, base, want string }{
		{"heron_x.stock", "gannet.stock", "no chain leads from heron_x.stock to gannet.stock"},
		{"heron_x.stock", "skua.stock", "no edition has a cell of skua.stock"},
		{"gannet.stock", "gannet.stock", "one card and mode"},
	} {
		if _, err := Between(es, c.of, c.base, 0.01, true); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, expected %q", err, c.want)
		}
	}
}

// What moves all cards of an edition alike, game by game, does not move the bridge; the way back is the way with the sign turned; and the
// order of editions does not matter.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := world{games: rapid.IntRange(2, 6).Draw(rt, "games"), launches: rapid.IntRange(2, 4).Draw(rt, "launches"), noise: 0.005, uneven: 0.004,
			mount: 0.002, joining: rapid.IntRange(1, 3).Draw(rt, "joining"), middle: rapid.Bool().Draw(rt, "middle")}
		es, _ := w.measured(seeded(rapid.Uint64().Draw(rt, "seed")))
		ab, err := Between(es, "a", "b", 0.01, true)
		if err != nil {
			rt.Fatal(err)
		}
		ba, err := Between(es, "b", "a", 0.01, true)
		if err != nil || math.Abs(ab.D+ba.D) > 1e-12 || math.Abs(ab.Low.X+ba.High.X) > 1e-9 {
			rt.Fatalf("%v: %g and %g back", err, ab.D, ba.D)
		}
		if ab.Wider.X < 0.2 || len(ab.Joins) != len(ab.Editions)-1 {
			rt.Fatalf("%+v", ab)
		}
		slices.Reverse(es)
		again, err := Between(es, "a", "b", 0.01, true)
		if err != nil || again.D != ab.D || again.Low != ab.Low {
			rt.Fatalf("%v: %+v, in another order %+v", err, ab, again)
		}
		byGame := map[string]float64{}
		for card, cells := range es[0].Cells {
			for p, c := range cells {
				if _, ok := byGame[p.Game]; !ok {
					byGame[p.Game] = rapid.Float64Range(-0.3, 0.3).Draw(rt, p.Game)
				}
				c.Centre += byGame[p.Game]
				es[0].Cells[card][p] = c
			}
		}
		moved, err := Between(es, "a", "b", 0.01, true)
		if err != nil || math.Abs(moved.D-ab.D) > 1e-9 {
			rt.Fatalf("%v: %g, with a build that moves all cards %g", err, ab.D, moved.D)
		}
	})
}

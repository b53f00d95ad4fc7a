package compute

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// Normalised times of P. J. Fleming and J. J. Wallace, Communications of the ACM 29(3), 1986 (times and geometric means as the
// reference set has them, recomputed): the geometric mean of ratios ranks alike whichever machine is the base. To 1e-12.
func TestSummaryIsTheGeometricMeanOfRatios(t *testing.T) {
	var file struct {
		Cases []struct {
			ID       string
			Times    map[string][]float64
			Ratios   []float64
			Computed json.RawMessage
		}
	}
	referenceJSON(t, "benchmark_means.json", &file)
	m := Metric{Name: "ms", Scale: Ratio}
	against := func(of, base []float64) Summary {
		var pairs []Pair
		for i := range of {
			cell := func(x float64) CellStat { return Cell(m, launchesOf(x, x)) }
			pairs = append(pairs, Pair{strconv.Itoa(i), cell(of[i]), cell(base[i])})
		}
		return Summarise(m, pairs, noSessionSpread, DefaultMargin)
	}
	seen := 0
	for _, c := range file.Cases {
		switch c.ID {
		case "fleming_wallace_1986":
			var groups map[string]map[string]struct{ Geometric float64 }
			if err := json.Unmarshal(c.Computed, &groups); err != nil {
				t.Fatal(err)
			}
			for base, of := range c.Times {
				for name, times := range c.Times {
					wantValue(t, name+" to "+base, against(times, of).Ratio, groups["normalised_to_"+base][name].Geometric, 1e-12)
					seen++
				}
			}
		case "geomean_interval_1": // exp(t.test(log(x))$conf.int) in R
			var want struct{ CI95 []float64 }
			if err := json.Unmarshal(c.Computed, &want); err != nil {
				t.Fatal(err)
			}
			ones := make([]float64, len(c.Ratios))
			for i := range ones {
				ones[i] = 1
			}
			s := against(c.Ratios, ones)
			wantValue(t, "like, low", Known(1+s.LikeLow.X/100), want.CI95[0], 1e-9)
			wantValue(t, "like, high", Known(1+s.LikeHigh.X/100), want.CI95[1], 1e-9)
			if s.TheseLow != s.Percent || s.TheseHigh != s.Percent {
				t.Errorf("nothing varies between launches, so these games have one value: %v [%v, %v]", s.Percent, s.TheseLow, s.TheseHigh)
			}
			if s.Most.Game != "2" || s.Least.Game != "3" {
				t.Errorf("most %s, least %s of %v", s.Most.Game, s.Least.Game, c.Ratios)
			}
			seen++
		}
	}
	if seen != 10 {
		t.Errorf("%d cases", seen)
	}
}

// With one pair a summary is the comparison itself.
func TestSummaryOfOnePair(t *testing.T) {
	m := metric(t, "mean_fps")
	a, b := Cell(m, launchesOf(104, 105, 107)), Cell(m, launchesOf(100, 100.5, 102))
	u := SessionSpread{U: 0.002, DF: 5, Source: "sessions"}
	c, s := Compare(m, a, b, u, DefaultMargin), Summarise(m, []Pair{{"fjord", a, b}}, u, DefaultMargin)
	for _, x := range []struct {
		name      string
		got, want Value
	}{{"percent", s.Percent, c.Percent}, {"low", s.TheseLow, c.Low}, {"high", s.TheseHigh, c.High}, {"df", s.DF, c.DF}, {"p", s.P, c.P}} {
		wantValue(t, x.name, x.got, x.want.X, 1e-12)
	}
	if s.Verdict != c.Verdict || s.LikeLow.OK || s.Games != 1 {
		t.Errorf("verdict %s against %s, like %v, %d games", s.Verdict, c.Verdict, s.LikeLow, s.Games)
	}
}

// A game with two variants counts once, as their mean: worked by hand. ln ratios: fjord (0.02 + 0.04)/2, bazaar 0.09; mean 0.06.
// Every launch mean has variance v, so a pair's SE² is 2v/3, fjord's half of it: SE² = (2v/3)(1/2 + 1)/4 = v/4.
func TestSummaryWeighsGamesAlike(t *testing.T) {
	m := metric(t, "mean_fps")
	spread := func(centre float64) CellStat {
		return Cell(m, launchesOf(60*math.Exp(centre-0.01), 60*math.Exp(centre), 60*math.Exp(centre+0.01)))
	}
	pairs := []Pair{{"fjord", spread(0.02), spread(0)}, {"fjord", spread(0.04), spread(0)}, {"bazaar", spread(0.09), spread(0)}}
	s := Summarise(m, pairs, noSessionSpread, DefaultMargin)
	wantValue(t, "percent", s.Percent, 100*math.Expm1(0.06), 1e-9)
	const v = 0.01 * 0.01
	// Satterthwaite over six terms with 2 degrees of freedom: four of v/3/16 and two of v/3/4.
	df := (v / 4) * (v / 4) / ((4*math.Pow(v/48, 2) + 2*math.Pow(v/12, 2)) / 2)
	wantValue(t, "df", s.DF, df, 1e-9)
	half := spreadTerm{v / 4, df}.half(0.025)
	wantValue(t, "low", s.TheseLow, 100*math.Expm1(0.06-half), 1e-9)
	wantValue(t, "high", s.TheseHigh, 100*math.Expm1(0.06+half), 1e-9)
	if s.Games != 2 || s.Cells != 3 || s.LikeLow.OK {
		t.Errorf("%d games, %d cells, like %v", s.Games, s.Cells, s.LikeLow)
	}
}

func TestSummaryThatCannotBeHad(t *testing.T) {
	m := metric(t, "mean_fps")
	if s := Summarise(m, nil, noSessionSpread, DefaultMargin); s.Percent.OK || s.Why == "" || s.Verdict != "" {
		t.Errorf("of nothing: %+v", s)
	}
	one := Cell(m, launchesOf(60))
	s := Summarise(m, []Pair{{"fjord", one, one}}, noSessionSpread, DefaultMargin)
	if !s.Percent.OK || s.TheseLow.OK || s.Verdict != "" || s.Why == "" {
		t.Errorf("of one launch: %+v", s)
	}
	count, _ := MetricByName("hitch_events")
	if s := Summarise(count, []Pair{{"fjord", one, one}}, noSessionSpread, DefaultMargin); s.Percent.OK || s.Why == "" {
		t.Errorf("of counts: %+v", s)
	}
}

// How often do the intervals over games hold the truth? Twelve games, three launches, sessions that move a card's every game by 0.2 %,
// spreads borrowed: those for these games must in 93.5 to 98 %, those for games like these, whose truth is what the games were drawn
// about, too. The spreads of all cells are the same here, so that what they lean on is one estimate and its error common to all.
func TestSummariesHoldTheTruth(t *testing.T) {
	m := metric(t, "mean_fps")
	rng := rand.New(rand.NewPCG(11, 3))
	const games, launchSD, u, between = 12, 0.005, 0.002, 0.02
	var these, like held
	for range 8 * *calibrationReviews {
		var cells []CellStat
		var truth float64
		session := [2]float64{u * rng.NormFloat64(), u * rng.NormFloat64()}
		for range games {
			lead := 0.05 + between*rng.NormFloat64()
			truth += lead / games
			for side, centre := range []float64{lead, 0} {
				xs := make([]float64, 3)
				for i := range xs {
					xs[i] = 60 * math.Exp(centre+session[side]+launchSD*rng.NormFloat64())
				}
				cells = append(cells, Cell(m, launchesOf(xs...)))
			}
		}
		_, cells = Borrow(m, cells)
		var pairs []Pair
		for i := range games {
			pairs = append(pairs, Pair{strconv.Itoa(i), cells[2*i], cells[2*i+1]})
		}
		s := Summarise(m, pairs, SessionSpread{U: u, DF: math.Inf(1)}, DefaultMargin)
		these.add(s.TheseLow, s.TheseHigh, 100*math.Expm1(truth))
		like.add(s.LikeLow, s.LikeHigh, 100*math.Expm1(0.05))
	}
	t.Logf("these games %.2f %%, games like these %.2f %%", these.percent(), like.percent())
	for name, c := range map[string]held{"these": these, "like": like} {
		if p := c.percent(); p < 93.5 || p > 98 {
			t.Errorf("%s: %.2f %%", name, p)
		}
	}
}

package compute

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

var (
	anyBelow = math.Inf(-1)
	anyAbove = math.Inf(1)
)

// leadOf is a card whose figure is percent above 60 fps, and its base, nothing varying between launches: all of the error is the
// session spread's, which is given, so that p is the normal distribution's.
func leadOf(m Metric, percent float64) []Pair {
	a, b := 60*(1+percent/100), 60.0
	return []Pair{{"fjord", Cell(m, launchesOf(a, a)), Cell(m, launchesOf(b, b))}}
}

// ofError is a session spread by which a difference has the standard error se, in percent of the smaller side.
func ofError(percent float64) SessionSpread {
	return SessionSpread{U: math.Log1p(percent/100) / math.Sqrt2, DF: math.Inf(1), Source: "plan"}
}

// Upper tails of the normal distribution as printed: 1.645 has 0.0500, 1.960 has 0.0250, 2.576 has 0.0050 (NIST/SEMATECH e-Handbook
// 1.3.6.7.1). Distances are in standard errors on the logarithms, so that each p is read from the table.
func TestClaimTests(t *testing.T) {
	m := metric(t, "mean_fps")
	at := func(logPercent float64) float64 { return 100 * math.Expm1(logPercent/100) }
	u := SessionSpread{U: 0.01 / math.Sqrt2, DF: math.Inf(1)} // a standard error of 0.01 on the logarithms
	for _, x := range []struct {
		name              string
		hope              Hope
		d                 float64 // 100·ln
		pFor, pSign, pNot float64 // −1: absent
		want              Judged
	}{
		{"at least, far above", Hope{Low: at(2), High: anyAbove}, 2 + 2.576, 0.01, -1, 1, Supported},
		{"at least, just above", Hope{Low: at(2), High: anyAbove}, 2 + 1.645, 0.1, -1, 1, Open},
		{"at least, just below", Hope{Low: at(2), High: anyAbove}, 2 - 1.645, 1, -1, 0.1, Open},
		{"at least, far below", Hope{Low: at(2), High: anyAbove}, 2 - 2.576, 1, -1, 0.01, Contradicted},
		{"at most, far below", Hope{Low: anyBelow, High: at(2)}, 2 - 2.576, 0.01, -1, 1, Supported},
		{"at most, far above", Hope{Low: anyBelow, High: at(2)}, 2 + 2.576, 1, -1, 0.01, Contradicted},
		{"near, too tight to show", Hope{Near: 5, Within: 1, IsNear: true}, 100 * math.Log(1.05), 0.1711, 1e-6, 1, Fits}, // edges at 0.95 standard errors,
	} {
		c := Claim(m, x.hope, false, leadOf(m, at(x.d)), u, DefaultMargin)
		judged := []ClaimFigures{c}
		JudgeClaims(judged)
		c = judged[0]
		if c.Verdict != x.want || c.Why != "" {
			t.Errorf("%s: %s (%s), want %s", x.name, c.Verdict, c.Why, x.want)
		}
		for _, p := range []struct {
			name string
			got  Value
			want float64
		}{{"for", c.PFor, x.pFor}, {"sign", c.PSign, x.pSign}, {"against", c.PAgainst, x.pNot}} {
			if p.got.OK != (p.want >= 0) || p.want >= 0 && math.Abs(p.got.X-p.want) > 0.0006+p.want*0.01 {
				t.Errorf("%s: p %s is %v, want %g", x.name, p.name, p.got, p.want)
			}
		}
	}
}

// A region of ±1 % tested from its middle with a standard error of 0.3 %: both one-sided tests at 3.3 and more standard errors, as
// TOST has it; "the same" is the same test on the margin. With 1 % each is at one standard error, 0.1587 (the normal table).
func TestClaimsOfARegionTestBothEdges(t *testing.T) {
	m := metric(t, "mean_fps")
	near, same := Hope{Near: 5, Within: 1, IsNear: true}, Hope{Same: true}
	for _, x := range []struct {
		hope    Hope
		d, se   float64
		want    Judged
		pFor    float64
		leaning string
	}{
		{near, 5, 0.3, Supported, -1, ""},
		{near, 5, 1, Fits, 0.1711, ""}, // edges at 0.95 standard errors
		{near, 5, 3, Open, -1, "for"},
		{near, 6.5, 0.3, Open, -1, "against"},
		{near, 7, 0.3, Contradicted, -1, ""},
		{near, 2, 0.3, Contradicted, -1, ""},
		{same, 0, 0.3, Supported, -1, ""},
		{same, 0, 1, Open, 0.1587, "for"},
		{same, 2.5, 0.3, Contradicted, -1, ""},
		{same, 1, 0.001, Open, -1, "against"}, // on the margin itself
	} {
		c := []ClaimFigures{Claim(m, x.hope, false, leadOf(m, x.d), ofError(x.se), DefaultMargin)}
		JudgeClaims(c)
		if c[0].Verdict != x.want || c[0].Leaning() != x.leaning {
			t.Errorf("%s at %g ± %g: %s %q, want %s %q", x.hope.In("%"), x.d, x.se, c[0].Verdict, c[0].Leaning(), x.want, x.leaning)
		}
		if x.pFor >= 0 && math.Abs(c[0].PFor.X-x.pFor) > 0.004 { // ±1 % is not symmetric on logarithms
			t.Errorf("%s at %g ± %g: p %v, want %g", x.hope.In("%"), x.d, x.se, c[0].PFor, x.pFor)
		}
	}
}

// Common practice, no source: 1850 MHz is not 5 % above 1730 MHz but 6.9 %.
func TestClaimThatTheFiguresContradict(t *testing.T) {
	m := Metric{Name: "clock_mhz", Unit: "MHz", Scale: Ratio, HigherBetter: true}
	clock := func(mhz float64) CellStat { return Cell(m, launchesOf(mhz*0.998, mhz, mhz*1.002)) }
	pairs := []Pair{{"fjord", clock(1850), clock(1730)}}
	c := []ClaimFigures{Claim(m, Hope{Near: 5, Within: 1, IsNear: true}, false, pairs, PlanSessionSpread(m, 0.2, 0), DefaultMargin)}
	JudgeClaims(c)
	if c[0].Verdict != Contradicted || math.Abs(c[0].Estimate.X-6.936) > 0.001 || c[0].Compared != Ahead {
		t.Errorf("%+v", c[0])
	}
}

// Common practice, no source: six percent ahead in one game and one frame in another is not six percent faster.
func TestClaimOverGames(t *testing.T) {
	m := metric(t, "mean_fps")
	cell := func(fps float64) CellStat { return Cell(m, launchesOf(fps*0.999, fps, fps*1.001)) }
	pairs := []Pair{{"fjord", cell(106), cell(100)}, {"bazaar", cell(101), cell(100)}}
	c := []ClaimFigures{Claim(m, Hope{Near: 6, Within: 1, IsNear: true}, false, pairs, PlanSessionSpread(m, 0.2, 0), DefaultMargin)}
	JudgeClaims(c)
	if c[0].Verdict != Contradicted || math.Abs(c[0].Estimate.X-100*(math.Sqrt(1.06*1.01)-1)) > 1e-9 {
		t.Errorf("%+v", c[0])
	}
}

func TestAbsoluteClaims(t *testing.T) {
	m := metric(t, "mean_fps")
	pair := []Pair{{"fjord", Cell(m, launchesOf(157, 158, 159)), CellStat{}}}
	for _, x := range []struct {
		hope Hope
		want Judged
	}{
		{Hope{Near: 158, Within: 5, IsNear: true}, Supported},
		{Hope{Near: 159.5, Within: 2.6, IsNear: true}, Fits}, // half of the interval is 2.48 by t(0.975; 2) = 4.303, s = 0.633 %
		{Hope{Near: 158, Within: 1, IsNear: true}, Open},
		{Hope{Low: 170, High: anyAbove}, Contradicted},
		{Hope{Low: 144, High: anyAbove}, Supported},
	} {
		c := []ClaimFigures{Claim(m, x.hope, true, pair, noSessionSpread, DefaultMargin)}
		JudgeClaims(c)
		if c[0].Verdict != x.want || c[0].PSign.OK || c[0].Compared != "" {
			t.Errorf("%s: %+v, want %s", x.hope.In("fps"), c[0], x.want)
		}
	}
}

func TestClaimsWithoutEnough(t *testing.T) {
	m := metric(t, "mean_fps")
	hope := Hope{Low: 1, High: anyAbove}
	none := Claim(m, hope, false, nil, noSessionSpread, DefaultMargin)
	one := Claim(m, hope, false, []Pair{{"fjord", Cell(m, launchesOf(60)), Cell(m, launchesOf(50))}}, noSessionSpread, DefaultMargin)
	thin := Claim(m, hope, false, leadOf(m, 20), noSessionSpread, DefaultMargin)
	thin.Thin = true
	all := []ClaimFigures{none, one, thin}
	JudgeClaims(all)
	for i, want := range []Judged{NoData, Open, Open} {
		if all[i].Verdict != want || all[i].Why == "" {
			t.Errorf("%d: %+v, want %s", i, all[i], want)
		}
	}
	if all[1].Leaning() != "for" || !all[1].Estimate.OK || all[1].Low.OK {
		t.Errorf("one launch: %+v", all[1])
	}
}

// Counts by the tables: 10 events against 2 in the same time leave 0.0386 two-sided under equal rates (twice the binomial tail
// 79/4096); 5 events alone are at most 10.51 by chance in 2.5 % (Garwood's limits for 5: 1.623 and 11.668, from memory of the printed
// table of exact Poisson limits).
func TestClaimsOnCounts(t *testing.T) {
	m := metric(t, "hitch_events")
	events := func(n ...float64) CellStat { return Cell(m, launchesOf(n...)) } // a minute a launch
	pair := []Pair{{"fjord", events(5, 5), events(1, 1)}}
	c := Claim(m, Hope{Low: 0, High: anyAbove}, false, pair, SessionSpread{}, DefaultMargin)
	wantValue(t, "p", c.PFor, 2*79.0/4096, 1e-9)
	wantValue(t, "estimate", c.Estimate, 400, 1e-9)
	judged := []ClaimFigures{c}
	if JudgeClaims(judged); judged[0].Compared != Behind {
		t.Errorf("compared: %s", judged[0].Compared)
	}
	alone := Claim(m, Hope{Low: anyBelow, High: 3}, true, []Pair{{"fjord", events(3, 2), CellStat{}}}, SessionSpread{}, DefaultMargin)
	wantValue(t, "rate", alone.Estimate, 2.5, 1e-12)
	wantValue(t, "low", alone.Low, 1.623/2, 1e-3)
	wantValue(t, "high", alone.High, 11.668/2, 1e-3)
	silent := Claim(m, Hope{Low: anyBelow, High: 3}, true, []Pair{{"fjord", events(0, 0), CellStat{}}}, SessionSpread{}, DefaultMargin)
	wantValue(t, "none: high", silent.High, -math.Log(0.025)/2, 1e-9) // e^(−2λ) = 0.025
	wantValue(t, "none: p", silent.PFor, 2*math.Exp(-6), 1e-9)
	// None at all is the edge itself: no count shows it, and five events are not in it by any.
	for _, of := range []CellStat{events(3, 2), events(0, 0)} {
		c := Claim(m, Hope{Low: anyBelow, High: 0}, true, []Pair{{"fjord", of, CellStat{}}}, SessionSpread{}, DefaultMargin)
		wantValue(t, "at most none, p", c.PFor, 1, 0)
		wantValue(t, "at most none, p against", c.PAgainst, map[bool]float64{true: 0, false: 1}[of.Events > 0], 0)
	}
	if both := Claim(m, Hope{Low: 0, High: anyAbove}, false, []Pair{{"fjord", events(0, 0), events(0, 0)}}, SessionSpread{}, DefaultMargin); both.Why == "" || both.Estimate.OK {
		t.Errorf("no events at all: %+v", both)
	}
}

// The worked example of S. Holm's procedure as R's p.adjust(c(0.01, 0.02, 0.03, 0.04), "holm") has it: 0.04, 0.06, 0.06, 0.06.
func TestHolm(t *testing.T) {
	got := holm([]float64{0.04, 0.01, 0.03, 0.02})
	for i, want := range []float64{0.06, 0.04, 0.06, 0.06} {
		if math.Abs(got[i]-want) > 1e-15 {
			t.Errorf("%d: %g, want %g", i, got[i], want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		ps := rapid.SliceOf(rapid.Float64Range(0, 1)).Draw(t, "p")
		adjusted := holm(ps)
		for i, p := range ps {
			if adjusted[i] < p || adjusted[i] > 1 {
				t.Fatalf("%g became %g", p, adjusted[i])
			}
			for j, q := range ps {
				if p < q && adjusted[i] > adjusted[j] {
					t.Fatalf("%g became %g, %g %g", p, adjusted[i], q, adjusted[j])
				}
			}
		}
	})
}

// Families of ten claims, each true at the very edge of its region or false by as little: a false word about any of them must be as
// rare as 5 % per family, with sessions that move a card's every game.
func TestClaimsSeldomLie(t *testing.T) {
	m := metric(t, "mean_fps")
	rng := rand.New(rand.NewPCG(5, 8))
	const claims, u = 10, 0.002
	families, falseContradicted, falseSupported := 4**calibrationReviews, 0, 0
	for range families {
		var inside, outside []ClaimFigures
		for i := range claims {
			edge := float64(2 + i%4)
			lead := math.Log1p(edge / 100)
			session := u * (rng.NormFloat64() - rng.NormFloat64())
			draw := func(centre float64) CellStat {
				xs := make([]float64, 3)
				for i := range xs {
					xs[i] = 60 * math.Exp(centre+0.005*rng.NormFloat64())
				}
				return Cell(m, launchesOf(xs...))
			}
			pair := []Pair{{fmt.Sprint(i), draw(lead + session), draw(0)}}
			spread := SessionSpread{U: u, DF: math.Inf(1)}
			inside = append(inside, Claim(m, Hope{Low: edge, High: anyAbove}, false, pair, spread, DefaultMargin))
			outside = append(outside, Claim(m, Hope{Low: anyBelow, High: edge}, false, pair, spread, DefaultMargin))
		}
		// What lies on the edge makes both hopes true at their worst: contradicting either is false, and so is supporting what is just beyond.
		JudgeClaims(inside)
		JudgeClaims(outside)
		said := func(cs []ClaimFigures, v Judged) bool {
			return slices.ContainsFunc(cs, func(c ClaimFigures) bool { return c.Verdict == v })
		}
		if said(inside, Contradicted) {
			falseContradicted++
		}
		if said(outside, Supported) {
			falseSupported++
		}
	}
	most := 0.05 + 2*math.Sqrt(0.05*0.95/float64(families))
	for name, n := range map[string]int{"contradicted": falseContradicted, "supported": falseSupported} {
		share := float64(n) / float64(families)
		t.Logf("falsely %s: %.2f %% of families", name, 100*share)
		if share > most {
			t.Errorf("falsely %s: %.2f %% of %d families", name, 100*share, families)
		}
	}
}

// Whatever is offered in the place of a claim must be good as a claim itself: by Bonferroni's intervals it is, since Holm's p is
// never larger than Bonferroni's.
func TestOffersAreGoodAsClaims(t *testing.T) {
	m := metric(t, "mean_fps")
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "claims")
		d := rapid.Float64Range(-8, 8).Draw(t, "percent")
		se := rapid.Float64Range(0.1, 2).Draw(t, "error")
		family := func(h Hope) []ClaimFigures {
			cs := []ClaimFigures{Claim(m, h, false, leadOf(m, d), ofError(se), DefaultMargin)}
			for len(cs) < n {
				cs = append(cs, Claim(m, Hope{Low: 0, High: anyAbove}, false, leadOf(m, 0), ofError(1), DefaultMargin))
			}
			JudgeClaims(cs)
			return cs
		}
		c := family(Hope{Low: 3, High: anyAbove})[0]
		hopes := []Hope{{Low: c.SaidLow.X - 1e-9, High: anyAbove}, {Low: anyBelow, High: c.SaidHigh.X + 1e-9}}
		if c.Compared == Level {
			hopes = append(hopes, Hope{Same: true})
		}
		for _, h := range hopes {
			if again := family(h)[0]; again.Verdict != Supported {
				t.Fatalf("%s was offered for %g ± %g and is %s: p %v", h.In("%"), d, se, again.Verdict, again.PFor)
			}
		}
	})
}

// Twenty cells a side, one in each game, are as good as twenty launches of one: with a spread of 2 % and a bound, k launches of one
// cell become about k/20. One cell must agree with RepeatsToDiffer and RepeatsToLevel, which other tests hold to R.
func TestRepeatsForClaims(t *testing.T) {
	m := metric(t, "mean_fps")
	spread := func(at float64) CellStat {
		return Cell(m, launchesOf(at*math.Exp(-0.02), at, at*math.Exp(0.02)))
	}
	var pairs []Pair
	for i := range 20 {
		pairs = append(pairs, Pair{fmt.Sprint(i), spread(60), spread(60)})
	}
	u := SessionSpread{DF: math.Inf(1)}
	bound := Hope{Low: 3, High: anyAbove}
	one := RepeatsForClaim(m, bound, false, pairs[:1], u, DefaultMargin, 1)
	noise, _ := PooledNoise([]CellStat{pairs[0].Of, pairs[0].Base})
	if want := RepeatsToDiffer(m, 1, DefaultMargin, noise, u); one != want || !one.OK {
		t.Errorf("one cell: %+v, want %+v", one, want)
	}
	many := RepeatsForClaim(m, bound, false, pairs, u, DefaultMargin, 1)
	if !many.OK || many.K > one.K/10 {
		t.Errorf("twenty cells: %+v, one: %+v", many, one)
	}
	if more := RepeatsForClaim(m, bound, false, pairs[:1], u, DefaultMargin, 10); more.K <= one.K {
		t.Errorf("of ten claims: %+v, alone: %+v", more, one)
	}
	if alone := RepeatsForClaim(m, bound, true, pairs[:1], u, DefaultMargin, 1); !alone.OK || alone.K >= one.K {
		t.Errorf("a figure alone has one side's error: %+v, a difference %+v", alone, one)
	}
	same, want := RepeatsForClaim(m, Hope{Same: true}, false, pairs[:1], u, DefaultMargin, 1), RepeatsToLevel(m, DefaultMargin, noise, u)
	if same != want {
		t.Errorf("the same: %+v, want %+v", same, want)
	}
	if none := RepeatsForClaim(m, bound, false, nil, u, DefaultMargin, 1); none.OK || none.Why == "" {
		t.Errorf("no cell: %+v", none)
	}
}

// The same is the margin about no difference for counts too (definitions, section 4): 1.2 million events against 1.2024 million are
// 0.2 % apart with a standard error of 0.13 %, and well inside 1 %; 3 % apart, and they are not.
func TestTheSameInCounts(t *testing.T) {
	m := metric(t, "hitch_events")
	same := func(of, base float64) ClaimFigures {
		claims := []ClaimFigures{Claim(m, Hope{Same: true}, false, []Pair{{"a", counted(of, of), counted(base, base)}},
			SessionSpread{}, DefaultMargin)}
		JudgeClaims(claims)
		return claims[0]
	}
	if c := same(601200, 600000); !c.Inside || c.Verdict != Supported {
		t.Errorf("0.2 %% apart: %+v", c)
	}
	if c := same(618000, 600000); c.Inside || c.Verdict != Contradicted {
		t.Errorf("3 %% apart: %+v", c)
	}
}

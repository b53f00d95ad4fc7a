package compute

import (
	"math"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// grouped makes samples of launches that each hold some passes.
func grouped(launches ...[]float64) (out []Sample) {
	for i, l := range launches {
		for _, v := range l {
			out = append(out, Sample{Value: Known(v), Launch: strconv.Itoa(i), Session: "s"})
		}
	}
	return out
}

// termsOf makes a term of each cell, a start of the game at 1 min and a pass at 3 min.
func termsOf(m Metric, weight float64, cells ...[]Sample) (terms []BudgetTerm) {
	within := WithinLaunches(m, cells)
	for i, samples := range cells {
		terms = append(terms, BudgetTerm{Cell: Cell(m, samples), Within: within[i], Weight: weight, Launch: 1, Pass: 3})
	}
	return terms
}

// two sides mounted once, 20 min for each time more.
var twoSides = []BudgetSide{{Sessions: 1, PerSession: 1, Mount: 20}, {Sessions: 1, PerSession: 1, Mount: 20}}

func ofSquare(u2 float64) SessionSpread { return SessionSpread{U: math.Sqrt(u2), DF: math.Inf(1)} }

// NIST's certified mean squares and F, the groups taken for launches and the values for their passes: within is our mean square,
// between is n times our variance of the launches' means. The tolerances are those of the data sets' README.
func TestVarianceWithinAndBetweenLaunches(t *testing.T) {
	sets := map[string][][]float64{}
	for _, row := range referenceRows(t, "strd_anova_data.csv") {
		group, err := strconv.Atoi(row[2])
		if err != nil {
			t.Fatal(err)
		}
		if group > len(sets[row[0]]) {
			sets[row[0]] = append(sets[row[0]], nil)
		}
		sets[row[0]][group-1] = append(sets[row[0]][group-1], parse(t, row[3]))
	}
	tolerance := map[string]float64{"SiRstv": 1e-12, "SmLs01": 1e-13, "SmLs04": 5e-9}
	m := metric(t, "over_60hz_share") // on the difference scale: analysed as it is
	for _, row := range referenceRows(t, "strd_anova_certified.csv") {
		name, groups := row[0], sets[row[0]]
		cell, within := Cell(m, grouped(groups...)), WithinLaunches(m, [][]Sample{grouped(groups...)})[0]
		between := float64(len(groups[0])) * cell.Variance.X
		wantValue(t, name+" between", Known(between), parse(t, row[4]), tolerance[name])
		wantValue(t, name+" within", Known(within.Variance), parse(t, row[8]), tolerance[name])
		wantValue(t, name+" F", Known(between/within.Variance), parse(t, row[5]), tolerance[name])
		if within.DF != parse(t, row[6]) || cell.DF.X != parse(t, row[2]) {
			t.Errorf("%s: %g and %g degrees of freedom", name, within.DF, cell.DF.X)
		}
	}
	if len(sets) != 3 {
		t.Errorf("%d data sets checked", len(sets))
	}
}

// Six rails, three travel times each: standard deviations 24.80547 between rails and 4.020779 within, J. C. Pinheiro and D. M. Bates,
// Mixed-Effects Models in S and S-PLUS, 2000, section 1.1, from memory; reproduced from the data with R 4.2.2 aov.
func TestSharesOfTheRailExample(t *testing.T) {
	m := metric(t, "over_60hz_share")
	rails := grouped([]float64{55, 53, 54}, []float64{26, 37, 32}, []float64{78, 91, 85}, []float64{92, 100, 96}, []float64{49, 51, 50},
		[]float64{80, 85, 83})
	b := BudgetOf(m, termsOf(m, 1, rails), twoSides[:1], noSessionSpread)
	launch, pass := 24.80547*24.80547/6, 4.020779*4.020779/18
	wantValue(t, "standard error", b.SE, math.Sqrt(launch+pass), 1e-6)
	wantValue(t, "launch", b.Launch, launch/(launch+pass), 1e-6)
	wantValue(t, "pass", b.Pass, pass/(launch+pass), 1e-6)
	wantValue(t, "session", b.Session, 0, 0)
}

// By hand. Launches of two passes at 10 and 12, 14 and 16, 12 and 14 have means 11, 15 and 13, their variance is 4, and within
// launches it is 2, of which a mean of two keeps 1: a side's 4/3 are 1/3 from passes and 1 from launches. With the same on the other
// side and u² = 4/3, SE² = 8/3 + 8/3 = 16/3. A quarter of it is 4/3. Two sessions a side leave all of that for the session alone. Four
// leave 2/3 for launches, (6 + 4/n)/k ≤ 2/3: 16 launches of one pass, in four sessions, take 2·13 starts (26 min), 2·10 passes (60 min)
// and 2·3 mountings (120 min). Three sessions need 24 launches: 42 + 108 + 80 = 230 min; five 15: 24 + 54 + 160 = 238 min.
func TestBudgetByHand(t *testing.T) {
	m := metric(t, "over_60hz_share")
	side := grouped([]float64{10, 12}, []float64{14, 16}, []float64{12, 14})
	terms := termsOf(m, 1, side, side)
	b := BudgetOf(m, terms, twoSides, ofSquare(4.0/3))
	wantValue(t, "standard error", b.SE, math.Sqrt(16.0/3), 1e-12)
	wantValue(t, "pass", b.Pass, 0.125, 1e-12)
	wantValue(t, "launch", b.Launch, 0.375, 1e-12)
	wantValue(t, "together", b.Together, 0.5, 1e-12)
	wantValue(t, "session", b.Session, 0.5, 1e-12)
	if b.From != 2 || b.Why != "" {
		t.Errorf("from %d cells, %q", b.From, b.Why)
	}
	h := b.Cheapest
	if !h.OK || h.Design != (Design{Sessions: 4, Launches: 16, Passes: 1}) || math.Abs(h.Minutes-206) > 1e-9 {
		t.Errorf("cheapest %+v, want 16 launches of 1 pass in 4 sessions, 206 min", h)
	}
	wantValue(t, "left", h.SE, math.Sqrt(2.0/3+10.0/16), 1e-12)
	if b.InSession.OK || b.InSession.Why != "not reachable with this session spread" {
		t.Errorf("in one session %+v", b.InSession)
	}

	// Without a session spread four times the launches do it; two passes a launch, as now, leave 8/k ≤ 2/3, and one pass 10/k.
	b = BudgetOf(m, terms, twoSides, noSessionSpread)
	want := Design{Sessions: 1, Launches: 15, Passes: 1} // 2·12 starts, 2·9 passes: 78 min; two passes: 12 launches, 18 + 108
	if b.Cheapest.Design != want || math.Abs(b.Cheapest.Minutes-78) > 1e-9 || b.InSession != b.Cheapest {
		t.Errorf("without a session spread %+v", b.Cheapest)
	}
	wantValue(t, "launch", b.Launch, 0.75, 1e-12)

	// One side alone, as for a claim on an absolute figure: 4/3 + u².
	b = BudgetOf(m, terms[:1], twoSides[:1], ofSquare(4.0/3))
	wantValue(t, "absolute", b.SE, math.Sqrt(8.0/3), 1e-12)
	wantValue(t, "absolute session", b.Session, 0.5, 1e-12)

	// A side already mounted twice keeps half of u²: SE² = 8/3 + 2, and its second session costs nothing more.
	twice := []BudgetSide{{Sessions: 2, PerSession: 0.5, Mount: 20}, twoSides[1]}
	b = BudgetOf(m, terms, twice, ofSquare(4.0/3))
	wantValue(t, "one side mounted twice", b.SE, math.Sqrt(8.0/3+2), 1e-12)
	wantValue(t, "its session share", b.Session, 3.0/7, 1e-12)
	if h := b.Cheapest; h.Sessions != 4 || h.Launches != 20 || math.Abs(h.Minutes-(2*17+2*14*3+2*20+3*20)) > 1e-9 {
		t.Errorf("one side mounted twice: %+v", h) // 7/6 − 2/3 leave 1/2 for (6 + 4)/k
	}

	// A side that was mounted eight times, all of its error from that, needs it four times as often.
	often := BudgetSide{Sessions: 8, PerSession: 0.125, Mount: 20}
	still := termsOf(m, 1, grouped([]float64{10}, []float64{10}, []float64{10}, []float64{10}, []float64{10}, []float64{10}, []float64{10}, []float64{10}))
	b = BudgetOf(m, still, []BudgetSide{often}, ofSquare(4))
	if h := b.Cheapest; h.Design != (Design{Sessions: 32, Launches: 32, Passes: 1}) || h.Minutes != 24*(20+1+3) {
		t.Errorf("one side mounted eight times: %+v", h)
	}

	// A mean over two games: each weighs half, the session counts once.
	b = BudgetOf(m, termsOf(m, 0.5, side, side, side, side), twoSides, ofSquare(4.0/3))
	wantValue(t, "two games", b.SE, math.Sqrt(4*4.0/3/4+8.0/3), 1e-12)
	wantValue(t, "two games session", b.Session, 2.0/3, 1e-12)
}

// What dear starts and cheap passes make of it: the game takes half an hour to start, a pass one minute. (6 + 4/n)/k ≤ 2/3: ten
// launches of six passes, 2·7·30 + 2·54 = 528 min, where 12 of two take 576 and 15 of one 738; 11 of three 480 + 54 = 534;
// 10.5 → 11 of four 556; 10.2 → 11 of five; nine of none, since 6/9 leaves nothing for the passes.
func TestDearStartsMakeMorePassesWorthIt(t *testing.T) {
	m := metric(t, "over_60hz_share")
	side := grouped([]float64{10, 12}, []float64{14, 16}, []float64{12, 14})
	terms := termsOf(m, 1, side, side)
	for i := range terms {
		terms[i].Launch, terms[i].Pass = 30, 1
	}
	h := BudgetOf(m, terms, twoSides, noSessionSpread).Cheapest
	if h.Design != (Design{Sessions: 1, Launches: 10, Passes: 6}) || math.Abs(h.Minutes-528) > 1e-9 {
		t.Errorf("%+v", h)
	}
}

// Where each launch has one pass nothing is made up, and where the passes scatter more than the launches' means, launches bring nothing.
func TestWhatCannotBeToldApart(t *testing.T) {
	m := metric(t, "over_60hz_share")
	single := grouped([]float64{10}, []float64{14}, []float64{12})
	b := BudgetOf(m, termsOf(m, 1, single, single), twoSides, ofSquare(4.0/3))
	if b.Pass.OK || b.Launch.OK || b.Pass.Why == "" || b.From != 0 {
		t.Errorf("pass %+v, launch %+v", b.Pass, b.Launch)
	}
	wantValue(t, "together", b.Together, 0.5, 1e-12)
	if h := b.Cheapest; !h.OK || h.Passes != 1 {
		t.Errorf("cheapest %+v", h)
	}

	// Another cell's launches tell: within launches it is 2 there, so that of the 4 of this one passes make half. Two of them do not do.
	few := WithinLaunches(m, [][]Sample{single, grouped([]float64{20, 22}, []float64{21, 23})})
	if few[0].OK || few[0].Why == "" {
		t.Errorf("from two degrees of freedom %+v", few[0])
	}
	apart := WithinLaunches(m, [][]Sample{single, grouped([]float64{20, 22}, []float64{21, 23}, []float64{22, 24})})
	b = BudgetOf(m, []BudgetTerm{{Cell: Cell(m, single), Within: apart[0], Weight: 1}}, twoSides[:1], noSessionSpread)
	wantValue(t, "pass, told by another cell", b.Pass, 0.5, 1e-12)
	if b.From != 1 {
		t.Errorf("from %d cells", b.From)
	}

	scattered := grouped([]float64{10, 20}, []float64{11, 19.5}, []float64{9, 20})
	b = BudgetOf(m, termsOf(m, 1, scattered), twoSides[:1], noSessionSpread)
	wantValue(t, "pass alone", b.Pass, 1, 0)
	wantValue(t, "no launch", b.Launch, 0, 0)

	for name, b := range map[string]Budget{
		"nothing varies": BudgetOf(m, termsOf(m, 1, grouped([]float64{10}, []float64{10})), twoSides[:1], noSessionSpread),
		"one launch":     BudgetOf(m, termsOf(m, 1, grouped([]float64{10})), twoSides[:1], noSessionSpread),
		"a count":        BudgetOf(metric(t, "hitch_events"), termsOf(m, 1, single), twoSides[:1], noSessionSpread),
		"no cell":        BudgetOf(m, nil, twoSides, noSessionSpread),
	} {
		if b.Why == "" || b.SE.OK || b.Session.OK || b.Cheapest.OK || b.Cheapest.Why == "" {
			t.Errorf("%s: %+v", name, b)
		}
	}
}

// Launches of unequal size: 1, 2 and 4 passes keep (1 + 1/2 + 1/4)/3 of what passes bring, and the parts sum to the shown error.
func TestLaunchesOfUnequalSize(t *testing.T) {
	m := metric(t, "over_60hz_share")
	samples := grouped([]float64{9}, []float64{12, 14}, []float64{16, 17, 18, 17})
	within := WithinLaunches(m, [][]Sample{samples})[0]
	wantValue(t, "within", Known(within.Variance), (2.0+2.0)/4, 1e-12) // 1 and 3 degrees of freedom
	wantValue(t, "kept", Known(within.PerLaunch), 7.0/12, 1e-12)
	b := BudgetOf(m, termsOf(m, 1, samples), twoSides[:1], noSessionSpread)
	wantValue(t, "standard error", b.SE, math.Sqrt(16.0/3), 1e-12) // means 9, 13, 17
	wantValue(t, "pass", b.Pass, 7.0/12/16, 1e-12)
}

// From ten cells with a spread on they lean on each other, in which a noisy one keeps its own.
func TestWithinLaunchesLeansOnTheReview(t *testing.T) {
	m := metric(t, "over_60hz_share")
	var cells [][]Sample
	for i := range 11 {
		step := 0.5 + 0.1*float64(i%3)
		if i == 10 {
			step = 40
		}
		cells = append(cells, grouped([]float64{10, 10 + step}, []float64{12, 12 + step}))
	}
	cells = append(cells, grouped([]float64{10}))
	got := WithinLaunches(m, cells)
	if got[10].From != 1 || !agree(got[10].Variance, 800, 1e-12) || got[10].DF != 2 {
		t.Errorf("the noisy cell: %+v", got[10])
	}
	if got[0].From != 11 || got[11].From != 11 || !(got[0].Variance < got[2].Variance) {
		t.Errorf("others: %+v, %+v, without a second pass %+v", got[0], got[2], got[11])
	}
}

// The budget's error is the one the comparison shows; shares are not negative and sum to 1; a halving plan halves by the formula,
// with at least the launches there are; and no plan of a grid does it cheaper.
func TestBudgetHoldsItsPromises(t *testing.T) {
	m := metric(t, "mean_fps")
	draw := rapid.Custom(func(t *rapid.T) [][]float64 {
		var launches [][]float64
		for range rapid.IntRange(2, 5).Draw(t, "launches") {
			var l []float64
			for range rapid.IntRange(1, 3).Draw(t, "passes") {
				l = append(l, 100*math.Exp(rapid.Float64Range(-0.01, 0.01).Draw(t, "ln")))
			}
			launches = append(launches, l)
		}
		return launches
	})
	rapid.Check(t, func(t *rapid.T) {
		terms := termsOf(m, 1, grouped(draw.Draw(t, "a")...), grouped(draw.Draw(t, "base")...))
		for i := range terms {
			terms[i].Launch = rapid.Float64Range(0, 10).Draw(t, "start")
			terms[i].Pass = rapid.Float64Range(0, 5).Draw(t, "pass")
		}
		mount := rapid.Float64Range(0, 60).Draw(t, "mount")
		sides := []BudgetSide{{1, 1, mount}, {1, 1, mount}}
		u := SessionSpread{U: rapid.Float64Range(0, 0.005).Draw(t, "u"), DF: math.Inf(1)}
		b := BudgetOf(m, terms, sides, u)
		want := errorOf(terms[0].Cell, terms[1].Cell, u).v
		if b.Why != "" {
			if want > 0 {
				t.Fatalf("no budget: %s", b.Why)
			}
			return
		}
		if !agree(math.Log1p(b.SE.X/100), math.Sqrt(want), 1e-9) {
			t.Fatalf("standard error %g, shown %g", b.SE.X, math.Sqrt(want))
		}
		parts := []Value{b.Together, b.Session}
		if b.Pass.OK {
			parts = []Value{b.Pass, b.Launch, b.Session}
		}
		total := 0.0
		for _, p := range parts {
			total += p.X
			if !p.OK || p.X < 0 || p.X > 1 {
				t.Fatalf("shares %v", parts)
			}
		}
		if math.Abs(total-1) > 1e-12 {
			t.Fatalf("shares sum to %g", total)
		}
		checkHalving(t, terms, mount, u, b)
	})
}

// checkHalving goes over a grid of plans by the formulas of definitions, section 5, written out anew.
func checkHalving(t *rapid.T, terms []BudgetTerm, mount float64, u SessionSpread, b Budget) {
	now := errorOf(terms[0].Cell, terms[1].Cell, u).v
	square := func(s, k, n int) (v float64) {
		for _, x := range terms {
			pass := 0.0
			if x.Within.OK {
				pass = min(x.Within.Variance, x.Cell.ShownVariance.X/x.Within.PerLaunch)
			}
			launch := x.Cell.ShownVariance.X - pass*x.Within.PerLaunch
			v += launch/float64(k) + pass/float64(k*n)
		}
		return v + 2*u.U*u.U/float64(s)
	}
	price := func(s, k, n int) (minutes float64) {
		for _, x := range terms {
			minutes += float64(k-x.Cell.Launches)*x.Launch + float64(max(0, k*n-x.Cell.N))*x.Pass
		}
		return minutes + float64(2*(s-1))*mount
	}
	least := max(terms[0].Cell.Launches, terms[1].Cell.Launches)
	passes := 1
	for _, x := range terms {
		passes = max(passes, (x.Cell.N+x.Cell.Launches-1)/x.Cell.Launches)
	}
	h := b.Cheapest
	if !h.OK || h.Launches < least || h.Launches%h.Sessions != 0 {
		t.Fatalf("cheapest %+v", h)
	}
	if v := square(h.Sessions, h.Launches, h.Passes); v > now/4*(1+1e-6) {
		t.Fatalf("%+v leaves %g of the error", h, math.Sqrt(v/now))
	}
	if !agree(h.Minutes, price(h.Sessions, h.Launches, h.Passes), 1e-9) && math.Abs(h.Minutes) > 1e-9 {
		t.Fatalf("%+v, want %g min", h, price(h.Sessions, h.Launches, h.Passes))
	}
	for s := 1; s <= 6; s++ {
		for _, n := range []int{1, 2, 3, 4} {
			for k := s; k <= 60; k += s {
				told := terms[0].Within.OK || n == passes // else a launch keeps its passes
				if k >= least && told && square(s, k, n) < now/4*(1-1e-6) && price(s, k, n) < h.Minutes*(1-1e-9)-1e-9 {
					t.Fatalf("%d launches of %d in %d sessions take %g min, the cheapest %+v", k, n, s, price(s, k, n), h)
				}
			}
		}
	}
	if b.InSession.OK && (b.InSession.Sessions != 1 || b.InSession.Minutes < h.Minutes) {
		t.Fatalf("in one session %+v, cheapest %+v", b.InSession, h)
	}
}

// More to reach, or dearer work, never costs less.
func TestPriceOfHalvingIsMonotone(t *testing.T) {
	m := metric(t, "over_60hz_share")
	side := grouped([]float64{10, 12}, []float64{14, 16}, []float64{12, 14})
	rapid.Check(t, func(t *rapid.T) {
		terms := termsOf(m, 1, side, side)
		price := func(u2, start, pass, mount float64) float64 {
			for i := range terms {
				terms[i].Launch, terms[i].Pass = start, pass
			}
			h := BudgetOf(m, terms, []BudgetSide{{1, 1, mount}, {1, 1, mount}}, ofSquare(u2)).Cheapest
			if !h.OK {
				t.Fatalf("%+v", h)
			}
			return h.Minutes
		}
		x := make([]float64, 8)
		for i := range x {
			x[i] = rapid.Float64Range(0, 30).Draw(t, "x")
		}
		low, high := slices.Clone(x[:4]), slices.Clone(x[:4])
		for i := 1; i < 4; i++ {
			high[i] += x[4+i]
		}
		if a, b := price(low[0], low[1], low[2], low[3]), price(low[0], high[1], high[2], high[3]); a > b*(1+1e-9)+1e-9 {
			t.Fatalf("%v costs %g, %v %g", low, a, high, b)
		}
	})
}

// The order of cells, passes and sides cannot be seen in any digit of a budget.
func TestOrderChangesNoDigitOfABudget(t *testing.T) {
	m := metric(t, "mean_fps")
	rapid.Check(t, func(t *rapid.T) {
		data := bench(t, m)
		sides := []BudgetSide{{1, 1, 20}, {1, 1, 31}}
		u := SessionSpread{U: rapid.Float64Range(0, 0.005).Draw(t, "u"), DF: math.Inf(1)}
		budget := func(data [][]Sample, of, base int, sides []BudgetSide) Budget {
			terms := termsOf(m, 1, data...)
			return BudgetOf(m, []BudgetTerm{terms[of], terms[base]}, sides, u)
		}
		want := budget(data, 0, 1, sides)
		other := make([][]Sample, len(data))
		at := rapid.Permutation(slices.Collect(seq(len(data)))).Draw(t, "order of cells")
		for from, to := range at {
			if len(data[from]) > 0 {
				other[to] = rapid.Permutation(data[from]).Draw(t, "order of passes")
			}
		}
		got := budget(other, at[1], at[0], []BudgetSide{sides[1], sides[0]})
		if want.Why != "" { // of two reasons the first side's is given
			if got.Why == "" {
				t.Fatalf("%+v, and in another order %+v", want, got)
			}
			return
		}
		if !reflect.DeepEqual(want, got) {
			t.Fatalf("%+v, and in another order %+v", want, got)
		}
	})
}

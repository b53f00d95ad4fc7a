package compute

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// hostile are values no game shows but a broken capture, a wrong unit or a careless plan can: huge, tiny, equal, zero, subnormal.
var hostile = rapid.OneOf(
	rapid.SampledFrom([]float64{0, 60, 60, 60, math.Nextafter(60, 61), 5e-324, 1e-310, 2.3e-308, 1e-300, 1e-9, 1, 5000, 1e150, 1e160, 1e300, math.MaxFloat64}),
	rapid.Float64Range(0, math.MaxFloat64), rapid.Float64Range(59.9, 60.1), rapid.Float64Range(1e-320, 1e-300),
)

func hostileSamples(t *rapid.T, m Metric, label string) []Sample {
	launches := []string{"", "1", "2", "3", "4"}
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Sample {
		v := hostile.Draw(t, "value")
		if m.Scale == Count {
			v = math.Floor(math.Mod(v, 1e7))
		}
		return Sample{Value: Known(v), Launch: rapid.SampledFrom(launches).Draw(t, "launch"), Session: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "session"),
			Minutes: rapid.SampledFrom([]float64{0, 1e-12, 1, 1e6}).Draw(t, "minutes")}
	}), 0, 7).Draw(t, label)
}

type failing interface{ Fatalf(string, ...any) }

// present fails on a figure that is not finite, or is absent without a reason, or has both a value and a reason.
func present(t failing, v any) {
	r := reflect.ValueOf(v)
	for i := range r.NumField() {
		if !r.Type().Field(i).IsExported() {
			continue
		}
		x, ok := r.Field(i).Interface().(Value)
		if ok && (math.IsNaN(x.X) || math.IsInf(x.X, 0) || x.OK == (x.Why != "") || !x.OK && x.X != 0) {
			t.Fatalf("%s is %+v in %+v", r.Type().Field(i).Name, x, v)
		}
	}
}

// around fails unless the interval holds the estimate, both ends being there or neither. An end that is worked out by way of a
// logarithm and an estimate that is not may differ in the last digits.
func around(t failing, what string, low, estimate, high Value, of any) {
	if low.OK != high.OK || low.OK && !estimate.OK {
		t.Fatalf("%s: [%+v, %+v] about %+v in %+v", what, low, high, estimate, of)
	}
	slack := 1e-12 * math.Abs(estimate.X)
	if low.OK && !(low.X <= high.X && low.X <= estimate.X+slack && estimate.X-slack <= high.X) {
		t.Fatalf("%s: [%g, %g] about %g in %+v", what, low.X, high.X, estimate.X, of)
	}
}

func holdsCell(t failing, c CellStat) {
	present(t, c)
	around(t, "shown", c.Low, c.Mean, c.High, c)
	around(t, "own", c.OwnLow, c.Mean, c.OwnHigh, c)
	for name, v := range map[string]Value{"variance": c.Variance, "shown variance": c.ShownVariance, "expected variance": c.Expected, "sd": c.SD, "spread": c.SpreadPct, "dispersion": c.Dispersion} {
		if v.X < 0 {
			t.Fatalf("%s is %g in %+v", name, v.X, c)
		}
	}
	if c.DF.OK && !(c.DF.X > 0) || c.Mean.OK != c.Centre.OK || c.ShownVariance.OK != c.DF.OK || !c.Mean.OK && c.Why == "" {
		t.Fatalf("%+v", c)
	}
}

func holdsComparison(t failing, m Metric, r Comparison) {
	present(t, r)
	estimate := r.Percent
	if m.Scale == Difference {
		estimate = r.Difference
	}
	if m.Scale != Count { // whose upper limit may be missing, and who have no ratio to no events
		around(t, "shown", r.Low, estimate, r.High, r)
		around(t, "own", r.OwnLow, estimate, r.OwnHigh, r)
	}
	if r.P.OK && !(r.P.X >= 0 && r.P.X <= 1) || r.DF.OK && !(r.DF.X > 0) || r.Verdict == "" && r.Why == "" {
		t.Fatalf("%+v", r)
	}
	if r.Percent.OK && !r.Ratio.OK || r.Ratio.X < 0 || r.Percent.X < -100 {
		t.Fatalf("ratio %+v, percent %+v", r.Ratio, r.Percent)
	}
	if lead := r.Verdict == Ahead || r.Verdict == Behind; lead && r.Difference.OK && r.Difference.X == 0 {
		t.Fatalf("%s by nothing: %+v", r.Verdict, r)
	}
}

func TestNoSampleIsTooHostile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Metrics()).Draw(t, "metric")
		cells := make([]CellStat, rapid.IntRange(2, 14).Draw(t, "cells"))
		var samples [][]Sample
		for i := range cells {
			samples = append(samples, hostileSamples(t, m, "cell "+strconv.Itoa(i)))
			cells[i] = Cell(m, samples[i])
			holdsCell(t, cells[i])
		}
		prior, shown := Borrow(m, cells)
		if prior.OK && !(prior.Variance > 0 && prior.DF > 0 && !math.IsInf(prior.Variance, 0)) || prior.OK == (prior.Why != "") {
			t.Fatalf("%+v", prior)
		}
		u, why := SpreadOfSessions(m, [][][]Sample{samples[:1], samples[1:]})
		if why == "" && !(u.U >= 0 && !math.IsInf(u.U, 0) && u.DF > 0) {
			t.Fatalf("%+v", u)
		}
		if why != "" {
			u = PlanSessionSpread(m, rapid.SampledFrom([]float64{0, 0.2, 1e300}).Draw(t, "session spread"), 0.2)
		}
		margin := Margin{rapid.SampledFrom([]float64{0, 1, 99}).Draw(t, "percent"), 1}
		var all []Comparison
		for _, c := range shown {
			holdsCell(t, c)
			r := Compare(m, c, shown[0], u.Between(c, shown[0]), margin)
			holdsComparison(t, m, r)
			all = append(all, r)
		}
		Firm(all)
		holdsOverGames(t, m, shown, samples, u, margin)
		noise, ok := PooledNoise(shown)
		if !ok {
			return
		}
		if !(noise.Variance >= 0 && noise.Planned >= 0 && noise.DF > 0) || math.IsInf(noise.Variance, 0) {
			t.Fatalf("%+v", noise)
		}
		for _, n := range []Repeats{RepeatsToDiffer(m, 1, margin, noise, u), RepeatsToLevel(m, margin, noise, u)} {
			if n.OK && (n.K < 2 || n.K > mostRepeats) || n.OK == (n.Why != "") {
				t.Fatalf("%+v", n)
			}
		}
		present(t, struct{ Least Value }{ResolvableAt(m, 3, noise, u)})
	})
}

// holdsOverGames looks at a mean over games, a claim on it and its budget, with every cell a game of its own against the first.
func holdsOverGames(t *rapid.T, m Metric, cells []CellStat, samples [][]Sample, u SessionSpread, margin Margin) {
	var pairs []Pair
	var terms []BudgetTerm
	for i, w := range WithinLaunches(m, samples) {
		if w.OK && !(w.Variance >= 0 && w.DF > 0) || w.OK == (w.Why != "") {
			t.Fatalf("%+v", w)
		}
		if cells[i].Centre.OK && cells[0].Centre.OK {
			pairs = append(pairs, Pair{strconv.Itoa(i), cells[i], cells[0]})
			terms = append(terms, BudgetTerm{Cell: cells[i], Within: w, Weight: 1, Launch: 3, Pass: 1})
		}
	}
	s := Summarise(m, pairs, u, margin)
	present(t, s)
	estimate := s.Percent
	if m.Scale == Difference {
		estimate = s.Difference
	}
	around(t, "these", s.TheseLow, estimate, s.TheseHigh, s)
	around(t, "like", s.LikeLow, estimate, s.LikeHigh, s)
	if s.P.OK && !(s.P.X >= 0 && s.P.X <= 1) || s.DF.OK && !(s.DF.X > 0) || s.Verdict == "" && s.Why == "" {
		t.Fatalf("%+v", s)
	}
	b := BudgetOf(m, terms, []BudgetSide{{Sessions: 1, PerSession: 1, Mount: 20}, {Sessions: 1, PerSession: 1, Mount: 20}}, u)
	present(t, b)
	for name, v := range map[string]Value{"pass": b.Pass, "launch": b.Launch, "together": b.Together, "session": b.Session} {
		if v.X < 0 || v.X > 1 {
			t.Fatalf("%s: %g of the error: %+v", name, v.X, b)
		}
	}
	var claims []ClaimFigures
	for _, h := range []Hope{{Near: 5, Within: 1, IsNear: true}, {Low: 2, High: math.Inf(1)}, {Low: math.Inf(-1), High: -2}, {Same: true}} {
		absolute := rapid.Bool().Draw(t, "absolute")
		claims = append(claims, Claim(m, h, absolute, pairs, u, margin))
		if n := RepeatsForClaim(m, h, absolute, pairs, u, margin, 3); n.OK == (n.Why != "") {
			t.Fatalf("%+v", n)
		}
	}
	JudgeClaims(claims)
	for _, c := range claims {
		present(t, c)
		for _, p := range []Value{c.PFor, c.PSign, c.PAgainst} {
			if !(p.X >= 0 && p.X <= 1) {
				t.Fatalf("%+v", c)
			}
		}
		if c.Verdict == "" || c.DF.OK && !(c.DF.X > 0) || c.HalfWidth.X < 0 {
			t.Fatalf("%+v", c)
		}
	}
}

// Passes in the same order of work, whatever their size, are looked at beside each other without harm.
func TestNoPassIsTooHostileForItsSiblings(t *testing.T) {
	pass := rapid.Custom(func(t *rapid.T) *Pass {
		n := rapid.SampledFrom([]int{0, 1, 2, 3, 40, 700}).Draw(t, "frames")
		least := rapid.SampledFrom([]int64{0, 1, 50_000, 4 * ms, 30_000 * ms}).Draw(t, "least")
		most := least + rapid.SampledFrom([]int64{0, 1, ms, 5000 * ms}).Draw(t, "reach")
		x := make([]int64, n)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		for i := range x {
			x[i] = least + rng.Int64N(most-least+1)
		}
		return Figure(x, 0, PassOptions{DisplayHz: 144}, nil)
	})
	rapid.Check(t, func(t *rapid.T) {
		passes := rapid.SliceOfN(pass, 0, 6).Draw(t, "passes")
		got := CompareSiblings(passes)
		for _, c := range got.Checks {
			present(t, c)
			if c.DriftP.OK && !(c.DriftP.X >= 0 && c.DriftP.X <= 1) || c.Drifts && c.Off != "" {
				t.Fatalf("%+v", c)
			}
			for _, d := range c.Disturbances {
				if !(d.ToS > d.FromS && d.FromS >= 0 && d.BelowPct > 0 && d.BelowPct <= 100) {
					t.Fatalf("%+v", d)
				}
			}
		}
		var rates [][]float64
		for _, p := range passes {
			rates = append(rates, []float64{p.MeanFPS.X, 60})
		}
		present(t, FindPassOrder(rates))
	})
}

// What the reviewer meets: each case is a cell of passes, its base is three passes about 100, and no session spread hides what
// the passes do.
func TestArithmeticAtItsEdges(t *testing.T) {
	base := []float64{99.9, 100, 100.1}
	for _, c := range []struct {
		name    string
		metric  string
		passes  []float64
		mean    float64 // 0: none
		width   string  // of the cell's interval: none, zero, some
		verdict Verdict
		why     string // of the comparison, where there is no verdict
	}{
		{"n = 1", "mean_fps", []float64{105}, 105, "none", Single, ""},
		{"n = 2", "mean_fps", []float64{104.9, 105.1}, math.Sqrt(104.9 * 105.1), "some", Ahead, ""},
		{"n = 3", "mean_fps", []float64{104.9, 105, 105.1}, math.Cbrt(104.9 * 105 * 105.1), "some", Ahead, ""},
		{"ties", "mean_fps", []float64{105, 105, 105.1}, math.Cbrt(105 * 105 * 105.1), "some", Ahead, ""},
		{"all passes identical", "mean_fps", []float64{105, 105, 105}, 105, "zero", Ahead, ""},
		{"identical to the last digit but one", "mean_fps", []float64{105, math.Nextafter(105, 106)}, 105, "some", Ahead, ""},
		{"enormous spread", "mean_fps", []float64{0.05, 20_000}, math.Sqrt(0.05 * 20_000), "some", Unresolved, ""},
		{"0.05 ms", "frame_ms_mean", []float64{0.05, 0.0501, 0.0499}, math.Cbrt(0.05 * 0.0501 * 0.0499), "some", Ahead, ""},
		{"30 s", "frame_ms_mean", []float64{30_000, 30_010, 29_990}, math.Cbrt(30_000 * 30_010 * 29_990.0), "some", Behind, ""},
		{"a spread of zero in one pass", "frame_ms_sd", []float64{0, 1, 2}, 0, "none", "", "frame_ms_sd is 0 in a pass; a ratio needs values above 0"},
		{"a share of zero", "over_60hz_share", []float64{0, 0, 0}, 0, "zero", Ahead, ""},
		{"no pass", "mean_fps", nil, 0, "none", "", "no pass"},
	} {
		m := metric(t, c.metric)
		cell := Cell(m, launchesOf(c.passes...))
		holdsCell(t, cell)
		if m.Scale == Ratio && (c.mean != 0) != cell.Mean.OK || c.mean != 0 && !agree(cell.Mean.X, c.mean, 1e-12) {
			t.Errorf("%s: mean %+v, want %g", c.name, cell.Mean, c.mean)
		}
		width := "none"
		if cell.Low.OK {
			width = map[bool]string{true: "zero", false: "some"}[cell.Low == cell.High]
		}
		if width != c.width || (width == "zero") != slices.Contains(cell.Flags, FlagIdentical) {
			t.Errorf("%s: interval [%v, %v] %v, want %s", c.name, cell.Low, cell.High, cell.Flags, c.width)
		}
		r := Compare(m, cell, Cell(m, launchesOf(base...)), noSessionSpread, DefaultMargin)
		holdsComparison(t, m, r)
		if r.Verdict != c.verdict || c.why != "" && r.Why != c.why {
			t.Errorf("%s: %q (%s), want %q (%s)", c.name, r.Verdict, r.Why, c.verdict, c.why)
		}
	}
}

// Every pair of pass counts is compared, and says that it is unbalanced where one side has fewer than three.
func TestCellsWithDifferentCounts(t *testing.T) {
	m := metric(t, "mean_fps")
	side := func(fps float64, k int) CellStat {
		var xs []float64
		for i := range k {
			xs = append(xs, fps+0.1*float64(i%3))
		}
		return Cell(m, launchesOf(xs...))
	}
	for k := range 9 {
		for l := range 9 {
			r := Compare(m, side(105, k), side(100, l), noSessionSpread, DefaultMargin)
			holdsComparison(t, m, r)
			want := Ahead
			switch {
			case k == 0 || l == 0:
				want = ""
			case k == 1 || l == 1:
				want = Single
			}
			unbalanced := k > 0 && l > 0 && k != l && min(k, l) < 3
			if r.Verdict != want || slices.Contains(r.Flags, FlagUnbalanced) != unbalanced {
				t.Errorf("%d against %d: %q %v", k, l, r.Verdict, r.Flags)
			}
		}
	}
}

// One frame of 5 s in a minute at 250 fps: the maximum is 5000 ms and everything that a quantile gives stays 4 ms; by hand.
func TestOneLongHitch(t *testing.T) {
	x := append(repeat(4*ms, 7000), append([]int64{5000 * ms}, repeat(4*ms, 6750)...)...)
	p := figure(x)
	sound(t, "one hitch", p)
	for name, want := range map[string]float64{
		"frame_ms_max": 5000, "frame_ms_p50": 4, "frame_ms_p999": 4, "hitch_frames": 1, "hitch_events": 1,
		"hitch_time_share": 4996.0 / 60_000, "mean_fps": 13_751.0 / 60, "low1_time_share_fps": 0.2, "over_60hz_share": 5000.0 / 60_000,
	} {
		wantValue(t, name, metric(t, name).Of(p), want, 1e-12)
	}
	// The second that the hitch fills is empty, and the pass beside two that have none is slow there.
	calm := repeat(4*ms, 15_000)
	got := CompareSiblings([]*Pass{figure(calm), p, figure(calm)})
	long, found := got.Checks[1].Longest()
	if !found || long.FromS != 28 || long.ToS != 33 || fmt.Sprintf("%.0f", long.BelowPct) != "100" {
		t.Errorf("%+v, %v", long, found)
	}
}

package compute

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

const euler = 0.57721566490153286 // γ

// varied is a cell of three launches whose logarithms are centre − s, centre, centre + s: their variance is s².
func varied(m Metric, fps, s float64) CellStat {
	return Cell(m, launchesOf(fps*math.Exp(-s), fps, fps*math.Exp(s)))
}

// ψ(1) = −γ, ψ′(1) = π²/6, ψ′(1/2) = π²/2, ψ″(1) = −2ζ(3): Abramowitz and Stegun, 6.3.2, 6.4.2, 6.4.4.
func TestPolygamma(t *testing.T) {
	for x, want := range map[float64]float64{0.5: math.Pi * math.Pi / 2, 1: math.Pi * math.Pi / 6, 2: math.Pi*math.Pi/6 - 1} {
		wantValue(t, "trigamma", Known(trigamma(x)), want, 1e-14)
		wantValue(t, "its inverse", Known(inverseTrigamma(want)), x, 1e-13)
	}
	rapid.Check(t, func(t *rapid.T) {
		x := math.Exp(rapid.Float64Range(math.Log(1e-4), math.Log(1e7)).Draw(t, "ln x"))
		if got := inverseTrigamma(trigamma(x)); !agree(got, x, 1e-6) {
			t.Fatalf("%g came back as %g", x, got)
		}
	})
}

// The usual printed table of F at 5 %, to its two decimals.
func TestFQuantile(t *testing.T) {
	for _, c := range []struct{ nu, nu0, want float64 }{
		{2, 2, 19.00}, {2, 10, 4.10}, {3, 20, 3.10}, {9, 9, 3.18}, {2, 120, 3.07}, {1, math.Inf(1), 3.84}, {2, math.Inf(1), 3.00}, {2, 2e5, 3.00},
	} {
		if got := fmt.Sprintf("%.2f", fQuantile(0.95, c.nu, c.nu0)); got != fmt.Sprintf("%.2f", c.want) {
			t.Errorf("F(0.95; %g, %g) = %s, want %g", c.nu, c.nu0, got, c.want)
		}
	}
}

// Ten cells of the same variance v are closer to each other than chance has it, so ν₀ = ∞: e = ln v − ψ(1) + ln 1 = ln v + γ for
// each, s₀² = v·e^γ, and every cell has that with Σν = 20 degrees of freedom. t(0.975, 20) = 2.0859634472658648 (standard table;
// digits as in the reference set of t quantiles).
func TestBorrowFromEqualSpreads(t *testing.T) {
	m := metric(t, "mean_fps")
	const s = 0.01
	var cells []CellStat
	for i := range 10 {
		cells = append(cells, varied(m, 60+10*float64(i), s))
	}
	p, out := Borrow(m, cells)
	if !p.OK || p.Cells != 10 || !math.IsInf(p.DF, 1) || p.TotalDF != 20 {
		t.Fatalf("%+v", p)
	}
	wantValue(t, "s0²", Known(p.Variance), s*s*math.Exp(euler), 1e-9)
	for i, c := range out {
		half := 2.0859634472658648 * s * math.Exp(euler/2) / math.Sqrt(3)
		wantValue(t, "low", c.Low, (60+10*float64(i))*math.Exp(-half), 1e-9)
		wantValue(t, "high", c.High, (60+10*float64(i))*math.Exp(half), 1e-9)
		wantValue(t, "df", c.DF, 20, 0)
		if !c.Borrowed || c.From != 10 || c.Method != "spread borrowed from 10 cells" {
			t.Errorf("%+v", c)
		}
		if c.OwnLow != cells[i].OwnLow || c.OwnHigh != cells[i].OwnHigh || c.SD != cells[i].SD || c.Variance != cells[i].Variance {
			t.Errorf("its own figures have changed: %+v, were %+v", c, cells[i])
		}
		if cells[i].Borrowed || cells[i].Low != cells[i].OwnLow || cells[i].Method != "own spread" {
			t.Errorf("the argument has changed: %+v", cells[i])
		}
	}
}

// halfAndHalf are ten cells of three launches, five with ln s² = L + a, five with L − a, where a = π·√0.3. The sample variance of
// e is 10a²/9 = π²/3, less ψ′(1) = π²/6 leaves π²/6 = ψ′(1): ν₀ = 2, and ln s₀² = L + γ + ψ(1) − ln 1 = L.
func halfAndHalf(m Metric, s float64) (cells []CellStat, ratio float64) {
	a := math.Pi * math.Sqrt(0.3)
	for i := range 10 {
		cells = append(cells, varied(m, 100, s*math.Exp(a/2*float64(1-2*(i%2)))))
	}
	return cells, math.Exp(a) // 5.59, far below F(0.95; 2, 2) = 19
}

func TestBorrowByHand(t *testing.T) {
	m := metric(t, "mean_fps")
	const s = 0.004
	cells, ratio := halfAndHalf(m, s)
	cells = append(cells, Cell(m, launchesOf(80)), Cell(m, launchesOf(90, 90, 90)), Cell(m, nil), Cell(m, launchesOf(70, 70)))
	p, out := Borrow(m, cells)
	wantValue(t, "ν0", Known(p.DF), 2, 1e-8)
	wantValue(t, "s0²", Known(p.Variance), s*s, 1e-8)
	if p.Cells != 10 || p.TotalDF != 20 {
		t.Errorf("%+v", p)
	}
	// (2s₀² + 2s²)/4 with 4 degrees of freedom, or s² where that is more; t(0.975, 4) = 2.7764451051977987. One launch: s₀² with 2, 4.3026527297494636. No
	// variance: 2s₀²/4 with 4. Two launches without one: 2s₀²/3 with 3, 3.1824463052837082 (reference set of t quantiles).
	for i, want := range []struct{ v, df, t, launches float64 }{
		0: {ratio, 4, 2.7764451051977987, 3}, 1: {(1 + 1/ratio) / 2, 4, 2.7764451051977987, 3},
		10: {1, 2, 4.3026527297494636, 1}, 11: {0.5, 4, 2.7764451051977987, 3}, 13: {2.0 / 3, 3, 3.1824463052837082, 2},
	} {
		if want.launches == 0 {
			continue
		}
		c := out[i]
		expected := want.v
		if i == 0 {
			expected = (1 + ratio) / 2 // repeats are planned by the moderated one
		}
		wantValue(t, "expected variance", c.Expected, s*s*expected, 1e-8)
		wantValue(t, "variance", c.ShownVariance, s*s*want.v, 1e-8)
		wantValue(t, "df", c.DF, want.df, 1e-8)
		half := want.t * s * math.Sqrt(want.v/want.launches)
		wantValue(t, "high", c.High, c.Mean.X*math.Exp(half), 1e-8)
		wantValue(t, "low", c.Low, c.Mean.X*math.Exp(-half), 1e-8)
	}
	single := out[10]
	if single.OwnLow.OK || single.SD.OK || single.OwnLow.Why == "" || single.Why != "" || !slices.Contains(single.Flags, FlagSingle) || !single.Borrowed {
		t.Errorf("one launch: %+v", single)
	}
	if none := out[12]; none.Borrowed || none.Low.OK || none.Why != "no pass" {
		t.Errorf("no pass: %+v", none)
	}
}

// F(0.95; 2, 2) = 19: a cell whose variance is more than 19 times the prior's keeps its own.
func TestNoisyCellKeepsItsOwnSpread(t *testing.T) {
	m := metric(t, "mean_fps")
	p := Prior{OK: true, Cells: 10, Variance: 1e-4, DF: 2, TotalDF: 20}
	for ratio, borrowed := range map[float64]bool{18.99: true, 19.01: false} {
		was := varied(m, 100, math.Sqrt(1e-4*ratio))
		c := was
		c.lean(m, p)
		if c.Borrowed != borrowed || !borrowed && !reflect.DeepEqual(c, was) {
			t.Errorf("%g times s0²: %+v", ratio, c)
		}
	}
}

func TestNothingToBorrow(t *testing.T) {
	m := metric(t, "mean_fps")
	nine, _ := halfAndHalf(m, 0.01)
	nine = nine[:9]
	constant := make([]CellStat, 12)
	// Two launches of the same two passes in the other order: what differs is rounding, and no spread.
	rounding := slices.Clone(nine)
	for i := range constant {
		constant[i] = Cell(m, launchesOf(60, 60, 60))
	}
	tie := varied(m, 60, 1e-16)
	tie.Variance, tie.ShownVariance = Known(1e-31), Known(1e-31)
	rounding = append(rounding, tie)
	hitches := metric(t, "hitch_events")
	counts := []CellStat{Cell(hitches, []Sample{{Value: Known(1), Minutes: 1}, {Value: Known(2), Minutes: 1}})}
	for _, c := range []struct {
		name  string
		m     Metric
		cells []CellStat
		why   string
	}{
		{"nine cells", m, nine, "9 cells with a spread, of the 10 needed to borrow one"},
		{"nothing varies", m, constant, "0 cells with a spread, of the 10 needed to borrow one"},
		{"nine, and one of rounding", m, rounding, "9 cells with a spread, of the 10 needed to borrow one"},
		{"no cells", m, nil, "0 cells with a spread, of the 10 needed to borrow one"},
		{"counts", hitches, counts, "hitch_events has no spread to borrow"},
	} {
		p, out := Borrow(c.m, c.cells)
		if p.OK || p.Why != c.why || len(out) != len(c.cells) || len(out) > 0 && !reflect.DeepEqual(out, c.cells) {
			t.Errorf("%s: %+v %+v", c.name, p, out)
		}
	}
}

// Known truth: variances s₀²·ν₀/χ²(ν₀), each estimated with ν degrees of freedom. Over many reviews the moments that the fit uses
// are unbiased: ψ′(ν₀/2), and ln s₀² − ψ(ν₀/2) + ln(ν₀/2). Both must come back within 4 standard errors of their mean over the
// reviews, and so must ν₀ of one review of 200 000 cells, whose standard error by the delta method is about 0.5 %, within 2 %.
func TestPriorIsRecovered(t *testing.T) {
	m := metric(t, "mean_fps")
	rng := rand.New(rand.NewPCG(20, 4))
	chi := func(nu int) (x float64) {
		for range nu {
			z := rng.NormFloat64()
			x += z * z
		}
		return x
	}
	const s0 = 2.5e-5
	review := func(n, nu0 int) []CellStat {
		cells := make([]CellStat, n)
		for i := range cells {
			k := 3 + i%3 // launches
			truth := s0 * float64(nu0) / chi(nu0)
			cells[i] = CellStat{Launches: k, Centre: Known(4.6), Variance: Known(truth * chi(k-1) / float64(k-1))}
		}
		return cells
	}
	// ψ′(2) = π²/6 − 1, ψ(2) = 1 − γ; ψ′(5) = π²/6 − 1 − 1/4 − 1/9 − 1/16, ψ(5) = 1 + 1/2 + 1/3 + 1/4 − γ.
	for _, c := range []struct {
		nu0              int
		trigamma, digamm float64
	}{
		{4, math.Pi*math.Pi/6 - 1, 1 - euler},
		{10, math.Pi*math.Pi/6 - 1 - 1.0/4 - 1.0/9 - 1.0/16, 25.0/12 - euler},
	} {
		var excesses, means []float64
		for range 40 {
			p := priorOf(m, review(8000, c.nu0))
			if !p.OK || math.IsInf(p.DF, 1) {
				t.Fatalf("ν0 = %d: %+v", c.nu0, p)
			}
			half := p.DF / 2
			excesses = append(excesses, trigamma(half))
			// What was added to the mean of e is taken off again, by a series for ψ(x) − ln x good to 1e-9 from x = 10 on.
			means = append(means, math.Log(p.Variance)-digammaLessLog(half))
		}
		for _, x := range []struct {
			name string
			got  []float64
			want float64
		}{{"ψ′(ν0/2)", excesses, c.trigamma}, {"mean e", means, math.Log(s0) - c.digamm + math.Log(float64(c.nu0)/2)}} {
			se := math.Sqrt(varianceOf(x.got) / float64(len(x.got)))
			if math.Abs(meanOf(x.got)-x.want) > 4*se {
				t.Errorf("ν0 = %d: %s is %.4f ± %.4f, want %.4f", c.nu0, x.name, meanOf(x.got), se, x.want)
			}
		}
	}
	if p := priorOf(m, review(200_000, 4)); !agree(p.DF, 4, 0.02) || !agree(p.Variance, s0, 0.02) {
		t.Errorf("%+v, want ν0 = 4 and s0² = %g", p, s0)
	}
}

// digammaLessLog is ψ(x) − ln x by the recurrence ψ(x) = ψ(x+1) − 1/x and the asymptotic series (Abramowitz and Stegun 6.3.18).
func digammaLessLog(x float64) float64 {
	at, shifted := 0.0, x
	for ; shifted < 10; shifted++ {
		at -= 1 / shifted
	}
	y := shifted * shifted
	return at + math.Log(shifted) - 1/(2*shifted) - 1/(12*y) + 1/(120*y*y) - 1/(252*y*y*y) - math.Log(x)
}

// The order of the cells and the unit of the figures cannot be seen in what is borrowed, and nothing that is not finite comes out.
func TestBorrowIsSound(t *testing.T) {
	cell := rapid.Custom(func(t *rapid.T) []float64 {
		centre := rapid.SampledFrom([]float64{20, 60, 144, 500}).Draw(t, "centre")
		noise := rapid.SampledFrom([]float64{0, 1e-6, 1e-3, 0.01, 0.02, 3}).Draw(t, "noise")
		var xs []float64
		for range rapid.IntRange(0, 4).Draw(t, "launches") {
			xs = append(xs, centre*math.Exp(noise*float64(rapid.IntRange(-10, 10).Draw(t, "tenths"))/10))
		}
		return xs
	})
	m := metric(t, "mean_fps")
	rapid.Check(t, func(t *rapid.T) {
		data := rapid.SliceOfN(cell, 0, 30).Draw(t, "cells")
		factor := rapid.SampledFrom([]float64{1e-3, 0.5, 1, 7}).Draw(t, "factor")
		order := rapid.Permutation(slices.Collect(seq(len(data)))).Draw(t, "order")
		cells, scaled, moved := make([]CellStat, len(data)), make([]CellStat, len(data)), make([]CellStat, len(data))
		for i, xs := range data {
			times := slices.Clone(xs)
			for j := range times {
				times[j] *= factor
			}
			cells[i], scaled[i] = Cell(m, launchesOf(xs...)), Cell(m, launchesOf(times...))
		}
		for i, j := range order {
			moved[i] = cells[j]
		}
		p, out := Borrow(m, cells)
		q, shuffled := Borrow(m, moved)
		r, inUnits := Borrow(m, scaled)
		if !reflect.DeepEqual(p, q) || p.OK != r.OK || math.IsNaN(p.Variance) || math.IsNaN(p.DF) || p.DF < 0 || math.IsInf(p.Variance, 0) {
			t.Fatalf("%+v, in another order %+v, in another unit %+v", p, q, r)
		}
		for i, j := range order {
			if !reflect.DeepEqual(shuffled[i], out[j]) {
				t.Fatalf("%+v in another order %+v", out[j], shuffled[i])
			}
		}
		for i, c := range out {
			soundValues(t, c)
			s := inUnits[i]
			if c.Borrowed && s.Borrowed && c.High.OK && !agree(s.High.X, c.High.X*factor, 1e-5) {
				t.Fatalf("%+v times %g is %+v", c, factor, s)
			}
		}
		for i := 1; i < len(out); i++ {
			soundValues(t, Compare(m, out[i-1], out[i], PlanSessionSpread(m, 0.2, 0), DefaultMargin))
		}
	})
}

func seq(n int) func(func(int) bool) {
	return func(yield func(int) bool) {
		for i := 0; i < n && yield(i); i++ {
		}
	}
}

// soundValues fails where a figure is not finite, or is absent without a reason.
func soundValues(t *rapid.T, v any) {
	r := reflect.ValueOf(v)
	for i := range r.NumField() {
		if x, ok := r.Field(i).Interface().(Value); ok && (math.IsNaN(x.X) || math.IsInf(x.X, 0) || x.OK == (x.Why != "")) {
			t.Fatalf("%s is %+v in %+v", r.Type().Field(i).Name, x, v)
		}
	}
}

// Both sides lean on one prior, so their spread counts once, with the smaller degrees of freedom; the own interval is by their own.
func TestCompareBorrowed(t *testing.T) {
	m := metric(t, "mean_fps")
	const s = 0.004
	cells, ratio := halfAndHalf(m, s)
	cells = append(cells, Cell(m, launchesOf(100.5)))
	_, out := Borrow(m, cells)
	a, base := out[0], out[1]
	r := Compare(m, a, base, noSessionSpread, DefaultMargin)
	se := s * math.Sqrt(ratio/3+(1+1/ratio)/2/3) // a is noisier than s₀ and keeps its own
	wantValue(t, "df", r.DF, 4, 1e-8)            // not the 8 or fewer that two terms of 4 would make
	wantValue(t, "high", r.High, 100*math.Expm1(2.7764451051977987*se), 1e-7)
	own := s * math.Sqrt(ratio/3+1/ratio/3)
	nu := (ratio + 1/ratio) * (ratio + 1/ratio) / (ratio*ratio/2 + 1/ratio/ratio/2) // Welch, both with 2
	wantValue(t, "own high", r.OwnHigh, 100*math.Expm1(TQuantile(0.975, nu)*own), 1e-7)
	if r.Method != "spread borrowed from 10 cells" {
		t.Errorf("%+v", r)
	}
	// With u² such that 2u² equals the sides' term, and ν_u = 4 as well: ν = (1+1)²/(1/4 + 1/4) = 8.
	r = Compare(m, a, base, SessionSpread{U: se / math.Sqrt2, DF: 4}, DefaultMargin)
	wantValue(t, "df with sessions", r.DF, 8, 1e-8)
	// A side of one launch has 2 degrees of freedom, the smaller ones, and a verdict.
	r = Compare(m, out[10], base, noSessionSpread, DefaultMargin)
	wantValue(t, "df of a single", r.DF, 2, 1e-8)
	se = s * math.Sqrt(1+(1+1/ratio)/2/3)
	wantValue(t, "high of a single", r.High, 100*math.Expm1(math.Log(1.005)+4.3026527297494636*se), 1e-7)
	if r.Verdict != Unresolved || r.OwnLow.OK || r.OwnLow.Why != "one pass: run another in a launch of its own" || !slices.Contains(r.Flags, FlagSingle) {
		t.Errorf("%+v", r)
	}
	if r = Compare(m, cells[10], cells[0], noSessionSpread, DefaultMargin); r.Verdict != Single || r.Low.OK || r.Method != "" {
		t.Errorf("nothing borrowed: %+v", r)
	}
}

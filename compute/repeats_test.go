package compute

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// power of a two-sample t test with n a side, a difference and a standard deviation, at 5 % two-sided.
func twoSamplePower(n, delta, sd float64) float64 {
	return differPower(delta/(sd*math.Sqrt(2/n)), 2*n-2, 0.05)
}

// The examples in the help of R's power.t.test, and sizes it is known to give (R 4, from memory): power 0.8689528 of n = 20 for a
// difference of one standard deviation; 0.9 at n = 22.02110; 0.8 of 0.2, 0.5 and 0.8 standard deviations at n = 393.4057, 63.76576
// and 25.52458, where its root finder stops within 1.2e-4. Without strict = TRUE it counts the upper tail only, as here.
func TestPowerAgreesWithR(t *testing.T) {
	for _, c := range []struct{ n, delta, power, tolerance float64 }{
		{20, 1, 0.8689528, 1e-7}, {22.02110, 1, 0.9, 1e-6}, {393.4057, 0.2, 0.8, 2e-6}, {63.76576, 0.5, 0.8, 2e-6}, {25.52458, 0.8, 0.8, 2e-6},
	} {
		wantValue(t, "power", Known(twoSamplePower(c.n, c.delta, 1)), c.power, c.tolerance)
	}
	// J. Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. 1988, table 2.4.1, two-sided 5 %, power 0.80 (from
	// memory): n for d = 0.5, 0.8, 1.0, 1.2. The least whole n, on a scale where a step is d.
	m := metric(t, "over_60hz_share")
	for d, n := range map[float64]int{0.5: 64, 0.8: 26, 1: 17, 1.2: 12} {
		r := RepeatsToDiffer(m, d*0.01, Margin{Points: 0.1}, Noise{Variance: 1e-4, DF: math.Inf(1), Planned: 1e-4}, noSessionSpread)
		if !r.OK || r.K != n {
			t.Errorf("d = %g: %+v, want %d", d, r, n)
		}
	}
}

// With three looks each is a test at 5 %/3. The figures are R 4.2.2's: power.t.test(n = k, delta = 1, sd = 0.5, sig.level = 0.05/3);
// for the sizes delta and sd as given and power = 0.8, n rounded up; for what 5 and 8 launches resolve sd = 1, tol = 1e-12.
func TestPowerAtALookAgreesWithR(t *testing.T) {
	for k, want := range map[float64]float64{
		2: 0.0794759143669123, 3: 0.229756071399195, 5: 0.579722526324684, 8: 0.881868457375245, 12: 0.985145752595243,
	} {
		wantValue(t, "power", Known(differPower(1/(0.5*math.Sqrt(2/k)), 2*k-2, 0.05/3)), want, 1e-9)
	}
	m := metric(t, "over_60hz_share") // on whose scale a step of 1 point is 0.01
	noise := Noise{Variance: 1e-4, DF: math.Inf(1), Planned: 1e-4, Looks: 3}
	for d, n := range map[float64]int{1: 23, 0.5: 86} { // 22.42396 and 85.19947
		if r := RepeatsToDiffer(m, d*0.01, Margin{Points: 0.1}, noise, noSessionSpread); !r.OK || r.K != n {
			t.Errorf("d = %g: %+v, want %d", d, r, n)
		}
	}
	for k, want := range map[int]float64{5: 2.50936975142826, 8: 1.80651149514671} {
		wantValue(t, "resolvable", Known(100*ResolvableAt(m, k, noise, noSessionSpread).X), want, 1e-8)
	}
}

// Computed with mpmath 1.2.1 to 30 digits from the integral over the density of S, an arithmetic of its own.
func TestPowerDigits(t *testing.T) {
	for _, c := range []struct{ ratio, nu, want float64 }{
		{5, 2, 0.719180535356697}, {3, 4, 0.619257537080213}, {2, 10, 0.439552063575063}, {math.Sqrt(10), 38, 0.868952801692127},
		{4, 198, 0.978337405377377}, {2.9, 1998, 0.826042662151633},
	} {
		wantValue(t, "differ", Known(differPower(c.ratio, c.nu, 0.05)), c.want, 1e-11)
	}
	for _, c := range []struct{ ratio, nu, want float64 }{
		{5, 2, 0.856948751021062}, {4, 4, 0.89035505536297}, {1, 4, 0.0122793924653897}, {3.5, 10, 0.891544038208634},
		{3, 100, 0.818042794334954}, {2.93, 1998, 0.80091200473724},
	} {
		wantValue(t, "level", Known(levelPower(c.ratio, c.nu, 0.05)), c.want, 1e-11)
	}
}

// Without a difference the power of a t test is its level: half of 5 % in the upper tail.
func TestPowerOfNothing(t *testing.T) {
	for _, nu := range []float64{2, 4, 18, 400} {
		wantValue(t, "power", Known(differPower(0, nu, 0.05)), 0.025, 1e-9)
	}
	if differPower(math.Inf(1), 2, 0.05) != 1 || levelPower(math.Inf(1), 2, 0.05) != 1 || levelPower(0, 4, 0.05) != 0 {
		t.Error("at the ends")
	}
}

// Sizes for showing equality: E. Diletti, D. Hauschke and V. W. Steinijans, International Journal of Clinical Pharmacology 29(1),
// 1991, table for limits of 0.80 to 1.25, equal means, power 0.80 (from memory): n subjects of a two-period crossover, where
// SE² = 2σ²/n, ν = n − 2 and σ² = ln(1 + CV²). The even n before must not do.
func TestLevelPowerAgreesWithPublishedSizes(t *testing.T) {
	for cv, n := range map[float64]float64{0.10: 6, 0.15: 10, 0.20: 16, 0.25: 24, 0.30: 32} {
		power := func(n float64) float64 { return levelPower(math.Log(1.25)/math.Sqrt(2*math.Log1p(cv*cv)/n), n-2, 0.05) }
		if power(n) < 0.8 || power(n-2) >= 0.8 {
			t.Errorf("CV %g: power %.4f at %g, %.4f at %g", cv, power(n), n, power(n-2), n-2)
		}
	}
}

// Two cells of variances 4 and 1 with 2 degrees of freedom each: the mean is 2.5, with (4 + 1)²/(16/2 + 1/2) = 50/17 degrees of
// freedom. With 4 each, equal variances make 8: χ²(0.2; 8) = 4.594 (standard table). From 20 on a spread is taken as it is.
func TestPooledNoise(t *testing.T) {
	cell := func(v, df float64) CellStat {
		return CellStat{Variance: Known(v), Expected: Known(v), DF: Known(df)}
	}
	n, ok := PooledNoise([]CellStat{cell(4, 2), {Expected: Absent("one pass")}, cell(1, 2)})
	if !ok || n.Cells != 2 || n.Planned <= n.Variance {
		t.Errorf("%+v", n)
	}
	wantValue(t, "c²", Known(n.Variance), 2.5, 1e-15)
	wantValue(t, "ν", Known(n.DF), 50.0/17, 1e-14)
	n, _ = PooledNoise([]CellStat{cell(3, 4), cell(3, 4)})
	wantValue(t, "planned", Known(n.Planned), 3*8/4.594, 2e-4)
	n, _ = PooledNoise([]CellStat{cell(3, 10), cell(3, 10)})
	wantValue(t, "planned with 20", Known(n.Planned), 3, 0)
	if n, ok = PooledNoise([]CellStat{{Expected: Absent("one pass")}}); ok {
		t.Errorf("of nothing: %+v", n)
	}
	if n, ok = PooledNoise([]CellStat{cell(0, 2), cell(0, 2)}); !ok || n.Planned != 0 {
		t.Errorf("of no spread: %+v", n)
	}
}

func TestRepeats(t *testing.T) {
	m := metric(t, "mean_fps")
	noise := ExpectedNoise(m, 0.5, 0.5)
	if c := math.Log1p(0.005); noise.Variance != c*c || noise.Planned != noise.Variance || !math.IsInf(noise.DF, 1) {
		t.Errorf("%+v", noise)
	}
	// Three launches cannot show level within 1 % at 0.5 %: M/SE = ln 1.01/(ln 1.005·√(2/3)) = 2.44, and even with a spread known
	// exactly 2Φ(2.44 − 1.645) − 1 = 0.57.
	if r := RepeatsToLevel(m, DefaultMargin, noise, noSessionSpread); !r.OK || r.K <= 3 {
		t.Errorf("level: %+v", r)
	}
	// A lead below the margin is planned for as the margin; the sign of a claim does not matter to its size.
	small, margin := RepeatsToDiffer(m, 0.2, DefaultMargin, noise, noSessionSpread), RepeatsToDiffer(m, -1, DefaultMargin, noise, noSessionSpread)
	if small != margin || !small.OK {
		t.Errorf("0.2 %%: %+v, −1 %%: %+v", small, margin)
	}
	// With the sessions 1 % apart no number of launches resolves 1 %: Δ/(u·√2) = 0.71. With a spread of 50 % it is the launches.
	u := PlanSessionSpread(m, 1, 1)
	for _, r := range []Repeats{RepeatsToDiffer(m, 1, DefaultMargin, noise, u), RepeatsToLevel(m, DefaultMargin, noise, u)} {
		if r.OK || r.Why != "not reachable with this session spread" {
			t.Errorf("%+v", r)
		}
	}
	if r := RepeatsToDiffer(m, 1, DefaultMargin, ExpectedNoise(m, 50, 50), u); r.OK || r.Why != "not reachable with 1000 launches" {
		t.Errorf("%+v", r)
	}
	if r := RepeatsToDiffer(m, 1, DefaultMargin, Noise{DF: math.Inf(1)}, noSessionSpread); r.K != 2 || !r.OK {
		t.Errorf("nothing varies: %+v", r)
	}
	hitches := metric(t, "hitch_events")
	if r := RepeatsToDiffer(hitches, 1, DefaultMargin, noise, u); r.OK || r.Why == "" || ResolvableAt(hitches, 3, noise, u).OK {
		t.Errorf("counts: %+v", r)
	}
	if r := RepeatsToLevel(m, Margin{}, noise, u); r.OK || r.Why == "" {
		t.Errorf("no margin: %+v", r)
	}
	if v := ResolvableAt(m, 1, noise, u); v.OK || v.Why == "" {
		t.Errorf("one launch: %+v", v)
	}
	if v := ResolvableAt(m, 3, Noise{DF: math.Inf(1)}, noSessionSpread); v.X != 0 || !v.OK {
		t.Errorf("nothing varies: %+v", v)
	}
}

// The number found is enough, one less is not, for leads and for level alike; and what k launches resolve needs k launches.
func TestRepeatsAreTheLeast(t *testing.T) {
	m := metric(t, "mean_fps")
	rapid.Check(t, func(t *rapid.T) {
		noise := ExpectedNoise(m, rapid.Float64Range(0.05, 3).Draw(t, "noise"), 0)
		noise.Looks = rapid.IntRange(0, 4).Draw(t, "looks")
		u := PlanSessionSpread(m, rapid.SampledFrom([]float64{0, 0.1, 0.2, 0.3}).Draw(t, "sessions"), 0)
		step := math.Log(1.01)
		for i, power := range []func(ratio, nu, alpha float64) float64{differPower, levelPower} {
			r := []func() Repeats{
				func() Repeats { return RepeatsToDiffer(m, 1, DefaultMargin, noise, u) },
				func() Repeats { return RepeatsToLevel(m, DefaultMargin, noise, u) },
			}[i]()
			at := func(k int) float64 {
				return power(step/math.Sqrt(2*noise.Planned/float64(k)+2*u.U*u.U), float64(2*k-2), 0.05/float64(max(noise.Looks, 1)))
			}
			if r.OK && (at(r.K) < 0.8 || r.K > 2 && at(r.K-1) >= 0.8) || !r.OK && at(1000) >= 0.8 {
				t.Fatalf("%+v: power %g, one less %g", r, at(r.K), at(max(r.K-1, 2)))
			}
		}
		k := rapid.IntRange(2, 12).Draw(t, "k")
		v := ResolvableAt(m, k, noise, u)
		just, less := RepeatsToDiffer(m, v.X*(1+1e-6), Margin{}, noise, u), RepeatsToDiffer(m, v.X*(1-1e-6), Margin{}, noise, u)
		if just.K != k || less.OK && less.K <= k {
			t.Fatalf("%d launches resolve %g %%: %+v, a little less %+v", k, v.X, just, less)
		}
	})
}

func TestLeastFromAnyGuess(t *testing.T) {
	for want := 2; want <= mostRepeats+1; want += 37 {
		for _, guess := range []int{1, 2, 3, want - 1, want, want + 1, want + 40, mostRepeats, mostRepeats + 9} {
			if got := leastFrom(guess, func(k int) bool { return k >= want }); got != want {
				t.Errorf("from %d: %d, want %d", guess, got, want)
			}
		}
	}
}

// R 4.2.2, integrating Phillips's formula by itself: with SE² = 2c²/k + 2u² and q = qt(0.95, 2k − 2),
// integrate(function(v) pmax(0, 2*pnorm(M/SE - q*sqrt(v/nu)) - 1)*dchisq(v, nu), 0, nu*(M/SE/q)^2, rel.tol = 1e-12).
func TestChanceOfLevel(t *testing.T) {
	m := metric(t, "mean_fps")
	noise := ExpectedNoise(m, 0.5, 0)
	for k, want := range map[int]float64{3: 0.378940490, 4: 0.609619739, 5: 0.780953247, 6: 0.882213113, 10: 0.991723595} {
		wantValue(t, fmt.Sprintf("%d launches", k), ChanceOfLevel(m, k, DefaultMargin, noise, noSessionSpread), want, 1e-8)
	}
	if r := RepeatsToLevel(m, DefaultMargin, noise, noSessionSpread); r.K != 6 {
		t.Errorf("%+v, want the first with 80 %%", r)
	}
	for name, v := range map[string]Value{
		"one launch": ChanceOfLevel(m, 1, DefaultMargin, noise, noSessionSpread), "no margin": ChanceOfLevel(m, 3, Margin{}, noise, noSessionSpread),
		"counts": ChanceOfLevel(metric(t, "hitch_events"), 3, DefaultMargin, noise, noSessionSpread),
	} {
		if v.OK || v.Why == "" {
			t.Errorf("%s: %+v", name, v)
		}
	}
}

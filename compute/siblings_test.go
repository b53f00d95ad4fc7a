package compute

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// passAt is a pass whose frames have the rate given in each whole second: 10⁹ over it must be whole, and it whole, so that the
// figures can be worked out by hand.
func passAt(startNS int64, fps ...int64) *Pass {
	var x []int64
	for _, rate := range fps {
		x = append(x, repeat(nsPerSecond/rate, int(rate))...)
	}
	return Figure(x, startNS, PassOptions{}, nil)
}

// rough is a pass of the rates given that has no frames of its own, for rates that do not divide a second.
func rough(rates ...float64) *Pass {
	p := &Pass{DurationNS: int64(len(rates)) * nsPerSecond, SecondRates: rates}
	copy(p.Profile[:], profileOfSeconds(rates))
	return p
}

// ramp is a pass of n seconds that follows the scene and drifts by the percentage given over it.
func ramp(n int, pct float64, scene func(s float64) float64) *Pass {
	rates := make([]float64, n)
	for s := range rates {
		rates[s] = scene(float64(s)) * math.Exp(math.Log1p(pct/100)*(float64(s)+0.5)/float64(n))
	}
	return rough(rates...)
}

func level(float64) float64   { return 100 }
func hilly(s float64) float64 { return 100 + 30*math.Sin(s/4) }

// The tenths of a pass of whole seconds are the same by way of its seconds as by way of its frames.
func TestProfileOfSeconds(t *testing.T) {
	for _, fps := range [][]int64{
		{100, 80, 50, 125, 200, 100, 80, 64, 40, 25},
		{100, 80, 50, 125, 200, 100, 80, 64, 40, 25, 20, 160, 250},
		{100, 80, 50, 125, 200, 100, 80, 64, 40, 25, 20, 160, 250, 10, 500, 100, 100, 80, 80, 50, 40, 25, 64},
	} {
		p := passAt(0, fps...)
		got := profileOfSeconds(p.SecondRates)
		for i, want := range p.Profile {
			if !agree(got[i], want, 1e-12) {
				t.Errorf("%d s, tenth %d: %v, want %v", len(fps), i, got[i], want)
			}
		}
	}
}

func TestDrift(t *testing.T) {
	for _, c := range []struct {
		name   string
		pcts   []float64
		scene  func(float64) float64
		drifts []bool
	}{
		{"none", []float64{0, 0, 0}, hilly, []bool{false, false, false}},
		{"under 2 %", []float64{0, -1.9, 0}, hilly, []bool{false, false, false}},
		{"over 2 %", []float64{0, -2.1, 0}, hilly, []bool{false, true, false}},
		{"rising, on a flat scene", []float64{0, 2.1, 0}, level, []bool{false, true, false}},
		// Its siblings' medians fall by 3 %, so the others seem to rise by 3; alone with each other they do not.
		{"one drifting far lends nothing", []float64{0, -6, 0}, hilly, []bool{false, true, false}},
		{"nor among five", []float64{0, -6, 0, 0, 0}, hilly, []bool{false, true, false, false, false}},
		{"two that drift apart both do", []float64{-6, 5, 0}, hilly, []bool{true, true, false}},
		{"of two, either may be it", []float64{0, -5}, hilly, []bool{true, true}},
	} {
		var passes []*Pass
		for _, pct := range c.pcts {
			passes = append(passes, ramp(40, pct, c.scene))
		}
		got := CompareSiblings(passes)
		for k, check := range got.Checks {
			if check.Off != "" || check.Drifts != c.drifts[k] {
				t.Errorf("%s: pass %d: %+v", c.name, k+1, check)
			}
		}
	}
	// Both siblings follow the scene, so the ratio is the drift itself, 4 % over ten tenths, at every tenth.
	c := CompareSiblings([]*Pass{ramp(40, 0, level), ramp(40, -4, level), ramp(40, 0, level)}).Checks[1]
	wantValue(t, "drift", c.DriftPct, -4, 1e-6)
	wantValue(t, "p", c.DriftP, math.Erfc(44/math.Sqrt(125)/math.Sqrt2), 1e-12)
}

// Passes are laid beside each other by time: tenths of 40 and of 44 s are of different parts of a scene, the first 40 s are not.
func TestDriftOverWhatAllHave(t *testing.T) {
	climb := func(s float64) float64 { return 50 + 2*s }
	passes := []*Pass{ramp(44, 0, climb), ramp(40, 0, climb), ramp(42, 0, climb)}
	for k, c := range CompareSiblings(passes).Checks {
		if !c.DriftPct.OK || math.Abs(c.DriftPct.X) > 1e-9 || c.Drifts || c.Disturbances != nil {
			t.Errorf("pass %d: %+v", k+1, c)
		}
	}
	// 1.9 % of 40 s is more than a tenth of a block, and 9 s are too few to make tenths of.
	short := CompareSiblings([]*Pass{ramp(9, 0, climb), ramp(40, 0, climb), ramp(40, 0, climb)})
	for k, c := range short.Checks {
		if c.Off == "" || c.DriftPct.OK || c.DriftPct.Why != c.Off {
			t.Errorf("a pass of 9 s beside two of 40: pass %d: %+v", k+1, c)
		}
	}
	if short.NotReproducible {
		t.Error("a short pass says nothing about the scene")
	}
}

func TestSiblingsThatDoNotAgree(t *testing.T) {
	a := func(s float64) float64 { return 100 + 30*math.Sin(s/4) }
	b := func(s float64) float64 { return 100 + 30*math.Cos(s/4) }
	c := func(s float64) float64 { return 100 - 30*math.Sin(s/4) }
	noisy := func(offset, by float64) func(float64) float64 {
		return func(s float64) float64 { return offset * (1 + by*math.Sin(7.7*s+offset)) }
	}
	for _, x := range []struct {
		name   string
		scenes []func(float64) float64
		off    []bool
		all    bool
	}{
		{"one scene", []func(float64) float64{a, a, a}, []bool{false, false, false}, false},
		{"three scenes", []func(float64) float64{a, b, c}, []bool{true, true, true}, true},
		{"the siblings of the odd one agree", []func(float64) float64{a, c, a}, []bool{true, false, true}, false},
		{"two passes have no pair", []func(float64) float64{a, c}, []bool{false, false}, false},
		// Beside a good one of six are four good ones and the odd one: six pairs agree and four do not. Of five: three and three,
		// so that the median is of 1 and −1.
		{"five good of six", []func(float64) float64{a, a, a, a, a, c}, make([]bool, 6), false},
		{"four good of five", []func(float64) float64{a, a, a, a, c}, []bool{true, true, true, true, false}, false},
		{"constant", []func(float64) float64{level, level, level}, []bool{false, false, false}, false},
		{"flat but for noise", []func(float64) float64{noisy(100, 0.01), noisy(101, 0.01), noisy(99, 0.01)}, []bool{false, false, false}, false},
		{"flat, and 5 % apart throughout", []func(float64) float64{noisy(100, 0.01), noisy(105, 0.01), noisy(95, 0.01)}, []bool{false, false, false}, false},
		{"a constant one beside hilly ones", []func(float64) float64{level, a, a}, []bool{false, true, true}, false},
	} {
		var passes []*Pass
		for _, scene := range x.scenes {
			passes = append(passes, ramp(40, 0, scene))
		}
		got := CompareSiblings(passes)
		if got.NotReproducible != x.all {
			t.Errorf("%s: not reproducible: %v", x.name, got.NotReproducible)
		}
		for k, check := range got.Checks {
			if (check.Off != "") != x.off[k] {
				t.Errorf("%s: pass %d: off %q", x.name, k+1, check.Off)
			}
			if check.Off != "" && (check.DriftPct.OK || check.Drifts || check.Disturbances != nil) {
				t.Errorf("%s: pass %d is off and has findings: %+v", x.name, k+1, check)
			}
		}
	}
}

// Profiles u and r·u + √(1 − r²)·v have correlation r where u and v have mean 0, equal length, and no product.
func TestLikeness(t *testing.T) {
	u := []float64{1, -1, 1, -1, 1, -1, 1, -1, 0, 0}
	v := []float64{1, 1, -1, -1, 1, 1, -1, -1, 0, 0}
	for _, r := range []float64{-1, -0.3, 0, 0.49, 0.51, 0.8, 1} {
		a, b := make([]float64, 10), make([]float64, 10)
		for i := range u {
			a[i] = 100 + 20*u[i]
			b[i] = 150 + 30*(r*u[i]+math.Sqrt(1-r*r)*v[i])
		}
		if got := likeness(a, b); math.Abs(got-r) > 1e-12 {
			t.Errorf("r = %v, want %v", got, r)
		}
		third := ramp(40, 0, hilly).Profile
		if got := siblingsAlike([][]float64{a, third[:], b})[1]; got != (r >= 0.5) {
			t.Errorf("siblings with r = %v agree: %v", r, got)
		}
	}
	// The ln ratio is +c and −c by turns, c rms: noise that does not correlate with a level pass.
	for c, want := range map[float64]float64{0.0199: 1, 0.0201: 0} {
		a, b := make([]float64, 10), make([]float64, 10)
		for i := range a {
			a[i], b[i] = 90, 100*math.Exp(c*float64(1-2*(i%2)))
		}
		if got := likeness(a, b); got != want {
			t.Errorf("%v rms: %v, want %v", c, got, want)
		}
	}
}

func TestFewSiblings(t *testing.T) {
	if got := CompareSiblings(nil); got.NotReproducible || len(got.Checks) != 0 {
		t.Errorf("none: %+v", got)
	}
	one := CompareSiblings([]*Pass{passAt(0, 100, 100)})
	if c := one.Checks[0]; c.Off != "one pass has no siblings" || c.DriftPct.OK || one.NotReproducible {
		t.Errorf("one: %+v", one)
	}
	// A pass without figures takes no part, and leaves the others their places.
	none := Figure(nil, 0, PassOptions{}, nil)
	got := CompareSiblings([]*Pass{ramp(40, 0, hilly), none, ramp(40, -5, hilly)})
	if c := got.Checks[1]; c.Off != none.Why || c.DriftPct.OK {
		t.Errorf("without figures: %+v", c)
	}
	if !got.Checks[0].Drifts || !got.Checks[2].Drifts || got.Checks[2].DriftPct.X > 0 {
		t.Errorf("beside it: %+v", got.Checks)
	}
	both := CompareSiblings([]*Pass{none, none})
	if both.NotReproducible || both.Checks[0].Off == "" {
		t.Errorf("two without figures: %+v", both)
	}
	// Below twenty seconds no drift is looked for, steep as it may be.
	for _, c := range []struct {
		seconds int
		drifts  bool
	}{{19, false}, {20, true}} {
		got := CompareSiblings([]*Pass{ramp(c.seconds, -8, hilly), ramp(c.seconds, 0, hilly), ramp(c.seconds, 0, hilly)}).Checks[0]
		if got.Drifts != c.drifts || got.DriftPct.OK != c.drifts || got.Off != "" {
			t.Errorf("%d s: %+v", c.seconds, got)
		}
	}
}

// Whatever the rates, no figure is NaN or infinite, passes keep their findings when they are given in another order, and a
// common factor changes nothing but rounding.
func TestSiblingsProperties(t *testing.T) {
	rate := rapid.OneOf(rapid.Float64Range(1e-4, 1e6), rapid.SampledFrom([]float64{0, 0, 60, 60, 60, 57, 45}))
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "passes")
		length := rapid.IntRange(1, 24).Draw(t, "seconds")
		var passes []*Pass
		for range n {
			extra := rapid.SampledFrom([]int{0, 0, 0, 2}).Draw(t, "extra")
			passes = append(passes, rough(rapid.SliceOfN(rate, length+extra, length+extra).Draw(t, "rates")...))
		}
		got := CompareSiblings(passes)
		for k, c := range got.Checks {
			longest, found := c.Longest()
			if found != (len(c.Disturbances) > 0) {
				t.Fatalf("longest of %v: %v", c.Disturbances, longest)
			}
			for _, v := range []float64{c.DriftPct.X, c.DriftP.X, longest.FromS, longest.ToS, longest.BelowPct} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("pass %d: %+v", k+1, c)
				}
			}
			if c.DriftPct.OK != c.DriftP.OK && c.DriftPct.Why == "" || c.Drifts && !c.DriftPct.OK {
				t.Fatalf("pass %d: %+v", k+1, c)
			}
			for i, s := range c.Disturbances {
				if s.BelowPct < 5 || s.BelowPct > 100+1e-9 || s.ToS > float64(length+2) || i > 0 && s.FromS <= c.Disturbances[i-1].ToS {
					t.Fatalf("pass %d: %+v", k+1, c.Disturbances)
				}
			}
		}
		turned := CompareSiblings(append(append([]*Pass(nil), passes[1:]...), passes[0]))
		if turned.NotReproducible != got.NotReproducible {
			t.Fatal("the order of passes changes whether the scene is reproducible")
		}
		for k := range passes {
			a, b := got.Checks[(k+1)%n], turned.Checks[k]
			if a.DriftPct != b.DriftPct || a.Drifts != b.Drifts || a.Off != b.Off || len(a.Disturbances) != len(b.Disturbances) {
				t.Fatalf("%+v in another order is %+v", a, b)
			}
		}
	})
}

package thermocouple

import (
	"math"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"pgregory.net/rapid"
)

// IEC 60584-1:2013, type K, to 1e-9 K.
func TestToleranceClasses(t *testing.T) {
	var c struct {
		Cases []struct {
			Class     Class
			T         float64  `json:"t_C"`
			Tolerance *float64 `json:"tolerance_C"`
			U         *float64 `json:"u_rectangular_C"`
		}
	}
	referenceCase(t, "tolerance_classes", &c)
	for _, k := range c.Cases {
		got := k.Class.Tolerance(k.T)
		if k.Tolerance == nil {
			if got.OK || !strings.Contains(got.Why, "has no tolerance at") {
				t.Errorf("class %d at %g °C: %+v, want none", k.Class, k.T, got)
			}
			continue
		}
		if !got.OK || !within(got.X, *k.Tolerance, 1e-9) {
			t.Errorf("class %d at %g °C: %+v, want %g", k.Class, k.T, got, *k.Tolerance)
		}
		if u := compute.Limits("", got.X).Standard; !within(u, *k.U, 1e-9) {
			t.Errorf("class %d at %g °C: u %g, want %g", k.Class, k.T, u, *k.U)
		}
	}
	if len(c.Cases) != 42 {
		t.Errorf("%d cases", len(c.Cases))
	}
	for class, want := range map[Class]string{0: "not stated", 4: "4 is no class of thermocouples; there are 1, 2 and 3"} {
		if got := class.Tolerance(20); got.OK || !strings.Contains(got.Why, want) {
			t.Errorf("class %d: %+v", class, got)
		}
	}
}

var bench = Chain{Class: 1, Accuracy: compute.Known(0.5), Resolution: compute.Known(0.1), Mount: 1}

// 80 °C by class 1, a logger of ± 0.5 K and 0.1 K, a placement of 1 K, samples 80 ± 0.1 in turns. By hand: (1.5² + 0.5²)/3 + 0.1²/12 +
// 1² = 1.8341667; the samples' s² is 0.04/3, r₁ = −0.75, so that n_eff stays 4, and s²/4 = 0.0033333: u = √1.8375.
// Welch–Satterthwaite: ν = 1.8375²/((0.04/12)²/3) = 911629.7. The formula is that of JCGM 100:2008, the tolerance IEC 60584-1's.
func TestBudgetOfATemperature(t *testing.T) {
	u := bench.Uncertainty(Mean{80, []float64{79.9, 80.1, 79.9, 80.1}})
	if !within(u.Standard.X, math.Sqrt(1.8375), 1e-12) || !within(u.DF, 911629.7, 0.1) || !within(u.Expanded.X, 1.95997*math.Sqrt(1.8375), 1e-4) {
		t.Errorf("%+v", u)
	}
	var names []string
	for _, p := range u.Budget {
		names = append(names, p.Name)
	}
	if got := strings.Join(names, ", "); got != "class tolerance, logger accuracy, resolution, placement, scatter" {
		t.Error(got)
	}
}

// The fact of the trade that 63 °C against 78 °C is a drop of 15 K (common practice, no source), with one probe and logger: by hand
// (0.004·15)²/3 + 2·1² + 2·0.1²/12 = 2.0028667, where the logger's 0.5 K and the 1.5 K of the class have gone.
func TestBudgetOfADifference(t *testing.T) {
	quiet := []float64{1, 1, 1}
	u := bench.DifferenceUncertainty(Mean{63, quiet}, Mean{78, quiet})
	if !within(u.Standard.X, math.Sqrt(0.06*0.06/3+2+0.02/12), 1e-12) || !math.IsInf(u.DF, 1) || !within(u.Factor.X, 1.959964, 1e-6) {
		t.Errorf("%+v", u)
	}
	for class, slope := range map[Class]float64{1: 0.004, 2: 0.0075, 3: 0.015} {
		c := Chain{Class: class, Resolution: compute.Known(0)}
		if u := c.DifferenceUncertainty(Mean{0, quiet}, Mean{-30, quiet}); !within(u.Standard.X, slope*30/math.Sqrt(3), 1e-12) {
			t.Errorf("class %d: %+v", class, u)
		}
	}
}

func TestBudgetsThatCannotBeHad(t *testing.T) {
	fine := []float64{1, 2, 3}
	without := func(change func(*Chain)) Chain { c := bench; change(&c); return c }
	noClass := without(func(c *Chain) { c.Class = 0 })
	noAccuracy := without(func(c *Chain) { c.Accuracy = compute.Value{} })
	noStep := without(func(c *Chain) { c.Resolution = compute.Value{} })
	for want, u := range map[string]compute.Uncertainty{
		"calibration not stated": OnDie(),
		"class tolerance: the class of the thermocouple is not stated": noClass.Uncertainty(Mean{80, fine}),
		"class tolerance: class 1 has no tolerance at 1200 °C":         bench.Uncertainty(Mean{1200, fine}),
		"logger accuracy: not stated":                                  noAccuracy.Uncertainty(Mean{80, fine}),
		"resolution: not stated":                                       noStep.DifferenceUncertainty(Mean{80, fine}, Mean{81, fine}),
		"scatter: one sample":                                          bench.Uncertainty(Mean{80, fine[:1]}),
		"class tolerance: class 1 has no tolerance at -50 °C":          bench.DifferenceUncertainty(Mean{20, fine}, Mean{-50, fine}),
		"scatter: no sample":                                           bench.DifferenceUncertainty(Mean{80, fine}, Mean{70, nil}),
	} {
		if u.Standard.OK || u.Expanded.OK || !strings.HasPrefix(u.Standard.Why, want) {
			t.Errorf("got %+v, want absent: %s", u.Standard, want)
		}
	}
	if u := noAccuracy.DifferenceUncertainty(Mean{80, fine}, Mean{81, fine}); !u.Standard.OK {
		t.Errorf("a difference does not rest on the logger's accuracy: %+v", u)
	}
}

// A difference by one probe and logger is never less certain than the two temperatures taken for unrelated, does not depend on the
// direction, and nowhere falls below the two placements.
func TestDifferencesAsRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Chain{Class: Class(rapid.IntRange(1, 2).Draw(t, "class")), Accuracy: compute.Known(rapid.Float64Range(0, 3).Draw(t, "accuracy")),
			Resolution: compute.Known(rapid.SampledFrom([]float64{0, 0.1, 1}).Draw(t, "resolution")), Mount: rapid.Float64Range(0, 3).Draw(t, "mount")}
		side := func(label string) Mean {
			return Mean{rapid.Float64Range(15, 130).Draw(t, label), rapid.SliceOfN(rapid.Float64Range(-1, 1), 2, 20).Draw(t, label+" samples")}
		}
		a, b := side("a"), side("b")
		d, back := c.DifferenceUncertainty(a, b), c.DifferenceUncertainty(b, a)
		if !d.Standard.OK || d.Standard != back.Standard || d.DF != back.DF {
			t.Fatalf("%+v one way, %+v the other", d, back)
		}
		unrelated := compute.Combine(append(c.Uncertainty(a).Budget, c.Uncertainty(b).Budget...)...)
		if d.Standard.X > unrelated.Standard.X*(1+1e-12) || d.Standard.X < math.Sqrt2*c.Mount*(1-1e-12) {
			t.Fatalf("difference %+v, unrelated %+v", d.Standard, unrelated.Standard)
		}
	})
}

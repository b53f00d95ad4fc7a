package compute

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func knownAll(xs ...float64) (out []Value) {
	for _, x := range xs {
		out = append(out, Known(x))
	}
	return out
}

func soakMetric(t *testing.T, name string) Metric {
	t.Helper()
	m, ok := SoakMetric(name)
	if !ok {
		t.Fatalf("no figure %s", name)
	}
	return m
}

// Repeated soaks without a declared repeatability are two samples: Welch's test as R and SciPy have it.
func TestRepeatedSoaksAreComparedByWelchsTest(t *testing.T) {
	var file struct{ Cases []twoSampleCase }
	referenceJSON(t, "two_sample_tests.json", &file)
	m, n := soakMetric(t, "rise_k"), 0
	for _, c := range file.Cases {
		if c.Test != "welch" {
			continue
		}
		n++
		r := CompareSoaks(m, OfSoaks(m, knownAll(c.A...), 0), OfSoaks(m, knownAll(c.B...), 0), noSessionSpread, Margin{Points: 1})
		wantValue(t, c.ID+" difference", r.Difference, c.Computed.Difference, 1e-9)
		wantValue(t, c.ID+" p", r.P, c.Computed.P, 1e-9)
		wantValue(t, c.ID+" low", r.Low, c.Computed.CI95[0], 1e-9)
		wantValue(t, c.ID+" high", r.High, c.Computed.CI95[1], 1e-9)
	}
	if n != 4 {
		t.Errorf("%d cases", n)
	}
}

// 63 °C against 78 °C is a drop of 15 K (common practice, no source). With a declared standard deviation of 0.6 K between soaks and 0.5 K
// of mounting, one soak each: the variance is 2·0.6² + 2·0.5² K², all of it declared, so z = 1.959964 (normal table, 0.975).
func TestOneSoakEachIsJudgedByADeclaredRepeatability(t *testing.T) {
	m := soakMetric(t, "end_c")
	mount := SessionSpread{U: 0.5, DF: math.Inf(1), Source: "plan"}
	r := CompareSoaks(m, OfSoaks(m, knownAll(63), 0.6), OfSoaks(m, knownAll(78), 0.6), mount, Margin{Points: 1})
	half := 1.959964 * math.Sqrt(2*0.6*0.6+2*0.5*0.5)
	wantValue(t, "difference", r.Difference, -15, 0)
	wantValue(t, "low", r.Low, -15-half, 1e-6)
	wantValue(t, "high", r.High, -15+half, 1e-6)
	if r.Verdict != Ahead {
		t.Errorf("verdict %q: lower is better", r.Verdict)
	}
	hope := Hope{Low: math.Inf(-1), High: -10}
	claims := []ClaimFigures{Claim(m, hope, false, []Pair{{Of: OfSoaks(m, knownAll(63), 0.6), Base: OfSoaks(m, knownAll(78), 0.6)}}, mount, Margin{Points: 1})}
	if JudgeClaims(claims); claims[0].Verdict != Supported {
		t.Errorf("%+v", claims[0])
	}
	// and without one
	r = CompareSoaks(m, OfSoaks(m, knownAll(63), 0), OfSoaks(m, knownAll(78), 0), mount, Margin{Points: 1})
	if r.Verdict != Single || r.Low.OK || r.P.OK || r.Why == "" {
		t.Errorf("%+v", r)
	}
	claims = []ClaimFigures{Claim(m, hope, false, []Pair{{Of: OfSoaks(m, knownAll(63), 0), Base: OfSoaks(m, knownAll(78), 0)}}, mount, Margin{Points: 1})}
	if JudgeClaims(claims); claims[0].Verdict != Open || claims[0].Leaning() != "for" {
		t.Errorf("%+v", claims[0])
	}
}

// Percent on the ratio scale: 1 % declared on 300 W against 250 W is 20 % with ln 1.01 a soak.
func TestPowerIsComparedInPercent(t *testing.T) {
	m := soakMetric(t, "mean_power_w")
	r := CompareSoaks(m, OfSoaks(m, knownAll(300), 1), OfSoaks(m, knownAll(250), 1), noSessionSpread, Margin{Percent: 1})
	half := 1.959964 * math.Sqrt2 * math.Log(1.01)
	wantValue(t, "percent", r.Percent, 20, 1e-9)
	wantValue(t, "low", r.Low, 100*(1.2*math.Exp(-half)-1), 1e-5)
	wantValue(t, "high", r.High, 100*(1.2*math.Exp(half)-1), 1e-5)
	if r.Verdict != Behind {
		t.Errorf("verdict %q: more power is not better", r.Verdict)
	}
}

// An instrument's uncertainty of 1.5 K in the difference, JCGM 100:2008, 5.1.2: u² of the sum is the sum of the u².
func TestInstrumentsAddInQuadrature(t *testing.T) {
	m := soakMetric(t, "rise_k")
	u := SessionSpread{U: 0.5, DF: math.Inf(1), Source: "plan"}.Instruments(m, Combine(Stated("all", 1.5)), false)
	r := CompareSoaks(m, OfSoaks(m, knownAll(42), 0.6), OfSoaks(m, knownAll(45), 0.6), u, Margin{Points: 1})
	wantValue(t, "half", Known(r.High.X-r.Difference.X), 1.959964*math.Sqrt(2*0.36+2*0.25+2.25), 1e-5)
	if r.Verdict != Unresolved {
		t.Errorf("verdict %q", r.Verdict)
	}
	alone := SessionSpread{U: 0.5, DF: math.Inf(1)}.Instruments(m, Combine(Stated("all", 1.5)), true)
	wantValue(t, "a figure that stands alone", Known(alone.U), math.Sqrt(0.25+2.25), 1e-12)
}

// An interval is never narrower than what is declared and known makes it, whatever the soaks happen to show. (More of it can narrow one all
// the same: the degrees of freedom by Welch and Satterthwaite rise.)
func TestNoIntervalIsNarrowerThanWhatIsDeclared(t *testing.T) {
	m, _ := SoakMetric("rise_k")
	rapid.Check(t, func(t *rapid.T) {
		temperature := rapid.Float64Range(10, 90)
		a, b := rapid.SliceOfN(temperature, 1, 5).Draw(t, "a"), rapid.SliceOfN(temperature, 1, 5).Draw(t, "b")
		declared, instrument := rapid.Float64Range(0.1, 50).Draw(t, "declared"), rapid.Float64Range(0, 5).Draw(t, "instrument")
		u := SessionSpread{U: 0.5, DF: math.Inf(1)}.Instruments(m, Combine(Stated("all", instrument)), false)
		r := CompareSoaks(m, OfSoaks(m, knownAll(a...), declared), OfSoaks(m, knownAll(b...), declared), u, Margin{Points: 1})
		known := float64(declared*declared)*(1/float64(len(a))+1/float64(len(b))) + 2*0.25 + instrument*instrument
		if least := 2 * 1.9599 * math.Sqrt(known); !(r.High.X-r.Low.X >= least) {
			t.Errorf("%g wide, and %g are declared", r.High.X-r.Low.X, least)
		}
	})
}

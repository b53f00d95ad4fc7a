package compute

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// gumCase reads one worked example of JCGM 100:2008 into a struct of its own.
func gumCase(t *testing.T, id string, into any) {
	t.Helper()
	var file struct{ Cases []json.RawMessage }
	referenceJSON(t, "gum_examples.json", &file)
	for _, c := range file.Cases {
		var head struct{ ID string }
		if err := json.Unmarshal(c, &head); err != nil {
			t.Fatal(err)
		}
		if head.ID == id {
			if err := json.Unmarshal(c, into); err != nil {
				t.Fatal(err)
			}
			return
		}
	}
	t.Fatalf("no example %s", id)
}

// within reports whether two numbers agree to an absolute tolerance.
func within(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// JCGM 100:2008, 4.4.3: twenty readings of a temperature; the published digits, and what the data give.
func TestRepeatedReadingsOfTheGuide(t *testing.T) {
	var c struct {
		Data      []float64
		Published struct {
			SMean float64 `json:"s_mean"`
			DOF   float64
		}
		Computed struct {
			SMean float64 `json:"s_mean"`
		}
	}
	gumCase(t, "4.4.3", &c)
	got := Repeated("readings", c.Data)
	if !agree(got.Standard, c.Computed.SMean, 1e-12) || !within(got.Standard, c.Published.SMean, 0.0005) || got.DF != c.Published.DOF || got.Why != "" {
		t.Errorf("got %+v, want %g with %g degrees of freedom", got, c.Computed.SMean, c.Published.DOF)
	}
}

// JCGM 100:2008, 4.4.5 and F.2.2.1: bounds of ± 4 °C, and a step of a display.
func TestStatedLimitsOfTheGuide(t *testing.T) {
	var bounds struct {
		HalfWidth float64 `json:"half_width"`
		Published struct {
			U float64 `json:"u_rectangular"`
		}
		Computed struct {
			U float64 `json:"u_rectangular"`
		}
	}
	gumCase(t, "4.4.5", &bounds)
	if got := Limits("bounds", bounds.HalfWidth); !agree(got.Standard, bounds.Computed.U, 1e-15) || !within(got.Standard, bounds.Published.U, 0.05) {
		t.Errorf("got %+v, want %g", got, bounds.Computed.U)
	}
	var step struct {
		Published struct {
			U float64 `json:"u_over_dx"`
		}
	}
	gumCase(t, "F.2.2.1", &step)
	if got := Resolution("step", 10); !within(got.Standard/10, step.Published.U, 0.005) || !math.IsInf(got.DF, 1) {
		t.Errorf("got %+v, want %g", got, step.Published.U)
	}
}

// JCGM 100:2008, G.4.1: a product of three, in relative terms.
func TestEffectiveDegreesOfFreedomOfTheGuide(t *testing.T) {
	var c struct {
		U         []float64 `json:"u_percent"`
		DOF       []float64
		Published struct {
			UC   float64 `json:"uc_percent"`
			VEff float64
			T95  float64
			U95  float64 `json:"U95_percent"`
		}
		Computed struct {
			UC   float64 `json:"uc_percent"`
			VEff float64
			T95  float64
		}
	}
	gumCase(t, "G.4.1", &c)
	var parts []Contribution
	for i, u := range c.U {
		parts = append(parts, Contribution{Name: strconv.Itoa(i), Standard: u, DF: c.DOF[i], Sensitivity: 1})
	}
	u := Combine(parts...)
	wantValue(t, "u", u.Standard, c.Computed.UC, 1e-12)
	wantValue(t, "degrees of freedom", Known(u.DF), c.Computed.VEff, 1e-12)
	if !within(u.Standard.X, c.Published.UC, 0.005) || !within(u.DF, c.Published.VEff, 0.05) ||
		!within(u.Factor.X, c.Published.T95, 0.005) || !within(u.Expanded.X, c.Published.U95, 0.05) {
		t.Errorf("got %+v, published %+v", u, c.Published)
	}
	if want := TQuantile(0.975, u.DF) * u.Standard.X; !agree(u.Expanded.X, want, 1e-15) { // not with the degrees of freedom cut to 18
		t.Errorf("U is %g, want %g", u.Expanded.X, want)
	}
	if !within(TQuantile(0.975, 19), c.Computed.T95, 1e-9) {
		t.Errorf("t(0.975, 19) is %g", TQuantile(0.975, 19))
	}
}

// JCGM 100:2008, H.1: an end gauge, in nm, one of whose inputs has a budget of its own.
func TestEndGaugeOfTheGuide(t *testing.T) {
	var c struct {
		Published struct {
			U struct {
				LS     float64 `json:"l_S"`
				D      float64 `json:"d"`
				DParts struct {
					Repeated   float64 `json:"repeated"`
					Random     float64 `json:"comparator_random"`
					Systematic float64 `json:"comparator_systematic"`
				} `json:"d_parts"`
				Alpha float64 `json:"delta_alpha"`
				Theta float64 `json:"delta_theta"`
			} `json:"u_components"`
			DOF struct {
				LS     float64   `json:"l_S"`
				D      float64   `json:"d"`
				DParts []float64 `json:"d_parts"`
				Alpha  float64   `json:"delta_alpha"`
				Theta  float64   `json:"delta_theta"`
			} `json:"dof"`
			UC   float64 `json:"uc"`
			VEff float64 `json:"veff_before_truncation"`
			T99  float64 `json:"t99_16"`
			U99  float64 `json:"U99"`
		}
		Computed struct {
			UD   float64 `json:"u_d"`
			DOFD float64 `json:"dof_d"`
			UC   float64 `json:"uc"`
			VEff float64 `json:"veff"`
		}
	}
	gumCase(t, "H.1", &c)
	in, df := c.Published.U, c.Published.DOF
	of := func(name string, u, df float64) Contribution {
		return Contribution{Name: name, Standard: u, DF: df, Sensitivity: 1}
	}
	dParts := []Contribution{of("repeated", in.DParts.Repeated, df.DParts[0]), of("random", in.DParts.Random, df.DParts[1]),
		of("systematic", in.DParts.Systematic, df.DParts[2])}
	d := Combine(dParts...)
	wantValue(t, "u(d)", d.Standard, c.Computed.UD, 1e-12)
	wantValue(t, "degrees of freedom of d", Known(d.DF), c.Computed.DOFD, 1e-12)
	// The coefficients of expansion enter with their sensitivity: 2.9 nm is one of 0.29 by 10.
	others := []Contribution{of("standard", in.LS, df.LS), of("expansion", in.Alpha/10, df.Alpha).By(10), of("temperature", in.Theta, df.Theta)}
	u := Combine(append(others, of("d", in.D, df.D))...) // as printed, rounded
	if !within(u.Standard.X, c.Published.UC, 0.5) || !within(u.DF, c.Published.VEff, 0.1) {
		t.Errorf("got %+v, published u %g, ν %g", u, c.Published.UC, c.Published.VEff)
	}
	wantValue(t, "u", u.Standard, c.Computed.UC, 1e-12)
	if U99 := TQuantile(0.995, math.Floor(u.DF)) * u.Standard.X; !within(U99, c.Published.U99, 1) { // the example's level and its whole ν
		t.Errorf("U99 is %g, published %g", U99, c.Published.U99)
	}
	wantValue(t, "ν", Known(u.DF), c.Computed.VEff, 1e-12)
	joined, stepwise := Combine(append(others, dParts...)...), Combine(append(others, of("d", d.Standard.X, d.DF))...)
	wantValue(t, "u of the joined budget", joined.Standard, stepwise.Standard.X, 1e-14)
	wantValue(t, "ν of the joined budget", Known(joined.DF), stepwise.DF, 1e-13)
}

// JCGM 100:2008, table G.2, which has t to two decimals.
func TestFactorsOfTheGuide(t *testing.T) {
	var c struct {
		Cases []struct{ V, T95 float64 }
	}
	gumCase(t, "Table G.2", &c)
	for _, row := range c.Cases {
		u := Combine(Contribution{Standard: 1, DF: row.V, Sensitivity: 1})
		if !within(u.Factor.X, row.T95, 0.005) {
			t.Errorf("ν = %g: factor %g, want %g", row.V, u.Factor.X, row.T95)
		}
	}
	if len(c.Cases) < 10 {
		t.Errorf("%d rows", len(c.Cases))
	}
}

// Effective numbers of AR(1) samples, computed, to 1e-9; cut at n, since samples that take turns are not trusted to tell more.
func TestEffectiveSize(t *testing.T) {
	var file struct {
		Cases []struct {
			N    int
			Rho  float64
			NEff float64 `json:"n_eff_asymptotic"`
		}
	}
	referenceJSON(t, "effective_sample_size.json", &file)
	for _, c := range file.Cases {
		want := min(c.NEff, float64(c.N))
		if got := effectiveSize(c.N, c.Rho); !agree(got, want, 1e-9) {
			t.Errorf("n = %d, r₁ = %g: %g, want %g", c.N, c.Rho, got, want)
		}
	}
	if got := effectiveSize(10, 0.999); got != 2 {
		t.Errorf("10 samples that all but repeat each other count as %g", got)
	}
}

// The lag-1 autocorrelation of floats agrees with NIST's certified one.
func TestLagOneOfCertifiedSets(t *testing.T) {
	sets := strdSets(t)
	for _, row := range referenceRows(t, "strd_univariate_certified.csv") {
		tolerance := 1e-13
		if row[0] == "NumAcc4" {
			tolerance = 1e-8 // its input as float64 has lost that much
		}
		wantValue(t, row[0], Known(LagOne(sets[row[0]].floats)), parse(t, row[5]), tolerance)
	}
}

func TestSampledSeries(t *testing.T) {
	// 1 2 3 4 by hand: s² = 5/3, r₁ = (0.75 − 0.25 + 0.75)/5 = 0.25, n_eff = 4·0.75/1.25 = 2.4
	got := Sampled("samples", []float64{1, 2, 3, 4})
	if !agree(got.Standard, math.Sqrt(5.0/3/2.4), 1e-14) || !agree(got.DF, 1.4, 1e-14) {
		t.Errorf("got %+v", got)
	}
	if got := Sampled("samples", []float64{7, 7, 7}); got.Standard != 0 || got.DF != 2 || got.Why != "" {
		t.Errorf("a constant: %+v", got)
	}
	for n, want := range []string{"scatter: no sample", "scatter: one sample shows no scatter; at least 2 are needed"} {
		if got := Sampled("scatter", make([]float64, n)); got.Why != want {
			t.Errorf("%d samples: %+v", n, got)
		}
	}
}

func TestUncertaintyThatCannotBeHad(t *testing.T) {
	fine := Stated("stated", 1)
	for name, bad := range map[string]Contribution{
		"one reading shows no scatter; at least 2 are needed": Repeated("readings", []float64{1}),
		"no reading": Repeated("readings", nil),
		"-1 is no standard uncertainty; it is at least 0":             Stated("readings", -1),
		"+Inf is no standard uncertainty; it is at least 0":           Stated("readings", math.Inf(1)),
		"0.5 is no number of degrees of freedom; they are at least 1": {Name: "readings", Standard: 1, DF: 0.5, Sensitivity: 1},
		"how far it moves the result is not known":                    Stated("readings", 1).By(math.NaN()),
	} {
		u := Combine(fine, bad)
		want := "readings: " + name
		for _, v := range []Value{u.Standard, u.Factor, u.Expanded} {
			if v.OK || v.Why != want {
				t.Errorf("got %+v, want absent: %s", v, want)
			}
		}
		if len(u.Budget) != 2 || u.DF != 0 {
			t.Errorf("%+v", u)
		}
	}
	if u := Combine(); u.Standard.OK || u.Standard.Why == "" {
		t.Errorf("nothing comes to %+v", u)
	}
}

func someContribution(t *rapid.T) Contribution {
	size := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-3, 10)).Draw(t, "c") // none is so small that scaling it rounds
	return Contribution{Standard: rapid.Float64Range(1e-3, 1e3).Draw(t, "u"), Sensitivity: rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign") * size,
		DF: rapid.OneOf(rapid.Just(math.Inf(1)), rapid.Float64Range(1, 200)).Draw(t, "df")}
}

// What a budget comes to depends neither on its order, nor on which parts were combined before, nor on the unit; it is at least the
// largest part, and ν lies between the smallest and the sum.
func TestBudgetsAsRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Custom(someContribution), 1, 8).Draw(t, "parts")
		u := Combine(parts...)
		if moved := Combine(rapid.Permutation(parts).Draw(t, "order")...); moved.Standard != u.Standard || moved.DF != u.DF || moved.Expanded != u.Expanded {
			t.Fatalf("in another order %+v, %+v", moved, u)
		}
		scaled := slices.Clone(parts)
		for i := range scaled {
			scaled[i] = scaled[i].By(1024)
		}
		if s := Combine(scaled...); s.Standard.X != 1024*u.Standard.X || s.DF != u.DF {
			t.Fatalf("in another unit %+v, %+v", s, u)
		}
		cut := rapid.IntRange(1, len(parts)).Draw(t, "cut")
		first := Combine(parts[:cut]...)
		nested := Combine(append([]Contribution{{Standard: first.Standard.X, DF: first.DF, Sensitivity: 1}}, parts[cut:]...)...)
		if !agree(nested.Standard.X, u.Standard.X, 1e-12) || !math.IsInf(u.DF, 1) && !agree(nested.DF, u.DF, 1e-9) {
			t.Fatalf("combined by steps %+v, at once %+v", nested, u)
		}
		largest, least, all := 0.0, math.Inf(1), 0.0
		for _, p := range parts {
			largest = max(largest, math.Abs(p.Standard*p.Sensitivity))
			least, all = min(least, p.DF), all+p.DF
		}
		if u.Standard.X < largest*(1-1e-14) || u.DF < least*(1-1e-12) || largest > 0 && u.DF > all*(1+1e-12) || u.Factor.X < 1.9599 {
			t.Fatalf("%+v", u)
		}
	})
}

// Whatever is handed in, what comes back is finite, or absent with a reason.
func TestHostileBudgets(t *testing.T) {
	anything := rapid.OneOf(hostile, rapid.Float64(), rapid.SampledFrom([]float64{math.Inf(1), math.Inf(-1), math.NaN(), -1}))
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Contribution {
			return Contribution{Name: "x", Standard: anything.Draw(t, "u"), DF: anything.Draw(t, "df"), Sensitivity: anything.Draw(t, "c")}
		}), 0, 4).Draw(t, "parts")
		u := Combine(parts...)
		present(t, u)
		if math.IsNaN(u.DF) || u.Standard.OK != (u.DF > 0) {
			t.Fatalf("%+v", u)
		}
		samples := rapid.SliceOfN(anything, 0, 6).Draw(t, "samples")
		present(t, Combine(Sampled("x", samples), Repeated("y", samples)))
	})
}

package compute

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func hopeOf(low, high float64) Hope { return Hope{Low: low, High: high} }

// By hand: 318 mm are 56 mm and 21.4 % more than 262 mm; 618.90 are 29.90 more than 589, though not in binary.
func TestExactClaims(t *testing.T) {
	mm := Metric{Name: "length_mm", Unit: "mm", Scale: Ratio}
	limit := Metric{Name: "limit_temperature_c", Unit: "°C", Scale: Difference}
	inf := math.Inf(1)
	near := func(x, within float64) Hope { return Hope{Low: -inf, High: inf, Near: x, Within: within, IsNear: true} }
	same := Hope{Low: -inf, High: inf, Same: true}
	base := func(x float64) *Value { v := Known(x); return &v }
	for _, x := range []struct {
		what     string
		m        Metric
		h        Hope
		of       float64
		base     *Value
		percent  bool
		estimate float64
		want     Judged
	}{
		{"to the digit", mm, near(56, 0), 318, base(262), false, 56, Supported},
		{"a millimetre off", mm, near(57, 0), 318, base(262), false, 56, Contradicted},
		{"a millimetre off and allowed", mm, near(57, 1), 318, base(262), false, 56, Supported},
		{"in percent", mm, near(21, 1), 318, base(262), true, 100 * (318/262.0 - 1), Supported},
		{"not in binary", mm, near(29.90, 0), 618.90, base(589), false, 29.90, Supported},
		{"a bound", mm, hopeOf(300, inf), 318, nil, false, 318, Supported},
		{"below a bound", mm, hopeOf(-inf, 317), 318, nil, false, 318, Contradicted},
		{"the bound itself", mm, hopeOf(-inf, 318), 318, nil, false, 318, Supported},
		{"the same within a percent", mm, same, 263, base(262), false, 100 * (263/262.0 - 1), Supported},
		{"not the same", mm, same, 265, base(262), false, 100 * (265/262.0 - 1), Contradicted},
		{"the margin itself", mm, same, 101, base(100), false, 1, Contradicted},
		{"the same within a kelvin", limit, same, 88.5, base(88), false, 0.5, Supported},
		{"two kelvins", limit, same, 90, base(88), false, 2, Contradicted},
	} {
		c := []ClaimFigures{ExactClaim(x.m, x.h, Known(x.of), x.base, x.percent, DefaultMargin)}
		JudgeClaims(c)
		wantValue(t, x.what, c[0].Estimate, x.estimate, 1e-12)
		if c[0].Verdict != x.want || c[0].PFor.OK || c[0].Low.OK || c[0].Why != "" || !strings.HasPrefix(c[0].PAgainst.Why, "exact") {
			t.Errorf("%s: %+v, want %s", x.what, c[0], x.want)
		}
	}
	c := []ClaimFigures{ExactClaim(mm, near(1, 0), Absent("not measured"), nil, false, DefaultMargin)}
	if JudgeClaims(c); c[0].Verdict != NoData || c[0].Why != "not measured" {
		t.Errorf("%+v", c[0])
	}
}

// A claim on facts is no test, so the others' p are what they are without it.
func TestExactClaimsShareNoError(t *testing.T) {
	fps, _ := MetricByName("mean_fps")
	pairs := []Pair{{"fjord", fpsCell(t, 105, 105.4), fpsCell(t, 100, 100.3)}}
	hope := hopeOf(2, math.Inf(1))
	tested := func() ClaimFigures {
		return Claim(fps, hope, false, pairs, SessionSpread{U: 0.002, DF: math.Inf(1)}, DefaultMargin)
	}
	alone := []ClaimFigures{tested()}
	JudgeClaims(alone)
	together := []ClaimFigures{ExactClaim(fps, hope, Known(1), nil, false, DefaultMargin), tested()}
	JudgeClaims(together)
	if !alone[0].PFor.OK || alone[0].PFor != together[1].PFor || alone[0].SaidLow != together[1].SaidLow {
		t.Errorf("alone %+v, beside a fact %+v", alone[0], together[1])
	}
}

// By hand: 10 % ahead of a base of 600 breaks even at 660, its interval that of the ratio. Passes that do not vary leave the session spread
// of 1 %, of both sides.
func TestBreakEvenClaimByHand(t *testing.T) {
	pairs := []Pair{{"fjord", fpsCell(t, 110, 110), fpsCell(t, 100, 100)}}
	u := SessionSpread{U: math.Log(1.01), DF: math.Inf(1)}
	factor := math.Pow(1.01, math.Sqrt2*1.959963984540054)
	base := Price{Amount: 600}
	for _, x := range []struct {
		h    Hope
		want Judged
	}{
		{hopeOf(630, math.Inf(1)), Supported}, {hopeOf(700, math.Inf(1)), Contradicted}, {hopeOf(655, math.Inf(1)), Open},
		{Hope{Near: 655, Within: 19, IsNear: true}, Fits}, {Hope{Near: 655, Within: 18, IsNear: true}, Open},
	} {
		c := []ClaimFigures{base.BreakEvenClaim(x.h, pairs, u, DefaultMargin)}
		JudgeClaims(c)
		wantValue(t, "amount", c[0].Estimate, 660, 1e-12)
		wantValue(t, "low", c[0].Low, 660/factor, 1e-12)
		wantValue(t, "high", c[0].High, 660*factor, 1e-12)
		wantValue(t, "half", c[0].HalfWidth, 330*(factor-1/factor), 1e-9)
		wantValue(t, "said low", c[0].SaidLow, 660/factor, 1e-12)
		if c[0].Verdict != x.want || c[0].PSign.OK {
			t.Errorf("%+v: %+v, want %s", x.h, c[0], x.want)
		}
	}
	if c := (Price{}).BreakEvenClaim(Hope{}, pairs, u, DefaultMargin); c.Verdict != NoData {
		t.Errorf("%+v", c)
	}
}

// Whatever the price of the base, the verdict is that of the ratio beside the hope as a percentage, where it rests on p alone.
func TestBreakEvenIsAPercentage(t *testing.T) {
	fps, _ := MetricByName("mean_fps")
	rapid.Check(t, func(t *rapid.T) {
		about := rapid.Float64Range(90, 130).Draw(t, "about")
		pairs := []Pair{{"fjord", fpsCell(t, about, about*1.002), fpsCell(t, 100, 100.3)}}
		u := SessionSpread{U: 0.002, DF: math.Inf(1)}
		base := Price{Amount: rapid.Float64Range(10, 5000).Draw(t, "price")}
		percent := rapid.Float64Range(-20, 40).Draw(t, "percent")
		got := []ClaimFigures{base.BreakEvenClaim(hopeOf(base.Amount*(1+percent/100), math.Inf(1)), pairs, u, DefaultMargin)}
		want := []ClaimFigures{Claim(fps, hopeOf(percent, math.Inf(1)), false, pairs, u, DefaultMargin)}
		JudgeClaims(got)
		JudgeClaims(want)
		if got[0].Verdict != want[0].Verdict || !within(got[0].PFor.X, want[0].PFor.X, 1e-6) || got[0].Compared != want[0].Compared {
			t.Fatalf("%+v, as a percentage %+v", got[0], want[0])
		}
	})
}

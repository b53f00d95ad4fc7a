package compute

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func compareFPS(t interface{ Fatalf(string, ...any) }, a, base []float64, u SessionSpread) Comparison {
	m := metric(t, "mean_fps")
	return Compare(m, Cell(m, launchesOf(a...)), Cell(m, launchesOf(base...)), u, DefaultMargin)
}

// Facts of the trade (common practice, no source): one frame more on 157 is +0.6 %; two extra frames on 346 are less than one
// percent; +5 % out of the box and +8 % tuned make a step of 1.08/1.05 − 1 = 2.9 %; +5 % one way is −4.8 % the other.
func TestFactsOfTheTrade(t *testing.T) {
	for _, c := range []struct {
		a, base float64
		want    string
	}{{158, 157, "+0.6"}, {348, 346, "+0.6"}, {108, 105, "+2.9"}, {100, 105, "-4.8"}} {
		r := compareFPS(t, []float64{c.a}, []float64{c.base}, noSessionSpread)
		if got := fmt.Sprintf("%+.1f", r.Percent.X); got != c.want {
			t.Errorf("%g against %g: %s %%, want %s", c.a, c.base, got, c.want)
		}
		if r.Verdict != Single || r.Difference.X != c.a-c.base || r.Low.OK {
			t.Errorf("%g against %g from one launch each: %+v", c.a, c.base, r)
		}
	}
}

func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name    string
		metric  string
		a, base []float64
		want    Verdict
		flags   []Flag
	}{
		{"clearly faster", "mean_fps", []float64{105, 105.1, 104.9}, []float64{100, 100.1, 99.9}, Ahead, nil},
		{"clearly slower", "mean_fps", []float64{100, 100.1, 99.9}, []float64{105, 105.1, 104.9}, Behind, nil},
		{"longer frame times are worse", "frame_ms_p99", []float64{21, 21.1, 20.9}, []float64{20, 20.1, 19.9}, Behind, nil},
		{"resolved, but within the margin", "mean_fps", []float64{100.4, 100.41, 100.39}, []float64{100, 100.01, 99.99}, Level, nil},
		{"too noisy", "mean_fps", []float64{100, 104, 108}, []float64{99, 103, 107}, Unresolved, nil},
		{"nothing varies, 5 % apart", "mean_fps", []float64{105, 105}, []float64{100, 100}, Ahead, []Flag{"identical"}},
		{"nothing varies or differs", "mean_fps", []float64{100, 100}, []float64{100, 100}, Level, []Flag{"identical"}},
		{"two launches against three", "mean_fps", []float64{105, 105.1}, []float64{100, 100.1, 99.9}, Ahead, []Flag{"unbalanced"}},
		{"three against four is balanced enough", "mean_fps", []float64{105, 105.1, 104.9}, []float64{100, 100.1, 99.9, 100}, Ahead, nil},
		{"one launch", "mean_fps", []float64{105}, []float64{100, 100.1, 99.9}, Single, []Flag{"single", "unbalanced"}},
		{"a share, in points", "over_60hz_share", []float64{0.300, 0.301, 0.299}, []float64{0.250, 0.251, 0.249}, Behind, nil},
		{"a share within a point", "over_60hz_share", []float64{0.300, 0.301, 0.299}, []float64{0.302, 0.301, 0.303}, Level, nil},
	} {
		m := metric(t, c.metric)
		r := Compare(m, Cell(m, launchesOf(c.a...)), Cell(m, launchesOf(c.base...)), noSessionSpread, DefaultMargin)
		if r.Verdict != c.want || !slices.Equal(r.Flags, c.flags) {
			t.Errorf("%s: %s %v (%s), want %s %v", c.name, r.Verdict, r.Flags, r.Why, c.want, c.flags)
		}
		if identical := slices.Contains(r.Flags, FlagIdentical); identical && (r.P.OK || r.DF.OK || r.Low != r.Percent || r.High != r.Percent) {
			t.Errorf("%s: interval [%g, %g] about %g, p %+v", c.name, r.Low.X, r.High.X, r.Percent.X, r.P)
		}
	}
}

func TestNoVerdict(t *testing.T) {
	m := metric(t, "low01_quantile_fps")
	thin := launchesOf(50, 51, 52)
	thin[1].Thin = true
	r := Compare(m, Cell(m, thin), Cell(m, launchesOf(30, 31, 32)), noSessionSpread, DefaultMargin)
	if r.Verdict != "" || r.Why != "a low rests on fewer than 5 frames" || !slices.Equal(r.Flags, []Flag{"thin"}) || !r.Low.OK {
		t.Errorf("thin: %+v", r)
	}
	sd := metric(t, "frame_ms_sd")
	r = Compare(sd, Cell(sd, launchesOf(1, 2)), Cell(sd, launchesOf(0, 2)), noSessionSpread, DefaultMargin)
	if r.Verdict != "" || r.Percent.OK || r.Why != "the other side: frame_ms_sd is 0 in a pass; a ratio needs values above 0" {
		t.Errorf("no centre: %+v", r)
	}
	r = Compare(m, Cell(m, launchesOf(50, 51)), Cell(m, nil), noSessionSpread, DefaultMargin)
	if r.Verdict != "" || r.Why != "the other side: no pass" || r.N != 2 || r.BaseN != 0 {
		t.Errorf("no base: %+v", r)
	}
	single := []Sample{{Value: Known(50), Launch: "1"}, {Value: Known(51), Launch: "1"}, {Value: Known(52), Launch: "1"}}
	r = Compare(m, Cell(m, launchesOf(50, 51)), Cell(m, single), noSessionSpread, DefaultMargin)
	if r.Why != "the other side has three passes of one launch: run them in launches of their own" || r.P.Why != r.Why {
		t.Errorf("single: %+v", r)
	}
}

// The session spread counts twice in SE², once for each side's session. With nothing else varying, SE = u·√2 with u = ln 1.002,
// and the interval is normal: 1.959963984540054 standard errors (standard table).
func TestSessionSpread(t *testing.T) {
	m := metric(t, "mean_fps")
	u := PlanSessionSpread(m, 0.2, 0.2)
	if u.U != math.Log1p(0.002) || !math.IsInf(u.DF, 1) || u.Source != "plan" || !agree(u.Shown(m), 0.2, 1e-12) {
		t.Errorf("%+v", u)
	}
	share := metric(t, "over_60hz_share")
	if s := PlanSessionSpread(share, 0.2, 0.2); s.U != 0.002 || s.Shown(share) != 0.002 {
		t.Errorf("of a share: %+v", s)
	}
	r := compareFPS(t, []float64{101, 101}, []float64{100, 100}, u)
	d, se := math.Log(1.01), math.Sqrt2*math.Log(1.002)
	wantValue(t, "low", r.Low, 100*(math.Exp(d-1.959963984540054*se)-1), 1e-9)
	wantValue(t, "high", r.High, 100*(math.Exp(d+1.959963984540054*se)-1), 1e-9)
	wantValue(t, "p", r.P, math.Erfc(d/se/math.Sqrt2), 1e-9)
	if r.DF.OK || r.Verdict != Ahead || r.SessionSpread != u {
		t.Errorf("%+v", r)
	}
	// Three equal terms with 2, 2 and 3 degrees of freedom: ν = 3²/(1/2 + 1/2 + 1/3) = 6.75.
	v := 0.003
	side := CellStat{Launches: 3, PerSession: 1, Variance: Known(3 * v), ShownVariance: Known(3 * v), DF: Known(2)}
	e := errorOf(side, side, SessionSpread{U: math.Sqrt(v / 2), DF: 3})
	wantValue(t, "squared se", Known(e.v), 3*v, 1e-14)
	wantValue(t, "df", Known(e.df), 6.75, 1e-13)
}

func TestSessionSpreadBetween(t *testing.T) {
	u := SessionSpread{U: 0.002, DF: math.Inf(1), Source: "plan"}
	a, b := CellStat{Session: "monday"}, CellStat{Session: "tuesday"}
	for _, c := range []struct {
		a, base CellStat
		want    float64
		source  string
	}{{a, a, 0, "one session"}, {a, b, 0.002, "plan"}, {a, CellStat{}, 0.002, "plan"}, {CellStat{}, CellStat{}, 0.002, "plan"}} {
		if got := u.Between(c.a, c.base); got.U != c.want || got.Source != c.source {
			t.Errorf("%q and %q: %+v", c.a.Session, c.base.Session, got)
		}
	}
}

var fps = rapid.SliceOfN(rapid.Float64Range(20, 500), 1, 5)

// A faster game on both cards changes no ratio; and each side sees the other as the mirror image of itself.
func TestRatiosAreRelative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := fps.Draw(t, "a"), fps.Draw(t, "base")
		k := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		u := PlanSessionSpread(metric(t, "mean_fps"), 0.2, 0)
		times := func(xs []float64) []float64 {
			out := slices.Clone(xs)
			for i := range out {
				out[i] *= k
			}
			return out
		}
		r, s := compareFPS(t, a, b, u), compareFPS(t, times(a), times(b), u)
		for _, v := range [][2]Value{{r.Ratio, s.Ratio}, {r.Low, s.Low}, {r.High, s.High}, {r.P, s.P}, {r.DF, s.DF}} {
			if v[0].OK != v[1].OK || math.Abs(v[0].X-v[1].X) > 1e-7*(1+math.Abs(v[0].X)) {
				t.Fatalf("%+v and, times %g, %+v", r, k, s)
			}
		}
		back := compareFPS(t, b, a, u)
		// A percentage near −100 has lost digits, and the large one it is multiplied with shows them.
		lost := 1e-9 + 1e-15*(1+back.High.X/100)
		if !agree(r.Ratio.X*back.Ratio.X, 1, 1e-12) || r.Low.OK && !agree((1+r.Low.X/100)*(1+back.High.X/100), 1, lost) {
			t.Fatalf("there %+v, back %+v", r, back)
		}
		mirror := map[Verdict]Verdict{Ahead: Behind, Behind: Ahead, Level: Level, Unresolved: Unresolved, Single: Single}
		if back.Verdict != mirror[r.Verdict] {
			t.Fatalf("there %s, back %s", r.Verdict, back.Verdict)
		}
	})
}

// Three looks split 5 % into 1.667 % each (Bonferroni): p is three times what it was, and the interval wider by the ratio of
// Student's quantiles, which are gonum's.
func TestLooksSplitTheError(t *testing.T) {
	m := metric(t, "mean_fps")
	a, b := Cell(m, launchesOf(104, 105, 106)), Cell(m, launchesOf(100, 101, 102))
	u := SessionSpread{DF: math.Inf(1)}
	one := Compare(m, a, b, u, DefaultMargin)
	b.Looks = 3
	three := Compare(m, a, b, u, DefaultMargin)
	if three.Looks != 3 || !slices.Contains(three.Flags, FlagLooks) || slices.Contains(one.Flags, FlagLooks) {
		t.Errorf("looks: %d %v, without: %v", three.Looks, three.Flags, one.Flags)
	}
	if got := three.P.X / one.P.X; math.Abs(got-3) > 1e-9 {
		t.Errorf("p grew by %g, want 3", got)
	}
	width := func(r Comparison) float64 { return math.Log1p(r.High.X/100) - math.Log1p(r.Low.X/100) }
	student := distuv.StudentsT{Sigma: 1, Nu: one.DF.X}
	want := student.Quantile(1-0.05/6) / student.Quantile(0.975)
	if got := width(three) / width(one); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("the interval grew by %.6f, want %.6f", got, want)
	}
}

package compute

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func repeat(ns int64, n int) []int64 {
	x := make([]int64, n)
	for i := range x {
		x[i] = ns
	}
	return x
}

func figure(x []int64) *Pass { return Figure(x, 0, PassOptions{}, nil) }

func TestKeep(t *testing.T) {
	x := []int64{10, 10, 10, 10, 10}
	for _, c := range []struct {
		name   string
		w      Window
		lo, hi int
	}{
		{"all", Window{All: true}, 0, 5},
		{"no warm-up", Window{LengthNS: 50}, 0, 5},
		{"start exactly at the warm-up is kept", Window{WarmupNS: 10, LengthNS: 40}, 1, 5},
		{"start before the warm-up is cut", Window{WarmupNS: 11, LengthNS: 39}, 2, 5},
		{"end exactly at the end is kept", Window{LengthNS: 30}, 0, 3},
		{"end after the end is cut", Window{LengthNS: 29}, 0, 2},
		{"capture too short", Window{WarmupNS: 10, LengthNS: 41}, 1, 5},
		{"all is warm-up", Window{WarmupNS: 100, LengthNS: 10}, 5, 5},
		{"no room", Window{WarmupNS: 10, LengthNS: 5}, 1, 1},
	} {
		lo, hi := Keep(x, c.w)
		if lo != c.lo || hi != c.hi {
			t.Errorf("%s: kept [%d:%d], want [%d:%d]", c.name, lo, hi, c.lo, c.hi)
		}
	}
}

// A pass worked out by hand: 198 frames of 10 ms, one of 20 ms, one of 50 ms; n = 200, T = 2050 ms.
func TestPassByHand(t *testing.T) {
	x := append(repeat(10*ms, 198), 20*ms, 50*ms)
	p := figure(x)
	for _, c := range []struct {
		what string
		got  Value
		want float64
	}{
		{"mean fps", p.MeanFPS, 1000 * 200 / 2050.0},
		{"mean ms", valueOf(t, p, "frame_ms_mean"), 10.25},
		// Type 7 at 0.99: place 1 + 199·0.99 = 198.01, so 10 + 0.01·(20 − 10).
		{"p99", valueOf(t, p, "frame_ms_p99"), 10.1},
		{"max", valueOf(t, p, "frame_ms_max"), 50},
		{"1 % quantile", p.Low1[LowQuantile].Value, 1000 / 10.1},
		{"1 % tail mean, m = 2", p.Low1[LowTailMean].Value, 1000 / 35.0},
		// 1 % of the time is 20.5 ms, which the slowest frame fills alone.
		{"1 % time share", p.Low1[LowTimeShare].Value, 20},
		{"0.1 % tail mean, m = 1", p.Low01[LowTailMean].Value, 20},
		// Squares about 10.25: 198·0.25² + 9.75² + 39.75².
		{"sd", valueOf(t, p, "frame_ms_sd"), math.Sqrt((198*0.0625 + 9.75*9.75 + 39.75*39.75) / 199)},
		{"rmssd", valueOf(t, p, "rmssd_ms"), math.Sqrt((100 + 900) / 199.0)},
		{"over 60 Hz", valueOf(t, p, "over_60hz_share"), 70.0 / 2050},
		{"over 120 Hz", valueOf(t, p, "over_120hz_share"), 1},
		// The median is 10 ms, so above 20 ms is a hitch and 20 ms is none.
		{"hitch frames", valueOf(t, p, "hitch_frames"), 1},
		{"hitch events", valueOf(t, p, "hitch_events"), 1},
		{"hitch time", valueOf(t, p, "hitch_time_share"), 40.0 / 2050},
	} {
		wantValue(t, c.what, c.got, c.want, 1e-13)
	}
	if p.Low1[LowTailMean].Frames != 2 || p.Low1[LowTimeShare].Frames != 1 || p.Low01[LowQuantile].Frames != 1 || !p.Low1[LowTailMean].Thin() {
		t.Errorf("frames the lows rest on: %+v %+v", p.Low1, p.Low01)
	}
}

// m = ⌈0.01·n⌉ and ⌈0.001·n⌉ are exact, where 0.01·n in float64 rounds up for n = 700 and others.
func TestLowsRestOnWholeFrames(t *testing.T) {
	for n, m := range map[int][2]int{1: {1, 1}, 100: {1, 1}, 101: {2, 1}, 400: {4, 1}, 401: {5, 1}, 700: {7, 1}, 1000: {10, 1}, 1001: {11, 2}, 4000: {40, 4}, 4001: {41, 5}} {
		p := figure(repeat(ms, n))
		if p.Low1[LowTailMean].Frames != m[0] || p.Low01[LowTailMean].Frames != m[1] {
			t.Errorf("n = %d: %d and %d, want %v", n, p.Low1[LowTailMean].Frames, p.Low01[LowTailMean].Frames, m)
		}
		if got, want := p.Low01[LowQuantile].Thin(), m[1] < 5; got != want {
			t.Errorf("n = %d: thin %v", n, got)
		}
	}
}

// The running sum counts from exactly 1 % on: 100 equal frames reach it with the first, and so do 101 with the second.
func TestTimeShareReachesExactly(t *testing.T) {
	for n, want := range map[int]int{100: 1, 101: 2, 300: 3, 301: 4} {
		if got := figure(repeat(16_666_667, n)).Low1[LowTimeShare].Frames; got != want {
			t.Errorf("n = %d: %d frames, want %d", n, got, want)
		}
	}
}

// Refresh intervals (arithmetic, 1000/f): a frame of 1.05 intervals is within the limit, one ns more is over it.
func TestOverLimit(t *testing.T) {
	for _, row := range referenceRows(t, "refresh_intervals.csv") {
		hz, interval := parse(t, row[0]), parse(t, row[1])
		limit := int64(math.Floor(interval*1.05e6 + 1e-3)) // the table has 9 decimals of a ms
		x := []int64{limit, limit + 1, limit + 1}
		got := valueOf(t, Figure(x, 0, PassOptions{DisplayHz: hz}, nil), "over_display_share")
		wantValue(t, row[0]+" Hz", got, float64(2*(limit+1))/float64(3*limit+2), 1e-13)
	}
	if v := valueOf(t, figure([]int64{ms}), "over_display_share"); v.OK || v.Why == "" {
		t.Errorf("without a display: %+v", v)
	}
}

// values returns every figure of a pass by name, and its rates.
func values(p *Pass) map[string]Value {
	all := map[string]Value{}
	for _, m := range Metrics() {
		all[m.Name] = m.Of(p)
	}
	for i, r := range p.Profile {
		all["profile "+strconv.Itoa(i)] = Value{X: r, OK: true}
	}
	for i, r := range p.SecondRates {
		all["second "+strconv.Itoa(i)] = Value{X: r, OK: true}
	}
	all["cap rate"], all["cap share"] = Value{X: p.Cap.Rate, OK: true}, Value{X: p.Cap.Share, OK: true}
	return all
}

// sound fails on any figure that is not finite, or absent without a reason, or present with one.
func sound(t interface{ Errorf(string, ...any) }, what string, p *Pass) {
	for name, v := range values(p) {
		if math.IsNaN(v.X) || math.IsInf(v.X, 0) || v.OK == (v.Why != "") || !v.OK && v.X != 0 {
			t.Errorf("%s: %s is %+v", what, name, v)
		}
	}
}

func TestEdgesOfAPass(t *testing.T) {
	for name, x := range map[string][]int64{
		"none":               nil,
		"one":                {16 * ms},
		"one of zero":        {0},
		"two":                {16 * ms, 17 * ms},
		"three":              {16 * ms, 17 * ms, 18 * ms},
		"all zero":           {0, 0, 0},
		"mostly zero":        append(repeat(0, 500), 5000*ms),
		"zeros between":      {0, 1, 0, 1, 0, 3_000_000_000},
		"constant":           repeat(16_666_667, 3600),
		"1 ns":               repeat(1, 1000),
		"0.05 ms":            repeat(50_000, 60_000),
		"30 s":               repeat(30_000*ms, 40),
		"one 5-s hitch":      append(repeat(4*ms, 15_000), 5000*ms),
		"from 0.05 ms to 30": {50_000, 30_000 * ms, 50_000, 30_000 * ms},
		"negative":           {16 * ms, -1},
		"too long":           {1 << 41},
		"over a day":         repeat(900_000*ms, 100),
	} {
		sound(t, name, figure(x))
	}
	if p := figure(nil); p.Why != "no frames" || p.MeanFPS.Why != "no frames" {
		t.Errorf("no frames: %q, %+v", p.Why, p.MeanFPS)
	}
	one := figure([]int64{16 * ms})
	if valueOf(t, one, "frame_ms_sd").Why != "fewer than 2 frames" || valueOf(t, one, "rmssd_ms").OK || valueOf(t, one, "lag1").OK || !one.MeanFPS.OK {
		t.Errorf("one frame: %+v", one)
	}
	if p := figure(repeat(16*ms, 9)); valueOf(t, p, "lag1").OK || valueOf(t, p, "frame_ms_sd").X != 0 || !valueOf(t, p, "frame_ms_sd").OK {
		t.Errorf("constant: lag1 %+v, sd %+v", valueOf(t, p, "lag1"), valueOf(t, p, "frame_ms_sd"))
	}
	if p := figure(repeat(900_000*ms, 100)); p.SecondRates != nil || p.Cap.Why == "" {
		t.Errorf("a day and more: %d seconds, %q", len(p.SecondRates), p.Cap.Why)
	}
}

// 5 s is beyond what the sort's key holds above the shortest frame; 20 of them must still come in order.
func TestSortBeyondTheKey(t *testing.T) {
	var s Scratch
	for _, n := range []int{30, 3000} {
		x := make([]int64, n)
		for i := range x {
			x[i] = int64(i*7919%n) * 2_500_000_000 % 30_000_000_000
		}
		got := slices.Clone(s.sortFrames(x))
		if want := slices.Sorted(slices.Values(x)); !slices.Equal(got, want) {
			t.Errorf("n = %d: not in order", n)
		}
		for i, w := range s.packed {
			if x[uint32(w)] != got[i] {
				t.Fatalf("n = %d: place %d belongs to another frame", n, i)
			}
		}
	}
}

func TestSortAgreesWithTheLibrary(t *testing.T) {
	var s Scratch
	rapid.Check(t, func(t *rapid.T) {
		top := rapid.SampledFrom([]int64{0, 1, 2047, 2048, 1 << 22, 1<<32 - 1, 1 << 32, 1 << 40}).Draw(t, "top")
		x := rapid.SliceOfN(rapid.Int64Range(0, top), 0, 600).Draw(t, "frames")
		if got, want := s.sortFrames(x), slices.Sorted(slices.Values(x)); !slices.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}

var frames = rapid.SliceOfN(rapid.Int64Range(50_000, 200*ms), 2, 500)

func TestOrderFreeFigures(t *testing.T) {
	ordered := []string{"rmssd_ms", "lag1", "hitch_frames", "hitch_events", "hitch_time_share"}
	rapid.Check(t, func(t *rapid.T) {
		x := frames.Draw(t, "frames")
		y := rapid.Permutation(x).Draw(t, "permuted")
		p, q := figure(x), figure(y)
		for _, m := range Metrics() {
			if a, b := m.Of(p), m.Of(q); a != b && !slices.Contains(ordered, m.Name) {
				t.Fatalf("%s: %+v and %+v", m.Name, a, b)
			}
		}
	})
}

func TestScaledFrames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := frames.Draw(t, "frames")
		k := rapid.Int64Range(2, 50).Draw(t, "factor")
		y := slices.Clone(x)
		for i := range y {
			y[i] *= k
		}
		p, q := figure(x), figure(y)
		for _, m := range Metrics() {
			a, b := m.Of(p), m.Of(q)
			want := a.X
			switch m.Unit {
			case "ms":
				want *= float64(k)
			case "fps":
				want /= float64(k)
			case "1":
			default:
				continue // limits and hitches are in absolute time
			}
			if a.OK != b.OK || math.Abs(b.X-want) > 1e-12*math.Abs(want)+1e-13 {
				t.Fatalf("%s: %+v scaled by %d is %+v", m.Name, a, k, b)
			}
		}
		for i := range p.Profile {
			if !agree(q.Profile[i]*float64(k), p.Profile[i], 1e-11) {
				t.Fatalf("profile %d: %g and %g", i, p.Profile[i], q.Profile[i])
			}
		}
	})
}

func TestQuantilesRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := slices.Sorted(slices.Values(rapid.SliceOfN(rapid.Int64Range(0, 1<<40), 1, 60).Draw(t, "values")))
		kind := rapid.IntRange(1, 9).Draw(t, "type")
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		q := rapid.Float64Range(p, 1).Draw(t, "q")
		a, b := Quantile(x, p, kind), Quantile(x, q, kind)
		if !a.OK || !b.OK || a.X > b.X || a.X < float64(x[0]) || b.X > float64(x[len(x)-1]) {
			t.Fatalf("Q(%g) = %g, Q(%g) = %g of %v", p, a.X, q, b.X, x)
		}
	})
}

// What must hold between the lows: none is below the rate of the longest frame; the tail mean of the m slowest is at most the
// rate of the fastest of them; 0.1 % is never above 1 %; and as the slowest 1 % of frames take at least 1 % of the time, the time
// share is reached within them, at a rate no higher than that of the fastest of them.
func TestOrderOfTheLows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := frames.Draw(t, "frames")
		p := figure(x)
		sorted := slices.Sorted(slices.Values(x))
		m := p.Low1[LowTailMean].Frames
		edge := 1e9 / float64(sorted[len(x)-m]) * (1 + 1e-14)
		worst := 1000 / valueOf(t, p, "frame_ms_max").X * (1 - 1e-14)
		for k := range lowKinds {
			one, tenth := p.Low1[k], p.Low01[k]
			if tenth.X > one.X*(1+1e-14) || tenth.X < worst {
				t.Fatalf("%s: 1 %% %g, 0.1 %% %g, longest frame %g", k, one.X, tenth.X, worst)
			}
			if k != LowQuantile && one.X > edge {
				t.Fatalf("%s: %g above %g", k, one.X, edge)
			}
		}
		if p.Low1[LowTimeShare].Frames > m {
			t.Fatalf("the time share rests on %d frames, the tail on %d", p.Low1[LowTimeShare].Frames, m)
		}
	})
}

// The blocks of a profile hold all frames; a constant pass has one rate in all of them.
func TestProfile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := frames.Draw(t, "frames")
		p := figure(x)
		var sum float64
		for _, r := range p.Profile {
			sum += r * float64(p.DurationNS) / 10 / 1e9
		}
		if !agree(sum, float64(len(x)), 1e-12) {
			t.Fatalf("blocks hold %g of %d frames", sum, len(x))
		}
	})
	// By hand: 3 frames of 10 ms, then 1 of 70 ms: T = 100 ms, ten blocks of 10 ms, 1 frame each in three and 1/7 in seven.
	p := figure([]int64{10 * ms, 10 * ms, 10 * ms, 70 * ms})
	for i, r := range p.Profile {
		want := 100.0
		if i >= 3 {
			want = 100.0 / 7
		}
		if !agree(r, want, 1e-14) {
			t.Errorf("block %d: %g, want %g", i, r, want)
		}
	}
	// 1.5 s at 50 fps and 1.4 s at 25 fps: seconds of 50, (25 + 12.5) and no third whole one.
	p = figure(append(repeat(20*ms, 75), repeat(40*ms, 35)...))
	if want := []float64{50, 37.5}; !reflect.DeepEqual(p.SecondRates, want) {
		t.Errorf("seconds %v, want %v", p.SecondRates, want)
	}
}

// One Scratch carries nothing from pass to pass.
func TestScratchForgets(t *testing.T) {
	var s Scratch
	for i := range 6 {
		x := synthetic(60+50*float64(i%3), float64(1+i%4*3), uint64(i))
		if got, want := Figure(x, 5, PassOptions{}, &s), Figure(x, 5, PassOptions{}, nil); !reflect.DeepEqual(got, want) {
			t.Errorf("pass %d differs with a used Scratch", i)
		}
	}
}

func TestFigureAllocatesOnlyItsResult(t *testing.T) {
	x := synthetic(144, 60, 3)
	var s Scratch
	Figure(x, 0, PassOptions{}, &s)
	// The Pass, its figures and the rates of its seconds.
	if n := testing.AllocsPerRun(5, func() { Figure(x, 0, PassOptions{DisplayHz: 144}, &s) }); n > 3 {
		t.Errorf("%g allocations", n)
	}
}

// Ten million frames of up to 30 s in sum and square.
func TestTenMillionFrames(t *testing.T) {
	if testing.Short() {
		t.Skip("a second and 400 MB")
	}
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]int64, 10_000_000)
	var total int64
	for i := range x {
		x[i] = 50_000 + r.Int64N(30_000*ms)
		total += x[i]
	}
	p := figure(x)
	sound(t, "10⁷ frames", p)
	if p.DurationNS != total {
		t.Errorf("lasts %d, want %d", p.DurationNS, total)
	}
	// Uniform over 30 s: sd = 30/√12 s; its relative standard error √((1.8 − 1)/(4·10⁷)) = 1.4·10⁻⁴ is a seventh of the tolerance.
	wantValue(t, "sd", valueOf(t, p, "frame_ms_sd"), 30_000/math.Sqrt(12), 1e-3)
}

package series

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
)

// seconds is a series of values at times in s.
func seconds(t testing.TB, at, values []float64) *Series {
	t.Helper()
	timesNS := make([]int64, len(at))
	for i, s := range at {
		timesNS[i] = int64(math.Round(s * 1e9))
	}
	s, err := New(timesNS, values)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func span(from, to float64) Span {
	return Span{int64(math.Round(from * 1e9)), int64(math.Round(to * 1e9))}
}

// reporter is a test, or one case of a property.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

func wantNear(t reporter, what string, got compute.Value, want, tolerance float64) {
	t.Helper()
	if !got.OK || math.Abs(got.X-want) > tolerance {
		t.Errorf("%s: %+v, want %v", what, got, want)
	}
}

func wantAbsent(t reporter, what string, got compute.Value, why string) {
	t.Helper()
	if got.OK || got.X != 0 || got.Why == "" || !strings.Contains(got.Why, why) {
		t.Errorf("%s: %+v, want absent: %s", what, got, why)
	}
}

func TestNewRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		times  []int64
		values []float64
		want   string
	}{
		{"lengths", []int64{0, 1}, []float64{1}, "2 times for 1 values"},
		{"none", nil, nil, "no samples"},
		{"backwards", []int64{0, 2e9, 1e9}, []float64{1, 1, 1}, "time runs back from 2 s to 1 s at sample 3"},
		{"nan", []int64{0, 1}, []float64{1, math.NaN()}, "sample 2 is NaN"},
		{"inf", []int64{0}, []float64{math.Inf(-1)}, "sample 1 is -Inf"},
		{"an epoch in ns", []int64{1.7e18}, []float64{1}, "more than a year"},
		{"before the start", []int64{math.MinInt64}, []float64{1}, "more than a year"},
		{"whole seconds at 10 Hz", []int64{0, 0, 0, 1e9, 1e9, 1e9}, make([]float64, 6), "log the time with more digits"},
	} {
		if s, err := New(c.times, c.values); err == nil || s != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Worked by hand: 0→2 in a second, 2 for two more, down to 0 in one. Areas 1, 4, 1.
func TestMeanByHand(t *testing.T) {
	s := seconds(t, []float64{0, 1, 3, 4}, []float64{0, 2, 2, 0})
	for _, c := range []struct{ from, to, want float64 }{
		{0, 4, 6.0 / 4}, {0, 1, 1}, {0, 0.5, 0.5}, {1, 3, 2}, {0.5, 1.5, (0.75 + 1) / 1}, {3.5, 4, 0.5}, {3.25, 3.75, 1}, {-7, 9, 1.5},
	} {
		wantNear(t, "mean", s.Mean(span(c.from, c.to)), c.want, 1e-15)
	}
	wantNear(t, "coverage", s.Coverage(span(-1, 9)), 0.4, 1e-15)
	wantNear(t, "integral", s.Integral(span(0, 4)), 6, 1e-14)
	wantAbsent(t, "integral over what is not there", s.Integral(span(0, 5)), "covers 80.0 % of the time, and 95 % is needed")
	wantAbsent(t, "mean before", s.Mean(span(-2, -1)), "no samples")
	wantAbsent(t, "mean after", s.Mean(span(5, 6)), "no samples")
	wantAbsent(t, "mean of nothing", s.Mean(span(2, 2)), "no length")
	wantAbsent(t, "coverage of nothing", s.Coverage(span(2, 1)), "no length")
	wantNear(t, "value between", s.At(5e8), 1, 1e-15)
	wantAbsent(t, "value beyond", s.At(5e9), "does not reach")
}

// 95 % is enough, one ns less is not.
func TestIntegralAtItsLimit(t *testing.T) {
	s := seconds(t, []float64{0, 1}, []float64{100, 100})
	w := Span{-5e7, 95e7} // 0.05 s missing of 1 s
	wantNear(t, "at 95 %", s.Integral(w), 100, 1e-12)
	w.FromNS, w.ToNS = w.FromNS-1, w.ToNS-1
	wantAbsent(t, "below", s.Integral(w), "95.0 %")
}

// An interval of ten times the median is bridged, one of a ns more is not and is told.
func TestGaps(t *testing.T) {
	at := []int64{0, 10, 20, 120, 130, 140, 241, 251}
	s, err := New(at, []float64{1, 1, 1, 1, 1, 1, 9, 9})
	if err != nil {
		t.Fatal(err)
	}
	w := s.Whole()
	if got := s.Gaps(w); !slices.Equal(got, []Span{{140, 241}}) {
		t.Errorf("gaps %v", got)
	}
	wantNear(t, "coverage", s.Coverage(w), 150.0/251, 1e-15)
	wantNear(t, "mean", s.Mean(w), (140+9.0*10)/150, 1e-15)
	wantAbsent(t, "mean within the gap", s.Mean(Span{150, 240}), "gap")
	wantAbsent(t, "value within the gap", s.At(200), "gap")
	wantNear(t, "value at its edge", s.At(241), 9, 0)
	if got := s.Gaps(Span{-101, 352}); !slices.Equal(got, []Span{{-101, 0}, {140, 241}, {251, 352}}) {
		t.Errorf("gaps with what is missing at the ends %v", got)
	}
	if got := s.Gaps(Span{-100, 351}); !slices.Equal(got, []Span{{140, 241}}) {
		t.Errorf("ends as long as what is bridged %v", got)
	}
	if got := s.Gaps(Span{200, 210}); !slices.Equal(got, []Span{{200, 210}}) {
		t.Errorf("a span within a gap %v", got)
	}
	if got := s.Gaps(Span{300, 900}); !slices.Equal(got, []Span{{300, 900}}) {
		t.Errorf("a span after the log %v", got)
	}
	// 8 samples, none of the two means in the gap: [120−20, 120] lies in the bridged 100.
	if got := s.MovingPeak(w, 20); !got.OK || got.X != 1 {
		t.Errorf("moving peak %+v: the only mean with 9 in it would cross the gap", got)
	}
	if got := s.Quantile(w, 1); got != compute.Known(9) {
		t.Errorf("highest %v", got)
	}
}

func TestZeroSeries(t *testing.T) {
	var s Series
	w := Span{0, 10}
	for name, v := range map[string]compute.Value{"mean": s.Mean(w), "quantile": s.Quantile(w, 0.5), "peak": s.Peak(w).Value, "moving": s.MovingPeak(w, 1).Value,
		"integral": s.Integral(w), "at": s.At(0)} {
		wantAbsent(t, name, v, "")
	}
	if got := s.Coverage(w); got != compute.Known(0) {
		t.Errorf("coverage %v", got)
	}
	if got := s.Gaps(w); !slices.Equal(got, []Span{w}) || s.Whole() != (Span{}) || s.IntervalNS() != 0 {
		t.Errorf("gaps %v", got)
	}
}

func TestLoad(t *testing.T) {
	log := seconds(t, []float64{2, 3, 4}, []float64{1, 1, 1})
	if got := Load(span(15, 315), 10e9, log); got != span(15, 315) {
		t.Errorf("with frames %v", got)
	}
	if got := Load(Span{}, 10e9, log); got != span(2, 12) {
		t.Errorf("without %v", got)
	}
}

func TestBlocks(t *testing.T) {
	got := Span{5, 28}.Blocks(10) // 23 ns: edges at 5 + ⌊2.3 k⌋
	if got[0] != (Span{5, 7}) || got[3] != (Span{11, 14}) || got[9] != (Span{25, 28}) {
		t.Errorf("%v", got)
	}
	if got := (Span{0, 100}).Last(30); got != (Span{70, 100}) {
		t.Errorf("%v", got)
	}
	if got := (Span{0, 100}).Last(300); got != (Span{0, 100}) {
		t.Errorf("%v", got)
	}
}

// irregular is a log as loggers leave it: uneven intervals, repeated times, gaps.
func irregular(t *rapid.T) (timesNS []int64, values []float64, s *Series) {
	n := rapid.IntRange(2, 40).Draw(t, "samples")
	at := rapid.Int64Range(-50, 50).Draw(t, "start")
	for range n {
		timesNS, values = append(timesNS, at), append(values, float64(rapid.IntRange(-8, 8).Draw(t, "value"))*1.375)
		at += int64(rapid.SampledFrom([]int{1, 2, 3, 3, 4, 4, 5, 0, 60, 200}).Draw(t, "interval"))
	}
	s, err := New(timesNS, values)
	if err != nil {
		t.Skip("more than half of the times are repeated")
	}
	return timesNS, values, s
}

func within(t *rapid.T, s *Series) Span {
	whole := s.Whole()
	from := rapid.Int64Range(whole.FromNS-9, whole.ToNS+9).Draw(t, "from")
	return Span{from, from + rapid.Int64Range(1, 120).Draw(t, "long")}
}

// Over a log without gaps the mean is what gonum's trapezoids make of it; over any window, of its samples and its interpolated edges.
// Gaps are left out of both the area and the time.
func TestMeanIsTrapezoids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timesNS, values, s := irregular(t)
		w := within(t, s)
		var area, long float64
		for i := range len(timesNS) - 1 {
			from, to := max(timesNS[i], w.FromNS), min(timesNS[i+1], w.ToNS)
			if to <= from || timesNS[i+1]-timesNS[i] > s.gapNS {
				continue
			}
			line := func(at int64) float64 {
				return values[i] + (values[i+1]-values[i])*float64(at-timesNS[i])/float64(timesNS[i+1]-timesNS[i])
			}
			area += integrate.Trapezoidal([]float64{float64(from), float64(to)}, []float64{line(from), line(to)})
			long += float64(to - from)
		}
		got := s.Mean(w)
		if long == 0 {
			wantAbsent(t, "mean", got, "no samples")
		} else {
			wantNear(t, "mean", got, area/long, 1e-12)
			if got.X < slices.Min(values)-1e-12 || got.X > slices.Max(values)+1e-12 {
				t.Fatalf("mean %v outside of the values", got.X)
			}
		}
		wantNear(t, "coverage", s.Coverage(w), long/float64(w.ToNS-w.FromNS), 1e-15)
		missed := 0.0
		for _, g := range s.Gaps(w) {
			missed += float64(g.ToNS - g.FromNS)
		}
		// What is neither bridged nor told is at most the ends, shorter than a gap each.
		if rest := float64(w.ToNS-w.FromNS) - long - missed; rest < 0 || rest > 2*float64(s.gapNS) {
			t.Fatalf("%v ns are neither bridged nor told", rest)
		}
	})
}

// Splitting a window changes nothing, nor does counting time from elsewhere; values scaled and shifted give means scaled and shifted.
func TestMeanProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timesNS, values, s := irregular(t)
		w := within(t, s)
		cut := rapid.Int64Range(w.FromNS, w.ToNS).Draw(t, "cut")
		var area, long float64
		for _, part := range []Span{{w.FromNS, cut}, {cut, w.ToNS}} {
			if m := s.Mean(part); m.OK {
				bridged := s.Coverage(part).X * float64(part.ToNS-part.FromNS)
				area, long = area+m.X*bridged, long+bridged
			}
		}
		if m := s.Mean(w); m.OK {
			wantNear(t, "parts", m, area/long, 1e-11)
		}
		later, scaled := make([]int64, len(timesNS)), make([]float64, len(values))
		for i := range timesNS {
			later[i], scaled[i] = timesNS[i]+1e15, 3*values[i]-1000
		}
		moved, err := New(later, scaled)
		if err != nil {
			t.Fatal(err)
		}
		far := Span{w.FromNS + 1e15, w.ToNS + 1e15}
		if a, b := s.Mean(w), moved.Mean(far); a.OK != b.OK || math.Abs(3*a.X-1000-b.X) > 1e-10 && a.OK {
			t.Fatalf("%v %v", a, b)
		}
		if a, b := s.Quantile(w, 0.5), moved.Quantile(far, 0.5); a.OK != b.OK || a.OK && 3*a.X-1000 != b.X {
			t.Fatalf("%v %v", a, b)
		}
	})
}

// A quantile weighted by whole numbers is the one of a list that holds each value so many times: by type 1 of Hyndman and Fan, the
// inverse of the distribution function, which is held against R elsewhere.
func TestQuantileIsOfHeldTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timesNS, values, s := irregular(t)
		w := within(t, s)
		p := rapid.SampledFrom([]float64{0, 0.05, 0.25, 0.5, 0.75, 0.9, 0.95, 1}).Draw(t, "p")
		var list []float64
		for half := 2 * w.FromNS; half < 2*w.ToNS; half++ { // the half ns from here on
			for i := range len(timesNS) - 1 {
				if 2*timesNS[i] <= half && half < 2*timesNS[i+1] && timesNS[i+1]-timesNS[i] <= s.gapNS {
					nearest := values[i]
					if half >= timesNS[i]+timesNS[i+1] {
						nearest = values[i+1]
					}
					list = append(list, nearest)
				}
			}
		}
		slices.Sort(list)
		want := compute.Quantile(list, p, 1)
		if got := s.Quantile(w, p); got.OK != want.OK || got.X != want.X {
			t.Fatalf("%+v, want %+v of %d half ns", got, want, len(list))
		}
	})
}

func TestMovingPeakIsTheHighestMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		timesNS, _, s := irregular(t)
		w := within(t, s)
		width := rapid.Int64Range(1, 40).Draw(t, "width")
		best := math.Inf(-1)
		for _, at := range timesNS {
			window := Span{at - width, at}
			if window.FromNS >= w.FromNS && at <= w.ToNS && s.Coverage(window) == compute.Known(1) {
				best = max(best, s.Mean(window).X)
			}
		}
		got := s.MovingPeak(w, width)
		if got.OK != !math.IsInf(best, -1) || got.OK && (got.X != best || s.Mean(Span{got.AtNS - width, got.AtNS}).X != best) {
			t.Fatalf("%+v, want %v", got, best)
		}
		if high := s.Peak(w); high.OK && got.OK && got.X > s.Peak(Span{w.FromNS - 300, w.ToNS + 300}).X+1e-12 {
			t.Fatalf("a mean of %v above every sample", got.X)
		}
	})
}

// Half an hour at 300 W with 700 W for 9 s: the mean of 10 s never holds more than 9 of them.
func TestMovingPeakByHand(t *testing.T) {
	var at, w []float64
	for i := range 18001 {
		at, w = append(at, float64(i)/10), append(w, 300)
		if i >= 6000 && i <= 6090 {
			w[i] = 700
		}
	}
	s := seconds(t, at, w)
	all := span(0, 1800)
	// 9 s at 700 with ramps of 0.1 s on either side and 0.8 s at 300: (9·700 + 0.2·500 + 0.8·300)/10.
	wantNear(t, "10 s", s.MovingPeak(all, 10e9).Value, 664, 1e-9)
	wantNear(t, "1 s", s.MovingPeak(all, 1e9).Value, 700, 1e-9)
	wantNear(t, "peak", s.Peak(all).Value, 700, 0)
	if got := s.Peak(all).AtNS; got != 600e9 {
		t.Errorf("peak at %d", got)
	}
	if got := s.MovingPeak(all, 1e9).AtNS; got != 601e9 {
		t.Errorf("1-s peak ends at %d", got)
	}
	wantAbsent(t, "a window longer than the span", s.MovingPeak(span(0, 5), 10e9).Value, "no 10 s without a gap")
	wantNear(t, "energy", s.Integral(all), 300*1800+400*9.1, 1e-6)
	wantNear(t, "median", s.Quantile(all, 0.5), 300, 0)
	wantNear(t, "the share above", s.Quantile(all, 1-9.1/1800+1e-9), 700, 0)
	wantNear(t, "the share below", s.Quantile(all, 1-9.1/1800-1e-9), 300, 0)
}

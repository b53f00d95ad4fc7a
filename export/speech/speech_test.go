package speech

import (
	"testing"

	"github.com/rigslate/rigslate/compute"
)

func subject(t *testing.T, metric string) Subject {
	t.Helper()
	m, ok := compute.MetricByName(metric)
	if !ok {
		t.Fatalf("no metric %s", metric)
	}
	return Subject{Metric: m, Of: "Heron X", Base: "Tern 7", Where: "Fjord at uhd", MarginPct: 1}
}

func soaked(t *testing.T, metric, part string) Subject {
	t.Helper()
	m, ok := compute.SoakMetric(metric)
	if !ok {
		t.Fatalf("no metric %s", metric)
	}
	return Subject{Metric: m, Of: "Heron X", Base: "Tern 7", Where: "Fjord at uhd", Part: part, MarginPct: 1}
}

// The wording rules of the definitions, section 4: level is "the same, within m", unresolved "no difference we can resolve", whole
// percents with ties away from zero, "under one percent" below 1, "about" where half of the interval exceeds half of the estimate,
// and always the direction.
func TestDifference(t *testing.T) {
	fps, low := subject(t, "mean_fps"), subject(t, "low1_quantile_fps")
	speak := func(v compute.Verdict, d, low, high float64) compute.Spoken {
		return compute.Speak(v, compute.Known(d), compute.Known(low), compute.Known(high))
	}
	for _, x := range []struct {
		s      Subject
		spoken compute.Spoken
		want   string
	}{
		{fps, speak(compute.Ahead, 5.2, 4.1, 6.3), "Heron X is 5 percent faster than Tern 7 in Fjord at uhd."},
		{fps, speak(compute.Behind, -4.5, -5.3, -3.7), "Heron X is 5 percent slower than Tern 7 in Fjord at uhd."},
		{fps, speak(compute.Ahead, 2, 0.5, 3.5), "Heron X is about 2 percent faster than Tern 7 in Fjord at uhd."},
		{fps, speak(compute.Ahead, 0.9, 0.5, 1.3), "Heron X is under one percent faster than Tern 7 in Fjord at uhd."},
		{fps, speak(compute.Level, 0.2, -0.5, 0.9), "Heron X and Tern 7 are the same in Fjord at uhd, within 1 percent."},
		{fps, speak(compute.Unresolved, 1.5, -1, 4), "There is no difference we can resolve between Heron X and Tern 7 in Fjord at uhd."},
		{low, speak(compute.Ahead, 7.4, 5, 10), "The 1 % low of Heron X is 7 percent higher than that of Tern 7 in Fjord at uhd."},
		{low, speak(compute.Level, 0.2, -0.5, 0.9), "Heron X and Tern 7 are the same in 1 % low in Fjord at uhd, within 1 percent."},
		{fps, speak(compute.Single, 5, 4, 6), ""},
	} {
		if got := x.s.Difference(x.spoken); got != x.want {
			t.Errorf("%+v:\n got %q\nwant %q", x.spoken, got, x.want)
		}
	}
}

func TestBounds(t *testing.T) {
	s := subject(t, "mean_fps")
	for _, x := range []struct {
		d, low, high float64
		want         string
	}{
		{5.2, 4.99, 6.3, "Heron X is at least 4 percent faster than Tern 7 in Fjord at uhd."},
		{-5.2, -6.3, -3.01, "Heron X is at least 3 percent slower than Tern 7 in Fjord at uhd."},
		{1.2, 0.9, 1.5, ""},  // no whole percent is left
		{1.2, -0.1, 2.5, ""}, // not even the direction is sure
	} {
		if got := s.AtLeast(compute.Known(x.d), compute.Known(x.low), compute.Known(x.high)); got != x.want {
			t.Errorf("%g [%g, %g]: %q, want %q", x.d, x.low, x.high, got, x.want)
		}
	}
	if got := s.AtLeast(compute.Known(5), compute.Absent("none"), compute.Absent("none")); got != "" {
		t.Errorf("without an interval: %q", got)
	}
}

func TestPointsAndFiguresAlone(t *testing.T) {
	share, fps := subject(t, "over_60hz_share"), subject(t, "mean_fps")
	change, hitches := subject(t, "rmssd_ms"), subject(t, "hitch_events")
	known := compute.Known
	for _, x := range []struct{ got, want string }{
		{share.Points(compute.Ahead, known(-0.023), known(-0.03), known(-0.016)),
			"The time over 60 Hz of Heron X is 2.3 percentage points lower than that of Tern 7 in Fjord at uhd."},
		{share.Points(compute.Behind, known(0.01), known(0.001), known(0.019)),
			"The time over 60 Hz of Heron X is about 1.0 percentage points higher than that of Tern 7 in Fjord at uhd."},
		{share.Points(compute.Level, known(0.001), known(-0.002), known(0.004)),
			"Heron X and Tern 7 are the same in time over 60 Hz in Fjord at uhd, within 1 percentage point."},
		{soaked(t, "rise_k", "board").Points(compute.Ahead, known(-8.1), known(-10), known(-6)),
			"The board of Heron X ends 8.1 K cooler above its room than that of Tern 7 in Fjord at uhd."},
		{soaked(t, "end_c", "core").Points(compute.Behind, known(15), known(12), known(18)),
			"The core of Heron X ends 15.0 K hotter than that of Tern 7 in Fjord at uhd."},
		{soaked(t, "end_c", "core").Alone(known(63.2), known(63.1), known(63.3)), "The end-of-soak temperature of the core of Heron X is 63 °C in Fjord at uhd."},
		{soaked(t, "sound_level_db", "").Points(compute.Ahead, known(-2.2), known(-3), known(-1.4)), "Heron X is 2.2 dB quieter than Tern 7 in Fjord at uhd."},
		{soaked(t, "sound_level_db", "").Points(compute.Level, known(-0.2), known(-0.4), known(0)), "Heron X and Tern 7 are the same in sound level in Fjord at uhd, within 1 dB."},
		{soaked(t, "mean_power_w", "").Difference(compute.Speak(compute.Behind, known(21.2), known(20), known(22))), "Heron X draws 21 percent more than Tern 7 in Fjord at uhd."},
		{fps.Alone(known(158.2), known(157.9), known(158.4)), "Heron X runs at 158 fps in Fjord at uhd."},
		{fps.Alone(known(158.2), known(155), known(161)), "Heron X runs at about 158 fps in Fjord at uhd."},
		{share.Alone(known(0.123), known(0.1), known(0.15)), "The time over 60 Hz of Heron X is about 12 percent in Fjord at uhd."},
		{fps.Alone(compute.Absent("no pass"), known(1), known(2)), ""},
		{fps.Alone(known(9.52), known(9.41), known(9.63)), "Heron X runs at about 9.5 fps in Fjord at uhd."},
		{change.Alone(known(0.46), known(0.4), known(0.5)), "The frame-to-frame change of Heron X is about 0.46 ms in Fjord at uhd."},
		{hitches.Alone(known(4.67), known(2.6), known(7.8)), "The rate of hitches of Heron X is about 4.7 a minute in Fjord at uhd."},
	} {
		if x.got != x.want {
			t.Errorf("\n got %q\nwant %q", x.got, x.want)
		}
	}
}

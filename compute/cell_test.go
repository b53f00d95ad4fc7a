package compute

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func metric(t interface{ Fatalf(string, ...any) }, name string) Metric {
	m, ok := MetricByName(name)
	if !ok {
		t.Fatalf("no metric %s", name)
	}
	return m
}

// valueOf is a figure of a pass by name.
func valueOf(t interface{ Fatalf(string, ...any) }, p *Pass, name string) Value {
	return metric(t, name).Of(p)
}

// The registry is the archive's list of figures: names are columns, once each, and scales are as definitions, section 2 has them.
func TestMetrics(t *testing.T) {
	seen := map[string]bool{}
	p := Figure(synthetic(144, 10, 1), 0, PassOptions{Sensed: Sensed{MeanPowerW: Known(250), EnergyJ: Known(2500), ClockMHz: Known(1900),
		TempC: Known(60), StartTempC: Known(50)}}, nil)
	for _, m := range Metrics() {
		if seen[m.Name] {
			t.Errorf("%s twice", m.Name)
		}
		seen[m.Name] = true
		if m.Title == "" || m.Unit == "" || m.Formula == "" || m.Source == "" || m.From == nil {
			t.Errorf("%s is incomplete: %+v", m.Name, m)
		}
		scale, higher := None, false
		switch m.Unit {
		case "fps", "MHz", "frames/J":
			scale, higher = Ratio, true
		case "ms", "W", "J":
			scale = Ratio
		case "share":
			scale = Difference
		case "events":
			scale = Count
		}
		if m.Scale != scale || m.HigherBetter != higher {
			t.Errorf("%s: scale %s, higher better %v", m.Name, m.Scale, m.HigherBetter)
		}
		if v := m.Of(p); !v.OK && m.Name != "over_display_share" {
			t.Errorf("%s is absent: %s", m.Name, v.Why)
		}
	}
	for k := range lowKinds {
		one, tenth := LowMetrics(k)
		if a, b := metric(t, one).Of(p), metric(t, tenth).Of(p); a != p.Low1[k].Value || b != p.Low01[k].Value {
			t.Errorf("%s is %+v, %s is %+v", one, a, tenth, b)
		}
	}
	if _, ok := MetricByName("fps"); ok {
		t.Error("a metric that is none")
	}
	if s := metric(t, "low1_quantile_fps").Sample(figure(repeat(ms, 400))); !s.Thin || s.Minutes != 0.4/60 {
		t.Errorf("sample of a thin low: %+v", s)
	}
}

// Two launches of two and one pass: the launch is the unit, so the centre is the mean of (ln 100 + ln 121)/2 = ln 110 and
// ln 90, not the mean of three.
func TestLaunchIsTheUnit(t *testing.T) {
	c := Cell(metric(t, "mean_fps"), []Sample{
		{Value: Known(100), Launch: "1", Session: "a"}, {Value: Known(121), Launch: "1", Session: "a"}, {Value: Known(90), Launch: "2", Session: "a"}})
	if c.N != 3 || c.Launches != 2 || c.Sessions != 1 || c.Session != "a" || len(c.Flags) != 0 || c.Why != "" {
		t.Errorf("%+v", c)
	}
	wantValue(t, "mean", c.Mean, math.Sqrt(110*90), 1e-14)
	s := math.Log(110.0/90) / math.Sqrt2 // of two values
	wantValue(t, "sd", c.SD, 100*s, 1e-13)
	wantValue(t, "df", c.DF, 1, 0)
	wantValue(t, "spread", c.SpreadPct, 100*31/math.Sqrt(110*90), 1e-14)
	// t(0.975, 1) = tan(0.475·π) in closed form.
	wantValue(t, "high", c.High, math.Sqrt(110*90)*math.Exp(math.Tan(0.475*math.Pi)*s/math.Sqrt2), 1e-10)
}

func TestLaunchesAndSessions(t *testing.T) {
	m := metric(t, "mean_fps")
	v := Known(60)
	for _, c := range []struct {
		name               string
		samples            []Sample
		launches, sessions int
		session            string
		flags              []Flag
	}{
		{"unrecorded launches count one each", []Sample{{Value: v}, {Value: v}}, 2, 1, "", []Flag{"launch_assumed"}},
		{"assumed ones too, whatever their names", []Sample{{Value: v, Launch: "x", LaunchAssumed: true, Session: "a"}, {Value: v, Launch: "x", LaunchAssumed: true, Session: "a"}},
			2, 1, "a", []Flag{"launch_assumed"}},
		{"one launch", []Sample{{Value: v, Launch: "1", Session: "a"}, {Value: v, Launch: "1", Session: "a"}}, 1, 1, "a", []Flag{"single"}},
		{"launch 1 of two sessions", []Sample{{Value: v, Launch: "1", Session: "a"}, {Value: v, Launch: "1", Session: "b"}}, 2, 2, "", nil},
		{"an assumed session is not recorded", []Sample{{Value: v, Launch: "1", Session: "a", SessionAssumed: true}, {Value: v, Launch: "2", Session: "a"}}, 2, 1, "", nil},
		{"thin", []Sample{{Value: v, Launch: "1", Thin: true}, {Value: v, Launch: "2"}}, 2, 1, "", []Flag{"thin"}},
	} {
		for i := range c.samples {
			c.samples[i].Value.X += float64(i) // equal ones would be flagged as that too
		}
		got := Cell(m, c.samples)
		if got.Launches != c.launches || got.Sessions != c.sessions || got.Session != c.session || !slices.Equal(got.Flags, c.flags) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

// Each way a cell can lack something, with the reason shown in its place.
func TestCellWithout(t *testing.T) {
	m := metric(t, "mean_fps")
	none := Cell(m, nil)
	if none.Mean.OK || none.Why != "no pass" || none.Mean.Why != "no pass" {
		t.Errorf("no pass: %+v", none)
	}
	absent := Cell(m, []Sample{{Value: Absent("no frames")}, {Value: Known(60), Launch: "1"}, {Value: Known(60), Launch: "2"}})
	if absent.N != 2 || absent.Absent != 1 || !absent.Mean.OK || absent.Why != "no frames" {
		t.Errorf("one pass absent: %+v", absent)
	}
	zero := Cell(metric(t, "frame_ms_sd"), launchesOf(0, 1, 2))
	if zero.Mean.OK || zero.Centre.OK || zero.Low.OK || zero.Why != "frame_ms_sd is 0 in a pass; a ratio needs values above 0" {
		t.Errorf("a zero on the ratio scale: %+v", zero)
	}
	three := Cell(m, []Sample{{Value: Known(60), Launch: "1"}, {Value: Known(61), Launch: "1"}, {Value: Known(62), Launch: "1"}})
	if !three.Mean.OK || three.Low.OK || three.SD.OK || three.Why != "three passes of one launch: run them in launches of their own" {
		t.Errorf("three passes of one launch: %+v", three)
	}
	if one := Cell(m, launchesOf(60)); one.Why != "one pass: run another in a launch of its own" || one.SpreadPct.OK || one.Mean.X != 60 {
		t.Errorf("one pass: %+v", one)
	}
	if lag := Cell(metric(t, "lag1"), launchesOf(0.1, 0.2)); lag.Mean.OK || lag.Why == "" {
		t.Errorf("no scale: %+v", lag)
	}
	same := Cell(m, launchesOf(59.9, 59.9, 59.9, 59.9, 59.9, 59.9, 59.9))
	if same.Mean.X != 59.9 || same.SD.X != 0 || !same.SD.OK || same.Low.X != 59.9 || same.High.X != 59.9 {
		t.Errorf("seven equal passes: %+v", same)
	}
}

// d₂ as definitions, section 2 lists it; three passes have the plan's limit.
func TestSpreadLimit(t *testing.T) {
	for n, d2 := range map[int]float64{1: 1.128, 2: 1.128, 3: 1.693, 5: 2.326, 10: 3.078, 40: 3.078} {
		wantValue(t, "limit", Known(SpreadLimit(3, n)), 3*d2/1.693, 1e-15)
	}
}

// No order of passes, no unit of time and no extreme can make a cell or a comparison that is not finite.
func TestCellsAreSound(t *testing.T) {
	finite := func(t *rapid.T, v any) {
		r := reflect.ValueOf(v)
		for i := range r.NumField() {
			if x, ok := r.Field(i).Interface().(Value); ok && (math.IsNaN(x.X) || math.IsInf(x.X, 0) || x.OK == (x.Why != "")) {
				t.Fatalf("%s is %+v in %+v", r.Type().Field(i).Name, x, v)
			}
		}
	}
	sample := rapid.Custom(func(t *rapid.T) Sample {
		s := Sample{
			Value:   Known(rapid.OneOf(rapid.Float64Range(0, 1e6), rapid.SampledFrom([]float64{0, 60, 60, 1e-9, 30_000, 1e300})).Draw(t, "value")),
			Launch:  rapid.SampledFrom([]string{"", "1", "2", "3"}).Draw(t, "launch"),
			Session: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "session"),
			Thin:    rapid.Bool().Draw(t, "thin"),
			Minutes: rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "minutes"),
		}
		if rapid.IntRange(0, 9).Draw(t, "absent") == 0 {
			s.Value = Absent("no frames")
		}
		return s
	})
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Metrics()).Draw(t, "metric")
		draw := func(label string) []Sample {
			samples := rapid.SliceOfN(sample, 0, 6).Draw(t, label)
			for i := range samples {
				if m.Scale == Count {
					samples[i].Value.X = math.Floor(math.Mod(samples[i].Value.X, 5000))
				}
			}
			return samples
		}
		a, b := Cell(m, draw("a")), Cell(m, draw("b"))
		finite(t, a)
		finite(t, b)
		u := PlanSessionSpread(m, rapid.SampledFrom([]float64{0, 0.2}).Draw(t, "u"), 0)
		r := Compare(m, a, b, u.Between(a, b), DefaultMargin)
		finite(t, r)
		if r.Verdict == "" && r.Why == "" {
			t.Fatalf("no verdict and no reason: %+v", r)
		}
	})
}

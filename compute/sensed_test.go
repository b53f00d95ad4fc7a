package compute

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Six hundred frames in ten seconds at 300 W, by hand: 3000 J, so 5 J a frame and 0.2 frames for a joule.
func TestSensed(t *testing.T) {
	frames := repeat(ms*50/3, 600)
	p := Figure(frames, 0, PassOptions{Sensed: Sensed{MeanPowerW: Known(300), EnergyJ: Known(3000), ClockMHz: Known(1900), TempC: Known(60.5), StartTempC: Known(41)}}, nil)
	for name, want := range map[string]float64{"mean_power_w": 300, "energy_per_frame_j": 5, "frames_per_joule": 0.2, "clock_mean_mhz": 1900,
		"mean_temp_c": 60.5, "start_temp_c": 41} {
		if v := valueOf(t, p, name); !v.OK || v.X != want {
			t.Errorf("%s is %v, want %g", name, v, want)
		}
	}
	gap := Absent("the log covers 80.0 % of the time, and 95 % is needed")
	for _, c := range []struct {
		sensed Sensed
		name   string
		why    string
	}{
		{Sensed{}, "mean_power_w", "no power was logged"},
		{Sensed{}, "energy_per_frame_j", "no power was logged"},
		{Sensed{}, "frames_per_joule", "no power was logged"},
		{Sensed{}, "clock_mean_mhz", "no clock was logged"},
		{Sensed{}, "mean_temp_c", "no temperature was logged"},
		{Sensed{}, "start_temp_c", "no temperature was logged"},
		{Sensed{MeanPowerW: Known(300), EnergyJ: gap}, "energy_per_frame_j", gap.Why},
		{Sensed{MeanPowerW: Known(300), EnergyJ: gap}, "frames_per_joule", gap.Why},
		{Sensed{MeanPowerW: Known(0), EnergyJ: Known(0)}, "frames_per_joule", "the energy is 0 J; a share of it needs more than 0"},
	} {
		if v := valueOf(t, Figure(frames, 0, PassOptions{Sensed: c.sensed}, nil), c.name); v.OK || v.X != 0 || v.Why != c.why {
			t.Errorf("%s of %+v is %v, want %q", c.name, c.sensed, v, c.why)
		}
	}
	if v := valueOf(t, Figure(nil, 0, PassOptions{Sensed: Sensed{MeanPowerW: Known(300)}}, nil), "mean_power_w"); v.OK || v.Why == "" {
		t.Errorf("of a pass without frames: %v", v)
	}
}

func TestWithoutSensors(t *testing.T) {
	p := Figure(repeat(10*ms, 600), 0, PassOptions{Sensed: Sensed{MeanPowerW: Known(300), EnergyJ: Known(3000), ClockMHz: Known(1900)}}, nil)
	p.Without(OfPower, "it is of another pass")
	for name, there := range map[string]bool{"mean_power_w": false, "energy_per_frame_j": false, "frames_per_joule": false, "clock_mean_mhz": true, "mean_fps": true} {
		if v := valueOf(t, p, name); v.OK != there || !there && (v.X != 0 || v.Why != "it is of another pass") {
			t.Errorf("%s is %v", name, v)
		}
	}
}

// Medians by hand: of 40 and 44 it is 42, of 40 and 52 it is 46, of 44 and 52 it is 48. In the last but one 42 seems 5.5 K above the other two
// and is 1 K above the one of them that is not off itself.
func TestStartsApart(t *testing.T) {
	k := func(x float64, far bool) StartApart { return StartApart{Known(x), far} }
	gone := StartApart{K: Absent("not there")}
	for _, c := range []struct {
		starts []Value
		want   []StartApart
	}{
		{nil, []StartApart{}},
		{[]Value{Known(50)}, []StartApart{{K: Absent("no other pass has a start temperature")}}},
		{[]Value{Known(40), Known(44), Known(52)}, []StartApart{k(-8, false), k(-2, false), k(10, true)}},
		{[]Value{Known(40), Known(44), Known(45)}, []StartApart{k(-4.5, false), k(1.5, false), k(3, false)}},
		{[]Value{Known(40), Known(46)}, []StartApart{k(-6, true), k(6, true)}},
		{[]Value{Known(40), Known(45)}, []StartApart{k(-5, false), k(5, false)}},
		{[]Value{Known(40), Absent("not there"), Known(46)}, []StartApart{k(-6, true), gone, k(6, true)}},
		{[]Value{Known(42), Known(41), Known(32)}, []StartApart{k(5.5, false), k(4, false), k(-9.5, true)}},
		{[]Value{Known(30), Known(40), Known(50)}, []StartApart{k(-15, true), k(0, false), k(15, true)}},
	} {
		if got := StartsApart(c.starts); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.starts, got, c.want)
		}
	}
}

// Whatever the start temperatures, the order of the passes does not matter, none is off where all lie within 5 K, and of any that seem off
// the farthest is.
func TestStartsApartProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var starts []Value
		for _, c := range rapid.SliceOfN(rapid.IntRange(20, 60), 2, 8).Draw(t, "°C") {
			starts = append(starts, Known(float64(c)))
		}
		got := StartsApart(starts)
		turned := slices.Clone(starts)
		slices.Reverse(turned)
		back := StartsApart(turned)
		slices.Reverse(back)
		if !slices.Equal(got, back) {
			t.Fatalf("%v, the other way round %v", got, back)
		}
		least, most, farthest, any := starts[0].X, starts[0].X, 0, false
		for i, v := range starts {
			least, most = min(least, v.X), max(most, v.X)
			if math.Abs(got[i].K.X) > math.Abs(got[farthest].K.X) {
				farthest = i
			}
			any = any || got[i].TooFar
		}
		if off := math.Abs(got[farthest].K.X) > StartTempLimitK; any != off || off && !got[farthest].TooFar || any && most-least <= StartTempLimitK {
			t.Fatalf("%v: %v", starts, got)
		}
	})
}

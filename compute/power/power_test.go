package power

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

// reporter is a test, or one case of a property.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

func wantNear(t reporter, what string, got compute.Value, want, tolerance float64) {
	t.Helper()
	if !got.OK || !(math.Abs(got.X-want) <= tolerance) {
		t.Errorf("%s: %+v, want %v", what, got, want)
	}
}

func wantAbsent(t reporter, what string, got compute.Value, why string) {
	t.Helper()
	if got.OK || got.X != 0 || got.Why == "" || !strings.Contains(got.Why, why) {
		t.Errorf("%s: %+v, want absent: %s", what, got, why)
	}
}

// sampled is a log of a course, one sample every everyS, with seeded white noise.
func sampled(t testing.TB, lengthS, everyS, noise float64, seed uint64, course func(s float64) float64) (*series.Series, series.Span) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 12))
	var timesNS []int64
	var values []float64
	for i := 0; float64(i)*everyS <= lengthS; i++ {
		s := float64(i) * everyS
		timesNS, values = append(timesNS, int64(math.Round(s*1e9))), append(values, course(s)+noise*r.NormFloat64())
	}
	log, err := series.New(timesNS, values)
	if err != nil {
		t.Fatal(err)
	}
	return log, series.Span{ToNS: int64(lengthS * 1e9)}
}

func constant(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// By hand: 300 W for half of a minute and 100 W for the other, stepping within 0.1 s, are 12 kJ; 2400 frames at 5 J each.
func TestPowerByHand(t *testing.T) {
	log, load := sampled(t, 60, 0.1, 0, 0, func(s float64) float64 {
		if s < 30 {
			return 300
		}
		return 100
	})
	p := OfPower(log, load, 2400)
	wantNear(t, "mean", p.MeanW, 200, 0.2)
	wantNear(t, "energy", p.EnergyJ, 29.9*300+30*100+0.1*200, 1e-6)
	wantNear(t, "energy per frame", p.EnergyPerFrameJ, 5, 0.005)
	wantNear(t, "frames per joule", p.FramesPerJ, 0.2, 0.0002)
	wantNear(t, "peak", p.PeakW.Value, 300, 0)
	wantNear(t, "1-s peak", p.SecondW.Value, 300, 1e-12)
	if p.IntervalNS != 1e8 || p.Coverage != compute.Known(1) || len(p.Notes) != 0 {
		t.Errorf("%+v", p)
	}
	// Frames per second per watt are frames per joule: 40 fps at 200 W.
	wantNear(t, "fps per watt", p.FramesPerJ, 2400/60/p.MeanW.X, 1e-12)

	wantAbsent(t, "no frames", OfPower(log, load, 0).FramesPerJ, "no frames were counted")
	long := OfPower(log, series.Span{ToNS: 64e9}, 2400)
	for name, v := range map[string]compute.Value{"energy": long.EnergyJ, "per frame": long.EnergyPerFrameJ, "per joule": long.FramesPerJ} {
		wantAbsent(t, name, v, "covers 93.8 % of the time, and 95 % is needed")
	}
	wantNear(t, "mean of what is there", long.MeanW, p.MeanW.X, 1e-12)
	if len(long.Notes) != 1 || long.Notes[0].Flag != series.FlagGap {
		t.Errorf("%+v", long.Notes)
	}
	idle, load := sampled(t, 60, 1, 0, 0, constant(0))
	wantAbsent(t, "no energy", OfPower(idle, load, 10).FramesPerJ, "the energy is 0 J")
}

// Energy of a load is that of its parts, however it is split.
func TestEnergyAdds(t *testing.T) {
	log, load := sampled(t, 120, 0.1, 15, 3, func(s float64) float64 { return 250 + 80*math.Sin(s/3) })
	rapid.Check(t, func(t *rapid.T) {
		cut := rapid.Int64Range(1, load.ToNS-1).Draw(t, "cut")
		a, b := OfPower(log, series.Span{ToNS: cut}, 1), OfPower(log, series.Span{FromNS: cut, ToNS: load.ToNS}, 1)
		wantNear(t, "energy", OfPower(log, load, 1).EnergyJ, a.EnergyJ.X+b.EnergyJ.X, 1e-7)
	})
}

func TestSag(t *testing.T) {
	for _, c := range []struct {
		name   string
		course func(share float64) float64
		sags   bool
		below  int // tenth from which all lie more than 2 % below, 0 for none
		says   string
	}{
		{"level", constant(2000), false, 0, ""},
		// Tenth k is at 1994 − 12k MHz, below 0.98·1994 = 1954.1 from the fifth on.
		{"falls by 6 % in a line", func(x float64) float64 { return 2000 * (1 - 0.06*x) }, true, 4,
			"from 1994 MHz in the first tenth of the load to 1886 MHz in the last, more than 2 % below from 12 min on"},
		{"rises by 5 %", func(x float64) float64 { return 2000 * (1 + 0.05*x) }, false, 0, ""},
		{"falls by 1.5 %", func(x float64) float64 { return 2000 * (1 - 0.015*x) }, false, 0, ""},
		{"steps down a fifth in, which is no trend", func(x float64) float64 {
			if x > 0.2 {
				return 1800
			}
			return 2000
		}, true, 2, "to 1800 MHz in the last, more than 2 % below from 6 min on"},
		{"dips and comes back", func(x float64) float64 {
			if x > 0.3 && x < 0.6 {
				return 1800
			}
			return 2000
		}, false, 0, ""},
		{"the last tenth alone", func(x float64) float64 {
			if x > 0.9 {
				return 1900
			}
			return 2000
		}, false, 9, ""},
	} {
		log, load := sampled(t, 1800, 1, 1, 7, func(s float64) float64 { return c.course(s / 1800) })
		got := OfClock(log, load)
		if got.Sags != c.sags || got.Below != (c.below > 0) || got.BelowFromNS != int64(c.below)*180e9 || len(got.Notes) > 1 ||
			(len(got.Notes) == 1) != c.sags {
			t.Errorf("%s: %+v", c.name, got)
		}
		if c.sags && (got.Notes[0].Flag != FlagSag || !strings.Contains(got.Notes[0].Says, c.says)) {
			t.Errorf("%s: %s", c.name, got.Notes[0].Says)
		}
	}
	// A line of logarithms: e^(−0.03) − 1 over the load by the slope of its tenths, which Theil and Sen find exactly.
	log, load := sampled(t, 1800, 1, 0, 0, func(s float64) float64 { return 2000 * math.Exp(-0.03*s/1800) })
	wantNear(t, "drift", OfClock(log, load).DriftPct, 100*math.Expm1(-0.03), 1e-6)
	wantAbsent(t, "drift where the log ends", OfClock(log, series.Span{ToNS: 3600e9}).DriftPct, "no samples there")
	wantAbsent(t, "drift of a stopped clock", OfClock(first(sampled(t, 60, 1, 0, 0, constant(0)))).DriftPct, "0 MHz in a tenth")
	if c := OfClock(log, series.Span{ToNS: 1920e9}); c.DriftPct.OK || c.DriftPct.Why != "less than half of a tenth of the load was logged" {
		t.Errorf("%+v", c.DriftPct)
	}
}

func first(log *series.Series, load series.Span) (*series.Series, series.Span) { return log, load }

// A limit holds the power and lowers the clock; a card that has less to do lowers both, and one without a limit neither.
func TestLimit(t *testing.T) {
	type course = func(float64) float64
	step := func(before, after, atS float64) course {
		return func(s float64) float64 {
			if s < atS {
				return before
			}
			return after
		}
	}
	for _, c := range []struct {
		name       string
		watts, mhz course
		holds      bool
		fromS      float64
	}{
		{"held from ten seconds on", constant(300), step(2000, 1800, 10), true, 10},
		{"nothing holds it", constant(300), constant(2000), false, 0},
		{"less to do", step(300, 150, 20), step(2000, 1500, 20), true, 20}, // as a limit of 150 W would make it
		{"held for two fifths", constant(300), step(2000, 1800, 37), false, 0},
		{"idles in turns", func(s float64) float64 { return 150 + 150*math.Abs(math.Sin(s)) },
			func(s float64) float64 { return 1500 + 500*math.Abs(math.Sin(s)) }, false, 0},
	} {
		watts, load := sampled(t, 60, 0.1, 0.5, 4, c.watts)
		mhz, _ := sampled(t, 60, 0.1, 0.5, 5, c.mhz)
		l := OfLimit(watts, mhz, load)
		if l.Holds != c.holds || l.FromNS != int64(c.fromS*1e9) || (len(l.Notes) == 1) != c.holds {
			t.Errorf("%s: %+v", c.name, l)
		}
	}
	watts, load := sampled(t, 60, 0.1, 0.5, 4, constant(300))
	brief, _ := sampled(t, 20, 0.1, 0.5, 4, constant(2000))
	wantAbsent(t, "clock logged for a third", OfLimit(watts, brief, load).Share, "in 20 of 60 whole seconds")
	wantAbsent(t, "no clock", OfLimit(watts, new(series.Series), load).Share, "no samples")
	wantAbsent(t, "less than a second", OfLimit(watts, brief, series.Span{ToNS: 9e8}).Share, "in 0 of 0 whole seconds")
}

func TestEntriesSayAll(t *testing.T) {
	said := map[string]bool{}
	for _, e := range Entries() {
		if lacks := e.Lacks(); len(lacks) > 0 || said[e.Name] {
			t.Errorf("%s lacks %v, or is there twice", e.Name, lacks)
		}
		said[e.Name] = true
	}
	if !said[string(FlagSag)] || !said[string(FlagPowerLimited)] {
		t.Error("a flag without an entry")
	}
}

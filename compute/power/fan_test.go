package power

import (
	"math"
	"testing"

	"github.com/rigslate/rigslate/compute/series"
)

// fanBy is a fan that starts at one temperature and, once it turns, stops below another.
func fanBy(temperature func(float64) float64, startC, stopC float64) func(float64) float64 {
	turning := false
	return func(s float64) float64 {
		c := temperature(s)
		if c >= startC {
			turning = true
		} else if c < stopC {
			turning = false
		}
		if turning {
			return 900 + 20*(c-stopC)
		}
		return 0
	}
}

// A fan-stop threshold of 55 °C is a fact of the trade (common practice, no source). A card that warms through 62 °C and cools through 55
// shows both to what its temperature moves within one sample of the fan.
func TestFanThresholds(t *testing.T) {
	course := func(s float64) float64 {
		if s < 900 {
			return 75 - 40*math.Exp(-s/120)
		}
		return 30 + 45*math.Exp(-(s-900)/150)
	}
	degrees, _ := sampled(t, 1500, 1, 0, 0, course)
	rpm, _ := sampled(t, 1500, 1, 0, 0, fanBy(course, 62, 55))
	load := series.Span{ToNS: 900e9}
	f := OfFan(rpm, degrees, load)
	wantNear(t, "start", f.Start.MedianC, 62, 40.0/120/2) // the slope at 62 °C is 13/120 K/s
	wantNear(t, "stop", f.Stop.MedianC, 55, 25.0/150)
	if f.Start.Crossings != 1 || f.Stop.Crossings != 1 || f.Start.LowC != f.Start.HighC {
		t.Errorf("%+v", f)
	}
	if !(f.TypicalRPM.X > 1200 && f.TypicalRPM.X < 1300) { // 75 °C for most of the load: 900 + 20·20
		t.Errorf("%+v", f.TypicalRPM)
	}
	under := load
	under.ToNS = 30e9
	wantNear(t, "typical before it starts", OfFan(rpm, degrees, under).TypicalRPM, 0, 0)

	gap, err := series.New([]int64{0, 1e9, 2e9, 3e9}, []float64{30, 31, 32, 33})
	if err != nil {
		t.Fatal(err)
	}
	wantAbsent(t, "the temperature was not logged there", OfFan(rpm, gap, load).Start.MedianC, "where a log has a gap, or ends")
}

// A load in turns makes the fan start and stop again and again: the median of the crossings and their range.
func TestFanInTurns(t *testing.T) {
	course := func(s float64) float64 { return 57 + (6+s/1000)*math.Sin(s/60) }
	degrees, load := sampled(t, 3000, 1, 0, 0, course)
	rpm, _ := sampled(t, 3000, 1, 0, 0, fanBy(course, 60, 55))
	f := OfFan(rpm, degrees, load)
	// One start and one stop a period of 2π·60 s, of which the log holds 7.96; the last stop is at 2π·60·7.5 s and a little.
	if f.Start.Crossings != 8 || f.Stop.Crossings != 8 {
		t.Fatalf("%+v", f)
	}
	for _, th := range []Threshold{f.Start, f.Stop} {
		if !(th.LowC.X <= th.MedianC.X && th.MedianC.X <= th.HighC.X) {
			t.Errorf("%+v", th)
		}
	}
	for _, c := range []float64{f.Start.LowC.X, f.Start.MedianC.X, f.Start.HighC.X} {
		if math.Abs(c-60) > 0.1 {
			t.Errorf("start at %v", c)
		}
	}
	for _, c := range []float64{f.Stop.LowC.X, f.Stop.MedianC.X, f.Stop.HighC.X} {
		if math.Abs(c-55) > 0.1 {
			t.Errorf("stop at %v", c)
		}
	}
}

func TestFanStates(t *testing.T) {
	degrees, load := sampled(t, 60, 1, 0, 0, func(s float64) float64 { return 40 + s/2 })
	at := func(course func(float64) float64) Fan {
		rpm, _ := sampled(t, 60, 1, 0, 0, course)
		return OfFan(rpm, degrees, load)
	}
	wantAbsent(t, "always turns", at(constant(1500)).Start.MedianC, "never stands")
	wantAbsent(t, "never turns", at(constant(0)).Stop.MedianC, "never turns")
	glitch := at(func(s float64) float64 { // two samples of 0 at 30 and 31 s
		if s == 30 || s == 31 {
			return 0
		}
		return 1500
	})
	wantAbsent(t, "a wrong reading", glitch.Stop.MedianC, "never stands")
	kick := at(func(s float64) float64 { // stands for 3 s: that is a stop
		if s >= 30 && s < 33 {
			return 0
		}
		return 1500
	})
	wantNear(t, "stop for 3 s", kick.Stop.MedianC, 40+29.5/2, 1e-9)
	wantNear(t, "start after it", kick.Start.MedianC, 40+32.5/2, 1e-9)
	once := at(func(s float64) float64 {
		if s < 20 {
			return 0
		}
		return 1500
	})
	wantAbsent(t, "started and never stopped", once.Stop.MedianC, "does not happen in this log")
	if f := OfFan(new(series.Series), degrees, load); f.TypicalRPM.OK || f.Start.MedianC.OK || f.Start.MedianC.Why != "the fan was not logged" {
		t.Errorf("%+v", f)
	}
}

package thermal

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
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

func reference(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// sampled is a log of a course of temperature, one sample every everyS, with seeded white noise.
func sampled(t testing.TB, lengthS, everyS, noiseK float64, seed uint64, course func(s float64) float64) (*series.Series, series.Span) {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 11))
	var timesNS []int64
	var values []float64
	for i := 0; float64(i)*everyS <= lengthS; i++ {
		s := float64(i) * everyS
		timesNS, values = append(timesNS, int64(math.Round(s*1e9))), append(values, course(s)+noiseK*r.NormFloat64())
	}
	log, err := series.New(timesNS, values)
	if err != nil {
		t.Fatal(err)
	}
	return log, series.Span{ToNS: int64(lengthS * 1e9)}
}

// heats is a first-order heating from a temperature to another.
func heats(from, to, tau float64) func(float64) float64 {
	return func(s float64) float64 { return to - (to-from)*math.Exp(-s/tau) }
}

// The share of the change that is over after so many time constants, as handbooks have it and to eleven digits.
func TestFirstOrderStep(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(string(reference(t, "first_order_step.csv")))).ReadAll()
	if err != nil || len(rows) != 7 {
		t.Fatal(err, len(rows))
	}
	const tau = 60
	log, load := sampled(t, 900, 1, 0, 0, heats(0, 100, tau))
	m := FitModel(log, load, false)
	wantNear(t, "final", m.FinalC, 100, 1e-7)
	wantNear(t, "tau", m.TauS, tau, 1e-6)
	for _, row := range rows[1:] {
		at, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		for column, tolerance := range map[int]float64{1: 1e-6, 2: 0.06} {
			if row[column] == "" {
				continue
			}
			want, err := strconv.ParseFloat(row[column], 64)
			if err != nil {
				t.Fatal(err)
			}
			wantNear(t, row[0]+" time constants", compute.Known(m.At(at*tau)), want, tolerance)
		}
	}
}

// One heating with its points, and the times to within 1 °C, from 10 to 90 % and to the half, which are τ·ln 50, τ·ln 9 and τ·ln 2.
func TestFirstOrderCase(t *testing.T) {
	var held struct {
		Cases []struct {
			T0     float64
			Final  float64 `json:"Tinf"`
			Tau    float64 `json:"tau_s"`
			Points []struct {
				S float64 `json:"t_s"`
				C float64 `json:"T_C"`
			}
			Within1 float64 `json:"time_to_within_1C_s"`
			Rise    float64 `json:"rise_10_90_s"`
			Half    float64 `json:"half_time_s"`
		}
	}
	if err := json.Unmarshal(reference(t, "first_order_cases.json"), &held); err != nil || len(held.Cases) != 1 {
		t.Fatal(err)
	}
	c := held.Cases[0]
	for _, every := range []float64{1, 5, 30} {
		log, load := sampled(t, 900, every, 0, 0, heats(c.T0, c.Final, c.Tau))
		m := FitModel(log, load, false)
		wantNear(t, "final", m.FinalC, c.Final, 1e-7)
		wantNear(t, "tau", m.TauS, c.Tau, 1e-6)
		for _, p := range c.Points {
			wantNear(t, "point", compute.Known(m.At(p.S)), p.C, 1e-7)
		}
		change := c.Final - c.T0
		wantNear(t, "within 1 K", m.WithinS(1), c.Within1, 1e-5)
		wantNear(t, "half", m.WithinS(change/2), c.Half, 1e-5)
		wantNear(t, "10 to 90 %", compute.Known(m.WithinS(change*0.1).X-m.WithinS(change*0.9).X), c.Rise, 1e-5)
		wantNear(t, "within more than all of it", m.WithinS(change+1), 0, 0)
		wantAbsent(t, "within nothing", m.WithinS(0), "never")
	}
}

// Plain means of whole seconds of a faster log shift an exponential's beginning, and neither its end nor its time constant.
func TestSecondsKeepTheCurve(t *testing.T) {
	log, load := sampled(t, 900, 0.1, 0, 0, heats(24, 74, 90))
	m := FitModel(log, load, false)
	if m.N != 900 {
		t.Errorf("%d points", m.N)
	}
	wantNear(t, "final", m.FinalC, 74, 1e-7)
	wantNear(t, "tau", m.TauS, 90, 1e-6)
}

// Two terms of like and of unlike sign come back, and are chosen over one; each forecast comes true on the curve itself.
func TestTwoTerms(t *testing.T) {
	for name, c := range map[string]struct {
		fastK, fastS, slowK, slowS float64
		turns                      bool
	}{"a chip and its heatsink": {-12, 6, -28, 240, false}, "a fan that catches up": {-45, 20, 8, 200, true}, "near one another": {-20, 60, -20, 150, false}} {
		course := func(s float64) float64 { return 70 + c.fastK*math.Exp(-s/c.fastS) + c.slowK*math.Exp(-s/c.slowS) }
		log, load := sampled(t, 1800, 1, 0.02, 5, course)
		m := FitModel(log, load, false)
		if len(m.Terms) != 2 {
			t.Errorf("%s: %+v", name, m)
			continue
		}
		wantNear(t, name+" final", m.FinalC, 70, 5*m.UFinal)
		wantNear(t, name+" slow", m.TauS, c.slowS, 0.05*c.slowS)
		for _, k := range []float64{0.2, 1, 5, 7, 30} {
			within := m.WithinS(k)
			last := 0.0 // by looking at the true curve every hundredth of a second
			for s := 0.0; s < 3600; s += 0.01 {
				if math.Abs(course(s)-70) > k {
					last = s
				}
			}
			wantNear(t, name+" within", within, last, 0.02*last+0.5)
		}
	}
}

// What keeps a curve from being a forecast is said, and nothing is forecast.
func TestNoForecast(t *testing.T) {
	for _, c := range []struct {
		name                  string
		length, every, noiseK float64
		course                func(float64) float64
		why                   []string
		fitted                bool
	}{
		{"too short", 170, 1, 0.05, heats(30, 70, 90), []string{"170 s are no more than twice the slowest time constant of 9"}, true},
		{"not a curve of this kind", 1800, 1, 0.05, func(s float64) float64 { return heats(30, 70, 90)(s) + math.Sin(s/60) },
			[]string{"follows a course of its own: r₁ 0.9"}, true},
		{"a sensor in whole degrees", 1800, 1, 0, func(s float64) float64 { return math.Round(heats(30, 70, 300)(s)) }, []string{"a course of its own"}, true},
		{"a straight line", 600, 1, 0.1, func(s float64) float64 { return 30 + s/60 }, []string{"uncertain by", "no more than twice"}, true},
		{"noise alone", 600, 10, 30, func(float64) float64 { return 50 }, []string{"uncertain by"}, true},
		{"constant", 600, 1, 0, func(float64) float64 { return 46 }, []string{"does not change"}, false},
		{"few points", 8, 1, 0.1, heats(30, 70, 3), []string{"9 points, and at least 10 are needed"}, false},
		{"no temperature", 600, 1, 0, func(s float64) float64 { return 1e300 * s }, []string{"is no temperature"}, false},
	} {
		log, load := sampled(t, c.length, c.every, c.noiseK, 3, c.course)
		m := FitModel(log, load, false)
		for _, why := range append(c.why, "not first-order: no forecast") {
			wantAbsent(t, c.name, m.FinalC, why)
			wantAbsent(t, c.name, m.TauS, why)
			wantAbsent(t, c.name, m.WithinS(1), why)
		}
		if m.Fitted() != c.fitted {
			t.Errorf("%s: %+v", c.name, m)
		}
	}
}

// How often the true final temperature lies beyond t(0.975; n − p)·u(T∞) on either side: one time in twenty. Of 400 seeded soaks, 20
// with a standard deviation of 4.4.
func TestUncertaintyOfTheFinalTemperature(t *testing.T) {
	out, chosen := 0, 0
	const soaks = 400
	for seed := range uint64(soaks) {
		log, load := sampled(t, 600, 5, 0.5, seed, heats(28, 66, 150))
		m := FitModel(log, load, false)
		if len(m.Terms) != 1 || !m.FinalC.OK {
			continue
		}
		chosen++
		if math.Abs(m.FinalC.X-66) > compute.TQuantile(0.975, float64(m.DF()))*m.UFinal {
			out++
		}
	}
	if chosen < 0.95*soaks {
		t.Errorf("one term in %d of %d soaks", chosen, soaks)
	}
	if out < 7 || out > 35 {
		t.Errorf("%d of %d final temperatures outside of their 95 %% interval", out, chosen)
	}
}

// Whatever the log, nothing that is not a number comes out, and what is forecast meets its conditions.
func TestFitNeverRunsAway(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "samples")
		scale := math.Pow(10, rapid.Float64Range(-12, 7).Draw(t, "scale"))
		shape := rapid.SampledFrom([]string{"any", "steps", "line", "spike", "sum", "decay"}).Draw(t, "shape")
		at, timesNS, values := int64(0), []int64(nil), []float64(nil)
		for i := range n {
			x := float64(i)
			v := map[string]float64{"any": rapid.Float64Range(-1, 1).Draw(t, "value"), "steps": math.Floor(x / 7), "line": x, "spike": 0, "sum": math.Exp(x / 9),
				"decay": math.Exp(-x/3) + 1e-7*math.Exp(-x/40)}[shape]
			if shape == "spike" && i == n/2 {
				v = 1
			}
			timesNS, values = append(timesNS, at), append(values, 20+scale*v)
			at += rapid.SampledFrom([]int64{1, 1e3, 1e8, 1e9, 1e9, 5e9, 6e11, 0}).Draw(t, "interval")
		}
		log, err := series.New(timesNS, values)
		if err != nil {
			t.Skip(err)
		}
		whole := log.Whole()
		m := FitModel(log, whole, false)
		for _, x := range append([]float64{m.FitFinal, m.R1, m.FromS, m.At(0), m.At(1e4)}, m.FinalC.X, m.TauS.X) {
			if math.IsNaN(x) || math.IsInf(x, 0) && m.FinalC.OK {
				t.Fatalf("%g in %+v", x, m)
			}
		}
		if math.IsNaN(m.UFinal) || m.UFinal < 0 || m.FinalC.OK != m.TauS.OK {
			t.Fatalf("%+v", m)
		}
		if m.FinalC.OK && (!(m.R1 < 0.3) || !(m.UFinal < 1) || !(whole.Seconds() > 2*m.TauS.X) || !m.WithinS(0.5).OK) {
			t.Fatalf("a forecast against its conditions: %+v", m)
		}
		OfProbe(log, whole, Protocol{}) // reads every branch without a panic
	})
}

// A curve in other units, from another zero, or on a slower clock is the same curve.
func TestFitFollowsItsUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tau := rapid.Float64Range(20, 150).Draw(t, "tau")
		seed := rapid.Uint64().Draw(t, "seed")
		factor := rapid.SampledFrom([]float64{-2, 0.25, 0.5, 2}).Draw(t, "factor") // powers of two, so that no value is rounded otherwise
		slower := rapid.SampledFrom([]int64{2, 3, 10}).Draw(t, "slower")
		r := rand.New(rand.NewPCG(seed, 1))
		var timesNS, later []int64
		var values, other []float64
		for i := range int64(300) {
			v := 70 - 40*math.Exp(-2*float64(i)/tau) + 0.1*r.NormFloat64()
			timesNS, values = append(timesNS, 2e9*i), append(values, v)
			later, other = append(later, 2e9*i*slower+5e15), append(other, factor*v+16)
		}
		a, err := series.New(timesNS, values)
		if err != nil {
			t.Fatal(err)
		}
		b, err := series.New(later, other)
		if err != nil {
			t.Fatal(err)
		}
		m, o := FitModel(a, a.Whole(), false), FitModel(b, b.Whole(), false)
		if !m.FinalC.OK || len(m.Terms) != len(o.Terms) {
			t.Skip("the noise looks like a second term or a course")
		}
		wantNear(t, "final", compute.Known(o.FitFinal), factor*m.FitFinal+16, 1e-6)
		wantNear(t, "u", compute.Known(o.UFinal), math.Abs(factor)*m.UFinal, 1e-6)
		for k, term := range m.Terms {
			wantNear(t, "tau", compute.Known(o.Terms[k].TauS), term.TauS*float64(slower), 1e-4*term.TauS)
		}
	})
}

package compute

import (
	"math"
	"testing"
)

// counted are launches of a minute each with the events given.
func counted(events ...float64) CellStat {
	m, _ := MetricByName("hitch_events")
	return Cell(m, launchesOf(events...))
}

// Worked by hand: over equal times the events of one side are binomial with p = 1/2, and tails of 2⁻ⁿ·Σ binomial coefficients.
func TestCountsOverEqualTimes(t *testing.T) {
	m, _ := MetricByName("hitch_events")
	for _, c := range []struct {
		name    string
		a, base []float64
		p       float64
		want    Verdict
	}{
		{"0 against 5", []float64{0, 0}, []float64{2, 3}, 2.0 / 32, Unresolved},
		{"0 against 6", []float64{0, 0}, []float64{3, 3}, 2.0 / 64, Ahead},
		{"6 against 0", []float64{3, 3}, []float64{0, 0}, 2.0 / 64, Behind},
		{"1 against 9", []float64{1, 0}, []float64{4, 5}, 2 * 11.0 / 1024, Ahead},
		{"1 against 1", []float64{1, 0}, []float64{0, 1}, 1, Unresolved},
		{"none at all", []float64{0, 0}, []float64{0, 0}, 1, Unresolved},
		{"one launch", []float64{0}, []float64{3, 3}, math.NaN(), Single},
		// Variance 50, mean 5 in one side's launches.
		{"crowded", []float64{0, 10}, []float64{30, 30}, math.NaN(), ""},
	} {
		r := Compare(m, counted(c.a...), counted(c.base...), noSessionSpread, DefaultMargin)
		if r.Verdict != c.want || r.Verdict == "" && r.Why == "" {
			t.Errorf("%s: %s (%s), want %s", c.name, r.Verdict, r.Why, c.want)
		}
		if !math.IsNaN(c.p) {
			wantValue(t, c.name+" p", r.P, c.p, 1e-12)
		}
	}
}

// With all n events on one side the interval has a closed form: the other side's share is at most 1 − 0.025^(1/n), so the ratio of
// rates over times in the proportion 1 : 2 is at most twice that odds. 0 events in 2 min against 7 in 4 min.
func TestCountInterval(t *testing.T) {
	m, _ := MetricByName("hitch_events")
	none, seven := counted(0, 0), counted(2, 1, 2, 2)
	r := Compare(m, none, seven, noSessionSpread, DefaultMargin)
	share := 1 - math.Pow(0.025, 1.0/7)
	wantValue(t, "low", r.Low, -100, 0)
	wantValue(t, "high", r.High, 100*(share/(1-share)*2-1), 1e-10)
	wantValue(t, "difference", r.Difference, -7.0/4, 1e-15)
	// Seven misses at 2/3 each, twice.
	wantValue(t, "p", r.P, 2*math.Pow(2.0/3, 7), 1e-12)
	wantValue(t, "percent", r.Percent, -100, 0)

	back := Compare(m, seven, none, noSessionSpread, DefaultMargin)
	wantValue(t, "low back", back.Low, 100*((1-share)/share/2-1), 1e-10)
	if back.High.OK || back.Ratio.OK || back.High.Why == "" {
		t.Errorf("no upper limit: %+v", back)
	}
	if empty := Compare(m, none, none, noSessionSpread, DefaultMargin); empty.Low.OK || empty.High.OK || !empty.P.OK {
		t.Errorf("no events: %+v", empty)
	}
}

// Clopper–Pearson intervals as tabulated by R. G. Newcombe, Statistics in Medicine 17, 1998, Table I (from memory), to 4 decimals.
func TestClopperPearson(t *testing.T) {
	for _, c := range []struct{ x, n, low, high float64 }{
		{81, 263, 0.2527, 0.3676}, {15, 148, 0.0578, 0.1617}, {0, 20, 0, 0.1684}, {1, 29, 0.0009, 0.1776},
	} {
		low, high := clopperPearson(c.x, c.n, 0.95)
		if math.Abs(low-c.low) > 5e-5 || math.Abs(high-c.high) > 5e-5 {
			t.Errorf("%g of %g: [%.4f, %.4f], want [%.4f, %.4f]", c.x, c.n, low, high, c.low, c.high)
		}
		// What defines the interval: each end leaves 2.5 % beyond it.
		if c.x > 0 && !agree(binomialAtLeast(c.x, c.n, low), 0.025, 1e-9) || !agree(binomialAtMost(c.x, c.n, high), 0.025, 1e-9) {
			t.Errorf("%g of %g: tails %g and %g", c.x, c.n, binomialAtLeast(c.x, c.n, low), binomialAtMost(c.x, c.n, high))
		}
	}
}

func TestCountedCell(t *testing.T) {
	c := counted(1, 3, 5)
	wantValue(t, "mean", c.Mean, 3, 0)
	wantValue(t, "dispersion", c.Dispersion, 4.0/3, 1e-15)
	if c.Events != 9 || c.Minutes != 3 || c.Low.OK || c.SD.OK {
		t.Errorf("%+v", c)
	}
	m, _ := MetricByName("hitch_events")
	if m.MeanUnit() != "events/min" {
		t.Errorf("unit of the mean: %s", m.MeanUnit())
	}
	if c := Cell(m, []Sample{{Value: Known(1)}}); c.Mean.OK || c.Why != "no time to count in" {
		t.Errorf("no time: %+v", c)
	}
}

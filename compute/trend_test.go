package compute

import (
	"math"
	"testing"
)

func TestTheilSen(t *testing.T) {
	for _, c := range []struct {
		name string
		y    []float64
		want float64
	}{
		{"two", []float64{3, 5}, 2},
		{"level", []float64{4, 4, 4}, 0},
		// Slopes 1, 3/2, 2/3, 2, 1/2, −1: in order −1, 1/2, 2/3, 1, 3/2, 2, so (2/3 + 1)/2.
		{"four by hand", []float64{1, 2, 4, 3}, 5.0 / 6},
		// Two of ten values are anything: 28 of the 45 pairs are of the others, so more than half of the slopes are 2.
		{"two wild ones in ten", []float64{0, 2, 4, -900, 8, 10, 12, 700, 16, 18}, 2},
	} {
		if got := theilSen(c.y); math.Abs(got-c.want) > 1e-15 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestMannKendall(t *testing.T) {
	for _, c := range []struct {
		name string
		y    []float64
		s    int
		z    float64
	}{
		// US EPA, Data Quality Assessment: Statistical Methods for Practitioners, QA/G-9S, the example with ties of four and of
		// two, as quoted on a public page: S = 22, variance 155.33, z = 1.685. (11·10·27 − 4·3·13 − 2·1·9)/18 = 2796/18.
		{"EPA QA/G-9S", []float64{10, 10, 10, 5, 10, 20, 18, 17, 15, 24, 15}, 22, 21 / math.Sqrt(2796.0/18)},
		// A college course's worked example with a tie of two: S = 54, z = 2.9058. (14·13·33 − 2·1·9)/18 = 5988/18.
		{"one tie", []float64{12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7}, 54, 53 / math.Sqrt(5988.0/18)},
		// All 45 pairs of ten fall; 10·9·25/18 = 125.
		{"falling", []float64{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, -45, -44 / math.Sqrt(125)},
		// Pairs 1<2 twice, 1<1 none, 2>1: +1 +1 +0 +0 −1 −1 = 0 with both ties of two.
		{"no trend", []float64{1, 2, 2, 1}, 0, 0},
		{"all tied", []float64{7, 7, 7}, 0, 0},
		{"two tied and one above: +2, (3·2·11 − 2·1·9)/18 = 48/18", []float64{1, 1, 2}, 2, 1 / math.Sqrt(48.0/18)},
		{"one", []float64{7}, 0, 0},
	} {
		s, z := mannKendall(c.y)
		if s != c.s || math.Abs(z-c.z) > 1e-14 {
			t.Errorf("%s: S %d, z %v, want %d, %v", c.name, s, z, c.s, c.z)
		}
	}
	for name, c := range map[string][2]float64{"EPA": {21 / math.Sqrt(2796.0/18), 1.685}, "course": {53 / math.Sqrt(5988.0/18), 2.9058}} {
		if math.Abs(c[0]-c[1]) > 5e-4 {
			t.Errorf("%s: %v is not the printed %v", name, c[0], c[1])
		}
	}
}

func TestDriftOverBlocks(t *testing.T) {
	falling := make([]float64, 10)
	for i := range falling {
		falling[i] = 0.5 - 0.003*float64(i)
	}
	pct, p := Drift(falling)
	wantValue(t, "drift", pct, 100*(math.Exp(-0.03)-1), 1e-12)
	// z = −44/√125 = −3.93548; the two-sided p from a normal table is 8.30e-5.
	wantValue(t, "p", p, 8.30e-5, 1e-3)
	if pct, p := Drift([]float64{1, 1, 1}); pct != Known(0) || p != Known(1) {
		t.Errorf("level: %+v %+v", pct, p)
	}
	if pct, p := Drift([]float64{1}); pct.OK || p.OK || pct.Why == "" {
		t.Errorf("one block: %+v %+v", pct, p)
	}
	// The slope of the same series in its own unit, with the same p.
	slope, p := Trend(falling)
	wantValue(t, "slope", slope, -0.003, 1e-12)
	wantValue(t, "p of the trend", p, 8.30e-5, 1e-3)
}

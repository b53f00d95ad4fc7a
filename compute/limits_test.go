package compute

import (
	"math"
	"testing"
)

func TestLimitedElsewhere(t *testing.T) {
	const fhd, qhd, uhd = 1920 * 1080, 2560 * 1440, 3840 * 2160
	for _, c := range []struct {
		a, b int64
		x, y float64
		want bool
	}{
		{qhd, uhd, 103, 100, true}, // 2.25 times the pixels, exactly 3 % apart
		{uhd, qhd, 100, 103, true},
		{qhd, uhd, 103.1, 100, false},
		{qhd, uhd, 200, 100, false},
		{fhd, qhd, 101, 100, true},          // 1.78 times
		{1500, 1000, 100, 100, true},        // exactly 1.5 times
		{1499, 1000, 100, 100, false},       // just not
		{qhd, uhd, 0, 0, false},             // no rates
		{3440 * 1440, qhd, 100, 100, false}, // 1.34 times
	} {
		if got := LimitedElsewhere(c.a, c.b, c.x, c.y); got != c.want {
			t.Errorf("%d and %d pixels at %g and %g fps: %v", c.a, c.b, c.x, c.y, got)
		}
	}
	if !Alike(100, 100.3) || !Alike(100.3, 100) || Alike(100, 100.31) || Alike(0, 0) {
		t.Error("alike")
	}
}

// Four cells whose first passes are 1, 2, 3 and 4 % faster on the log scale: the mean is 0.025, the standard deviation
// 0.01·√(5/3), so t = 0.025/(0.01·√(5/3)/2) = √15 with 3 degrees of freedom. P(|t₃| ≥ t) has the closed form
// 1 − (2/π)(θ + sin θ cos θ) with θ = arctan(t/√3) (Abramowitz and Stegun 26.7.3).
func TestPassOrder(t *testing.T) {
	var cells [][]float64
	for i := 1; i <= 4; i++ {
		cells = append(cells, []float64{100 * math.Exp(0.01*float64(i)), 100, 100})
	}
	cells = append(cells, []float64{60}, nil) // no later pass
	o := FindPassOrder(cells)
	theta := math.Atan(math.Sqrt(15) / math.Sqrt(3))
	wantValue(t, "percent", o.Percent, 100*(math.Exp(0.025)-1), 1e-12)
	wantValue(t, "p", o.P, 1-2/math.Pi*(theta+math.Sin(theta)*math.Cos(theta)), 1e-10)
	if o.Cells != 4 || o.DF.X != 3 || o.Matters {
		t.Errorf("%+v", o)
	}
	cold := FindPassOrder([][]float64{{98, 100, 100}, {97.9, 100, 100}, {98.1, 100, 100}, {98, 100, 100}})
	if !cold.Matters || cold.Percent.X > -1.9 || cold.Percent.X < -2.1 {
		t.Errorf("a cold first pass: %+v", cold)
	}
	if o := FindPassOrder([][]float64{{98, 100}, {98.0001, 100}}); !o.P.OK || o.P.X > 0.01 || o.Matters {
		t.Errorf("two cells that agree to the last digit: %+v", o)
	}
	if o := FindPassOrder(nil); o.Percent.OK || o.P.Why != "no cell with two passes" || o.Matters {
		t.Errorf("no cells: %+v", o)
	}
	if o := FindPassOrder([][]float64{{98, 100}}); !o.Percent.OK || o.P.OK || o.Matters {
		t.Errorf("one cell: %+v", o)
	}
	if o := FindPassOrder([][]float64{{100, 100}, {60, 60}}); o.P.OK || o.Matters {
		t.Errorf("nothing varies: %+v", o)
	}
}

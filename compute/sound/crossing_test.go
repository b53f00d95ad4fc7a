package sound

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
)

// Straight lines by hand: 38 dB are half of the way from 36 to 40 dB and a quarter of it from 37 to 41 dB.
func TestCross(t *testing.T) {
	known := []compute.Value{compute.Known(10), compute.Known(20), compute.Known(60)}
	for _, c := range []struct {
		levels []float64
		target float64
		want   float64
		why    string
	}{
		{[]float64{36, 40, 44}, 38, 15, ""},
		{[]float64{30, 37, 41}, 38, 30, ""},
		{[]float64{36, 40, 44}, 36, 10, ""},
		{[]float64{36, 40, 44}, 40, 20, ""},
		{[]float64{36, 40, 44}, 44, 60, ""},
		{[]float64{36, 40, 44}, 35.9, 0, "outside the steps noted, 36.0 to 44.0 dB"},
		{[]float64{36, 40, 44}, 44.1, 0, "outside the steps noted"},
		{[]float64{36, 35, 44}, 38, 0, "does not rise"},
		{[]float64{36, 36, 44}, 38, 0, "does not rise"},
		{[]float64{36}, 36, 0, "fewer than two"},
		{nil, 36, 0, "fewer than two"},
	} {
		got, why := Cross(c.levels, c.target)
		switch {
		case c.why != "" && !strings.Contains(why, c.why), c.why == "" && why != "":
			t.Errorf("%v at %g: %q, want %q", c.levels, c.target, why, c.why)
		case c.why == "" && got.Of(known) != compute.Known(c.want):
			t.Errorf("%v at %g: %+v comes to %+v, want %g", c.levels, c.target, got, got.Of(known), c.want)
		}
	}
	c, _ := Cross([]float64{36, 40}, 38)
	if v := c.Of([]compute.Value{compute.Absent("none"), compute.Known(1)}); v.OK || v.Why != "none" {
		t.Errorf("%+v", v)
	}
}

// Where a straight line carries both figures, the one follows from the other exactly, and never leaves its two steps.
func TestCrossProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		levels := rapid.SliceOfNDistinct(rapid.IntRange(200, 700), 2, 8, rapid.ID[int]).Draw(t, "levels")
		slices.Sort(levels)
		var x []float64
		var y []compute.Value
		for _, l := range levels {
			x, y = append(x, float64(l)/10), append(y, compute.Known(100-float64(l)/20))
		}
		target := rapid.Float64Range(x[0], x[len(x)-1]).Draw(t, "target")
		c, why := Cross(x, target)
		if why != "" || c.Share < 0 || c.Share > 1 || x[c.From] > target || x[c.From+1] < target {
			t.Fatalf("%+v, %q", c, why)
		}
		if v := c.Of(y); !v.OK || math.Abs(v.X-(100-target/2)) > 1e-9 {
			t.Fatalf("%+v at %g", v, target)
		}
	})
}

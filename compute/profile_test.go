package compute

import (
	"math"
	"slices"
	"testing"
)

// By hand: 100 frames of 10 ms make 100 fps, 50 of 20 ms 50 fps; a frame across the edge counts in each second by its part.
func TestSecondRates(t *testing.T) {
	frames := slices.Concat(slices.Repeat([]int64{10_000_000}, 100), slices.Repeat([]int64{20_000_000}, 50), []int64{400_000_000, 400_000_000, 400_000_000})
	want := []float64{100, 50, 2.5} // 400 ms go 2.5 times into a second
	if got := SecondRates(frames); len(got) != 3 || math.Abs(got[0]-want[0]) > 1e-9 || math.Abs(got[1]-want[1]) > 1e-9 || math.Abs(got[2]-want[2]) > 1e-9 {
		t.Errorf("%v, want %v", got, want)
	}
	if got := SecondRates([]int64{999_999_999}); got != nil {
		t.Errorf("no whole second gives %v", got)
	}
}

// By hand: beside 100, 50 and 80, whose median is 80, 100 is 25 % faster; only seconds that all have are compared, and a single pass is beside nothing.
func TestSecondsBeside(t *testing.T) {
	rates := [][]float64{{100, 60, 60}, {50, 60}, {80, 0}}
	if got := SecondsBeside(rates, 0); len(got) != 2 || math.Abs(got[0].X-25) > 1e-9 || got[1] != Known(0) {
		t.Errorf("%v", got)
	}
	if got := SecondsBeside([][]float64{{0}, {0}, {60}}, 2); got[0].OK {
		t.Errorf("beside two seconds without a frame stands %v", got)
	}
	if got := SecondsBeside(rates[:1], 0); got != nil {
		t.Errorf("one pass alone: %v", got)
	}
}

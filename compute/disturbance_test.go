package compute

import (
	"math"
	"slices"
	"testing"
)

// Each case is a pass beside siblings at 100 fps, 20 s long; slow holds its rate where that is not 100.
func TestDisturbances(t *testing.T) {
	steady := seconds(20, 100)
	with := func(usual float64, slow map[int]float64) []float64 {
		rates := seconds(20, usual)
		for s, r := range slow {
			rates[s] = r
		}
		return rates
	}
	for _, c := range []struct {
		name     string
		pass     []float64
		siblings [][]float64
		startNS  int64
		want     []Stretch
	}{
		{"two seconds at 94", with(100, map[int]float64{5: 94, 6: 94}), [][]float64{steady, steady}, 0, []Stretch{{5, 7, 6}}},
		{"two at 96", with(100, map[int]float64{5: 96, 6: 96}), [][]float64{steady, steady}, 0, nil},
		{"two at 94 apart", with(100, map[int]float64{5: 94, 7: 94}), [][]float64{steady, steady}, 0, nil},
		{"one at 85", with(100, map[int]float64{5: 85}), [][]float64{steady, steady}, 0, nil},
		{"one at 79", with(100, map[int]float64{5: 79}), [][]float64{steady, steady}, 0, []Stretch{{5, 6, 21}}},
		// (6 + 21 + 9)/3.
		{"a deep one is of the stretch it lies in", with(100, map[int]float64{5: 94, 6: 79, 7: 91}), [][]float64{steady, steady}, 0, []Stretch{{5, 8, 12}}},
		{"the first and the last seconds", with(100, map[int]float64{0: 90, 1: 90, 18: 50, 19: 70}), [][]float64{steady, steady}, 0, []Stretch{{0, 2, 10}, {18, 20, 40}}},
		{"from the start of the capture", with(100, map[int]float64{0: 90, 1: 90}), [][]float64{steady, steady}, 2.25e9, []Stretch{{2.25, 4.25, 10}}},
		// 94 of the usual 96 is 2.1 % below; 86.4 of 96 is 10 % below.
		{"slower throughout", with(96, map[int]float64{5: 94, 6: 94, 11: 86.4, 12: 86.4}), [][]float64{steady, steady}, 0, []Stretch{{11, 13, 10}}},
		{"no frame for a second", with(100, map[int]float64{5: 0}), [][]float64{steady, steady}, 0, []Stretch{{5, 6, 100}}},
		// The siblings' median is 106, so the pass is 5.7 % below it; among all three 100 is the middle.
		{"a sibling that is fast for a while", steady, [][]float64{steady, with(100, map[int]float64{5: 112, 6: 112, 7: 112})}, 0, nil},
		{"one that is slow for a while", steady, [][]float64{steady, with(100, map[int]float64{5: 50, 6: 50})}, 0, nil},
		{"two passes: beside the other", with(100, map[int]float64{5: 94, 6: 94}), [][]float64{steady}, 0, []Stretch{{5, 7, 6}}},
		{"the other of two", steady, [][]float64{with(100, map[int]float64{5: 94, 6: 94})}, 0, nil},
		{"seconds in which no sibling has a frame", with(100, map[int]float64{5: 0, 6: 0}), [][]float64{with(100, map[int]float64{5: 0, 6: 0}), with(100, map[int]float64{5: 0, 6: 0})}, 0, nil},
		{"most seconds empty", with(0, map[int]float64{5: 90}), [][]float64{steady, steady}, 0, nil},
		{"all empty", seconds(20, 0), [][]float64{seconds(20, 0), seconds(20, 0)}, 0, nil},
	} {
		got := disturbances(slices.Insert(slices.Clone(c.siblings), 1, c.pass), 1, c.startNS)
		if !slices.EqualFunc(got, c.want, func(a, b Stretch) bool {
			return a.FromS == b.FromS && a.ToS == b.ToS && math.Abs(a.BelowPct-b.BelowPct) < 1e-9
		}) {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

func TestLongest(t *testing.T) {
	if got, found := (SiblingCheck{}).Longest(); found || got != (Stretch{}) {
		t.Errorf("none: %+v", got)
	}
	c := SiblingCheck{Disturbances: []Stretch{{1, 2, 30}, {4, 7, 6}, {9, 12, 40}}}
	if got, found := c.Longest(); !found || got != (Stretch{4, 7, 6}) {
		t.Errorf("of three: %+v", got)
	}
}

// By way of frames: 25 fps for two seconds of a pass whose first kept frame starts 5.4 s into its capture.
func TestDisturbedFrames(t *testing.T) {
	good := []int64{100, 80, 50, 80, 100, 125, 100, 80, 50, 80, 100, 125}
	bad := slices.Clone(good)
	bad[3], bad[4] = 40, 25 // of 80 and 100: 50 and 75 % below
	got := CompareSiblings([]*Pass{passAt(5.4e9, good...), passAt(5.4e9, bad...), passAt(5.3e9, good...)})
	for k, c := range got.Checks {
		longest, found := c.Longest()
		switch {
		case found != (k == 1):
			t.Errorf("pass %d: %+v", k+1, c)
		case found && (math.Abs(longest.FromS-8.4) > 1e-9 || math.Abs(longest.ToS-10.4) > 1e-9 || math.Abs(longest.BelowPct-62.5) > 1e-9):
			t.Errorf("pass %d: %+v", k+1, longest)
		}
	}
}

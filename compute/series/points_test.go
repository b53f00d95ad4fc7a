package series

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// By hand: three samples in the first second, none in the second, one in the third, the part of a fourth left out.
func TestPoints(t *testing.T) {
	s := seconds(t, []float64{10, 10.25, 10.75, 12.5, 13, 13.25}, []float64{1, 2, 6, 5, 7, 9})
	at, v := s.Points(span(10, 13.5))
	if !slices.Equal(v, []float64{3, 5}) || math.Abs(at[0]-1.0/3) > 1e-12 || at[1] != 2.5 || len(at) != 2 {
		t.Errorf("%v %v", at, v)
	}
	slow := seconds(t, []float64{10, 11, 12, 14}, []float64{1, 2, 3, 4})
	at, v = slow.Points(span(10.5, 14))
	if !slices.Equal(v, []float64{2, 3, 4}) || !slices.Equal(at, []float64{0.5, 1.5, 3.5}) {
		t.Errorf("%v %v", at, v)
	}
	if got := slow.Values(span(11, 12)); !slices.Equal(got, []float64{2, 3}) {
		t.Errorf("%v", got)
	}
	if at, v := s.Points(span(20, 30)); len(at) != 0 || len(v) != 0 {
		t.Errorf("%v %v", at, v)
	}
}

func TestAbove(t *testing.T) {
	core := seconds(t, []float64{0, 1, 2, 3}, []float64{30, 40, 50, 60})
	room := seconds(t, []float64{0, 2}, []float64{20, 22})
	rise := core.Above(room)
	if rise.Len() != 3 { // the room's log ends at 2 s
		t.Fatalf("%d", rise.Len())
	}
	for i, want := range []float64{10, 19, 28} {
		if _, v := rise.Sample(i); v != want {
			t.Errorf("%d: %v", i, v)
		}
	}
	if far := seconds(t, []float64{90, 91}, []float64{1, 1}); core.Above(far) != nil {
		t.Error("no time in common")
	}
}

// The highest of several is at least each of them wherever all have a value, and is one of them.
func TestHighest(t *testing.T) {
	if Highest(nil) != nil {
		t.Error("of none")
	}
	rapid.Check(t, func(t *rapid.T) {
		var group []*Series
		for range rapid.IntRange(1, 4).Draw(t, "probes") {
			_, _, s := irregular(t)
			group = append(group, s)
		}
		highest := Highest(group)
		if highest == nil {
			return
		}
		for i := range highest.Len() {
			at, v := highest.Sample(i)
			best := math.Inf(-1)
			for _, s := range group {
				x := s.At(at)
				if !x.OK {
					t.Fatalf("a value at %d where a probe has none", at)
				}
				best = max(best, x.X)
			}
			if best != v {
				t.Fatalf("%v at %d, want %v", v, at, best)
			}
		}
		for _, s := range group { // a gap of one is a gap of the highest
			for _, g := range s.Gaps(s.Whole()) {
				if highest.coveredNS(g) != 0 {
					t.Fatalf("bridges %v of a probe", g)
				}
			}
		}
	})
}

package chart

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func anyReadings() *rapid.Generator[[]Reading] {
	return rapid.Custom(func(t *rapid.T) []Reading {
		var out []Reading
		at := 0.0
		for range rapid.IntRange(0, 40).Draw(t, "readings") {
			at += rapid.Float64Range(0.1, 200).Draw(t, "step")
			out = append(out, Reading{at, rapid.Float64Range(-40, 120).Draw(t, "x")})
		}
		return out
	})
}

func TestSoakLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Soak{Head: anyHead().Draw(t, "head"), Unit: rapid.SampledFrom([]string{"temperature, °C", "clock, MHz"}).Draw(t, "unit"), Better: Direction(rapid.IntRange(0, 2).Draw(t, "better")),
			Across: rapid.SampledFrom([]string{"", "", "dB", "%"}).Draw(t, "across")}
		for i := range rapid.IntRange(1, 24).Draw(t, "curves") {
			c.Curves = append(c.Curves, Curve{Row: anyRow(i).Draw(t, "row"), Points: anyReadings().Draw(t, "points"), Model: anyReadings().Draw(t, "model"),
				Quiet: rapid.Bool().Draw(t, "quiet"), Steps: rapid.Bool().Draw(t, "steps"), Said: rapid.OneOf(rapid.Just(""), anyName()).Draw(t, "said")})
		}
		for range rapid.IntRange(0, 4).Draw(t, "marks") {
			c.Marks = append(c.Marks, Moment{rapid.Float64Range(0, 2000).Draw(t, "at"), anyName().Draw(t, "words")})
		}
		checkLayout(t, c.Picture(anyFormat().Draw(t, "format"), anyLook().Draw(t, "look")))
	})
}

// Thinning keeps the highest and the lowest point of every unit, and the order.
func TestThinKeepsPeaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var points []Point
		x := 0.0
		for range rapid.IntRange(1, 300).Draw(t, "points") {
			x += rapid.Float64Range(0.01, 0.5).Draw(t, "step")
			points = append(points, Point{x, rapid.Float64Range(0, 100).Draw(t, "y")})
		}
		type ends struct{ low, high float64 }
		of := func(list []Point) map[float64]ends {
			out := map[float64]ends{}
			for _, p := range list {
				e, ok := out[math.Floor(p.X)]
				if !ok {
					e = ends{p.Y, p.Y}
				}
				out[math.Floor(p.X)] = ends{min(e.low, p.Y), max(e.high, p.Y)}
			}
			return out
		}
		got := thin(points)
		before, after := of(points), of(got)
		for k, want := range before {
			if after[k] != want {
				t.Fatalf("unit %v reaches %v, thinned %v", k, want, after[k])
			}
		}
		for i := 1; i < len(got); i++ {
			if got[i].X <= got[i-1].X {
				t.Fatalf("points out of order: %v, %v", got[i-1], got[i])
			}
		}
	})
}

// Labels keep their order and their room, stay between their limits if there is room for all, and do not move where they are free.
func TestSpread(t *testing.T) {
	if got := spread([]float64{10, 50, 90}, 10, 0, 100); got[0] != 10 || got[1] != 50 || got[2] != 90 {
		t.Errorf("free labels moved: %v", got)
	}
	if got := spread([]float64{50, 50}, 10, 0, 100); got[0] != 45 || got[1] != 55 {
		t.Errorf("two of one wish do not stand around it: %v", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOfN(rapid.Float64Range(0, 100), 1, 20).Draw(t, "want")
		for i := 1; i < len(want); i++ {
			want[i] = max(want[i], want[i-1])
		}
		got := spread(want, 5, 0, 100)
		for i := range got {
			if got[i] < 2.5-1e-9 || got[i] > 97.5+1e-9 || i > 0 && got[i]-got[i-1] < 5-1e-9 {
				t.Fatalf("%v spreads to %v", want, got)
			}
		}
	})
}

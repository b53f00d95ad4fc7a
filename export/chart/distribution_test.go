package chart

import (
	"testing"

	"pgregory.net/rapid"
)

func TestDistributionLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Distribution{Head: anyHead().Draw(t, "head"), Marks: []string{"half of the frames are within", "99 % are within", "99.9 % are within"}[:rapid.IntRange(0, 3).Draw(t, "marks")]}
		for i := range rapid.IntRange(1, 24).Draw(t, "lanes") {
			d.Lanes = append(d.Lanes, Distributed{Row: anyRow(i).Draw(t, "row"), MS: anyTimes(40).Draw(t, "ms"), Note: anyName().Draw(t, "note"),
				At: rapid.SliceOfN(anyFigure(4000), 0, 4).Draw(t, "at")})
		}
		checkLayout(t, d.Picture(anyFormat().Draw(t, "format"), anyLook().Draw(t, "look")))
	})
}

// Every frame is counted once, and a single one in very many still has ink.
func TestDistributionLosesNoFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ms := anyTimes(300).Draw(t, "ms")
		axis := reachOf([][]float64{ms}, 0)
		axis.from, axis.to = 100, 1700
		n := 0
		for _, k := range counts(ms, axis, rapid.IntRange(1, 500).Draw(t, "steps")) {
			n += k
		}
		if n != len(ms) {
			t.Fatalf("%d frames, %d counted", len(ms), n)
		}
	})
	ms := make([]float64, 100_000)
	for i := range ms {
		ms[i] = 10
	}
	p := Distribution{Lanes: []Distributed{{Row: Row{ID: "heron"}, MS: append(ms, 45)}}}.Picture(Wide, Look{})
	filled := 0
	for _, l := range p.Layers {
		for _, s := range l.Shapes {
			if s.Fill == hueOf(0) {
				filled++
			}
		}
	}
	if filled != 3 { // the commonest, the rare one, and the card's mark beside its name
		t.Errorf("%d filled shapes", filled)
	}
}

package chart

import (
	"io"
	"testing"
)

// The two that a large review's charts cost most: 24 cards in 4K, and frame times of 24 passes.
func BenchmarkRailsPNG4K(b *testing.B) {
	p := stress(24).Picture(Wide, Look{})
	for b.Loop() {
		if err := p.WritePNG(io.Discard, Dark, 3840); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRailsLayoutSVG(b *testing.B) {
	for b.Loop() {
		if err := stress(24).Picture(Wide, Look{}).WriteSVG(io.Discard, Page); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFrameTimesSVG(b *testing.B) {
	c := manyFrames()
	for b.Loop() {
		if err := c.Picture(Wide, Look{}).WriteSVG(io.Discard, Page); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFrameTimesPNG4K(b *testing.B) {
	p := manyFrames().Picture(Wide, Look{})
	for b.Loop() {
		if err := p.WritePNG(io.Discard, Clear, 3840); err != nil {
			b.Fatal(err)
		}
	}
}

func manyFrames() (c FrameTimes) {
	for i := range 24 {
		l := Lane{Row: Row{Order: i, Name: "Heron 7 X"}}
		for k := range 12_000 {
			l.MS = append(l.MS, 5+float64(k*k%97)/40)
		}
		c.Lanes = append(c.Lanes, l)
	}
	return c
}

package chart

import (
	"bytes"
	"io"
	"testing"
)

// A long line that is stroked in pieces has every step of the whole in one of them, and every corner has both its sides in one, so that it is joined.
func TestPiecesOfALineLeaveNothingOut(t *testing.T) {
	for _, n := range []int{1, 48, 49, 50, 72, 73, 74, 1000} {
		var whole []Segment
		for i := range n {
			op := byte('L')
			if i == 0 || i == 61 {
				op = 'M' // a line that is parted
			}
			whole = append(whole, Segment{Op: op, P: [3]Point{{float64(i), float64(i * i % 7)}}})
		}
		steps, corners := map[float64]int{}, map[float64]int{}
		for _, piece := range pieces(Shape{Path: whole}) {
			for i, seg := range piece {
				if i == 0 && seg.Op != 'M' {
					t.Fatalf("of %d steps: a piece begins with %q", n, seg.Op)
				}
				if i > 0 && seg.Op == 'L' {
					if seg.P[0].X != piece[i-1].P[0].X+1 {
						t.Fatalf("of %d steps: from %g to %g", n, piece[i-1].P[0].X, seg.P[0].X)
					}
					steps[seg.P[0].X]++
				}
				if i > 1 && seg.Op == 'L' && piece[i-1].Op == 'L' {
					corners[piece[i-1].P[0].X]++
				}
			}
		}
		for i, seg := range whole {
			if seg.Op == 'L' && steps[float64(i)] == 0 {
				t.Errorf("of %d steps the one to %d is missing", n, i)
			}
			if i+1 < n && seg.Op == 'L' && whole[i+1].Op == 'L' && corners[float64(i)] == 0 {
				t.Errorf("of %d steps the corner at %d is in no piece", n, i)
			}
		}
	}
}

// A surface that is used again shows nothing of the picture before.
func TestSurfacesAreClean(t *testing.T) {
	full, empty := stress(3).Picture(Wide, Look{}), Picture{Format: Wide}
	for _, theme := range []Theme{Light, Clear} {
		var before, after bytes.Buffer
		if err := empty.WritePNG(&before, theme, 320); err != nil {
			t.Fatal(err)
		}
		if err := full.WritePNG(io.Discard, theme, 320); err != nil {
			t.Fatal(err)
		}
		if err := empty.WritePNG(&after, theme, 320); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(before.Bytes(), after.Bytes()) {
			t.Errorf("%s: an empty picture differs after another one was drawn", theme)
		}
	}
}

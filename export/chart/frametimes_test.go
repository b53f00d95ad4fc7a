package chart

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func anyTimes(most int) *rapid.Generator[[]float64] {
	return rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(2, 40), rapid.Float64Range(0.01, 3000)), 0, most)
}

// Whatever the number of columns, each frame is within the extent of every column that it was on screen in, each end of an extent is a frame that was on
// screen in that column, and so the longest frame of all is the highest point drawn.
func TestReduceKeepsEveryPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ms := anyTimes(400).Draw(t, "ms")
		columns := rapid.IntRange(1, 50).Draw(t, "columns")
		all := seconds(ms)
		if all == 0 {
			return
		}
		from := rapid.Float64Range(0, all/2).Draw(t, "from")
		to := from + rapid.Float64Range(all/10, all).Draw(t, "length")
		got := reduce(ms, from, to, columns)
		width := (to - from) / float64(columns)
		held := make([][]float64, columns)
		var begin, peak float64
		for _, x := range ms {
			end := begin + x/1000
			for i := range columns {
				left, right := from+float64(i)*width, from+float64(i+1)*width
				if begin < right-1e-9 && end > left+1e-9 {
					held[i] = append(held[i], x)
					if !got[i].any || got[i].low > x || got[i].high < x {
						t.Fatalf("column %d shows %v; a frame of %v ms was on screen in it", i, got[i], x)
					}
					peak = max(peak, x)
				}
			}
			begin = end
		}
		var top float64
		for i, e := range got {
			if !e.any {
				continue
			}
			near := func(v float64) bool { // a frame that touches the column's edge within the rounding may count on either side
				for k := max(0, i-1); k <= min(columns-1, i+1); k++ {
					for _, x := range held[k] {
						if x == v {
							return true
						}
					}
				}
				return false
			}
			if !near(e.low) || !near(e.high) {
				t.Fatalf("column %d shows %v, which no frame of it lasted: %v", i, e, held[i])
			}
			top = max(top, e.high)
		}
		if top < peak {
			t.Fatalf("the longest frame of %v ms is drawn as %v", peak, top)
		}
	})
}

// The line of a lane goes through both ends of every column.
func TestTraceShowsBothEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns := reduce(anyTimes(200).Draw(t, "ms"), 0, 1, rapid.IntRange(1, 60).Draw(t, "columns"))
		path := trace(columns, func(i int) float64 { return float64(i) }, func(ms float64) float64 { return ms })
		seen := map[Point]bool{}
		for _, s := range path {
			seen[s.P[0]] = true
		}
		for i, c := range columns {
			if c.any && (!seen[Point{float64(i), c.low}] || !seen[Point{float64(i), c.high}]) {
				t.Fatalf("column %d %v is not on the line", i, c)
			}
		}
	})
}

func TestFrameTimesLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := FrameTimes{Head: anyHead().Draw(t, "head"), Limit: rapid.SampledFrom([]float64{0, 1000 / 60.}).Draw(t, "limit"), LimitWords: anyName().Draw(t, "words")}
		for i := range rapid.IntRange(1, 24).Draw(t, "lanes") {
			l := Lane{Row: anyRow(i).Draw(t, "row"), MS: anyTimes(30).Draw(t, "ms"), Note: anyName().Draw(t, "note"), Doubt: rapid.Bool().Draw(t, "doubt")}
			for range rapid.IntRange(0, 4).Draw(t, "seconds") {
				l.Seconds = append(l.Seconds, rapid.OneOf(rapid.Just(Figure{}), rapid.Map(rapid.Float64Range(-95, 200), Known)).Draw(t, "second"))
			}
			c.Lanes = append(c.Lanes, l)
		}
		checkLayout(t, c.Picture(anyFormat().Draw(t, "format"), anyLook().Draw(t, "look")))
	})
}

// A band holds one pass, to lie over footage.
func TestBandLayout(t *testing.T) {
	c := FrameTimes{Head: Head{Title: "Fjord Runner", Settings: "3840 × 2160 · highest preset"}, Lanes: []Lane{{Row: Row{Name: "Heron 7 X"}, MS: []float64{16, 17, 90, 16}}}}
	p := c.Picture(Band, Look{})
	checkLayout(t, p)
	plan := planLanes(newSheet(c.Head, Band, Look{}, c.keys(), 0, c.need()*lineHeight*Band.small()), c)
	if b := plan.box(0); b.Bottom-b.Top < 0.25*Band.Height {
		t.Errorf("the lane is %.0f of %.0f high", b.Bottom-b.Top, Band.Height)
	}
}

// A scale is linear from zero unless the longest frame is more than six times the middle one.
func TestFrameTimesScale(t *testing.T) {
	lanes := func(ms ...float64) FrameTimes { return FrameTimes{Lanes: []Lane{{MS: ms}}} }
	if s := lanes(10, 10, 60).reach(); s.log || s.low != 0 {
		t.Errorf("six times the middle: %+v", s)
	}
	if s := lanes(10, 10, 61).reach(); !s.log || s.low <= 0 {
		t.Errorf("over six times the middle: %+v", s)
	}
	s := scale{from: 100, to: 0, low: 1, high: 100, log: true}
	if at := s.at(10); math.Abs(at-50) > 1e-9 {
		t.Errorf("10 of 1 to 100 stands at %v, its logarithm is half way", at)
	}
}

// A second is told slow or fast by where it stands, not by hue alone: below the middle, above it, or a line in it under 5 %.
func TestSecondsWithoutColour(t *testing.T) {
	b := Box{0, 0, 10, 20}
	for percent, want := range map[float64]Box{-91: {0, 10, 10, 20}, 91: {0, 0, 10, 10}, 4.9: {0, 8.5, 10, 11.5}, -4.9: {0, 8.5, 10, 11.5}} {
		path := secondCell(b, percent)[0].Path
		got := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, s := range path[:4] {
			got = Box{min(got.Left, s.P[0].X), min(got.Top, s.P[0].Y), max(got.Right, s.P[0].X), max(got.Bottom, s.P[0].Y)}
		}
		if got != want {
			t.Errorf("%v %%: %v, want %v", percent, got, want)
		}
	}
}

// The description says where time stands, so that an editor can move a mark over footage: a frame that begins at 1 s is drawn there.
func TestTimeStandsWhereItIsSaid(t *testing.T) {
	ms := []float64{500, 500, 2000, 1000} // begun at 10 s, the long frame is on screen from 11 s to 13 s
	c := FrameTimes{Lanes: []Lane{{Row: Row{ID: "heron", Name: "Heron 7 X"}, MS: ms, Start: 10}}}
	p := c.Picture(Band, Look{})
	var at, wide, end float64
	last := p.Desc[strings.LastIndex(p.Desc, "; second")+2:]
	if _, err := fmt.Sscanf(last, "second 10 stands %f units from the left of 1920, each second is %f wide, and second %f is the last", &at, &wide, &end); err != nil || end != 14 {
		t.Fatalf("%q: %v", last, err)
	}
	if b := c.TimeBase(Band, Look{}); b.FromS != 10 || b.ToS != 14 || math.Abs(b.Left-at) > 0.01 || math.Abs(b.PerSecond-wide) > 0.01 {
		t.Errorf("said is second 10 at %v, each %v wide; the time base is %+v", at, wide, b)
	}
	for _, l := range p.Layers {
		for _, s := range l.Shapes {
			if l.ID != "card-heron" || s.Stroke != hueOf(0) {
				continue
			}
			top := math.Inf(1)
			for _, seg := range s.Path {
				top = min(top, seg.P[0].Y)
			}
			first, end := math.Inf(1), 0.0
			for _, seg := range s.Path {
				if seg.P[0].Y == top {
					first, end = min(first, seg.P[0].X), max(end, seg.P[0].X)
				}
			}
			if math.Abs(first-(at+wide)) > 1 || math.Abs(end-(at+3*wide)) > 1 {
				t.Errorf("the frame from 11 s to 13 s is drawn from %v to %v, said is %v to %v", first, end, at+wide, at+3*wide)
			}
		}
	}
}

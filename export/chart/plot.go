package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Plot says what the places in a layer mean, so that a page's script can read figures off its trace and show a stretch of it larger. It is
// written in the theme Page alone.
type Plot struct {
	Box               // where the trace may be
	From, To  float64 // seconds at the left and the right
	Low, High float64 // figures at the bottom and the top
	Log       bool
	Minutes   bool // time is written in minutes
	Unit      string
}

// A Part is what a shape or a text is to a plot: what moves when a stretch of time is shown larger, and how.
type Part string

// The parts. What is none of them stays where it is.
const (
	Trace Part = "trace" // straight lines over time; figures are read of a layer's first
	Timed Part = "timed" // stands at a moment
	Tick  Part = "tick"  // a figure of the time axis
	Whole Part = "whole" // is true of the whole time alone, such as the mark at a trace's end: left out of a stretch
)

// attribute writes a plot as a page's script reads it: left, top, right, bottom, from, to, low, high, then words.
func (p *Plot) attribute() string {
	if p == nil {
		return ""
	}
	var out []string
	for _, x := range []float64{p.Left, p.Top, p.Right, p.Bottom, p.From, p.To, p.Low, p.High} {
		out = append(out, strconv.FormatFloat(x, 'g', 7, 64))
	}
	kind, time := "even", "s"
	if p.Log {
		kind = "log"
	}
	if p.Minutes {
		time = "min"
	}
	return strings.Join(append(out, kind, time, p.Unit), " ")
}

// traceData writes a trace in tenths of a unit, each step from the one before: half of what places from the corner take, and a review
// as large as they come has a million steps. Steps are differences of rounded places, so that nothing adds up.
func traceData(path []Segment) string {
	var b []byte
	var x, y int64
	for _, s := range path {
		nx, ny := int64(math.Round(10*s.P[0].X)), int64(math.Round(10*s.P[0].Y))
		switch {
		case s.Op == 'M':
			b = strconv.AppendInt(append(strconv.AppendInt(append(b, 'M'), nx, 10), ' '), ny, 10)
		case nx == x:
			b = strconv.AppendInt(append(b, 'v'), ny-y, 10)
		default:
			b = strconv.AppendInt(append(b, 'l'), nx-x, 10)
			if ny >= y {
				b = append(b, ' ')
			}
			b = strconv.AppendInt(b, ny-y, 10)
		}
		x, y = nx, ny
	}
	return string(b)
}

// tenfold draws a shape's line as wide where its units are tenths.
func (s Shape) tenfold() Shape {
	s.Width *= 10
	s.Dash = slices.Clone(s.Dash)
	for i := range s.Dash {
		s.Dash[i] *= 10
	}
	return s
}

// joined makes one path of lines that follow one another and look alike: a page has many, and what they look like takes more room than where they are.
func joined(shapes []Shape) (out []Shape) {
	for _, s := range shapes {
		if n := len(out) - 1; n >= 0 && s.Fill == InkNone && out[n].Fill == InkNone && s.Stroke == out[n].Stroke && s.Width == out[n].Width && s.Part == "" && out[n].Part == "" &&
			slices.Equal(s.Dash, out[n].Dash) {
			out[n].Path = slices.Concat(out[n].Path, s.Path)
			continue
		}
		out = append(out, s)
	}
	return out
}

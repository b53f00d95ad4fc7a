package chart

import "math"

// extent is what a column of pixels shows: the least and the most of the frames that were on screen during it.
type extent struct {
	low, high float64
	any       bool
}

// reduce lays frame times (ms, in order; the first begins at 0 s) over so many columns from one second to another. Every frame counts in each
// column that it was on screen in, were it only for a part, so no peak and no dip is lost, whatever the number of columns.
// What is not a positive number is no frame and takes no time.
func reduce(ms []float64, from, to float64, columns int) []extent {
	if columns < 1 || !(to > from) {
		return nil
	}
	out := make([]extent, columns)
	perSecond := float64(columns) / (to - from)
	t := 0.0
	for _, x := range ms {
		if !(x > 0) || math.IsInf(x, 0) {
			continue
		}
		begin, end := (t-from)*perSecond, (t+x/1000-from)*perSecond
		t += x / 1000
		if end <= 0 || begin >= float64(columns) {
			continue
		}
		first := max(0, int(math.Floor(begin)))
		last := min(columns-1, max(first, int(math.Ceil(end))-1))
		for i := first; i <= last; i++ {
			e := &out[i]
			if !e.any {
				*e = extent{x, x, true}
				continue
			}
			e.low, e.high = min(e.low, x), max(e.high, x)
		}
	}
	return out
}

// seconds is how long frames last together.
func seconds(ms []float64) float64 {
	var t float64
	for _, x := range ms {
		if x > 0 && !math.IsInf(x, 0) {
			t += x
		}
	}
	return t / 1000
}

// trace joins columns to one line: in each from one end of its extent to the other, beginning with the nearer one; a column without a frame
// parts the line.
func trace(columns []extent, x func(column int) float64, y func(ms float64) float64) []Segment {
	var path []Segment
	var last float64
	joined := false
	for i, c := range columns {
		if !c.any {
			joined = false
			continue
		}
		a, b := y(c.low), y(c.high)
		if joined && math.Abs(b-last) < math.Abs(a-last) {
			a, b = b, a
		}
		op := byte('L')
		if !joined {
			op = 'M'
		}
		path = append(path, Segment{Op: op, P: [3]Point{{x(i), a}}})
		if a != b || !joined {
			path = append(path, Segment{Op: 'L', P: [3]Point{{x(i), b}}})
		}
		last, joined = b, true
	}
	return path
}

// Package series is the arithmetic of one channel of a sensor log: values at irregular times, in whole ns from the log's start.
//
// The model: between two samples a value moves on a straight line, unless they lie more than ten times the median interval apart.
// Such a gap is not bridged: it adds neither to an integral nor to the time that a mean is taken over, and it is told. So every
// mean says over how much of the time it is one, and what a log missed is never made up. Times are integers, so what is bridged, and
// whether a window holds a gap, is exact; the integrals carry what their additions round away.
//
// Rejected: resampling to an even grid first. It is simpler afterwards, but it bridges gaps before anyone can ask about them, it
// moves peaks, and neighbouring points share samples, so that they seem to agree with each other more than the sensor does.
//
// Packages thermal and power make their figures from it. Everything here is a pure function. Definitions, section 6.
package series

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"github.com/rigslate/rigslate/compute"
)

// gapIntervals is how many median intervals apart two samples may lie and still be bridged.
const gapIntervals = 10

// maxNS is how far from the log's start a sample may lie, in ns: a year. What is further out is a mistake of unit.
const maxNS = int64(365 * 24 * time.Hour)

// Series is one channel of a log. The zero Series has no samples, and every figure of it is absent.
type Series struct {
	timesNS []int64
	values  []float64
	// intervalNS is the median interval; gapNS the longest that is bridged.
	intervalNS, gapNS int64
	// Up to each sample: how much time is bridged, and the integral of what the value is above the first over it, in unit·ns, with
	// what its sum has rounded away.
	bridgedNS  []int64
	area, lost []float64
}

// New returns the series of values at times in ns from the log's start, which it keeps. A logger's cell without a value is left out by
// the caller. Two samples may have one time, as loggers write it that count in whole seconds; time must not run back. It is an
// error if there are no samples, if the lengths differ, if a value is not finite, if a time is more than a year from the start,
// or if more than half of the samples have the time of the one before.
func New(timesNS []int64, values []float64) (*Series, error) {
	if len(timesNS) != len(values) {
		return nil, fmt.Errorf("%d times for %d values", len(timesNS), len(values))
	}
	if len(timesNS) == 0 {
		return nil, errors.New("no samples")
	}
	for i, t := range timesNS {
		switch {
		case t > maxNS || t < -maxNS:
			return nil, fmt.Errorf("sample %d lies %.3g s from the log's start, more than a year: is the time in another unit, "+
				"or not counted from the start?", i+1, float64(t)/1e9)
		case i > 0 && t < timesNS[i-1]:
			return nil, fmt.Errorf("time runs back from %.9g s to %.9g s at sample %d; a log must be in order of time",
				float64(timesNS[i-1])/1e9, float64(t)/1e9, i+1)
		case math.IsNaN(values[i]) || math.IsInf(values[i], 0):
			return nil, fmt.Errorf("sample %d is %g; leave out what was not measured", i+1, values[i])
		}
	}
	twice := twiceMedianInterval(timesNS)
	if len(timesNS) > 2 && twice == 0 {
		return nil, errors.New("more than half of the samples have the time of the one before; log the time with more digits")
	}
	return build(timesNS, values, twice/2, gapIntervals*twice/2), nil
}

// twiceMedianInterval returns twice the median of the intervals, so that it stays whole; 0 where there is none.
func twiceMedianInterval(timesNS []int64) int64 {
	if len(timesNS) < 2 {
		return 0
	}
	intervals := make([]int64, len(timesNS)-1)
	for i := range intervals {
		intervals[i] = timesNS[i+1] - timesNS[i]
	}
	slices.Sort(intervals)
	n := len(intervals)
	return intervals[(n-1)/2] + intervals[n/2]
}

func build(timesNS []int64, values []float64, intervalNS, gapNS int64) *Series {
	n := len(timesNS)
	s := &Series{timesNS: timesNS, values: values, intervalNS: intervalNS, gapNS: gapNS,
		bridgedNS: make([]int64, n), area: make([]float64, n), lost: make([]float64, n)}
	for i := 1; i < n; i++ {
		s.bridgedNS[i], s.area[i], s.lost[i] = s.bridgedNS[i-1], s.area[i-1], s.lost[i-1]
		if !s.bridged(i - 1) {
			continue
		}
		s.bridgedNS[i] += timesNS[i] - timesNS[i-1]
		term := s.trapezoid(i-1, timesNS[i])
		total := s.area[i] + term
		if math.Abs(s.area[i]) >= math.Abs(term) { // A. Neumaier, ZAMM 54, 1974
			s.lost[i] += (s.area[i] - total) + term
		} else {
			s.lost[i] += (term - total) + s.area[i]
		}
		s.area[i] = total
	}
	return s
}

// bridged reports whether the interval after sample i is no gap.
func (s *Series) bridged(i int) bool { return s.timesNS[i+1]-s.timesNS[i] <= s.gapNS }

// trapezoid is the integral of what the value is above the first, from sample i to a time at most that of the next, in unit·ns.
func (s *Series) trapezoid(i int, atNS int64) float64 {
	above := s.values[i]/2 - s.values[0] + s.between(i, atNS)/2
	return float64(above * float64(atNS-s.timesNS[i]))
}

// between is the value on the straight line from sample i to the next.
func (s *Series) between(i int, atNS int64) float64 {
	a, b := s.values[i], s.values[i+1]
	switch {
	case atNS == s.timesNS[i+1]:
		return b
	case a == b:
		return a
	}
	share := float64(atNS-s.timesNS[i]) / float64(s.timesNS[i+1]-s.timesNS[i])
	return float64(a*(1-share)) + float64(b*share)
}

// Len is the number of samples.
func (s *Series) Len() int { return len(s.timesNS) }

// IntervalNS is the median interval between samples in ns, rounded down; 0 for fewer than two samples. Peaks are told with it.
func (s *Series) IntervalNS() int64 { return s.intervalNS }

// Whole is from the first sample to the last; zero where there are none.
func (s *Series) Whole() Span {
	if s.Len() == 0 {
		return Span{}
	}
	return Span{s.timesNS[0], s.timesNS[s.Len()-1]}
}

// lastAt returns the index of the last sample at or before a time, −1 where all are after it.
func (s *Series) lastAt(atNS int64) int {
	return sort.Search(len(s.timesNS), func(i int) bool { return s.timesNS[i] > atNS }) - 1
}

// At returns the value at a time: a sample's, or on the straight line between two. It is absent before the first sample, after the
// last and within a gap.
func (s *Series) At(atNS int64) compute.Value {
	i := s.lastAt(atNS)
	switch {
	case i < 0 || i == s.Len()-1 && atNS > s.timesNS[i]:
		return compute.Absent("the log does not reach there")
	case atNS == s.timesNS[i]:
		return compute.Known(s.values[i])
	case !s.bridged(i):
		return compute.Absent("the log has a gap there")
	}
	return compute.Known(s.between(i, atNS))
}

// upTo returns how much time is bridged up to a time and the integral of what the value is above the first over it.
func (s *Series) upTo(atNS int64) (bridgedNS int64, area, lost float64) {
	i := s.lastAt(atNS)
	if i < 0 {
		return 0, 0, 0
	}
	bridgedNS, area, lost = s.bridgedNS[i], s.area[i], s.lost[i]
	if i < s.Len()-1 && s.bridged(i) && atNS > s.timesNS[i] {
		bridgedNS += atNS - s.timesNS[i]
		lost += s.trapezoid(i, atNS)
	}
	return bridgedNS, area, lost
}

// Sample returns the i-th sample.
func (s *Series) Sample(i int) (atNS int64, v float64) { return s.timesNS[i], s.values[i] }

// within returns the range of samples from the beginning of a span to its end, both included.
func (s *Series) within(w Span) (lo, hi int) {
	lo = sort.Search(len(s.timesNS), func(i int) bool { return s.timesNS[i] >= w.FromNS })
	return lo, max(lo, s.lastAt(w.ToNS)+1)
}

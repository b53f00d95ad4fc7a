package compute

import (
	"math"
	"strings"
)

// LowKind is one of the three definitions of a 1 % and 0.1 % low. All are worked out for every pass; which one is shown is the
// plan's choice.
type LowKind int

// The three definitions (definitions, section 1).
const (
	LowQuantile  LowKind = iota // the rate of the 99 % (99.9 %) quantile of frame time
	LowTailMean                 // the rate over the slowest 1 % (0.1 %) of frames
	LowTimeShare                // the rate of the frame at which the slowest frames fill 1 % (0.1 %) of the time
	lowKinds
)

func (k LowKind) String() string {
	switch k {
	case LowQuantile:
		return "quantile"
	case LowTailMean:
		return "tail_mean"
	case LowTimeShare:
		return "time_share"
	}
	return "unknown"
}

func (k LowKind) title() string { return strings.ReplaceAll(k.String(), "_", " ") }

// enoughForLow is the number of frames below which a low is one or two accidents rather than a property of the pass.
const enoughForLow = 5

// Low is a low in fps and the number of slowest frames it rests on.
type Low struct {
	Value
	Frames int
}

// Thin reports whether the low rests on too few frames to be compared. An absent low is not thin but absent.
func (l Low) Thin() bool { return l.OK && l.Frames < enoughForLow }

// nsPerSecond turns a frame time in ns into a rate in fps and back.
const nsPerSecond = 1e9

// rateOf returns the frame rate in fps of a frame time in ns.
func rateOf(ns Value) Value {
	if !ns.OK {
		return ns
	}
	if ns.X <= 0 {
		return Absent("the slowest frames take no time")
	}
	return Known(nsPerSecond / ns.X)
}

// lows returns the three lows at one part in `part` (100 or 1000) of frame times sorted in rising order, whose sum is totalNS.
func lows(sortedNS []int64, totalNS int64, part int, quantileType int) [lowKinds]Low {
	n := len(sortedNS)
	m := (n + part - 1) / part
	var tail int64
	for _, x := range sortedNS[n-m:] {
		tail += x
	}
	// A running sum S reaches T/part where part·S ≥ T, that is where S is at least T/part rounded up: no division is rounded.
	want := (totalNS + int64(part) - 1) / int64(part)
	var sum int64
	at := n
	for at > 0 && sum < want {
		at--
		sum += sortedNS[at]
	}
	q := Quantile(sortedNS, 1-1/float64(part), quantileType)
	return [lowKinds]Low{
		LowQuantile:  {rateOf(q), m},
		LowTailMean:  {rateOf(Known(float64(tail) / float64(m))), m},
		LowTimeShare: {rateOf(Known(float64(sortedNS[min(at, n-1)]))), n - at},
	}
}

// overLimit returns the share of the time spent in frames longer than 1.05 times the interval of a rate in Hz; the 5 % allow for
// timing jitter at the limit (definitions, section 1).
func overLimit(sortedNS []int64, totalNS int64, hz float64) Value {
	limit := int64(min(math.Floor(1.05e9/hz), maxFrameNS)) // for whole ns, x > limit and x > floor(limit) are the same
	var over int64
	for i := len(sortedNS) - 1; i >= 0 && sortedNS[i] > limit; i-- {
		over += sortedNS[i]
	}
	return Known(float64(over) / float64(totalNS))
}

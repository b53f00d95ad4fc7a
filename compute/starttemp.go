package compute

import "math"

// StartTempLimitK is how far from the median of the other passes of its cell a pass may start (definitions, section 7).
const StartTempLimitK = 5

// StartApart is how a pass's start temperature lies to those of the other passes of its cell: K above their median, and whether that is too far.
type StartApart struct {
	K      Value
	TooFar bool
}

// StartsApart holds the start temperatures of the passes of a cell against each other. One that is far off pulls the median of the others by
// half of that where there are three, and a good pass seems off too: it is not, if it lies near those that are less far off than it seems.
func StartsApart(startC []Value) []StartApart {
	apart := make([]StartApart, len(startC))
	for i := range startC {
		apart[i].K = startC[i].above(startC, func(j int) bool { return j != i })
	}
	far := func(v Value) bool { return v.OK && math.Abs(v.X) > StartTempLimitK }
	for i := range startC {
		if !far(apart[i].K) {
			continue
		}
		rest := startC[i].above(startC, func(j int) bool { return j != i && math.Abs(apart[j].K.X) <= math.Abs(apart[i].K.X) })
		apart[i].TooFar = !rest.OK || far(rest)
	}
	return apart
}

// above is by how much a value lies above the median of those of the others that are chosen.
func (v Value) above(all []Value, chosen func(int) bool) Value {
	if !v.OK {
		return v
	}
	var others []float64
	for j, w := range all {
		if w.OK && chosen(j) {
			others = append(others, w.X)
		}
	}
	if len(others) == 0 {
		return Absent("no other pass has a start temperature")
	}
	return Known(v.X - medianOf(others))
}

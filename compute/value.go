// Package compute turns whole-nanosecond frame times into figures, repeats into cells, and two cells into a comparison.
//
// The model: a frame time is an int64 from the door on, so every sum, cut, comparison and square of frame times is exact and
// does not depend on the order of the work; rounding happens once, where a figure becomes a float64. A figure that cannot be
// had is absent and carries its reason; no NaN and no infinity leaves the package. The unit of replication is the launch of
// the game, not the frame and not the pass, because frames and passes of one launch share what that launch happened to do.
//
// Rejected: frame times as float64 milliseconds with NaN for "none". It is shorter to write, but sums then depend on their
// order, a pass that sits exactly on a limit falls to either side, and a NaN spreads into every table it meets.
//
// Everything here is a pure function: no files, no plan, no column formats. Sections named in comments are those of the
// project's definitions.
package compute

import "math"

// Value is a figure that may be absent. Where OK is false, X is 0 and Why says what is missing; the zero Value is absent.
type Value struct {
	X   float64
	OK  bool
	Why string
}

// Known returns x as a present figure. A number that is not finite is no figure: it comes back absent.
func Known(x float64) Value {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Value{Why: "the arithmetic has no finite result"}
	}
	return Value{X: x, OK: true}
}

// Absent returns a figure that cannot be had, with the reason to show in its place.
func Absent(why string) Value { return Value{Why: why} }

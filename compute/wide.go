package compute

import "math/bits"

// wide is a 128-bit two's complement integer: what squares of nanoseconds need to be summed exactly.
type wide struct{ hi, lo uint64 }

// plusProduct returns w + a·b.
func (w wide) plusProduct(a, b int64) wide {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	// Mul64 is unsigned; each negative factor has added 2⁶⁴ times the other.
	hi -= uint64(a>>63)&uint64(b) + uint64(b>>63)&uint64(a)
	var carry uint64
	w.lo, carry = bits.Add64(w.lo, lo, 0)
	w.hi, _ = bits.Add64(w.hi, hi, carry)
	return w
}

// times returns w·n for n ≥ 0.
func (w wide) times(n int64) wide {
	hi, lo := bits.Mul64(w.lo, uint64(n))
	return wide{hi + w.hi*uint64(n), lo}
}

// float returns w rounded to a float64.
func (w wide) float() float64 {
	if int64(w.hi) >= 0 {
		return float64(w.hi)*0x1p64 + float64(w.lo)
	}
	lo, borrow := bits.Sub64(0, w.lo, 0)
	hi, _ := bits.Sub64(0, w.hi, borrow)
	return -(float64(hi)*0x1p64 + float64(lo))
}

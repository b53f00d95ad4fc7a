package text

import (
	"math"
	"strconv"
)

// verdict is what came of reading a numeral.
type verdict uint8

const (
	fine       verdict = iota
	notNumeral         // another form than a decimal numeral
	beyond             // a numeral, too large to hold
)

// numeral is a decimal numeral in its parts: (-1)^neg · whole.part · 10^exp.
type numeral struct {
	neg         bool
	whole, part []byte
	exp         int
}

// maxExponent stops exponents from overflowing; no line is long enough for digits to make up for it.
const maxExponent = 1 << 27

// split takes b apart. The form is: an optional sign; digits, or a decimal sign with digits after it, or both; an optional e or
// E with an optionally signed whole number. Nothing else passes: no blanks, no grouping, no NaN, no infinity, no hexadecimal, no
// underscores, and no decimal sign at the end, since that is how a numeral looks that was cut off.
func split(b []byte, decimal byte) (n numeral, ok bool) {
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		n.neg = b[0] == '-'
		b = b[1:]
	}
	n.whole, b = digits(b)
	if len(b) > 0 && b[0] == decimal {
		n.part, b = digits(b[1:])
		if len(n.part) == 0 {
			return n, false
		}
	}
	if len(n.whole)+len(n.part) == 0 {
		return n, false
	}
	if len(b) == 0 {
		return n, true
	}
	if b[0]|0x20 != 'e' {
		return n, false
	}
	b = b[1:]
	neg := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		neg = b[0] == '-'
		b = b[1:]
	}
	d, rest := digits(b)
	if len(d) == 0 || len(rest) > 0 {
		return n, false
	}
	for _, c := range d {
		n.exp = min(n.exp*10+int(c-'0'), maxExponent)
	}
	if neg {
		n.exp = -n.exp
	}
	return n, true
}

func digits(b []byte) (d, rest []byte) {
	i := 0
	for i < len(b) && b[i]-'0' <= 9 {
		i++
	}
	return b[:i], b[i:]
}

// nanoseconds reads b, written in units of 10^shift ns, rounded half to even to a whole nanosecond. It works on the digits
// themselves, so that no digit is lost on the way through a float64 (definitions, section 1).
func nanoseconds(b []byte, decimal byte, shift int) (int64, verdict) {
	n, ok := split(b, decimal)
	if !ok {
		return 0, notNumeral
	}
	digit := func(i int) uint64 {
		switch {
		case i < len(n.whole):
			return uint64(n.whole[i] - '0')
		case i < len(n.whole)+len(n.part):
			return uint64(n.part[i-len(n.whole)] - '0')
		}
		return 0
	}
	count := len(n.whole) + len(n.part)
	point := len(n.whole) + n.exp + shift // digits before the point, counted in nanoseconds
	first := 0
	for first < count && digit(first) == 0 {
		first++
	}
	switch {
	case first == count || point < first:
		return 0, fine // zero, or less than a tenth of a nanosecond
	case point-first > 19:
		return 0, beyond
	}
	var v uint64
	for i := first; i < point; i++ {
		v = v*10 + digit(i)
	}
	switch next := digit(point); {
	case next > 5, next == 5 && (v&1 == 1 || !zeros(point+1, count, digit)):
		v++
	}
	switch {
	case v > math.MaxInt64:
		return 0, beyond
	case n.neg:
		return -int64(v), fine
	}
	return int64(v), fine
}

func zeros(from, to int, digit func(int) uint64) bool {
	for i := from; i < to; i++ {
		if digit(i) != 0 {
			return false
		}
	}
	return true
}

// float reads b as the float64 nearest to it.
func float(b []byte, decimal byte) (float64, verdict) {
	if _, ok := split(b, decimal); !ok {
		return 0, notNumeral
	}
	s := []byte(string(b))
	for i, c := range s {
		if c == decimal {
			s[i] = '.'
		}
	}
	v, err := strconv.ParseFloat(string(s), 64)
	if err != nil {
		return 0, beyond
	}
	return v, fine
}

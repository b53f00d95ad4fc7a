package text

import (
	"math"
	"math/big"
	"regexp"
	"strings"
	"testing"
)

// form is the grammar of a numeral, written again as an expression.
var form = regexp.MustCompile(`^[+-]?([0-9]+|[0-9]*\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// rational reads s by math/big; ok is false where s is no numeral, or its exponent too large to work out here.
func rational(s string) (x *big.Rat, ok, tooBig bool) {
	if !form.MatchString(s) {
		return nil, false, false
	}
	if i := strings.IndexAny(s, "eE"); i >= 0 && len(strings.TrimLeft(s[i+1:], "+-0")) > 3 {
		return nil, true, true
	}
	x, ok = new(big.Rat).SetString(s)
	return x, ok, false
}

// halfEven rounds x to a whole number, ties to even.
func halfEven(x *big.Rat) *big.Int {
	two := big.NewInt(2)
	q, m := new(big.Int).DivMod(x.Num(), x.Denom(), new(big.Int)) // towards minus infinity, 0 ≤ m
	switch c := new(big.Int).Mul(m, two).Cmp(x.Denom()); {
	case c > 0, c == 0 && q.Bit(0) == 1:
		q.Add(q, big.NewInt(1))
	}
	return q
}

func checkNanoseconds(t *testing.T, s string, shift int) {
	t.Helper()
	got, v := nanoseconds([]byte(s), '.', shift)
	x, ok, tooBig := rational(s)
	if ok != (v != notNumeral) {
		t.Fatalf("%q: verdict %d, a numeral %v", s, v, ok)
	}
	if !ok || tooBig {
		return
	}
	x.Mul(x, new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(shift)), nil)))
	want := halfEven(x)
	fits := want.CmpAbs(big.NewInt(math.MaxInt64)) <= 0
	if fits != (v == fine) || fits && want.Int64() != got {
		t.Fatalf("%q by 10^%d: %d (verdict %d), want %v", s, shift, got, v, want)
	}
}

func FuzzNanoseconds(f *testing.F) {
	for _, s := range []string{
		"0", "16.667", "-16.6665005", "16.6665015", "0.0000005", "0.00000050000000000000000001", ".5", "5.", "1e3", "1.5e-3", "1E+0400", "1e-400",
		"9223372036854.775807", "9223372036854.7758075", "9223372036854.775808", "99999999999999999999", "00000000000000000000000016.5", "0e999999999999",
		"NaN", "inf", "0x1p3", "1_0", "", "+", "-.", "1e", "1e+", "1.2.3", " 1", "1 ",
	} {
		f.Add(s, byte(6))
	}
	f.Fuzz(func(t *testing.T, s string, shift byte) { checkNanoseconds(t, s, int(shift)%10) })
}

func FuzzFloat(f *testing.F) {
	for _, s := range []string{"0", "210.5", "-0.1", "1e22", "1e400", "123456789012345678.9", ".5", "5.", "0x1", "NaN"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, v := float([]byte(s), '.')
		x, ok, tooBig := rational(s)
		if ok != (v != notNumeral) {
			t.Fatalf("%q: verdict %d, a numeral %v", s, v, ok)
		}
		if !ok || tooBig {
			return
		}
		want, _ := x.Float64()
		if math.IsInf(want, 0) != (v == beyond) || v == fine && got != want {
			t.Fatalf("%q: %v (verdict %d), want %v", s, got, v, want)
		}
	})
}

func TestNanoseconds(t *testing.T) {
	for _, tc := range []struct {
		s       string
		decimal byte
		unit    Unit
		want    int64
	}{
		{"16.6665005", '.', Milliseconds, 16_666_500}, // a tie, to even
		{"16.6665015", '.', Milliseconds, 16_666_502},
		{"16,667", ',', Milliseconds, 16_667_000},
		{"1803466800.123456789", '.', Seconds, 1_803_466_800_123_456_789}, // a float64 would lose the last digits
		{"0.5", '.', Nanoseconds, 0},
		{"1.5", '.', Nanoseconds, 2},
		{"-1.5", '.', Nanoseconds, -2},
		{"9223372036854775807", '.', Nanoseconds, math.MaxInt64},
		{"25e-1", '.', Microseconds, 2500},
		{"0.0000000000000000000000000000005e30", '.', Nanoseconds, 0},
	} {
		if got, v := nanoseconds([]byte(tc.s), tc.decimal, tc.unit.shift()); v != fine || got != tc.want {
			t.Errorf("%s %v: %d (verdict %d), want %d", tc.s, tc.unit, got, v, tc.want)
		}
	}
	if _, v := nanoseconds([]byte("9223372036854775807.5"), '.', 0); v != beyond {
		t.Errorf("one above the largest int64: verdict %d", v)
	}
}

package report

import (
	"strings"

	"github.com/rigslate/rigslate/compute"
)

const absent = "–"

// signed gives x with its sign and the decimals; what rounds to nothing has none.
func signed(x float64, decimals int) string {
	s := number(x, decimals)
	switch {
	case strings.Trim(s, "−0.") == "":
		return strings.TrimPrefix(s, "−")
	case x > 0:
		return "+" + s
	}
	return s
}

// unsigned gives x with the decimals, where what rounds to nothing has no sign.
func unsigned(x float64, decimals int) string {
	return strings.TrimPrefix(signed(x, decimals), "+")
}

// figure gives a value with the decimals, or a dash.
func shown(x *float64, decimals int) string {
	if x == nil {
		return absent
	}
	return unsigned(*x, decimals)
}

// interval gives an interval in brackets, with more decimals where a width would look like none; "" where there is none.
func bracketed(low, high *float64, decimals int) string {
	if low == nil || high == nil {
		return ""
	}
	from, to := unsigned(*low, decimals), unsigned(*high, decimals)
	for more := 1; from == to && *low < *high && more <= 4; more++ {
		from, to = unsigned(*low, decimals+more), unsigned(*high, decimals+more)
	}
	return "[" + from + ", " + to + "]"
}

// differenceInterval is the interval of a difference: one that leaves out 0 must not look as if it touched it, nor one that holds 0 as if it
// did not.
func differenceInterval(low, high *float64, verdict string) string {
	s := bracketed(low, high, 1)
	sided := verdict == string(compute.Ahead) || verdict == string(compute.Behind) || verdict == string(compute.Unresolved)
	if sided && (strings.Contains(s, "[0.0,") || strings.Contains(s, " 0.0]")) {
		return bracketed(low, high, 2)
	}
	return s
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func value(x *float64) compute.Value {
	if x == nil {
		return compute.Absent("not in the tables")
	}
	return compute.Known(*x)
}

// count words a number of things.
func several(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return number(float64(n), 0) + " " + many
}

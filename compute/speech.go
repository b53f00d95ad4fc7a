package compute

import (
	"fmt"
	"math"
)

// Spoken is a difference in percent as it may be said (definitions, section 4). Without one that may be, OK is false.
type Spoken struct {
	OK      bool
	Verdict Verdict
	Percent int  // whole, ties away from zero; always positive, the verdict has the direction
	Under   bool // below one percent
	About   bool // the interval's half exceeds half of the estimate
	Higher  bool // the figure itself, whatever is better
}

// Speak rounds a difference in percent with its interval to what may be said of it.
func Speak(v Verdict, percent, low, high Value) Spoken {
	s := Spoken{Verdict: v, OK: v == Level || v == Unresolved}
	if v != Ahead && v != Behind || !percent.OK || !low.OK || !high.OK {
		return s
	}
	size := math.Abs(percent.X)
	return Spoken{OK: true, Verdict: v, Percent: int(math.Round(size)), Under: size < 1,
		About: (high.X-low.X)/2 > size/2, Higher: percent.X > 0}
}

// Size words the size of a spoken lead or deficit: "7 percent", "about 2 percent", "under one percent".
func (s Spoken) Size() string {
	switch {
	case s.Under:
		return "under one percent"
	case s.About:
		return fmt.Sprintf("about %d percent", s.Percent)
	}
	return fmt.Sprintf("%d percent", s.Percent)
}

// CalculatorDiffers reports whether a viewer who works the percentage out from the two figures as displayed, each at the metric's
// decimals, gets another whole percent than is said; for level, whether it is the margin or more, in percent.
func CalculatorDiffers(s Spoken, figure, base float64, decimals int, marginPct float64) bool {
	at := math.Pow10(decimals)
	shown := 100 * (math.Round(figure*at)/math.Round(base*at) - 1)
	switch {
	case !s.OK || s.Verdict == Unresolved || math.IsNaN(shown) || math.IsInf(shown, 0):
		return false
	case s.Verdict == Level:
		return math.Abs(shown) >= marginPct
	case shown > 0 != s.Higher && shown != 0:
		return true
	case s.Under:
		return math.Abs(shown) >= 1
	}
	return int(math.Round(math.Abs(shown))) != s.Percent
}

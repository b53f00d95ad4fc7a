package sound

import (
	"fmt"

	"github.com/rigslate/rigslate/compute"
)

// Crossing is where levels that rise from step to step take a given one: Share of the way from step From to the next.
type Crossing struct {
	From  int
	Share float64
}

// Cross finds where the levels of a fan's steps, from the slowest on, take a target in dB. Between two steps the level is taken to
// follow a straight line; nothing is said beyond the first and the last, nor where a step is not louder than the one before, since
// more than one speed could then be meant. why says why there is no crossing.
func Cross(levels []float64, target float64) (c Crossing, why string) {
	n := len(levels)
	if n < 2 {
		return c, "fewer than two steps have a level"
	}
	for i := 1; i < n; i++ {
		if !(levels[i] > levels[i-1]) {
			return c, fmt.Sprintf("the level does not rise from each step to the next: %.1f dB, then %.1f dB", levels[i-1], levels[i])
		}
	}
	if target < levels[0] || target > levels[n-1] {
		return c, fmt.Sprintf("%g dB are outside the steps noted, %.1f to %.1f dB", target, levels[0], levels[n-1])
	}
	for c.From < n-2 && levels[c.From+1] <= target {
		c.From++
	}
	c.Share = (target - levels[c.From]) / (levels[c.From+1] - levels[c.From])
	return c, ""
}

// Of is what another figure of the steps comes to there, on the straight line between the two; absent where one of them is.
func (c Crossing) Of(values []compute.Value) compute.Value {
	a, b := values[c.From], values[c.From+1]
	switch {
	case !a.OK:
		return a
	case !b.OK:
		return b
	}
	return compute.Known(float64(a.X*(1-c.Share)) + float64(b.X*c.Share))
}

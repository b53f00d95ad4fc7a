package review

import (
	"slices"
	"testing"

	"github.com/rigslate/rigslate/compute"
)

// Of many slow stretches the longest are told, in the order of time, and the others counted.
func TestFewStretchesAreTold(t *testing.T) {
	at := func(from, to float64) compute.Stretch { return compute.Stretch{FromS: from, ToS: to, BelowPct: 9} }
	three := []compute.Stretch{at(1, 3), at(5, 9), at(20, 22)}
	if told, more := worthTelling(three); !slices.Equal(told, three) || more != 0 {
		t.Errorf("three: %v and %d more", told, more)
	}
	many := []compute.Stretch{at(1, 3), at(5, 9), at(20, 22), at(30, 31), at(40, 47), at(50, 55), at(60, 64)}
	if told, more := worthTelling(many); !slices.Equal(told, []compute.Stretch{at(5, 9), at(40, 47), at(50, 55)}) || more != 4 {
		t.Errorf("seven: %v and %d more", told, more)
	}
}

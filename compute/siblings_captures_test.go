package compute

import (
	"math"
	"testing"
)

// Another program used the card from 5.5 to 9.6 s of the disturbed pass, so whole seconds from about 5 to 10 are slow, and only of
// that pass. The bounds are a second wider, since a second that is disturbed in part may count or not.
func TestRealDisturbance(t *testing.T) {
	pass := func(name string) *Pass {
		x := realCapture(t, name)
		lo, hi := Keep(x, Window{WarmupNS: 2e9, LengthNS: 12e9})
		return Figure(x[lo:hi], Duration(x[:lo]), PassOptions{}, nil)
	}
	const reactor = "kestrel.reactor.2560x1440."
	got := CompareSiblings([]*Pass{pass(reactor + "r1"), pass(reactor + "disturbed"), pass(reactor + "r3")})
	c := got.Checks[1]
	longest, found := c.Longest()
	if !found || len(c.Disturbances) != 1 || longest.FromS < 4.5 || longest.FromS > 6.5 || longest.ToS < 8.6 || longest.ToS > 10.6 {
		t.Errorf("disturbed: %+v", c)
	}
	// A good pass beside a disturbed and a good one cannot tell which to believe.
	for _, k := range []int{0, 2} {
		if c := got.Checks[k]; c.Off == "" || c.Disturbances != nil {
			t.Errorf("beside it: %+v", c)
		}
	}
	for _, card := range []string{"kestrel", "osprey"} {
		for _, cell := range []string{"bazaar.3840x2160", "fjord.2560x1440", "fjord.3840x2160", "reactor.2560x1440", "reactor.3840x2160"} {
			name := card + "." + cell
			good := CompareSiblings([]*Pass{pass(name + ".r1"), pass(name + ".r2"), pass(name + ".r3")})
			for k, c := range good.Checks {
				if c.Off != "" || c.Drifts || c.Disturbances != nil || math.Abs(c.DriftPct.X) > 0.1 {
					t.Errorf("%s, pass %d: %+v", name, k+1, c)
				}
			}
		}
	}
}

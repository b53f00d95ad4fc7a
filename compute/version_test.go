package compute

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"
)

// pinned holds, for each version of the definitions, the hash of all figures of one made-up pass to 12 digits. It is no truth
// about the figures, which other tests hold to outside references; it fails when a figure changes and the version was not raised.
var pinned = map[int]string{
	1: "0a44342f491d934f",
}

func TestFiguresArePinnedToTheDefinitions(t *testing.T) {
	frames := make([]int64, 6000)
	state := uint64(20270304)
	for i := range frames {
		state = state*6364136223846793005 + 1442695040888963407 // D. Knuth's MMIX generator: integers, the same everywhere
		frames[i] = 7_000_000 + int64(state>>44)
		if i%700 == 350 {
			frames[i] += 40_000_000
		}
	}
	var b strings.Builder
	p := Figure(frames, 0, PassOptions{DisplayHz: 144}, nil)
	for _, m := range Metrics() {
		v := m.Of(p)
		fmt.Fprintf(&b, "%s %v %.12g %s\n", m.Name, v.OK, v.X, v.Why)
	}
	for _, x := range p.Profile {
		fmt.Fprintf(&b, "%.12g ", x)
	}
	if got := fmt.Sprintf("%x", sha256.Sum256([]byte(b.String())))[:16]; got != pinned[DefinitionsVersion] {
		t.Errorf("figures have changed (%s, definitions %d: %s): raise DefinitionsVersion and pin the new ones", got, DefinitionsVersion, pinned[DefinitionsVersion])
	}
}

package compute

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"
)

// pinned holds, for each version of the definitions, the hash of all figures of one made-up pass and, from version 2, of a made-up
// review to 12 digits. It is no truth
// about the figures, which other tests hold to outside references; it fails when a figure changes and the version was not raised.
var pinned = map[int]string{
	1: "0a44342f491d934f",
	2: "e569f40dd805cd4e",
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
	pinReview(&b)
	if got := fmt.Sprintf("%x", sha256.Sum256([]byte(b.String())))[:16]; got != pinned[DefinitionsVersion] {
		t.Errorf("figures have changed (%s, definitions %d: %s): raise DefinitionsVersion and pin the new ones", got, DefinitionsVersion, pinned[DefinitionsVersion])
	}
}

// pinReview writes what a made-up review of twelve cells a side comes to: cells, comparisons, headline, claims, repeats, budget.
func pinReview(b *strings.Builder) {
	m, _ := MetricByName("mean_fps")
	var cells []CellStat
	for i := range 24 {
		x := 60 + 7*float64(i%12) + 2.5*float64(i/12)
		spread := 0.002 * float64(1+i%5)
		samples := launchesOf(x*(1-spread), x, x*(1+spread/2), x*(1+spread))
		samples[3].Session = "t"
		cells = append(cells, Cell(m, samples))
	}
	prior, cells := Borrow(m, cells)
	u := SessionSpread{U: 0.0015, DF: 6, Source: OwnSessions}
	var pairs []Pair
	var comparisons []Comparison
	var claims []ClaimFigures
	for i := range 12 {
		pair := Pair{fmt.Sprint(i % 9), cells[i+12], cells[i]}
		pairs = append(pairs, pair)
		comparisons = append(comparisons, Compare(m, pair.Of, pair.Base, u, DefaultMargin))
		claims = append(claims, Claim(m, Hope{Near: 4, Within: 1, IsNear: true}, false, []Pair{pair}, u, DefaultMargin))
	}
	JudgeClaims(claims)
	fmt.Fprintf(b, "prior %.12g %.12g\n", prior.Variance, prior.DF)
	for i, c := range cells {
		fmt.Fprintf(b, "cell %.12g %.12g %.12g %.12g\n", c.Mean.X, c.Low.X, c.OwnLow.X, c.DF.X)
		if i < 12 {
			d, q := comparisons[i], claims[i]
			fmt.Fprintf(b, "comparison %.12g %.12g %.12g %.12g %s\n", d.Percent.X, d.Low.X, d.OwnHigh.X, d.P.X, d.Verdict)
			fmt.Fprintf(b, "claim %.12g %.12g %.12g %.12g %s\n", q.Low.X, q.PFor.X, q.PSign.X, q.PAgainst.X, q.Verdict)
		}
	}
	s := Summarise(m, pairs, u, DefaultMargin)
	fmt.Fprintf(b, "summary %.12g %.12g %.12g %.12g %s %v\n", s.Percent.X, s.TheseLow.X, s.LikeHigh.X, s.P.X, s.Verdict, Firm(comparisons))
	noise, _ := PooledNoise(cells)
	fmt.Fprintf(b, "repeats %d %d %.12g\n", RepeatsToDiffer(m, 1, DefaultMargin, noise, u).K, RepeatsToLevel(m, DefaultMargin, noise, u).K,
		ResolvableAt(m, 3, noise, u).X)
}

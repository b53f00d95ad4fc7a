package compute

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "pin figures that are new")

//go:generate go test . -run ^TestFiguresArePinnedToTheDefinitions$ -update

// pinnedFigures has the version of the definitions in its first line, then a line a figure of one made-up pass, to 12 digits. It is no
// truth about the figures, which other tests hold to outside references: the test fails when a figure changes and the version was not
// raised. A figure that is new changes none, so it may be added to it.
const pinnedFigures = "testdata/pinned.txt"

// pinnedRest is in the same way, for each version of the definitions, the hash of the profile of that pass and of what a made-up review
// comes to.
var pinnedRest = map[int]string{2: "f50a0399a93bd2e5"}

func TestFiguresArePinnedToTheDefinitions(t *testing.T) {
	p := pinnedPass()
	var b strings.Builder
	for _, x := range p.Profile {
		fmt.Fprintf(&b, "%.12g ", x)
	}
	pinReview(&b)
	if got := fmt.Sprintf("%x", sha256.Sum256([]byte(b.String())))[:16]; got != pinnedRest[DefinitionsVersion] {
		t.Errorf("what a review comes to has changed (%s, definitions %d: %s): raise DefinitionsVersion and pin the new ones", got,
			DefinitionsVersion, pinnedRest[DefinitionsVersion])
	}
	text, err := os.ReadFile(pinnedFigures)
	if err != nil && !*update {
		t.Fatal(err)
	}
	first := fmt.Sprintf("definitions %d", DefinitionsVersion)
	lines := strings.Split(strings.TrimSpace(strings.ReplaceAll(string(text), "\r", "")), "\n")
	pins := map[string]string{}
	if lines[0] == first {
		for _, line := range lines[1:] {
			name, _, _ := strings.Cut(line, " ")
			pins[name] = line
		}
	} else if !*update {
		t.Fatalf("pinned are the figures of %q: go generate ./compute", lines[0])
	}
	now := first + "\n"
	for _, m := range Metrics() {
		v := m.Of(p)
		line := strings.TrimSpace(fmt.Sprintf("%s %v %.12g %s", m.Name, v.OK, v.X, v.Why))
		now += line + "\n"
		switch pin, ok := pins[m.Name]; {
		case ok && pin != line:
			t.Errorf("%s has changed (%s, definitions %d: %s): raise DefinitionsVersion, then go generate ./compute", m.Name, line, DefinitionsVersion, pin)
		case !ok && !*update:
			t.Errorf("%s is not pinned: go generate ./compute", m.Name)
		}
		delete(pins, m.Name)
	}
	for name := range pins {
		t.Errorf("%s is no longer there: raise DefinitionsVersion, then go generate ./compute", name)
	}
	if *update && !t.Failed() {
		if err := os.WriteFile(pinnedFigures, []byte(now), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// pinnedPass has frames that are the same everywhere: integers by D. Knuth's MMIX generator.
func pinnedPass() *Pass {
	frames := make([]int64, 6000)
	state := uint64(20270304)
	for i := range frames {
		state = state*6364136223846793005 + 1442695040888963407
		frames[i] = 7_000_000 + int64(state>>44)
		if i%700 == 350 {
			frames[i] += 40_000_000
		}
	}
	return Figure(frames, 0, PassOptions{DisplayHz: 144, Sensed: Sensed{MeanPowerW: Known(251.3), EnergyJ: Known(11971), ClockMHz: Known(1893.7),
		TempC: Known(61.4), StartTempC: Known(47)}}, nil)
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

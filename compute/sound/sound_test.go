package sound

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"pgregory.net/rapid"
)

// The files read here and their sources are described in testdata/reference/README.md.

func reference(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func within(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// Sums, means, a level over two stretches of time, background and distance: computed to 1e-9 dB, published to the digits that the source
// of each case prints.
func TestLevelArithmetic(t *testing.T) {
	var file struct {
		Cases []struct {
			Kind      string
			Input     json.RawMessage
			Computed  float64  `json:"computed_dB"`
			Published *float64 `json:"published_dB"`
		}
	}
	if err := json.Unmarshal(reference(t, "acoustics.json"), &file); err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, c := range file.Cases {
		seen[c.Kind]++
		var got compute.Value
		var levels []float64
		var in struct {
			Levels, Durations []float64
			R1                float64 `json:"r1_m"`
			R2                float64 `json:"r2_m"`
		}
		into := any(&levels)
		if c.Kind == "leq_weighted" || c.Kind == "distance_level_change" {
			into = &in
		}
		if err := json.Unmarshal(c.Input, into); err != nil {
			t.Fatal(err)
		}
		switch c.Kind {
		case "energy_sum":
			got = Sum(levels)
		case "energy_mean":
			got = Mean(levels)
		case "background_subtract":
			got = compute.Known(levels[0] - K1(levels[0]-levels[1]).X)
		case "leq_weighted":
			energy, total := 0.0, 0.0
			for i, l := range in.Levels {
				energy, total = energy+in.Durations[i]*Energy(l), total+in.Durations[i]
			}
			got = FromEnergy(energy / total)
		case "distance_level_change":
			got = Move(0, in.R1, in.R2, true)
		default:
			t.Fatalf("no check for %s", c.Kind)
		}
		if !got.OK || !within(got.X, c.Computed, 1e-9) {
			t.Errorf("%s %s: %+v, want %.12g", c.Kind, c.Input, got, c.Computed)
		}
		if c.Published != nil && !within(got.X, *c.Published, 0.1) {
			t.Errorf("%s %s: %.3f, published %g", c.Kind, c.Input, got.X, *c.Published)
		}
	}
	if len(seen) != 5 {
		t.Errorf("kinds %v", seen)
	}
}

// ISO 3744: K₁ and when it may be used. Computed to 1e-6 dB, the printed corrections of ISO 1996-1 / JIS Z 8731 to 0.1 dB and those of
// ECMA TR/107 to their 0.01 dB. What becomes of exactly 15 dB is from memory in the source, so that it is not tested.
func TestBackgroundCorrections(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(string(reference(t, "background_correction_and_addition.csv")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	treatments := map[string]Treatment{"invalid": "", "apply K1": Corrected, "no correction": NoneNeeded,
		"below limit: correct by no more than 1.3 dB, report as upper bound": UpperBound}
	const background = 32.0 // whole, so that the difference is what the row says
	for _, r := range rows[1:] {
		above := number(r[0])
		if r[1] != "" && !within(K1(above).X, number(r[1]), 1e-6) {
			t.Errorf("%s dB above: K₁ %+v, want %s", r[0], K1(above), r[1])
		}
		for column, tolerance := range map[int]float64{2: 0.1, 3: 0.005} {
			if r[column] != "" && !within(K1(above).X, number(r[column]), tolerance) {
				t.Errorf("%s dB above: K₁ %+v, printed %s", r[0], K1(above), r[column])
			}
		}
		// a level and one below it by the difference add up to this much more
		if got := Sum([]float64{50, 50 - above}); !within(got.X, 50+number(r[6]), 1e-6) {
			t.Errorf("%s dB between two: %+v, want %s more", r[0], got, r[6])
		}
		want, known := treatments[r[4]]
		if !known {
			t.Fatalf("rule %q", r[4])
		}
		if above == 15 {
			continue
		}
		l := Measure([]float64{background + above, background + above}, []float64{background}, Setup{MeterClass: 2})
		if l.Treatment != want || l.DB.OK != (want != "") {
			t.Errorf("%s dB above: %q, %+v; want %q", r[0], l.Treatment, l.DB, want)
		}
		off := map[Treatment]float64{NoneNeeded: 0, UpperBound: 1.3, Corrected: K1(above).X}[want]
		if want != "" && (!within(l.K1.X, off, 1e-9) || !within(l.DB.X, background+above-off, 1e-9)) {
			t.Errorf("%s dB above: K₁ %+v, level %+v", r[0], l.K1, l.DB)
		}
		if has := want == Corrected || want == NoneNeeded; l.Uncertainty.Standard.OK != has {
			t.Errorf("%s dB above: uncertainty %+v", r[0], l.Uncertainty)
		}
	}
	if len(rows) != 14 {
		t.Errorf("%d rows", len(rows))
	}
}

var (
	readings = []float64{42.1, 42.0, 42.3}
	setup    = Setup{Distance: 0.5, Weighting: "A", MeterClass: 2}
)

// By hand after definitions, section 6, from s² = 0.07/3 of the three readings (mean 42.1333, energy mean 42.1351): with a background of
// two readings 31.0 and 31.2, mean 31.1011, 11.0340 dB below, c = 1/(1 − 10^−1.10340) = 1.085557 and s_b² = 0.02; meter ± 1.0 dB.
func TestLevelUncertaintyByHand(t *testing.T) {
	l := Measure(readings, []float64{31.0, 31.2}, setup)
	const c = 1.085557
	want := math.Sqrt(c*c*(0.07/3/3+1.0/3) + (c-1)*(c-1)*(0.02/2+1.0/3))
	if l.Treatment != Corrected || !within(l.Above.X, 11.0340, 5e-5) || !within(l.DB.X, 42.1351-0.3565, 2e-4) ||
		!within(l.Uncertainty.Standard.X, want, 1e-6) {
		t.Errorf("%+v, want u %g", l, want)
	}
	if len(l.Left) != 1 || !strings.Contains(l.Left[0], "the room reflects") {
		t.Errorf("left in it: %q", l.Left)
	}

	// One reading of the background scatters as the others do: s²·(c²/3 + (c − 1)²), with their 2 degrees of freedom.
	l = Measure(readings, []float64{31.1}, setup)
	once := 1 / (1 - math.Pow(10, -(l.Mean.X-31.1)/10))
	scatter := 0.07 / 3 * (once*once/3 + (once-1)*(once-1))
	want = math.Sqrt(scatter + (once*once+(once-1)*(once-1))/3)
	if !within(l.Uncertainty.Standard.X, want, 1e-9) || !within(l.Uncertainty.DF, want*want*want*want/(scatter*scatter/2), 1e-3) {
		t.Errorf("%+v, want u %g", l.Uncertainty, want)
	}

	// More than 15 dB above nothing is taken off and the background moves nothing; ± 0.7 dB of a class 1 meter.
	l = Measure(readings, []float64{20}, Setup{MeterClass: 1, FreeField: true})
	if want := math.Sqrt(0.07/9 + 0.49/3); l.Treatment != NoneNeeded || l.DB != l.Mean || !within(l.Uncertainty.Standard.X, want, 1e-9) || len(l.Left) != 0 {
		t.Errorf("%+v, want u %g", l, want)
	}
}

// With the same meter its ± 1.0 dB is in both sides: what remains is s² = 0.07/3 of each, over 3 (definitions, section 6).
func TestSameMeterDropsOut(t *testing.T) {
	a, b := Measure(readings, []float64{20}, setup), Measure([]float64{45.1, 45.0, 45.3}, []float64{20}, setup)
	d, u := Difference(a, b, true)
	if !within(d.X, -3, 1e-9) || !within(u.Standard.X, math.Sqrt(2*0.07/9), 1e-9) || !within(u.DF, 4, 1e-9) {
		t.Errorf("%+v, %+v", d, u)
	}
	if _, other := Difference(a, b, false); !within(other.Standard.X, math.Sqrt(2*0.07/9+2.0/3), 1e-9) {
		t.Errorf("with another meter %+v", other)
	}
}

func TestLevelsThatCannotBeHad(t *testing.T) {
	with := func(change func(*Setup)) Setup { s := setup; change(&s); return s }
	for want, l := range map[string]Level{
		"no reading of the level":                         Measure(nil, []float64{31}, setup),
		"a reading of the level is no number":             Measure([]float64{42, math.NaN()}, nil, setup),
		"30.0 dB are not above the background of 31.0 dB": Measure([]float64{30}, []float64{31}, setup),
		"background: a reading of the level is no number": Measure(readings, []float64{math.Inf(-1)}, setup),
	} {
		if l.DB.OK || l.DB.Why != want || l.Treatment != "" || l.Uncertainty.Standard.Why != want || l.K1.OK {
			t.Errorf("%+v, want absent: %s", l, want)
		}
	}
	for want, l := range map[string]Level{
		"readings: one reading shows no scatter; at least 2 are needed":       Measure(readings[:1], []float64{31}, setup),
		"the class of the meter is not stated":                                Measure(readings, []float64{31}, with(func(s *Setup) { s.MeterClass = 0 })),
		"3 is no class of sound level meters; there are 1 and 2":              Measure(readings, []float64{31}, with(func(s *Setup) { s.MeterClass = 3 })),
		"less than 6 dB above the background: an upper bound, which has none": Measure(readings, []float64{38}, setup),
	} {
		if !l.DB.OK || l.Uncertainty.Standard.OK || l.Uncertainty.Standard.Why != want {
			t.Errorf("%+v, want no uncertainty: %s", l, want)
		}
	}
	l := Measure(readings, nil, setup)
	if l.Treatment != Uncorrected || l.DB != l.Mean || l.K1.OK || l.K1.Why != "no background was measured" ||
		!strings.Contains(strings.Join(l.Left, "; "), "the background, which was not measured") {
		t.Errorf("%+v", l)
	}
}

func TestUnlikeLevelsAreRefused(t *testing.T) {
	with := func(background []float64, change func(*Setup)) Level {
		s := setup
		change(&s)
		return Measure(readings, background, s)
	}
	same, free := func(*Setup) {}, func(s *Setup) { s.Distance, s.FreeField = 1, true }
	base := with([]float64{31}, same)
	for want, other := range map[string]Level{
		"weighted \"A\" and \"C\"; unlike weightings are never compared": with([]float64{31}, func(s *Setup) { s.Weighting = "C" }),
		"the room reflects":                              with([]float64{31}, free), // the base is in no free field
		"both must be above 0":                           with([]float64{31}, func(s *Setup) { s.Distance = 0 }),
		"the background was measured on one side only":   with(nil, same),
		"the other side: an upper bound is not compared": with([]float64{38}, same),
		"the other side: 42.1 dB are not above":          with([]float64{50}, same),
	} {
		d, u := Difference(base, other, true)
		if d.OK || u.Standard.OK || !strings.Contains(d.Why, want) || u.Standard.Why != d.Why {
			t.Errorf("got %+v, %+v; want refused: %s", d, u.Standard, want)
		}
	}
	if d, _ := Difference(with([]float64{38}, same), base, true); d.OK || d.Why != "an upper bound is not compared" {
		t.Errorf("%+v", d)
	}
	// The inverse square law: 6.02 dB a doubling of the distance. At 0.5 m the one at 1 m is that much louder.
	near := with([]float64{20}, func(s *Setup) { s.FreeField = true })
	if d, _ := Difference(near, with([]float64{20}, free), true); !within(d.X, -20*math.Log10(2), 1e-9) {
		t.Errorf("%+v", d)
	}
}

var level = rapid.Float64Range(15, 110)

// Energy means lie within the readings and not below their plain mean, follow a shift, and know no order; what a background adds to a
// level is what is taken off again.
func TestLevelsAsRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		db := rapid.SliceOfN(level, 1, 12).Draw(t, "readings")
		mean, least, most, plain := Mean(db), math.Inf(1), math.Inf(-1), 0.0
		shifted := make([]float64, len(db))
		for i, l := range db {
			least, most, plain, shifted[i] = min(least, l), max(most, l), plain+l/float64(len(db)), l+16
		}
		if !mean.OK || mean.X < least-1e-9 || mean.X > most+1e-9 || mean.X < plain-1e-9 {
			t.Fatalf("mean %+v of %v", mean, db)
		}
		if m := Mean(shifted); !within(m.X, mean.X+16, 1e-9) {
			t.Fatalf("16 dB more: %+v, before %+v", m, mean)
		}
		if m := Mean(rapid.Permutation(db).Draw(t, "order")); m != mean {
			t.Fatalf("in another order %+v, %+v", m, mean)
		}
		card := level.Draw(t, "card")
		background := card - rapid.Float64Range(5, 14.8).Draw(t, "below")
		l := Measure([]float64{Sum([]float64{card, background}).X}, []float64{background}, setup)
		if l.Treatment != Corrected || !within(l.DB.X, card, 1e-9) {
			t.Fatalf("a card of %g dB over %g dB comes out as %+v", card, background, l)
		}
	})
}

// The sensitivity of a corrected level is its slope, and the two slopes sum to 1.
func TestSensitivityIsTheSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		above := rapid.Float64Range(6, 15).Draw(t, "above")
		corrected := func(l, b float64) float64 { return l - K1(l-b).X }
		const h = 1e-4
		slope := (corrected(above+h, 0) - corrected(above-h, 0)) / (2 * h)
		ofBackground := (corrected(above, h) - corrected(above, -h)) / (2 * h)
		if c := sensitivity(above); !within(slope, c, 1e-6) || !within(ofBackground, 1-c, 1e-6) {
			t.Fatalf("at %g dB: c %g, slopes %g and %g", above, c, slope, ofBackground)
		}
	})
}

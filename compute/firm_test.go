package compute

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The worked example of Y. Benjamini and Y. Hochberg, Journal of the Royal Statistical Society B 57(1), 1995, section 4.1 (from
// memory): 15 hypotheses, of which the procedure rejects the first four at 0.05, where Bonferroni's rejects three.
var hochberg = []float64{0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000}

func TestFirm(t *testing.T) {
	var rs []Comparison
	for i, p := range hochberg {
		v := []Verdict{Ahead, Behind, Level, Ahead}[i%4]
		rs = append(rs, Comparison{P: Known(p), Difference: Known(1), Verdict: v})
	}
	// None of these tests anything.
	rs = append(rs, Comparison{P: Absent("one pass"), Difference: Known(1), Verdict: Single}, Comparison{P: Known(0), Why: "a low rests on fewer than 5 frames"})
	got := Firm(rs)
	want := make([]bool, len(rs))
	want[0], want[1], want[3] = true, true, true // the third is level, and takes part without a mark
	if !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if n, chance := ByChance(rs); n != 15 || chance != 0.75 {
		t.Errorf("%d verdicts, %g by chance", n, chance)
	}
	if got := Firm(nil); len(got) != 0 {
		t.Errorf("of nothing: %v", got)
	}
}

// Where nothing varies there is no p; a difference then counts as sure, equality as none.
func TestFirmWithoutP(t *testing.T) {
	none := Absent("nothing varies")
	rs := []Comparison{
		{P: none, Difference: Known(5), Verdict: Ahead},
		{P: none, Difference: Known(0), Verdict: Level},
		{P: Known(0.03), Difference: Known(-1), Verdict: Behind},
	}
	// Sorted 0, 0.03, 1 against 0.05·i/3: 0 and 0.03 ≤ 0.0333 are rejected.
	if got := Firm(rs); !slices.Equal(got, []bool{true, false, true}) {
		t.Errorf("%v", got)
	}
	rs[2].P = Known(0.034)
	if got := Firm(rs); !slices.Equal(got, []bool{true, false, false}) {
		t.Errorf("%v", got)
	}
}

// The order of the comparisons does not matter, all that is firm has p ≤ 0.05, and all of p ≤ 0.05/n is.
func TestFirmIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(0, 1), rapid.Float64Range(0, 0.06), rapid.Just(0.05)), 1, 40).Draw(t, "p")
		rs := make([]Comparison, len(ps))
		for i, p := range ps {
			rs[i] = Comparison{P: Known(p), Difference: Known(1), Verdict: Ahead}
		}
		marks := Firm(rs)
		for i, p := range ps {
			if marks[i] && p > 0.05 || !marks[i] && p <= 0.05/float64(len(ps)) {
				t.Fatalf("p = %g of %d: %v", p, len(ps), marks[i])
			}
		}
		slices.Reverse(rs)
		back := Firm(rs)
		slices.Reverse(back)
		if !slices.Equal(marks, back) {
			t.Fatalf("%v, in the other order %v", marks, back)
		}
	})
}

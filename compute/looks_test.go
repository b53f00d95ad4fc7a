package compute

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

var looksReviews = flag.Int("looks-comparisons", 2500, "comparisons to simulate")

// hairMargin is so small that nothing is ever level, which would hide a false lead.
var hairMargin = Margin{Percent: 1e-6, Points: 1e-6}

// falseLeads is how often, in percent, two equal cells are seen ahead or behind at one of the looks, numbers of launches of either
// side, when the reviewer stops at the first lead. split is how many looks the error is split over.
func falseLeads(t *testing.T, looks [][2]int, split int) float64 {
	m := metric(t, "mean_fps")
	rng := rand.New(rand.NewPCG(20270226, uint64(len(looks)*100+split)))
	most := [2]int{}
	for _, l := range looks {
		most[0], most[1] = max(most[0], l[0]), max(most[1], l[1])
	}
	leads := 0
	for range *looksReviews {
		var sides [2][]float64
		for i := range sides {
			for range most[i] {
				sides[i] = append(sides[i], 80*math.Exp(0.005*rng.NormFloat64()))
			}
		}
		if slices.ContainsFunc(looks, func(l [2]int) bool {
			a, b := Cell(m, launchesOf(sides[0][:l[0]]...)), Cell(m, launchesOf(sides[1][:l[1]]...))
			a.Looks, b.Looks = split, split
			v := Compare(m, a, b, noSessionSpread, hairMargin).Verdict
			return v == Ahead || v == Behind
		}) {
			leads++
		}
	}
	return 100 * float64(leads) / float64(*looksReviews)
}

// both gives the same number of launches to both sides.
func both(ks ...int) (looks [][2]int) {
	for _, k := range ks {
		looks = append(looks, [2]int{k, k})
	}
	return looks
}

// Why looks are declared: adding a pass to each side until one leads finds a lead between equal cells about three times as often as
// the 5 % of a single look, and the error split over declared looks keeps it (C. E. Bonferroni, 1936). Bounds are three standard
// errors of the simulation off; a single look shows that the simulation is right where the answer is known.
func TestToppingUpTriplesFalseLeads(t *testing.T) {
	sd := math.Sqrt(0.05 * 0.95 / float64(*looksReviews))
	slack := 300 * sd // in percentage points
	single := falseLeads(t, both(5), 1)
	if math.Abs(single-5) > slack {
		t.Errorf("one look: %.2f %% false leads, want 5", single)
	}
	toppedUp := falseLeads(t, both(3, 4, 5, 6, 7, 8, 9, 10, 11, 12), 1)
	if toppedUp < 12.5 {
		t.Errorf("topped up pass by pass from 3 to 12: %.2f %% false leads, want about three times 5", toppedUp)
	}
	unsplit := falseLeads(t, both(3, 5, 8), 1)
	if unsplit < 8 {
		t.Errorf("three looks at 5 %% each: %.2f %% false leads, want far more than 5", unsplit)
	}
	for name, c := range map[string]struct {
		looks [][2]int
		split int
	}{
		"3, 5, 8":             {both(3, 5, 8), 3},
		"3, 5, 8, 12":         {both(3, 5, 8, 12), 4},
		"2 to 7":              {both(2, 3, 4, 5, 6, 7), 6},
		"one side at a time":  {[][2]int{{3, 3}, {5, 3}, {5, 5}, {8, 5}, {8, 8}}, 3},
		"against three fixed": {[][2]int{{3, 3}, {5, 3}, {8, 3}}, 3},
	} {
		got := falseLeads(t, c.looks, c.split)
		if got > 5+slack || got < 1.5 {
			t.Errorf("%s, split over %d: %.2f %% false leads, want at most 5", name, c.split, got)
		}
		t.Logf("%s, split over %d: %.2f %%", name, c.split, got)
	}
	t.Logf("one look %.2f %%, pass by pass from 3 to 12 %.2f %%, three looks unsplit %.2f %%", single, toppedUp, unsplit)
}

// With a known spread and looks after equal steps the chance of a false lead at 5 % each is tabled: P. Armitage, C. K. McPherson and
// B. C. Rowe, Journal of the Royal Statistical Society A 132(2), 1969, table 2 (from memory).
func TestRepeatedLooksAgreeWithTheTable(t *testing.T) {
	m := metric(t, "mean_fps")
	rng := rand.New(rand.NewPCG(1969, 5))
	tabled := map[int]float64{1: 5, 2: 8.3, 3: 10.7, 4: 12.6, 5: 14.2, 10: 19.3}
	first := make([]int, 11) // comparisons whose first false lead is at that look
	for range *looksReviews {
		var sums [2]float64
		for k := 1; k <= 10; k++ {
			var sides [2]CellStat
			for i := range sides {
				sums[i] += rng.NormFloat64()
				sides[i] = CellStat{Centre: Known(sums[i] / float64(k)), Mean: Known(1), Variance: Known(100), ShownVariance: Known(100), DF: Known(1e9), Launches: 100 * k}
			}
			if v := Compare(m, sides[0], sides[1], noSessionSpread, hairMargin).Verdict; v == Ahead || v == Behind {
				first[k]++
				break
			}
		}
	}
	seen := 0
	for k, n := range first {
		seen += n
		want, ok := tabled[k]
		if got := 100 * float64(seen) / float64(*looksReviews); ok && math.Abs(got-want) > 300*math.Sqrt(want/100*(1-want/100)/float64(*looksReviews))+0.05 {
			t.Errorf("%d looks: %.2f %% false leads, the table has %.1f", k, got, want)
		}
	}
}

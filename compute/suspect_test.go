package compute

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Grubbs' critical values, as printed to 0.0011 and as R computes them to 1e-7.
func TestGrubbsCritical(t *testing.T) {
	rows := referenceRows(t, "grubbs_critical.csv")
	for _, row := range rows {
		n := int(parse(t, row[0]))
		for column, p := range map[int]float64{1: 0.05, 2: 0.025, 3: 0.005, 4: 0.05, 5: 0.01, 6: 0.025, 7: 0.005} {
			tolerance := 1e-7
			if column <= 3 {
				tolerance = 0.0011
			}
			if row[column] == "" {
				continue
			}
			if got, want := grubbsCritical(n, p), parse(t, row[column]); math.Abs(got-want) > tolerance {
				t.Errorf("n = %d, column %d: %.9f, want %.9f", n, column, got, want)
			}
		}
	}
	if len(rows) != 19 {
		t.Errorf("%d rows", len(rows))
	}
}

// The handbook's example: the largest of eight is an outlier by the one-sided test.
func TestGrubbsExample(t *testing.T) {
	var file struct {
		Cases []struct {
			Data      []float64
			Published struct {
				Outlier  float64
				Critical float64 `json:"critical_5pct"`
			}
			Computed struct{ Mean, SD, G float64 }
		}
	}
	referenceJSON(t, "outlier_examples.json", &file)
	if len(file.Cases) == 0 {
		t.Fatal("no example")
	}
	for _, c := range file.Cases {
		wantValue(t, "mean", Known(meanOf(c.Data)), c.Computed.Mean, 1e-12)
		wantValue(t, "sd", Known(math.Sqrt(varianceOf(c.Data))), c.Computed.SD, 1e-12)
		at, g := furthest(c.Data)
		if c.Data[at] != c.Published.Outlier || !agree(g, c.Computed.G, 1e-12) || g <= grubbsCritical(len(c.Data), 0.05) {
			t.Errorf("G = %.15g at %g", g, c.Data[at])
		}
		if got := grubbsCritical(len(c.Data), 0.05); math.Abs(got-c.Published.Critical) > 5e-4 {
			t.Errorf("critical value %g", got)
		}
	}
}

// pooledReview is nine cells of three passes at 100 fps times e^−a, 1, e^a, and a tenth at 1, 1 and e^x.
func pooledReview(a, x float64) [][]float64 {
	var cells [][]float64
	for range 9 {
		cells = append(cells, []float64{100 * math.Exp(-a), 100, 100 * math.Exp(a)})
	}
	return append(cells, []float64{80, 80 * math.Exp(x), 80})
}

// limits is one plan's limit for n cells.
func limits(n int, pct float64) []float64 { return slices.Repeat([]float64{pct}, n) }

func suspects(standings [][]Standing) (found [][2]int) {
	for c, cell := range standings {
		for i, s := range cell {
			if s.Suspect {
				found = append(found, [2]int{c, i})
			}
		}
	}
	return found
}

// With q = 2x²/3 the last cell's square sum and also the square of its odd pass's distance over √(2/3), the limit is
// q = t²·(9·2a² + q)/20, so x = a·√(27t²/20/(1 − t²/20)); t(1 − 0.05/60; 20) = 3.630322392190 by numerical integration of the
// density with Simpson's rule.
func TestPooledSuspect(t *testing.T) {
	const a = 0.005
	t2 := 3.630322392190 * 3.630322392190
	edge := a * math.Sqrt(27*t2/20/(1-t2/20))
	for _, sign := range []float64{-1, 1} {
		if got := suspects(Suspects(pooledReview(a, sign*edge*0.9999), limits(10, 3))); got != nil {
			t.Errorf("just inside: %v", got)
		}
		got := Suspects(pooledReview(a, sign*edge*1.0001), limits(10, 3))
		if found := suspects(got); len(found) != 1 || found[0] != [2]int{9, 1} {
			t.Errorf("just outside: %v", found)
		}
		// The cell's median is 80.
		wantValue(t, "from the median", got[9][1].FromMedianPct, 100*math.Expm1(sign*edge*1.0001), 1e-9)
	}
	// The same pass is within half of what a plan that accepts 8 % lets pass.
	if got := suspects(Suspects(pooledReview(a, edge*1.0001), append(limits(9, 3), 8))); got != nil {
		t.Errorf("within half of max_spread: %v", got)
	}
}

// Six passes of one cell, G by hand; the critical value is 1.887 (table of Grubbs and Beck).
func TestGrubbsSuspect(t *testing.T) {
	// ln y in thousandths: 0, 1, −1, 2, −2 and 20: mean 20/6, square sum 10 + 400 − 400/6 = 343.33, s = √68.67 = 8.287,
	// G = 16.667/8.287 = 2.011.
	cell := func(thousandths ...float64) (fps []float64) {
		for _, y := range thousandths {
			fps = append(fps, 60*math.Exp(y/1000))
		}
		return fps
	}
	six := Suspects([][]float64{cell(0, 1, -1, 2, -2, 20)}, limits(1, 3))
	if found := suspects(six); len(found) != 1 || found[0] != [2]int{0, 5} {
		t.Errorf("six: %v", found)
	}
	// 5: mean 5/6, square sum 10 + 25 − 25/6 = 30.83, s = 2.483, G = 1.678.
	// 7: mean 7/6, square sum 10 + 49 − 49/6 = 50.83, s = 3.188, G = 1.830: beyond the one-sided 1.822, not the two-sided 1.887.
	for name, c := range map[string][]float64{"six, one-sided only": cell(0, 1, -1, 2, -2, 7), "five": cell(0, 1, -1, 2, 20), "six, not far enough": cell(0, 1, -1, 2, -2, 5)} {
		if found := suspects(Suspects([][]float64{c}, limits(1, 0))); found != nil {
			t.Errorf("%s: %v", name, found)
		}
	}
	if found := suspects(Suspects([][]float64{cell(0, 1, -1, 2, -2, 20)}, limits(1, 5))); found != nil {
		t.Errorf("2 %% off, and half of 5 %% is let pass: %v", found)
	}
}

func TestStandings(t *testing.T) {
	got := Suspects([][]float64{{100, 102, 97.7}, {80, 120}, {60}, {0, 60, math.NaN()}, {0, 50, 51}, nil, {70, 70, 70}}, limits(7, 3))
	for _, c := range []struct {
		cell, pass int
		want       float64
	}{{0, 0, 0}, {0, 1, 2}, {0, 2, -2.3}, {1, 0, -20}, {1, 1, 20}, {4, 2, 100 * (51/50.5 - 1)}, {6, 1, 0}} {
		v := got[c.cell][c.pass].FromMedianPct
		if !v.OK || math.Abs(v.X-c.want) > 1e-12 {
			t.Errorf("cell %d, pass %d: %+v, want %g", c.cell, c.pass, v, c.want)
		}
	}
	for _, at := range [][2]int{{2, 0}, {3, 0}, {3, 1}, {3, 2}, {4, 0}} {
		if s := got[at[0]][at[1]]; s.FromMedianPct.OK || s.FromMedianPct.Why == "" || s.Suspect {
			t.Errorf("%v: %+v", at, s)
		}
	}
	if len(got) != 7 || len(got[5]) != 0 {
		t.Errorf("%+v", got)
	}
	// Nothing varies anywhere: no pass is apart by rounding.
	if found := suspects(Suspects([][]float64{{70.1, 70.1, 70.1}, slices.Repeat([]float64{0.3}, 7)}, limits(2, 0))); found != nil {
		t.Errorf("constant: %v", found)
	}
}

func TestSuspectProperties(t *testing.T) {
	fps := rapid.OneOf(rapid.Float64Range(1e-3, 1e5), rapid.Float64Range(59, 61), rapid.SampledFrom([]float64{0, 60, 60, 60, 1e-300, 1e300}))
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(rapid.SliceOfN(fps, 0, 8), 1, 12).Draw(t, "cells")
		got := Suspects(cells, limits(len(cells), 3))
		for c, cell := range got {
			if len(cell) != len(cells[c]) {
				t.Fatalf("cell %d of %d passes: %d", c, len(cells[c]), len(cell))
			}
			for _, s := range cell {
				if x := s.FromMedianPct.X; math.IsNaN(x) || math.IsInf(x, 0) || s.Suspect && !(math.Abs(x) > 1.5) {
					t.Fatalf("cell %d: %+v", c, s)
				}
			}
		}
	})
}

// Reviews of twenty cells of three passes that scatter by 0.7 %. Of clean ones at most 5 % may name any pass at all; a pass
// 5 % low must be named in 90 %. It pulls its cell's mean, so that now and then one of the two others is named as well.
func TestSuspectsOfSimulatedReviews(t *testing.T) {
	rng := rand.New(rand.NewPCG(2027, 4))
	const reviews = 1000
	clean, power, others := 0, 0, 0
	for range reviews {
		cells := make([][]float64, 20)
		for c := range cells {
			for range 3 {
				cells[c] = append(cells[c], 90*math.Exp(0.007*rng.NormFloat64()))
			}
		}
		if suspects(Suspects(cells, limits(20, 0))) != nil {
			clean++
		}
		cells[7][1] *= 0.95
		for _, at := range suspects(Suspects(cells, limits(20, 3))) {
			if at == [2]int{7, 1} {
				power++
			} else {
				others++
			}
		}
	}
	t.Logf("clean reviews with a suspect %.1f %%, power at −5 %% %.1f %%, others named %.1f %%", 100*float64(clean)/reviews, 100*float64(power)/reviews, 100*float64(others)/reviews)
	if clean > 0.05*reviews || power < 0.9*reviews || others > 0.05*reviews {
		t.Errorf("of %d reviews: %d clean ones name a pass, %d find the slow one, %d others", reviews, clean, power, others)
	}
}

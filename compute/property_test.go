package compute

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// bench is a review of several cells as a bench leaves it: launches of several passes, several sessions, a noise per cell.
func bench(t *rapid.T, m Metric) [][]Sample {
	cells := make([][]Sample, rapid.IntRange(2, 16).Draw(t, "cells"))
	for c := range cells {
		centre := math.Exp(rapid.Float64Range(0, 6).Draw(t, "ln centre"))
		noise := rapid.SampledFrom([]float64{0, 0.001, 0.005, 0.02}).Draw(t, "noise")
		for p := range rapid.IntRange(0, 7).Draw(t, "passes") {
			s := Sample{Value: Known(centre * math.Exp(noise*rapid.Float64Range(-1, 1).Draw(t, "deviation"))), Minutes: 1 + rapid.Float64Range(0, 0.1).Draw(t, "minutes"),
				Launch: strconv.Itoa(rapid.IntRange(0, p).Draw(t, "launch")), Session: rapid.SampledFrom([]string{"", "a", "b", "c", "d"}).Draw(t, "session"),
				Thin: rapid.IntRange(0, 9).Draw(t, "thin") == 0, LaunchAssumed: rapid.IntRange(0, 3).Draw(t, "assumed") == 0}
			if m.Scale == Count {
				s.Value.X = math.Floor(s.Value.X)
			}
			if rapid.IntRange(0, 9).Draw(t, "absent") == 0 {
				s.Value = Absent("no frames")
			}
			cells[c] = append(cells[c], s)
		}
	}
	return cells
}

// The order in which passes, cells and cards come, and what launches and sessions are called, cannot be seen in any digit.
func TestOrderAndNamesChangeNoDigit(t *testing.T) {
	names := map[string]string{"": "", "a": "zebra", "b": "Montag", "c": "1", "d": "a"}
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Metrics()).Draw(t, "metric")
		data := bench(t, m)
		order := rapid.Permutation(slices.Collect(seq(len(data)))).Draw(t, "order of cells")
		cells, moved := make([]CellStat, len(data)), make([]CellStat, len(data))
		other := make([][]Sample, len(data))
		for to, from := range order {
			cells[from] = Cell(m, data[from])
			if len(data[from]) > 0 {
				other[to] = rapid.Permutation(data[from]).Draw(t, "order of passes")
			}
			for i := range other[to] {
				other[to][i].Launch, other[to][i].Session = "launch "+other[to][i].Launch, names[other[to][i].Session]
			}
			moved[to] = Cell(m, other[to])
			if moved[to].Session != names[cells[from].Session] {
				t.Fatalf("session %q of %q", moved[to].Session, cells[from].Session)
			}
			moved[to].Session = cells[from].Session
		}
		_, shown := Borrow(m, cells)
		_, shownMoved := Borrow(m, moved)
		for to, from := range order {
			same(t, "cell", moved[to], cells[from])
			same(t, "leaning", shownMoved[to], shown[from])
		}
		noise, _ := PooledNoise(shown)
		noiseMoved, _ := PooledNoise(shownMoved)
		same(t, "noise", noiseMoved, noise)
		cut := rapid.IntRange(0, len(data)).Draw(t, "cells of one mode")
		u, why := SpreadOfSessions(m, [][][]Sample{data[:cut], data[cut:]})
		first, second := modesOf(other, order, cut)
		uMoved, whyMoved := SpreadOfSessions(m, [][][]Sample{second, first})
		same(t, "session spread", uMoved, u)
		same(t, "why none", whyMoved, why)
	})
}

// modesOf takes the cells back apart: those that came from before the cut, and the others.
func modesOf(cells [][]Sample, order []int, cut int) (first, second [][]Sample) {
	for to, from := range order {
		if from < cut {
			first = append(first, cells[to])
		} else {
			second = append(second, cells[to])
		}
	}
	return first, second
}

func same(t *rapid.T, what string, got, want any) {
	if !reflect.DeepEqual(got, want) {
		t.Fatalf("%s: %+v, and in another order %+v", what, want, got)
	}
}

// What is looked for over all passes of a review is found whatever their order.
func TestOrderHidesNoPass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rates [][]float64
		for range rapid.IntRange(2, 10).Draw(t, "cells") {
			centre := rapid.Float64Range(20, 500).Draw(t, "fps")
			var cell []float64
			for range rapid.IntRange(0, 8).Draw(t, "passes") {
				cell = append(cell, centre*math.Exp(rapid.Float64Range(-0.03, 0.03).Draw(t, "deviation")))
			}
			rates = append(rates, cell)
		}
		order := rapid.Permutation(slices.Collect(seq(len(rates)))).Draw(t, "order of cells")
		want, passOrder := Suspects(rates, limits(len(rates), 3)), FindPassOrder(rates)
		moved, back := make([][]float64, len(rates)), make([][]int, len(rates))
		behindFirst := make([][]float64, len(rates))
		for to, from := range order {
			back[to] = rapid.Permutation(slices.Collect(seq(len(rates[from])))).Draw(t, "order of passes")
			for _, i := range back[to] {
				moved[to] = append(moved[to], rates[from][i])
			}
			if n := len(rates[from]); n > 0 {
				behindFirst[to] = append([]float64{rates[from][0]}, backwards(rates[from][1:])...)
			}
		}
		got := Suspects(moved, limits(len(rates), 3))
		for to, from := range order {
			for at, i := range back[to] {
				same(t, "standing", got[to][at], want[from][i])
			}
		}
		// Which pass is first matters here, the order of the later ones and of the cells does not.
		same(t, "pass order", FindPassOrder(behindFirst), passOrder)
	})
}

func backwards(xs []float64) []float64 {
	out := slices.Clone(xs)
	slices.Reverse(out)
	return out
}

// Passes of one scene in another order are judged alike.
func TestOrderOfSiblings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var passes []*Pass
		for range rapid.IntRange(1, 5).Draw(t, "passes") {
			pct := rapid.SampledFrom([]float64{0, 0, -3, 2.5}).Draw(t, "drift")
			p := ramp(rapid.SampledFrom([]int{40, 40, 44}).Draw(t, "seconds"), pct, func(s float64) float64 { return 100 + 30*math.Sin(s/4) })
			if at := rapid.IntRange(-30, 35).Draw(t, "disturbed from"); at >= 0 {
				p.SecondRates[at], p.SecondRates[at+1] = p.SecondRates[at]*0.9, p.SecondRates[at+1]*0.9
			}
			passes = append(passes, p)
		}
		want := CompareSiblings(passes)
		order := rapid.Permutation(slices.Collect(seq(len(passes)))).Draw(t, "order")
		moved := make([]*Pass, len(passes))
		for to, from := range order {
			moved[to] = passes[from]
		}
		got := CompareSiblings(moved)
		same(t, "reproducible", got.NotReproducible, want.NotReproducible)
		for to, from := range order {
			same(t, "check", got.Checks[to], want.Checks[from])
		}
	})
}

// Which leads are firm does not depend on where they stand.
func TestOrderOfVerdicts(t *testing.T) {
	one := rapid.Custom(func(t *rapid.T) Comparison {
		r := Comparison{Verdict: rapid.SampledFrom([]Verdict{Ahead, Behind, Level, Unresolved, Single, ""}).Draw(t, "verdict"), Difference: Known(1)}
		if rapid.Bool().Draw(t, "varies") {
			r.P = Known(math.Pow(10, rapid.Float64Range(-6, 0).Draw(t, "lg p")))
		}
		return r
	})
	rapid.Check(t, func(t *rapid.T) {
		family := rapid.SliceOfN(one, 1, 30).Draw(t, "family")
		order := rapid.Permutation(slices.Collect(seq(len(family)))).Draw(t, "order")
		moved := make([]Comparison, len(family))
		for to, from := range order {
			moved[to] = family[from]
		}
		want, got := Firm(family), Firm(moved)
		for to, from := range order {
			same(t, fmt.Sprint("mark ", from), got[to], want[from])
		}
	})
}

// A constant factor on the frame times of both cards, as of a slower processor or another unit, changes no percentage, no
// interval of one, no p and no verdict, and scales the difference in the unit. Limits and hitches are in absolute time, so the
// metrics that have a scale without them are looked at. Frame times are whole ns, which the factor leaves whole.
func TestAFactorOnBothCards(t *testing.T) {
	var free []Metric
	for _, m := range Metrics() {
		if m.Scale == Ratio {
			free = append(free, m)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Int64Range(2, 40).Draw(t, "factor")
		var plain, times [][]*Pass // by cell
		for c := range 12 {
			var a, b []*Pass
			for range 3 {
				x := synthetic(rapid.Float64Range(60, 66).Draw(t, "fps")*float64(1+c%4), 0.5, rapid.Uint64().Draw(t, "seed"))
				y := slices.Clone(x)
				for i := range y {
					y[i] *= k
				}
				a, b = append(a, figure(x)), append(b, figure(y))
			}
			plain, times = append(plain, a), append(times, b)
		}
		for _, m := range free {
			_, a := Borrow(m, cellsOf(m, plain))
			_, b := Borrow(m, cellsOf(m, times))
			u := PlanSessionSpread(m, 0.2, 0.2)
			for c := 1; c < len(a); c++ {
				r, s := Compare(m, a[c], a[0], u, DefaultMargin), Compare(m, b[c], b[0], u, DefaultMargin)
				scaled := float64(k)
				if m.Unit == "fps" {
					scaled = 1 / scaled
				}
				alike(t, m.Name, r, s, scaled)
			}
		}
	})
}

func cellsOf(m Metric, passes [][]*Pass) (cells []CellStat) {
	for _, ps := range passes {
		var samples []Sample
		for i, p := range ps {
			s := m.Sample(p)
			s.Launch, s.Session = strconv.Itoa(i), "s"
			samples = append(samples, s)
		}
		cells = append(cells, Cell(m, samples))
	}
	return cells
}

// alike compares two comparisons of the same cards whose figures are a factor apart.
func alike(t *rapid.T, what string, r, s Comparison, factor float64) {
	if r.Verdict != s.Verdict || !slices.Equal(r.Flags, s.Flags) || r.Method != s.Method || r.DF.OK != s.DF.OK {
		t.Fatalf("%s: %+v and %+v", what, r, s)
	}
	for name, v := range map[string][2]Value{"ratio": {r.Ratio, s.Ratio}, "percent": {r.Percent, s.Percent}, "low": {r.Low, s.Low}, "high": {r.High, s.High},
		"own low": {r.OwnLow, s.OwnLow}, "own high": {r.OwnHigh, s.OwnHigh}, "p": {r.P, s.P}} {
		// A percentage is relative to 100 of the base.
		if v[0].OK != v[1].OK || math.Abs(v[0].X-v[1].X) > 1e-12*(100+math.Abs(v[0].X)) {
			t.Fatalf("%s, %s: %.17g and %.17g", what, name, v[0].X, v[1].X)
		}
	}
	if size := math.Abs(r.Difference.X / (r.Ratio.X - 1) * factor); math.Abs(s.Difference.X-r.Difference.X*factor) > 1e-12*size {
		t.Fatalf("%s: difference %g is %g after a factor of %g", what, r.Difference.X, s.Difference.X, factor)
	}
}

// Nor can the order of games and of their cells in a mean over games, in a claim, or in where its uncertainty comes from.
func TestOrderOfGames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(Metrics()).Draw(t, "metric")
		data := bench(t, m)
		order := rapid.Permutation(slices.Collect(seq(len(data)))).Draw(t, "order")
		of := func(order []int) (pairs []Pair, terms []BudgetTerm) {
			var cells []CellStat
			var samples [][]Sample
			for _, i := range order {
				cells, samples = append(cells, Cell(m, data[i])), append(samples, data[i])
			}
			_, cells = Borrow(m, cells)
			within := WithinLaunches(m, samples)
			for at, i := range order {
				base := at
				for at2, j := range order {
					if j == i/2*2 { // every second cell is the base of itself and of the one after it
						base = at2
					}
				}
				if cells[at].Centre.OK && cells[base].Centre.OK {
					pairs = append(pairs, Pair{strconv.Itoa(i / 4), cells[at], cells[base]})
					terms = append(terms, BudgetTerm{Cell: cells[at], Within: within[at], Weight: 1 / float64(1+i%3), Launch: float64(i), Pass: 1})
				}
			}
			return pairs, terms
		}
		pairs, terms := of(slices.Collect(seq(len(data))))
		moved, movedTerms := of(order)
		u := PlanSessionSpread(m, 0.2, 0.2)
		want, got := Summarise(m, pairs, u, DefaultMargin), Summarise(m, moved, u, DefaultMargin)
		want.Why, got.Why = "", "" // names the first game that lacks something
		same(t, "summary", withoutReasons(got), withoutReasons(want))
		for _, absolute := range []bool{false, true} {
			h := Hope{Near: 5, Within: 1, IsNear: true}
			want, got := judgedAlone(Claim(m, h, absolute, pairs, u, DefaultMargin)), judgedAlone(Claim(m, h, absolute, moved, u, DefaultMargin))
			want.Why, got.Why = "", ""
			same(t, "claim", withoutReasons(got), withoutReasons(want))
			same(t, "repeats", RepeatsForClaim(m, h, absolute, moved, u, DefaultMargin, 3), RepeatsForClaim(m, h, absolute, pairs, u, DefaultMargin, 3))
		}
		sides := []BudgetSide{{Sessions: 1, PerSession: 1, Mount: 20}, {Sessions: 2, PerSession: 0.5, Mount: 30}}
		a, b := BudgetOf(m, terms, sides, u), BudgetOf(m, movedTerms, sides, u)
		if a.Why == "" || b.Why == "" {
			same(t, "budget", b, a)
		}
	})
}

// withoutReasons drops why figures are absent, since of several reasons the first one met is told, and the names of the extreme
// games, of which there may be two.
func withoutReasons[T any](figures T) T {
	r := reflect.ValueOf(&figures).Elem()
	for i := range r.NumField() {
		if !r.Type().Field(i).IsExported() {
			continue
		}
		switch v := r.Field(i).Addr().Interface().(type) {
		case *Value:
			v.Why = ""
		case *Extreme:
			*v = Extreme{By: Value{X: v.By.X, OK: v.By.OK}}
		}
	}
	return figures
}

// judgedAlone judges a claim as a plan's only one, and leaves out the function it carries for that, which equals nothing.
func judgedAlone(c ClaimFigures) ClaimFigures {
	cs := []ClaimFigures{c}
	JudgeClaims(cs)
	cs[0].offer = nil
	return cs[0]
}

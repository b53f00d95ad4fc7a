package review

import (
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// outcome is everything of a review that a reader of its tables would call a figure, by cells as the bench names them.
type outcome struct {
	passes      map[string]*compute.Pass
	cells       map[string][]compute.CellStat
	states      map[string]string
	comparisons map[string]Comparison
	summaries   map[string][]any
	counted     map[string][3]int // leads, levels, trails
	claims      map[string][]any
}

func (f form) run(t *rapid.T, dir string, b bench) outcome {
	f.write(t, dir, b)
	o := options(dir)
	o.Record, o.Keep, o.Workers = false, false, f.workers
	r, err := Do(t.Context(), o)
	if err != nil {
		t.Fatal(err, r.Findings)
	}
	real := map[string]string{}
	for _, card := range benchCards {
		real[f.name(card)] = card
	}
	out := outcomeOf(t, r, real)
	byRepeat := out.passes
	out.passes = map[string]*compute.Pass{}
	for i, p := range b.passes {
		out.passes[fmt.Sprint(p.cell(), " ", p.repeat)] = byRepeat[fmt.Sprint(p.cell(), " ", f.repeats[i])]
	}
	return out
}

func outcomeOf(t failing, r *Review, cards map[string]string) outcome {
	key := func(k plan.Key) string { return cards[k.Card] + " " + k.Game + " " + k.Resolution }
	out := outcome{map[string]*compute.Pass{}, map[string][]compute.CellStat{}, map[string]string{}, map[string]Comparison{},
		map[string][]any{}, map[string][3]int{}, map[string][]any{}}
	for _, p := range r.Passes {
		out.passes[fmt.Sprint(key(p.Key), " ", p.Repeat)] = p.Figures
	}
	for _, c := range r.Cells {
		stats := slices.Clone(c.Stats)
		for i := range stats {
			stats[i].Session = "" // the name of one, which holds the card's
		}
		out.cells[key(c.Cell.Key)] = stats
		out.states[key(c.Cell.Key)] = fmt.Sprint(c.State, len(c.Why), len(c.Flags)) // the reasons name passes by number
	}
	for _, d := range r.Comparisons {
		name := key(d.Of) + " against " + cards[d.Base.Card] + " in " + d.Metric.Name
		d.Of, d.Base, d.Metric = plan.Key{}, plan.Key{}, compute.Metric{}
		out.comparisons[name] = d
	}
	for _, s := range r.Summaries {
		name := fmt.Sprint(cards[s.Of.Card], " ", s.Group, " ", s.Resolution, " ", s.Metric.Name)
		out.counted[name] = [3]int{s.Leads, s.Levels, s.Trails}
		out.summaries[name] = []any{s.Games, s.Summary.Cells, bare(s.Difference, s.Ratio, s.Percent, s.TheseLow, s.TheseHigh, s.LikeLow,
			s.LikeHigh, s.DF, s.P, s.Most.By, s.Least.By), s.Verdict, s.Flags, s.SessionSpread, s.Looks}
	}
	for _, c := range r.Claims {
		out.claims[c.Name] = []any{c.ClaimFigures.Cells, c.ClaimFigures.Games, c.Inside, c.Verdict, c.Leaning(), c.Compared, c.Needed,
			c.Thin, c.SessionSpread,
			bare(c.Estimate, c.Low, c.High, c.SaidLow, c.SaidHigh, c.HalfWidth, c.DF, c.PFor, c.PSign, c.PAgainst)}
	}
	if len(out.passes) == 0 || len(out.comparisons) == 0 || len(out.summaries) == 0 {
		t.Fatalf("%d passes, %d comparisons, %d summaries", len(out.passes), len(out.comparisons), len(out.summaries))
	}
	return out
}

// bare drops why figures are absent: of several cells that lack something, the first one met is named.
func bare(vs ...compute.Value) []compute.Value {
	for i := range vs {
		vs[i].Why = ""
	}
	return vs
}

// sameAs fails unless two outcomes agree in every bit.
func (o outcome) sameAs(t failing, other outcome) {
	bitForBit(t, "pass", o.passes, other.passes)
	bitForBit(t, "cell", o.cells, other.cells)
	bitForBit(t, "state", o.states, other.states)
	bitForBit(t, "comparison", o.comparisons, other.comparisons)
	bitForBit(t, "summary", o.summaries, other.summaries)
	bitForBit(t, "verdicts", o.counted, other.counted)
	bitForBit(t, "claim", o.claims, other.claims)
}

func bitForBit[V any](t failing, what string, got, want map[string]V) {
	if len(got) != len(want) {
		t.Fatalf("%d of what was %d: %s", len(got), len(want), what)
	}
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if !reflect.DeepEqual(got[name], want[name]) {
			t.Fatalf("%s %s:\n%+v\nwas\n%+v", what, name, got[name], want[name])
		}
	}
}

// The unit and form of the frame times, the order of files, of the log's rows and of a cell's passes, the number of workers, what a
// card is called and where the plan declares it and the games change no figure, to the last bit.
func TestHowItIsWrittenDownChangesNoFigure(t *testing.T) {
	long(t)
	dir := t.TempDir()
	runs := 0
	rapid.Check(t, func(t *rapid.T) {
		b := newBench(rapid.Uint64Range(1, 5).Draw(t, "bench"))
		first := plainForm(b)
		first.logged = rapid.Bool().Draw(t, "logged")
		other := first
		other.unit = rapid.SampledFrom([]string{"ms", "s", "us", "ns"}).Draw(t, "unit")
		if other.stamped = rapid.Bool().Draw(t, "timestamps"); other.stamped {
			other.startNS = rapid.Int64Range(0, 1e15).Draw(t, "start")
		}
		other.files = rapid.Permutation(first.files).Draw(t, "order of files")
		other.cards = rapid.Permutation(benchCards).Draw(t, "order of cards")
		other.games = rapid.Permutation(benchGames).Draw(t, "order of games")
		if rapid.Bool().Draw(t, "passes the other way round") {
			other.repeats = b.turned()
		}
		other.workers = rapid.IntRange(1, 8).Draw(t, "workers")
		if rapid.Bool().Draw(t, "renamed") {
			other.names = map[string]string{"tern_ref": "zander", "gannet": "a1", "heron_x": "tern_ref"}
		}
		runs++
		at := filepath.Join(dir, fmt.Sprint(runs))
		first.run(t, at+"a", b).sameAs(t, other.run(t, at+"b", b))
		for _, x := range []string{"a", "b"} {
			if err := os.RemoveAll(at + x); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// A constant factor on the frame times of both cards changes no percentage, no interval of one, no p and no verdict, and scales the
// difference in the unit. Time over a limit and hitches are in absolute time, so they do change.
func TestAFactorOnAllFrameTimesChangesNoDifference(t *testing.T) {
	long(t)
	dir := t.TempDir()
	runs := 0
	rapid.Check(t, func(t *rapid.T) {
		b := newBench(rapid.Uint64Range(1, 5).Draw(t, "bench"))
		k := rapid.Int64Range(2, 9).Draw(t, "factor")
		f := plainForm(b)
		f.keepAll, f.workers = true, 2
		runs++
		at := filepath.Join(dir, fmt.Sprint(runs))
		plain := f.run(t, at+"a", b)
		for i := range b.passes {
			for j := range b.passes[i].frameNS {
				b.passes[i].frameNS[j] *= k
			}
		}
		times := f.run(t, at+"b", b)
		for _, m := range compute.Metrics() {
			if m.Scale != compute.Ratio {
				continue
			}
			factor := float64(k)
			if m.Unit == "fps" {
				factor = 1 / factor
			}
			var was, is []compute.Comparison // whether cells hold is another matter: caps and disturbances are in absolute time
			for _, name := range slices.Sorted(maps.Keys(plain.comparisons)) {
				if want := plain.comparisons[name]; want.Comparison.Metric == m.Name {
					got := times.comparisons[name]
					relativeAlike(t, name, got.Comparison, want.Comparison, factor)
					was, is = append(was, want.Comparison), append(is, got.Comparison)
				}
			}
			if len(was) != 2*5 || !slices.Equal(compute.Firm(was), compute.Firm(is)) {
				t.Fatalf("%s: firm %v, was %v", m.Name, compute.Firm(is), compute.Firm(was))
			}
		}
		for _, x := range []string{"a", "b"} {
			if err := os.RemoveAll(at + x); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// relativeAlike allows a percentage 1e-12 of 100, which it is relative to. A p goes by the ratio of a difference to a spread, which
// are the small rest of logarithms of 1e-15.
func relativeAlike(t *rapid.T, name string, got, want compute.Comparison, factor float64) {
	ready := func(flags []compute.Flag) []compute.Flag { // whether cells hold is another matter, see above
		return slices.DeleteFunc(slices.Clone(flags), func(w compute.Flag) bool { return w == flagNotReady })
	}
	if got.Verdict != want.Verdict || !slices.Equal(ready(got.Flags), ready(want.Flags)) || got.Method != want.Method {
		t.Fatalf("%s: %+v was %+v", name, got, want)
	}
	near := func(what string, got, want compute.Value, tolerance float64) {
		if got.OK != want.OK || math.Abs(got.X-want.X) > tolerance {
			t.Fatalf("%s: %s %.17g was %.17g", name, what, got.X, want.X)
		}
	}
	near("ratio", got.Ratio, want.Ratio, 1e-12*want.Ratio.X)
	for what, v := range map[string][2]compute.Value{
		"percent": {got.Percent, want.Percent}, "low": {got.Low, want.Low}, "high": {got.High, want.High},
		"own low": {got.OwnLow, want.OwnLow}, "own high": {got.OwnHigh, want.OwnHigh},
	} {
		near(what, v[0], v[1], 1e-12*(100+math.Abs(v[1].X)))
	}
	near("p", got.P, want.P, 1e-9*want.P.X+1e-14)
	want.Difference.X *= factor
	near("difference", got.Difference, want.Difference, 1e-12*math.Abs(want.Difference.X/(want.Ratio.X-1)))
}

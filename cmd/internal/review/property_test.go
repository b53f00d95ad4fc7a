package review

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// bench is a made-up review: three cards in two games at two resolutions, three passes a cell in the first game and two in the second,
// so that cells lean on each other. Its frame times are whole ns.
type bench struct {
	passes []benchPass
}

type benchPass struct {
	card, game, resolution string
	repeat                 int
	launch, session        string
	frameNS                []int64
}

// turned numbers the passes of each cell the other way round.
func (b bench) turned() (repeats []int) {
	last := map[string]int{}
	for _, p := range b.passes {
		last[p.cell()] = max(last[p.cell()], p.repeat)
	}
	for _, p := range b.passes {
		repeats = append(repeats, last[p.cell()]+1-p.repeat)
	}
	return repeats
}

func (p benchPass) cell() string { return p.card + " " + p.game + " " + p.resolution }

var benchCards = []string{"tern_ref", "heron_x", "gannet"}

// newBench makes passes of two seconds up, all cells with a noise of their own; a few passes have a hitch or are slow for a while.
func newBench(seed uint64) (b bench) {
	rng := rand.New(rand.NewPCG(seed, 3))
	for c, card := range benchCards {
		for g, game := range []string{"fjord", "bazaar"} {
			for _, resolution := range []string{"qhd", "uhd"} {
				mean := (9 + 2*float64(c) + float64(g)) * 1e6 * (1 + 0.5*rng.Float64())
				noise := 0.002 + 0.01*rng.Float64()
				for repeat := range 3 - g {
					p := benchPass{card: card, game: game, resolution: resolution, repeat: repeat + 1}
					p.launch, p.session = fmt.Sprint("l", repeat-rng.IntN(repeat+1)), fmt.Sprint("s", rng.IntN(2))
					pace := math.Exp(noise * rng.NormFloat64())
					for t := int64(0); t < 2.2e9; t += p.frameNS[len(p.frameNS)-1] {
						x := mean * pace * math.Exp(0.06*rng.NormFloat64())
						if rng.IntN(90) == 0 {
							x *= 4
						}
						p.frameNS = append(p.frameNS, int64(x))
					}
					b.passes = append(b.passes, p)
				}
			}
		}
	}
	return b
}

// form is how one and the same bench is written down.
type form struct {
	stamped bool     // timestamps instead of frame times
	unit    string   // ms, s, us or ns
	startNS int64    // of the first timestamp
	cards   []string // in the order in which the plan declares them
	names   map[string]string
	files   []int // number of each pass's file: the order in which they are found and logged
	repeats []int // number of each pass in its cell
	logged  bool  // mapped by a bench log with launches and sessions; else by names
	workers int
	keepAll bool
}

func plainForm(b bench) form {
	f := form{unit: "ms", cards: benchCards, workers: 1}
	for i, p := range b.passes {
		f.files, f.repeats = append(f.files, i), append(f.repeats, p.repeat)
	}
	return f
}

func (f form) name(card string) string { return cmp.Or(f.names[card], card) }

// path names a pass's file: by what it is, or under a log by a number only.
func (f form) path(b bench, i int) string {
	p := b.passes[i]
	if f.logged {
		return fmt.Sprintf("captures/%04d.csv", f.files[i])
	}
	return fmt.Sprintf("captures/%s/%s/%s_%d.csv", p.resolution, p.game, f.name(p.card), f.repeats[i])
}

// failing is a test or one draw of a property.
type failing interface {
	Fatal(...any)
	Fatalf(string, ...any)
}

func (f form) write(t failing, dir string, b bench) {
	put := func(name, text string) {
		name = filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	put("plan.hcl", f.plan())
	rows := make([]string, len(b.passes))
	for i, p := range b.passes {
		put(f.path(b, i), f.capture(p))
		rows[f.files[i]] = fmt.Sprintf("%s,%s,stock,%s,plain,%s,%d,%s,%s\n", f.path(b, i), f.name(p.card), p.game, p.resolution, f.repeats[i], p.launch, p.session)
	}
	if f.logged {
		put("bench.csv", "file,card,mode,game,variant,resolution,repeat,launch,session\n"+strings.Join(rows, ""))
	}
}

func (f form) plan() string {
	var s strings.Builder
	fmt.Fprintf(&s, "review \"made_up\" {\n  baseline = card.%s.stock\n}\n", f.name("tern_ref"))
	for _, card := range f.cards {
		fmt.Fprintf(&s, "card %q {\n  vendor = \"marram\"\n}\n", f.name(card))
	}
	keep := `{ warmup = "0.1s", length = "2s" }`
	if f.keepAll {
		keep = `"all"`
	}
	for _, game := range []string{"fjord", "bazaar"} {
		fmt.Fprintf(&s, "game %q {\n  drive = \"built-in\"\n  keep  = %s\n}\n", game, keep)
	}
	s.WriteString("resolution \"qhd\" { size = \"2560x1440\" }\nresolution \"uhd\" { size = \"3840x2160\" }\nmatrix {\n  repeats = 2\n}\n" +
		"matrix {\n  games   = [game.fjord]\n  repeats = 3\n}\n")
	path, column := `path = "captures/{resolution}/{game}/{card}_{repeat}.csv"`, "frame_time"
	if f.logged {
		path = `log = "bench.csv"`
	}
	if f.stamped {
		column = "timestamp"
	}
	fmt.Fprintf(&s, "files \"made_up\" {\n  %s\n  text = { delimiter = \",\", decimal = \".\" }\n  %s = { column = \"t\", unit = %q }\n  measured_at = \"present\"\n}\n",
		path, column, f.unit)
	s.WriteString("accept {\n  min_length = \"1s\"\n}\n")
	return s.String()
}

// decimalsOf is how many decimals whole ns have in a unit.
var decimalsOf = map[string]int{"s": 9, "ms": 6, "us": 3, "ns": 0}

func (f form) capture(p benchPass) string {
	var s strings.Builder
	s.WriteString("t\n")
	at := f.startNS
	if f.stamped {
		s.WriteString(decimal(at, decimalsOf[f.unit]) + "\n")
	}
	for _, x := range p.frameNS {
		if f.stamped {
			at += x
			x = at
		}
		s.WriteString(decimal(x, decimalsOf[f.unit]) + "\n")
	}
	return s.String()
}

// decimal writes a whole number of ns with its point so many digits from the right, exactly.
func decimal(ns int64, decimals int) string {
	digits := fmt.Sprintf("%0*d", decimals+1, ns)
	whole, part := digits[:len(digits)-decimals], digits[len(digits)-decimals:]
	if decimals == 0 {
		return whole
	}
	return whole + "." + part
}

// outcome is everything of a review that a reader of its tables would call a figure, by cells as the bench names them.
type outcome struct {
	passes      map[string]*compute.Pass
	cells       map[string][]compute.CellStat
	states      map[string]string
	comparisons map[string]Comparison
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
	out := outcome{map[string]*compute.Pass{}, map[string][]compute.CellStat{}, map[string]string{}, map[string]Comparison{}}
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
	if len(out.passes) == 0 || len(out.comparisons) == 0 {
		t.Fatalf("%d passes and %d comparisons", len(out.passes), len(out.comparisons))
	}
	return out
}

// sameAs fails unless two outcomes agree in every bit.
func (o outcome) sameAs(t failing, other outcome) {
	bitForBit(t, "pass", o.passes, other.passes)
	bitForBit(t, "cell", o.cells, other.cells)
	bitForBit(t, "state", o.states, other.states)
	bitForBit(t, "comparison", o.comparisons, other.comparisons)
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

// The unit and form of the frame times, the order of files, of the log's rows and of a cell's passes, the number of workers, what a card is called and
// where the plan declares it change no figure, to the last bit.
func TestHowItIsWrittenDownChangesNoFigure(t *testing.T) {
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
			if len(was) != 8 || !slices.Equal(compute.Firm(was), compute.Firm(is)) {
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
	if got.Verdict != want.Verdict || !slices.Equal(got.Flags, want.Flags) || got.Method != want.Method {
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

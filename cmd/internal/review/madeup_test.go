package review

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
)

// bench is a made-up review: three cards in three games, the first two at two resolutions; three passes a cell in the first game and
// two in the others, so that cells lean on each other. Its frame times are whole ns.
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

var (
	benchCards = []string{"tern_ref", "heron_x", "gannet"}
	benchGames = []string{"fjord", "bazaar", "kelp"}
)

// newBench makes passes of two seconds up, all cells with a noise of their own; a few passes have a hitch or are slow for a while.
func newBench(seed uint64) (b bench) {
	rng := rand.New(rand.NewPCG(seed, 3))
	for c, card := range benchCards {
		for g, game := range benchGames {
			for _, resolution := range []string{"qhd", "uhd"}[g/2:] {
				mean := (9 + 2*float64(c) + float64(g)) * 1e6 * (1 + 0.5*rng.Float64())
				noise := 0.002 + 0.01*rng.Float64()
				for repeat := range 3 - min(g, 1) {
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
	games   []string // likewise
	names   map[string]string
	files   []int // number of each pass's file: the order in which they are found and logged
	repeats []int // number of each pass in its cell
	logged  bool  // mapped by a bench log with launches and sessions; else by names
	workers int
	keepAll bool
}

func plainForm(b bench) form {
	f := form{unit: "ms", cards: benchCards, games: benchGames, workers: 1}
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
	for _, game := range f.games {
		fmt.Fprintf(&s, "game %q {\n  drive = \"built-in\"\n  keep  = %s\n}\n", game, keep)
	}
	s.WriteString("resolution \"qhd\" { size = \"2560x1440\" }\nresolution \"uhd\" { size = \"3840x2160\" }\nmatrix {\n  games   = [game.fjord, game.bazaar]\n  repeats = 2\n}\n" +
		"matrix {\n  games       = [game.kelp]\n  resolutions = [resolution.uhd]\n  repeats     = 2\n}\n" +
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
	for _, metric := range []string{"mean_fps", "frame_ms_p99", "hitch_events"} {
		fmt.Fprintf(&s, "claim %q {\n  says    = \"the same\"\n  metric  = %q\n  of      = card.%s.stock\n  against = card.%s.stock\n  expect  = { same = true }\n}\n",
			metric, metric, f.name("heron_x"), f.name("tern_ref"))
	}
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

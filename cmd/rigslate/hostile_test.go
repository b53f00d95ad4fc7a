package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"github.com/parquet-go/parquet-go"

	"github.com/rigslate/rigslate/cmd/internal/screen"
)

// edges are games whose captures are at the edges of the arithmetic: for each card the frame times of its passes, in ns. A card
// that a game lacks has no pass in it.
func edges() map[string]map[string][][]int64 {
	rng := rand.New(rand.NewPCG(11, 5))
	repeat := func(ns int64, n int) []int64 {
		x := make([]int64, n)
		for i := range x {
			x[i] = ns
		}
		return x
	}
	noisy := func(ms float64, n int) []int64 {
		x := make([]int64, n)
		for i := range x {
			x[i] = int64(ms * 1e6 * math.Exp(0.05*rng.NormFloat64()))
		}
		return x
	}
	times := func(n int, x []int64) (out [][]int64) {
		for range n {
			out = append(out, x)
		}
		return out
	}
	hitch := append(append(noisy(4, 400), 5_000_000_000), noisy(4, 400)...)
	wild := func() []int64 {
		x := make([]int64, 60)
		for i := range x {
			x[i] = int64(math.Exp(math.Log(50_000) + rng.Float64()*math.Log(30e9/50_000)))
		}
		return x
	}
	const t, h = "tern_ref", "heron_x"
	return map[string]map[string][][]int64{
		"constant":     {t: times(3, repeat(16_666_667, 400)), h: times(3, repeat(15_000_000, 400))},
		"alike":        {t: times(3, repeat(10_000_000, 400)), h: times(3, repeat(10_000_000, 400))},
		"one_frame":    {t: {{16e6}, {17e6}, {18e6}}, h: {{15e6}, {15e6}, {15e6}}},
		"two_frames":   {t: {{16e6, 17e6}, {16e6, 17e6}, {16e6, 18e6}}, h: {{15e6, 15e6}, {14e6, 15e6}, {15e6, 14e6}}},
		"three_frames": {t: {{16e6, 17e6, 18e6}}, h: {{15e6, 15e6, 1}, {14e6, 15e6, 16e6}}},
		"ties":         {t: times(3, append(repeat(10_000_000, 300), repeat(11_000_000, 300)...)), h: times(3, append(repeat(11_000_000, 300), repeat(10_000_000, 300)...))},
		"fastest":      {t: times(3, repeat(50_000, 4000)), h: {repeat(50_000, 4000), repeat(50_001, 4000), repeat(49_999, 4000)}},
		"slowest":      {t: times(3, repeat(30_000_000_000, 4)), h: {repeat(30_000_000_000, 4), {29e9, 31e9, 30e9}, {30e9, 28e9}}},
		"wild":         {t: {wild(), wild(), wild()}, h: {wild(), wild(), wild()}},
		"hitch":        {t: {noisy(4, 900), hitch, noisy(4, 900)}, h: {hitch, hitch, noisy(4, 900)}},
		"far_apart":    {t: {repeat(50_000, 3000), repeat(30_000_000_000, 3)}, h: {noisy(5, 300), noisy(5, 300), noisy(5, 300)}},
		"counts":       {t: {noisy(9, 200), noisy(9, 200)}, h: {noisy(8, 200), noisy(8, 200), noisy(8, 200), noisy(8, 200), noisy(8, 200)}},
		"no_base":      {h: {noisy(9, 200), noisy(9, 200), noisy(9, 200)}},
		"no_card":      {t: {noisy(9, 200), noisy(9, 200), noisy(9, 200)}},
		"ordinary":     {t: {noisy(7, 300), noisy(7, 300), noisy(7, 300)}, h: {noisy(6.6, 300), noisy(6.6, 300), noisy(6.6, 300)}},
		"nanosecond":   {t: times(3, repeat(1, 2000)), h: {repeat(1, 2000), repeat(2, 2000), repeat(1, 3000)}},
	}
}

// setting is how the passes at the edges are said to have been made.
type setting struct {
	name       string
	log        bool // launches and sessions are known
	oneLaunch  bool
	oneSession bool
	alone      bool // few cells, so that none can lean on the others
	statistics string
}

func (s setting) games() map[string]map[string][][]int64 {
	games := edges()
	if s.alone {
		return map[string]map[string][][]int64{"constant": games["constant"], "alike": games["alike"], "far_apart": games["far_apart"]}
	}
	return games
}

// write puts the review into a folder. Each file holds a number of its own beside the frame times, since equal files are one pass
// copied twice.
func (s setting) write(t *testing.T, dir string) {
	t.Helper()
	var plan, log strings.Builder
	plan.WriteString("review \"edges\" {\n  baseline = card.tern_ref.stock\n}\ncard \"tern_ref\" {\n  vendor = \"marram\"\n}\ncard \"heron_x\" {\n  vendor = \"marram\"\n}\n" +
		"resolution \"uhd\" { size = \"3840x2160\" }\nmatrix {\n  repeats = 3\n}\naccept {\n  min_length = \"1s\"\n}\n" +
		"files \"made_up\" {\n  path        = \"captures/{card}/{game}_{repeat}.csv\"\n  frame_time  = { column = \"ns\", unit = \"ns\" }\n" +
		"  measured_at = \"present\"\n  extra       = { load = { column = \"load\", unit = \"pct\" } }\n")
	if s.log {
		plan.WriteString("  log         = \"bench.csv\"\n")
	}
	fmt.Fprintf(&plan, "}\nstatistics {\n%s}\n", s.statistics)
	for i, metric := range []string{"mean_fps", "frame_ms_sd", "over_60hz_share", "hitch_events", "low01_quantile_fps"} {
		expect := []string{"{ at_least = 2 }", "{ same = true }", "{ value = 1, within = 2, unit = \"pp\" }", "{ same = true }", "{ percent = 5, within = 1 }"}[i]
		fmt.Fprintf(&plan, "claim \"claim_%d\" {\n  says    = \"some\"\n  metric  = %q\n  of      = card.heron_x.stock\n  against = card.tern_ref.stock\n  expect  = %s\n}\n", i, metric, expect)
	}
	log.WriteString("file,card,game,resolution,repeat,launch,session\n")
	number := 0
	for game, cards := range s.games() {
		fmt.Fprintf(&plan, "game %q {\n  drive = \"built-in\"\n  keep  = \"all\"\n}\n", game)
		for card, passes := range cards {
			for i, frames := range passes {
				number++
				var b strings.Builder
				b.WriteString("ns,load\n")
				for _, x := range frames {
					fmt.Fprintf(&b, "%d,%d\n", x, number)
				}
				name := fmt.Sprintf("captures/%s/%s_%d.csv", card, game, i+1)
				put(t, filepath.Join(dir, name), b.String())
				launch, session := i, card
				if s.oneLaunch {
					launch = 0
				}
				if s.oneSession {
					session = "day"
				}
				fmt.Fprintf(&log, "%s,%s,%s,uhd,%d,%d,%s\n", name, card, game, i+1, launch, session)
			}
		}
	}
	put(t, filepath.Join(dir, "plan.hcl"), plan.String())
	if s.log {
		put(t, filepath.Join(dir, "bench.csv"), log.String())
	}
}

func put(t *testing.T, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

// notFinite is a number that is none as Go prints it, or a verb that got the wrong thing.
var notFinite = regexp.MustCompile(`(?i)(^|[^\p{L}])(nan|[+−-]?inf)([^\p{L}]|$)|%!`)

// longNumber is a number that nobody reads out; the digits of an edition's id are none.
var longNumber = regexp.MustCompile(`(^|[^0-9a-f])(\d{9,}|[\d.]+e\+\d+)([^0-9a-f]|$)`)

// clean fails on what is printed if a number is not finite or a line does not fit the screen.
func clean(t *testing.T, what, text string, screenful bool) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if notFinite.MatchString(line) {
			t.Errorf("%s: %s", what, line)
		}
		if screenful && (runewidth.StringWidth(line) > screen.Width || longNumber.MatchString(line)) && !strings.Contains(line, "/") {
			t.Errorf("%s: %d columns: %s", what, runewidth.StringWidth(line), line)
		}
	}
}

// finiteNumbers walks a JSON document; it says how many numbers it holds.
func finiteNumbers(t *testing.T, what string, text []byte) (n int) {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	for {
		token, err := d.Token()
		if err == io.EOF {
			return n
		}
		if err != nil {
			t.Fatalf("%s: %v in %.300s", what, err, text)
		}
		if x, ok := token.(json.Number); ok {
			n++
			if v, err := x.Float64(); err != nil || math.IsInf(v, 0) {
				t.Errorf("%s: %s", what, x)
			}
		}
	}
}

// finiteColumns reads every floating-point value of every Parquet file below a folder; it says how many there are.
func finiteColumns(t *testing.T, dir string) (n int) {
	t.Helper()
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(name) != ".parquet" {
			return err
		}
		b, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		f, err := parquet.OpenFile(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			return err
		}
		columns := f.Schema().Columns()
		for _, group := range f.RowGroups() {
			rows := group.Rows()
			defer rows.Close()
			for buffer := make([]parquet.Row, 64); ; {
				got, err := rows.ReadRows(buffer)
				for _, row := range buffer[:got] {
					for _, v := range row {
						if v.IsNull() || v.Kind() != parquet.Double && v.Kind() != parquet.Float {
							continue
						}
						n++
						if x := v.Double(); math.IsNaN(x) || math.IsInf(x, 0) {
							t.Errorf("%s: %s is %g", filepath.Base(name), columns[v.Column()], x)
						}
					}
				}
				if err == io.EOF {
					break
				}
				if err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// No number that is none reaches a person or a file, whatever the captures hold.
func TestNothingButNumbersComesOut(t *testing.T) {
	for _, s := range []setting{
		{name: "nothing known"},
		{name: "one session, no spread of it", log: true, oneSession: true, statistics: "  session_spread = \"0%\"\n  margin         = \"0.1%\"\n"},
		{name: "nothing varies", log: true, alone: true, statistics: "  session_spread = \"0%\"\n"},
		{name: "one launch a cell", log: true, oneLaunch: true},
		{name: "two sessions", log: true, statistics: "  session_spread = \"50%\"\n  lows           = \"time_share\"\n"},
	} {
		t.Run(s.name, func(t *testing.T) {
			dir := t.TempDir()
			s.write(t, dir)
			call := func(want int, args ...string) string {
				t.Helper()
				var out, errs bytes.Buffer
				if code := run(t.Context(), append(args, "--now", "2027-02-26T09:00:00Z", "--log-level", "warn"), &out, &errs); code != want {
					t.Fatalf("%v: exit code %d, want %d: %s%s", args, code, want, out.String(), errs.String())
				}
				clean(t, "log", errs.String(), false)
				return out.String()
			}
			published := call(1, "run", dir, "--partial")
			clean(t, "run", published, true)
			if n := finiteColumns(t, dir); n < 100*len(s.games()) {
				t.Errorf("%d floating-point values archived", n)
			}
			for text, want := range map[string]bool{
				"identical, all passes have exactly the same mean, so their own interval has no width": !s.oneLaunch,
				"identical, nothing varies on either side":                                             s.alone,
			} {
				if said := strings.Contains(strings.Join(strings.Fields(published), " "), text); said != want {
					t.Errorf("run says %q: %v, want %v", text, said, want)
				}
			}
			clean(t, "check", call(0, "check", dir), true)
			clean(t, "missing", call(1, "missing", dir), true)
			numbers := 0
			for _, c := range [][]string{{"run", dir, "--partial", "--json"}, {"missing", dir, "--json"}} {
				numbers += finiteNumbers(t, c[0], []byte(call(1, c...)))
			}
			numbers += finiteNumbers(t, "check", []byte(call(0, "check", dir, "--json")))
			for game := range s.games() {
				clean(t, "why "+game, call(0, "why", dir, "heron_x", game), true)
				if s.log {
					continue
				}
				clean(t, "why the base of "+game, call(0, "why", dir, "tern_ref", game), true)
				numbers += finiteNumbers(t, "why "+game, []byte(call(0, "why", dir, "heron_x", game, "--json")))
			}
			if numbers < 180*len(s.games()) {
				t.Errorf("%d numbers in JSON", numbers)
			}
		})
	}
}

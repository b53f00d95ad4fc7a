package review

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/schedule"
)

// sensed is a row of sensors, for a reader that is not ours.
type sensed struct {
	Card        string  `parquet:"card"`
	Mode        string  `parquet:"mode"`
	Protocol    *string `parquet:"protocol"`
	Repeat      int32   `parquet:"repeat"`
	RunID       string  `parquet:"run_id"`
	FramesRunID *string `parquet:"frames_run_id"`
	Channel     string  `parquet:"channel"`
	Unit        string  `parquet:"unit"`
	MeasuredAt  *string `parquet:"measured_at"`
	TimeNS      int64   `parquet:"time_ns"`
	Value       float64 `parquet:"value"`
}

const twoClocks = `soak "two" {
  load    = "other"
  note    = "made up"
  length  = "10m"
  repeats = 2
  ambient = { target_c = 21, from = "room" }
  probe "board" { on_die = "edge" }
  log {
    path     = "{card}-{repeat}.csv"
    time     = { column = "t", unit = "s" }
    channels = { power = { column = "w", unit = "W", at = "in line" } }
  }
  log {
    path     = "{card}-{repeat}-probes.csv"
    time     = { column = "when", layout = "YYYY-MM-DD hh:mm:ss" }
    offset   = "-7s"
    channels = {
      board = { column = "f", unit = "F" }
      room  = { column = "k", unit = "K" }
    }
  }
}
`

// madeUpLog is one soak's two logs, and the rows of sensors that they come to.
type madeUpLog struct {
	board, probes string
	rows          []sensed
}

func drawLog(t *rapid.T) (m madeUpLog) {
	n := rapid.IntRange(3, 30).Draw(t, "rows")
	m.board, m.probes = "t,w\n", "when,f,k\n"
	at := rapid.Int64Range(0, 100).Draw(t, "begins")
	begins := time.Date(2027, 2, 28, 23, 59, 30, 0, time.UTC)
	columns := map[string][]sensed{}
	cell := func(channel, unit string, seconds int64, digits float64, celsius func(float64) float64) string {
		if rapid.IntRange(0, 5).Draw(t, "empty") == 0 {
			return ""
		}
		v := float64(rapid.IntRange(2500, 4000).Draw(t, channel)) / digits
		columns[channel] = append(columns[channel], sensed{Channel: channel, Unit: unit, TimeNS: seconds * 1e9, Value: celsius(v)})
		return fmt.Sprint(v)
	}
	as := func(v float64) float64 { return v }
	elapsed := int64(0)
	for range n {
		m.board += fmt.Sprintf("%d,%s\n", at, cell("power", "W", at, 10, as))
		// The clock with dates begins with its first row, and is 7 s ahead.
		m.probes += fmt.Sprintf("%s,%s,%s\n", begins.Add(time.Duration(elapsed)*time.Second).Format("2006-01-02 15:04:05"),
			cell("board", "C", elapsed-7, 20, func(f float64) float64 { return (f - 32) * 5 / 9 }),
			cell("room", "C", elapsed-7, 10, func(k float64) float64 { return k - 273.15 }))
		step := rapid.Int64Range(1, 3).Draw(t, "step")
		at, elapsed = at+step, elapsed+step
	}
	for _, channel := range []string{"power", "board", "room"} {
		m.rows = append(m.rows, columns[channel]...)
	}
	return m
}

// What stands in sensors is what stands in the logs, value by value, whatever the number of workers: temperatures in °C, times on the soak's one
// clock, soak by soak in the plan's order.
func TestEveryValueOfASoakIsArchived(t *testing.T) {
	long(t)
	text := strings.Replace(soakHead, "resolution \"uhd\"", "card \"heron_x\" {\n  vendor = \"v\"\n  driver = \"1\"\n}\nresolution \"uhd\"", 1) + twoClocks
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "soaks")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		files := map[string]string{"plan.hcl": text}
		want := map[string][]sensed{}
		for _, card := range []string{"tern_ref", "heron_x"} {
			for repeat := range int32(2) {
				m := drawLog(t)
				name := fmt.Sprintf("%s-%d", card, repeat+1)
				m.board += fmt.Sprintf("# %s\n", name) // no two files are alike
				m.probes += fmt.Sprintf("# %s\n", name)
				files[name+".csv"], files[name+"-probes.csv"] = m.board, m.probes
				for _, row := range m.rows {
					row.Card, row.Mode, row.Protocol, row.Repeat = card, "stock", present("two"), repeat+1
					log := m.probes
					if row.Channel == "power" {
						log, row.MeasuredAt = m.board, present("in line")
					}
					row.RunID = fmt.Sprintf("%x", sha256.Sum256([]byte(log)))[:16]
					want[card] = append(want[card], row)
				}
			}
		}
		for name, text := range files {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		o := options(dir)
		o.Partial, o.Workers = true, rapid.IntRange(1, 4).Draw(t, "workers")
		r, err := Do(context.Background(), o)
		if err != nil {
			t.Fatal(err, r.Findings)
		}
		for card, rows := range want {
			sameRows(t, r.Kept.Folder, card, rows)
		}
	})
}

func sameRows(t rapid.TB, edition, card string, want []sensed) {
	name := filepath.Join(edition, "sensors-"+card+".parquet")
	if _, err := os.Stat(name); len(want) == 0 && errors.Is(err, os.ErrNotExist) {
		return // not a value in any log
	}
	got, err := parquet.ReadFile[sensed](name)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("%s: %d rows, want %d", card, len(got), len(want))
	}
	for i, g := range got {
		w := want[i]
		at := ""
		if g.MeasuredAt != nil {
			at = *g.MeasuredAt
		}
		if g.Card != w.Card || g.Mode != w.Mode || g.Protocol == nil || *g.Protocol != *w.Protocol || g.Repeat != w.Repeat || g.RunID != w.RunID ||
			g.FramesRunID != nil || g.Channel != w.Channel || g.Unit != w.Unit || (w.MeasuredAt == nil) != (at == "") || w.MeasuredAt != nil && at != *w.MeasuredAt ||
			g.TimeNS != w.TimeNS || math.Abs(g.Value-w.Value) > 1e-9 {
			t.Fatalf("%s row %d: %+v, want %+v", card, i, g, w)
		}
	}
}

// twoSoaks is a folder with two soaks of one card.
func twoSoaks(t *testing.T) (dir string, o Options) {
	t.Helper()
	files := map[string]string{"plan.hcl": soakHead + twoClocks}
	for repeat := 1; repeat <= 2; repeat++ {
		board, probes := "t,w\n", "when,f,k\n"
		for s := range 120 {
			board += fmt.Sprintf("%d,%d\n", s, 200+repeat+s%3)
			probes += fmt.Sprintf("2027-03-01 10:%02d:%02d,%d.5,294.%d\n", s/60, s%60, 120+repeat, s%10)
		}
		files[fmt.Sprintf("tern_ref-%d.csv", repeat)], files[fmt.Sprintf("tern_ref-%d-probes.csv", repeat)] = board, probes
	}
	dir = folderOf(t, files)
	o = options(dir)
	o.Partial = true
	return dir, o
}

func TestADamagedRawLogIsStoredAnew(t *testing.T) {
	dir, o := twoSoaks(t)
	r := do(t, o)
	for _, f := range r.Soaks[1].Files {
		flip(t, filepath.Join(dir, "archive", "raw", fmt.Sprintf("%x.zst", f.SHA256)))
	}
	name := filepath.Join(dir, "plan.hcl")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(strings.Replace(string(text), "made up", "made up again", 1)), 0o666); err != nil {
		t.Fatal(err)
	}
	if again := do(t, o); again.Kept.Already || again.Kept.Edition == r.Kept.Edition {
		t.Fatal("other words are the same edition")
	}
	for _, f := range r.Soaks[1].Files {
		content := unpackedFile(t, filepath.Join(dir, "archive", "raw", fmt.Sprintf("%x.zst", f.SHA256)))
		if want, err := os.ReadFile(filepath.Join(dir, f.Path)); err != nil || string(content) != string(want) {
			t.Errorf("%s: the raw file is not the log: %v", f.Path, err)
		}
	}
}

func TestDamagedSensorsAreNotCalledPublished(t *testing.T) {
	dir, o := twoSoaks(t)
	do(t, o)
	flip(t, one(t, dir, "archive", "editions", "*", "*", "sensors-tern_ref.parquet"))
	if _, err := Do(context.Background(), o); !errors.Is(err, ErrDisk) {
		t.Errorf("error %v, want a fault of the archive", err)
	}
}

// A log saved under the name of another soak is of neither, and nothing is published.
func TestOneContentInTwoSoaks(t *testing.T) {
	dir, o := twoSoaks(t)
	text, err := os.ReadFile(filepath.Join(dir, "tern_ref-1.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "tern_ref-2.csv"), text, 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := Do(context.Background(), o)
	if !errors.Is(err, ErrInput) || r.Kept.Edition != "" || r.Kept.Draft == "" {
		t.Errorf("%v, kept %+v", err, r.Kept)
	}
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == "The same content in two soaks" }) {
		t.Errorf("findings %v", r.Findings)
	}
	if s := r.Soaks[1]; s.State != SoakDoubtful || !slices.Contains(s.Why, "tern_ref-2.csv is byte for byte tern_ref-1.csv") {
		t.Errorf("%s %v", s.State, s.Why)
	}
}

// A damaged entry of the ledger is refused, and nothing is published over it.
func TestADamagedEntryOfALog(t *testing.T) {
	dir, o := twoSoaks(t)
	r := do(t, o)
	sum := fmt.Sprintf("%x", r.Soaks[0].Files[0].SHA256)
	flip(t, one(t, dir, "ledger", sum+"*"))
	r, err := Do(context.Background(), o)
	if !errors.Is(err, ErrInput) || r.Soaks[0].State != SoakDoubtful || !slices.Contains(r.Soaks[0].Why, "tern_ref-1.csv: what the ledger recorded of it is damaged") {
		t.Errorf("%v: %s %v", err, r.Soaks[0].State, r.Soaks[0].Why)
	}
}

// Only a run records first sights.
func TestLogsAreRecordedByRunsAlone(t *testing.T) {
	dir, o := twoSoaks(t)
	o.Record, o.Keep = false, false
	do(t, o)
	if found, _ := filepath.Glob(filepath.Join(dir, "ledger", "*")); len(found) > 0 {
		t.Errorf("recorded %v", found)
	}
	o.Record = true
	do(t, o)
	if found, _ := filepath.Glob(filepath.Join(dir, "ledger", "*")); len(found) != 4 {
		t.Errorf("recorded %v of four logs", found)
	}
}

// A review whose log is missing cannot be ready: nothing is even begun, and the draft says what is known.
func TestAMissingLogIsNotReady(t *testing.T) {
	dir := copied(t, "demo")
	o := options(dir)
	plan, err := Load(o)
	if err != nil {
		t.Fatal(err)
	}
	gone := plan.Plan.SoakLogs()[0]
	if err := os.Remove(filepath.Join(dir, filepath.FromSlash(gone.Path))); err != nil {
		t.Fatal(err)
	}
	r := do(t, o)
	if r.Ready || r.Kept.Edition != "" || r.Kept.Draft == "" || len(r.SoakTodo) != 1 || r.SoakTodo[0].SoakRun != gone.SoakRun {
		t.Errorf("ready %v, kept %+v, to make %+v", r.Ready, r.Kept, r.SoakTodo)
	}
	if _, err := os.Stat(filepath.Join(dir, "archive")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("an edition was begun: %v", err)
	}
}

// The frames of a soak are no pass: they stand in raw, and its log says which they are.
func TestFramesOfASoakAreKept(t *testing.T) {
	r := publishedRealSoaks(t)
	rows, err := parquet.ReadFile[sensed](filepath.Join(r.Kept.Folder, "sensors-tern_ref.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range r.Soaks {
		beside, n := map[string]bool{}, 0
		for _, row := range rows {
			if row.Protocol != nil && *row.Protocol == s.SoakRun.Soak {
				n++
				if row.FramesRunID != nil {
					beside[*row.FramesRunID] = true
				}
			}
		}
		frames, err := os.ReadFile(filepath.Join(r.Plan.Dir, "kestrel."+s.SoakRun.Soak+".frames.csv"))
		if err != nil {
			t.Fatal(err)
		}
		sum := fmt.Sprintf("%x", sha256.Sum256(frames))
		if n == 0 || len(beside) != 1 || !beside[sum[:16]] {
			t.Errorf("soak %d: %d rows beside %v, want %s", i, n, beside, sum[:16])
		}
		if kept := unpackedFile(t, filepath.Join(r.Plan.Dir, "archive", "raw", sum+".zst")); string(kept) != string(frames) {
			t.Errorf("soak %d: the raw frames are others", i)
		}
	}
}

// With nothing at hand the demo's soaks take, by hand: ten of 2 min start-up (where a plan says nothing), 30 s lead-in, 30 min and 5 min cooling;
// three of 2 min, 20 s and 8 min; and the probes of four cards at 20 min. Those at the desk are noted and need no bench.
func TestSoaksCostByHand(t *testing.T) {
	dir := copied(t, "demo")
	keepInLog(t, filepath.Join(dir, "bench.csv"), "nothing")
	for _, name := range []string{"soak", "captures"} {
		if err := os.RemoveAll(filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	o := options(dir)
	o.Record, o.Keep = false, false
	r := do(t, o)
	want := 10*(2*time.Minute+30*time.Second+30*time.Minute+5*time.Minute) + 3*(2*time.Minute+20*time.Second+8*time.Minute) + 4*20*time.Minute
	if got := r.SoakTimeLeft(); len(r.SoakTodo) != 13 || got != want {
		t.Errorf("%d soaks, %s, want 13, %s", len(r.SoakTodo), got, want)
	}
	// The plan's estimate has the same parts, start-ups with those of passes, and ten minutes of each of two at the desk.
	parts := 13*2*time.Minute - 2*10*time.Minute
	for _, part := range schedule.Estimate(r.Plan).Parts {
		if slices.Contains([]string{"soaks", "cooling after soaks", "probes fixed and taken off"}, part.Name) {
			parts += part.Total
		}
	}
	if parts != want {
		t.Errorf("the plan's estimate comes to %s, want %s", parts, want)
	}
}

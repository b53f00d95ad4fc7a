package review

import (
	"compress/gzip"
	"encoding/hex"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/klauspost/compress/zstd"

	"github.com/rigslate/rigslate/export/archive"
)

// The soaks of the demo go into its edition whole: each log's file, every value of every log, the ledger's entry.
func TestSoaksAreArchived(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	o := options(dir)
	o.Workers = 2
	r := do(t, o)
	if r.Kept.Edition == "" {
		t.Fatalf("not published: %v", r.Findings)
	}
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		t.Fatal(err)
	}
	logs := 0
	for _, s := range r.Soaks {
		for _, f := range s.Files {
			logs++
			sum := hex.EncodeToString(f.SHA256[:])
			if !slices.ContainsFunc(m.Raw, func(e archive.RawEntry) bool { return e.SHA256 == sum && e.Bytes == f.Bytes }) {
				t.Errorf("%s is not among the raw files", f.Path)
			}
			if !slices.ContainsFunc(m.Files, func(e archive.FileEntry) bool {
				return strings.HasPrefix(e.Path, "plan/ledger/") && strings.Contains(e.Path, sum)
			}) {
				t.Errorf("%s has no entry of the ledger", f.Path)
			}
		}
	}
	if logs == 0 {
		t.Fatal("the demo has no logs")
	}
	rows := map[string]int64{}
	for _, e := range m.Files {
		if card, ok := strings.CutPrefix(e.Path, "sensors-"); ok {
			rows[strings.TrimSuffix(card, ".parquet")] = *e.Rows
		}
	}
	for _, c := range r.Plan.Cards {
		if want := valuesLogged(t, dir, r, c.Name); want == 0 || rows[c.Name] != want {
			t.Errorf("%s: %d rows of sensors, its logs have %d values", c.Name, rows[c.Name], want)
		}
		logs, err := archive.SoakLogs(archive.Edition{Manifest: m, Dir: r.Kept.Folder}, c.Name)
		got := int64(0)
		for _, l := range logs {
			got += int64(len(l.Values))
		}
		if err != nil || got != rows[c.Name] {
			t.Errorf("%s: %d values read back of %d: %v", c.Name, got, rows[c.Name], err)
		}
	}
	readings, err := archive.ReadTable[archive.ReadingRow](archive.Edition{Manifest: m, Dir: r.Kept.Folder}, "readings.parquet")
	if err != nil || len(readings) != len(r.Bench)+len(r.BenchDiffs) {
		t.Errorf("%d readings of %d figures and %d differences: %v", len(readings), len(r.Bench), len(r.BenchDiffs), err)
	}
}

// valuesLogged counts the cells with a number in the declared columns of a card's soak logs, read by a splitter of this test's own.
func valuesLogged(t *testing.T, dir string, r *Review, card string) (n int64) {
	t.Helper()
	for _, l := range r.Plan.SoakLogs() {
		if l.Mode.Card != card || l.Log < 0 {
			continue
		}
		protocol, _ := r.Plan.Soak(l.Soak)
		declared := protocol.Logs[l.Log]
		var head []string
		for _, line := range strings.Split(strings.TrimSpace(logText(t, filepath.Join(dir, filepath.FromSlash(l.Path)))), "\n") {
			line = strings.TrimRight(line, "\r")
			if c := declared.Text.Comment; line == "" || c != "" && strings.HasPrefix(line, c) {
				continue
			}
			cells := strings.Split(line, declared.Text.Delimiter)
			if head == nil {
				head = cells
				continue
			}
			for _, c := range declared.Channels {
				if i := slices.Index(head, c.Column.Name); i >= 0 && i < len(cells) && strings.TrimSpace(cells[i]) != "" {
					n++
				}
			}
		}
	}
	return n
}

func logText(t *testing.T, path string) string {
	t.Helper()
	if filepath.Ext(path) == ".zst" {
		return string(unpackedFile(t, path))
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var r io.Reader = f
	if filepath.Ext(path) == ".gz" {
		if r, err = gzip.NewReader(f); err != nil {
			t.Fatal(err)
		}
	}
	b, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// What changes in a soak makes another edition; what does not, does not.
func TestASoakDecidesTheEdition(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	first := do(t, options(dir))
	if again := do(t, options(dir)); !again.Kept.Already || again.Kept.Edition != first.Kept.Edition {
		t.Errorf("the second run published %s over %s", again.Kept.Edition, first.Kept.Edition)
	}
	path := filepath.Join(dir, filepath.FromSlash(first.Soaks[0].Files[0].Path))
	text := logText(t, path) + "\n" // an empty line, which changes no figure
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(strings.TrimSuffix(path, ".zst"), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	if filepath.Ext(path) == ".zst" { // the name must stay what the plan says
		z, err := zstd.NewWriter(nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, z.EncodeAll([]byte(text), nil), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if other := do(t, options(dir)); other.Kept.Edition == "" || other.Kept.Edition == first.Kept.Edition {
		t.Errorf("with other bytes the edition is %q as before", other.Kept.Edition)
	}
}

// A soak that was logged on another driver than the plan states now is not of this review.
func TestASoakOnAnotherDriverIsDoubtful(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	first := do(t, options(dir))
	cards := filepath.Join(dir, "cards.hcl")
	b, err := os.ReadFile(cards)
	if err != nil {
		t.Fatal(err)
	}
	before := first.Soaks[0]
	driver := ""
	for _, c := range first.Plan.Cards {
		if c.Name == before.Mode.Card {
			driver = c.Driver
		}
	}
	if err := os.WriteFile(cards, []byte(strings.ReplaceAll(string(b), `"`+driver+`"`, `"999.9"`)), 0o666); err != nil {
		t.Fatal(err)
	}
	o := options(dir)
	r, err := Do(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	s := r.Soaks[0]
	want := "driver " + driver + " when captured, 999.9 now"
	if s.State != SoakDoubtful || !slices.Contains(s.Why, want) || r.Ready {
		t.Errorf("%s %v, want %q", s.State, s.Why, want)
	}
}

// Soaks are read by several workers at a time; the edition is the same, to the byte.
func TestSoaksDoNotDependOnWorkers(t *testing.T) {
	dir, o := twoSoaks(t)
	var first map[string]string
	for i, workers := range []int{1, 2, 8} {
		o.Workers = workers
		if err := os.RemoveAll(filepath.Join(dir, "archive")); err != nil { // the ledger stays, and with it when the logs were first seen
			t.Fatal(err)
		}
		r := do(t, o)
		got := tree(t, filepath.Join(dir, "archive", "editions"))
		if r.Kept.Already || len(got) < 8 {
			t.Fatalf("%d workers: %+v, %d files", workers, r.Kept, len(got))
		}
		if i == 0 {
			first = got
			continue
		}
		if !maps.Equal(first, got) {
			t.Errorf("%d workers: another edition", workers)
		}
	}
}

// A reading that a person noted is part of the edition.
func TestANotedReadingDecidesTheEdition(t *testing.T) {
	dir, o := twoSoaks(t)
	first := do(t, o)
	reading := `
reading "level" {
  card  = card.tern_ref
  soak  = soak.two
  power_w = [210]
  at      = "wall"
}
`
	if err := os.WriteFile(filepath.Join(dir, "readings.hcl"), []byte(reading), 0o666); err != nil {
		t.Fatal(err)
	}
	r := do(t, o)
	if r.Kept.Already || r.Kept.Edition == first.Kept.Edition {
		t.Errorf("edition %s after %s", r.Kept.Edition, first.Kept.Edition)
	}
	if !slices.ContainsFunc(archivedReadings(t, r), func(row archive.ReadingRow) bool {
		return row.Figure == "mean_power_w" && row.Value != nil && *row.Value == 210 && row.Source != nil && *row.Source == "reading.level" && row.SensedFromNS == nil
	}) {
		t.Error("the reading is not among the readings")
	}
}

package ledger

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan"
)

var (
	shaA = strings.Repeat("a1", 32)
	shaB = strings.Repeat("b2", 32)
	seen = time.Date(2027, 2, 21, 9, 30, 0, 123456789, time.FixedZone("", 3600))
)

func open(t testing.TB, dir string) *Ledger {
	t.Helper()
	l, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func see(t testing.TB, l *Ledger, sha string, at time.Time, now Facts, write bool) (Entry, []Mismatch) {
	t.Helper()
	e, m, err := l.See(sha, at, now, write)
	if err != nil {
		t.Fatal(err)
	}
	return e, m
}

func names(t testing.TB, dir string) []string {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, f := range files {
		out = append(out, f.Name())
	}
	return out
}

func TestFirstSightStands(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "ledger")
	first := Facts{Driver: "612.4", Build: "1.8.2"}
	e, m := see(t, open(t, dir), shaA, seen, first, true)
	want := Entry{SHA256: shaA, FileTime: time.Date(2027, 2, 21, 8, 30, 0, 123456000, time.UTC), Facts: first, Recorded: true}
	if diff := cmp.Diff(want, e); diff != "" || m != nil {
		t.Fatalf("%s%v", diff, m)
	}

	// Another day, another copy with its own time, a newer driver in the plan, and a firmware that nobody stated before.
	now := Facts{Driver: "613.0", Build: "1.8.2", Firmware: "quiet"}
	e, m = see(t, open(t, dir), shaA, seen.Add(time.Hour), now, true)
	want.Firmware = "quiet"
	if diff := cmp.Diff(want, e); diff != "" {
		t.Fatal(diff)
	}
	if diff := cmp.Diff([]Mismatch{{"driver", "612.4", "613.0"}}, m); diff != "" {
		t.Fatal(diff)
	}
	if diff := cmp.Diff([]string{shaA + ".1.json", shaA + ".json"}, names(t, dir)); diff != "" {
		t.Fatal(diff)
	}

	// The firmware is recorded now; not stating a fact any more is no contradiction.
	e, m = see(t, open(t, dir), shaA, seen, Facts{Firmware: "loud"}, true)
	if diff := cmp.Diff([]Mismatch{{"firmware", "quiet", "loud"}}, m); diff != "" || e.Driver != "612.4" {
		t.Fatalf("%s%+v", diff, e)
	}
	if got := names(t, dir); len(got) != 2 {
		t.Fatalf("nothing new was stated, yet there are %v", got)
	}
}

func TestReadingNeverWrites(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "ledger")
	l := open(t, dir)
	e, _ := see(t, l, shaA, seen, Facts{Driver: "612.4"}, false)
	if e.Recorded || e.Driver != "612.4" {
		t.Fatalf("%+v", e)
	}
	if ok, was, err := l.Vouch(plan.Key{Card: "tern_ref"}, []string{shaA}, "looked at", false); !ok || was != nil || err != nil {
		t.Fatal(ok, was, err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("the folder: %v", err)
	}
	if got := l.Used(); len(got) != 0 {
		t.Fatalf("used %v", slices.Sorted(maps.Keys(got)))
	}
}

func TestUsedIsWhatLiesOnDisk(t *testing.T) {
	dir := t.TempDir()
	l := open(t, dir)
	see(t, l, shaA, seen, Facts{Driver: "612.4"}, true)
	see(t, l, shaA, seen, Facts{Session: "s1"}, true)
	see(t, l, shaB, seen, Facts{}, true)
	if _, _, err := l.Vouch(plan.Key{Card: "tern_ref"}, []string{shaA}, "looked at", true); err != nil {
		t.Fatal(err)
	}
	again := open(t, dir)
	see(t, again, shaA, seen, Facts{}, false)
	if got := slices.Sorted(maps.Keys(again.Used())); !slices.Equal(got, []string{shaA + ".1.json", shaA + ".json"}) {
		t.Fatalf("only what was asked for is used, got %v", got)
	}
	used := l.Used()
	if got := slices.Sorted(maps.Keys(used)); !slices.Equal(got, names(t, dir)) {
		t.Fatalf("used %v of %v", got, names(t, dir))
	}
	for name, data := range used {
		disk, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !bytes.Equal(disk, data) {
			t.Fatalf("%s: %v\n%s\n%s", name, err, disk, data)
		}
	}
}

func TestNoHash(t *testing.T) {
	for _, sha := range []string{"", "../../x", strings.ToUpper(shaA), shaA + ".1", shaA[1:]} {
		if _, _, err := open(t, t.TempDir()).See(sha, seen, Facts{}, true); err == nil {
			t.Errorf("%q was taken", sha)
		}
	}
}

func TestReadOnlyFolder(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("this user may write into any folder")
	}
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	cannotWrite(t, dir, fs.ErrPermission)
}

// A file where the folder should be stops any user.
func TestNoFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "plan.hcl", "ledger")
	if err := os.WriteFile(filepath.Dir(dir), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	l := &Ledger{dir: dir, further: map[string]int{}, records: map[string]*record{}, vouches: map[string]*vouched{}, used: map[string][]byte{}}
	_, err := l.writeFile("x.json", &sight{})
	if err == nil || !strings.Contains(err.Error(), dir) || !strings.Contains(err.Error(), "record nothing") {
		t.Fatalf("got %v", err)
	}
}

// What a killed writer left is removed once it is old; nothing else is.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	l := open(t, dir)
	if _, _, err := l.See(shaA, seen, Facts{Driver: "1"}, true); err != nil {
		t.Fatal(err)
	}
	old := time.Now().Add(-time.Hour)
	for _, name := range []string{".new-DEAD.tmp", ".new-LIVE.tmp", ".new-mine", "notes.tmp"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("{"), 0o666); err != nil {
			t.Fatal(err)
		}
		if name == ".new-LIVE.tmp" {
			continue
		}
		if err := os.Chtimes(filepath.Join(dir, name), old, old); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chtimes(filepath.Join(dir, shaA+".json"), old, old); err != nil {
		t.Fatal(err)
	}
	l.Sweep()
	files, err := os.ReadDir(dir)
	var left []string
	for _, f := range files {
		left = append(left, f.Name())
	}
	if want := []string{".new-LIVE.tmp", ".new-mine", shaA + ".json", "notes.tmp"}; err != nil || !slices.Equal(left, want) {
		t.Errorf("%v, left %q, want %q", err, left, want)
	}
	(&Ledger{dir: filepath.Join(dir, "none")}).Sweep()
}

func cannotWrite(t *testing.T, dir string, kind error) {
	t.Helper()
	l := open(t, dir)
	_, _, err := l.See(shaA, seen, Facts{}, true)
	if !errors.Is(err, kind) || !strings.Contains(err.Error(), dir) || !strings.Contains(err.Error(), "record nothing") {
		t.Fatalf("got %v", err)
	}
	if _, _, err := l.See(shaA, seen, Facts{}, false); err != nil {
		t.Fatalf("reading needs no permission to write: %v", err)
	}
}

// Whatever is stated in whatever order, by whichever of two ledgers: the first statement of a fact stands, files on disk never
// change, and a further file holds only what was open.
func TestRecordNeverChanges(t *testing.T) {
	root := t.TempDir()
	round := 0
	rapid.Check(t, func(rt *rapid.T) {
		round++
		dir := filepath.Join(root, fmt.Sprint(round))
		ledgers := []*Ledger{open(t, dir), open(t, dir)}
		var want Facts
		disk := map[string]string{}
		text := rapid.SampledFrom([]string{"", "", "one", "two", "a<b>&\u2028\xff"})
		for i := range rapid.IntRange(1, 8).Draw(rt, "steps") {
			now := Facts{text.Draw(rt, "driver"), text.Draw(rt, "build"), text.Draw(rt, "settings"),
				text.Draw(rt, "firmware"), text.Draw(rt, "launch"), text.Draw(rt, "session")}
			l := ledgers[rapid.IntRange(0, 1).Draw(rt, "ledger")]
			e, _, err := l.See(shaA, seen.Add(time.Duration(i)*time.Hour), now, true)
			if err != nil {
				rt.Fatal(err)
			}
			// Spelt out field by field, not with the code under test.
			now = now.valid()
			for _, f := range [][2]*string{{&want.Driver, &now.Driver}, {&want.Build, &now.Build}, {&want.Settings, &now.Settings},
				{&want.Firmware, &now.Firmware}, {&want.Launch, &now.Launch}, {&want.Session, &now.Session}} {
				if *f[0] == "" {
					*f[0] = *f[1]
				}
			}
			if !e.FileTime.Equal(seen.Truncate(time.Microsecond)) {
				rt.Fatalf("the first time was %v, got %v", seen, e.FileTime)
			}
			for _, name := range names(t, dir) {
				data, err := os.ReadFile(filepath.Join(dir, name))
				if err != nil {
					rt.Fatal(err)
				}
				if was, ok := disk[name]; ok && was != string(data) {
					rt.Fatalf("%s changed", name)
				}
				disk[name] = string(data)
			}
			got, _, err := open(t, dir).See(shaA, seen, Facts{}, false)
			if err != nil {
				rt.Fatal(err)
			}
			if diff := cmp.Diff(want, got.Facts); diff != "" {
				rt.Fatal(diff)
			}
		}
		onlyOpenFacts(rt, dir)
	})
}

func onlyOpenFacts(rt *rapid.T, dir string) {
	var have Facts
	for n := 0; ; n++ {
		data, err := os.ReadFile(filepath.Join(dir, fileName(shaA, n)))
		if errors.Is(err, fs.ErrNotExist) {
			return
		}
		var s sight
		if _, why := unseal(data, &s); why != "" {
			rt.Fatal(why)
		}
		if n > 0 && s.Facts == (Facts{}) {
			rt.Fatalf("file %d adds nothing", n)
		}
		if s.Facts.Driver != "" && have.Driver != "" || s.Facts.Session != "" && have.Session != "" || s.Facts.Build != "" && have.Build != "" {
			rt.Fatalf("file %d states again what was recorded: %+v over %+v", n, s.Facts, have)
		}
		have = have.with(s.Facts)
	}
}

func BenchmarkFirstSight400(b *testing.B) {
	for b.Loop() {
		l := open(b, b.TempDir())
		for i := range 400 {
			see(b, l, fmt.Sprintf("%064x", i), seen, Facts{Driver: "612.4"}, true)
		}
	}
}

func BenchmarkSecondSight400(b *testing.B) {
	dir := b.TempDir()
	l := open(b, dir)
	for i := range 400 {
		see(b, l, fmt.Sprintf("%064x", i), seen, Facts{Driver: "612.4"}, true)
	}
	for b.Loop() {
		l := open(b, dir)
		for i := range 400 {
			see(b, l, fmt.Sprintf("%064x", i), seen, Facts{Driver: "612.4"}, false)
		}
	}
}

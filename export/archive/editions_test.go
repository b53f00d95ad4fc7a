package archive

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// publishAs publishes an edition of one file and one table.
func publishAs(t *testing.T, a *Archive, review string, n int, at time.Time) string {
	t.Helper()
	s, err := a.Begin(review)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.File("plan/plan.json", []byte("{}\n")); err != nil {
		t.Fatal(err)
	}
	if err := s.Tables(sampleTables()); err != nil {
		t.Fatal(err)
	}
	id := fmt.Sprintf("e%015x", n)
	from := origin
	from.PublishedAt = at
	if got, err := s.Publish(context.Background(), id, from); err != nil || got != Published {
		t.Fatalf("result %d, %v", got, err)
	}
	return id
}

func TestEditions(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	day := time.Date(2027, 3, 4, 12, 0, 0, 0, time.UTC)
	publishAs(t, a, "winter", 1, day)
	publishAs(t, a, "spring", 3, day.Add(time.Hour))
	publishAs(t, a, "spring", 9, day)
	publishAs(t, a, "spring", 2, day.Add(time.Hour))
	for _, foreign := range []string{"notes", "review=spring/old", "review=empty"} {
		if err := os.MkdirAll(filepath.Join(dir, editionsDir, filepath.FromSlash(foreign)), 0o777); err != nil {
			t.Fatal(err)
		}
	}
	write(t, filepath.Join(dir, editionsDir, "review=text"), "no folder")

	before := snapshot(t, dir)
	look, err := Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	editions, unreadable, err := look.Editions()
	if err != nil || len(unreadable) != 0 {
		t.Fatalf("%v, %v", unreadable, err)
	}
	var got []string
	for _, e := range editions {
		got = append(got, e.Review+" "+e.Edition+" "+e.Published.Format("15:04"))
		if e.Dir != a.EditionDir(e.Review, e.Edition) {
			t.Errorf("folder %s", e.Dir)
		}
	}
	want := []string{"spring e000000000000009 12:00", "spring e000000000000002 13:00", "spring e000000000000003 13:00", "winter e000000000000001 12:00"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("editions:\n%s", diff)
	}
	plan, err := editions[0].File("plan/plan.json")
	if err != nil || string(plan) != "{}\n" {
		t.Errorf("plan.json: %q, %v", plan, err)
	}
	if runs, err := ReadTable[RunRow](editions[3], "runs.parquet"); err != nil || len(runs) != len(sampleRuns()) {
		t.Errorf("%d runs, %v", len(runs), err)
	}
	if diff := cmp.Diff(before, snapshot(t, dir)); diff != "" {
		t.Errorf("looking changed the archive:\n%s", diff)
	}
}

// An edition whose manifest is damaged, newer or another's is told apart, and the others are listed all the same.
func TestUnreadableEditions(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	for n := range 3 {
		publishAs(t, a, "spring", n, origin.PublishedAt)
	}
	write(t, filepath.Join(a.EditionDir("spring", fmt.Sprintf("e%015x", 1)), manifestName), "{}")
	if err := os.Rename(a.EditionDir("spring", fmt.Sprintf("e%015x", 2)), a.EditionDir("spring", fmt.Sprintf("e%015x", 7))); err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(a.EditionDir("spring", "e0"), 0o777); err != nil {
		t.Fatal(err)
	}
	editions, unreadable, err := a.Editions()
	if err != nil || len(editions) != 1 || editions[0].Edition != fmt.Sprintf("e%015x", 0) {
		t.Fatalf("editions %v, %v", editions, err)
	}
	var got []string
	for _, u := range unreadable {
		if !errors.Is(u.Err, ErrDamaged) {
			t.Errorf("%s: %v, want ErrDamaged", u.Edition, u.Err)
		}
		got = append(got, u.Review+" "+u.Edition)
	}
	if diff := cmp.Diff([]string{"spring e0", "spring e000000000000001", "spring e000000000000007"}, got); diff != "" {
		t.Errorf("unreadable:\n%s", diff)
	}
}

func TestNoArchive(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "none")
	a, err := Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	if editions, unreadable, err := a.Editions(); err != nil || len(editions)+len(unreadable) != 0 {
		t.Errorf("%v, %v, %v", editions, unreadable, err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, fs.ErrNotExist) {
		t.Error("looking made a folder")
	}
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(dir, headName), "{}")
	if _, err := Look(dir); !errors.Is(err, ErrDamaged) {
		t.Errorf("%v, want ErrDamaged", err)
	}
}

// A file of an edition is what the manifest says, or an error.
func TestFileOfAnEdition(t *testing.T) {
	a := opened(t, t.TempDir())
	e, err := ReadEdition(mustPublish(t, a))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.File("plan/other.hcl"); !errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrDamaged) {
		t.Errorf("a file that never was: %v", err)
	}
	if _, err := e.File("../../archive.json"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("outside: %v", err)
	}
	path := filepath.Join(e.Dir, "plan", "plan.json")
	for _, text := range []string{"{}", "{ }", "{}\n\n"} {
		write(t, path, text)
		if _, err := e.File("plan/plan.json"); !errors.Is(err, ErrDamaged) {
			t.Errorf("%q: %v, want ErrDamaged", text, err)
		}
	}
}

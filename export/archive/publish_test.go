package archive

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/klauspost/compress/zstd"
)

func rawFile() string {
	sum := sha256.Sum256(capture)
	return "raw/" + hex.EncodeToString(sum[:]) + ".zst"
}

func smallArchive() []string {
	e := "editions/review=spring/edition=" + editionOne + "/"
	return []string{
		"archive.json",
		e + "cells.parquet", e + "claims.parquet", e + "comparisons.parquet", e + "frames-heron_x.parquet", e + "frames-tern_ref.parquet", e + "manifest.json", e + "manifest.sha256",
		e + "plan/ledger/" + fmt.Sprintf("%064x", 1) + ".json", e + "plan/plan.json", e + "plan/spring.hcl", e + "readings.parquet", e + "runs.parquet",
		e + "sensors-heron_x.parquet", e + "summaries.parquet",
		rawFile(),
	}
}

func TestPublish(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	a := opened(t, dir)
	edition := mustPublish(t, a)
	if diff := cmp.Diff(smallArchive(), list(t, dir)); diff != "" {
		t.Errorf("files (- want, + got):\n%s", diff)
	}
	m, err := ReadManifest(edition)
	if err != nil {
		t.Fatal(err)
	}
	// 15:00 one hour east of Greenwich, cut to microseconds.
	if m.PublishedAt != "2027-03-04T14:00:00.123456Z" || m.ToolVersion != "v0.1.0" || m.DefinitionsVersion != 1 || m.Review != "spring" || m.Edition != editionOne {
		t.Errorf("manifest head: %+v", m)
	}
	for _, f := range m.Files {
		content, err := os.ReadFile(filepath.Join(edition, filepath.FromSlash(f.Path)))
		if err != nil {
			t.Fatal(err)
		}
		if sum := sha256.Sum256(content); f.Bytes != int64(len(content)) || f.SHA256 != hex.EncodeToString(sum[:]) {
			t.Errorf("%s: %d bytes, SHA-256 %x; the manifest says %+v", f.Path, len(content), sum, f)
		}
	}
	if len(m.Raw) != 1 || m.Raw[0].Bytes != int64(len(capture)) || m.Raw[0].Stored != storedZstd {
		t.Errorf("raw files %+v", m.Raw)
	}
	stored, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(rawFile())))
	if err != nil {
		t.Fatal(err)
	}
	d, err := zstd.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	if content, err := d.DecodeAll(stored, nil); err != nil || string(content) != string(capture) {
		t.Errorf("the stored capture unpacks to %d bytes, %v", len(content), err)
	}
}

// The manifest's hash is in the form of the system's own tool.
func TestManifestHashForm(t *testing.T) {
	tool, err := exec.LookPath("sha256sum")
	if err != nil {
		t.Skip("there is no sha256sum here")
	}
	edition := mustPublish(t, opened(t, t.TempDir()))
	check := exec.Command(tool, "-c", "--strict", manifestSumName)
	check.Dir = edition
	if out, err := check.CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}

func TestPublishAgain(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	edition := mustPublish(t, a)
	before := snapshot(t, dir)
	got, err := publish(t, opened(t, dir))
	if err != nil || got != AlreadyThere {
		t.Errorf("result %d, %v; want AlreadyThere", got, err)
	}
	if diff := cmp.Diff(before, snapshot(t, dir)); diff != "" {
		t.Errorf("the archive changed (- before, + after):\n%s", diff)
	}

	t.Run("other content under the same id", func(t *testing.T) {
		s := begin(t, a)
		if err := s.File("plan/plan.json", []byte("{ }\n")); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Publish(t.Context(), editionOne, origin); !errors.Is(err, ErrConflict) {
			t.Errorf("error %v, want ErrConflict", err)
		}
		if diff := cmp.Diff(before, snapshot(t, dir)); diff != "" {
			t.Errorf("the archive changed (- before, + after):\n%s", diff)
		}
	})
	t.Run("damaged edition", func(t *testing.T) {
		if err := os.Truncate(filepath.Join(edition, "runs.parquet"), 100); err != nil {
			t.Fatal(err)
		}
		if _, err := publish(t, a); !errors.Is(err, ErrDamaged) {
			t.Errorf("error %v, want ErrDamaged", err)
		}
	})
}

func TestDifference(t *testing.T) {
	base := func() Manifest {
		return Manifest{FormatVersion: 1, DefinitionsVersion: 1, Review: "spring", Edition: editionOne, ToolVersion: "v1", GOARCH: "amd64", PublishedAt: "then",
			Files: []FileEntry{{Path: "plan/plan.json", Bytes: 3, SHA256: "a"}, {Path: "plan/spring.hcl", Bytes: 4, SHA256: "d"}, {Path: "runs.parquet", Bytes: 9, Rows: ptr(int64(2)), SHA256: "b"}},
			Raw:   []RawEntry{{SHA256: "c", Bytes: 5, Stored: storedZstd}}}
	}
	empty := FileEntry{Path: "x.parquet", Bytes: 9, Rows: ptr(int64(0)), SHA256: "e"}
	for _, tt := range []struct {
		name   string
		change func(*Manifest)
		want   string
	}{
		{"nothing", func(*Manifest) {}, ""},
		{"time", func(m *Manifest) { m.PublishedAt = "now" }, ""},
		{"release", func(m *Manifest) { m.ToolVersion = "v2" }, ""},
		{"table bytes, same release", func(m *Manifest) { m.Files[2].SHA256, m.Files[2].Bytes = "x", 8 }, "runs.parquet"},
		{"table bytes, other release", func(m *Manifest) { m.Files[2].SHA256, m.Files[2].Bytes, m.ToolVersion = "x", 8, "v2" }, ""},
		{"table bytes, other architecture", func(m *Manifest) { m.Files[2].SHA256, m.GOARCH = "x", "arm64" }, ""},
		{"rows, other release", func(m *Manifest) { m.Files[2].Rows, m.ToolVersion = ptr(int64(3)), "v2" }, "runs.parquet"},
		{"plan, other release", func(m *Manifest) { m.Files[0].SHA256, m.ToolVersion = "x", "v2" }, "plan/plan.json"},
		{"the plan's text", func(m *Manifest) { m.Files[1].SHA256, m.Files[1].Bytes = "x", 9 }, ""},
		{"the resolved plan", func(m *Manifest) { m.Files[0].SHA256 = "x" }, "plan/plan.json"},
		{"raw", func(m *Manifest) { m.Raw[0].SHA256 = "x" }, "the list of raw files"},
		{"a table without rows more, other release", func(m *Manifest) { m.ToolVersion, m.Files = "v2", append(m.Files, empty) }, ""},
		{"a table without rows more, same release", func(m *Manifest) { m.Files = append(m.Files, empty) }, "the number of files"},
		{"a table with rows more, other release", func(m *Manifest) {
			m.ToolVersion, m.Files = "v2", append(m.Files, FileEntry{Path: "x.parquet", Rows: ptr(int64(1)), SHA256: "e"})
		}, "the number of files"},
		{"a text more, other release", func(m *Manifest) {
			m.ToolVersion, m.Files = "v2", append(m.Files, FileEntry{Path: "x.json", SHA256: "e"})
		}, "the number of files"},
		{"one file fewer", func(m *Manifest) { m.Files = m.Files[:1] }, "the number of files"},
		{"definitions", func(m *Manifest) { m.DefinitionsVersion = 2 }, "the versions or names"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			other := base()
			tt.change(&other)
			if got := difference(base(), other); got != tt.want {
				t.Errorf("%q, want %q", got, tt.want)
			}
			if got := difference(other, base()); (got == "") != (tt.want == "") {
				t.Errorf("the other way round %q", got)
			}
		})
	}
}

var errFault = errors.New("injected")

// TestFaults fails publishing at every step in turn. Until the rename the archive holds no edition, afterwards a whole one; the
// next try completes it and leaves nothing else behind.
func TestFaults(t *testing.T) {
	var steps []string
	recorder := opened(t, t.TempDir())
	recorder.fault = func(step string) error { steps = append(steps, step); return nil }
	mustPublish(t, recorder)
	if len(steps) < 20 {
		t.Fatalf("only %d steps: %q", len(steps), steps)
	}
	for i, step := range steps {
		t.Run(fmt.Sprintf("%02d %s", i, strings.ReplaceAll(step, "/", "_")), func(t *testing.T) {
			dir := t.TempDir()
			a := opened(t, dir)
			n := 0
			a.fault = func(string) error {
				if n++; n == i+1 {
					return errFault
				}
				return nil
			}
			if _, err := publish(t, a); !errors.Is(err, errFault) {
				t.Fatalf("error %v, want the injected one", err)
			}
			visible := visibleEditions(t, a)
			if step == "sync parent" {
				if len(visible) != 1 {
					t.Errorf("editions after the rename: %q", visible)
				}
			} else if len(visible) != 0 {
				t.Errorf("editions before the rename: %q", visible)
			}
			if left := list(t, filepath.Join(dir, stagingName)); len(left) != 0 {
				t.Errorf("left in staging: %q", left)
			}
			a = opened(t, dir)
			if _, err := publish(t, a); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(smallArchive(), list(t, dir)); diff != "" {
				t.Errorf("after the second try (- want, + got):\n%s", diff)
			}
		})
	}
}

func visibleEditions(t *testing.T, a *Archive) []string {
	t.Helper()
	dirs, err := filepath.Glob(filepath.Join(a.dir, editionsDir, "*", "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, dir := range dirs {
		if _, err := a.CheckEdition(dir); err != nil {
			t.Errorf("a visible edition: %v", err)
		}
	}
	return dirs
}

// A process that dies leaves its staging folder and no lock; the next Open removes it.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	mustPublish(t, a)
	alive := begin(t, a)
	dead := begin(t, a)
	if err := fill(t, dead); err != nil {
		t.Fatal(err)
	}
	if err := dead.owned.lock.Close(); err != nil { // what the system does for a dead process
		t.Fatal(err)
	}
	lockless := func(name string, age time.Duration) string {
		path := filepath.Join(dir, stagingName, name)
		if err := os.MkdirAll(filepath.Join(path, "edition"), 0o777); err != nil {
			t.Fatal(err)
		}
		then := time.Now().Add(-age)
		if err := os.Chtimes(path, then, then); err != nil {
			t.Fatal(err)
		}
		return path
	}
	old, young := lockless("0000000000000001", 8*24*time.Hour), lockless("0000000000000002", 6*24*time.Hour)
	opened(t, dir)
	for path, want := range map[string]bool{alive.owned.dir: true, dead.owned.dir: false, old: false, young: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s: there %v, want %v", path, err == nil, want)
		}
	}
}

// An interrupted or unready first run leaves no trace of an archive.
func TestAbandonLeavesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	a := opened(t, dir)
	s := begin(t, a)
	if err := fill(t, s); err != nil {
		t.Fatal(err)
	}
	w, err := s.Frames("gannet", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.Publish(ctx, editionOne, origin); err == nil {
		t.Error("published with an open frames file")
	}
	if err := s.Abandon(); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("left %q", list(t, dir))
	}
}

// A folder that was there before the archive stays, with the rights that somebody gave it, and so does a link to where archives are kept:
// removing one would take the whole archive out of sight.
func TestAFolderOfTheirsStays(t *testing.T) {
	home := t.TempDir()
	elsewhere, link := filepath.Join(home, "elsewhere"), filepath.Join(home, "archive")
	if err := os.Mkdir(elsewhere, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := begin(t, opened(t, elsewhere)).Abandon(); err != nil {
		t.Fatal(err)
	}
	if left, err := os.ReadDir(elsewhere); err != nil || len(left) > 0 {
		t.Errorf("left %q, %v", left, err)
	}
	if err := os.Symlink("elsewhere", link); err != nil {
		t.Skip("no links here:", err)
	}
	mustPublish(t, opened(t, link))
	if diff := cmp.Diff(smallArchive(), list(t, link+"/.")); diff != "" {
		t.Errorf("files (- want, + got):\n%s", diff)
	}
}

func TestCancelled(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	a := opened(t, dir)
	ctx, cancel := context.WithCancel(t.Context())
	a.fault = func(step string) error {
		if step == "rename" {
			cancel()
		}
		return nil
	}
	s := begin(t, a)
	if err := fill(t, s); err != nil {
		t.Fatal(err)
	}
	cancel()
	if _, err := s.Publish(ctx, editionOne, origin); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want context.Canceled", err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("left %q", list(t, dir))
	}
}

// Two publishers of one edition, stopped together before each step, both end well.
func TestTwoPublishers(t *testing.T) {
	dir := t.TempDir()
	var barrier sync.WaitGroup
	barrier.Add(2)
	var group sync.WaitGroup
	results := make([]Result, 2)
	errs := make([]error, 2)
	for i := range 2 {
		a := opened(t, dir)
		a.fault = func(step string) error {
			if step == "rename" { // both have looked and found no edition
				barrier.Done()
				barrier.Wait()
			}
			return nil
		}
		group.Go(func() { results[i], errs[i] = publish(t, a) })
	}
	group.Wait()
	if errs[0] != nil || errs[1] != nil || results[0]+results[1] != Published+AlreadyThere {
		t.Errorf("results %v, errors %v", results, errs)
	}
	if diff := cmp.Diff(smallArchive(), list(t, dir)); diff != "" {
		t.Errorf("files (- want, + got):\n%s", diff)
	}
}

func TestUnfinishedFilesArePublishedByNobody(t *testing.T) {
	a := opened(t, t.TempDir())
	s := begin(t, a)
	tables := sampleTables()
	tables.Runs[0].MeanFPS = ptr(nan)
	if err := s.Tables(tables); err == nil {
		t.Fatal("a table with NaN was written")
	}
	if _, err := s.Publish(t.Context(), editionOne, origin); err == nil {
		t.Error("an edition was published whose table failed")
	}
}

// snapshot is every file's content and time of change.
func snapshot(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, path := range list(t, dir) {
		full := filepath.Join(dir, filepath.FromSlash(path))
		content, err := os.ReadFile(full)
		if err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(full)
		if err != nil {
			t.Fatal(err)
		}
		all[path] = fmt.Sprintf("%x %s", sha256.Sum256(content), info.ModTime())
	}
	return all
}

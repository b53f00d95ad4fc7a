package main

import (
	"bytes"
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The report of an edition can be made again with nothing but the archive, byte for byte, and files that say what they said are not touched.
func TestReportFromTheArchiveAlone(t *testing.T) {
	demo, err := filepath.Abs("../../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	t.Setenv("RIGSLATE_CHARTS", "svg") // that a picture of dots is the same each time is tested where it is drawn
	if err := os.CopyFS("demo", os.DirFS(demo)); err != nil {
		t.Fatal(err)
	}
	rigslate := func(want int, args ...string) (stdout, stderr string) {
		t.Helper()
		var out, log bytes.Buffer
		if code := run(context.Background(), args, &out, &log); code != want {
			t.Fatalf("%v ended with %d, want %d: %s", args, code, want, log.String())
		}
		return out.String(), log.String()
	}
	rigslate(0, "run", "demo", "--now", "2027-02-26T09:00:00Z")
	for from, to := range map[string]string{"demo/report": "first", "demo/archive": "archive"} {
		if err := os.Rename(from, to); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.RemoveAll("demo"); err != nil {
		t.Fatal(err)
	}
	editions, err := filepath.Glob("archive/editions/*/*")
	if err != nil || len(editions) != 1 {
		t.Fatal(editions, err)
	}
	if out, _ := rigslate(0, "report", editions[0], "--into", "again"); !strings.Contains(out, "changed: ") {
		t.Errorf("said %q", out)
	}
	first, again := content(t, "first"), content(t, "again")
	if len(first) == 0 || len(first) != len(again) {
		t.Errorf("%d files, and %d made again", len(first), len(again))
	}
	for name, text := range first {
		if again[name] != text {
			t.Errorf("%s is not what it was", name)
		}
	}
	if out, _ := rigslate(0, "report", editions[0], "--into", "again"); strings.Contains(out, "changed") {
		t.Errorf("the same report again said %q", out)
	}
	if _, log := rigslate(4, "report", "archive"); !strings.Contains(log, "is no edition") {
		t.Errorf("said %q", log)
	}
	f, err := os.OpenFile(filepath.Join(editions[0], "runs.parquet"), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteAt([]byte{0}, 100); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if _, log := rigslate(4, "report", editions[0]); !strings.Contains(log, "runs.parquet") {
		t.Errorf("of a damaged edition it said %q", log)
	}
}

// content reads all files below a folder.
func content(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(filepath.Join(dir, path))
		out[path] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

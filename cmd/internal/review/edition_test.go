package review

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestBytesDoNotDependOnWorkers(t *testing.T) {
	var first map[string]string
	for _, workers := range []int{1, 2, 8} {
		o := options(copied(t, "real"))
		o.Workers = workers
		r := do(t, o)
		if r.Kept.Edition == "" {
			t.Fatalf("%d workers: no edition", workers)
		}
		got := tree(t, r.Kept.Folder)
		for name, text := range tree(t, r.Kept.Draft) {
			got["draft/"+name] = text
		}
		for name := range got {
			if strings.HasPrefix(name, "plan/ledger/") || strings.HasPrefix(name, "manifest") {
				delete(got, name) // hold the files' times, which differ between two copies
			}
		}
		if len(got) < 8 {
			t.Fatalf("only %d files to compare", len(got))
		}
		if first == nil {
			first = got
			continue
		}
		for name, text := range first {
			if got[name] != text {
				t.Errorf("%d workers: %s differs", workers, name)
			}
		}
		if len(got) != len(first) {
			t.Errorf("%d workers: %d files, want %d", workers, len(got), len(first))
		}
	}
}

func TestRunningTwiceChangesNothing(t *testing.T) {
	dir := copied(t, "real")
	r := do(t, options(dir))
	if r.Kept.Already {
		t.Fatal("the first run found an edition")
	}
	before := tree(t, filepath.Join(dir, "archive"))
	o := options(dir)
	o.Now = o.Now.Add(48 * time.Hour)
	again := do(t, o)
	if !again.Kept.Already || again.Kept.Edition != r.Kept.Edition {
		t.Errorf("the second run published %s over %s (already there: %v)", again.Kept.Edition, r.Kept.Edition, again.Kept.Already)
	}
	if d := cmp.Diff(before, tree(t, filepath.Join(dir, "archive"))); d != "" {
		t.Error("the second run changed the archive")
	}
}

func TestTheSameWorkElsewhereIsTheSameEdition(t *testing.T) {
	dir := copied(t, "real")
	first := do(t, options(dir))
	name := filepath.Join(dir, "plan.hcl")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append([]byte("# a comment\n"), text...), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "ledger")); err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(dir, "captures", "*"))
	for i, f := range files {
		when := time.Date(2027, 1, 1, 0, i, 0, 0, time.UTC)
		if err := os.Chtimes(f, when, when); err != nil {
			t.Fatal(err)
		}
	}
	if again := do(t, options(dir)); !again.Kept.Already || again.Kept.Edition != first.Kept.Edition {
		t.Errorf("edition %s after %s, already there: %v", again.Kept.Edition, first.Kept.Edition, again.Kept.Already)
	}
}

func TestABenchLogEditIsAnotherEdition(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	first := do(t, options(dir))
	name := filepath.Join(dir, "bench.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	edited := strings.Replace(string(text), ",21.", ",22.", 1)
	if edited == string(text) {
		t.Fatal("the demo's bench log has no ambient temperature to edit")
	}
	if err := os.WriteFile(name, []byte(edited), 0o666); err != nil {
		t.Fatal(err)
	}
	again := do(t, options(dir))
	if again.Kept.Already || again.Kept.Edition == first.Kept.Edition {
		t.Errorf("edition %s after %s, already there: %v", again.Kept.Edition, first.Kept.Edition, again.Kept.Already)
	}
}

func TestAnotherOrderIsAnotherEdition(t *testing.T) {
	dir := copied(t, "real")
	first := do(t, options(dir))
	name := filepath.Join(dir, "plan.hcl")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	kestrel, osprey := "card \"kestrel\" {\n  name   = \"kestrel\"", "card \"osprey\" {\n  name   = \"osprey\""
	edited := strings.NewReplacer(kestrel, osprey, osprey, kestrel).Replace(string(text))
	if edited == string(text) {
		t.Fatal("the plan does not declare its cards as this test thinks")
	}
	if err := os.WriteFile(name, []byte(edited), 0o666); err != nil {
		t.Fatal(err)
	}
	if again := do(t, options(dir)); again.Kept.Already || again.Kept.Edition == first.Kept.Edition {
		t.Errorf("edition %s after %s", again.Kept.Edition, first.Kept.Edition)
	}
}

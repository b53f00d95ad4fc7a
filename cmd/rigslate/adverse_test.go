package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

// long marks a test that runs a whole review, or several: under the race detector, which makes that ten times as slow and which
// the shorter tests feed with the same concurrency, -short leaves it out.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("runs whole reviews")
	}
}

// adverse runs the program, holds its exit code against want, and returns what it said on both outputs, in one line.
func adverse(t *testing.T, want int, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(t.Context(), args, &out, &errs); code != want {
		t.Fatalf("%v: exit code %d, want %d: %s%s", args, code, want, out.String(), errs.String())
	}
	return strings.Join(strings.Fields(out.String()+errs.String()), " ")
}

// tells fails where a text does not hold all of the words.
func tells(t *testing.T, text string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("it does not say %q: %s", w, text)
		}
	}
}

func runOf(dir string) []string {
	return []string{"run", dir, "--charts", "none", "--now", "2027-02-26T09:00:00Z"}
}

// Folders may be called anything that a file system takes: blanks, other alphabets, what a shell or a pattern would take for its own, and
// names as long as names can be.
func TestAnyFolderWillDo(t *testing.T) {
	long(t)
	for _, name := range []string{"a bench of ours", "ベンチ – größer 🐦", "[ab]*? 'x' \"y\" %s $HOME", strings.Repeat("n", 240)} {
		if runtime.GOOS == "windows" && name != "a bench of ours" {
			continue // its names take neither these signs nor, by default, paths of this length
		}
		t.Run(name[:15], func(t *testing.T) {
			dir := filepath.Join(inMemory(t), name)
			small{[]string{"fjord"}}.write(t, dir)
			tells(t, adverse(t, 0, runOf(dir)...), "small: ready.", "published")
			tells(t, adverse(t, 0, "verify", "--full", filepath.Join(dir, "archive")), "1 edition", "All is as it was published.")
		})
	}
}

// Captures whose names are as long as names can be are found by their pattern and archived.
func TestNamesOf240Characters(t *testing.T) {
	long(t)
	dir := inMemory(t)
	small{[]string{"fjord"}}.write(t, dir)
	text, err := os.ReadFile(filepath.Join(dir, "plan.hcl"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(dir, "plan.hcl"), strings.Replace(string(text), "_{repeat}.csv", "_{repeat}_{any}.csv", 1))
	for _, old := range globbed(t, dir, "captures", "*", "*.csv") {
		base := strings.TrimSuffix(filepath.Base(old), ".csv")
		name := base + "_" + strings.Repeat("x", 236-len(base)-1) + ".csv"
		if err := os.Rename(old, filepath.Join(filepath.Dir(old), name)); err != nil {
			t.Fatal(err)
		}
	}
	tells(t, adverse(t, 0, runOf(dir)...), "small: ready.", "published")
	tells(t, adverse(t, 0, "verify", "--full", filepath.Join(dir, "archive")), "All is as it was published.")
}

func globbed(t *testing.T, parts ...string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(parts...))
	if err != nil || len(found) == 0 {
		t.Fatalf("%v: %v, %v", parts, found, err)
	}
	return found
}

// Links: the archive may lie behind one, captures behind one that leaves their folder are not read, and a circle is no circle.
func TestLinksInTheWay(t *testing.T) {
	home := inMemory(t)
	dir := filepath.Join(home, "review")
	small{[]string{"fjord"}}.write(t, dir)
	if err := os.Mkdir(filepath.Join(home, "elsewhere"), 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(home, "secret.csv"), "us\n1\n")
	for name, target := range map[string]string{
		"archive":                     filepath.Join("..", "elsewhere"),
		"captures/circle":             "..",
		"captures/heron_x/up":         filepath.Join("..", "heron_x"),
		"captures/heron_x/kelp_1.csv": filepath.Join(home, "secret.csv"),
	} {
		if err := os.Symlink(target, filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			t.Skip("no links here:", err)
		}
	}
	said := adverse(t, 0, runOf(dir)...)
	tells(t, said, "small: ready.", "published", "captures/circle: note: A link to a folder is not followed")
	if strings.Contains(said, "secret") {
		t.Error(said)
	}
	tells(t, adverse(t, 0, "verify", "--full", filepath.Join(dir, "archive")), "All is as it was published.")
	tells(t, adverse(t, 0, "verify", filepath.Join(home, "elsewhere")), "1 edition", "All is as it was published.")
	tells(t, adverse(t, 0, runOf(dir)...), "is already published, nothing changed")
}

// A clock that is set back makes an edition that looks older than the one before it, which is said; both are whole.
func TestClockSetBack(t *testing.T) {
	dir := inMemory(t)
	small{[]string{"fjord"}}.write(t, dir)
	if said := adverse(t, 0, runOf(dir)...); strings.Contains(said, "clock") {
		t.Error(said)
	}
	put(t, filepath.Join(dir, "more.hcl"), "statistics {\n  margin = \"2%\"\n}\n")
	future := time.Date(2037, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, name := range globbed(t, dir, "captures", "*", "*.csv") { // of no account: the ledger has seen them
		if err := os.Chtimes(name, future, future); err != nil {
			t.Fatal(err)
		}
	}
	back := []string{"run", dir, "--charts", "none", "--now", "2019-01-01T00:00:00Z"}
	tells(t, adverse(t, 0, back...), "published", "The clock stands before an edition of this review",
		"That one was published at 2027-02-26 09:00 UTC, this one at 2019-01-01 00:00 UTC", "Set the clock")
	tells(t, adverse(t, 0, "verify", "--full", filepath.Join(dir, "archive")), "2 editions", "All is as it was published.")
}

// Several runs of one review at once: one of them publishes, the others find its edition, and report and ledger are whole.
func TestRunsAtOnce(t *testing.T) {
	dir := inMemory(t)
	small{[]string{"fjord"}}.write(t, dir)
	const n = 4
	said := make([]string, n)
	var all sync.WaitGroup
	for i := range n {
		all.Go(func() {
			out, err := exec.Command("rigslate", runOf(dir)...).CombinedOutput()
			if said[i] = string(out); err != nil {
				said[i] += err.Error()
			}
		})
	}
	all.Wait()
	published := 0
	for _, s := range said {
		switch {
		case strings.Contains(s, "is already published, nothing changed"):
		case strings.Contains(s, " published\n") && !strings.Contains(s, "rigslate:"):
			published++
		default:
			t.Error(s)
		}
	}
	if published != 1 {
		t.Errorf("%d of %d runs published: %s", published, n, said)
	}
	after := tree(t, dir)
	for name := range after {
		if strings.Contains(name, ".new") || strings.Contains(name, "staging") {
			t.Errorf("left over: %s", name)
		}
	}
	tells(t, adverse(t, 0, "verify", "--full", filepath.Join(dir, "archive")), "1 edition", "All is as it was published.")
	tells(t, adverse(t, 0, runOf(dir)...), "is already published, nothing changed")
}

// A folder of a hundred thousand other files is looked through, and told of in a line.
func TestAFolderOfAHundredThousandFiles(t *testing.T) {
	long(t)
	dir := inMemory(t)
	small{[]string{"fjord"}}.write(t, dir)
	const n = 100_000
	for i := range n {
		if err := os.WriteFile(filepath.Join(dir, "captures", fmt.Sprintf("shot_%06d.jpg", i)), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	said := adverse(t, 0, "missing", dir)
	tells(t, said, "small: ready.", "100000 other files")
	if len(said) > 4000 {
		t.Errorf("%d bytes on screen: %.4000s", len(said), said)
	}
}

package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// kills is how often TestRunThatIsKilled kills, each of which takes half a second; 200 were survived when this was written.
var kills = flag.Int("kills", 40, "how many runs TestRunThatIsKilled kills")

// inMemory is a folder that needs no disk, where there is one: what a killed process wrote stays there too.
func inMemory(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "rigslate")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// small is a review that is ready: two cards, three passes in each game of 300 frames.
type small struct {
	games []string
}

const smallPlan = `review "small" {
  baseline = card.tern_ref.stock
}
card "tern_ref" {
  vendor = "marram"
}
card "heron_x" {
  vendor = "marram"
}
resolution "uhd" { size = "3840x2160" }
matrix {
  repeats = 3
}
accept {
  min_length = "1s"
  max_spread = "50%"
}
files "made_up" {
  path        = "captures/{card}/{game}_{repeat}.csv"
  frame_time  = { column = "us", unit = "us" }
  measured_at = "present"
}
`

// putAsMade writes a file as one made on a day of the past: the ledger records the times of captures.
func putAsMade(t *testing.T, name, text string) {
	t.Helper()
	put(t, name, text)
	at := time.Date(2027, 2, 1, 10, 0, 0, 0, time.UTC)
	if err := os.Chtimes(name, at, at); err != nil {
		t.Fatal(err)
	}
}

// write puts the review into a folder.
func (s small) write(t *testing.T, dir string) {
	t.Helper()
	plan := smallPlan
	rng := rand.New(rand.NewPCG(3, 1))
	for _, game := range s.games {
		plan += fmt.Sprintf("game %q {\n  drive = \"built-in\"\n  keep  = \"all\"\n}\n", game)
		for _, card := range []string{"tern_ref", "heron_x"} {
			for repeat := range 3 {
				var b strings.Builder
				b.WriteString("us\n")
				for range 300 {
					fmt.Fprintln(&b, 8000+rng.IntN(900))
				}
				putAsMade(t, filepath.Join(dir, "captures", card, fmt.Sprintf("%s_%d.csv", game, repeat+1)), b.String())
			}
		}
	}
	put(t, filepath.Join(dir, "plan.hcl"), plan)
}

// tree is every file below a folder with its content. Folders are there too, with a slash at their end: none may be left over.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		if d.IsDir() {
			out[filepath.ToSlash(name)+"/"] = ""
			return nil
		}
		text, err := os.ReadFile(path)
		out[filepath.ToSlash(name)] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// plant writes a tree.
func plant(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if strings.HasSuffix(name, "/") {
			if err := os.MkdirAll(path, 0o777); err != nil {
				t.Fatal(err)
			}
			continue
		}
		putAsMade(t, path, text)
	}
}

// grownOld makes an hour pass for the files of a folder, after which nobody is writing them any more.
func grownOld(t *testing.T, dir string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Now().Add(-time.Hour)
	for _, name := range files {
		if err := os.Chtimes(name, at, at); err != nil {
			t.Fatal(err)
		}
	}
}

var movedBytes = regexp.MustCompile(`[rw]char: (\d+)`)

// moved is how many bytes a process has read and written so far; false when it is gone or the system does not tell.
func moved(pid int) (n int, ok bool) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/io", pid))
	found := movedBytes.FindAllSubmatch(text, -1)
	if err != nil || len(found) != 2 {
		return 0, false
	}
	for _, f := range found {
		x, err := strconv.Atoi(string(f[1]))
		if err != nil {
			return 0, false
		}
		n += x
	}
	return n, true
}

// killedAt runs the program in a process of its own and kills it, as kill -9 or the end of a battery does, as soon as it has read and
// written at bytes. It says how far the process had got and whether it was killed.
func killedAt(t *testing.T, at int, args ...string) (reached int, killed bool) {
	t.Helper()
	var errs bytes.Buffer
	cmd := exec.Command("rigslate", args...)
	cmd.Stderr = &errs
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	for {
		select {
		case err := <-ended:
			if err != nil {
				t.Fatalf("%v: %v\n%s", args, err, errs.String())
			}
			return reached, false
		default:
		}
		if n, ok := moved(cmd.Process.Pid); ok {
			reached = max(reached, n)
		}
		if reached < at {
			continue
		}
		if err := cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
			t.Fatal(err)
		}
		err := <-ended
		var exit *exec.ExitError
		return reached, errors.As(err, &exit) && exit.ExitCode() == -1
	}
}

// `run` is killed at random instants, told by the bytes that it has read and written: the archive is whole all the same and works out
// again, the older edition is what it was, and running again later ends with the very files that a run leaves that nobody killed.
func TestRunThatIsKilled(t *testing.T) {
	if _, ok := moved(os.Getpid()); !ok {
		t.Skip("this system does not tell how much a process has read and written")
	}
	instants := *kills
	if testing.Short() {
		instants = min(instants, 10)
	}
	call := func(want int, args ...string) {
		t.Helper()
		var out, errs bytes.Buffer
		if code := run(t.Context(), args, &out, &errs); code != want {
			t.Fatalf("%v: exit code %d, want %d: %s%s", args, code, want, out.String(), errs.String())
		}
	}
	dir := filepath.Join(inMemory(t), "review")
	running := []string{"run", dir, "--charts", "none", "--now", "2027-02-26T09:00:00Z"}
	archive := filepath.Join(dir, "archive")
	small{[]string{"fjord"}}.write(t, dir)
	call(0, running...)
	older := tree(t, filepath.Join(archive, "editions"))
	small{[]string{"fjord", "kelp"}}.write(t, dir)
	before := tree(t, dir)
	total, killed := killedAt(t, 1<<40, running...)
	if killed {
		t.Fatal("it was killed before its time")
	}
	after := tree(t, dir)
	call(0, "verify", "--full", archive)

	rng := rand.New(rand.NewPCG(200, 6))
	early, late := 0, 0
	for range instants {
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		plant(t, dir, before)
		at := rng.IntN(total)
		if _, killed := killedAt(t, at, running...); !killed {
			late++
		} else if cmp.Equal(before, tree(t, dir)) {
			early++
		}
		call(0, "verify", "--full", archive)
		for name, text := range older {
			if now, err := os.ReadFile(filepath.Join(archive, "editions", name)); !strings.HasSuffix(name, "/") && (err != nil || string(now) != text) {
				t.Fatalf("killed at %d of %d bytes: %s of the older edition is another: %v", at, total, name, err)
			}
		}
		grownOld(t, filepath.Join(dir, "ledger"))
		call(0, running...)
		if diff := cmp.Diff(after, tree(t, dir)); diff != "" {
			t.Fatalf("killed at %d of %d bytes, and run again (- want, + got):\n%.2000s", at, total, diff)
		}
	}
	t.Logf("of %d runs %d were killed before they changed anything, %d had ended", instants, early, late)
	if late > instants/2 {
		t.Errorf("%d of %d runs had ended before they were killed", late, instants)
	}
}

package main

import (
	"context"
	"errors"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/klauspost/compress/zstd"
	"github.com/rogpeppe/go-internal/testscript"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/archive/olden"
	"github.com/rigslate/rigslate/export/history/madeup"
)

var update = flag.Bool("update", false, "rewrite what the scripts expect on screen")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"rigslate": main})
}

func damage(ts *testscript.TestScript, neg bool, args []string) {
	files, err := filepath.Glob(ts.MkAbs(args[0]))
	if err != nil || neg || len(files) != 1 {
		ts.Fatalf("usage: damage FILE; %v, %v", files, err)
	}
	content, err := os.ReadFile(files[0])
	ts.Check(err)
	content[len(content)/2] ^= 1
	ts.Check(os.WriteFile(files[0], content, 0o666))
}

func paced(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: paced CAPTURE FACTOR COPY")
	}
	factor, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	f, err := os.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	z, err := zstd.NewReader(f)
	ts.Check(err)
	defer z.Close()
	text, err := io.ReadAll(z)
	ts.Check(err)
	lines := strings.SplitAfter(string(text), "\n")
	for i, l := range lines {
		if ms, err := strconv.ParseFloat(strings.TrimSpace(l), 64); err == nil {
			lines[i] = strconv.FormatFloat(ms*factor, 'f', 3, 64) + "\n"
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte(strings.Join(lines, "")), 0o666))
}

// steady writes a capture whose frames all take as long, so that what comes of it can be worked out by hand.
func steady(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: steady MS FRAMES CAPTURE")
	}
	frames, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), []byte("frame_ms\n"+strings.Repeat(args[0]+"\n", frames)), 0o666))
}

// newest sets a variable to the folder of the edition that was published last.
func newest(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: newest ARCHIVE VARIABLE")
	}
	a, err := archive.Look(ts.MkAbs(args[0]))
	ts.Check(err)
	all, _, err := a.Editions()
	ts.Check(err)
	last := slices.MaxFunc(all, func(a, b archive.Edition) int { return a.Published.Compare(b.Published) })
	ts.Setenv(args[1], last.Dir)
}

// years makes an archive of three reviews a year apart: heron_x gains 3 % on a new driver, fjord has another build in the last, gannet and
// heron_x share no review. One scene is called what a spreadsheet takes for a formula.
func years(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: years ARCHIVE")
	}
	first := madeup.Review{Name: "spring26", At: time.Date(2026, 4, 1, 9, 0, 0, 0, time.UTC), Rig: "bench_a", OS: "build 1", Driver: "612.4",
		Cards: map[string]float64{"tern_ref": 100, "heron_x": 110}, Repeats: 4, Noise: 0.001, Games: []string{"bazaar", "fjord", "kelp", "quarry"},
		Sizes: []string{"uhd"}, Passes: "a"}
	second, third := first, first
	second.Name, second.At, second.Driver, second.Passes = "spring27", first.At.AddDate(1, 0, 0), "650.1", "b"
	second.Cards = map[string]float64{"tern_ref": 100, "heron_x": 113.3}
	third.Name, third.At, third.Driver, third.Passes, third.Rig = "spring28", first.At.AddDate(2, 0, 0), "661.0", "c", first.Rig
	third.Cards, third.Build = map[string]float64{"tern_ref": 100, "gannet": 104.5}, map[string]string{"fjord": "2.0", "kelp": "=HYPERLINK"}
	for _, r := range []madeup.Review{first, second, third} {
		_, err := r.Publish(context.Background(), ts.MkAbs(args[0]))
		ts.Check(err)
	}
}

// aged makes an edition one of an earlier release, by whose definitions mean frame rates came out higher, or all alike.
func aged(ts *testscript.TestScript, neg bool, args []string) {
	folders, err := filepath.Glob(ts.MkAbs(args[0]))
	if err != nil || neg || len(folders) != 1 {
		ts.Fatalf("usage: aged EDITION [alike]; %v, %v", folders, err)
	}
	change := olden.Higher
	if len(args) == 2 && args[1] == "alike" {
		change = nil
	}
	ts.Check(olden.Age(folders[0], change))
}

// TestScripts runs every command as a reviewer would, in a folder of its own. `code N command…` is exec with the exit code it
// must end with; `demo NAME` copies a review from testdata; `paced CAPTURE FACTOR COPY` writes the frame times of a demo's capture
// (one a line, in ms) multiplied by a factor; `steady MS FRAMES CAPTURE` writes one of equal frames; `newest ARCHIVE VARIABLE` names
// the edition published last; `damage FILE` flips a bit in the middle of the one file of that pattern; `years ARCHIVE` makes up
// an archive of three; `aged EDITION` makes the one edition of that pattern one of an earlier release.
func TestScripts(t *testing.T) {
	root, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("LC_ALL", "C.UTF-8")
			e.Setenv("RIGSLATE_CHARTS", "none") // pictures take longer than all else; TestReportFromTheArchiveAlone draws them
			e.Setenv("NOW", "2027-02-26T09:00:00Z")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"code": func(ts *testscript.TestScript, neg bool, args []string) {
				want, err := strconv.Atoi(args[0])
				if err != nil || neg {
					ts.Fatalf("usage: code N command…")
				}
				got := 0
				if err := ts.Exec(args[1], spread(ts, args[2:])...); err != nil {
					var exit *exec.ExitError
					if !errors.As(err, &exit) {
						ts.Fatalf("%v", err)
					}
					got = exit.ExitCode()
				}
				if got != want {
					ts.Fatalf("exit code %d, want %d", got, want)
				}
			},
			"paced":  paced,
			"steady": steady,
			"newest": newest,
			"damage": damage,
			"years":  years,
			"aged":   aged,
			"demo": func(ts *testscript.TestScript, neg bool, args []string) {
				for _, name := range args {
					ts.Check(os.CopyFS(ts.MkAbs(filepath.Base(name)), os.DirFS(filepath.Join(root, name))))
				}
			},
		},
	})
}

// spread puts the editions that are there in the place of a path with a star, since ids change with every release.
func spread(ts *testscript.TestScript, args []string) (out []string) {
	for _, arg := range args {
		found, err := filepath.Glob(ts.MkAbs(arg))
		if !strings.Contains(arg, "edition=*") || err != nil || len(found) == 0 {
			found = []string{arg}
		}
		out = append(out, found...)
	}
	return out
}

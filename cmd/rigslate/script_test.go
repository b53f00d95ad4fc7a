package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite what the scripts expect on screen")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"rigslate": main})
}

// TestScripts runs every command as a reviewer would, in a folder of its own. `code N command…` is exec with the exit code it
// must end with; `demo NAME` copies a review from testdata.
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
				if err := ts.Exec(args[1], args[2:]...); err != nil {
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
			"demo": func(ts *testscript.TestScript, neg bool, args []string) {
				for _, name := range args {
					ts.Check(os.CopyFS(ts.MkAbs(filepath.Base(name)), os.DirFS(filepath.Join(root, name))))
				}
			},
		},
	})
}

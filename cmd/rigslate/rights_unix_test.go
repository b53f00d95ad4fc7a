//go:build unix

package main

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// nobody is the user of whom every system of this kind has one (common practice, no source).
const nobody = 65534

// asNobody runs the program as a user without rights, and returns exit code and words. Root may write anywhere, so a test of rights
// would otherwise test nothing where it is root's.
func asNobody(t *testing.T, program string, args ...string) (code int, said string) {
	t.Helper()
	cmd := exec.Command(program, args...)
	if os.Geteuid() == 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
		cmd.Dir = "/"
	}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Skip("nobody's processes cannot be started here:", err)
	}
	return cmd.ProcessState.ExitCode(), strings.Join(strings.Fields(string(out)), " ")
}

// readable is a copy of the program where anybody may run it.
func readable(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("rigslate")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.MkdirTemp("", "rigslate")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := os.RemoveAll(dir); err != nil {
			t.Error(err)
		}
	})
	path = filepath.Join(dir, "rigslate")
	if err := errors.Join(os.Chmod(dir, 0o755), os.WriteFile(path, text, 0o755)); err != nil {
		t.Fatal(err)
	}
	return path
}

// Rights that are missing are told of with the path and what to do; what can be done without them is done, and nothing is lost.
func TestMissingRights(t *testing.T) {
	long(t)
	program := readable(t)
	for _, tt := range []struct {
		name   string
		denied []string // below the review, with the rights left
		rights fs.FileMode
		code   int
		says   []string
		left   []string // files that are there afterwards
	}{
		{"the whole folder", []string{"."}, 0o555, 4, []string{"rigslate: disk:", "ledger", "permission denied", "make room there, or the folder writable"}, nil},
		{"the archive", []string{"archive"}, 0o555, 4, []string{"small: ready.", "nothing published", "no edition can be begun", "permission denied"},
			[]string{"draft/draft.json", "report/index.html"}},
		{"the report", []string{"report"}, 0o555, 4, []string{"small: ready.", "write the report", "permission denied"}, []string{"archive/archive.json", "draft/draft.json"}},
		{"a capture", []string{"captures/heron_x/fjord_2.csv"}, 0, 3, []string{"captures/heron_x/fjord_2.csv: error: Capture cannot be used", "permission denied",
			"Allow reading it", "not ready. 1 of 2 cells needs 1 pass"}, []string{"draft/draft.json", "report/index.html"}},
		{"a folder of captures", []string{"captures/heron_x"}, 0, 3, []string{"captures/heron_x: error: A folder cannot be read", "Allow reading it",
			"not ready. 1 of 2 cells needs 3 passes"}, []string{"draft/draft.json", "report/index.html"}},
		{"the plan", []string{"plan.hcl"}, 0, 2, []string{"rigslate: plan:", "plan.hcl: permission denied"}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			home, err := os.MkdirTemp("", "rigslate")
			if err != nil {
				t.Fatal(err)
			}
			dir := filepath.Join(home, "review")
			t.Cleanup(func() { // what the rights were taken from gets them back first
				for _, name := range tt.denied {
					_ = os.Chmod(filepath.Join(dir, name), 0o777)
				}
				if err := os.RemoveAll(home); err != nil {
					t.Error(err)
				}
			})
			if err := os.Chmod(home, 0o755); err != nil {
				t.Fatal(err)
			}
			small{[]string{"fjord"}}.write(t, dir)
			for _, name := range tt.denied {
				if name == "archive" || name == "report" {
					if err := os.Mkdir(filepath.Join(dir, name), 0o777); err != nil {
						t.Fatal(err)
					}
				}
			}
			if os.Geteuid() == 0 {
				err := filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
					if err == nil {
						err = os.Chown(path, nobody, nobody)
					}
					return err
				})
				if err != nil {
					t.Fatal(err)
				}
			}
			before := tree(t, filepath.Join(dir, "captures"))
			for _, name := range tt.denied {
				if err := os.Chmod(filepath.Join(dir, name), tt.rights); err != nil {
					t.Fatal(err)
				}
			}
			code, said := asNobody(t, program, runOf(dir)...)
			if code != tt.code {
				t.Errorf("exit code %d, want %d: %s", code, tt.code, said)
			}
			tells(t, said, tt.says...)
			for _, name := range tt.denied {
				if err := os.Chmod(filepath.Join(dir, name), 0o777); err != nil {
					t.Fatal(err)
				}
			}
			for _, name := range tt.left {
				if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
					t.Error(err)
				}
			}
			if after := tree(t, filepath.Join(dir, "captures")); len(after) != len(before) {
				t.Errorf("%d files of the captures, there were %d", len(after), len(before))
			}
			if code, said := asNobody(t, program, runOf(dir)...); code != 0 {
				t.Errorf("with the rights, exit code %d: %s", code, said)
			}
		})
	}
}

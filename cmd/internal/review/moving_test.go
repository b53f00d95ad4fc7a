package review

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/plan/coverage"
)

// Captures that go away, or are written to, between the moment they are found and the moment they are read: the run ends in good order, uses
// nothing of them, says what to do, and a later run with the file whole publishes.
func TestFilesThatMoveUnderARun(t *testing.T) {
	long(t)
	for _, tt := range []struct {
		name   string
		do     func(t *testing.T, path string)
		undo   func(t *testing.T, path string, content []byte)
		text   string // of the finding
		advice string
	}{
		{"vanishes", func(t *testing.T, path string) {
			if err := os.Remove(path); err != nil {
				t.Error(err)
			}
		}, restore, "no such file", "Put it back, or run again without it."},
		{"becomes a folder", func(t *testing.T, path string) {
			if err := errors.Join(os.Remove(path), os.Mkdir(path, 0o777)); err != nil {
				t.Error(err)
			}
		}, func(t *testing.T, path string, content []byte) {
			if err := os.Remove(path); err != nil {
				t.Error(err)
			}
			restore(t, path, content)
		}, "not a file", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			dir := copied(t, "real")
			last := filepath.Join(dir, "captures", "osprey.reactor.2560x1440.r3.frames.csv.gz")
			content, err := os.ReadFile(last)
			if err != nil {
				t.Fatal(err)
			}
			o := options(dir)
			o.Workers = 1
			o.Progress = func(done, _ int, _ string) {
				if done == 1 { // with one worker the last is not open yet
					tt.do(t, last)
				}
			}
			r, err := Do(context.Background(), o)
			if !errors.Is(err, ErrInput) || r.Kept.Edition != "" {
				t.Errorf("error %v, want one of input; edition %q, want none", err, r.Kept.Edition)
			}
			short := 0
			for _, c := range r.Cells {
				if c.State == coverage.Short {
					short++
				}
			}
			if short != 1 {
				t.Errorf("%d cells are short of a pass, want 1", short)
			}
			found := false
			for _, f := range r.Findings {
				if f.Place.File == "captures/"+filepath.Base(last) {
					found = true
					if !strings.Contains(f.Detail, tt.text) || !strings.Contains(f.Mend, tt.advice) {
						t.Errorf("finding %+v", f)
					}
				}
			}
			if !found {
				t.Errorf("nothing said of %s: %v", last, r.Findings)
			}
			tt.undo(t, last, content)
			if r := do(t, options(dir)); r.Kept.Edition == "" || r.Kept.Already {
				t.Errorf("kept %+v, want an edition", r.Kept)
			}
		})
	}
}

func restore(t *testing.T, path string, content []byte) {
	t.Helper()
	if err := os.WriteFile(path, content, 0o666); err != nil {
		t.Error(err)
	}
}

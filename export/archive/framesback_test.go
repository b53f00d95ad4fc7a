package archive

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestFramesBack(t *testing.T) {
	dir := small(t)
	e, err := readEdition(filepath.Join(dir, "editions", "review=spring", "edition="+editionOne))
	if err != nil {
		t.Fatal(err)
	}
	var got []FramesBack
	if err := e.FramesBack("frames-heron_x.parquet", func(b FramesBack) error { got = append(got, b); return nil }); err != nil {
		t.Fatal(err)
	}
	// as fillFrames writes them
	want := []FramesBack{{"00112233445566aa", []int64{10e6, 11e6, 9e6, 10e6}, 1, 3}, {"00112233445566bb", []int64{7, 8}, 0, 2}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
	if err := e.FramesBack("frames-heron_x.parquet", func(FramesBack) error { return errFault }); !errors.Is(err, errFault) {
		t.Errorf("error %v, want that of the caller", err)
	}
	text, err := os.ReadFile(filepath.Join(e.Dir, "frames-heron_x.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	rewrite(t, filepath.Join(e.Dir, "frames-skua.parquet"), text)
	for _, name := range []string{"frames-skua.parquet", "cells.parquet", "plan/plan.json", "none.parquet"} {
		if err := e.FramesBack(name, func(FramesBack) error { return nil }); !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: error %v, want damage", name, err)
		}
	}
}

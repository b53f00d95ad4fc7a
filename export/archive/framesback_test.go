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
	e, err := ReadEdition(filepath.Join(dir, "editions", "review=spring", "edition="+editionOne))
	if err != nil {
		t.Fatal(err)
	}
	back := func(name, card string, each func(FramesBack) error) error {
		text, err := os.ReadFile(filepath.Join(e.Dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return ReadFrames(text, card, nil, each)
	}
	var got []FramesBack
	if err := back("frames-heron_x.parquet", "heron_x", func(b FramesBack) error { got = append(got, b); return nil }); err != nil {
		t.Fatal(err)
	}
	// as fillFrames writes them
	want := []FramesBack{{"00112233445566aa", []int64{10e6, 11e6, 9e6, 10e6}, 1, 3, nil}, {"00112233445566bb", []int64{7, 8}, 0, 2, nil}}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(FramesBack{})); diff != "" {
		t.Errorf("(- want, + got):\n%s", diff)
	}
	if err := back("frames-heron_x.parquet", "heron_x", func(FramesBack) error { return errFault }); !errors.Is(err, errFault) {
		t.Errorf("error %v, want that of the caller", err)
	}
	for _, c := range [][2]string{{"frames-heron_x.parquet", "skua"}, {"cells.parquet", "heron_x"}, {"plan/plan.json", "heron_x"}} {
		if err := back(c[0], c[1], func(FramesBack) error { return nil }); !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: error %v, want damage", c[0], err)
		}
	}
}

package archive

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// referring publishes an edition that has one file of frames itself and refers to all that another measured.
func referring(t *testing.T, a *Archive, first Edition) Edition {
	t.Helper()
	s := begin(t, a)
	if err := errors.Join(s.Tables(sampleTables()), s.File("frames-tern_ref.txt", []byte("no frames")), s.Refer(first, first.Measured()...), s.RawThere(first.Raw[0])); err != nil {
		t.Fatal(err)
	}
	from := origin
	from.PublishedAt = origin.PublishedAt.AddDate(1, 0, 0)
	from.RecomputedFrom = &Recomputed{Edition: first.Edition, PublishedAt: first.PublishedAt}
	if _, err := s.Publish(t.Context(), editionTwo, from); err != nil {
		t.Fatal(err)
	}
	e, err := ReadEdition(a.EditionDir("spring", editionTwo))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// What an edition refers to is read where it is, counts as measured, and is held against its hash; whoever refers to that edition in turn refers to
// the files themselves. The archive verifies whole, and the work of both is of one day.
func TestReferences(t *testing.T) {
	dir := small(t)
	a := opened(t, dir)
	first, err := ReadEdition(a.EditionDir("spring", editionOne))
	if err != nil {
		t.Fatal(err)
	}
	e := referring(t, a, first)
	if got := strings.Join(e.Measured(), " "); got != "frames-tern_ref.txt frames-heron_x.parquet frames-tern_ref.parquet sensors-heron_x.parquet" {
		t.Errorf("measured: %s", got)
	}
	want, err := os.ReadFile(filepath.Join(first.Dir, "frames-heron_x.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := e.File("frames-heron_x.parquet"); err != nil || !bytes.Equal(got, want) {
		t.Errorf("%d bytes of %d: %v", len(got), len(want), err)
	}
	if _, err := e.File("frames-gannet.parquet"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("what neither has: %v", err)
	}
	if ref, err := e.reference("frames-heron_x.parquet"); err != nil || ref.Edition != editionOne {
		t.Errorf("%+v, %v", ref, err)
	}
	if v := verified(t, dir); len(v.Damage) > 0 || len(v.Editions) != 2 || v.Editions[1].Edition != editionTwo {
		t.Errorf("%+v", v)
	}
	if !e.Work.Equal(first.Published) || CompareAge(first, e) >= 0 || e.Published.Equal(e.Work) {
		t.Errorf("work of %v and %v", first.Work, e.Work)
	}
	want[len(want)/2] ^= 1
	rewrite(t, filepath.Join(first.Dir, "frames-heron_x.parquet"), want)
	if _, err := e.File("frames-heron_x.parquet"); !errors.Is(err, ErrDamaged) {
		t.Errorf("damaged frames: %v", err)
	}
	if err := e.Check(); !errors.Is(err, ErrDamaged) {
		t.Errorf("damaged frames, checked: %v", err)
	}
}

// References lead to files of other editions of the archive and nowhere else, though the manifest's hash is right.
func TestStrictReferences(t *testing.T) {
	dir := small(t)
	a := opened(t, dir)
	first, err := ReadEdition(a.EditionDir("spring", editionOne))
	if err != nil {
		t.Fatal(err)
	}
	e := referring(t, a, first)
	name := filepath.Join(e.Dir, manifestName)
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	at := strings.Index(string(text), `"references"`)
	for _, c := range [][2]string{
		{`"path": "frames-heron_x.parquet"`, `"path": "../frames-heron_x.parquet"`},
		{`"path": "frames-heron_x.parquet"`, `"path": "/etc/passwd"`},
		{`"review": "spring"`, `"review": "../spring"`},
		{`"edition": "` + editionOne, `"edition": "` + editionTwo},
		{`"edition": "` + editionOne, `"edition": "x`},
		{`"sha256": "`, `"sha256": "0`},
		{`"bytes": `, `"bytes": -`},
		{`"path": "frames-heron_x.parquet"`, `"path": "z.parquet"`},
		{`"rows": `, `"columns": `},
		{`"published_at": "`, `"published_at": "once upon `},
	} {
		changed := string(text[:at]) + strings.Replace(string(text[at:]), c[0], c[1], 1)
		if changed == string(text) {
			t.Fatalf("the references have no %s", c[0])
		}
		write(t, name, changed)
		write(t, filepath.Join(e.Dir, manifestSumName), fmt.Sprintf("%x  manifest.json\n", sha256.Sum256([]byte(changed))))
		if _, err := ReadEdition(e.Dir); !errors.Is(err, ErrDamaged) {
			t.Errorf("%s: %v, want ErrDamaged", c[1], err)
		}
	}
}

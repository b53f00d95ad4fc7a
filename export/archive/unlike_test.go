package archive

import (
	"context"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
)

// variant publishes the edition of two runs with something changed in its frames and tables.
func variant(t *testing.T, frames func(card, id string, ns []int64) []int64, tables func(*Tables)) Edition {
	t.Helper()
	a := opened(t, filepath.Join(t.TempDir(), "archive"))
	s := begin(t, a)
	w, err := s.Frames("heron_x", []string{"load_pct"})
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"00112233445566aa", "00112233445566bb"} {
		ns := []int64{10e6, 11e6, 9e6}
		if frames != nil {
			ns = frames("heron_x", id, ns)
		}
		if err := w.Write(Run{ID: id, FrameNS: int64s(t, ns, nil), KeptHi: len(ns), Extras: []arrow.Array{float64s(t, make([]float64, len(ns)), nil)}}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if err := fillSensors(s); err != nil {
		t.Fatal(err)
	}
	all := sampleTables()
	if tables != nil {
		tables(&all)
	}
	if err := s.Tables(all); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Publish(context.Background(), editionOne, origin); err != nil {
		t.Fatal(err)
	}
	e, err := ReadEdition(a.EditionDir("spring", editionOne))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestUnlike(t *testing.T) {
	one := variant(t, nil, nil)
	next := func(x float64) *float64 { x = math.Nextafter(x, 0); return &x }
	for _, c := range []struct {
		name      string
		frames    func(card, id string, ns []int64) []int64
		tables    func(*Tables)
		tolerance float64
		file      string // "": alike
		differ    int
		first     string
	}{
		{name: "the same"},
		{name: "a frame", frames: func(_, id string, ns []int64) []int64 {
			if id == "00112233445566bb" {
				ns[2]++
			}
			return ns
		}, file: "frames-heron_x.parquet", differ: 1, first: "frame_ns of heron_x 2 is 9000000 in the archive and 9000001 worked out again"},
		{name: "a frame more", frames: func(_, id string, ns []int64) []int64 { return append(ns, 1) }, file: "frames-heron_x.parquet",
			first: "it has 6 rows in 2 groups, and worked out again 8 in 2"},
		{name: "a frame more here, one less there", frames: func(_, id string, ns []int64) []int64 {
			if id == "00112233445566bb" {
				return ns[:2]
			}
			return append(ns, 1)
		}, file: "frames-heron_x.parquet", first: "a group has 3 rows, and worked out again 4"},
		{name: "the last bit", tables: func(t *Tables) { t.Cells[0].Mean = next(99.5) }, file: "cells.parquet", differ: 1,
			first: "mean of heron_x stock fjord plain uhd mean_fps is 99.5 in the archive and 99.49999999999999 worked out again"},
		{name: "the last bit, elsewhere", tables: func(t *Tables) { t.Cells[0].Mean = next(99.5) }, tolerance: 1e-12},
		{name: "more than that, elsewhere", tables: func(t *Tables) { t.Cells[0].Mean = ptr(99.5 * (1 + 1e-11)) }, tolerance: 1e-12, file: "cells.parquet", differ: 1},
		{name: "absent", tables: func(t *Tables) { t.Summaries[0].Percent = nil }, file: "summaries.parquet", differ: 1, first: "5 in the archive and absent worked out again"},
		{name: "a word", tables: func(t *Tables) { t.Claims[0].Verdict = "fits" }, tolerance: 1e-12, file: "claims.parquet", differ: 1, first: "verdict of uhd_lead"},
		{name: "a truth", tables: func(t *Tables) { t.Comparisons[0].Firm = ptr(false) }, file: "comparisons.parquet", differ: 1, first: "firm of"},
		{name: "a whole number", tables: func(t *Tables) { t.Runs[0].Frames = ptr(int32(5999)) }, file: "runs.parquet", differ: 1, first: "frames of"},
		{name: "a further figure", tables: func(t *Tables) { t.Runs[0].Further = nil }, file: "runs.parquet", differ: 1, first: "over_display_share of"},
		{name: "every row", tables: func(t *Tables) {
			for i := range t.Readings {
				t.Readings[i].Unit += "x"
			}
		}, file: "readings.parquet", differ: len(sampleTables().Readings)},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := one.Unlike(variant(t, c.frames, c.tables), c.tolerance, func(string) bool { return true })
			if err != nil {
				t.Fatal(err)
			}
			if c.file == "" {
				if len(got) > 0 {
					t.Errorf("%+v", got)
				}
				return
			}
			if len(got) != 1 || got[0].File != c.file || got[0].Differ != c.differ || !strings.Contains(got[0].First[0], c.first) || len(got[0].First) > mostShown {
				t.Errorf("%+v", got)
			}
		})
	}
}

// A file that is not asked about is not compared; one that the work done again does not give is told of, unless it has no rows.
func TestUnlikeFiles(t *testing.T) {
	one, other := variant(t, nil, nil), variant(t, nil, func(t *Tables) { t.Cells = nil })
	if got, err := one.Unlike(other, 0, func(f string) bool { return f != "cells.parquet" }); err != nil || len(got) > 0 {
		t.Errorf("%+v, %v", got, err)
	}
	other.Files = nil
	got, err := one.Unlike(other, 0, func(string) bool { return true })
	if err != nil || len(got) != 8 {
		t.Errorf("%d files are told of, want the six tables, frames and sensors: %+v, %v", len(got), got, err)
	}
	one = variant(t, nil, func(t *Tables) { t.Cells = nil })
	if got, err = one.Unlike(other, 0, func(f string) bool { return f == "cells.parquet" }); err != nil || len(got) > 0 {
		t.Errorf("an empty table: %+v, %v", got, err)
	}
}

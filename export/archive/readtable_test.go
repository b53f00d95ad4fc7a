package archive

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"
)

// What is read is what was written, whatever the rows.
func TestTableReadsBack(t *testing.T) {
	t.Run("runs", rapid.MakeCheck(readsBack[RunRow]))
	t.Run("cells", rapid.MakeCheck(readsBack[CellRow]))
	t.Run("comparisons", rapid.MakeCheck(readsBack[ComparisonRow]))
	t.Run("readings", rapid.MakeCheck(readsBack[ReadingRow]))
}

func readsBack[Row any](t *rapid.T) {
	rows := rowsOf[Row](t)
	got, err := decodeTable[Row](tableBytes(t, rows), int64(len(rows)))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(rows, got, cmpopts.EquateEmpty()); diff != "" {
		t.Fatalf("rows (- written, + read):\n%s", diff)
	}
}

// foreign writes a table by an independent library, in the archive's form: ZSTD, data page v1, PLAIN.
func foreign[Row any](t *testing.T, rows []Row, options ...parquet.WriterOption) []byte {
	t.Helper()
	var out bytes.Buffer
	options = append([]parquet.WriterOption{parquet.Compression(&parquet.Zstd), parquet.DataPageVersion(1), parquet.DefaultEncoding(&parquet.Plain)}, options...)
	w := parquet.NewGenericWriter[Row](&out, options...)
	if _, err := w.Write(rows); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// Another library's file in the same form reads as well, in several row groups of several pages.
func TestTableOfAnotherWriter(t *testing.T) {
	rows := make([]CellRow, 5000)
	for i := range rows {
		rows[i] = CellRow{Card: fmt.Sprintf("card_%d", i), Metric: "mean_fps", N: int32(i), State: "ready"}
		if i%3 > 0 {
			rows[i].Mean, rows[i].Flags = ptr(float64(i)/7), ptr(strings.Repeat("x", i%50))
		}
	}
	content := foreign(t, rows, parquet.MaxRowsPerRowGroup(2000), parquet.PageBufferSize(4000))
	f := openIndependently(t, content)
	if n := len(f.RowGroups()); n != 3 {
		t.Fatalf("%d row groups", n)
	}
	if index, err := f.RowGroups()[0].ColumnChunks()[0].OffsetIndex(); err != nil || index.NumPages() < 2 {
		t.Fatalf("pages %v, %v", index, err)
	}
	got, err := decodeTable[CellRow](content, int64(len(rows)))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(rows, got); diff != "" {
		t.Errorf("rows (- written, + read):\n%s", diff)
	}
}

// Columns are only ever added: a file may have more than is asked for, and lack what an earlier release did not write.
func TestColumnsOfOtherReleases(t *testing.T) {
	type earlier struct {
		Card string  `parquet:"card"`
		Mean float64 `parquet:"mean"` // REQUIRED there, OPTIONAL here
	}
	type wanted struct {
		Mean  *float64 `parquet:"mean"`
		Later *int64   `parquet:"later"`
		Card  *string  `parquet:"card"`
	}
	got, err := decodeTable[wanted](foreign(t, []earlier{{"a", 1.5}, {"b", 0}}), 2)
	if diff := cmp.Diff([]wanted{{ptr(1.5), nil, ptr("a")}, {ptr(0.0), nil, ptr("b")}}, got); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}
	part, err := decodeTable[earlier](tableBytes(t, []CellRow{{Card: "a", Mean: ptr(2.0)}}), 1)
	if diff := cmp.Diff([]earlier{{"a", 2}}, part); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}

	for _, tt := range []struct {
		name    string
		content []byte
		want    string
	}{
		{"a REQUIRED one is missing", foreign(t, []struct {
			Mean *float64 `parquet:"mean,optional"`
		}{{ptr(1.0)}}), "column card is missing"},
		{"another type", foreign(t, []struct {
			Card string `parquet:"card"`
			Mean string `parquet:"mean"`
		}{{"a", "1"}}), "column mean is BYTE_ARRAY, expected DOUBLE"},
		{"a null where a value must be", tableBytes(t, []CellRow{{Card: "a"}}), "column mean: row 0 is null where a value must be"},
		{"not a number", foreign(t, []earlier{{"a", nan}}), "column mean: row 0: NaN is not a finite number"},
		{"no text", foreign(t, []earlier{{"\xff", 1}}), `column card: row 0: "\xff" is not UTF-8`},
		{"nested", foreign(t, []struct {
			Card struct {
				Name string `parquet:"name"`
			} `parquet:"card"`
		}{{}}), "column card is nested or repeated; a table has plain columns"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := decodeTable[earlier](tt.content, 1); err == nil || err.Error() != tt.want {
				t.Errorf("error %v, want %s", err, tt.want)
			}
		})
	}
}

// Files that are no table of this archive are an error that says what was found.
func TestForeignFiles(t *testing.T) {
	type row struct {
		Card string `parquet:"card"`
	}
	type dictionary struct {
		Card string `parquet:"card,dict"`
	}
	good := foreign(t, []row{{"a"}})
	for _, tt := range []struct {
		name    string
		content []byte
		want    string
	}{
		{"empty", nil, "not a Parquet file"},
		{"text", []byte("card,mode\ntern_ref,stock\n"), "not a Parquet file"},
		{"encrypted", append(bytes.Clone(good[:len(good)-4]), "PARE"...), "not a Parquet file"},
		{"marks alone", []byte("PAR1\x00\x00\x00\x00PAR1"), "footer: 0 bytes"},
		{"a footer longer than the file", []byte("PAR1\xff\xff\xff\x7fPAR1"), "a footer of 2147483647 bytes in a file of 12"},
		{"another compression", foreign(t, []row{{"a"}}, parquet.Compression(&parquet.Snappy)), "column card: compressed by SNAPPY, expected ZSTD"},
		{"other pages", foreign(t, []row{{"a"}}, parquet.DataPageVersion(2)), "column card: a page of kind DATA_PAGE_V2, expected DATA_PAGE"},
		{"a dictionary", foreign(t, []dictionary{{"a"}}), "column card: it has a dictionary, which tables have not"},
		{"another number of rows", foreign(t, []row{{"a"}, {"b"}}), "a row group of 2 rows where 1 in all are expected"},
		{"no rows", foreign(t, []row{}), "0 rows, 0 in row groups, where 1 are expected"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := decodeTable[row](tt.content, 1); err == nil || err.Error() != tt.want {
				t.Errorf("error %v, want %s", err, tt.want)
			}
		})
	}
	if _, err := decodeTable[row](good, mostTable); err == nil {
		t.Error("more rows than are read at most: no error")
	}
	if got, err := decodeTable[row](good, 1); err != nil || got[0].Card != "a" {
		t.Errorf("the good one: %v, %v", got, err)
	}
}

// Any flipped bit of a table of an edition is damage; none is read as other rows.
func TestTableFlips(t *testing.T) {
	a := opened(t, t.TempDir())
	dir := mustPublish(t, a)
	e, err := ReadEdition(dir)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "cells.parquet")
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	good, err := ReadTable[CellRow](e, "cells.parquet")
	if diff := cmp.Diff(sampleTables().Cells, good); err != nil || diff != "" {
		t.Fatalf("%v\n%s", err, diff)
	}
	for i := range content {
		flipped := bytes.Clone(content)
		flipped[i] ^= 1 << (i % 8)
		write(t, path, string(flipped))
		if _, err := ReadTable[CellRow](e, "cells.parquet"); !errors.Is(err, ErrDamaged) {
			t.Fatalf("byte %d: %v, want ErrDamaged", i, err)
		}
		// Behind a forged manifest the reader is on its own: an error or rows, no panic.
		if rows, err := decodeTable[CellRow](flipped, int64(len(good))); err == nil && len(rows) != len(good) {
			t.Fatalf("byte %d: %d rows", i, len(rows))
		}
	}
	for _, cut := range []int{0, 4, len(content) / 2, len(content) - 1} {
		write(t, path, string(content[:cut]))
		if _, err := ReadTable[CellRow](e, "cells.parquet"); !errors.Is(err, ErrDamaged) {
			t.Errorf("cut to %d bytes: %v, want ErrDamaged", cut, err)
		}
		if _, err := decodeTable[CellRow](content[:cut], int64(len(good))); err == nil {
			t.Errorf("cut to %d bytes: no error", cut)
		}
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadTable[CellRow](e, "cells.parquet"); !errors.Is(err, ErrDamaged) {
		t.Errorf("gone: %v, want ErrDamaged", err)
	}
	if _, err := ReadTable[CellRow](e, "others.parquet"); !errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrDamaged) {
		t.Errorf("never there: %v, want fs.ErrNotExist", err)
	}
	if _, err := ReadTable[CellRow](e, "plan/plan.json"); err == nil {
		t.Error("a text was read as a table")
	}
}

// The bench's figures are read like any other table; an edition of an earlier release does not have them.
func TestReadingsOfAnEdition(t *testing.T) {
	e, err := ReadEdition(mustPublish(t, opened(t, t.TempDir())))
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadTable[ReadingRow](e, "readings.parquet")
	if diff := cmp.Diff(sampleTables().Readings, got); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}
	e.Files = slices.DeleteFunc(e.Files, func(f FileEntry) bool { return f.Path == "readings.parquet" })
	if _, err := ReadTable[ReadingRow](e, "readings.parquet"); !errors.Is(err, fs.ErrNotExist) || errors.Is(err, ErrDamaged) {
		t.Errorf("without them: %v, want fs.ErrNotExist", err)
	}
}

// A table that is a link is not followed out of the edition.
func TestTableIsNoLink(t *testing.T) {
	a := opened(t, t.TempDir())
	dir := mustPublish(t, a)
	e, err := ReadEdition(dir)
	if err != nil {
		t.Fatal(err)
	}
	path, elsewhere := filepath.Join(dir, "runs.parquet"), filepath.Join(t.TempDir(), "runs.parquet")
	if err := os.Rename(path, elsewhere); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, path); err != nil {
		t.Skip("no links here:", err)
	}
	if _, err := ReadTable[RunRow](e, "runs.parquet"); !errors.Is(err, ErrDamaged) {
		t.Errorf("%v, want ErrDamaged", err)
	}
}

func BenchmarkReadTable(b *testing.B) {
	rows := make([]RunRow, 400)
	for i := range rows {
		rows[i] = sampleRuns()[0]
		rows[i].RunID, rows[i].MeanFPS = fmt.Sprintf("%016x", i), ptr(float64(i)/7)
	}
	var out bytes.Buffer
	if err := writeTable(&out, rows); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := decodeTable[RunRow](out.Bytes(), int64(len(rows))); err != nil {
			b.Fatal(err)
		}
	}
}

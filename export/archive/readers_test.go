package archive

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"github.com/apache/arrow/go/v15/arrow/memory"

	"github.com/rigslate/rigslate/export/archive/outside"
)

// readersDir has two Parquet readers from npm, one in C++ and one in JavaScript; CI installs them.
const readersDir = "../../.ci/parquet-readers"

// expected is what a file should read as, worked out from the rows that were written.
type expected struct {
	rows    int
	columns map[string]expectedColumn
}

type expectedColumn struct {
	kind     reflect.Kind
	optional bool
	instant  bool
	nulls    int
	values   []reflect.Value
	digest   outside.Digest
}

func expectRows(rows any) expected {
	v := reflect.ValueOf(rows)
	if runs, ok := rows.([]RunRow); ok {
		var err error
		if v, err = widened(runs); err != nil {
			panic(err) // the test's own rows
		}
	}
	e := expected{rows: v.Len(), columns: map[string]expectedColumn{}}
	columns, err := columnsOf(v.Type().Elem())
	if err != nil {
		panic(err) // the test's own types
	}
	for i, c := range columns {
		x := expectedColumn{kind: c.kind, optional: c.optional, instant: c.timestamp, digest: outside.NewDigest()}
		for r := range v.Len() {
			f := v.Index(r).Field(i)
			if c.optional {
				if f.IsNil() {
					x.nulls++
					x.digest.Null()
					continue
				}
				f = f.Elem()
			}
			x.values = append(x.values, f)
			x.digest.Add(f.Interface())
		}
		e.columns[c.name] = x
	}
	return e
}

// Outside readers see every value, null, end and type as written; from the footers as well as from the pages.
func TestOutsideReaders(t *testing.T) {
	dir, want := archiveForReaders(t)
	var got outside.Readings
	if err := outside.Node(readersDir, "read.mjs", &got, dir); errors.Is(err, outside.ErrNoNode) && os.Getenv("CI") != "true" {
		t.Skip(err)
	} else if err != nil {
		t.Fatal(err)
	}
	if len(got.Files) != len(want) {
		t.Errorf("%d files were read, want %d", len(got.Files), len(want))
	}
	for _, f := range got.Files {
		e, ok := want[filepath.ToSlash(f.Path)]
		if !ok {
			t.Errorf("unexpected file %s", f.Path)
			continue
		}
		compareReading(t, "DuckDB, "+f.Path, e, f.DuckDB, duckType)
		compareReading(t, "hyparquet, "+f.Path, e, f.Hyparquet, schemaType)
		third, err := outside.ParquetGo(filepath.Join(dir, f.Path))
		if err != nil {
			t.Errorf("parquet-go: %s: %v", f.Path, err)
			continue
		}
		compareReading(t, "parquet-go, "+f.Path, e, third, goType)
	}
	if len(got.Editions) != 1 || got.Editions[0].Review != "spring" || got.Editions[0].Edition != editionOne || got.Editions[0].Rows != strconv.Itoa(len(sampleRuns())) {
		t.Errorf("by folder names: %+v", got.Editions)
	}
}

// archiveForReaders publishes tables, frames and samples of several pages, with nulls at the beginning and in between, and an empty file of each kind.
func archiveForReaders(t *testing.T) (string, map[string]expected) {
	t.Helper()
	dir, err := filepath.Abs(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	a := opened(t, dir)
	s := begin(t, a)
	tables := sampleTables()
	for i := range 40000 {
		row := CellRow{Card: fmt.Sprintf("card_%d", i%7), Metric: "mean_fps", Unit: "fps", N: int32(i), State: "ready"}
		if i%5000 > 2000 {
			row.Mean, row.Method = ptr(float64(i)/8-1000), ptr(fmt.Sprintf("m%d", i))
		}
		tables.Cells = append(tables.Cells, row)
	}
	tables.Comparisons = nil
	if err := s.Tables(tables); err != nil {
		t.Fatal(err)
	}
	passes := []passData{
		{id: "00112233445566aa", ns: make([]int64, 140000), lo: 500, hi: 139000, submit: make([]*int64, 140000), load: make([]*float64, 140000)},
		{id: "00112233445566bb", ns: []int64{math.MinInt64, math.MaxInt64, 0}, hi: 3},
		{id: "00112233445566cc", ns: []int64{5, 6}, hi: 1, submit: []*int64{ptr(int64(-1)), ptr(int64(math.MaxInt64))}, load: []*float64{ptr(-0.5), nil}},
	}
	for i := range passes[0].ns {
		passes[0].ns[i] = 7e6 + int64(i*7919%10007)*100
		if i >= 1500 && i%7 != 3 {
			passes[0].submit[i], passes[0].load[i] = ptr(passes[0].ns[i]/3), ptr(float64(i%101))
		}
	}
	var frames []frameRow
	for card, passes := range map[string][]passData{"heron_x": passes, "empty": nil} {
		w, err := s.Frames(card, []string{"submit_ns", "load_pct"})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range passes {
			r, release := p.run(memory.NewGoAllocator())
			err := w.Write(r)
			release()
			if err != nil {
				t.Fatal(err)
			}
			frames = append(frames, p.rows(card)...)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	}
	logs := append(sampleLogs(), longLog(pageRows/2))
	for card, logs := range map[string][]Log{"heron_x": logs, "empty": nil} {
		w, err := s.Sensors(card)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range logs {
			if err := w.Write(l); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.Publish(t.Context(), editionOne, origin); err != nil {
		t.Fatal(err)
	}
	e := "editions/review=spring/edition=" + editionOne + "/"
	return dir, map[string]expected{
		e + "runs.parquet": expectRows(tables.Runs), e + "cells.parquet": expectRows(tables.Cells), e + "comparisons.parquet": expectRows(tables.Comparisons),
		e + "summaries.parquet": expectRows(tables.Summaries), e + "claims.parquet": expectRows(tables.Claims),
		e + "frames-heron_x.parquet": expectRows(frames), e + "frames-empty.parquet": expectRows([]frameRow{}),
		e + "sensors-heron_x.parquet": expectRows(sensorRows("heron_x", logs)), e + "sensors-empty.parquet": expectRows([]sensorRow{}),
		e + "readings.parquet": expectRows(tables.Readings),
	}
}

func duckType(c expectedColumn) string {
	if c.instant {
		return "TIMESTAMP WITH TIME ZONE"
	}
	return map[reflect.Kind]string{reflect.String: "VARCHAR", reflect.Int32: "INTEGER", reflect.Int64: "BIGINT", reflect.Float64: "DOUBLE", reflect.Bool: "BOOLEAN"}[c.kind]
}

func goType(c expectedColumn) string {
	return map[reflect.Kind]string{reflect.String: "BYTE_ARRAY", reflect.Int32: "INT32", reflect.Int64: "INT64", reflect.Float64: "DOUBLE", reflect.Bool: "BOOLEAN"}[c.kind]
}

func schemaType(c expectedColumn) string {
	s := goType(c)
	if c.optional {
		s += " OPTIONAL"
	} else {
		s += " REQUIRED"
	}
	switch {
	case c.instant:
		s += " TIMESTAMP MICROS UTC"
	case c.kind == reflect.String:
		s += " STRING"
	}
	return s
}

func compareReading(t *testing.T, name string, want expected, got outside.Reading, typeName func(expectedColumn) string) {
	t.Helper()
	if got.Rows != strconv.Itoa(want.rows) || len(got.Columns) != len(want.columns) {
		t.Errorf("%s: %s rows and %d columns, want %d and %d", name, got.Rows, len(got.Columns), want.rows, len(want.columns))
	}
	for column, c := range want.columns {
		g := got.Columns[column]
		where := name + ", column " + column
		if g.Type != typeName(c) {
			t.Errorf("%s: type %q, want %q", where, g.Type, typeName(c))
		}
		compareColumn(t, where, c, g)
		if g.Scanned != nil {
			compareColumn(t, where+", scanned", c, *g.Scanned)
		}
		if g.Digest != c.digest.String() {
			t.Errorf("%s: not every value is as written", where)
		}
	}
}

func compareColumn(t *testing.T, where string, c expectedColumn, g outside.ColumnReading) {
	t.Helper()
	if g.Nulls != strconv.Itoa(c.nulls) {
		t.Errorf("%s: %s nulls, want %d", where, g.Nulls, c.nulls)
	}
	if len(c.values) == 0 {
		if g.Min != "" || g.Max != "" {
			t.Errorf("%s: from %q to %q, want nothing", where, g.Min, g.Max)
		}
		return
	}
	least, most := c.values[0], c.values[0]
	for _, v := range c.values {
		if compare(v, least) < 0 {
			least = v
		}
		if compare(v, most) > 0 {
			most = v
		}
	}
	if !reads(least, g.Min) || !reads(most, g.Max) {
		t.Errorf("%s: from %q to %q, want %v to %v", where, g.Min, g.Max, least, most)
	}
}

func reads(v reflect.Value, text string) bool {
	if v.Kind() == reflect.Float64 {
		x, err := strconv.ParseFloat(text, 64)
		return err == nil && x == v.Float()
	}
	return fmt.Sprint(v.Interface()) == text
}

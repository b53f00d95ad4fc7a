package archive

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
)

// Unlike is a Parquet file of an edition of which the same work, done again, gave something else.
type Unlike struct {
	File   string   // the edition's path
	Differ int      // values; 0 where rows or columns already differ
	Values int      // that were compared
	First  []string // the first few in words, or the one thing that differs before values do
	Runs   []string // run_id of the rows concerned, where they have one
}

// mostShown is how many values that differ are told of in words.
const mostShown = 5

// Unlike compares the Parquet files of an edition whose name take takes with those of the same work done again: value by value where
// their bytes differ. Columns that only again has are those of a later release, and files too. Numbers may differ by tolerance, relative
// to the larger; 0 means bit by bit. Both must have been held against their manifests.
func (e Edition) Unlike(again Edition, tolerance float64, take func(file string) bool) (out []Unlike, err error) {
	for _, f := range e.Files {
		if f.Rows == nil || !take(f.Path) {
			continue
		}
		g, err := again.entry(f.Path)
		switch {
		case err != nil && *f.Rows == 0:
			continue
		case err != nil:
			out = append(out, Unlike{File: f.Path, First: []string{"the archived captures and plan give no such file"}})
			continue
		case g.SHA256 == f.SHA256:
			continue
		}
		u := comparing{Unlike: Unlike{File: f.Path}, tolerance: tolerance}
		if err := u.files(filepath.Join(e.Dir, f.Path), filepath.Join(again.Dir, f.Path)); err != nil {
			return nil, fmt.Errorf("compare %s: %w", f.Path, err)
		}
		if len(u.First) > 0 {
			out = append(out, u.Unlike)
		}
	}
	return out, nil
}

// comparing is the comparison of two files.
type comparing struct {
	Unlike
	tolerance float64
}

// files compares two files. Arrow's reader panics on some damage.
func (u *comparing) files(here, again string) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errors.Join(err, fmt.Errorf("%v", p))
		}
	}()
	a, err := file.OpenParquetFile(here, false)
	if err != nil {
		return err
	}
	defer a.Close()
	b, err := file.OpenParquetFile(again, false)
	if err != nil {
		return err
	}
	defer b.Close()
	if a.NumRows() != b.NumRows() || a.NumRowGroups() != b.NumRowGroups() {
		u.First = []string{fmt.Sprintf("it has %d rows in %d groups, and worked out again %d in %d", a.NumRows(), a.NumRowGroups(), b.NumRows(), b.NumRowGroups())}
		return nil
	}
	for i := range a.NumRowGroups() {
		if err := u.group(a.RowGroup(i), b.RowGroup(i)); err != nil || len(u.First) > 0 && u.Differ == 0 {
			return err
		}
	}
	return nil
}

// keyColumns are those that say which row it is, in the order in which it is said.
var keyColumns = []string{"claim", "group", "card", "mode", "game", "variant", "resolution", "repeat", "protocol", "sensor", "figure", "metric", "base_card", "base_mode", "frame"}

func (u *comparing) group(a, b *file.RowGroupReader) error {
	if a.NumRows() != b.NumRows() {
		u.First = []string{fmt.Sprintf("a group has %d rows, and worked out again %d", a.NumRows(), b.NumRows())}
		return nil
	}
	there := names(b)
	keys := map[string][]any{}
	for i, name := range names(a) {
		j := slices.Index(there, name)
		if j < 0 {
			u.First = []string{"column " + name + " is not worked out any more"}
			return nil
		}
		x, err := columnOf(a, i)
		if err != nil {
			return fmt.Errorf("column %s: %w", name, err)
		}
		y, err := columnOf(b, j)
		if err != nil {
			return fmt.Errorf("column %s, worked out again: %w", name, err)
		}
		if slices.Contains(keyColumns, name) || name == "run_id" {
			keys[name] = x
		}
		u.column(name, x, y, keys)
	}
	return nil
}

// column compares one column, row by row. Those that say which row it is stand before the figures.
func (u *comparing) column(name string, x, y []any, keys map[string][]any) {
	for row := range x {
		u.Values++
		if u.alike(x[row], y[row]) {
			continue
		}
		if u.Differ++; u.Differ <= mostShown {
			u.First = append(u.First, fmt.Sprintf("%s of %s is %s in the archive and %s worked out again", name, which(keys, row), word(x[row]), word(y[row])))
		}
		if id, ok := keys["run_id"]; ok {
			if id, _ := id[row].(string); !slices.Contains(u.Runs, id) {
				u.Runs = append(u.Runs, id)
			}
		}
	}
}

func (u *comparing) alike(x, y any) bool {
	a, isA := x.(float64)
	b, isB := y.(float64)
	switch {
	case !isA || !isB:
		return x == y
	case u.tolerance == 0:
		return math.Float64bits(a) == math.Float64bits(b)
	}
	return math.Abs(a-b) <= u.tolerance*max(math.Abs(a), math.Abs(b))
}

func which(keys map[string][]any, row int) string {
	var words []string
	for _, k := range keyColumns {
		if c, ok := keys[k]; ok && c[row] != nil {
			words = append(words, word(c[row]))
		}
	}
	if len(words) == 0 {
		return fmt.Sprintf("row %d", row)
	}
	return strings.Join(words, " ")
}

func word(x any) string {
	if x == nil {
		return "absent"
	}
	return fmt.Sprint(x)
}

func names(g *file.RowGroupReader) (out []string) {
	s := g.MetaData().Schema
	for i := range s.NumColumns() {
		out = append(out, s.Column(i).Name())
	}
	return out
}

// columnOf reads a column of a row group, nil for null.
func columnOf(g *file.RowGroupReader, i int) ([]any, error) {
	c, err := g.Column(i)
	if err != nil {
		return nil, err
	}
	n, optional := int(g.NumRows()), c.Descriptor().MaxDefinitionLevel() > 0
	switch c := c.(type) {
	case *file.BooleanColumnChunkReader:
		return boxed(n, optional, c.ReadBatch, func(v bool) any { return v })
	case *file.Int32ColumnChunkReader:
		return boxed(n, optional, c.ReadBatch, func(v int32) any { return v })
	case *file.Int64ColumnChunkReader:
		return boxed(n, optional, c.ReadBatch, func(v int64) any { return v })
	case *file.Float64ColumnChunkReader:
		return boxed(n, optional, c.ReadBatch, func(v float64) any { return v })
	case *file.ByteArrayColumnChunkReader:
		return boxed(n, optional, c.ReadBatch, func(v parquet.ByteArray) any { return string(v) })
	}
	return nil, fmt.Errorf("a column of %T", c)
}

func boxed[T any](n int, optional bool, read func(int64, []T, []int16, []int16) (int64, int, error), box func(T) any) ([]any, error) {
	out := make([]any, 0, n)
	values, levels := make([]T, 4096), make([]int16, 4096)
	for len(out) < n {
		rows, _, err := read(int64(min(n-len(out), len(values))), values, levels, nil)
		if err != nil {
			return nil, err
		}
		if rows == 0 {
			return nil, fmt.Errorf("it ends after %d of %d rows", len(out), n)
		}
		next := 0
		for i := range rows {
			if optional && levels[i] == 0 {
				out = append(out, nil)
				continue
			}
			out = append(out, box(values[next]))
			next++
		}
	}
	return out, nil
}

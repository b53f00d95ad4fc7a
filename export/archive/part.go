package archive

import (
	"fmt"
	"io"
	"reflect"
	"slices"
	"time"
)

// Part is a table less some of its columns: what of an edition may go elsewhere.
type Part struct {
	Columns []PartColumn
	Rows    [][]any // string, bool, int32, int64, float64 or time.Time in UTC; nil for null
	table   reflect.Value
}

// PartColumn is a column with what is in it, in words.
type PartColumn struct{ Name, Holds string }

var holds = map[reflect.Kind]string{reflect.Bool: "true or false", reflect.Int32: "whole number", reflect.Int64: "whole number", reflect.Float64: "number",
	reflect.String: "text"}

// PartOf leaves columns of a table out. It is an error if the table has no such column.
func PartOf[Row any](rows []Row, without ...string) (p Part, err error) {
	wide, err := widened(rows)
	if err != nil {
		return p, err
	}
	row := tableType(reflect.TypeFor[Row]())
	columns, err := columnsOf(row)
	if err != nil {
		return p, err
	}
	for _, name := range without {
		if !slices.ContainsFunc(columns, func(c column) bool { return c.name == name }) {
			return p, fmt.Errorf("%s has no column %s to leave out", row, name)
		}
	}
	var fields []reflect.StructField
	var from []int
	for i, c := range columns {
		if slices.Contains(without, c.name) {
			continue
		}
		fields, from = append(fields, row.Field(i)), append(from, i)
		x := PartColumn{c.name, holds[c.kind]}
		if c.timestamp {
			x.Holds = "time, UTC"
		}
		p.Columns = append(p.Columns, x)
	}
	p.table = reflect.MakeSlice(reflect.SliceOf(reflect.StructOf(fields)), len(rows), len(rows))
	for r := range rows {
		line := make([]any, len(from))
		for to, i := range from {
			f := wide.Index(r).Field(i)
			p.table.Index(r).Field(to).Set(f)
			line[to] = plainValue(f, columns[i].timestamp)
		}
		p.Rows = append(p.Rows, line)
	}
	return p, nil
}

func plainValue(f reflect.Value, timestamp bool) any {
	if f.Kind() == reflect.Pointer {
		if f.IsNil() {
			return nil
		}
		f = f.Elem()
	}
	if timestamp {
		return time.UnixMicro(f.Int()).UTC()
	}
	return f.Interface()
}

// WriteParquet writes the part as a file of one row group, as the archive's tables are.
func (p Part) WriteParquet(w io.Writer) error { return writeRows(w, p.table) }

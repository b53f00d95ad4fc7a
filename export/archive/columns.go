package archive

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"sync"
)

// column is one field of a row type.
type column struct {
	name      string
	field     string // Go's name of it, by which the Parquet library finds it
	kind      reflect.Kind
	optional  bool
	timestamp bool
}

// columnsOf reads a row type's columns off its fields, in order; of the further figures only tableType has them. Row types are this
// package's own, so a field that no column type fits is a mistake here and not in an input.
func columnsOf(row reflect.Type) ([]column, error) {
	n := row.NumField()
	if hasFurther(row) {
		n--
	}
	columns := make([]column, n)
	seen := map[string]bool{}
	for i := range columns {
		f := row.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("parquet"), ",")
		t := f.Type
		optional := t.Kind() == reflect.Pointer
		if optional {
			t = t.Elem()
		}
		if _, ok := physical[t.Kind()]; !ok || !columnName.MatchString(name) {
			return nil, fmt.Errorf("%s.%s is no column", row, f.Name)
		}
		if seen[name] {
			return nil, fmt.Errorf("two columns are called %s", name)
		}
		seen[name] = true
		columns[i] = column{name: name, field: f.Name, kind: t.Kind(), optional: optional, timestamp: options != ""}
	}
	return columns, nil
}

// physical is each kind's Parquet type, in the words of the table library's schema.
var physical = map[reflect.Kind]string{
	reflect.Bool:    "type=BOOLEAN",
	reflect.Int32:   "type=INT32",
	reflect.Int64:   "type=INT64",
	reflect.Float64: "type=DOUBLE",
	reflect.String:  "type=BYTE_ARRAY, convertedtype=UTF8",
}

// fieldOf are the fields of RunRow that hold an OPTIONAL numeric column, by the column's name.
var fieldOf = sync.OnceValue(func() map[string]int {
	t := reflect.TypeFor[RunRow]()
	byName := map[string]int{}
	columns, err := columnsOf(t)
	if err != nil {
		return byName // and every table says so when it is written
	}
	for i, c := range columns {
		if c.optional && !c.timestamp && (c.kind == reflect.Float64 || c.kind == reflect.Int32) {
			byName[c.name] = i
		}
	}
	return byName
})

// hasFigure reports whether runs has a numeric column of this name.
func hasFigure(column string) bool {
	_, ok := fieldOf()[column]
	return ok || slices.Contains(furtherNames(), column)
}

// SetFigure sets a numeric column of a run by its name, in the column's unit. It reports false for a name that is no such
// column and for a value it cannot hold: one that is not finite, or not whole where the column is.
func SetFigure(row *RunRow, column string, value float64) bool {
	if !hasFigure(column) || value-value != 0 {
		return false
	}
	i, ok := fieldOf()[column]
	if !ok {
		if row.Further == nil {
			row.Further = map[string]float64{}
		}
		row.Further[column] = value
		return true
	}
	field := reflect.ValueOf(row).Elem().Field(i)
	if field.Type().Elem().Kind() == reflect.Float64 {
		field.Set(reflect.ValueOf(&value))
		return true
	}
	whole := int32(value)
	if value < math.MinInt32 || value > math.MaxInt32 || float64(whole) != value {
		return false
	}
	field.Set(reflect.ValueOf(&whole))
	return true
}

// Figure returns a numeric column of a run by its name, in the column's unit. It reports false for a name that is no such column
// and for one that is null.
func Figure(row *RunRow, column string) (float64, bool) {
	i, ok := fieldOf()[column]
	if !ok {
		x, ok := row.Further[column]
		return x, ok
	}
	field := reflect.ValueOf(row).Elem().Field(i)
	switch {
	case field.IsNil():
		return 0, false
	case field.Type().Elem().Kind() == reflect.Float64:
		return field.Elem().Float(), true
	}
	return float64(field.Elem().Int()), true
}

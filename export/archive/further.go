package archive

import (
	"fmt"
	"reflect"
	"slices"
	"sync"

	"github.com/rigslate/rigslate/compute"
)

// furtherNames are the figures of the registry that RunRow has no field for. Each has a column behind RunRow's, OPTIONAL DOUBLE, in
// the registry's order, so that a new figure is kept without a line here. Writing the fields out by a generator was rejected: the
// table library does not look into embedded structs, so the row would have to be put together anyway.
var furtherNames = sync.OnceValue(func() (names []string) {
	for _, m := range compute.Metrics() {
		if _, ok := fieldOf()[m.Name]; !ok {
			names = append(names, m.Name)
		}
	}
	return names
})

// furtherField is the field of a row type that holds further figures; it is the last.
const furtherField = "Further"

// tableType is the struct of a row as its table has it: the row type itself, or if that has further figures, one with a field for
// each in the place of Further.
func tableType(row reflect.Type) reflect.Type {
	if !hasFurther(row) {
		return row
	}
	fields := reflect.VisibleFields(row)[:row.NumField()-1]
	for i, name := range furtherNames() {
		fields = append(fields, reflect.StructField{Name: fmt.Sprint(furtherField, i), Type: reflect.TypeFor[*float64](),
			Tag: reflect.StructTag(fmt.Sprintf("parquet:%q", name))})
	}
	return reflect.StructOf(fields)
}

func hasFurther(row reflect.Type) bool {
	n := row.NumField()
	return n > 0 && row.Field(n-1).Name == furtherField
}

// widened returns rows as a slice of their tableType.
func widened[Row any](rows []Row) (reflect.Value, error) {
	from, row := reflect.ValueOf(rows), reflect.TypeFor[Row]()
	if !hasFurther(row) {
		return from, nil
	}
	own := row.NumField() - 1
	wide := reflect.MakeSlice(reflect.SliceOf(tableType(row)), len(rows), len(rows))
	for i := range rows {
		for j := range own {
			wide.Index(i).Field(j).Set(from.Index(i).Field(j))
		}
		for name, x := range from.Index(i).Field(own).Interface().(map[string]float64) {
			at := slices.Index(furtherNames(), name)
			if at < 0 {
				return wide, fmt.Errorf("row %d: %q is no figure of the registry, or has a field of its own", i, name)
			}
			wide.Index(i).Field(own + at).Set(reflect.ValueOf(&x))
		}
	}
	return wide, nil
}

// narrowed is the way back.
func narrowed[Row any](wide reflect.Value) []Row {
	if rows, ok := wide.Interface().([]Row); ok {
		return rows
	}
	rows := make([]Row, wide.Len())
	own := reflect.TypeFor[Row]().NumField() - 1
	for i := range rows {
		to := reflect.ValueOf(&rows[i]).Elem()
		for j := range own {
			to.Field(j).Set(wide.Index(i).Field(j))
		}
		var further map[string]float64
		for at, name := range furtherNames() {
			if f := wide.Index(i).Field(own + at); !f.IsNil() {
				if further == nil {
					further = map[string]float64{}
				}
				further[name] = f.Elem().Float()
			}
		}
		to.Field(own).Set(reflect.ValueOf(further))
	}
	return rows
}

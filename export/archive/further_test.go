package archive

import (
	"bytes"
	"io"
	"reflect"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/compute"
)

// readIndependently reads a table by another library. That does not know the further figures, so they are looked for among the
// columns that the row type has no field for.
func readIndependently[Row any](t rapid.TB, content []byte) []Row {
	t.Helper()
	rows, err := parquet.Read[Row](bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	runs, ok := any(rows).([]RunRow)
	if !ok {
		return rows
	}
	fields := map[string]bool{}
	for _, f := range reflect.VisibleFields(reflect.TypeFor[RunRow]()) {
		name, _, _ := strings.Cut(f.Tag.Get("parquet"), ",")
		fields[name] = true
	}
	f := openIndependently(t, content)
	row := 0
	for _, group := range f.RowGroups() {
		values := make([]parquet.Row, group.NumRows())
		reader := group.Rows()
		n, err := reader.ReadRows(values)
		if n != len(values) || err != nil && err != io.EOF {
			t.Fatalf("%d of %d rows, %v", n, len(values), err)
		}
		for _, value := range values {
			for column, path := range f.Schema().Columns() {
				if fields[path[0]] || value[column].IsNull() {
					continue
				}
				if runs[row].Further == nil {
					runs[row].Further = map[string]float64{}
				}
				runs[row].Further[path[0]] = value[column].Double()
			}
			row++
		}
		if err := reader.Close(); err != nil {
			t.Fatal(err)
		}
	}
	return rows
}

// Every figure of the registry has one column of runs, whether or not RunRow has a field for it.
func TestEveryMetricHasItsColumn(t *testing.T) {
	columns, err := columnsOf(tableType(reflect.TypeFor[RunRow]()))
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range compute.Metrics() {
		var row RunRow
		if !SetFigure(&row, m.Name, 1) {
			t.Errorf("%s has no column", m.Name)
		}
		if x, ok := Figure(&row, m.Name); x != 1 || !ok {
			t.Errorf("%s was set to 1 and is %v, %v", m.Name, x, ok)
		}
		there := 0
		for _, c := range columns {
			if c.name == m.Name {
				there++
			}
		}
		if there != 1 {
			t.Errorf("%s has %d columns", m.Name, there)
		}
	}
}

// A name of something else is no figure, and nothing of it is written.
func TestFurtherFiguresAreOfTheRegistry(t *testing.T) {
	for _, name := range []string{"unheard_of", "card", "mean_fps"} {
		if err := writeTable(io.Discard, []RunRow{{}, {Further: map[string]float64{name: 1}}}); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
	nan := []RunRow{{Further: map[string]float64{furtherNames()[0]: nan}}}
	if err := writeTable(io.Discard, nan); err == nil || !strings.Contains(err.Error(), "not a finite number") {
		t.Errorf("NaN: %v", err)
	}
}

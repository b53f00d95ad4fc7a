package ingest

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"testing"
)

// plainColumn reads a column by the standard library alone, as a second opinion.
func plainColumn(t *testing.T, data []byte, column int) []float64 {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var v []float64
	for _, row := range rows[1:] {
		x, err := strconv.ParseFloat(row[column], 64)
		if err != nil {
			t.Fatal(err)
		}
		v = append(v, x)
	}
	return v
}

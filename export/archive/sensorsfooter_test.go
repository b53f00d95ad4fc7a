package archive

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
	"github.com/parquet-go/parquet-go/format"
	"pgregory.net/rapid"
)

// sensorsFooter is worked out from the rows that a log should read as.
func sensorsFooter(rows []sensorRow) map[string]columnFooter {
	dictionary := []format.Encoding{format.RLEDictionary, format.Plain, format.RLE}
	plain, delta := []format.Encoding{format.Plain, format.RLE}, []format.Encoding{format.DeltaBinaryPacked, format.RLE}
	texts := func(column string) columnFooter {
		values := make([]*string, len(rows))
		for i := range rows {
			values[i] = sensorText(&rows[i], column)
		}
		least, most, nulls := endsOf(values)
		if least == nil {
			return columnFooter{encodings: plain, nulls: len(rows)}
		}
		return columnFooter{encodings: dictionary, least: []byte(*least), most: []byte(*most), nulls: nulls}
	}
	var times []*int64
	var values []*float64
	for i := range rows {
		times, values = append(times, &rows[i].TimeNS), append(values, &rows[i].Value)
	}
	repeat := binary.LittleEndian.AppendUint32(nil, uint32(rows[0].Repeat))
	least, most, _ := endsOf(values)
	// The Parquet format (parquet.thrift, ColumnOrder): a least 0 is written as -0, a greatest as +0.
	if *least == 0 {
		least = ptr(math.Copysign(0, -1))
	}
	if *most == 0 {
		most = ptr(0.0)
	}
	return map[string]columnFooter{
		"card": texts("card"), "mode": texts("mode"),
		"protocol": texts("protocol"), "repeat": {encodings: delta, least: repeat, most: repeat},
		"run_id": texts("run_id"), "frames_run_id": texts("frames_run_id"),
		"channel": texts("channel"), "unit": texts("unit"),
		"measured_at": texts("measured_at"), "time_ns": wholeFooter(times, delta, 0),
		"value": {encodings: plain, least: binary.LittleEndian.AppendUint64(nil, math.Float64bits(*least)), most: binary.LittleEndian.AppendUint64(nil, math.Float64bits(*most))},
	}
}

func checkSensorsFooter(t rapid.TB, meta *format.FileMetaData, logs []Log) {
	if len(meta.RowGroups) != len(logs) || meta.CreatedBy != createdBy {
		t.Fatalf("%d row groups for %d logs, created by %s", len(meta.RowGroups), len(logs), meta.CreatedBy)
	}
	end := int64(len("PAR1"))
	for i, g := range meta.RowGroups {
		rows := sensorRows("heron_x", logs[i:i+1])
		if g.NumRows != int64(len(rows)) || g.FileOffset != end {
			t.Fatalf("group %d has %d rows at %d, want %d at %d", i, g.NumRows, g.FileOffset, len(rows), end)
		}
		end = checkGroupFooter(t, g, sensorsFooter(rows), end)
	}
}

// checkSensorsByArrow holds every cell that Arrow's own reader finds against the logs.
func checkSensorsByArrow(t rapid.TB, content []byte, logs []Log) {
	mem := memory.NewGoAllocator() // not a checked one: for a dictionary that reader does not release all
	table, err := pqarrow.ReadTable(context.Background(), bytes.NewReader(content), parquet.NewReaderProperties(mem), pqarrow.ArrowReadProperties{}, mem)
	if err != nil {
		t.Fatal(err)
	}
	defer table.Release()
	want := sensorRows("heron_x", logs)
	if int(table.NumRows()) != len(want) || table.NumCols() != 11 {
		t.Fatalf("%d rows of %d columns, want %d of 11", table.NumRows(), table.NumCols(), len(want))
	}
	for i := range int(table.NumCols()) {
		row, name := 0, table.Column(i).Name()
		for _, x := range table.Column(i).Data().Chunks() {
			for j := range x.Len() {
				if !sameSensorCell(x, j, want[row], name) {
					t.Fatalf("column %s, row %d: %s, want %+v", name, row, x.ValueStr(j), want[row])
				}
				row++
			}
		}
		if row != len(want) {
			t.Fatalf("column %s has %d rows, want %d", name, row, len(want))
		}
	}
}

func sensorText(r *sensorRow, column string) *string {
	switch column {
	case "card":
		return &r.Card
	case "mode":
		return &r.Mode
	case "protocol":
		return r.Protocol
	case "run_id":
		return &r.RunID
	case "frames_run_id":
		return r.Frames
	case "channel":
		return &r.Channel
	case "unit":
		return &r.Unit
	}
	return r.At
}

func sameSensorCell(x arrow.Array, i int, want sensorRow, column string) bool {
	switch x := x.(type) {
	case *array.String:
		v := sensorText(&want, column)
		return x.IsValid(i) == (v != nil) && (v == nil || x.Value(i) == *v)
	case *array.Int32:
		return column == "repeat" && x.Value(i) == want.Repeat
	case *array.Int64:
		return column == "time_ns" && x.Value(i) == want.TimeNS
	case *array.Float64:
		return column == "value" && x.Value(i) == want.Value
	}
	return false
}

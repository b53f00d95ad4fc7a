package archive

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"
	"github.com/xitongsys/parquet-go-source/writerfile"
	xparquet "github.com/xitongsys/parquet-go/parquet"
	"github.com/xitongsys/parquet-go/writer"
	"pgregory.net/rapid"
)

var nan = math.NaN()

func tableBytes[Row any](t rapid.TB, rows []Row) []byte {
	var out bytes.Buffer
	if err := writeTable(&out, rows); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// rowsOf draws rows of any of the row types, field by field.
func rowsOf[Row any](t *rapid.T) []Row {
	rows := make([]Row, rapid.IntRange(0, 40).Draw(t, "rows"))
	finite := rapid.OneOf(rapid.Float64Range(-math.MaxFloat64, math.MaxFloat64), rapid.SampledFrom([]float64{0, math.Copysign(0, -1), math.SmallestNonzeroFloat64}))
	text := rapid.OneOf(rapid.String(), rapid.StringN(0, 400, -1), rapid.SampledFrom([]string{"", "\x00", "a,b\n\"c\"", "µ", "\U0010ffff", strings.Repeat("x", 300)}))
	for i := range rows {
		row := reflect.ValueOf(&rows[i]).Elem()
		for j := range row.NumField() {
			f := row.Field(j)
			if f.Kind() == reflect.Map {
				f.Set(reflect.ValueOf(rapid.MapOf(rapid.SampledFrom(furtherNames()), finite).Draw(t, "further")))
				continue
			}
			if f.Kind() == reflect.Pointer {
				if rapid.Bool().Draw(t, "null") {
					continue
				}
				f.Set(reflect.New(f.Type().Elem()))
				f = f.Elem()
			}
			switch f.Kind() {
			case reflect.Float64:
				f.SetFloat(finite.Draw(t, "double"))
			case reflect.Int32:
				f.SetInt(int64(rapid.Int32().Draw(t, "int32")))
			case reflect.Int64:
				f.SetInt(rapid.Int64().Draw(t, "int64"))
			case reflect.Bool:
				f.SetBool(rapid.Bool().Draw(t, "bool"))
			default:
				f.SetString(text.Draw(t, "text"))
			}
		}
	}
	return rows
}

// What another library reads is what was written, and every footer says the null counts and ends that the rows have.
func TestTableRoundTrip(t *testing.T) {
	t.Run("runs", rapid.MakeCheck(roundTrip[RunRow]))
	t.Run("cells", rapid.MakeCheck(roundTrip[CellRow]))
	t.Run("comparisons", rapid.MakeCheck(roundTrip[ComparisonRow]))
	t.Run("readings", rapid.MakeCheck(roundTrip[ReadingRow]))
}

func roundTrip[Row any](t *rapid.T) {
	rows := rowsOf[Row](t)
	content := tableBytes(t, rows)
	got := readIndependently[Row](t, content)
	if diff := cmp.Diff(rows, got, cmpopts.EquateEmpty()); diff != "" {
		t.Fatalf("rows (- written, + read):\n%s", diff)
	}
	f := openIndependently(t, content)
	if len(rows) == 0 {
		if f.NumRows() != 0 || len(f.RowGroups()) != 0 {
			t.Fatalf("no rows: %d rows in %d groups", f.NumRows(), len(f.RowGroups()))
		}
		return
	}
	meta := f.Metadata()
	wide, err := widened(rows)
	if err != nil {
		t.Fatal(err)
	}
	if len(meta.RowGroups) != 1 || len(meta.ColumnOrders) != wide.Type().Elem().NumField() {
		t.Fatalf("%d row groups, %d column orders", len(meta.RowGroups), len(meta.ColumnOrders))
	}
	for i, c := range meta.RowGroups[0].Columns {
		checkFooter(t, c, wide, i)
	}
}

func openIndependently(t rapid.TB, content []byte) *parquet.File {
	f, err := parquet.OpenFile(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// checkFooter recomputes nulls and ends from the rows in its own way: by the library's values and comparison.
func checkFooter(t rapid.TB, c format.ColumnChunk, rows reflect.Value, field int) {
	name := strings.Join(c.MetaData.PathInSchema, ".")
	kind := parquet.Kind(c.MetaData.Type).String()
	typ := map[string]parquet.Type{"BOOLEAN": parquet.BooleanType, "INT32": parquet.Int32Type, "INT64": parquet.Int64Type, "DOUBLE": parquet.DoubleType, "BYTE_ARRAY": parquet.ByteArrayType}[kind]
	if typ == nil {
		t.Fatalf("%s is %s", name, kind)
	}
	var nulls int64
	var values []parquet.Value
	long := false
	for i := range rows.Len() {
		f := rows.Index(i).Field(field)
		if f.Kind() == reflect.Pointer {
			if f.IsNil() {
				nulls++
				continue
			}
			f = f.Elem()
		}
		values = append(values, parquet.ValueOf(f.Interface()))
	}
	s := c.MetaData.Statistics
	if s.NullCount != nulls || c.MetaData.NumValues != int64(rows.Len()) {
		t.Fatalf("%s: %d nulls of %d values, want %d of %d", name, s.NullCount, c.MetaData.NumValues, nulls, rows.Len())
	}
	if c.MetaData.Codec != format.Zstd || c.ColumnIndexOffset != 0 || c.OffsetIndexOffset != 0 || c.MetaData.DictionaryPageOffset != 0 {
		t.Fatalf("%s: codec %s, page index at %d and %d, dictionary at %d", name, c.MetaData.Codec, c.ColumnIndexOffset, c.OffsetIndexOffset, c.MetaData.DictionaryPageOffset)
	}
	if len(values) == 0 {
		if s.MinValue != nil || s.MaxValue != nil {
			t.Fatalf("%s has ends and no values", name)
		}
		return
	}
	least, most := values[0], values[0]
	for _, v := range values {
		if typ.Compare(v, least) < 0 {
			least = v
		}
		if typ.Compare(v, most) > 0 {
			most = v
		}
	}
	long = kind == "BYTE_ARRAY" && (len(least.ByteArray()) > longStat || len(most.ByteArray()) > longStat)
	if long {
		if s.MinValue != nil || s.MaxValue != nil {
			t.Fatalf("%s: long texts have ends", name)
		}
		return
	}
	p := parquet.Kind(c.MetaData.Type)
	if typ.Compare(p.Value(s.MinValue), least) != 0 || typ.Compare(p.Value(s.MaxValue), most) != 0 {
		t.Fatalf("%s: ends %x and %x, want %v and %v", name, s.MinValue, s.MaxValue, least, most)
	}
}

// The bytes do not vary: archives made twice are compared by hash.
func TestTableBytesAreStable(t *testing.T) {
	rows := make([]CellRow, 20000)
	for i := range rows {
		rows[i] = CellRow{Card: fmt.Sprintf("card_%d", i%7), Metric: "mean_fps", N: int32(i), Mean: ptr(float64(i) / 8)}
	}
	first := tableBytes(t, rows)
	for range 9 {
		if !bytes.Equal(first, tableBytes(t, rows)) {
			t.Fatal("the same rows gave other bytes")
		}
	}
	got, err := parquet.Read[CellRow](bytes.NewReader(first), int64(len(first)))
	if diff := cmp.Diff(rows, got); err != nil || diff != "" {
		t.Errorf("%v\n%s", err, diff)
	}
}

// What the table library leaves, and why its own ending is not used: a column that begins with a null loses that null from the
// count, and a reader that trusts the page index is told of pages without nulls or ends.
func TestFooterDefectAndMend(t *testing.T) {
	rows := []CellRow{{Card: "a"}, {Card: "b"}, {Card: "c", Mean: ptr(2.0)}, {Card: "d", Mean: ptr(1.0)}}
	mean := 11
	t.Run("library's own ending", func(t *testing.T) {
		columns, err := columnsOf(reflect.TypeFor[CellRow]())
		if err != nil {
			t.Fatal(err)
		}
		description, err := describe(columns)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		w, err := writer.NewParquetWriter(writerfile.NewWriterFile(&out), strings.ReplaceAll(description, "omitstats=true", "omitstats=false"), 1)
		if err != nil {
			t.Fatal(err)
		}
		w.CompressionType = xparquet.CompressionCodec_ZSTD
		for i := range rows {
			if err := w.Write(&rows[i]); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.WriteStop(); err != nil {
			t.Fatal(err)
		}
		f := openIndependently(t, out.Bytes())
		c := f.Metadata().RowGroups[0].Columns[mean]
		if c.MetaData.Statistics.NullCount == 2 {
			t.Error("the null count is right: the mend may go")
		}
		index, err := f.RowGroups()[0].ColumnChunks()[mean].ColumnIndex()
		if err != nil {
			t.Fatal(err)
		}
		if index.NullCount(0) == 2 {
			t.Error("the page index is right: it may be written")
		}
		if len(f.Metadata().ColumnOrders) != 0 {
			t.Error("there are column orders: the mend may go")
		}
	})
	t.Run("mended", func(t *testing.T) {
		f := openIndependently(t, tableBytes(t, rows))
		c := f.Metadata().RowGroups[0].Columns[mean]
		if s := c.MetaData.Statistics; s.NullCount != 2 || parquet.Double.Value(s.MinValue).Double() != 1 || parquet.Double.Value(s.MaxValue).Double() != 2 {
			t.Errorf("statistics %+v", s)
		}
		if _, err := f.RowGroups()[0].ColumnChunks()[mean].ColumnIndex(); err == nil {
			t.Error("there is a page index")
		}
		if len(f.Metadata().ColumnOrders) != len(f.Metadata().RowGroups[0].Columns) {
			t.Errorf("%d column orders", len(f.Metadata().ColumnOrders))
		}
	})
}

func TestTableRefuses(t *testing.T) {
	for _, tt := range []struct {
		name string
		rows []CellRow
		want string
	}{
		{"NaN", []CellRow{{}, {Mean: &nan}}, "column mean, row 1: NaN is not a finite number"},
		{"infinity", []CellRow{{SD: ptr(math.Inf(-1))}}, "column sd, row 0: -Inf is not a finite number"},
		{"text that is not UTF-8", []CellRow{{Card: "\xff"}}, `column card, row 0: "\xff" is not UTF-8`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := writeTable(&bytes.Buffer{}, tt.rows)
			if err == nil || err.Error() != tt.want {
				t.Errorf("error %v, want %s", err, tt.want)
			}
		})
	}
}

// A disk that is full anywhere is an error, never a shorter table.
func TestTableWriteFails(t *testing.T) {
	rows := sampleTables().Comparisons
	whole := len(tableBytes(t, rows))
	for limit := 0; limit < whole; limit += 11 {
		if err := writeTable(&shortDisk{left: limit}, rows); err == nil {
			t.Fatalf("no error with room for %d of %d bytes", limit, whole)
		}
	}
	if err := writeTable(&shortDisk{left: whole}, rows); err != nil {
		t.Error(err)
	}
}

type shortDisk struct{ left int }

func (d *shortDisk) Write(p []byte) (int, error) {
	n := min(len(p), d.left)
	d.left -= n
	if n < len(p) {
		return n, errFault
	}
	return n, nil
}

// The columns are those of the archive's description, in its order. Behind those of runs are what came later, and the figures that did, as the
// registry has them; the first of them is there to stay like any other.
func TestColumns(t *testing.T) {
	further := strings.Join(furtherNames(), " ")
	if !slices.Contains(furtherNames(), "over_display_share") {
		t.Errorf("over_display_share is not among %s", further)
	}
	for _, tt := range []struct {
		row      any
		want     string
		required string
	}{
		{RunRow{}, `run_id card mode game variant resolution width height repeat launch session source_path source_sha256 source_bytes started_at rig driver
			firmware sample build preset api scene drive warmup_s length_s measured_at outcome status void_reason frames_edition ambient_c start_temp_c
			mean_power_w frames frames_cut bad_lines duration_s mean_fps frame_ms_mean frame_ms_sd frame_ms_p50 frame_ms_p95 frame_ms_p99 frame_ms_p999
			frame_ms_max low1_quantile_fps low1_tail_mean_fps low1_time_share_fps low01_quantile_fps low01_tail_mean_fps low01_time_share_fps rmssd_ms lag1
			over_60hz_share over_120hz_share hitch_frames hitch_events hitch_time_share drift_pct disturbed_from_s disturbed_to_s flags
			power_measured_at sensed_from_ns sensed_to_ns ` + further,
			"run_id card mode game variant resolution repeat source_path source_sha256 source_bytes status"},
		{CellRow{}, `card mode game variant resolution metric unit scale n launches sessions mean sd ci_low ci_high own_ci_low own_ci_high df method
			spread_pct state flags`, "card mode game variant resolution metric unit scale n launches sessions state"},
		{ComparisonRow{}, `game variant resolution metric unit card mode base_card base_mode n base_n difference ratio percent ci_low ci_high own_ci_low
			own_ci_high df p session_spread session_source verdict firm repeats_needed flags looks`,
			"game variant resolution metric unit card mode base_card base_mode n base_n"},
		{ReadingRow{}, `card mode protocol sensor figure value unit uncertainty expanded coverage_factor df ambient_c flags
			repeat n probe_group measured_at fan_pct text base_card base_mode p verdict source note why ci_low ci_high price
			price_currency price_kind price_tax price_place price_on resolution games left_out sensed_from_ns sensed_to_ns`, "card figure unit"},
	} {
		columns, err := columnsOf(tableType(reflect.TypeOf(tt.row)))
		if err != nil {
			t.Fatal(err)
		}
		var got, required []string
		for _, c := range columns {
			got = append(got, c.name)
			if !c.optional {
				required = append(required, c.name)
			}
		}
		if diff := cmp.Diff(strings.Fields(tt.want), got); diff != "" {
			t.Errorf("%T columns:\n%s", tt.row, diff)
		}
		if diff := cmp.Diff(strings.Fields(tt.required), required); diff != "" {
			t.Errorf("%T REQUIRED columns:\n%s", tt.row, diff)
		}
	}
}

func TestSetFigure(t *testing.T) {
	for _, tt := range []struct {
		column string
		value  float64
		want   bool
	}{
		{"mean_fps", 99.5, true}, {"over_display_share", 0.25, true}, {"over_display_share", nan, false}, {"low01_time_share_fps", 0, true}, {"hitch_frames", 23, true}, {"hitch_frames", 1.5, false}, {"hitch_frames", 1 << 40, false},
		{"mean_fps", nan, false}, {"mean_fps", math.Inf(1), false}, {"card", 1, false}, {"started_at", 1, false}, {"repeat", 1, false}, {"unknown", 1, false},
	} {
		var row RunRow
		if got := SetFigure(&row, tt.column, tt.value); got != tt.want {
			t.Errorf("%s to %v: %v, want %v", tt.column, tt.value, got, tt.want)
		}
		if changed := !reflect.DeepEqual(row, RunRow{}); changed != tt.want {
			t.Errorf("%s to %v: the row has changed: %v", tt.column, tt.value, changed)
		}
		if got, ok := Figure(&row, tt.column); ok != tt.want || ok && got != tt.value {
			t.Errorf("%s is %v, there %v; want %v, %v", tt.column, got, ok, tt.value, tt.want)
		}
	}
}

func BenchmarkTable(b *testing.B) {
	rows := make([]RunRow, 400)
	for i := range rows {
		rows[i] = sampleRuns()[0]
		rows[i].RunID, rows[i].MeanFPS = fmt.Sprintf("%016x", i), ptr(float64(i)/7)
	}
	b.ReportAllocs()
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := writeTable(&out, rows); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(out.Len())/float64(len(rows)), "B/row")
}

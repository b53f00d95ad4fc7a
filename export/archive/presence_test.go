package archive

import (
	"bytes"
	"context"
	"encoding/binary"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
	"github.com/parquet-go/parquet-go/encoding/rle"
	"pgregory.net/rapid"
)

// validity draws rows and which of them have a value: all, none, and much between.
func validity(t *rapid.T, n int) []bool {
	share := rapid.SampledFrom([]float64{0, 0.01, 0.5, 0.99, 1}).Draw(t, "share")
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed of nulls"), 2))
	valid := make([]bool, n)
	for i := range valid {
		valid[i] = r.Float64() < share
	}
	return valid
}

func TestLevelsDecode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		valid := validity(t, rapid.IntRange(1, 700).Draw(t, "n"))
		whole := wholeArray(make([]int64, len(valid)), valid)
		defer whole.Release()
		// A part of a part: Arrow keeps the bitmap and counts from an offset.
		offset := rapid.IntRange(0, len(valid)-1).Draw(t, "offset")
		x := array.NewSlice(whole, int64(offset), int64(len(valid)))
		defer x.Release()
		from := rapid.IntRange(0, x.Len()-1).Draw(t, "from")
		to := rapid.IntRange(from+1, x.Len()).Draw(t, "to")
		p := presenceOf(x)
		for i := range x.Len() {
			if p.has(i) != valid[offset+i] {
				t.Fatalf("row %d: %t", i, p.has(i))
			}
		}
		page := p.appendLevels([]byte("before"), from, to)[len("before"):]
		if n := binary.LittleEndian.Uint32(page); int(n) != len(page)-4 {
			t.Fatalf("length %d of %d", n, len(page)-4)
		}
		e := rle.Encoding{BitWidth: 1}
		got, err := e.DecodeLevels(nil, page[4:])
		if err != nil {
			t.Fatal(err)
		}
		if len(got) < to-from || len(got) >= to-from+8 { // a bit-packed run is filled up to whole bytes
			t.Fatalf("%d levels for %d rows", len(got), to-from)
		}
		for i, level := range got[:to-from] {
			if (level == 1) != valid[offset+from+i] || level > 1 {
				t.Fatalf("row %d has level %d", i, level)
			}
		}
	})
}

func wholeArray(values []int64, valid []bool) *array.Int64 {
	b := array.NewInt64Builder(memory.NewGoAllocator())
	defer b.Release()
	b.AppendValues(values, valid)
	return b.NewInt64Array()
}

// Arrow's own reader, too, finds every number and every null, whatever the numbers are.
func TestFramesReadByArrow(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		passes := make([]passData, rapid.IntRange(1, 3).Draw(t, "passes"))
		for i := range passes {
			passes[i] = drawPass(t)
		}
		checkByArrow(t, writeFrames(t, dir, passes), passes)
	})
}

func drawPass(t *rapid.T) passData {
	p := passData{id: "aa", ns: drawWhole(t)}
	n := len(p.ns)
	p.lo = rapid.IntRange(0, n).Draw(t, "lo")
	p.hi = rapid.IntRange(p.lo, n).Draw(t, "hi")
	p.submit, p.load = make([]*int64, n), make([]*float64, n)
	for j, ok := range validity(t, n) {
		if ok {
			p.submit[j], p.load[n-1-j] = &p.ns[j], ptr(float64(p.ns[j])/3)
		}
	}
	return p
}

// Nulls here and there, in pages that end within a byte of levels, and in more pages than one.
func TestFramesMixedNulls(t *testing.T) {
	for _, n := range []int{1, 7, 8, 9, 1000, pageRows, pageRows + 1, 2*pageRows + 77} {
		p := passData{id: "aa", ns: make([]int64, n), lo: n / 3, hi: n - n/4, submit: make([]*int64, n), load: make([]*float64, n)}
		for i := range p.ns {
			p.ns[i] = int64(i * 7919 % 10007)
			if i*i%7 < 3 {
				p.submit[i] = ptr(int64(i))
			}
			if i/pageRows != 1 && i%5 != 0 { // the second page has none
				p.load[i] = ptr(float64(i) / 7)
			}
		}
		content := writeFrames(t, t.TempDir(), []passData{p})
		want, got := p.rows("heron_x"), readFrames(t, content)
		if len(got) != len(want) {
			t.Fatalf("%d rows, want %d", len(got), len(want))
		}
		if i := firstDifference(want, got); i >= 0 {
			t.Fatalf("%d rows, row %d: %+v, want %+v", n, i, got[i], want[i])
		}
		checkByArrow(t, content, []passData{p})
		checkFramesFooter(t, openIndependently(t, content).Metadata(), []passData{p})
	}
}

func checkByArrow(t rapid.TB, content []byte, passes []passData) {
	mem := memory.NewGoAllocator()
	table, err := pqarrow.ReadTable(context.Background(), bytes.NewReader(content), parquet.NewReaderProperties(mem), pqarrow.ArrowReadProperties{}, mem)
	if err != nil {
		t.Fatal(err)
	}
	defer table.Release()
	var want []frameRow
	for _, p := range passes {
		want = append(want, p.rows("heron_x")...)
	}
	if int(table.NumRows()) != len(want) {
		t.Fatalf("%d rows, want %d", table.NumRows(), len(want))
	}
	for i := range int(table.NumCols()) {
		row := 0
		name := table.Column(i).Name()
		for _, x := range table.Column(i).Data().Chunks() {
			for j := range x.Len() {
				if !sameCell(x, j, want[row], name) {
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

func sameCell(x arrow.Array, i int, want frameRow, column string) bool {
	switch x := x.(type) {
	case *array.String:
		return x.Value(i) == map[string]string{"card": want.Card, "run_id": want.RunID}[column]
	case *array.Int32:
		return column == "frame" && x.Value(i) == want.Frame
	case *array.Boolean:
		return column == "kept" && x.Value(i) == want.Kept
	case *array.Int64:
		v := &want.FrameNS
		if column == "submit_ns" {
			v = want.Submit
		}
		return slices.Contains([]string{"frame_ns", "submit_ns"}, column) && x.IsValid(i) == (v != nil) && (v == nil || x.Value(i) == *v)
	case *array.Float64:
		return column == "load_pct" && x.IsValid(i) == (want.Load != nil) && (want.Load == nil || x.Value(i) == *want.Load)
	}
	return false
}

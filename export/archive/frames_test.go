package archive

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/google/go-cmp/cmp"
	"github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"
)

// frameRow is a frames file as another library reads it.
type frameRow struct {
	Card    string   `parquet:"card"`
	RunID   string   `parquet:"run_id"`
	Frame   int32    `parquet:"frame"`
	Kept    bool     `parquet:"kept"`
	FrameNS int64    `parquet:"frame_ns"`
	Submit  *int64   `parquet:"submit_ns"`
	Load    *float64 `parquet:"load_pct"`
}

// passData is one run before it becomes arrays.
type passData struct {
	id     string
	ns     []int64
	lo, hi int
	submit []*int64 // nil: the capture has no such column
	load   []*float64
}

func (p passData) run(mem memory.Allocator) (Run, func()) {
	fb := array.NewInt64Builder(mem)
	defer fb.Release()
	fb.AppendValues(p.ns, nil)
	r := Run{ID: p.id, FrameNS: fb.NewInt64Array(), KeptLo: p.lo, KeptHi: p.hi, Extras: []arrow.Array{nil, nil}}
	if p.submit != nil {
		b := array.NewInt64Builder(mem)
		defer b.Release()
		for _, v := range p.submit {
			if v == nil {
				b.AppendNull()
			} else {
				b.Append(*v)
			}
		}
		r.Extras[0] = b.NewArray()
	}
	if p.load != nil {
		b := array.NewFloat64Builder(mem)
		defer b.Release()
		for _, v := range p.load {
			if v == nil {
				b.AppendNull()
			} else {
				b.Append(*v)
			}
		}
		r.Extras[1] = b.NewArray()
	}
	return r, func() {
		r.FrameNS.Release()
		for _, x := range r.Extras {
			if x != nil {
				x.Release()
			}
		}
	}
}

func (p passData) rows(card string) []frameRow {
	rows := make([]frameRow, len(p.ns))
	for i := range rows {
		rows[i] = frameRow{Card: card, RunID: p.id, Frame: int32(i), Kept: p.lo <= i && i < p.hi, FrameNS: p.ns[i]}
		if p.submit != nil {
			rows[i].Submit = p.submit[i]
		}
		if p.load != nil {
			rows[i].Load = p.load[i]
		}
	}
	return rows
}

// writeFrames writes a frames file and returns its content.
func writeFrames(t rapid.TB, dir string, passes []passData) []byte {
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	a, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := a.Begin("spring")
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Abandon(); err != nil {
			t.Error(err)
		}
	}()
	w, err := s.Frames("heron_x", []string{"submit_ns", "load_pct"})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range passes {
		r, release := p.run(mem)
		err := w.Write(r)
		release()
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if n := mem.CurrentAlloc(); n != 0 {
		t.Fatalf("%d bytes of Arrow memory were not released", n)
	}
	content, err := os.ReadFile(filepath.Join(s.edition(), "frames-heron_x.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func readFrames(t rapid.TB, content []byte) []frameRow {
	rows, err := parquet.Read[frameRow](bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func drawPasses(t *rapid.T) []passData {
	passes := make([]passData, rapid.IntRange(0, 4).Draw(t, "passes"))
	for i := range passes {
		n := rapid.OneOf(rapid.IntRange(1, 5), rapid.IntRange(1, 3000), rapid.SampledFrom([]int{128, 129, 16384, 16385, 33000})).Draw(t, "frames")
		p := passData{id: fmt.Sprintf("%016x", rapid.Uint64().Draw(t, "id")), ns: make([]int64, n)}
		p.lo = rapid.IntRange(0, n).Draw(t, "lo")
		p.hi = rapid.IntRange(p.lo, n).Draw(t, "hi")
		// Few draws for many frames: a linear sequence with a wild value or two.
		step, at := rapid.Int64().Draw(t, "step"), rapid.IntRange(0, n-1).Draw(t, "at")
		for j := range p.ns {
			p.ns[j] = step * int64(j)
		}
		p.ns[at] = rapid.SampledFrom([]int64{math.MinInt64, math.MaxInt64, 0, -1}).Draw(t, "wild")
		switch nulls := rapid.IntRange(0, n+1).Draw(t, "nulls"); { // the first so many are null
		case nulls <= n:
			p.submit, p.load = make([]*int64, n), make([]*float64, n)
			for j := nulls; j < n; j++ {
				p.submit[j], p.load[j] = ptr(p.ns[j]), ptr(float64(j)/3)
			}
		}
		passes[i] = p
	}
	return passes
}

func TestFramesRoundTrip(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		passes := drawPasses(t)
		content := writeFrames(t, dir, passes)
		want := []frameRow{}
		for _, p := range passes {
			want = append(want, p.rows("heron_x")...)
		}
		got := readFrames(t, content)
		if len(got) != len(want) {
			t.Fatalf("%d rows, want %d", len(got), len(want))
		}
		if i := firstDifference(want, got); i >= 0 {
			t.Fatalf("row %d:\n%s", i, cmp.Diff(want[i], got[i]))
		}
		checkFramesFooter(t, openIndependently(t, content).Metadata(), passes)
	})
}

// firstDifference is -1 for equal rows. Reflection over every row would take longer than all the rest.
func firstDifference(want, got []frameRow) int {
	for i, w := range want {
		g := got[i]
		same := w.Card == g.Card && w.RunID == g.RunID && w.Frame == g.Frame && w.Kept == g.Kept && w.FrameNS == g.FrameNS
		if !same || !equalPointers(w.Submit, g.Submit) || !equalPointers(w.Load, g.Load) {
			return i
		}
	}
	return -1
}

func equalPointers[T comparable](a, b *T) bool {
	return a == b || (a != nil && b != nil && *a == *b)
}

// Extras may be absent at the beginning of a capture, or altogether; an encoder that begins with 1024 nulls once panicked.
func TestFramesBeginWithNulls(t *testing.T) {
	for _, n := range []int{1, 1023, 1024, 1025, 16384, 20000, 300000} {
		p := passData{id: "aa", ns: make([]int64, n+1), hi: n, submit: make([]*int64, n+1), load: make([]*float64, n+1)}
		p.submit[n], p.load[n] = ptr(int64(7)), ptr(0.5)
		got := readFrames(t, writeFrames(t, t.TempDir(), []passData{p}))
		want := p.rows("heron_x")
		if len(got) != len(want) {
			t.Fatalf("%d rows, want %d", len(got), len(want))
		}
		if i := firstDifference(want, got); i >= 0 {
			t.Errorf("%d nulls first, row %d:\n%s", n, i, cmp.Diff(want[i], got[i]))
		}
	}
}

func TestFramesMillion(t *testing.T) {
	const n = 1_000_000
	p := passData{id: "aa", ns: make([]int64, n), lo: 1, hi: n - 1, submit: make([]*int64, n), load: make([]*float64, n)}
	var sum int64
	for i := range p.ns {
		p.ns[i] = 1e6 + int64(i*7919%1000)*100
		p.submit[i], p.load[i] = &p.ns[i], ptr(float64(i%100))
		sum += p.ns[i]
	}
	rows := readFrames(t, writeFrames(t, t.TempDir(), []passData{p}))
	var got, submitted int64
	kept := 0
	for i, r := range rows {
		got, submitted = got+r.FrameNS, submitted+*r.Submit
		if r.Kept {
			kept++
		}
		if r.Frame != int32(i) || *r.Load != float64(i%100) {
			t.Fatalf("row %d is %+v", i, r)
		}
	}
	if len(rows) != n || got != sum || submitted != sum || kept != n-2 {
		t.Errorf("%d rows, sums %d and %d, %d kept; want %d, %d, %d, %d", len(rows), got, submitted, kept, n, sum, sum, n-2)
	}
}

func TestFramesBytesAreStable(t *testing.T) {
	passes := make([]passData, 3)
	for i := range passes {
		passes[i] = passData{id: fmt.Sprintf("%016x", i), ns: make([]int64, 5000), hi: 5000, load: make([]*float64, 5000)}
		for j := range passes[i].ns {
			passes[i].ns[j] = int64(i*j) % 977
		}
	}
	first := writeFrames(t, t.TempDir(), passes)
	for range 9 {
		if !bytes.Equal(first, writeFrames(t, t.TempDir(), passes)) {
			t.Fatal("the same frames gave other bytes")
		}
	}
}

func TestFramesRefuse(t *testing.T) {
	good := func() Run {
		return Run{ID: "aa", FrameNS: int64s(t, []int64{1, 2}, nil), KeptHi: 2, Extras: []arrow.Array{nil, nil}}
	}
	for _, tt := range []struct {
		name   string
		change func(*Run)
		want   string
	}{
		{"no frames", func(r *Run) { r.FrameNS = int64s(t, nil, nil) }, "no frames"},
		{"null frame", func(r *Run) { r.FrameNS = int64s(t, []int64{1, 2}, []bool{true, false}) }, "column frame_ns has nulls"},
		{"kept beyond the end", func(r *Run) { r.KeptHi = 3 }, "frames 0 to 3 are kept, of 2"},
		{"kept backwards", func(r *Run) { r.KeptLo, r.KeptHi = 2, 1 }, "frames 2 to 1 are kept, of 2"},
		{"no id", func(r *Run) { r.ID = "" }, "run_id is empty"},
		{"too few extras", func(r *Run) { r.Extras = nil }, "0 extra arrays for 2 columns"},
		{"type", func(r *Run) { r.Extras[0] = float64s(t, []float64{1, 2}, nil) }, "column submit_ns: an array of 2 FLOAT64, not of 2 INT64"},
		{"length", func(r *Run) { r.Extras[1] = float64s(t, []float64{1}, nil) }, "column load_pct: an array of 1 FLOAT64, not of 2 FLOAT64"},
		{"NaN", func(r *Run) { r.Extras[1] = float64s(t, []float64{1, nan}, nil) }, "column load_pct: row 1 is NaN"},
		{"infinity after a null", func(r *Run) {
			r.Extras[1] = float64s(t, []float64{0, math.Inf(1)}, []bool{false, true})
		}, "column load_pct: row 1 is +Inf"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := opened(t, t.TempDir())
			s := begin(t, a)
			w, err := s.Frames("heron_x", []string{"submit_ns", "load_pct"})
			if err != nil {
				t.Fatal(err)
			}
			if err := w.Write(good()); err != nil {
				t.Fatal(err)
			}
			r := good()
			tt.change(&r)
			first := w.Write(r)
			if first == nil || !strings.Contains(first.Error(), tt.want) || !strings.Contains(first.Error(), "frames-heron_x.parquet") {
				t.Errorf("error %v, want %s", first, tt.want)
			}
			// The error stays: the file is not completed, and nothing is published without it.
			if err := w.Write(good()); err != first {
				t.Errorf("then %v", err)
			}
			if err := w.Close(); err != first {
				t.Errorf("on closing %v", err)
			}
			if left := list(t, s.edition()); len(left) != 0 {
				t.Errorf("left %q", left)
			}
			if _, err := s.Publish(t.Context(), editionOne, origin); err == nil {
				t.Error("published")
			}
		})
	}
}

func TestFramesRefuseNames(t *testing.T) {
	a := opened(t, t.TempDir())
	s := begin(t, a)
	for _, extras := range [][]string{{"frame_ns"}, {"card"}, {"a_ns", "a_ns"}, {"A_ns"}, {"1"}, {""}, {"a-b"}, {"a\x00"}} {
		if w, err := s.Frames("heron_x", extras); err == nil {
			t.Errorf("extras %q are taken", extras)
			_ = w.Close()
		}
	}
	for _, card := range []string{"", "..", "a/b", "A", "nul", "a b", strings.Repeat("x", 41)} {
		if w, err := s.Frames(card, nil); err == nil {
			t.Errorf("card %q is taken", card)
			_ = w.Close()
		}
	}
}

// A disk that fills up anywhere in the file is an error of Write or Close.
func TestFramesWriteFails(t *testing.T) {
	p := passData{id: "aa", ns: make([]int64, 3000), hi: 3000}
	for i := range p.ns {
		p.ns[i] = int64(i * i % 9973)
	}
	whole := len(writeFrames(t, t.TempDir(), []passData{p, p}))
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	defer mem.AssertSize(t, 0)
	for limit := 0; limit < whole; limit += 97 {
		a := opened(t, t.TempDir())
		s := begin(t, a)
		w, err := s.Frames("heron_x", []string{"submit_ns", "load_pct"})
		if err != nil {
			t.Fatal(err)
		}
		w.out.buf.Reset(&shortDisk{left: limit})
		if err := w.out.buf.Flush(); err != nil {
			t.Fatal(err)
		}
		for range 2 {
			r, release := p.run(mem)
			_ = w.Write(r) // Close returns it
			release()
		}
		if err := w.Close(); err == nil {
			t.Fatalf("no error with room for %d of %d bytes", limit, whole)
		}
	}
}

package text

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rigslate/rigslate/plan/finding"
)

// layouts are what the fuzzer reads every input as.
var layouts = []Layout{
	threeTimes,
	{Delimiter: ";", Decimal: ',', Comment: "#", FrameTime: &Column{Name: "t", Unit: Milliseconds}, Timestamp: &Column{Index: 1, Unit: Seconds}},
	{Delimiter: " ", NoHeader: true, Timestamp: &Column{Index: 1, Unit: Seconds}, Extra: []Extra{{Key: "w", Column: Column{Index: 2}}}},
	{Delimiter: "\t", SkipLines: 1, FrameTime: &Column{Index: 2, Unit: Microseconds}, KeepRows: &Filter{Column{Index: 1}, "a"}},
	{NoHeader: true, Comment: "//", FrameTime: &Column{Index: 1, Unit: Seconds}, Extra: []Extra{{Key: "same", Column: Column{Index: 1, Unit: Seconds}, Time: true}}},
	{Encoding: "utf-16be", NoHeader: true, FrameTime: &Column{Index: 1, Unit: Nanoseconds}},
}

// outcome is everything a reader makes of a file.
type outcome struct {
	FrameNS  []int64
	Extra    []Values
	Stats    Stats
	Findings finding.List
	Err      error
}

// all reads a whole file. With patient, no line goes the quick way.
func all(t testing.TB, data []byte, l Layout, patient bool) outcome {
	t.Helper()
	r := NewReader()
	if err := r.Reset(bytes.NewReader(data), "file", l); err != nil {
		t.Fatal(err)
	}
	o := outcome{Extra: make([]Values, len(l.Extra))}
	if patient {
		r.begun = true
		if o.Err = r.begin(); o.Err != nil {
			o.Err = r.ended(o.Err)
		}
		r.quick = false
	}
	for o.Err == nil {
		var b *Block
		if b, o.Err = r.Next(); o.Err != nil {
			break
		}
		if b.Rows == 0 || b.Rows > blockRows || len(b.FrameNS) != b.Rows {
			t.Fatalf("block of %d rows, %d values", b.Rows, len(b.FrameNS))
		}
		o.FrameNS = append(o.FrameNS, b.FrameNS...)
		for i, v := range b.Extra {
			x := &o.Extra[i]
			x.NS, x.F, x.Valid, x.Nulls = append(x.NS, v.NS...), append(x.F, v.F...), append(x.Valid, v.Valid...), x.Nulls+v.Nulls
		}
	}
	o.Stats, o.Findings = r.Stats(), r.Findings()
	for i := range o.Extra { // what stands in a null cell does not matter
		x := &o.Extra[i]
		for j, ok := range x.Valid {
			if !ok && x.NS != nil {
				x.NS[j] = 0
			} else if !ok {
				x.F[j] = 0
			}
		}
	}
	return o
}

func FuzzReader(f *testing.F) {
	for i := range layouts {
		for _, s := range []string{
			"", "\n", "t\n1\n", "frame,time_ms,gpu_ms,cpu_ms\n0,1.5,1,.5\n1,1e1,,x\n\"2\",3,4,5\n",
			"time;t\n0,5;16,6\n# c\n0,6;100\n0,4;100\n", "1.5 2\n2.5  x\n\n2.25\n3 1\n", "skipped\nk\tv\na\t1\nb\t2\na\t0\n\"a\"\t3", "1\r2\r3\r", "\xff\xfe1\x00\n\x00", "1\x002\n",
		} {
			f.Add([]byte(s), byte(i))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, which byte) {
		l := layouts[int(which)%len(layouts)]
		o := all(t, data, l, false)
		s := o.Stats
		if o.Err != io.EOF && !errors.Is(o.Err, ErrNoFrames) && !errors.Is(o.Err, ErrHeader) && !errors.Is(o.Err, ErrTooLarge) {
			t.Fatal(o.Err)
		}
		header := 0
		if len(s.Header) > 0 {
			header = 1
		}
		if sum := s.SkippedLines + s.CommentLines + s.BlankLines + header + s.Rows + s.BadLines + s.FilteredRows; s.Lines != sum &&
			(o.Err == io.EOF || errors.Is(o.Err, ErrNoFrames)) {
			t.Errorf("%d lines, accounted for %d: %+v", s.Lines, sum, s)
		}
		if (o.Err == io.EOF) != (s.Frames > 0 && o.Err != ErrTooLarge) && o.Err != ErrTooLarge || len(o.FrameNS) > s.Frames || s.Frames > s.Rows {
			t.Errorf("%v: %d frames, %d counted, %d rows", o.Err, len(o.FrameNS), s.Frames, s.Rows)
		}
		for _, x := range o.FrameNS {
			if x <= 0 || x > maxFrameNS {
				t.Errorf("frame of %d ns", x)
			}
		}
		for _, x := range o.Extra {
			if n := len(x.Valid); n != len(o.FrameNS) || x.Nulls != count(x.Valid, false) {
				t.Errorf("extra of %d cells, %d nulls", n, x.Nulls)
			}
		}
		for _, fd := range o.Findings {
			if p := fd.Place; p.File != "file" || p.Line < 0 || p.Line > s.Lines+1 || p.Column < 0 || p.Column > 0 && p.EndColumn <= p.Column {
				t.Errorf("finding at %+v of %d lines", p, s.Lines)
			}
		}
		if s.BadLines > 0 && len(o.Findings) == 0 {
			t.Error("a bad line that nothing is said of")
		}
		if diff := cmp.Diff(all(t, data, l, true), o, cmp.Comparer(func(a, b error) bool { return a == b })); diff != "" {
			t.Errorf("the patient way and the quick one differ (-patient +quick):\n%s", diff)
		}
	})
}

func count(v []bool, want bool) (n int) {
	for _, b := range v {
		if b == want {
			n++
		}
	}
	return n
}

// Blocks, chunks and lines that straddle them must not show: a file is the same read by any piece size.
func TestPiecesDoNotShow(t *testing.T) {
	data := capture(3*blockRows + 17)
	want := all(t, data, threeTimes, false)
	if len(want.FrameNS) != 3*blockRows+17 || want.Stats.BadLines != 0 {
		t.Fatalf("%d frames, %+v", len(want.FrameNS), want.Stats)
	}
	for _, piece := range []int{1, 7, 4096, 100_000} {
		r := NewReader()
		if err := r.Reset(&pieces{data, piece}, "file", threeTimes); err != nil {
			t.Fatal(err)
		}
		var got []int64
		b, err := r.Next()
		for ; err == nil; b, err = r.Next() {
			got = append(got, b.FrameNS...)
		}
		if err != io.EOF || !slices.Equal(got, want.FrameNS) {
			t.Errorf("in pieces of %d: %v, %d frames", piece, err, len(got))
		}
	}
}

// pieces gives at most n bytes a Read.
type pieces struct {
	data []byte
	n    int
}

func (p *pieces) Read(b []byte) (int, error) {
	if len(p.data) == 0 {
		return 0, io.EOF
	}
	n := copy(b[:min(len(b), p.n)], p.data)
	p.data = p.data[n:]
	return n, nil
}

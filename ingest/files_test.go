package ingest

import (
	"context"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/google/go-cmp/cmp"
	"github.com/rigslate/rigslate/ingest/text"
)

// frame asks for one column of frame times; stamp for one of timestamps.
func frame(c text.Column) text.Layout { return text.Layout{FrameTime: &c} }
func stamp(c text.Column) text.Layout { return text.Layout{Timestamp: &c} }
func seconds(name string) text.Column { return text.Column{Name: name, Unit: text.Seconds} }

// with changes a layout.
func with(l text.Layout, change func(*text.Layout)) text.Layout {
	change(&l)
	return l
}

// read reads a file on a checked allocator that must be empty again at the end of the test.
func read(t *testing.T, path string, l text.Layout) (*Capture, error) {
	t.Helper()
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	t.Cleanup(func() { mem.AssertSize(t, 0) })
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := NewReader(mem).Read(context.Background(), f, filepath.Base(path), l, io.Discard)
	t.Cleanup(c.Release)
	return c, err
}

// same is what every valid file holds unless its row says otherwise: 16.667, 16.6665 and 33.3 ms.
var same = []int64{16_667_000, 16_666_500, 33_300_000}

func valid() map[string]struct {
	layout text.Layout
	want   []int64
} {
	byName := frame(ms("time_ms"))
	both := with(byName, func(l *text.Layout) { c := seconds("elapsed_s"); l.Timestamp = &c })
	extras := with(byName, func(l *text.Layout) {
		l.Extra = []text.Extra{{Key: "submit", Column: ms("submit_ms"), Time: true}, {Key: "power_w", Column: text.Column{Name: "power_w"}}}
	})
	delim := func(d string) text.Layout { return with(byName, func(l *text.Layout) { l.Delimiter = d }) }
	type row = struct {
		layout text.Layout
		want   []int64
	}
	return map[string]row{
		"comma.csv":                   {byName, same},
		"semicolon-decimal-comma.csv": {with(delim(";"), func(l *text.Layout) { l.Decimal = ',' }), same},
		"tab.tsv":                     {delim("\t"), same},
		"blanks.txt":                  {delim(" "), same},
		"blanks-around-fields.csv":    {byName, same},

		"quoted-delimiter-inside.csv": {byName, same},
		"quoted-doubled-quotes.csv":   {frame(ms(`time "ms"`)), same},
		"line-ends-crlf.csv":          {byName, same},
		"line-ends-cr.csv":            {byName, same},
		"last-line-without-end.csv":   {byName, same},
		"blank-lines.csv":             {byName, same},

		"utf8-bom.csv":            {byName, same},
		"utf16le-bom.csv":         {byName, same},
		"utf16be-bom.csv":         {with(byName, func(l *text.Layout) { l.Encoding = "UTF-16" }), same},
		"utf16le-without-bom.csv": {byName, same},
		"utf16be-without-bom.csv": {byName, same},
		"windows-1252.csv":        {with(frame(ms("délai_ms")), func(l *text.Layout) { l.Encoding = "windows-1252" }), same},

		"comments.csv":              {with(byName, func(l *text.Layout) { l.Comment = "#" }), same},
		"preamble.csv":              {with(byName, func(l *text.Layout) { l.SkipLines = 3 }), same},
		"unit-seconds.csv":          {frame(seconds("t_s")), same},
		"unit-microseconds.csv":     {frame(text.Column{Name: "t_us", Unit: text.Microseconds}), same},
		"unit-nanoseconds.csv":      {frame(text.Column{Name: "t_ns", Unit: text.Nanoseconds}), same},
		"exponents.csv":             {byName, same},
		"no-header.csv":             {with(frame(text.Column{Index: 2, Unit: text.Milliseconds}), func(l *text.Layout) { l.NoHeader = true }), same},
		"doubled-name-by-index.csv": {frame(text.Column{Index: 2, Unit: text.Milliseconds}), same},

		"timestamps.csv":                    {stamp(seconds("elapsed_s")), same},
		"timestamps-of-day-zero.csv":        {stamp(text.Column{Name: "clock_ns", Unit: text.Nanoseconds}), same},
		"timestamps-below-zero.csv":         {stamp(seconds("elapsed_s")), same},
		"timestamps-beside-frame-times.csv": {both, same},

		"keep-rows.csv": {with(byName, func(l *text.Layout) {
			l.KeepRows = &text.Filter{Column: text.Column{Name: "process"}, Equals: "fjord"}
		}), same},
		"extras.csv": {extras, same},
		// ties go to the even nanosecond: …500.5 down, …501.5 up; the other two are no ties
		"half-even.csv": {byName, []int64{16_666_500, 16_666_502, 16_666_501, 16_666_501}},

		"gzip.csv.gz":                        {byName, same},
		"gzip-two-members.csv.gz":            {byName, same},
		"zstd.csv.zst":                       {byName, same},
		"zstd-two-frames.csv.zst":            {byName, same},
		"zstd-skippable-frame-first.csv.zst": {byName, same},
	}
}

func TestValid(t *testing.T) {
	cases := valid()
	everyFile(t, "../testdata/capture/valid", func(name string) bool { _, ok := cases[name]; return ok })
	for name, tc := range cases {
		t.Run(name, func(t *testing.T) {
			c, err := read(t, filepath.Join("../testdata/capture/valid", name), tc.layout)
			if err != nil {
				t.Fatalf("%v\n%+v", err, c.Findings)
			}
			if diff := cmp.Diff(tc.want, c.FrameNS()); diff != "" {
				t.Errorf("frames (-want +got):\n%s", diff)
			}
			if c.Frames != len(tc.want) || c.BadLines != 0 || c.Record.NumRows() != int64(len(tc.want)) {
				t.Errorf("%d frames, %d bad lines, %d rows", c.Frames, c.BadLines, c.Record.NumRows())
			}
			if len(c.Findings) != 0 && name != "extras.csv" {
				t.Errorf("findings %+v", c.Findings)
			}
		})
	}
}

// everyFile fails the test for a file nobody expects anything of.
func everyFile(t *testing.T, dir string, known func(string) bool) {
	t.Helper()
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !known(f.Name()) {
			t.Errorf("%s: no test for it", f.Name())
		}
		if len(f.Name()) >= 60 {
			t.Errorf("%s: name of %d bytes", f.Name(), len(f.Name()))
		}
	}
}

func TestExtrasAreNullWhereMissingOrMalformed(t *testing.T) {
	c, err := read(t, "../testdata/capture/valid/extras.csv", valid()["extras.csv"].layout)
	if err != nil {
		t.Fatal(err)
	}
	want := arrow.NewSchema([]arrow.Field{
		{Name: "frame_ns", Type: arrow.PrimitiveTypes.Int64},
		{Name: "submit_ns", Type: arrow.PrimitiveTypes.Int64, Nullable: true},
		{Name: "power_w", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	}, nil)
	if !c.Record.Schema().Equal(want) {
		t.Errorf("schema %v", c.Record.Schema())
	}
	submit, power := c.Record.Column(1).(*array.Int64), c.Record.Column(2).(*array.Float64)
	if submit.NullN() != 1 || !submit.IsNull(1) || submit.Value(0) != 1_250_000 || submit.Value(2) != -500_000 {
		t.Errorf("submit %v", submit)
	}
	if power.NullN() != 2 || !power.IsNull(1) || !power.IsNull(2) || power.Value(0) != 210.5 {
		t.Errorf("power %v", power)
	}
	if c.BadCells != 1 || len(c.Findings) != 1 || c.Findings[0].Place.Line != 4 || c.Findings[0].Place.Column != 11 {
		t.Errorf("%d bad cells, findings %+v", c.BadCells, c.Findings)
	}
}

func TestRealCaptures(t *testing.T) {
	files, _ := filepath.Glob("../../shared/captures/*.frames.csv")
	if len(files) == 0 {
		t.Skip("needs ../shared/captures")
	}
	frameNS := ms("frame_ms")
	elapsed := seconds("elapsed_s")
	l := text.Layout{FrameTime: &frameNS, Timestamp: &elapsed, Extra: []text.Extra{
		{Key: "submit", Column: ms("submit_ms"), Time: true}, {Key: "wait", Column: ms("wait_ms"), Time: true}}}
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			l := l
			if strings.Contains(path, "heatsoak") { // which has no such columns
				l.Extra = nil
			}
			c, err := read(t, path, l)
			if err != nil || c.BadLines != 0 || c.BadCells != 0 || len(c.Findings) != 0 {
				t.Fatalf("%v, %d bad lines, %d bad cells, %+v", err, c.BadLines, c.BadCells, c.Findings)
			}
			want := plainColumn(t, data, 2)
			got := c.FrameNS()
			if len(got) != len(want) || slices.ContainsFunc(want, math.IsNaN) {
				t.Fatalf("%d frames, %d lines", len(got), len(want))
			}
			for i := range want {
				if math.Abs(float64(got[i])-1e6*want[i]) > 0.5 {
					t.Fatalf("frame %d: %d ns from %v ms", i, got[i], want[i])
				}
			}
			stamped, err := read(t, path, text.Layout{Timestamp: &elapsed})
			if err != nil || stamped.Frames != c.Frames-1 {
				t.Errorf("by timestamps: %v, %d frames", err, stamped.Frames)
			}
		})
	}
}

func TestDirectoryIsNoCapture(t *testing.T) {
	c, err := read(t, t.TempDir(), frame(ms("time_ms")))
	if !errors.Is(err, ErrUnreadable) || c.Record != nil || !c.Findings.HasErrors() {
		t.Errorf("%v %+v", err, c)
	}
}

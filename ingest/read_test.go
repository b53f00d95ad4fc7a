package ingest

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/rigslate/rigslate/ingest/text"
)

// readData reads bytes on a checked allocator that must be empty again at the end of the test.
func readData(t *testing.T, ctx context.Context, f fs.File, l text.Layout, tee io.Writer, change func(*Reader)) (*Capture, error) {
	t.Helper()
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	t.Cleanup(func() { mem.AssertSize(t, 0) })
	r := NewReader(mem)
	if change != nil {
		change(r)
	}
	c, err := r.Read(ctx, f, "file", l, tee)
	t.Cleanup(c.Release)
	return c, err
}

func zipped(data []byte) []byte {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	w.Write(data)
	w.Close()
	return b.Bytes()
}

// Hash and copy are of the bytes on disk, all of them, also where the content is of no use.
func TestHashAndCopyAreOfTheBytesOnDisk(t *testing.T) {
	wrong := append([]byte("nothing,of,the,kind\n"), bytes.Repeat([]byte("0,1,2,3\n"), 100_000)...)
	for name, data := range map[string][]byte{"plain": lines(100_000), "gzip": zipped(lines(100_000)), "no such column": wrong, "empty": {}} {
		var tee bytes.Buffer
		c, err := readData(t, context.Background(), inMemory(data), threeTimes(), &tee, nil)
		if (err == nil) != (name == "plain" || name == "gzip") {
			t.Errorf("%s: %v", name, err)
		}
		if c.SHA256 != sha256.Sum256(data) || c.Bytes != int64(len(data)) || !bytes.Equal(tee.Bytes(), data) {
			t.Errorf("%s: %d bytes, %d copied, %x", name, c.Bytes, tee.Len(), c.SHA256)
		}
	}
}

// changing is a file that changes when its last byte is read.
type changing struct {
	*memFile
	change func(*memFile)
}

func (f *changing) Read(p []byte) (int, error) {
	n, err := f.memFile.Read(p)
	if err == io.EOF {
		f.change(f.memFile)
	}
	return n, err
}

func TestFileStillBeingWritten(t *testing.T) {
	for name, change := range map[string]func(*memFile){
		"grows":      func(f *memFile) { f.size++ },
		"shrinks":    func(f *memFile) { f.size-- },
		"is touched": func(f *memFile) { f.mtime = f.mtime.Add(1) },
	} {
		c, err := readData(t, context.Background(), &changing{inMemory(lines(5000)), change}, threeTimes(), nil, nil)
		if !errors.Is(err, ErrGrowing) || c.Record != nil || len(c.Findings) != 1 || c.Findings[0].Summary != "The file is still being written" {
			t.Errorf("%s: %v %+v", name, err, c.Findings)
		}
		if c.SHA256 != [32]byte{} {
			t.Errorf("%s: has a hash", name)
		}
	}
}

func TestBounds(t *testing.T) {
	const mib = 1 << 20
	head := []byte("frame,time_ms,gpu_ms,cpu_ms\n")
	one := func(b string, n int) []byte { return append(bytes.Clone(head), bytes.Repeat([]byte(b), n)...) }
	small := func(change func(*limits)) func(*Reader) { return func(r *Reader) { change(&r.unpack.limit) } }
	for name, tc := range map[string]struct {
		data    []byte
		change  func(*Reader)
		err     error
		summary string
	}{
		"line of 3 MiB":       {one("1", 3*mib), nil, ErrTooLarge, "A line is longer than 1 MiB"},
		"header of a million": {bytes.Repeat([]byte("a,"), mib/2-1), nil, ErrTooLarge, "The file has too many columns"},
		"too many fields":     {append(one("0,1,1,1\n", 1), bytes.Repeat([]byte("1,"), mib/2-1)...), nil, nil, "The line has the wrong number of fields"},
		"too many frames": {one("0,1,1,1\n", 5000), small(func(l *limits) { l.frames = 4999 }), ErrTooLarge,
			"The file is larger than a capture can be"},
		"frames to the limit": {one("0,1,1,1\n", 5000), small(func(l *limits) { l.frames = 5000 }), nil, ""},
		"too much text": {one("0,1,1,1\n", 5000), small(func(l *limits) { l.plain = 30_000 }), ErrTooLarge,
			"The file is larger than a capture can be"},
		"unpacks to too much": {zipped(one("0,1,1,1\n", 500_000)), small(func(l *limits) { l.free = mib }), ErrTooLarge,
			"The file is larger than a capture can be"},
		"too long a time":     {one("0,3600000,1,1\n", 721), nil, ErrTooLarge, "The capture lasts longer than a month"},
		"a month to the hour": {one("0,3600000,1,1\n", 720), nil, nil, ""},
	} {
		t.Run(name, func(t *testing.T) {
			c, err := readData(t, context.Background(), inMemory(tc.data), threeTimes(), nil, tc.change)
			if !errors.Is(err, tc.err) || (err == nil) != (tc.err == nil) || (c.Record == nil) != (err != nil) {
				t.Fatalf("%v, want %v", err, tc.err)
			}
			if tc.summary == "" && len(c.Findings) == 0 {
				return
			}
			if len(c.Findings) != 1 || c.Findings[0].Summary != tc.summary {
				t.Errorf("findings %+v", c.Findings)
			}
		})
	}
}

// However many lines are bad, all are counted, some listed, and the rest mentioned.
func TestEveryBadLineIsCounted(t *testing.T) {
	data := append(lines(10), bytes.Repeat([]byte("x\n"), 100_000)...)
	c, err := readData(t, context.Background(), inMemory(data), threeTimes(), nil, nil)
	if err != nil || c.BadLines != 100_000 || c.Frames != 10 || len(c.Findings) != 201 {
		t.Fatalf("%v: %d bad lines, %d frames, %d findings", err, c.BadLines, c.Frames, len(c.Findings))
	}
	if last := c.Findings[200]; last.Summary != "More lines are wrong than are listed" || !strings.Contains(last.Detail, "99800") {
		t.Errorf("%+v", last)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

type badDisk struct {
	*memFile
	err error
}

func (f badDisk) Read([]byte) (int, error) { return 0, f.err }

func TestFaultsOutsideTheFile(t *testing.T) {
	full, gone := errors.New("no space"), errors.New("device gone")
	c, err := readData(t, context.Background(), inMemory(lines(5000)), threeTimes(), failing{full}, nil)
	if !errors.Is(err, ErrCopy) || !errors.Is(err, full) || errors.Is(err, ErrUnreadable) || len(c.Findings) != 0 || c.Record != nil {
		t.Errorf("copy fails: %v %+v", err, c.Findings)
	}
	c, err = readData(t, context.Background(), badDisk{inMemory(lines(5)), gone}, threeTimes(), nil, nil)
	if !errors.Is(err, ErrUnreadable) || !errors.Is(err, gone) || !c.Findings.HasErrors() {
		t.Errorf("disk fails: %v %+v", err, c.Findings)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	c, err = readData(t, ctx, inMemory(lines(5000)), threeTimes(), nil, nil)
	if !errors.Is(err, context.Canceled) || len(c.Findings) != 0 || c.Record != nil {
		t.Errorf("cancelled: %v %+v", err, c.Findings)
	}
	c, err = readData(t, context.Background(), inMemory(lines(5)), text.Layout{}, nil, nil)
	if !errors.Is(err, ErrLayout) || c.Record != nil {
		t.Errorf("no layout: %v", err)
	}
}

// A record retained outlives its Capture and the Reader's next file.
func TestRecordOutlivesCapture(t *testing.T) {
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	defer mem.AssertSize(t, 0)
	r := NewReader(mem)
	first, err := r.Read(context.Background(), inMemory([]byte("time_ms\n1\n2\n")), "first", frame(ms("time_ms")), nil)
	if err != nil {
		t.Fatal(err)
	}
	rec := first.Record
	rec.Retain()
	defer rec.Release()
	first.Release()
	first.Release() // harmless
	if first.FrameNS() != nil {
		t.Error("frames after release")
	}
	second, err := r.Read(context.Background(), inMemory([]byte("time_ms\n7\n8\n9\n")), "second", frame(ms("time_ms")), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer second.Release()
	if got := rec.Column(0).String(); got != "[1000000 2000000]" {
		t.Errorf("the first record is now %s", got)
	}
}

package ingest

import (
	"context"
	"fmt"
	"io"
	"io/fs"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/rigslate/rigslate/ingest/text"
	"github.com/rigslate/rigslate/plan/finding"
)

// File is what is known of any file that was read, whatever it holds.
type File struct {
	BadLines, BadCells, FilteredRows, CommentLines int
	Encoding                                       string   // such as utf-8, utf-16le
	Compression                                    string   // "gzip", "zstd" or ""
	SHA256                                         [32]byte // of the bytes on disk
	Bytes                                          int64    // on disk; 0 with a zero SHA256 where not all could be read
	Findings                                       finding.List
}

// Capture is one file's frames and what was found in it.
type Capture struct {
	File

	// Record has one row per frame: frame_ns INT64, never null, then one column per extra of the layout, in its order and
	// nullable: KEY_ns INT64 for times, KEY FLOAT64 for others. It belongs to the Capture and is gone with Release; whoever keeps
	// it longer retains it. Nil if the file cannot be used.
	Record arrow.Record

	Frames     int
	TotalNS    int64 // Σ frame_ns
	FramesLost bool  // frame times and timestamps disagree; a finding says by how much
}

// FrameNS is the record's first column, valid until Release. It is nil without a record.
func (c *Capture) FrameNS() []int64 {
	if c.Record == nil {
		return nil
	}
	return c.Record.Column(0).(*array.Int64).Int64Values()
}

// Release gives the record's memory back. It may be called on any Capture, more than once.
func (c *Capture) Release() {
	if c.Record != nil {
		c.Record.Release()
		c.Record = nil
	}
}

// Reader is one worker's buffers, which serve one file after another. It is not safe for concurrent use and needs no closing.
type Reader struct {
	mem    memory.Allocator
	text   *text.Reader
	unpack unpacker
}

// NewReader returns a Reader whose records take their memory from mem.
func NewReader(mem memory.Allocator) *Reader {
	return &Reader{mem: mem, text: text.NewReader(), unpack: unpacker{limit: standard}}
}

// Read reads one file from its beginning and does not close it. name is what findings and errors call it. Every byte on disk is
// hashed and, unless tee is nil, written to tee.
//
// The Capture is never nil: if the file cannot be used, its Record is nil, and its findings, counts and, where all bytes could be
// read, its hash tell about it beside the error. The caller releases it. A finding of severity Error without an error, which
// FramesLost comes with, leaves it to the caller whether the capture counts.
func (r *Reader) Read(ctx context.Context, f fs.File, name string, l text.Layout, tee io.Writer) (*Capture, error) {
	c := &Capture{}
	err := r.file(ctx, f, name, l, tee, &c.File, func(size int64) error { return r.columns(c, l, size) })
	if err != nil {
		c.Release()
		return c, fmt.Errorf("read capture %s: %w", name, refuse(&c.File, name, err))
	}
	if l.FrameTime != nil && l.Timestamp != nil {
		r.compare(c, name)
	}
	return c, nil
}

// file reads a file from its beginning: body takes its text, given its size on disk; everything else is the same whatever it holds.
func (r *Reader) file(ctx context.Context, f fs.File, name string, l text.Layout, tee io.Writer, to *File, body func(size int64) error) error {
	before, err := f.Stat()
	if err == nil && !before.Mode().IsRegular() {
		err = fmt.Errorf("%w: not a file", ErrUnreadable)
	}
	if err == nil {
		err = r.text.Reset(&r.unpack, name, l)
	}
	if err != nil {
		return err
	}
	if err = r.unpack.open(ctx, f, tee); err == nil {
		err = body(before.Size())
	}
	r.facts(to)
	whole := r.unpack.drain()
	if err == nil {
		err = whole
	}
	after, serr := f.Stat()
	switch {
	case whole == nil && serr == nil && (changed(before, after) || after.Size() != r.unpack.disk.n):
		err = ErrGrowing // which explains whatever else is wrong with it
	case whole == nil:
		to.SHA256, to.Bytes = [32]byte(r.unpack.disk.sum.Sum(nil)), r.unpack.disk.n
	}
	r.unpack.disk.from, r.unpack.disk.tee = nil, nil
	return err
}

func changed(before, after fs.FileInfo) bool {
	return before.Size() != after.Size() || !before.ModTime().Equal(after.ModTime())
}

// columns reads all text into the record.
func (r *Reader) columns(c *Capture, l text.Layout, size int64) error {
	cols := newColumns(r.mem, l)
	defer cols.release()
	defer func() { c.Frames, c.TotalNS = r.text.Stats().Frames, r.text.Stats().TotalNS }()
	for {
		b, err := r.text.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if cols[0].rows+b.Rows > r.unpack.limit.frames {
			return fmt.Errorf("%w: more than %d frames", ErrTooLarge, r.unpack.limit.frames)
		}
		cols.append(r.mem, b, r.expected(cols[0].rows+b.Rows, size))
	}
	c.Record = cols.record()
	return nil
}

// expected guesses the rows of the whole file from the share of its bytes that gave the rows so far, two in a hundred added.
func (r *Reader) expected(rows int, size int64) int {
	text := float64(r.unpack.n)
	read := float64(r.unpack.disk.n) * (1 - float64(r.text.Stats().Ahead)/text) // bytes on disk behind the rows so far
	if guess := 1.02 * float64(rows) * float64(size) / read; guess < float64(r.unpack.limit.frames) {
		return int(guess)
	}
	return rows
}

// facts copies what was counted.
func (r *Reader) facts(to *File) {
	s := r.text.Stats()
	to.BadLines, to.BadCells, to.FilteredRows, to.CommentLines = s.BadLines, s.BadCells, s.FilteredRows, s.CommentLines
	to.Encoding, to.Compression = s.Encoding, r.unpack.kind
	to.Findings = r.text.Findings()
}

package text

import (
	"errors"
	"fmt"
	"io"

	"github.com/rigslate/rigslate/plan/finding"
)

// What makes a whole file useless. The findings say more, and where.
var (
	ErrHeader   = errors.New("a column is not in the file")
	ErrNoFrames = errors.New("no frames")
	ErrTooLarge = errors.New("larger than a capture can be")
)

const (
	blockRows  = 2048
	maxFrameNS = 3600 * 1e9           // a frame of an hour is a mistake of unit or clock
	maxTotalNS = 30 * 24 * maxFrameNS // so is a capture of a month; sums stay far from the end of an int64
	maxListed  = 200                  // findings kept per file for bad lines, and as many for bad extras
)

// Values is one extra of a block: NS where the extra is a time, else F. Valid is false where the cell was empty or no numeral;
// Nulls counts those.
type Values struct {
	NS    []int64
	F     []float64
	Valid []bool
	Nulls int
}

// Block is the next rows of a file, a row being one frame, or one sample where the layout says so: then FrameNS is nil and TimeNS has
// its time, strictly rising. It belongs to the Reader and is overwritten by the next call.
type Block struct {
	Rows    int
	FrameNS []int64
	TimeNS  []int64  // elapsed as written, or since 1970-01-01T00:00:00Z
	Extra   []Values // in the order of Layout.Extra
}

// Stats is what was counted so far. Lines is the sum of SkippedLines, CommentLines, BlankLines, the header (0 or 1), Rows,
// BadLines and FilteredRows. Frames is below Rows only where times are differences: a first timestamp, and the first after a bad
// line, end no frame whose start is known.
type Stats struct {
	Lines, SkippedLines, CommentLines, BlankLines int
	Rows, Frames, BadLines, FilteredRows          int
	BadCells                                      int   // extras that are no numeral: null, and said
	FirstFrameNS, TotalNS                         int64 // the first frame time, and the sum of all
	ElapsedNS                                     int64 // the last timestamp less the first, known at the end; 0 without timestamps
	Ahead                                         int   // bytes of decoded text read from the source, but not yet used
	Encoding                                      string
	Header                                        []string
}

// Reader reads one file after another, keeping its buffers. It is not safe for concurrent use.
type Reader struct {
	layout   Layout
	file     string
	src      io.Reader
	findings finding.List
	stats    Stats
	block    Block

	// the chunk: whole lines lie in buf[pos:end], what was read of the next one in buf[end:have]
	head           [sniffed]byte
	buf            []byte
	pos, end, have int
	eof            bool
	settled        bool
	crOnly         bool

	// the layout, ready for use
	delim, decimal byte
	blanks         bool // the delimiter is a run of blanks
	stops          [256]bool
	comment        string
	steps          []step
	width          int // fields in every line; 0 until it is known
	tail           int // fields after the last step's
	quick          bool

	// the line at hand
	fields           []field
	scratch          []byte
	frameNS, stampNS int64 // what the quick way read

	begun    bool
	err      error // what ended the file
	clock    clock
	listed   int // findings for bad lines
	cells    int // findings for bad extras
	unlisted int
}

// NewReader returns a Reader that has yet to be given a file.
func NewReader() *Reader {
	return &Reader{buf: make([]byte, chunk)}
}

// Reset begins another file. Its bytes come from src, decompressed; file is what findings call it. The error is an
// ErrLayout; src is not touched before Next.
func (r *Reader) Reset(src io.Reader, file string, l Layout) error {
	if err := l.Check(); err != nil {
		return err
	}
	if _, _, err := named(l.Encoding); err != nil {
		return err
	}
	*r = Reader{
		layout: l, file: file, src: src, comment: l.Comment, delim: l.delimiter(), decimal: l.decimal(),
		buf: r.buf[:chunk], block: r.block, steps: r.steps[:0], fields: r.fields[:0], scratch: r.scratch[:0],
	}
	r.blanks = r.delim == ' '
	for _, c := range []byte{r.delim, '\n', '\r', '"', 0} {
		r.stops[c] = true
	}
	r.stops['\t'] = r.stops['\t'] || r.blanks
	r.block.shape(l)
	return nil
}

// shape makes the block fit the layout, using what it has.
func (b *Block) shape(l Layout) {
	b.Rows = 0
	if l.Sample == nil {
		b.FrameNS, b.TimeNS = sized(b.FrameNS), nil
	} else {
		b.FrameNS, b.TimeNS = nil, sized(b.TimeNS)
	}
	for len(b.Extra) < len(l.Extra) {
		b.Extra = append(b.Extra, Values{})
	}
	b.Extra = b.Extra[:len(l.Extra)]
	for i, x := range l.Extra {
		v := &b.Extra[i]
		switch {
		case x.Time:
			v.NS, v.F = sized(v.NS), nil
		default:
			v.NS, v.F = nil, sized(v.F)
		}
		v.Valid = sized(v.Valid)
		v.allValid()
	}
}

func sized[T any](s []T) []T {
	if cap(s) < blockRows {
		return make([]T, blockRows)
	}
	return s[:blockRows]
}

func (v *Values) allValid() {
	for i := range v.Valid {
		v.Valid[i] = true
	}
	v.Nulls = 0
}

// Findings lists what was found so far, in the order of lines.
func (r *Reader) Findings() finding.List { return r.findings }

// Stats counts what was read so far.
func (r *Reader) Stats() Stats {
	s := r.stats
	s.Ahead = r.have - r.pos
	return s
}

// Next reads the next block of at least one frame or sample. It returns io.EOF after the last, having added the findings that concern the
// whole file; ErrNoFrames in place of io.EOF if there was not one; ErrHeader if a column is not there; ErrTooLarge; or the
// source's own error as it is. An error stays.
func (r *Reader) Next() (*Block, error) {
	if r.err != nil {
		return nil, r.err
	}
	if !r.begun {
		r.begun = true
		if err := r.begin(); err != nil {
			return nil, r.ended(err)
		}
	}
	b := &r.block
	b.reset()
	for b.Rows < blockRows {
		if r.pos == r.end {
			if err := r.fill(); err == io.EOF && b.Rows > 0 {
				break
			} else if err != nil {
				return nil, r.ended(err)
			}
		}
		r.rows()
	}
	b.cut()
	if err := r.total(); err != nil {
		return nil, r.ended(err)
	}
	return b, nil
}

// rows reads lines until the chunk or the block is used up.
func (r *Reader) rows() {
	for r.pos < r.end && r.block.Rows < blockRows {
		if r.quick {
			if next, ok := r.quickRow(r.pos); ok {
				r.pos = next
				r.stats.Lines++
				continue
			}
		}
		r.patientRow()
	}
}

// reset makes the columns full length again, every cell valid.
func (b *Block) reset() {
	b.Rows = 0
	b.times(blockRows)
	for i := range b.Extra {
		v := &b.Extra[i]
		v.Valid = v.Valid[:blockRows]
		if v.NS != nil {
			v.NS = v.NS[:blockRows]
		} else {
			v.F = v.F[:blockRows]
		}
		if v.Nulls > 0 {
			v.allValid()
		}
	}
}

// times sets the length of what says when a row was.
func (b *Block) times(n int) {
	if b.FrameNS != nil {
		b.FrameNS = b.FrameNS[:n]
	} else {
		b.TimeNS = b.TimeNS[:n]
	}
}

// cut ends the columns where the rows end.
func (b *Block) cut() {
	b.times(b.Rows)
	for i := range b.Extra {
		v := &b.Extra[i]
		v.Valid = v.Valid[:b.Rows]
		if v.NS != nil {
			v.NS = v.NS[:b.Rows]
		} else {
			v.F = v.F[:b.Rows]
		}
	}
}

// total adds the block to the sums.
func (r *Reader) total() error {
	if r.layout.Sample != nil {
		return nil
	}
	before := r.stats.Frames
	for _, x := range r.block.FrameNS {
		r.stats.TotalNS += x
	}
	r.stats.Frames += r.block.Rows
	if before == 0 {
		r.stats.FirstFrameNS = r.block.FrameNS[0]
	}
	if r.stats.TotalNS > maxTotalNS {
		return r.tooLasting()
	}
	return nil
}

// ended turns the end of the file into the error that fits, and adds what concerns the whole of it.
func (r *Reader) ended(err error) error {
	if r.unlisted > 0 {
		r.findings.Add(finding.Warning, finding.Place{File: r.file}, sayMore, fmt.Sprintf("%d more are wrong in like manner", r.unlisted), "")
	}
	r.stats.ElapsedNS = r.clock.lastNS - r.clock.firstNS
	if err == io.EOF && r.stats.Frames == 0 && (r.layout.Sample == nil || r.stats.Rows == 0) {
		r.noFrames()
		err = ErrNoFrames
	}
	r.err = err
	return err
}

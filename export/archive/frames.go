package archive

import (
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/schema"
)

// Run is one pass's frames, whole: the cut ones too.
type Run struct {
	ID             string        // run_id
	FrameNS        *array.Int64  // whole nanoseconds, no nulls, in the order of the capture
	KeptLo, KeptHi int           // frames KeptLo ≤ i < KeptHi count, the others were cut
	Extras         []arrow.Array // one for each extra column, Int64 or Float64 as it says; nil where the capture has none
}

// FramesWriter writes one card's frames, one row group a run. It is used by one goroutine at a time; the order of the runs is
// the order of the calls. Any error poisons it: later calls return the first error, and the edition cannot be published.
type FramesWriter struct {
	*groupsFile
	card   string
	extras []string
}

var fixedFrameColumns = []string{"card", "run_id", "frame", "kept", "frame_ns"}

// Frames begins frames-<card>.parquet. extras are the names of the extra columns, in their order in the file: those ending
// in _ns are whole nanoseconds (INT64), the others DOUBLE.
func (s *Staging) Frames(card string, extras []string) (*FramesWriter, error) {
	if err := checkLabel(card); err != nil {
		return nil, fmt.Errorf("frames of a card: %w", err)
	}
	if err := checkExtras(extras); err != nil {
		return nil, fmt.Errorf("frames of %s: %w", card, err)
	}
	f, err := s.groupsFile("frames-"+card+".parquet", framesSchema(extras))
	if err != nil {
		return nil, err
	}
	return &FramesWriter{groupsFile: f, card: card, extras: extras}, nil
}

func framesSchema(extras []string) schema.FieldList {
	fields := schema.FieldList{
		textNode("card", parquet.Repetitions.Required), textNode("run_id", parquet.Repetitions.Required),
		schema.NewInt32Node("frame", parquet.Repetitions.Required, -1),
		schema.NewBooleanNode("kept", parquet.Repetitions.Required, -1),
		schema.NewInt64Node("frame_ns", parquet.Repetitions.Required, -1),
	}
	for _, name := range extras {
		if wholeNS(name) {
			fields = append(fields, schema.NewInt64Node(name, parquet.Repetitions.Optional, -1))
		} else {
			fields = append(fields, schema.NewFloat64Node(name, parquet.Repetitions.Optional, -1))
		}
	}
	return fields
}

func textNode(name string, repetition parquet.Repetition) schema.Node {
	return schema.MustPrimitive(schema.NewPrimitiveNodeLogical(name, repetition, schema.StringLogicalType{}, parquet.Types.ByteArray, 0, -1))
}

func wholeNS(column string) bool { return strings.HasSuffix(column, "_ns") }

var columnName = regexp.MustCompile(`^[a-z][a-z0-9_]*$`)

func checkExtras(extras []string) error {
	seen := map[string]bool{}
	for _, name := range fixedFrameColumns {
		seen[name] = true
	}
	for _, name := range extras {
		if !columnName.MatchString(name) {
			return fmt.Errorf("extra column %q: a name is lower-case letters, digits and _, and begins with a letter", name)
		}
		if seen[name] {
			return fmt.Errorf("extra column %q: there is a column of that name", name)
		}
		seen[name] = true
	}
	return nil
}

// Write appends one run as one row group. The arrays stay the caller's and are not kept.
func (w *FramesWriter) Write(r Run) error {
	return w.add(r.ID, func() (int, error) {
		if err := w.check(r); err != nil {
			return 0, err
		}
		n := r.FrameNS.Len()
		return n, w.pages.group(n, func(i int, c *chunk) error { return w.column(r, i, c) })
	})
}

func (w *FramesWriter) column(r Run, i int, c *chunk) error {
	switch i {
	case 0:
		return c.constant(w.card)
	case 1:
		return c.constant(r.ID)
	case 2:
		return c.count()
	case 3:
		return c.within(r.KeptLo, r.KeptHi)
	case 4:
		return c.measured(r.FrameNS)
	}
	if x := r.Extras[i-len(fixedFrameColumns)]; x != nil {
		return c.measured(x)
	}
	return c.absent()
}

func (w *FramesWriter) check(r Run) error {
	switch n := r.FrameNS.Len(); {
	case n == 0:
		return errors.New("no frames")
	case r.FrameNS.NullN() > 0:
		return errors.New("column frame_ns has nulls")
	case r.KeptLo < 0 || r.KeptHi < r.KeptLo || n < r.KeptHi:
		return fmt.Errorf("frames %d to %d are kept, of %d", r.KeptLo, r.KeptHi, n)
	case r.ID == "" || !utf8.ValidString(r.ID):
		return errors.New("the run_id is empty or not UTF-8")
	case len(r.Extras) != len(w.extras):
		return fmt.Errorf("%d extra arrays for %d columns", len(r.Extras), len(w.extras))
	}
	for i, x := range r.Extras {
		if x == nil {
			continue
		}
		want := arrow.FLOAT64
		if wholeNS(w.extras[i]) {
			want = arrow.INT64
		}
		if x.DataType().ID() != want || x.Len() != r.FrameNS.Len() {
			return fmt.Errorf("column %s: an array of %d %s, not of %d %s", w.extras[i], x.Len(), x.DataType().ID(), r.FrameNS.Len(), want)
		}
	}
	return nil
}

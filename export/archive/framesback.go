package archive

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"github.com/apache/arrow/go/v15/parquet/file"
)

// FramesBack is one pass's frames as the archive has them.
type FramesBack struct {
	RunID          string
	FrameNS        []int64
	KeptLo, KeptHi int // frames KeptLo ≤ i < KeptHi count

	extras map[string][]any // by the name of the column
}

// Extra is an extra column that is no time: a value for each frame, nil for none. It is nil where the file has no such column.
func (b FramesBack) Extra(name string) []any { return b.extras[name] }

// ReadFrames reads the content of a card's file of frames, a pass at a time, and holds it to its structure: a row group a run, frames numbered
// from 0, those that are kept in one stretch. Of the extra columns it reads those asked for. The content must have been held against its
// manifest. An error of each ends it; others are ErrDamaged.
func ReadFrames(content []byte, card string, extras []string, each func(FramesBack) error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%w: %v", ErrDamaged, p)
		}
	}()
	f, err := file.NewParquetReader(bytes.NewReader(content))
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	defer f.Close()
	for i := range f.NumRowGroups() {
		run, err := framesOf(f.RowGroup(i), card, extras)
		if err != nil {
			return fmt.Errorf("%w: run %d of the file: %w", ErrDamaged, i+1, err)
		}
		if err := each(run); err != nil {
			return err
		}
	}
	return nil
}

func framesOf(g *file.RowGroupReader, card string, extras []string) (out FramesBack, err error) {
	var columns [][]any
	for i, name := range names(g) {
		if i < len(fixedFrameColumns) || !slices.Contains(extras, name) {
			continue
		}
		if out.extras == nil {
			out.extras = map[string][]any{}
		}
		if out.extras[name], err = columnOf(g, i); err != nil {
			return out, fmt.Errorf("column %s: %w", name, err)
		}
	}
	for i, name := range names(g)[:min(len(fixedFrameColumns), g.NumColumns())] {
		if name != fixedFrameColumns[i] {
			return out, fmt.Errorf("column %d is %s, expected %s", i+1, name, fixedFrameColumns[i])
		}
		c, err := columnOf(g, i)
		if err != nil {
			return out, fmt.Errorf("column %s: %w", name, err)
		}
		columns = append(columns, c)
	}
	if len(columns) < len(fixedFrameColumns) || g.NumRows() == 0 {
		return out, errors.New("columns are missing, or it has no frames")
	}
	out.FrameNS = make([]int64, g.NumRows())
	out.KeptLo, out.KeptHi = -1, -1
	for row := range out.FrameNS {
		id, isText := columns[1][row].(string)
		number, isNumber := columns[2][row].(int32)
		kept, isKept := columns[3][row].(bool)
		ns, isNS := columns[4][row].(int64)
		if columns[0][row] != card || !isText || !isNumber || !isKept || !isNS {
			return out, fmt.Errorf("row %d is none of card %s, or of other types", row, card)
		}
		if row == 0 {
			out.RunID = id
		}
		switch {
		case id != out.RunID || int(number) != row:
			return out, fmt.Errorf("row %d is frame %d of run %s, expected frame %d of run %s", row, number, id, row, out.RunID)
		case kept && out.KeptLo < 0:
			out.KeptLo = row
		case kept && out.KeptHi >= 0:
			return out, fmt.Errorf("frame %d is kept, though the kept stretch ended at %d", row, out.KeptHi)
		case !kept && out.KeptLo >= 0 && out.KeptHi < 0:
			out.KeptHi = row
		}
		out.FrameNS[row] = ns
	}
	if out.KeptLo < 0 {
		out.KeptLo, out.KeptHi = 0, 0
	} else if out.KeptHi < 0 {
		out.KeptHi = len(out.FrameNS)
	}
	return out, nil
}

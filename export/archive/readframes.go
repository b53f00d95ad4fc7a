package archive

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
)

// KeptFrames reads the kept frame times in ns of some runs of a card, by run_id, once the file's hash is checked; what stands in it is then
// what this program wrote, and Arrow's reader, which does not bear damage, may be used. Runs that the file does not have are left out.
// Errors are ErrDamaged, fs.ErrNotExist for a card without frames, or the disk's.
func KeptFrames(e Edition, card string, runs []string) (map[string]KeptRun, error) {
	name := "frames-" + card + ".parquet"
	content, err := e.File(name)
	if err != nil {
		return nil, err
	}
	r, err := file.NewParquetReader(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("%w: %s/%s: %w", ErrDamaged, e.Dir, name, err)
	}
	defer r.Close()
	out := map[string]KeptRun{}
	for i := range r.NumRowGroups() {
		run, frames, err := keptFrames(r, i, runs)
		if err != nil {
			return nil, fmt.Errorf("%w: %s/%s, row group %d: %w", ErrDamaged, e.Dir, name, i, err)
		}
		if run != "" {
			out[run] = frames
		}
	}
	return out, nil
}

// KeptRun is a run's kept frame times in ns, and when the first of them starts, from the start of the capture.
type KeptRun struct {
	StartNS int64
	NS      []int64
}

// keptFrames reads one row group, "" where its run is not asked for.
func keptFrames(r *file.Reader, group int, runs []string) (run string, frames KeptRun, err error) {
	g := r.RowGroup(group)
	n := int(g.NumRows())
	column := func(name string) (file.ColumnChunkReader, error) {
		i := r.MetaData().Schema.ColumnIndexByName(name)
		if i < 0 {
			return nil, fmt.Errorf("it has no column %s", name)
		}
		return g.Column(i)
	}
	ids, err := column("run_id")
	if err != nil {
		return "", frames, err
	}
	id, err := firstText(ids)
	if err != nil || !slices.Contains(runs, id) {
		return "", frames, err
	}
	kept, err := column("kept")
	if err != nil {
		return "", frames, err
	}
	truths, ok := kept.(*file.BooleanColumnChunkReader)
	if !ok {
		return "", frames, fmt.Errorf("kept is %T", kept)
	}
	keep := make([]bool, n)
	if err := fetch(truths.ReadBatch, keep); err != nil {
		return "", frames, err
	}
	times, err := column("frame_ns")
	if err != nil {
		return "", frames, err
	}
	whole, ok := times.(*file.Int64ColumnChunkReader)
	if !ok {
		return "", frames, fmt.Errorf("frame_ns is %T", times)
	}
	all := make([]int64, n)
	if err := fetch(whole.ReadBatch, all); err != nil {
		return "", frames, err
	}
	for i, x := range all {
		switch {
		case keep[i]:
			frames.NS = append(frames.NS, x)
		case len(frames.NS) == 0:
			frames.StartNS += x
		}
	}
	return id, frames, nil
}

// firstText is the first value of a column of texts.
func firstText(c file.ColumnChunkReader) (string, error) {
	r, ok := c.(*file.ByteArrayColumnChunkReader)
	if !ok {
		return "", fmt.Errorf("a column of texts is %T", c)
	}
	one := make([]parquet.ByteArray, 1)
	if _, n, err := r.ReadBatch(1, one, nil, nil); err != nil || n != 1 {
		return "", fmt.Errorf("%d texts of 1: %w", n, err)
	}
	return string(one[0]), nil
}

// fetch fills values from a column that is REQUIRED, which comes in as many batches as there are pages.
func fetch[T any](batch func(n int64, values []T, defined, repeated []int16) (int64, int, error), values []T) error {
	for at := 0; at < len(values); {
		_, n, err := batch(int64(len(values)-at), values[at:], nil, nil)
		if err != nil {
			return err
		}
		if n == 0 {
			return fmt.Errorf("%d values of %d", at, len(values))
		}
		at += n
	}
	return nil
}

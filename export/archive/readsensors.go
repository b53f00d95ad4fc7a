package archive

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
)

// SoakSeries is one channel of one soak's log, as it stands in the archive: times in ns on the clock of the soak.
type SoakSeries struct {
	Mode, Protocol string
	Repeat         int32
	Channel        string
	TimesNS        []int64
	Values         []float64
}

// SoakLogs reads every channel of every soak of a card, in the file's order, once its hash is checked (see KeptFrames). Errors are
// ErrDamaged, fs.ErrNotExist for a card without logs, or the disk's.
func SoakLogs(e Edition, card string) ([]SoakSeries, error) {
	name := "sensors-" + card + ".parquet"
	content, err := e.File(name)
	if err != nil {
		return nil, err
	}
	r, err := file.NewParquetReader(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("%w: %s/%s: %w", ErrDamaged, e.Dir, name, err)
	}
	defer r.Close()
	var out []SoakSeries
	for i := range r.NumRowGroups() {
		log, err := soakLog(r, i)
		if err != nil {
			return nil, fmt.Errorf("%w: %s/%s, row group %d: %w", ErrDamaged, e.Dir, name, i, err)
		}
		out = append(out, log...)
	}
	return out, nil
}

// soakLog reads one row group; none of a pass's log, which has no protocol.
func soakLog(r *file.Reader, group int) ([]SoakSeries, error) {
	of, err := textColumn(r, group, "protocol", int(r.RowGroup(group).NumRows()))
	if err != nil || of == nil {
		return nil, err
	}
	return logOf(r, group)
}

// logOf reads one row group, a series a channel; the protocol is empty where the log is of a pass.
func logOf(r *file.Reader, group int) (out []SoakSeries, err error) {
	g := r.RowGroup(group)
	n := int(g.NumRows())
	texts := map[string][]string{}
	for _, name := range []string{"mode", "protocol", "channel"} {
		if texts[name], err = textColumn(r, group, name, n); err != nil {
			return nil, err
		}
	}
	if texts["protocol"] == nil {
		texts["protocol"] = make([]string, n)
	}
	repeat, times, values := make([]int32, n), make([]int64, n), make([]float64, n)
	for name, read := range map[string]func(file.ColumnChunkReader) error{
		"repeat": func(c file.ColumnChunkReader) error { return fetchInt32(c, repeat) },
		"time_ns": func(c file.ColumnChunkReader) error {
			whole, ok := c.(*file.Int64ColumnChunkReader)
			if !ok {
				return fmt.Errorf("time_ns is %T", c)
			}
			return fetch(whole.ReadBatch, times)
		},
		"value": func(c file.ColumnChunkReader) error {
			numbers, ok := c.(*file.Float64ColumnChunkReader)
			if !ok {
				return fmt.Errorf("value is %T", c)
			}
			return fetch(numbers.ReadBatch, values)
		},
	} {
		c, err := g.Column(r.MetaData().Schema.ColumnIndexByName(name))
		if err != nil {
			return nil, err
		}
		if err := read(c); err != nil {
			return nil, err
		}
	}
	for i := range n {
		if last := len(out) - 1; last < 0 || out[last].Channel != texts["channel"][i] {
			out = append(out, SoakSeries{Mode: texts["mode"][i], Protocol: texts["protocol"][i], Repeat: repeat[i], Channel: texts["channel"][i]})
		}
		s := &out[len(out)-1]
		s.TimesNS, s.Values = append(s.TimesNS, times[i]), append(s.Values, values[i])
	}
	return out, nil
}

// PassLog is the sensor log that lay beside a pass, a series a channel: times in ns on the clock of the pass.
type PassLog struct {
	RunID, FramesRunID string // of the log itself, and of the pass
	Channels           []SoakSeries
}

// ReadPassLogs reads the logs of passes from the content of a card's file of sensors, which must have been held against its manifest; those of
// soaks are passed over. Errors are ErrDamaged.
func ReadPassLogs(content []byte) (out []PassLog, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%w: %v", ErrDamaged, p)
		}
	}()
	r, err := file.NewParquetReader(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	defer r.Close()
	for i := range r.NumRowGroups() {
		log, err := passLog(r, i)
		if err != nil {
			return nil, fmt.Errorf("%w: log %d of the file: %w", ErrDamaged, i+1, err)
		}
		if log.Channels != nil {
			out = append(out, log)
		}
	}
	return out, nil
}

func passLog(r *file.Reader, group int) (log PassLog, err error) {
	n := int(r.RowGroup(group).NumRows())
	texts := map[string][]string{}
	for _, name := range []string{"protocol", "run_id", "frames_run_id"} {
		if texts[name], err = textColumn(r, group, name, n); err != nil {
			return log, err
		}
	}
	if n == 0 || texts["protocol"] != nil {
		return log, nil
	}
	if texts["run_id"] == nil || texts["frames_run_id"] == nil {
		return log, errors.New("it is of no log, or of no pass")
	}
	log.RunID, log.FramesRunID = texts["run_id"][0], texts["frames_run_id"][0]
	log.Channels, err = logOf(r, group)
	return log, err
}

func fetchInt32(c file.ColumnChunkReader, into []int32) error {
	whole, ok := c.(*file.Int32ColumnChunkReader)
	if !ok {
		return fmt.Errorf("a column of whole numbers is %T", c)
	}
	return fetch(whole.ReadBatch, into)
}

// textColumn reads a column of texts; nil where it has none at all, which is how a log says that it is of no soak.
func textColumn(r *file.Reader, group int, name string, n int) ([]string, error) {
	c, err := r.RowGroup(group).Column(r.MetaData().Schema.ColumnIndexByName(name))
	if err != nil {
		return nil, err
	}
	texts, ok := c.(*file.ByteArrayColumnChunkReader)
	if !ok {
		return nil, fmt.Errorf("%s is %T", name, c)
	}
	values, defined := make([]parquet.ByteArray, n), make([]int16, n)
	at := 0
	for read := 0; read < n; {
		rows, got, err := texts.ReadBatch(int64(n-read), values[at:], defined[read:], nil)
		if err != nil {
			return nil, err
		}
		if rows == 0 {
			return nil, fmt.Errorf("%s has %d rows of %d", name, read, n)
		}
		read, at = read+int(rows), at+got
	}
	switch at {
	case 0:
		return nil, nil
	case n:
	default:
		return nil, fmt.Errorf("%s has a value in %d rows of %d", name, at, n)
	}
	out := make([]string, n)
	for i, v := range values {
		out[i] = string(v)
	}
	return out, nil
}

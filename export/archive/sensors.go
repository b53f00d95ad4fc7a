package archive

import (
	"errors"
	"fmt"
	"unicode/utf8"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/schema"
)

// Log is one sensor log, whole: of a soak, or the file that lies beside a pass's frames.
type Log struct {
	Mode        string
	Protocol    string // the soak; "" for a pass's
	Repeat      int32  // which soak or pass of its kind, from 1
	ID          string // run_id, of the log's own raw file
	FramesRunID string // run_id of the frames that were captured beside it; "" where none were
	TimesNS     []int64
	Channels    []Channel
}

// Channel is what one sensor said, a value for each of the log's times.
type Channel struct {
	Key        string // the plan's
	Unit       string // of the values as they are here: C where the log has mV
	MeasuredAt string // where power was measured; "" for anything else
	Values     []float64
	Valid      []bool // where it is false there was no value; nil: there was one everywhere
}

func (ch Channel) has(row int) bool { return ch.Valid == nil || ch.Valid[row] }

// SensorsWriter writes one card's sensor logs, one row group a log. It is used by one goroutine at a time; the order of the logs is
// the order of the calls. Any error poisons it: later calls return the first error, and the edition cannot be published.
type SensorsWriter struct {
	*groupsFile
	card    string
	scratch []int64 // a page of times
}

// Sensors begins sensors-<card>.parquet: every sample of every sensor log of a card, from which the archive's figures of
// temperature, sound, power, fans and clocks can be worked out anew. The caller writes a card's soaks and passes in plan order.
//
// The table is long, a row for each sample:
//
//	card, mode     as in runs
//	protocol       the soak; null for a pass's log
//	repeat         which soak or pass of its kind, from 1
//	run_id         first 16 hex digits of the SHA-256 of the log itself, and so of its name in raw/
//	frames_run_id  run_id of the frames that were captured beside it, null where none were: of a pass in runs and frames; of a soak,
//	               which is no pass, as the first 16 digits of the capture's name in raw/
//	channel, unit  the plan's key, and the unit of value
//	measured_at    where power was measured: reported chip, reported board, in line or wall; null for what is no power
//	time_ns        on the one clock of the soak or pass: the log's time since its start, plus its declared offset
//	value
//
// Within a row group channel follows channel, each in the order of the log. Where the log has no value there is no row.
//
// A wide table, with a column for each channel, would be smaller: 0.8 bytes a value for the pages of real logs of ten rows a second,
// where these take 1.0, and CSV 5.8. But its columns would differ from card to card and from review to review, so that a query over
// two files would need a reader's option to unite them; one name could stand for two units; and a channel of one log would be null
// in all others. Who wants it wide pivots by channel, which is one call everywhere. Either way a log costs 1.5 kB more for the
// descriptions of its columns. DELTA_BINARY_PACKED takes a third of what plain times do. Rows in order of time, with the channels
// side by side, come to the same size within a tenth.
func (s *Staging) Sensors(card string) (*SensorsWriter, error) {
	if err := checkLabel(card); err != nil {
		return nil, fmt.Errorf("sensors of a card: %w", err)
	}
	f, err := s.groupsFile("sensors-"+card+".parquet", sensorsSchema())
	if err != nil {
		return nil, err
	}
	return &SensorsWriter{groupsFile: f, card: card}, nil
}

func sensorsSchema() schema.FieldList {
	required, optional := parquet.Repetitions.Required, parquet.Repetitions.Optional
	return schema.FieldList{
		textNode("card", required), textNode("mode", required), textNode("protocol", optional), schema.NewInt32Node("repeat", required, -1),
		textNode("run_id", required), textNode("frames_run_id", optional),
		textNode("channel", required), textNode("unit", required), textNode("measured_at", optional),
		schema.NewInt64Node("time_ns", required, -1), schema.NewFloat64Node("value", required, -1),
	}
}

// Write appends one log as one row group. Its slices stay the caller's and are not kept.
func (w *SensorsWriter) Write(l Log) error {
	return w.add(l.ID, func() (int, error) {
		if err := l.check(); err != nil {
			return 0, err
		}
		rows, n := l.rows()
		return n, w.pages.group(n, func(i int, c *chunk) error { return w.column(l, rows, i, c) })
	})
}

// column writes one column. rows are those of each channel.
func (w *SensorsWriter) column(l Log, rows []int, i int, c *chunk) error {
	each := func(text func(Channel) string) error {
		s := make([]stretch, len(rows))
		for i, ch := range l.Channels {
			s[i] = stretch{text(ch), rows[i]}
		}
		return c.stretches(s)
	}
	switch i {
	case 0:
		return c.constant(w.card)
	case 1:
		return c.constant(l.Mode)
	case 2:
		return c.constant(l.Protocol)
	case 3:
		return c.same(l.Repeat)
	case 4:
		return c.constant(l.ID)
	case 5:
		return c.constant(l.FramesRunID)
	case 6:
		return each(func(ch Channel) string { return ch.Key })
	case 7:
		return each(func(ch Channel) string { return ch.Unit })
	case 8:
		return each(func(ch Channel) string { return ch.MeasuredAt })
	case 9:
		return c.times(l, &w.scratch)
	default:
		return c.values(l)
	}
}

// rows counts the values of each channel, and all.
func (l Log) rows() (each []int, all int) {
	each = make([]int, len(l.Channels))
	for i, ch := range l.Channels {
		for row := range l.TimesNS {
			if ch.has(row) {
				each[i]++
			}
		}
		all += each[i]
	}
	return each, all
}

// mostChannels is how many entries a column's dictionary may have, whose indices take a byte at most.
const mostChannels = 256

func (l Log) check() error {
	switch {
	case len(l.Channels) > mostChannels:
		return fmt.Errorf("%d channels, at most %d are written", len(l.Channels), mostChannels)
	case l.ID == "":
		return errors.New("the run_id is empty")
	case l.Protocol == "" && l.FramesRunID == "":
		return errors.New("neither of a soak nor of a pass: it has no protocol and no frames")
	case l.Repeat < 1:
		return fmt.Errorf("repeat %d, they count from 1", l.Repeat)
	}
	if err := checkTexts(l.ID, l.Mode, l.Protocol, l.FramesRunID); err != nil {
		return err
	}
	seen, found := map[string]bool{}, false
	for _, ch := range l.Channels {
		some, err := ch.check(len(l.TimesNS))
		if err != nil {
			return fmt.Errorf("channel %q: %w", ch.Key, err)
		}
		if seen[ch.Key] {
			return fmt.Errorf("channel %q is there twice", ch.Key)
		}
		seen[ch.Key], found = true, found || some
	}
	if !found {
		return errors.New("no channel has a value")
	}
	return nil
}

// check also says whether the channel has any value in a log of n rows.
func (ch Channel) check(n int) (some bool, err error) {
	switch {
	case ch.Key == "":
		return false, errors.New("it has no key")
	case len(ch.Values) != n:
		return false, fmt.Errorf("%d values for %d times", len(ch.Values), n)
	case ch.Valid != nil && len(ch.Valid) != n:
		return false, fmt.Errorf("it is said of %d values whether they are valid, not of %d", len(ch.Valid), n)
	}
	if err := checkTexts(ch.Key, ch.Unit, ch.MeasuredAt); err != nil {
		return false, err
	}
	for row, v := range ch.Values {
		if !ch.has(row) {
			continue
		}
		if v-v != 0 {
			return false, fmt.Errorf("row %d is %v", row, v)
		}
		some = true
	}
	return some, nil
}

func checkTexts(texts ...string) error {
	for _, text := range texts {
		if !utf8.ValidString(text) {
			return fmt.Errorf("%q is not UTF-8", text)
		}
	}
	return nil
}

package archive

import (
	"cmp"
	"encoding/binary"
	"math"
	"math/bits"
	"slices"

	"github.com/apache/arrow/go/v15/parquet"
)

// stretch is one text for some rows that follow one another. In a column that may be null, "" is.
type stretch struct {
	text string
	rows int
}

// stretches writes texts for all rows: a dictionary of the different ones, and their indices as one run for each stretch in a page.
func (c *chunk) stretches(s []stretch) error {
	optional := c.meta.Descr().MaxDefinitionLevel() > 0
	null := func(s stretch) bool { return optional && s.text == "" }
	index := map[string]byte{}
	var entries []string
	for _, s := range s {
		_, seen := index[s.text]
		switch {
		case s.rows == 0:
		case null(s):
			c.stats.NullCount += int64(s.rows)
		case !seen:
			index[s.text] = byte(len(entries)) // at most mostChannels
			entries = append(entries, s.text)
		}
	}
	if len(entries) == 0 {
		return c.absent()
	}
	c.setEnds([]byte(slices.Min(entries)), []byte(slices.Max(entries)))
	c.pages.plain = c.pages.plain[:0]
	for _, e := range entries {
		c.pages.plain = append(binary.LittleEndian.AppendUint32(c.pages.plain, uint32(len(e))), e...)
	}
	if err := c.dictionary(int32(len(entries))); err != nil {
		return err
	}
	// The index of one entry could do with no bits; one, which is what most writers give it, is the better trodden path.
	width := byte(max(1, bits.Len(uint(len(entries)-1))))
	return c.data(parquet.Encodings.RLEDict, func(b []byte, from, to int) []byte {
		if optional {
			b = appendLevelRuns(b, s, null, from, to)
		}
		b = append(b, width)
		within(s, from, to, func(s stretch, rows int) {
			if !null(s) {
				b = appendRun(b, rows, index[s.text])
			}
		})
		return b
	})
}

// appendLevelRuns appends the definition levels of the rows from ≤ i < to as appendLevels does.
func appendLevelRuns(b []byte, s []stretch, null func(stretch) bool, from, to int) []byte {
	start := len(b)
	b = append(b, 0, 0, 0, 0)
	within(s, from, to, func(s stretch, rows int) {
		level := byte(1)
		if null(s) {
			level = 0
		}
		b = appendRun(b, rows, level)
	})
	binary.LittleEndian.PutUint32(b[start:], uint32(len(b)-start-4))
	return b
}

// within calls do for each stretch that has some of the rows from ≤ i < to, with how many.
func within(s []stretch, from, to int, do func(s stretch, rows int)) {
	begin := 0
	for _, s := range s {
		end := begin + s.rows
		if rows := min(end, to) - max(begin, from); rows > 0 {
			do(s, rows)
		}
		begin = end
	}
}

// same writes one whole number for every row.
func (c *chunk) same(v int32) error {
	end := binary.LittleEndian.AppendUint32(nil, uint32(v))
	c.setEnds(end, end)
	return c.data(parquet.Encodings.DeltaBinaryPacked, func(b []byte, from, to int) []byte { return appendSteps(b, to-from, int64(v), 0) })
}

// times writes the times of all channels, one channel behind the other. scratch is for a page of them.
func (c *chunk) times(l Log, scratch *[]int64) error {
	least, most := endsOfAll(l, func(_ Channel, row int) int64 { return l.TimesNS[row] })
	c.setEnds(binary.LittleEndian.AppendUint64(nil, uint64(least)), binary.LittleEndian.AppendUint64(nil, uint64(most)))
	at := walk{log: l}
	return c.data(parquet.Encodings.DeltaBinaryPacked, func(b []byte, from, to int) []byte {
		*scratch = (*scratch)[:0]
		at.next(to-from, func(_ Channel, row int) { *scratch = append(*scratch, l.TimesNS[row]) })
		return appendDeltas(b, *scratch)
	})
}

// values writes the values of all channels, one channel behind the other.
func (c *chunk) values(l Log) error {
	c.setDoubleEnds(endsOfAll(l, func(ch Channel, row int) float64 { return ch.Values[row] }))
	at := walk{log: l}
	return c.data(parquet.Encodings.Plain, func(b []byte, from, to int) []byte {
		b = slices.Grow(b, 8*(to-from))
		at.next(to-from, func(ch Channel, row int) { b = binary.LittleEndian.AppendUint64(b, math.Float64bits(ch.Values[row])) })
		return b
	})
}

// walk goes over a log's values, channel by channel.
type walk struct {
	log          Log
	channel, row int
}

// next calls do for the next n values, or as many as are left.
func (w *walk) next(n int, do func(ch Channel, row int)) {
	for ; n > 0 && w.channel < len(w.log.Channels); w.channel, w.row = w.channel+1, 0 {
		ch := w.log.Channels[w.channel]
		for ; w.row < len(w.log.TimesNS); w.row++ {
			if !ch.has(w.row) {
				continue
			}
			if n == 0 {
				return
			}
			n--
			do(ch, w.row)
		}
	}
}

// endsOfAll are the least and the greatest of what belongs to the values of a log, which has one at least.
func endsOfAll[T cmp.Ordered](l Log, of func(ch Channel, row int) T) (least, most T) {
	first := true
	at := walk{log: l}
	at.next(math.MaxInt, func(ch Channel, row int) {
		v := of(ch, row)
		if first {
			least, most, first = v, v, false
		}
		least, most = min(least, v), max(most, v)
	})
	return least, most
}

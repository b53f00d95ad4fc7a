package archive

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/bitutil"
	"github.com/apache/arrow/go/v15/parquet"
)

// constant writes one text for every row.
func (c *chunk) constant(text string) error { return c.stretches([]stretch{{text, c.rows}}) }

// count numbers the rows from 0.
func (c *chunk) count() error {
	c.setEnds(binary.LittleEndian.AppendUint32(nil, 0), binary.LittleEndian.AppendUint32(nil, uint32(c.rows-1)))
	return c.data(parquet.Encodings.DeltaBinaryPacked, func(b []byte, from, to int) []byte { return appendSteps(b, to-from, int64(from), 1) })
}

// within writes true for the rows lo ≤ i < hi.
func (c *chunk) within(lo, hi int) error {
	one := func(is bool) []byte {
		if is {
			return []byte{1}
		}
		return []byte{0}
	}
	c.setEnds(one(hi-lo == c.rows), one(hi > lo))
	return c.data(parquet.Encodings.Plain, func(b []byte, from, to int) []byte {
		start := len(b)
		b = append(b, make([]byte, bitutil.BytesForBits(int64(to-from)))...)
		if first, end := max(lo, from), min(hi, to); first < end {
			bitutil.SetBitsTo(b[start:], int64(first-from), int64(end-first), true)
		}
		return b
	})
}

// measured writes numbers: DELTA_BINARY_PACKED where they are whole and none is null, PLAIN otherwise.
func (c *chunk) measured(x arrow.Array) error {
	p := presenceOf(x)
	c.stats.NullCount = int64(x.NullN())
	switch x := x.(type) {
	case *array.Int64:
		values := x.Int64Values()
		if least, most, ok := ends(values, p); ok {
			c.setEnds(binary.LittleEndian.AppendUint64(nil, uint64(least)), binary.LittleEndian.AppendUint64(nil, uint64(most)))
		}
		if x.NullN() == 0 {
			return c.numbers(parquet.Encodings.DeltaBinaryPacked, values, p)
		}
		return c.numbers(parquet.Encodings.Plain, values, p)
	case *array.Float64:
		values := x.Float64Values()
		if err := finite(values, p); err != nil {
			return err
		}
		if least, most, ok := ends(values, p); ok {
			c.setDoubleEnds(least, most)
		}
		return c.numbers(parquet.Encodings.Plain, arrow.Int64Traits.CastFromBytes(arrow.Float64Traits.CastToBytes(values)), p)
	}
	return fmt.Errorf("an array of %s", x.DataType())
}

// setDoubleEnds sets the ends of a column of doubles. The specification has zeros written so, for -0 equals 0 and either may stand
// for both.
func (c *chunk) setDoubleEnds(least, most float64) {
	if least == 0 {
		least = math.Copysign(0, -1)
	}
	if most == 0 {
		most = 0
	}
	c.setEnds(binary.LittleEndian.AppendUint64(nil, math.Float64bits(least)), binary.LittleEndian.AppendUint64(nil, math.Float64bits(most)))
}

// numbers writes the data pages of 8-byte numbers, doubles by their bits.
func (c *chunk) numbers(enc parquet.Encoding, values []int64, p presence) error {
	return c.data(enc, func(b []byte, from, to int) []byte {
		if c.meta.Descr().MaxDefinitionLevel() > 0 {
			b = p.appendLevels(b, from, to)
		}
		if enc == parquet.Encodings.DeltaBinaryPacked {
			return appendDeltas(b, values[from:to])
		}
		b = slices.Grow(b, 8*(to-from))
		for i, v := range values[from:to] {
			if p.has(from + i) {
				b = binary.LittleEndian.AppendUint64(b, uint64(v))
			}
		}
		return b
	})
}

// absent writes a null for every row.
func (c *chunk) absent() error {
	c.stats.NullCount = int64(c.rows)
	none := presence{bits: make([]byte, bitutil.BytesForBits(int64(c.rows)))}
	return c.data(parquet.Encodings.Plain, none.appendLevels)
}

// ends are the least and the greatest value; ok is false where there is none.
func ends[T int64 | float64](values []T, p presence) (least, most T, ok bool) {
	if p.bits == nil {
		return slices.Min(values), slices.Max(values), true
	}
	for i, v := range values {
		switch {
		case !p.has(i):
		case !ok:
			least, most, ok = v, v, true
		default:
			least, most = min(least, v), max(most, v)
		}
	}
	return least, most, ok
}

func finite(values []float64, p presence) error {
	for i, v := range values {
		if v-v != 0 && p.has(i) { // NaN and both infinities; what lies under a null is of no account
			return fmt.Errorf("row %d is %v", i, v)
		}
	}
	return nil
}

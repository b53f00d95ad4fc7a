package archive

import (
	"encoding/binary"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/bitutil"
)

// presence says which of a column's rows have a value. The zero value says all.
type presence struct {
	bits   []byte // Arrow's validity, row i at offset+i; nil where all rows have a value
	offset int
}

func presenceOf(x arrow.Array) presence {
	if x.NullN() == 0 {
		return presence{}
	}
	return presence{bits: x.NullBitmapBytes(), offset: x.Data().Offset()}
}

func (p presence) has(row int) bool { return p.bits == nil || bitutil.BitIsSet(p.bits, p.offset+row) }

// appendLevels appends the definition levels of the rows from ≤ i < to as they stand in a version 1 data page: a length of
// four bytes, then runs of levels that are 0 for null and 1 for a value (Parquet format specification, "Data Pages"). A validity
// bitmap, from its first row on, is such a run, bit-packed.
func (p presence) appendLevels(b []byte, from, to int) []byte {
	start, n, set := len(b), to-from, to-from
	if p.bits != nil {
		set = bitutil.CountSetBits(p.bits, p.offset+from, n)
	}
	b = append(b, 0, 0, 0, 0)
	switch set {
	case 0:
		b = appendRun(b, n, 0)
	case n:
		b = appendRun(b, n, 1)
	default:
		size := int(bitutil.BytesForBits(int64(n)))
		b = append(binary.AppendUvarint(b, uint64(size)<<1|1), make([]byte, size)...)
		bitutil.CopyBitmap(p.bits, p.offset+from, n, b[len(b)-size:], 0)
	}
	binary.LittleEndian.PutUint32(b[start:], uint32(len(b)-start-4))
	return b
}

// appendRun appends n times the same number of at most 8 bits, in the hybrid encoding of the Parquet format specification
// ("Encodings", Run Length Encoding / Bit-Packing Hybrid).
func appendRun(b []byte, n int, value byte) []byte {
	return append(binary.AppendUvarint(b, uint64(n)<<1), value)
}

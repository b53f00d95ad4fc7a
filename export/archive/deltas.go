package archive

import (
	"encoding/binary"
	"math"
	"math/bits"
	"slices"
)

// The encoding is DELTA_BINARY_PACKED of the Parquet format specification ("Encodings", Delta Encoding): a header, then blocks
// of 128 differences to the value before, each block with its least difference, the widths of its four miniblocks, and
// what the differences exceed the least by, bit-packed. Differences wrap around, as do the sums of whoever decodes them.
const (
	deltaBlock      = 128
	deltaMiniblocks = 4
	deltaMiniblock  = deltaBlock / deltaMiniblocks
)

func appendDeltaHeader(b []byte, n int, first int64) []byte {
	b = binary.AppendUvarint(b, deltaBlock)
	b = binary.AppendUvarint(b, deltaMiniblocks)
	b = binary.AppendUvarint(b, uint64(n))
	return binary.AppendVarint(b, first) // zigzag
}

// appendDeltas appends whole numbers, one at least.
func appendDeltas(b []byte, values []int64) []byte {
	last := values[0]
	b = appendDeltaHeader(b, len(values), last)
	var deltas [deltaBlock]int64
	for rest := values[1:]; len(rest) > 0; {
		block := rest[:min(len(rest), deltaBlock)]
		rest = rest[len(block):]
		least := int64(math.MaxInt64)
		for i, v := range block {
			deltas[i] = v - last
			least, last = min(least, deltas[i]), v
		}
		for i := len(block); i < deltaBlock; i++ {
			deltas[i] = least // the last miniblock is filled up with zeros; those behind it are not stored, and their widths are 0
		}
		b = binary.AppendVarint(b, least)
		widths := len(b)
		b = append(b, make([]byte, deltaMiniblocks)...)
		for m := range (len(block) + deltaMiniblock - 1) / deltaMiniblock {
			var width byte
			b, width = appendMiniblock(b, (*[deltaMiniblock]int64)(deltas[m*deltaMiniblock:]), least)
			b[widths+m] = width
		}
	}
	return b
}

// appendMiniblock appends what each difference exceeds the least by, lowest bit first, and returns their width in bits.
func appendMiniblock(b []byte, deltas *[deltaMiniblock]int64, least int64) ([]byte, byte) {
	all := uint64(0)
	for _, d := range deltas {
		all |= uint64(d - least)
	}
	width := uint(bits.Len64(all))
	b = slices.Grow(b, 8*deltaMiniblock)
	out := b[len(b) : len(b)+int(width)*deltaMiniblock/8]
	b = b[:len(b)+len(out)]
	word, used := uint64(0), uint(0) // used < 64
	for _, d := range deltas {
		v := uint64(d - least)
		word |= v << (used & 63)
		used += width
		if used >= 64 {
			binary.LittleEndian.PutUint64(out, word)
			out = out[8:]
			used -= 64
			word = v >> (width - used) // what did not fit; all of it did where used is 0
		}
	}
	if len(out) > 0 { // the width is odd: half a word is left
		binary.LittleEndian.PutUint32(out, uint32(word))
	}
	return b, byte(width)
}

// appendSteps appends n whole numbers, each by step greater than the one before: every difference is the least one and takes no bits.
func appendSteps(b []byte, n int, first, step int64) []byte {
	b = appendDeltaHeader(b, n, first)
	for left := n - 1; left > 0; left -= deltaBlock {
		b = append(binary.AppendVarint(b, step), make([]byte, deltaMiniblocks)...)
	}
	return b
}

package archive

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"math"
	"slices"

	"github.com/parquet-go/parquet-go/format"
	"pgregory.net/rapid"
)

// columnFooter is what a frames file's footer should say of one column of one run.
type columnFooter struct {
	encodings   []format.Encoding
	least, most []byte // nil: no values
	nulls       int
}

// footerOf is worked out from the rows that were written.
func footerOf(p passData) map[string]columnFooter {
	constant := []format.Encoding{format.RLEDictionary, format.Plain, format.RLE}
	plain, delta := []format.Encoding{format.Plain, format.RLE}, []format.Encoding{format.DeltaBinaryPacked, format.RLE}
	frames := make([]*int64, len(p.ns))
	kept := make([]byte, len(p.ns))
	for i := range p.ns {
		frames[i] = &p.ns[i]
		if p.lo <= i && i < p.hi {
			kept[i] = 1
		}
	}
	f := map[string]columnFooter{
		"card":      {encodings: constant, least: []byte("heron_x"), most: []byte("heron_x")},
		"run_id":    {encodings: constant, least: []byte(p.id), most: []byte(p.id)},
		"frame":     {encodings: delta, least: []byte{0, 0, 0, 0}, most: binary.LittleEndian.AppendUint32(nil, uint32(len(p.ns)-1))},
		"kept":      {encodings: plain, least: []byte{slices.Min(kept)}, most: []byte{slices.Max(kept)}},
		"submit_ns": wholeFooter(p.submit, plain, len(p.ns)), "frame_ns": wholeFooter(frames, delta, 0), "load_pct": {encodings: plain, nulls: len(p.ns)},
	}
	if s := f["submit_ns"]; s.nulls == 0 {
		s.encodings = delta
		f["submit_ns"] = s
	}
	if least, most, nulls := endsOf(p.load); least != nil {
		// The Parquet format (parquet.thrift, ColumnOrder): a least 0 is written as -0, a greatest as +0.
		if *least == 0 {
			least = ptr(math.Copysign(0, -1))
		}
		f["load_pct"] = columnFooter{encodings: plain, nulls: nulls,
			least: binary.LittleEndian.AppendUint64(nil, math.Float64bits(*least)), most: binary.LittleEndian.AppendUint64(nil, math.Float64bits(*most))}
	}
	return f
}

func wholeFooter(values []*int64, enc []format.Encoding, absent int) columnFooter {
	least, most, nulls := endsOf(values)
	if least == nil {
		return columnFooter{encodings: enc, nulls: absent}
	}
	return columnFooter{encodings: enc, nulls: nulls,
		least: binary.LittleEndian.AppendUint64(nil, uint64(*least)), most: binary.LittleEndian.AppendUint64(nil, uint64(*most))}
}

func endsOf[T cmp.Ordered](values []*T) (least, most *T, nulls int) {
	for _, v := range values {
		switch {
		case v == nil:
			nulls++
			continue
		case least == nil:
			least, most = v, v
		}
		if *v < *least {
			least = v
		}
		if *v > *most {
			most = v
		}
	}
	return least, most, nulls
}

func checkFramesFooter(t rapid.TB, meta *format.FileMetaData, passes []passData) {
	if len(meta.RowGroups) != len(passes) {
		t.Fatalf("%d row groups for %d passes", len(meta.RowGroups), len(passes))
	}
	end := int64(len("PAR1"))
	for i, g := range meta.RowGroups {
		p := passes[i]
		if g.NumRows != int64(len(p.ns)) || g.FileOffset != end {
			t.Fatalf("group %d has %d rows at %d, want %d at %d", i, g.NumRows, g.FileOffset, len(p.ns), end)
		}
		end = checkGroupFooter(t, g, footerOf(p), end)
	}
}

// checkGroupFooter checks a row group's columns, the first of which begins at end, and returns where the last one ends.
func checkGroupFooter(t rapid.TB, g format.RowGroup, want map[string]columnFooter, end int64) int64 {
	if len(g.Columns) != len(want) {
		t.Fatalf("%d columns, want %d", len(g.Columns), len(want))
	}
	for _, c := range g.Columns {
		m, s := c.MetaData, c.MetaData.Statistics
		name := m.PathInSchema[0]
		w := want[name]
		if m.Codec != format.Zstd || m.NumValues != g.NumRows || !slices.Equal(m.Encoding, w.encodings) {
			t.Fatalf("%s: codec %s, encodings %v, %d values of %d", name, m.Codec, m.Encoding, m.NumValues, g.NumRows)
		}
		if !bytes.Equal(s.MinValue, w.least) || !bytes.Equal(s.MaxValue, w.most) || s.NullCount != int64(w.nulls) {
			t.Fatalf("%s: from %x to %x with %d nulls, want %x, %x and %d", name, s.MinValue, s.MaxValue, s.NullCount, w.least, w.most, w.nulls)
		}
		// Chunks stand one behind the other, a dictionary before its data.
		begin, dictionary := m.DataPageOffset, w.encodings[0] == format.RLEDictionary
		if dictionary {
			begin = m.DictionaryPageOffset
		}
		if begin != end || dictionary != (m.DictionaryPageOffset > 0) || m.DataPageOffset < begin {
			t.Fatalf("%s: dictionary at %d, data at %d, want %d", name, m.DictionaryPageOffset, m.DataPageOffset, end)
		}
		end += m.TotalCompressedSize
	}
	return end
}

package ingest

import (
	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/bitutil"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/rigslate/rigslate/ingest/text"
)

// column grows the buffers that become an Arrow array, so that nothing is copied when it does. Arrow's builders were rejected:
// they double, and copy once more to trim.
type column struct {
	field  arrow.Field
	values *memory.Buffer // eight bytes a row
	valid  *memory.Buffer // a bit a row; nil while there is no null
	rows   int
	nulls  int
}

func newColumn(mem memory.Allocator, name string, typ arrow.DataType, nullable bool) *column {
	return &column{field: arrow.Field{Name: name, Type: typ, Nullable: nullable}, values: memory.NewResizableBuffer(mem)}
}

// reserve makes room for rows more; expected is a guess at how many there will be in all.
func (c *column) reserve(rows, expected int) {
	need := c.rows + rows
	if have := c.values.Cap() / 8; need > have {
		c.values.Reserve(8 * max(need, expected, have+have/2))
	}
	c.values.ResizeNoShrink(8 * need)
}

func (c *column) appendInt64(v []int64, expected int) {
	c.reserve(len(v), expected)
	copy(arrow.Int64Traits.CastFromBytes(c.values.Bytes())[c.rows:], v)
	c.rows += len(v)
}

func (c *column) appendFloat64(v []float64, expected int) {
	c.reserve(len(v), expected)
	copy(arrow.Float64Traits.CastFromBytes(c.values.Bytes())[c.rows:], v)
	c.rows += len(v)
}

// mark records which of the last rows are null; it follows the append of their values.
func (c *column) mark(mem memory.Allocator, valid []bool, nulls int) {
	if nulls == 0 && c.valid == nil {
		return
	}
	from := c.rows - len(valid)
	if c.valid == nil {
		c.valid = memory.NewResizableBuffer(mem)
		c.valid.Resize(int(bitutil.BytesForBits(int64(c.values.Cap() / 8))))
		bitutil.SetBitsTo(c.valid.Bytes(), 0, int64(from), true)
	}
	if need := int(bitutil.BytesForBits(int64(c.values.Cap() / 8))); need > c.valid.Len() {
		c.valid.ResizeNoShrink(need)
	}
	for i, ok := range valid {
		bitutil.SetBitTo(c.valid.Bytes(), from+i, ok)
	}
	c.nulls += nulls
}

// array hands the buffers over to an array; the column keeps none.
func (c *column) array() arrow.Array {
	if c.valid != nil {
		c.valid.ResizeNoShrink(int(bitutil.BytesForBits(int64(c.rows))))
	}
	data := array.NewData(c.field.Type, c.rows, []*memory.Buffer{c.valid, c.values}, nil, c.nulls, 0)
	defer data.Release()
	c.release()
	return array.MakeFromData(data)
}

func (c *column) release() {
	if c.values != nil {
		c.values.Release()
	}
	if c.valid != nil {
		c.valid.Release()
	}
	c.values, c.valid = nil, nil
}

// columns are those of one record, frame_ns first.
type columns []*column

func newColumns(mem memory.Allocator, l text.Layout) columns {
	cols := columns{newColumn(mem, "frame_ns", arrow.PrimitiveTypes.Int64, false)}
	for _, x := range l.Extra {
		if x.Time {
			cols = append(cols, newColumn(mem, x.Key+"_ns", arrow.PrimitiveTypes.Int64, true))
		} else {
			cols = append(cols, newColumn(mem, x.Key, arrow.PrimitiveTypes.Float64, true))
		}
	}
	return cols
}

func (cols columns) append(mem memory.Allocator, b *text.Block, expected int) {
	cols[0].appendInt64(b.FrameNS, expected)
	for i, v := range b.Extra {
		c := cols[i+1]
		if v.NS != nil {
			c.appendInt64(v.NS, expected)
		} else {
			c.appendFloat64(v.F, expected)
		}
		c.mark(mem, v.Valid, v.Nulls)
	}
}

// record hands all buffers over to a record.
func (cols columns) record() arrow.Record {
	fields := make([]arrow.Field, len(cols))
	arrays := make([]arrow.Array, len(cols))
	rows := int64(cols[0].rows)
	for i, c := range cols {
		fields[i], arrays[i] = c.field, c.array()
		defer arrays[i].Release()
	}
	return array.NewRecord(arrow.NewSchema(fields, nil), arrays, rows)
}

func (cols columns) release() {
	for _, c := range cols {
		c.release()
	}
}

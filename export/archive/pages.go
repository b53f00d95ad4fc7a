package archive

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/schema"
	"github.com/klauspost/compress/zstd"
)

// createdBy names the archive's format and not the program's release, so that a release alone changes no byte. The form
// is the one that readers parse; some drop the statistics of a file whose writer they cannot parse.
const createdBy = "rigslate version 1.0.0"

// pages is a Parquet file made of arrow's column writers, one row group after another. Arrow's own file writer is not used:
// it makes a new Zstandard encoder for every page (half a megabyte to clear and collect, as costly as the encoding), loses
// the errors of its row groups, writes a footer after a failed write and closes the sink before it can be synced.
type pages struct {
	out    *sink
	schema *schema.Schema
	props  *parquet.WriterProperties
	meta   *metadata.FileMetaDataBuilder
	zstd   *zstd.Encoder
	groups int
	mem    memory.Allocator
}

// maxGroups is what the format's 16-bit row group number holds.
const maxGroups = 1<<15 - 1

func newPages(out *sink, mem memory.Allocator, fields schema.FieldList, opts ...parquet.WriterProperty) (*pages, error) {
	// REQUIRED: with a repeated root, strict readers expect repetition levels.
	root, err := schema.NewGroupNode("schema", parquet.Repetitions.Required, fields, -1)
	if err != nil {
		return nil, fmt.Errorf("frames schema: %w", err)
	}
	opts = append([]parquet.WriterProperty{
		parquet.WithAllocator(mem), parquet.WithCreatedBy(createdBy), parquet.WithVersion(parquet.V2_LATEST),
		parquet.WithDataPageVersion(parquet.DataPageV1), parquet.WithDataPageSize(1 << 20), parquet.WithBatchSize(16 << 10),
		parquet.WithCompression(compress.Codecs.Zstd), parquet.WithCompressionLevel(1), parquet.WithDictionaryDefault(false),
	}, opts...)
	enc, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1), zstd.WithZeroFrames(true))
	if err != nil {
		return nil, fmt.Errorf("frames compression: %w", err)
	}
	p := &pages{out: out, schema: schema.NewSchema(root), props: parquet.NewWriterProperties(opts...), zstd: enc, mem: mem}
	p.meta = metadata.NewFileMetadataBuilder(p.schema, p.props, nil)
	if _, err := out.Write([]byte("PAR1")); err != nil {
		return nil, err
	}
	return p, nil
}

// group writes one row group of rows rows; write is called for each column in the schema's order.
func (p *pages) group(rows int, write func(column int, c chunk) error) error {
	if p.groups == maxGroups {
		return fmt.Errorf("a frames file holds at most %d runs", maxGroups)
	}
	rg := p.meta.AppendRowGroup()
	uncompressed := int64(0)
	for i := range p.schema.NumColumns() {
		meta := rg.NextColumnChunk()
		path := meta.Descr().Path()
		pw, err := file.NewPageWriter(p.out, p.props.CompressionFor(path), p.props.CompressionLevelFor(path), meta,
			int16(p.groups), int16(i), p.mem, false, nil, nil)
		if err != nil {
			return fmt.Errorf("column %s: %w", path, err)
		}
		if err := write(i, chunk{meta: meta, pager: &encoderOnce{PageWriter: pw, zstd: p.zstd}, props: p.props, rows: rows}); err != nil {
			return fmt.Errorf("column %s: %w", path, err)
		}
		uncompressed += meta.Contents().MetaData.TotalUncompressedSize
	}
	rg.SetNumRows(rows)
	if err := rg.Finish(uncompressed, int16(p.groups)); err != nil {
		return err
	}
	p.groups++
	return p.out.err // arrow drops the error of a dictionary page
}

// footer ends the file. It is never written after an error.
func (p *pages) footer() error {
	if p.out.err != nil {
		return p.out.err
	}
	meta, err := p.meta.Finish()
	if err != nil {
		return err
	}
	begin := p.out.Tell()
	if _, err := meta.WriteTo(p.out, nil); err != nil {
		return err
	}
	tail := binary.LittleEndian.AppendUint32(nil, uint32(p.out.Tell()-begin))
	_, err = p.out.Write(append(tail, "PAR1"...))
	return err
}

// encoderOnce compresses with one encoder kept for the whole file.
type encoderOnce struct {
	file.PageWriter
	zstd *zstd.Encoder
}

func (e *encoderOnce) Compress(buf *bytes.Buffer, src []byte) []byte {
	buf.Grow(e.zstd.MaxEncodedSize(len(src)))
	return e.zstd.EncodeAll(src, buf.AvailableBuffer())
}

// chunk is one column of one row group about to be written.
type chunk struct {
	meta  *metadata.ColumnChunkMetaDataBuilder
	pager file.PageWriter
	props *parquet.WriterProperties
	rows  int
}

func (c chunk) int32s(enc parquet.Encoding, values []int32) error {
	w := file.NewInt32ColumnChunkWriter(c.meta, c.pager, false, enc, c.props)
	_, err := w.WriteBatch(values, nil, nil)
	return closeChunk(w, c.rows, err)
}

func (c chunk) int64s(enc parquet.Encoding, values []int64, levels []int16) error {
	w := file.NewInt64ColumnChunkWriter(c.meta, c.pager, false, enc, c.props)
	_, err := w.WriteBatch(values, levels, nil)
	return closeChunk(w, c.rows, err)
}

func (c chunk) doubles(values []float64, levels []int16) error {
	w := file.NewFloat64ColumnChunkWriter(c.meta, c.pager, false, parquet.Encodings.Plain, c.props)
	_, err := w.WriteBatch(values, levels, nil)
	return closeChunk(w, c.rows, err)
}

func (c chunk) bools(values []bool) error {
	w := file.NewBooleanColumnChunkWriter(c.meta, c.pager, false, parquet.Encodings.Plain, c.props)
	_, err := w.WriteBatch(values, nil, nil)
	return closeChunk(w, c.rows, err)
}

// constant writes one text for every row: a dictionary of one entry and a run of its index. Going through indices spares
// hashing the text once a row. dict holds the text, zeros at least as many zeros as there are rows.
func (c chunk) constant(dict, zeros arrow.Array) error {
	w := file.NewByteArrayColumnChunkWriter(c.meta, c.pager, true, parquet.Encodings.PlainDict, c.props)
	enc, ok := w.CurrentEncoder().(interface{ PutDictionary(arrow.Array) error })
	if !ok {
		return errors.New("no dictionary encoder")
	}
	if err := enc.PutDictionary(dict); err != nil {
		return err
	}
	stats := w.PageStatistics()
	stats.IncNumValues(int64(c.rows))
	if err := stats.UpdateFromArrow(dict, false); err != nil {
		return err
	}
	return closeChunk(w, c.rows, w.WriteDictIndices(zeros, nil, nil))
}

func closeChunk(w file.ColumnChunkWriter, rows int, err error) error {
	if err != nil {
		return err
	}
	if n := w.RowsWritten(); n != rows {
		return fmt.Errorf("%d values for %d rows", n, rows)
	}
	return w.Close()
}

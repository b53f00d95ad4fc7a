package archive

import (
	"context"
	"encoding/binary"
	"fmt"
	"sync"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/schema"
	"github.com/apache/thrift/lib/go/thrift"
	"github.com/klauspost/compress/zstd"
	xparquet "github.com/xitongsys/parquet-go/parquet"
)

// createdBy names the archive's format and not the program's release, so that a release alone changes no byte. The form
// is the one that readers parse; some drop the statistics of a file whose writer they cannot parse.
const createdBy = "rigslate version 1.0.0"

// pages is a Parquet file of frames or samples, one row group after another: page headers and pages are written here, the footer is
// arrow's. Arrow's own writers are not used. Its file writer loses the errors of its row groups, writes a footer after a failed
// write and closes the sink before it can be synced; its column writers go through reflection for every delta, put a constant's
// index once a row, and clear fresh buffers and a Zstandard encoder of half a megabyte again and again: three quarters of the time.
type pages struct {
	out     *sink
	schema  *schema.Schema
	delta   *parquet.WriterProperties // the footer names a column's encoding by its properties; an extra's differs between runs
	meta    *metadata.FileMetaDataBuilder
	headers *thrift.TSerializer
	zstd    *zstd.Encoder // of all files
	groups  int
	plain   []byte // the page being made, before and after compression
	packed  []byte
}

const (
	maxGroups = 1<<15 - 1 // what the format's 16-bit row group number holds
	pageRows  = 128 << 10 // a megabyte of 8-byte numbers
)

// packer compresses the pages of all files: an encoder holds 8 MB, and several cards' files of sensors are open at a time. One page is
// compressed at a time; nothing of a page stays behind.
var packer = sync.OnceValues(func() (*zstd.Encoder, error) {
	return zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1), zstd.WithZeroFrames(true))
})

func newPages(out *sink, fields schema.FieldList) (*pages, error) {
	// REQUIRED: with a repeated root, strict readers expect repetition levels.
	root, err := schema.NewGroupNode("schema", parquet.Repetitions.Required, fields, -1)
	if err != nil {
		return nil, fmt.Errorf("schema: %w", err)
	}
	props := func(enc parquet.Encoding) *parquet.WriterProperties {
		return parquet.NewWriterProperties(parquet.WithCreatedBy(createdBy), parquet.WithVersion(parquet.V2_LATEST),
			parquet.WithCompression(compress.Codecs.Zstd), parquet.WithEncoding(enc))
	}
	enc, err := packer()
	if err != nil {
		return nil, fmt.Errorf("compression: %w", err)
	}
	p := &pages{out: out, schema: schema.NewSchema(root), zstd: enc, headers: thrift.NewTSerializer(), delta: props(parquet.Encodings.DeltaBinaryPacked)}
	p.headers.Protocol = thrift.NewTCompactProtocolFactoryConf(nil).GetProtocol(p.headers.Transport)
	p.meta = metadata.NewFileMetadataBuilder(p.schema, props(parquet.Encodings.Plain), nil)
	if _, err := out.Write([]byte("PAR1")); err != nil {
		return nil, err
	}
	return p, nil
}

// group writes one row group of rows rows; write is called for each column in the schema's order.
func (p *pages) group(rows int, write func(column int, c *chunk) error) error {
	if p.groups == maxGroups {
		return fmt.Errorf("a file holds at most %d runs", maxGroups)
	}
	rg := p.meta.AppendRowGroup()
	uncompressed := int64(0)
	for i := range p.schema.NumColumns() {
		c := chunk{pages: p, meta: rg.NextColumnChunk(), rows: rows}
		err := write(i, &c)
		if err == nil {
			err = c.finish()
		}
		if err != nil {
			return fmt.Errorf("column %s: %w", c.meta.Descr().Path(), err)
		}
		uncompressed += c.info.UncompressedSize
	}
	rg.SetNumRows(rows)
	if err := rg.Finish(uncompressed, int16(p.groups)); err != nil {
		return err
	}
	p.groups++
	return nil
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

// chunk is one column of one row group being written.
type chunk struct {
	pages *pages
	meta  *metadata.ColumnChunkMetaDataBuilder
	rows  int
	info  metadata.ChunkMetaInfo
	stats metadata.EncodedStatistics
	used  metadata.EncodingStats
}

// setEnds sets the column's least and greatest value, in PLAIN encoding.
func (c *chunk) setEnds(least, most []byte) {
	c.stats.SetMin(least).SetMax(most)
	c.stats.ApplyStatSizeLimits(int(parquet.DefaultMaxStatsSize))
}

// dictionary writes the entries in pages.plain.
func (c *chunk) dictionary(entries int32) error {
	c.info.DictPageOffset = c.pages.out.Tell()
	c.used.DictEncodingStats = map[parquet.Encoding]int32{parquet.Encodings.Plain: 1}
	return c.page(&xparquet.PageHeader{Type: xparquet.PageType_DICTIONARY_PAGE,
		DictionaryPageHeader: &xparquet.DictionaryPageHeader{NumValues: entries, Encoding: xparquet.Encoding_PLAIN}})
}

// data writes the column's data pages: content appends levels and values of the rows from ≤ i < to.
func (c *chunk) data(enc parquet.Encoding, content func(page []byte, from, to int) []byte) error {
	c.info.DataPageOffset = c.pages.out.Tell()
	c.used.DataEncodingStats = map[parquet.Encoding]int32{}
	for from := 0; from < c.rows; from += pageRows {
		to := min(from+pageRows, c.rows)
		c.pages.plain = content(c.pages.plain[:0], from, to)
		err := c.page(&xparquet.PageHeader{Type: xparquet.PageType_DATA_PAGE, DataPageHeader: &xparquet.DataPageHeader{NumValues: int32(to - from),
			Encoding: xparquet.Encoding(enc), DefinitionLevelEncoding: xparquet.Encoding_RLE, RepetitionLevelEncoding: xparquet.Encoding_RLE}})
		if err != nil {
			return err
		}
		c.used.DataEncodingStats[enc]++
	}
	return nil
}

// page writes what is in pages.plain.
func (c *chunk) page(h *xparquet.PageHeader) error {
	p := c.pages
	p.packed = p.zstd.EncodeAll(p.plain, p.packed[:0])
	h.UncompressedPageSize, h.CompressedPageSize = int32(len(p.plain)), int32(len(p.packed))
	header, err := p.headers.Write(context.Background(), h)
	if err != nil {
		return err
	}
	c.info.UncompressedSize += int64(len(header) + len(p.plain))
	c.info.CompressedSize += int64(len(header) + len(p.packed))
	if _, err := p.out.Write(header); err != nil {
		return err
	}
	_, err = p.out.Write(p.packed)
	return err
}

// finish enters the column in the footer.
func (c *chunk) finish() error {
	c.info.NumValues, c.info.IndexPageOffset = int64(c.rows), -1
	c.stats.HasNullCount, c.stats.Signed = true, c.meta.Descr().SortOrder() == schema.SortSIGNED
	c.meta.SetStats(c.stats)
	meta := c.meta
	if c.used.DataEncodingStats[parquet.Encodings.DeltaBinaryPacked] > 0 {
		meta = metadata.NewColumnChunkMetaDataBuilderWithContents(c.pages.delta, meta.Descr(), meta.Contents())
	}
	err := meta.Finish(c.info, c.info.DictPageOffset > 0, false, c.used, nil)
	meta.Contents().FileOffset = 0 // no second copy of the metadata stands behind the pages
	return err
}

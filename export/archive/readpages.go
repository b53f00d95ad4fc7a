package archive

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"reflect"

	"github.com/apache/thrift/lib/go/thrift"
	"github.com/klauspost/compress/zstd"
	xparquet "github.com/xitongsys/parquet-go/parquet"
)

// readFooter reads a Parquet file's footer, and returns what stands before it.
func readFooter(content []byte) (footer *xparquet.FileMetaData, pages []byte, err error) {
	const mark, tail = "PAR1", 8
	if len(content) < len(mark)+tail || string(content[:4]) != mark || string(content[len(content)-4:]) != mark {
		return nil, nil, errors.New("not a Parquet file")
	}
	end := len(content) - tail
	size := int64(binary.LittleEndian.Uint32(content[end:]))
	if size > int64(end-len(mark)) {
		return nil, nil, fmt.Errorf("a footer of %d bytes in a file of %d", size, len(content))
	}
	pages = content[:end-int(size)]
	footer = xparquet.NewFileMetaData()
	if _, err := readThrift(footer, content[len(pages):end]); err != nil {
		return nil, nil, fmt.Errorf("footer: %w", err)
	}
	if footer.EncryptionAlgorithm != nil {
		return nil, nil, errors.New("it is encrypted")
	}
	return footer, pages, nil
}

// readThrift reads a structure in Thrift's compact form from the beginning of b, and returns how many bytes it took. No list or
// text in it may claim to be longer than b.
func readThrift(to thrift.TStruct, b []byte) (size int, err error) {
	if len(b) == 0 || len(b) > math.MaxInt32 {
		return 0, fmt.Errorf("%d bytes", len(b))
	}
	from := &thrift.TMemoryBuffer{Buffer: bytes.NewBuffer(b)}
	p := thrift.NewTCompactProtocolConf(from, &thrift.TConfiguration{MaxMessageSize: int32(len(b))})
	if err := to.Read(context.Background(), p); err != nil {
		return 0, err
	}
	return len(b) - from.Len(), nil
}

// pageReader unpacks the pages of a file, in all no more than it is given room for.
type pageReader struct {
	pages []byte // the file without its footer
	unzip *zstd.Decoder
	plain []byte // the page unpacked last
	left  int    // what may still be unpacked
}

func newPageReader(pages []byte, room int) (*pageReader, error) {
	unzip, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecodeAllCapLimit(true))
	if err != nil {
		return nil, err
	}
	return &pageReader{pages: pages, unzip: unzip, left: room}, nil
}

func (p *pageReader) close() { p.unzip.Close() }

// chunk returns the pages of a column chunk of n rows.
func (p *pageReader) chunk(m *xparquet.ColumnMetaData, n int64) ([]byte, error) {
	switch {
	case m.Codec != xparquet.CompressionCodec_ZSTD:
		return nil, fmt.Errorf("compressed by %s, expected ZSTD", m.Codec)
	case m.NumValues != n:
		return nil, fmt.Errorf("%d values for %d rows", m.NumValues, n)
	}
	from, size := m.DataPageOffset, m.TotalCompressedSize
	if m.DictionaryPageOffset != nil && *m.DictionaryPageOffset > 0 {
		return nil, errors.New("it has a dictionary, which tables have not")
	}
	if from < 4 || size < 0 || from > int64(len(p.pages)) || size > int64(len(p.pages))-from {
		return nil, fmt.Errorf("%d bytes at %d lie outside the file", size, from)
	}
	return p.pages[from : from+size], nil
}

// mostRatio is what Zstandard packs at best: a block of at most 128 KiB takes at least 4 bytes (RFC 8878, section 3.1.1.2).
const mostRatio = 128 << 10 / 4

// page unpacks the page that chunk begins with. content is valid until the next page is; rest is what follows in the chunk.
func (p *pageReader) page(chunk []byte) (count int, content, rest []byte, err error) {
	h := xparquet.NewPageHeader()
	size, err := readThrift(h, chunk)
	if err != nil {
		return 0, nil, nil, fmt.Errorf("page header: %w", err)
	}
	body, d := chunk[size:], h.DataPageHeader
	switch {
	case h.Type != xparquet.PageType_DATA_PAGE || d == nil:
		err = fmt.Errorf("a page of kind %s, expected %s", h.Type, xparquet.PageType_DATA_PAGE)
	case d.Encoding != xparquet.Encoding_PLAIN || d.DefinitionLevelEncoding != xparquet.Encoding_RLE:
		err = fmt.Errorf("a page of %s with levels of %s, expected PLAIN and RLE", d.Encoding, d.DefinitionLevelEncoding)
	case d.NumValues < 1:
		err = fmt.Errorf("a page of %d values", d.NumValues)
	case h.CompressedPageSize < 0 || int(h.CompressedPageSize) > len(body):
		err = fmt.Errorf("a page of %d bytes where %d are left", h.CompressedPageSize, len(body))
	case h.UncompressedPageSize < 0 || int(h.UncompressedPageSize) > p.left:
		err = fmt.Errorf("a page of %d bytes unpacked, where %d are read at most", h.UncompressedPageSize, p.left)
	}
	if err != nil {
		return 0, nil, nil, err
	}
	packed, rest := body[:h.CompressedPageSize], body[h.CompressedPageSize:]
	says := int(h.UncompressedPageSize)
	if says/mostRatio > len(packed) {
		return 0, nil, nil, fmt.Errorf("a page of %d bytes that would unpack to %d", len(packed), says)
	}
	p.left -= says
	if cap(p.plain) < says {
		p.plain = make([]byte, 0, says)
	}
	if p.plain, err = p.unzip.DecodeAll(packed, p.plain[:0:says]); err != nil {
		return 0, nil, nil, fmt.Errorf("unpacking a page: %w", err)
	}
	if len(p.plain) != says {
		return 0, nil, nil, fmt.Errorf("a page unpacks to %d bytes, it says %d", len(p.plain), says)
	}
	return int(d.NumValues), p.plain, rest, nil
}

// levels reads the definition levels of a page of count rows: a length of four bytes, then runs, in the hybrid encoding of the
// Parquet format specification ("Encodings", Run Length Encoding / Bit-Packing Hybrid) with a width of one bit: an even number is
// twice the length of a run of the value that follows, an odd one twice the number of bytes of eight levels each. It returns
// which rows have a value, and the values.
func levels(page []byte, count int) (there []bool, values []byte, err error) {
	if len(page) < 4 || int64(binary.LittleEndian.Uint32(page)) > int64(len(page)-4) {
		return nil, nil, errors.New("levels that are longer than their page")
	}
	size := int(binary.LittleEndian.Uint32(page))
	runs, values := page[4:4+size], page[4+size:]
	there = make([]bool, 0, count)
	for len(there) < count {
		header, n := binary.Uvarint(runs)
		length, left := header>>1, uint64(count-len(there))
		if n <= 0 || length == 0 {
			return nil, nil, errors.New("levels that end too early, or a run of none")
		}
		runs = runs[n:]
		if header&1 == 0 {
			if length > left || len(runs) == 0 || runs[0] > 1 {
				return nil, nil, fmt.Errorf("a run of %d levels where %d are left, or of another level than 0 and 1", length, left)
			}
			for range length {
				there = append(there, runs[0] == 1)
			}
			runs = runs[1:]
			continue
		}
		if length > (left+7)/8 || length > uint64(len(runs)) {
			return nil, nil, fmt.Errorf("%d bytes of levels where %d levels are left", length, left)
		}
		for i := range min(8*length, left) {
			there = append(there, runs[i/8]>>(i%8)&1 == 1)
		}
		runs = runs[length:]
	}
	if len(runs) > 0 {
		return nil, nil, fmt.Errorf("%d bytes behind the last level", len(runs))
	}
	return there, values, nil
}

// plainValues are the values of a page in the plain encoding, one after another.
type plainValues struct {
	rest []byte
	bit  int // of rest[0], the next of the booleans
}

var errShort = errors.New("the page ends before its values do")

// set sets a field from the next value. Booleans take a bit each, the lowest first; a text has its length before it.
func (v *plainValues) set(to reflect.Value) error {
	take := func(n int) []byte {
		b := v.rest[:n]
		v.rest = v.rest[n:]
		return b
	}
	have := len(v.rest)
	switch to.Kind() {
	case reflect.Bool:
		if have < 1 {
			return errShort
		}
		to.SetBool(v.rest[0]>>v.bit&1 == 1)
		if v.bit++; v.bit == 8 {
			v.bit, v.rest = 0, v.rest[1:]
		}
	case reflect.Int32:
		if have < 4 {
			return errShort
		}
		to.SetInt(int64(int32(binary.LittleEndian.Uint32(take(4)))))
	case reflect.Int64, reflect.Float64:
		if have < 8 {
			return errShort
		}
		bits := binary.LittleEndian.Uint64(take(8))
		if to.Kind() == reflect.Int64 {
			to.SetInt(int64(bits))
		} else {
			to.SetFloat(math.Float64frombits(bits))
		}
	default:
		if have < 4 || int64(binary.LittleEndian.Uint32(v.rest)) > int64(have-4) {
			return errShort
		}
		to.SetString(string(take(int(binary.LittleEndian.Uint32(take(4))))))
	}
	return nil
}

// end returns how many bytes follow the last value.
func (v *plainValues) end() int {
	if v.bit > 0 {
		return len(v.rest) - 1
	}
	return len(v.rest)
}

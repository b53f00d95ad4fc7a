package archive

import (
	"bytes"
	"context"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/apache/thrift/lib/go/thrift"
	xparquet "github.com/xitongsys/parquet-go/parquet"
)

// hostileRow has a column of each physical type, with nulls and without: a file of a few hundred bytes goes through all of the reader.
type hostileRow struct {
	Name   string   `parquet:"name"`
	Thin   bool     `parquet:"thin"`
	N      int32    `parquet:"n"`
	Frames *int64   `parquet:"frames"`
	Mean   *float64 `parquet:"mean"`
	Note   *string  `parquet:"note"`
}

func hostileRows() []hostileRow {
	return []hostileRow{{Name: "heron_x", N: 3, Frames: ptr(int64(7200)), Mean: ptr(71.25)}, {Name: "gannet", Thin: true, Note: ptr("one launch")}, {}}
}

// thriftBytes is a structure in Thrift's compact form.
func thriftBytes(t testing.TB, from thrift.TStruct) []byte {
	t.Helper()
	s := thrift.NewTSerializer()
	s.Protocol = thrift.NewTCompactProtocolFactoryConf(nil).GetProtocol(s.Transport)
	out, err := s.Write(context.Background(), from)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// packedPage is a page of n values that says it unpacks to says bytes.
func packedPage(t testing.TB, plain []byte, n, says int) []byte {
	t.Helper()
	enc, err := packer()
	if err != nil {
		t.Fatal(err)
	}
	packed := enc.EncodeAll(plain, nil)
	return append(thriftBytes(t, &xparquet.PageHeader{Type: xparquet.PageType_DATA_PAGE, CompressedPageSize: int32(len(packed)),
		UncompressedPageSize: int32(says), DataPageHeader: &xparquet.DataPageHeader{NumValues: int32(n), Encoding: xparquet.Encoding_PLAIN,
			DefinitionLevelEncoding: xparquet.Encoding_RLE, RepetitionLevelEncoding: xparquet.Encoding_RLE}}), packed...)
}

// withFooter puts a changed footer behind the pages of a table.
func withFooter(t testing.TB, content []byte, change func(*xparquet.FileMetaData)) []byte {
	t.Helper()
	footer, pages, err := readFooter(content)
	if err != nil {
		t.Fatal(err)
	}
	change(footer)
	text := thriftBytes(t, footer)
	size := []byte{byte(len(text)), byte(len(text) >> 8), byte(len(text) >> 16), 0}
	return slices.Concat(pages, text, size, []byte("PAR1"))
}

// claims makes a table say that it has n rows.
func claims(n int64) func(*xparquet.FileMetaData) {
	return func(f *xparquet.FileMetaData) {
		f.NumRows, f.RowGroups[0].NumRows = n, n
		for _, c := range f.RowGroups[0].Columns {
			c.MetaData.NumValues = n
		}
	}
}

// allocated is how many bytes a call of f allocates, whether or not they are freed.
func allocated(f func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// A page that unpacks to more than it says, or than is read at all, or than its bytes can hold, is refused before it is unpacked.
func TestPagesAreBounded(t *testing.T) {
	const mb = 1 << 20
	zeros := make([]byte, 64*mb)
	for _, tt := range []struct {
		name            string
		page            []byte
		room            int
		most            uint64 // bytes allocated
		want            string
		values, content int
	}{
		{"whole", packedPage(t, zeros[:mb], 1, mb), mb, 2 * mb, "", 1, mb},
		{"a bomb that says little", packedPage(t, zeros, 1, 10), mb, mb, "unpacking a page: decompressed size exceeds configured limit", 0, 0},
		{"a bomb that says it", packedPage(t, zeros, 1, 64*mb), 64*mb - 1, mb, "a page of 67108864 bytes unpacked, where 67108863 are read at most", 0, 0},
		{"few bytes that say much", packedPage(t, nil, 1, 64*mb), 64 * mb, mb, "a page of 9 bytes that would unpack to 67108864", 0, 0},
		{"less than it says", packedPage(t, zeros[:10], 1, 11), mb, mb, "a page unpacks to 10 bytes, it says 11", 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, err := newPageReader(nil, tt.room)
			if err != nil {
				t.Fatal(err)
			}
			defer p.close()
			var n int
			var content []byte
			took := allocated(func() { n, content, _, err = p.page(tt.page) })
			switch {
			case took > tt.most:
				t.Errorf("%d bytes allocated, want at most %d", took, tt.most)
			case tt.want == "" && (err != nil || n != tt.values || len(content) != tt.content):
				t.Errorf("%d values in %d bytes, %v", n, len(content), err)
			case tt.want != "" && (err == nil || err.Error() != tt.want):
				t.Errorf("error %v, want %s", err, tt.want)
			}
		})
	}
}

// A small table that claims many rows costs no more than such rows may take, and one that claims more is refused before they are made.
func TestClaimedRowsAreBounded(t *testing.T) {
	good := tableBytes(t, hostileRows())
	for _, tt := range []struct {
		n    int64
		most uint64
		want string
	}{
		{1 << 16, 16 << 20, "column name: it ends 65533 values early"},
		{1 << 40, 1 << 20, "more than a table of 128 MB can have; make reviews of parts of the plan"},
		{-1, 1 << 20, "more than a table of 128 MB can have; make reviews of parts of the plan"},
	} {
		content := withFooter(t, good, claims(tt.n))
		var err error
		took := allocated(func() { _, err = decodeTable[hostileRow](content, tt.n) })
		if err == nil || !strings.HasSuffix(err.Error(), tt.want) {
			t.Errorf("%d rows: error %v, want %s", tt.n, err, tt.want)
		}
		if took > tt.most {
			t.Errorf("%d rows: %d bytes allocated, want at most %d", tt.n, took, tt.most)
		}
	}
}

// What cannot be read again is not written: the rows of a table that fills mostTable, and texts that do.
func TestTablesThatAreTooLargeAreNotWritten(t *testing.T) {
	text := strings.Repeat("x", 1<<20)
	rows := make([]hostileRow, 128)
	for i := range rows {
		rows[i].Name = text
	}
	err := writeTable(io.Discard, rows)
	if want := "128 rows in "; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("error %v, want %s…", err, want)
	}
	if err := writeTable(io.Discard, rows[:20]); err != nil {
		t.Error(err)
	}
}

// FuzzTable holds the reader to rows or an error on any bytes; rows are such as the format allows, so they can be written again. The
// tables are small: the engine spends its time on making what it finds shorter, and in files of some kilobytes it does little else.
func FuzzTable(f *testing.F) {
	for _, rows := range [][]hostileRow{nil, hostileRows()} {
		f.Add(tableBytes(f, rows), uint16(len(rows)))
	}
	f.Add(withFooter(f, tableBytes(f, hostileRows()), claims(1<<16-1)), uint16(1<<16-1))
	f.Add([]byte("PAR1\x00\x00\x00\x00PAR1"), uint16(1))
	f.Fuzz(func(t *testing.T, content []byte, n uint16) {
		rows, err := decodeTable[hostileRow](content, int64(n))
		if err != nil {
			return
		}
		if len(rows) != int(n) {
			t.Fatalf("%d rows, want %d", len(rows), n)
		}
		var out bytes.Buffer
		if err := writeTable(&out, rows); err != nil {
			t.Fatal(err)
		}
		if _, err := decodeTable[hostileRow](out.Bytes(), int64(n)); err != nil {
			t.Fatal(err)
		}
	})
}

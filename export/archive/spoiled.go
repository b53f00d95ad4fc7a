package archive

import (
	"encoding/binary"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/klauspost/compress/zstd"
	xparquet "github.com/xitongsys/parquet-go/parquet"
)

// spoiled tells whose frames in a damaged file can no longer be read: Zstandard's checksum stands in each page. Where the file's end
// is damaged that is all of the card's passes, and so it is where every page is whole and yet the file is not what was published.
func (e Edition) spoiled(f FileEntry) (out []Passed) {
	card := strings.TrimSuffix(strings.TrimPrefix(f.Path, "frames-"), ".parquet")
	var mine []Passed
	for _, p := range e.Passes() {
		if p.Card == card {
			mine = append(mine, p)
		}
	}
	bad, err := badGroups(filepath.Join(e.Dir, filepath.FromSlash(f.Path)))
	if err != nil || len(bad) != len(mine) { // a row group a run, in the order of the runs
		return mine
	}
	for i, p := range mine {
		if bad[i] {
			out = append(out, p)
		}
	}
	if out == nil {
		return mine
	}
	return out
}

// badGroups says of each row group whether a page of it cannot be unpacked.
func badGroups(name string) ([]bool, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	footer, end, err := footerAt(file)
	if err != nil {
		return nil, err
	}
	unzip, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(mostPage))
	if err != nil {
		return nil, err
	}
	defer unzip.Close()
	bad := make([]bool, len(footer.RowGroups))
	for i, g := range footer.RowGroups {
		for _, c := range g.Columns {
			if c.MetaData == nil || unpacks(file, end, c.MetaData, unzip) != nil {
				bad[i] = true
				break
			}
		}
	}
	return bad, nil
}

// mostPage is more than any page that is written takes.
const mostPage = 32 << 20

// footerAt reads a Parquet file's footer without the rest, and returns where it begins.
func footerAt(file *os.File) (*xparquet.FileMetaData, int64, error) {
	info, err := file.Stat()
	if err != nil {
		return nil, 0, err
	}
	var tail [8]byte
	if _, err := file.ReadAt(tail[:], max(0, info.Size()-8)); err != nil || string(tail[4:]) != "PAR1" {
		return nil, 0, errors.New("not a Parquet file")
	}
	size := int64(binary.LittleEndian.Uint32(tail[:]))
	begin := info.Size() - 8 - size
	if begin < 4 || size > mostPage {
		return nil, 0, errors.New("a footer that is longer than its file")
	}
	text := make([]byte, size)
	if _, err := file.ReadAt(text, begin); err != nil {
		return nil, 0, err
	}
	footer := xparquet.NewFileMetaData()
	_, err = readThrift(footer, text)
	return footer, begin, err
}

// unpacks reads the pages of a column chunk, which ends before end, and throws them away.
func unpacks(file io.ReaderAt, end int64, m *xparquet.ColumnMetaData, unzip *zstd.Decoder) error {
	from, size := m.DataPageOffset, m.TotalCompressedSize
	if d := m.DictionaryPageOffset; d != nil && *d > 0 && *d < from {
		from = *d
	}
	if from < 4 || size < 1 || size > end-from || size > mostBytes {
		return errors.New("a column outside the file")
	}
	rest := make([]byte, size)
	if _, err := file.ReadAt(rest, from); err != nil {
		return err
	}
	var plain []byte
	for len(rest) > 0 {
		h := xparquet.NewPageHeader()
		n, err := readThrift(h, rest)
		if err != nil {
			return err
		}
		if packed := int(h.CompressedPageSize); packed < 0 || packed > len(rest)-n {
			return errors.New("a page that is longer than its column")
		}
		if plain, err = unzip.DecodeAll(rest[n:n+int(h.CompressedPageSize)], plain[:0]); err != nil {
			return err
		}
		if len(plain) != int(h.UncompressedPageSize) {
			return errors.New("a page of another size than it says")
		}
		rest = rest[n+int(h.CompressedPageSize):]
	}
	return nil
}

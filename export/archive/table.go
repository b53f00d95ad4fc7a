package archive

import (
	"encoding/json"
	"fmt"
	"io"
	"reflect"

	"github.com/xitongsys/parquet-go-source/writerfile"
	xparquet "github.com/xitongsys/parquet-go/parquet"
	"github.com/xitongsys/parquet-go/writer"
)

// namedTable is a table with its file's name.
type namedTable struct {
	path  string
	rows  int64
	write func(io.Writer) error
}

func named[Row any](path string, rows []Row) namedTable {
	return namedTable{path, int64(len(rows)), func(w io.Writer) error { return writeTable(w, rows) }}
}

// files are the tables as an edition and a draft hold them. One without rows is there too, so that readers need not ask.
func (t Tables) files() []namedTable {
	return []namedTable{named("runs.parquet", t.Runs), named("cells.parquet", t.Cells), named("comparisons.parquet", t.Comparisons),
		named("summaries.parquet", t.Summaries), named("claims.parquet", t.Claims), named("readings.parquet", t.Readings)}
}

// Tables adds the tables to the edition.
func (s *Staging) Tables(t Tables) error {
	for _, f := range t.files() {
		if err := s.addTable(f); err != nil {
			return err
		}
	}
	return nil
}

func (s *Staging) addTable(t namedTable) error {
	out, err := s.create(t.path)
	if err != nil {
		return err
	}
	if err := t.write(out); err != nil {
		out.discard()
		return fmt.Errorf("write %s: %w", t.path, err)
	}
	return s.finish(t.path, out, &t.rows)
}

// pageSize keeps a table of a review in a page or two a column.
const pageSize = 256 << 10

// writeTable writes a whole Parquet file of one row group; none for no rows. The library works on one goroutine, since with
// more the bytes vary, and never writes the footer itself: see mend.
func writeTable[Row any](out io.Writer, rows []Row) error {
	wide, err := widened(rows)
	if err != nil {
		return err
	}
	return writeRows(out, wide)
}

// writeRows is writeTable for a slice of structs of columns.
func writeRows(out io.Writer, wide reflect.Value) error {
	columns, err := columnsOf(wide.Type().Elem())
	if err != nil {
		return err
	}
	stats, err := tableStats(columns, wide)
	if err != nil {
		return err
	}
	description, err := describe(columns)
	if err != nil {
		return err
	}
	sticky := &firstError{to: out}
	w, err := writer.NewParquetWriter(writerfile.NewWriterFile(sticky), description, 1)
	if err != nil {
		return err
	}
	w.CompressionType = xparquet.CompressionCodec_ZSTD
	w.PageSize = pageSize
	w.RowGroupSize = 1 << 40 // one row group, whatever its size
	for i := range wide.Len() {
		if err := w.Write(wide.Index(i).Addr().Interface()); err != nil {
			return err
		}
	}
	if err := w.Flush(true); err != nil {
		return err
	}
	if sticky.err != nil {
		return sticky.err
	}
	mend(w, stats)
	if err := canBeRead(w.Footer, wide.Type().Elem(), sticky.bytes); err != nil {
		return err
	}
	return writeFooter(w)
}

// canBeRead says whether a table has room where it is read.
func canBeRead(footer *xparquet.FileMetaData, row reflect.Type, file int64) error {
	room, err := pageRoom(row, footer.NumRows, file)
	if err != nil {
		return err
	}
	for _, g := range footer.RowGroups {
		if g.TotalByteSize > int64(room) {
			return fmt.Errorf("%d rows in %d bytes, more than a table of %d MB can have; make reviews of parts of the plan",
				footer.NumRows, g.TotalByteSize, mostTable>>20)
		}
	}
	return nil
}

// describe is the table in the library's own notation. Its statistics are left out of the pages, where their null counts
// are wrong and out of reach.
func describe(columns []column) (string, error) {
	type node struct {
		Tag    string
		Fields []node `json:",omitempty"`
	}
	root := node{Tag: "name=schema, repetitiontype=REQUIRED"}
	for _, c := range columns {
		tag := fmt.Sprintf("name=%s, inname=%s, %s, encoding=PLAIN, omitstats=true, repetitiontype=", c.name, c.field, physical[c.kind])
		if c.optional {
			tag += "OPTIONAL"
		} else {
			tag += "REQUIRED"
		}
		if c.timestamp {
			tag += ", convertedtype=TIMESTAMP_MICROS, logicaltype=TIMESTAMP, logicaltype.isadjustedtoutc=true, logicaltype.unit=MICROS"
		}
		root.Fields = append(root.Fields, node{Tag: tag})
	}
	text, err := json.Marshal(root)
	return string(text), err
}

// firstError remembers a failed write: the library writes the opening mark without looking.
type firstError struct {
	to    io.Writer
	bytes int64
	err   error
}

func (f *firstError) Write(p []byte) (int, error) {
	if f.err != nil {
		return 0, f.err
	}
	n, err := f.to.Write(p)
	f.bytes += int64(n)
	f.err = err
	return n, err
}

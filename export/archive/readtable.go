package archive

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	xparquet "github.com/xitongsys/parquet-go/parquet"
)

// mostTable bounds what one table takes while it is read, in bytes: its file, its rows and what its pages unpack to. A file of a few
// kilobytes can claim a million rows and unpack to gigabytes. The comparisons of 24 cards in 20 games at 3 resolutions take 40 MB.
const mostTable = 128 << 20

// pageRoom is what a table of n rows leaves of mostTable for its pages, or an error where that is nothing. file is the size of the
// table's file.
func pageRoom(row reflect.Type, n, file int64) (int, error) {
	size := int64(row.Size())
	if n < 0 || n > mostTable/size || file > mostTable-n*size {
		return 0, fmt.Errorf("%d rows in %d bytes, more than a table of %d MB can have; make reviews of parts of the plan", n, file, mostTable>>20)
	}
	return int(mostTable - n*size - file), nil
}

// ReadTable reads a table of an edition ("runs.parquet") once its hash is checked. Row is one of this package's row types, or a
// struct of some of their fields, which saves reading the others: columns go by the `parquet` tag. A column that the file does
// not have is nil where the field is a pointer, since an earlier release did not write it, and else an error; columns that Row
// does not name are passed over. Errors are ErrDamaged, fs.ErrNotExist for a table that the edition never had, or the disk's.
//
// Only what this program writes is read: ZSTD, data pages of version 1, PLAIN. Neither library's reader is used. The table
// writer's own hides errors, and Arrow's panics on some damage and goes round for ever on some: a run of no levels.
func ReadTable[Row any](e Edition, name string) ([]Row, error) {
	f, err := e.entry(name)
	if err != nil {
		return nil, err
	}
	if f.Rows == nil {
		return nil, fmt.Errorf("%s/%s is no table", e.Dir, name)
	}
	if _, err := pageRoom(reflect.TypeFor[Row](), *f.Rows, f.Bytes); err != nil { // before the file is read
		return nil, fmt.Errorf("%s/%s: %w", e.Dir, name, err)
	}
	content, err := e.File(name)
	if err != nil {
		return nil, err
	}
	rows, err := decodeTable[Row](content, *f.Rows)
	if err != nil {
		return nil, fmt.Errorf("%w: %s/%s: %w", ErrDamaged, e.Dir, name, err)
	}
	return rows, nil
}

// decodeTable reads a whole Parquet file of n rows. Whatever the bytes are it returns n rows or an error; their texts may take
// mostTable a second time.
func decodeTable[Row any](content []byte, n int64) ([]Row, error) {
	row := tableType(reflect.TypeFor[Row]())
	columns, err := columnsOf(row)
	if err != nil {
		return nil, err
	}
	room, err := pageRoom(row, n, int64(len(content)))
	if err != nil {
		return nil, err
	}
	footer, pages, err := readFooter(content)
	if err != nil {
		return nil, err
	}
	if err := checkGroups(footer, n); err != nil {
		return nil, err
	}
	p, err := newPageReader(pages, room)
	if err != nil {
		return nil, err
	}
	defer p.close()
	rows := reflect.MakeSlice(reflect.SliceOf(row), int(n), int(n))
	for field, c := range columns {
		at, err := place(footer.Schema[1:], c)
		if err != nil {
			return nil, err
		}
		if at < 0 {
			continue
		}
		to := target{rows: rows, field: field, column: c,
			nullable: *footer.Schema[at+1].RepetitionType == xparquet.FieldRepetitionType_OPTIONAL}
		for _, g := range footer.RowGroups {
			if err := to.read(p, g.Columns[at], g.NumRows); err != nil {
				return nil, fmt.Errorf("column %s: %w", c.name, err)
			}
		}
	}
	return narrowed[Row](rows), nil
}

// checkGroups checks that the schema is flat, that every row group has its columns in its order, and that they add up to n rows.
func checkGroups(footer *xparquet.FileMetaData, n int64) error {
	if len(footer.Schema) == 0 {
		return errors.New("no schema")
	}
	seen := map[string]bool{}
	for _, e := range footer.Schema[1:] {
		if e.GetNumChildren() > 0 || e.Type == nil || e.RepetitionType == nil || *e.RepetitionType == xparquet.FieldRepetitionType_REPEATED {
			return fmt.Errorf("column %s is nested or repeated; a table has plain columns", e.Name)
		}
		if seen[e.Name] {
			return fmt.Errorf("column %s is there twice", e.Name)
		}
		seen[e.Name] = true
	}
	rows := int64(0)
	for _, g := range footer.RowGroups {
		if g.NumRows < 0 || g.NumRows > n-rows {
			return fmt.Errorf("a row group of %d rows where %d in all are expected", g.NumRows, n)
		}
		rows += g.NumRows
		if len(g.Columns) != len(footer.Schema)-1 {
			return fmt.Errorf("a row group of %d columns, expected %d", len(g.Columns), len(footer.Schema)-1)
		}
		for i, c := range g.Columns {
			e := footer.Schema[i+1]
			switch m := c.MetaData; {
			case m == nil || c.CryptoMetadata != nil || len(c.EncryptedColumnMetadata) > 0:
				return fmt.Errorf("column %s has no description, or is encrypted", e.Name)
			case strings.Join(m.PathInSchema, ".") != e.Name || m.Type != *e.Type:
				return fmt.Errorf("column %s is %s of %s in a row group", e.Name, strings.Join(m.PathInSchema, "."), m.Type)
			}
		}
	}
	if rows != n || footer.NumRows != n {
		return fmt.Errorf("%d rows, %d in row groups, where %d are expected", footer.NumRows, rows, n)
	}
	return nil
}

// parquetType is each kind's Parquet type, as it stands in a footer.
var parquetType = map[reflect.Kind]xparquet.Type{
	reflect.Bool:    xparquet.Type_BOOLEAN,
	reflect.Int32:   xparquet.Type_INT32,
	reflect.Int64:   xparquet.Type_INT64,
	reflect.Float64: xparquet.Type_DOUBLE,
	reflect.String:  xparquet.Type_BYTE_ARRAY,
}

// place finds a column of the rows in the file, −1 where it may be and is missing.
func place(schema []*xparquet.SchemaElement, c column) (int, error) {
	for i, e := range schema {
		if e.Name != c.name {
			continue
		}
		if want := parquetType[c.kind]; *e.Type != want {
			return 0, fmt.Errorf("column %s is %s, expected %s", c.name, *e.Type, want)
		}
		return i, nil
	}
	if !c.optional {
		return 0, fmt.Errorf("column %s is missing", c.name)
	}
	return -1, nil
}

// target is one field of the rows, being filled.
type target struct {
	rows     reflect.Value
	field    int
	column   column
	nullable bool // the file's column may have nulls, whether or not the field may
	next     int  // row
}

// read fills the field of the next n rows from a column chunk.
func (t *target) read(p *pageReader, chunk *xparquet.ColumnChunk, n int64) error {
	rest, err := p.chunk(chunk.MetaData, n)
	if err != nil {
		return err
	}
	for left := int(n); left > 0; {
		if len(rest) == 0 {
			return fmt.Errorf("it ends %d values early", left)
		}
		var count int
		var page []byte
		if count, page, rest, err = p.page(rest); err != nil {
			return err
		}
		if count > left {
			return fmt.Errorf("%d values too many", count-left)
		}
		left -= count
		if err := t.fill(page, count); err != nil {
			return err
		}
	}
	if len(rest) > 0 {
		return fmt.Errorf("%d bytes behind the last value", len(rest))
	}
	return nil
}

// fill sets the field of the next count rows from the content of a page, nil for null.
func (t *target) fill(page []byte, count int) error {
	var there []bool
	if t.nullable {
		var err error
		if there, page, err = levels(page, count); err != nil {
			return err
		}
	}
	values := plainValues{rest: page}
	for i := range count {
		row := t.next + i
		f := t.rows.Index(row).Field(t.field)
		switch {
		case there != nil && !there[i] && t.column.optional:
			continue
		case there != nil && !there[i]:
			return fmt.Errorf("row %d is null where a value must be", row)
		case t.column.optional:
			f.Set(reflect.New(f.Type().Elem()))
			f = f.Elem()
		}
		if err := values.set(f); err != nil {
			return fmt.Errorf("row %d: %w", row, err)
		}
		if err := checkValue(f); err != nil {
			return fmt.Errorf("row %d: %w", row, err)
		}
	}
	if n := values.end(); n > 0 {
		return fmt.Errorf("%d bytes behind the last value of a page", n)
	}
	t.next += count
	return nil
}

package sheets

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/mattn/go-runewidth"
	"github.com/xuri/excelize/v2"
)

// Workbook is one XLSX file (ISO/IEC 29500) with a sheet for each table, before them one that says what they are. Headings stay in sight,
// numbers are numbers and shown with the decimals of their column, and text is text, whatever it begins with.
//
// The same tables make the same bytes: the file names no day on which it was made, and its parts stand in the order of their names.
func Workbook(title string, tables []Table) (content []byte, err error) {
	f := excelize.NewFile()
	defer func() {
		if e := f.Close(); err == nil {
			err = e
		}
	}()
	f.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return &orderedZip{to: w, parts: map[string]*bytes.Buffer{}} })
	core, err := coreProperties(title)
	if err != nil {
		return nil, err
	}
	f.Pkg.Store("docProps/core.xml", core)
	about := Table{Name: "about", Columns: []Column{{Title: "sheet"}, {Title: "what it holds"}}}
	for _, t := range tables {
		about.Rows = append(about.Rows, []Cell{Text(t.Name), Text(t.Title)})
	}
	looks := looks{file: f, numbers: map[int]int{}}
	if looks.heading, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}); err != nil {
		return nil, err
	}
	for i, t := range append([]Table{about}, tables...) {
		if i == 0 {
			err = f.SetSheetName(f.GetSheetName(0), t.Name)
		} else {
			_, err = f.NewSheet(t.Name)
		}
		if err == nil {
			err = looks.write(t)
		}
		if err != nil {
			return nil, fmt.Errorf("sheet %s: %w", t.Name, err)
		}
	}
	var b bytes.Buffer
	err = f.Write(&b)
	return b.Bytes(), err
}

// looks are the styles of a workbook, each made once.
type looks struct {
	file    *excelize.File
	heading int
	numbers map[int]int // by decimals
}

func (l *looks) number(decimals int) (style int, err error) {
	if style, ok := l.numbers[decimals]; ok {
		return style, nil
	}
	format := "0"
	if decimals > 0 {
		format += "." + strings.Repeat("0", decimals)
	}
	style, err = l.file.NewStyle(&excelize.Style{CustomNumFmt: &format})
	l.numbers[decimals] = style
	return style, err
}

func (l *looks) write(t Table) error {
	w, err := l.file.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	for i := range t.Columns {
		if err := w.SetColWidth(i+1, i+1, t.width(i)); err != nil {
			return err
		}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	styles := make([]int, len(t.Columns))
	line := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		if styles[i], err = l.number(c.Decimals); err != nil {
			return err
		}
		line[i] = excelize.Cell{StyleID: l.heading, Value: c.Heading()}
	}
	if err := w.SetRow("A1", line); err != nil {
		return err
	}
	for n, row := range t.Rows {
		for i, c := range row {
			switch {
			case c.IsNumber:
				line[i] = excelize.Cell{StyleID: styles[i], Value: c.Number + 0} // + 0: there is no −0
			case c.Text == "":
				line[i] = nil
			default:
				line[i] = plain(c.Text)
			}
		}
		if err := w.SetRow(fmt.Sprintf("A%d", n+2), line); err != nil {
			return err
		}
	}
	return w.Flush()
}

// plain is a text with one kind of line end; what XML cannot hold becomes the replacement character.
func plain(s string) string {
	s = strings.ReplaceAll(strings.ReplaceAll(strings.ToValidUTF8(s, "\ufffd"), "\r\n", "\n"), "\r", "\n")
	return strings.Map(func(r rune) rune {
		if r < 0x20 && r != '\t' && r != '\n' || r == 0xfffe || r == 0xffff {
			return '\ufffd'
		}
		return r
	}, s)
}

// width is a column's, in characters: as wide as its widest cell, its heading broken in two, within limits that keep a sheet readable.
func (t Table) width(i int) float64 {
	const least, most = 8, 50
	widest := max(least, runewidth.StringWidth(t.Columns[i].Heading())/2+3)
	for _, row := range t.Rows {
		if c := row[i]; !c.IsNumber {
			widest = max(widest, runewidth.StringWidth(c.Text)+1)
		}
		if widest >= most {
			break
		}
	}
	return float64(min(widest, most))
}

// coreProperties are the file's own: a title, and no dates, so that the same tables are the same file.
func coreProperties(title string) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(xml.Header + `<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" ` +
		`xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title>`)
	if err := xml.EscapeText(&b, []byte(plain(title))); err != nil {
		return nil, err
	}
	b.WriteString(`</dc:title><dc:creator>rigslate</dc:creator></cp:coreProperties>`)
	return b.Bytes(), nil
}

// orderedZip writes the parts of a workbook in the order of their names: the library hands sheets over in no order.
type orderedZip struct {
	to    io.Writer
	parts map[string]*bytes.Buffer
}

// Create begins a part.
func (z *orderedZip) Create(name string) (io.Writer, error) {
	z.parts[name] = &bytes.Buffer{}
	return z.parts[name], nil
}

// AddFS is there for the library's sake, which does not call it.
func (z *orderedZip) AddFS(fs.FS) error { return fmt.Errorf("a workbook is not made of a folder") }

// Close writes all parts.
func (z *orderedZip) Close() error {
	w := zip.NewWriter(z.to)
	for _, name := range slices.Sorted(maps.Keys(z.parts)) {
		part, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)}) // the first day it can name
		if err != nil {
			return err
		}
		if _, err := part.Write(z.parts[name].Bytes()); err != nil {
			return err
		}
	}
	return w.Close()
}

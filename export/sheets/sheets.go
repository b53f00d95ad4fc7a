// Package sheets writes tables for spreadsheets: one CSV file each, and one workbook of them all. It knows figures and words and no review.
//
// A table is data, not print: numbers keep all their digits, units stand in the headings, and what is not known is an empty cell, never
// a dash or a 0. Text is only ever text: a spreadsheet that opens a file must not run what somebody put into a name.
package sheets

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
)

// Table is one table. Every row has a cell for each column.
type Table struct {
	Name    string // of the file, without its ending
	Title   string // one line on what a row is
	Columns []Column
	Rows    [][]Cell
}

// Column is a heading. Decimals are those of a number as shown; the number itself keeps all digits.
type Column struct {
	Title    string
	Unit     string // "" for words, counts and what has its unit in another column
	Decimals int
}

// Heading is the title with the unit.
func (c Column) Heading() string {
	if c.Unit == "" {
		return c.Title
	}
	return c.Title + " (" + c.Unit + ")"
}

// Cell is a text or a number; the zero value is empty.
type Cell struct {
	Text     string
	Number   float64
	IsNumber bool
}

// Text is a cell with words.
func Text(s string) Cell { return Cell{Text: s} }

// Number is a cell with a number, and empty for one that is not finite.
func Number(x float64) Cell {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return Cell{}
	}
	return Cell{Number: x, IsNumber: true}
}

// byteOrderMark is the first character of a CSV file. The format has no place that says how text is encoded, and without the mark the
// most widespread spreadsheet reads UTF-8 as the code page of the machine, and spoils every "·", "°" and "ä". What reads data by program
// mostly skips it; the archive's tables are for programs.
const byteOrderMark = "\ufeff"

// CSV is the table after RFC 4180 in UTF-8: lines end with CRLF, a field with a comma, a quote or a line's end stands in quotes. The
// decimal sign is the point and there are no signs between thousands.
func (t Table) CSV() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(byteOrderMark)
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	line := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		line[i] = Inert(c.Heading())
	}
	if err := w.Write(line); err != nil {
		return nil, err
	}
	for _, row := range t.Rows {
		for i, c := range row {
			line[i] = c.csv()
		}
		if err := w.Write(line[:len(row)]); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

func (c Cell) csv() string {
	if c.IsNumber {
		return strconv.FormatFloat(c.Number+0, 'f', -1, 64) // + 0: there is no −0
	}
	return Inert(c.Text)
}

// starters make a spreadsheet take what follows for a formula where a cell begins with one. The wide forms are the same on a keyboard for
// Chinese or Japanese, and some programs take them so.
const starters = "=+-@\t\r\n＝＋－＠"

// Inert keeps a spreadsheet from running a text as a formula (OWASP, "CSV Injection"): one that begins as a formula does gets an
// apostrophe before it. So does what follows a semicolon, a tab or a line's end within it, since where the comma is the decimal sign a
// spreadsheet cuts lines at semicolons. Line ends become a single line feed, and what is no UTF-8 the replacement character.
func Inert(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	var b strings.Builder
	begin := true
	for _, r := range s {
		if begin && strings.ContainsRune(starters, r) {
			b.WriteByte('\'')
		}
		b.WriteRune(r)
		begin = r == ';' || r == '\t' || r == '\n'
	}
	return b.String()
}

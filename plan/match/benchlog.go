package match

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/rigslate/rigslate/plan/finding"
)

// LogRow is one row of a bench log: a pass, and what the reviewer noted of it. Empty texts were not stated.
//
// A launch label need only be unique within its session, card·mode and game·variant: a launch is known by these four together.
// A session label need only be unique within its card.
type LogRow struct {
	File, Card, Mode, Game, Variant, Resolution string
	Repeat                                      int // 0 if not stated
	Launch, Session                             string
	Started                                     time.Time // UTC; zero if not stated
	Driver, Build, Firmware                     string
	AmbientC                                    *float64 // °C; nil if not stated
	Outcome                                     string   // OK where the row says nothing else
	Note                                        string
	Place                                       finding.Place // the row, with its line's text

	columns [columnCount]span // where each field stands in the line
}

// column is a column of a bench log.
type column int

const (
	colFile column = iota
	colCard
	colMode
	colGame
	colVariant
	colResolution
	colRepeat
	colLaunch
	colSession
	colStarted
	colDriver
	colBuild
	colFirmware
	colAmbient
	colOutcome
	colNote
	columnCount
)

var columnNames = []string{"file", "card", "mode", "game", "variant", "resolution", "repeat", "launch", "session", "started",
	"driver", "build", "firmware", "ambient_c", "outcome", "note"}

// span is a field's place in its line, in characters from 1; zero where the log has no such column.
type span struct {
	line, from, to int32
}

// at gives the place of a field, or of the row where the log has no such column.
func (r *LogRow) at(c column) finding.Place {
	p := r.Place
	if s := r.columns[c]; s.line != 0 {
		p.Column, p.EndColumn = int(s.from), int(s.to)
		if int(s.line) != p.Line {
			p.Line, p.Source = int(s.line), ""
		}
	}
	return p
}

const maxLog = 32 << 20 // bytes

// logReader reads one bench log.
type logReader struct {
	name  string
	lines [][]byte
	order []column // of each field; -1 for one that is not known
	rows  []LogRow
	list  finding.List
}

// parseLog reads a bench log: delimited text in UTF-8, with a header; comma, semicolon or tab, whichever makes most of the header
// known; quoted fields as in RFC 4180. A bad row is a finding and is left out; the others are read all the same.
func parseLog(name string, data []byte) ([]LogRow, finding.List) {
	r := &logReader{name: name}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if bytes.IndexByte(data, 0) >= 0 || bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		r.list.Add(finding.Error, finding.Place{File: name}, "A bench log cannot be read", "It is not UTF-8 text.", "Save it as UTF-8.")
		return nil, r.list
	}
	r.lines = bytes.Split(data, []byte("\n"))
	c := csv.NewReader(bytes.NewReader(data))
	c.Comma = delimiter(r.lines)
	c.FieldsPerRecord = -1
	for {
		fields, err := c.Read()
		if err == io.EOF {
			break
		}
		if bad := (*csv.ParseError)(nil); errors.As(err, &bad) {
			r.broken(bad)
			continue
		}
		if err != nil { // a bytes.Reader has no other
			r.list.Add(finding.Error, finding.Place{File: name}, "A bench log cannot be read", err.Error(), "")
			break
		}
		spans := make([]span, len(fields))
		for i := range fields {
			spans[i] = r.span(c, i, fields[i])
		}
		switch {
		case strings.TrimSpace(strings.Join(fields, "")) == "": // spreadsheets leave rows of delimiters
		case r.order == nil:
			if !r.header(fields, spans) {
				return nil, r.list
			}
		default:
			r.row(fields, spans)
		}
	}
	if r.order == nil && !r.list.HasErrors() {
		r.list.Add(finding.Error, finding.Place{File: name}, "A bench log is empty", "It has no header.", headerMend)
	}
	return r.rows, r.list
}

var headerMend = "Begin it with a header naming some of: " + strings.Join(columnNames, ", ") + "."

// delimiter is the one of comma, semicolon and tab that makes most of the header known; the comma where they do equally well.
func delimiter(lines [][]byte) rune {
	best, most := ',', 0
	for _, line := range lines {
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		for _, d := range ",;\t" {
			known := 0
			for field := range strings.SplitSeq(string(line), string(d)) {
				if columnOf(strings.Trim(field, " \r\"")) >= 0 {
					known++
				}
			}
			if known > most {
				best, most = d, known
			}
		}
		break
	}
	return best
}

func columnOf(name string) column {
	for i, n := range columnNames {
		if n == name {
			return column(i)
		}
	}
	return -1
}

func (r *logReader) header(fields []string, spans []span) bool {
	seen := map[column]bool{}
	for i, name := range fields {
		name = strings.TrimSpace(name)
		c := columnOf(name)
		r.order = append(r.order, c)
		at := r.place(spans[i])
		switch {
		case c < 0 && name == "":
		case c < 0:
			mend := "Columns are " + strings.Join(columnNames, ", ") + "."
			if near := nearest(strings.ToLower(name), columnNames); near != "" {
				mend = fmt.Sprintf("Did you mean %s?", near)
			}
			r.list.Add(finding.Warning, at, "A bench log has an unknown column", fmt.Sprintf("Column %q is not read.", name), mend)
		case seen[c]:
			r.list.Add(finding.Error, at, "A bench log names a column twice", fmt.Sprintf("There are two columns %q.", name), "Remove one.")
			return false
		default:
			seen[c] = true
		}
	}
	if len(seen) == 0 {
		r.list = nil // it is no header, so it names no unknown columns either
		r.list.Add(finding.Error, r.place(spans[0]), "A bench log has no header", "None of its columns is known.", headerMend)
		return false
	}
	return true
}

// broken reports a row that is not delimited text. After an open quote nothing more can be told apart.
func (r *logReader) broken(bad *csv.ParseError) {
	line, col := bad.Line, bad.Column
	detail, mend := "A quote stands inside a field that is not quoted.", `Quote the whole field and double the quotes in it: "a ""b"" c".`
	if errors.Is(bad.Err, csv.ErrQuote) {
		detail = "A quoted field does not end where it should."
		if bad.StartLine != bad.Line {
			detail += fmt.Sprintf(" What stands from line %d on up to line %d is not read.", bad.StartLine, bad.Line)
			line, col = bad.StartLine, 0
		}
	}
	p := finding.Place{File: r.name, Line: line, Source: r.line(line)}
	if col > 0 {
		p.Column = r.characters(line, col-1) + 1
		p.EndColumn = p.Column + 1
	}
	r.list.Add(finding.Error, p, "A row of a bench log cannot be read", detail, mend)
}

func (r *logReader) span(c *csv.Reader, i int, text string) span {
	line, col := c.FieldPos(i)
	from := r.characters(line, col-1) + 1
	return span{int32(line), int32(from), int32(from + max(1, utf8.RuneCountInString(text)))}
}

// characters counts those in the first n bytes of a line.
func (r *logReader) characters(line, n int) int {
	if line < 1 || line > len(r.lines) {
		return n
	}
	l := r.lines[line-1]
	return utf8.RuneCount(l[:max(0, min(n, len(l)))])
}

func (r *logReader) line(n int) string {
	if n < 1 || n > len(r.lines) {
		return ""
	}
	return strings.TrimSuffix(string(r.lines[n-1]), "\r")
}

func (r *logReader) place(s span) finding.Place {
	return finding.Place{File: r.name, Line: int(s.line), Column: int(s.from), EndColumn: int(s.to), Source: r.line(int(s.line))}
}

package sheets

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func written(t interface{ Fatal(...any) }, table Table) []byte {
	b, err := table.CSV()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The rules are those of RFC 4180, section 2, and, for cells that a spreadsheet must not run, of OWASP's page "CSV Injection".
func TestCSV(t *testing.T) {
	table := Table{Columns: []Column{{Title: "card"}, {Title: "mean", Unit: "fps"}}, Rows: [][]Cell{
		{Text("Tern 7"), Number(62.125)}, {Text(`a "b", c`), Number(-0.5)}, {Text("=cmd()"), Number(math.Copysign(0, -1))},
		{Text("two\nlines"), {}}, {Text("-1"), Number(math.NaN())}, {Text("x;=y"), Number(math.Inf(1))}, {Text("Ä·°"), Number(1e-9)},
	}}
	want := "\ufeffcard,mean (fps)\r\nTern 7,62.125\r\n\"a \"\"b\"\", c\",-0.5\r\n'=cmd(),0\r\n\"two\r\nlines\",\r\n'-1,\r\nx;'=y,\r\nÄ·°,0.000000001\r\n"
	if got := string(written(t, table)); got != want {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}

// Hostile are texts that have broken tables elsewhere: markup, quotes, formulas, text that runs from right to left, signs outside the
// first plane, ends of lines, bytes that are no text.
var hostile = []string{`<script>alert(1)</script>`, `"`, `""`, `a"b,c`, "=cmd()", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\r\n=1", "\n-1", "a;=1", "a;\t=1",
	"שלום עולם", "\u202eabc\u202c", strings.Repeat("🚀", 40), "two\nlines", "a\r\nb", "'", "'=1", "\xff\xfe", "\x00", "\x1b[31m", "＝1", "﹢", "", " ", " =1", "]]>", "&amp;", "_x000D_"}

func cells() *rapid.Generator[Cell] {
	return rapid.OneOf(
		rapid.Map(rapid.SampledFrom(hostile), Text), rapid.Map(rapid.String(), Text), rapid.Map(rapid.Float64(), Number),
		rapid.Map(rapid.SliceOfN(rapid.SampledFrom(hostile), 2, 3), func(s []string) Cell { return Text(strings.Join(s, "")) }),
		rapid.Just(Cell{}))
}

// What another reader makes of a file: as many records and fields as the table has, numbers to the last bit, and no field that a
// spreadsheet would run, whichever of comma and semicolon it cuts at.
func TestCSVIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := Table{Columns: []Column{{Title: "a"}, {Title: "b", Unit: "%"}, {Title: "c"}}}
		for range rapid.IntRange(0, 6).Draw(t, "rows") {
			table.Rows = append(table.Rows, rapid.SliceOfN(cells(), 3, 3).Draw(t, "row"))
		}
		file := written(t, table)
		if stray := bytes.ReplaceAll(file, []byte("\r\n"), nil); bytes.ContainsAny(stray, "\r\n") {
			t.Fatalf("a line's end that is not CRLF in %q", file)
		}
		records, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(file, []byte(byteOrderMark)))).ReadAll()
		if err != nil || len(records) != len(table.Rows)+1 {
			t.Fatalf("%d records of %d: %v", len(records), len(table.Rows)+1, err)
		}
		for n, row := range table.Rows {
			for i, c := range row {
				got := records[n+1][i]
				if c.IsNumber {
					if x, err := strconv.ParseFloat(got, 64); err != nil || x != c.Number {
						t.Fatalf("%v reads %q", c.Number, got)
					}
					continue
				}
				if strings.ReplaceAll(got, "'", "") != strings.ReplaceAll(plainly(c.Text), "'", "") {
					t.Fatalf("%q reads %q", c.Text, got)
				}
				for _, part := range strings.FieldsFunc(got, func(r rune) bool { return r == ';' || r == '\t' || r == '\n' }) {
					if strings.ContainsAny(part[:1], "=+-@") {
						t.Fatalf("%q reads %q: a formula", c.Text, got)
					}
				}
			}
		}
	})
}

// plainly is a text as a reader of CSV gives it: ends of lines alike, and valid.
func plainly(s string) string {
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(s, "\ufffd"))
}

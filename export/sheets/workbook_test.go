package sheets

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func opened(t interface{ Fatal(...any) }, tables ...Table) ([]byte, *excelize.File) {
	b, err := Workbook(`A "review" & <more>`, tables)
	if err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return b, f
}

func TestWorkbook(t *testing.T) {
	table := Table{Name: "results", Title: "A row is a card.", Columns: []Column{{Title: "card"}, {Title: "mean", Unit: "fps", Decimals: 1}, {Title: "p", Decimals: 4}},
		Rows: [][]Cell{{Text("Tern"), Number(62.0625), Number(0.00012)}, {Text("=1+1"), Number(-0.25), {}}}}
	b, f := opened(t, table)
	for _, x := range []struct{ cell, shown, raw string }{
		{"B1", "mean (fps)", "mean (fps)"}, {"B2", "62.1", "62.0625"}, {"C2", "0.0001", "0.00012"}, {"A3", "=1+1", "=1+1"}, {"B3", "-0.3", "-0.25"}, {"C3", "", ""},
	} {
		shown, err := f.GetCellValue("results", x.cell)
		if err != nil || shown != x.shown {
			t.Errorf("%s shows %q, want %q: %v", x.cell, shown, x.shown, err)
		}
		if raw, err := f.GetCellValue("results", x.cell, excelize.Options{RawCellValue: true}); err != nil || raw != x.raw {
			t.Errorf("%s is %q, want %q: %v", x.cell, raw, x.raw, err)
		}
		if formula, err := f.GetCellFormula("results", x.cell); err != nil || formula != "" {
			t.Errorf("%s is a formula, %q: %v", x.cell, formula, err)
		}
	}
	if panes, err := f.GetPanes("results"); err != nil || !panes.Freeze || panes.YSplit != 1 {
		t.Errorf("the heading moves: %+v, %v", panes, err)
	}
	if names := strings.Join(f.GetSheetList(), " "); names != "about results" {
		t.Errorf("sheets %q", names)
	}
	if p, err := f.GetDocProps(); err != nil || p.Title != `A "review" & <more>` || p.Created != "" || p.Modified != "" {
		t.Errorf("%+v, %v", p, err)
	}
	for range 10 {
		if again, _ := opened(t, table, Table{Name: "b"}, Table{Name: "c"}); len(again) == 0 {
			t.Fatal("nothing")
		} else if once, _ := opened(t, table, Table{Name: "b"}, Table{Name: "c"}); !bytes.Equal(once, again) {
			t.Fatal("the same tables make another file")
		}
	}
	wellFormed(t, b)
}

// wellFormed reads every part of the file as another program would: XML, and no formula in it.
func wellFormed(t interface{ Fatalf(string, ...any) }, file []byte) {
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatalf("%v", err)
	}
	for _, part := range z.File {
		r, err := part.Open()
		if err != nil {
			t.Fatalf("%v", err)
		}
		for d := xml.NewDecoder(r); ; {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", part.Name, err)
			}
			if e, ok := token.(xml.StartElement); ok && e.Name.Local == "f" {
				t.Fatalf("%s has a formula", part.Name)
			}
		}
		if err := r.Close(); err != nil {
			t.Fatalf("%v", err)
		}
	}
}

// What is read back is what was written: numbers to the 15 digits that spreadsheets, and this reader, keep; text as it is, whatever it is.
func TestWorkbookIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := Table{Name: "t", Columns: []Column{{Title: "a"}, {Title: "b", Unit: "%", Decimals: 1}, {Title: "c"}}}
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			table.Rows = append(table.Rows, rapid.SliceOfN(cells(), 3, 3).Draw(t, "row"))
		}
		b, f := opened(t, table)
		wellFormed(t, b)
		for n, row := range table.Rows {
			for i, c := range row {
				name, err := excelize.CoordinatesToCellName(i+1, n+2)
				if err != nil {
					t.Fatal(err)
				}
				got, err := f.GetCellValue("t", name, excelize.Options{RawCellValue: true})
				if err != nil {
					t.Fatal(err)
				}
				if c.IsNumber {
					if x, err := strconv.ParseFloat(got, 64); err != nil || math.Abs(x-c.Number) > 1e-14*math.Abs(c.Number) {
						t.Fatalf("%v reads %q", c.Number, got)
					}
				} else if got != plain(c.Text) {
					t.Fatalf("%q reads %q", c.Text, got)
				}
			}
		}
	})
}

package report

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/export/archive"
)

// read reads the files of tables back as another program would: by name, then row, then heading.
func read(t interface {
	Helper()
	Fatalf(string, ...any)
}, s Source) map[string][]map[string]string {
	t.Helper()
	files, err := tableFiles(s)
	if err != nil {
		t.Fatalf("%v", err)
	}
	out := map[string][]map[string]string{}
	for _, f := range files {
		name, isCSV := strings.CutSuffix(f.Path, ".csv")
		if !isCSV {
			continue
		}
		records, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(f.Content), "\ufeff"))).ReadAll()
		if err != nil || len(records) == 0 {
			t.Fatalf("%s: %v", f.Path, err)
		}
		if head := slices.Clone(records[0]); len(slices.Compact(slices.Sorted(slices.Values(head)))) != len(head) {
			t.Fatalf("%s: two columns with one heading in %q", f.Path, head)
		}
		rows := []map[string]string{}
		for _, r := range records[1:] {
			row := map[string]string{}
			for i, c := range r {
				row[records[0][i]] = c
			}
			rows = append(rows, row)
		}
		out[strings.TrimPrefix(name, "tables/")] = rows
	}
	return out
}

// A table has the archive's figures to the last bit, and a cell without figures is there with its state.
func TestTablesHaveTheArchivesFigures(t *testing.T) {
	s := drawn()
	s.Tables.Readings = append(s.Tables.Readings,
		archive.ReadingRow{Card: "tern", Figure: "length_mm", Value: some(262.0), Unit: "mm", Source: some("card.tern")},
		archive.ReadingRow{Card: "skua", Figure: "length_mm", Value: some(318.0), Unit: "mm", Source: some("card.skua")},
		archive.ReadingRow{Card: "skua", Figure: "length_mm", Value: some(56.0), Unit: "mm", Source: some("card.skua"), BaseCard: some("tern")},
		archive.ReadingRow{Card: "skua", Figure: "length_mm_ratio", Value: some(1.25), Source: some("card.skua"), BaseCard: some("tern")},
		archive.ReadingRow{Card: "skua", Figure: "price", Value: some(589.0), Unit: "EUR", PriceKind: some("list"), PriceTax: some(true)})
	s.Tables.Summaries = []archive.SummaryRow{{Group: "all", Resolution: "uhd", Metric: "over_60hz_share", Unit: "share", Card: "skua", Mode: "stock", BaseCard: "tern",
		BaseMode: "stock", Games: 1, Difference: some(0.25), TheseLow: some(0.125), TheseHigh: some(0.5)}}
	tables := read(t, s)
	is := func(table string, row int, want map[string]string) {
		t.Helper()
		if row >= len(tables[table]) {
			t.Fatalf("%s has %d rows", table, len(tables[table]))
		}
		for column, w := range want {
			if got, ok := tables[table][row][column]; !ok || got != w {
				t.Errorf("%s, row %d, %q: %q, want %q", table, row, column, got, w)
			}
		}
	}
	is("results", 0, map[string]string{"card": "Tern", "against": "is the baseline", "mean frame rate (fps)": "60", "mean frame rate, difference (%)": ""})
	is("results", 1, map[string]string{"card": `Skua <b>&"x"`, "against": "Tern", "mean frame rate, 95 % to (fps)": "61", "mean frame rate, difference (%)": "-2",
		"mean frame rate, difference, 95 % from (%)": "-3", "mean frame rate, verdict": "behind", "name in the plan": "skua.stock fjord.plain uhd"})
	is("results", 3, map[string]string{"state": "does not run", "mean frame rate (fps)": "", "notes": "crash"})
	is("summaries", 0, map[string]string{"difference": "25", "unit": "percentage points", "for these games, 95 % from": "12.5", "for these games, 95 % to": "50"})
	is("facts", 1, map[string]string{"fact": "length", "value": "318", "unit": "mm", "against": "Tern", "difference": "56", "difference in percent (%)": "25"})
	is("value", 0, map[string]string{"figure": "price", "value": "589", "unit": "EUR", "with tax": "yes"})
	if n := len(tables["bench"]); n != 4 {
		t.Errorf("%d rows of bench, want the 4 that are measured", n)
	}
	// A verdict must not be read out where a side is not ready.
	s.Words.Cells[0].State = "doubtful"
	tables = read(t, s)
	is("results", 1, map[string]string{"mean frame rate, verdict": "open"})
}

// Names and words in a plan are anybody's: no field of any table begins as a formula does, and none moves another into a wrong column.
func TestHostileNamesStayInTheirCells(t *testing.T) {
	hostile := []string{`<script>alert(1)</script>`, `"`, `a","b`, "=cmd()", "+1", "-1", "@x", "\t=1", "\r\n=1", "a;=1", "שלום", "\u202eabc", strings.Repeat("🚀", 40), "two\nlines", ""}
	rapid.Check(t, func(t *rapid.T) {
		name := func() string { return rapid.OneOf(rapid.SampledFrom(hostile), rapid.String()).Draw(t, "name") }
		s := drawn()
		for i := range s.Words.Modes {
			s.Words.Modes[i].Title = name()
		}
		s.Words.Games[0].Title, s.Words.Cells[3].Why = name(), []string{name()}
		s.Words.Cells[1].Notes, s.Words.Protocols[0].Load = []string{name(), name()}, name()
		s.Tables.Claims = []archive.ClaimRow{{Claim: "c", Says: name(), Said: some(name()), Card: "skua", Mode: "stock", Why: some(name())}}
		s.Tables.Readings[0].Note, s.Tables.Readings[0].Text = some(name()), some(name())
		for table, rows := range read(t, s) {
			for _, row := range rows {
				for column, text := range row {
					if _, err := strconv.ParseFloat(text, 64); err == nil && column != "card" {
						continue
					}
					if text != "" && strings.ContainsAny(text[:1], "=+-@\t\r\n") {
						t.Fatalf("%s, %s: %q would run", table, column, text)
					}
				}
			}
		}
		if got := read(t, s)["results"][1]["mean frame rate, difference (%)"]; got != "-2" {
			t.Fatalf("the difference is %q", got)
		}
	})
}

// The workbook has the tables that the files have, row for row, and the same source makes the same bytes.
func TestWorkbookHasTheSameTables(t *testing.T) {
	s := drawn()
	s.Words.Title, s.Words.Games[0].Title = "=cmd()", "@<script>"
	var made [2][]byte
	for i := range made {
		files, err := tableFiles(s)
		if err != nil {
			t.Fatal(err)
		}
		if made[i], err = files[len(files)-1].Make(); err != nil || files[len(files)-1].Path != "tables/review.xlsx" {
			t.Fatal(files[len(files)-1].Path, err)
		}
	}
	if !bytes.Equal(made[0], made[1]) {
		t.Error("the same source makes two workbooks")
	}
	f, err := excelize.OpenReader(bytes.NewReader(made[0]))
	if err != nil {
		t.Fatal(err)
	}
	for name, rows := range read(t, s) {
		sheet, err := f.GetRows(name, excelize.Options{RawCellValue: true})
		if err != nil || len(sheet) != len(rows)+1 {
			t.Fatalf("%s has %d rows, the file %d: %v", name, len(sheet), len(rows)+1, err)
		}
		for n, row := range sheet[1:] {
			for i, got := range row {
				want := rows[n][sheet[0][i]]
				if want != got && want != "'"+got {
					t.Errorf("%s, row %d, %s: %q, in the file %q", name, n+2, sheet[0][i], got, want)
				}
			}
		}
	}
}

package report

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

func example() Calibration {
	return Calibration{
		Head: Head{Review: "spring", Title: "Two <b>cards</b> & a half", Tool: "v0"}, Reviews: 100, Cells: 12, Comparisons: 6, Claims: 2,
		Launches: []LaunchCount{{1, 1}, {3, 11}}, LeastSpreadPct: 0.1, MiddleSpreadPct: 0.4, MostSpreadPct: 2.25, SessionPct: 0.2, SessionSource: "from the plan",
		MarginPct: 1.5,
		Promises: []Promised{
			{Name: "shown, cells", Means: "holds", Least: 94, Most: 100, Percent: 96.4, Error: 0.3, Found: true, Kept: "kept"},
			{Name: "own, cells", Means: "holds", Least: 93.5, Most: 98, Percent: 90, Error: 0.3, Found: true, Kept: "missed", Missed: true},
			{Name: "false level", Means: "wrong", Most: 5.5, Percent: 0.2, Error: 0.1, Found: true, Kept: "kept"},
			{Name: "false supported", Means: "wrong", Most: 5},
		},
		Powers: []Promised{{Name: "found margin", Means: "right", Percent: 99.8, Error: 0.1, Found: true}},
	}
}

func page(t *testing.T, c Calibration) string {
	t.Helper()
	out, err := render("calibration", c.Look, c)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// textOf is what a reader reads, with single blanks; it fails where tags do not nest.
func textOf(t *testing.T, page string) string {
	t.Helper()
	var text strings.Builder
	d := xml.NewDecoder(strings.NewReader(page))
	d.Entity = xml.HTMLEntity
	skip := 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return strings.Join(strings.Fields(text.String()), " ")
		}
		if err != nil {
			t.Fatalf("%v in %s", err, page)
		}
		switch x := token.(type) {
		case xml.StartElement:
			if x.Name.Local == "style" {
				skip++
			}
		case xml.EndElement:
			if x.Name.Local == "style" {
				skip--
			}
			if b := x.Name.Local; b != "strong" && b != "span" && b != "code" {
				text.WriteString(" ")
			}
		case xml.CharData:
			if skip == 0 {
				text.Write(x)
			}
		}
	}
}

func TestCalibrationPage(t *testing.T) {
	html := page(t, example())
	text := textOf(t, html)
	for _, want := range []string{
		"spring · Two <b>cards</b> & a half", "100 reviews were invented", "that hold the true one: 96 of 100.",
		"Pairs that differ by 1.5 %, which matters to a buyer, and are called level: fewer than 1 of 100.",
		"Leads of 1.5 % that are found: more than 99 of 100.", "1 of the limits is missed", "at least 94 % 96.4 % ± 0.3 kept",
		"93.5 to 98 % 90.0 % ± 0.3 missed", "at most 5 % – nothing to count", "12, of them 6 compared", "1 in 1 cell; 3 in 11 cells",
		"0.10 to 2.25 %, in the middle 0.40 %", "0.20 % (from the plan)", "rigslate v0",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %s", want, text)
		}
	}
	if strings.Contains(text, "firm that are not real") {
		t.Error("a sentence stands without its figure")
	}
	kept := example()
	kept.Promises = kept.Promises[:1]
	if text := textOf(t, page(t, kept)); !strings.Contains(text, "every limit is kept, as far as 100 reviews can tell") {
		t.Errorf("all kept: %s", text)
	}
	if text := textOf(t, page(t, Calibration{Nothing: "no cell has a spread yet"})); !strings.Contains(text, "Nothing was simulated: no cell has a spread yet.") {
		t.Errorf("nothing: %s", text)
	}
}

// A page must be the same in ten years on a machine without a network: it fetches nothing and runs nothing. Names in a plan cannot change that.
func TestPageStandsAlone(t *testing.T) {
	c := example()
	c.Review = `<script src="https://example.invalid/x.js">`
	html := page(t, c)
	if found := regexp.MustCompile(`(?i)<script|<link|<img|<iframe|@import|url\(|\bhref=|\bsrc="`).FindString(html); found != "" {
		t.Errorf("the page has %q", found)
	}
	for _, want := range []string{"prefers-color-scheme: dark", "@media print", "width=device-width", `lang="en"`} {
		if !strings.Contains(html, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func TestUnchangedPageIsNotTouched(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "report")
	c := example()
	written := func(into string) ([]string, error) {
		t.Helper()
		page, err := c.File()
		if err != nil {
			t.Fatal(err)
		}
		return WriteFiles(t.Context(), into, []File{page}, 1)
	}
	if changed, err := written(folder); err != nil || !slices.Equal(changed, []string{"calibration.html"}) {
		t.Fatal(changed, err)
	}
	name := filepath.Join(folder, "calibration.html")
	old := time.Date(2001, 2, 3, 4, 5, 6, 0, time.UTC)
	when := func() time.Time {
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		return info.ModTime().UTC()
	}
	if err := os.Chtimes(name, old, old); err != nil {
		t.Fatal(err)
	}
	if changed, err := written(folder); err != nil || changed != nil || !when().Equal(old) {
		t.Errorf("the same page: %v %v, written %v", changed, err, when())
	}
	c.Reviews++
	if changed, err := written(folder); err != nil || len(changed) != 1 || when().Equal(old) {
		t.Errorf("another page: %v %v, written %v", changed, err, when())
	}
	if entries, err := os.ReadDir(folder); err != nil || len(entries) != 1 {
		t.Errorf("%v, %v", entries, err)
	}
	// A folder in its place is not replaced, and nothing half-made is left beside it.
	blocked := t.TempDir()
	if err := os.MkdirAll(filepath.Join(blocked, "calibration.html", "x"), 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := written(blocked); err == nil {
		t.Error("a folder was taken for a page")
	}
	if entries, err := os.ReadDir(blocked); err != nil || len(entries) != 1 {
		t.Errorf("%v, %v", entries, err)
	}
}

package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// nasty stands before every name of the hostile review: it would run as markup, leave an attribute, a style or a script, run in a spreadsheet, turn the
// text around, and break a line.
var nasty = `=cmd()<script>window.ran=1</script>"'><img src=x onerror="window.ran=1"></style></script>` + "\u202eשלום" + strings.Repeat("🦩", 40) + "\nnext\r\n../../up"

// ofTheProgram are the fields whose words are the program's own, or by which it finds frames and blocks; all others may come from a plan.
var ofTheProgram = []string{"State", "Status", "Metric", "Unit", "Scale", "Verdict", "Leaning", "Lows", "Figure", "Flags", "Method", "SessionSource", "Outcome", "MeasuredAt",
	"RunID", "SourceSHA256", "Source", "Text"}

// spoil puts nasty before every text that may come from a plan, in place, whatever holds it; equal texts stay equal.
func spoil(v reflect.Value, spoiled map[string]int, field string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			fresh := reflect.New(v.Type().Elem())
			fresh.Elem().Set(v.Elem())
			spoil(fresh.Elem(), spoiled, field)
			v.Set(fresh)
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(v.Index(i), spoiled, field)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if name := v.Type().Field(i).Name; v.Field(i).CanSet() && !slices.Contains(ofTheProgram, name) {
				spoil(v.Field(i), spoiled, name)
			}
		}
	case reflect.String:
		if s := v.String(); s != "" && s != "all" { // the group of every game is the program's
			v.SetString(nasty + s)
			spoiled[field]++
		}
	}
}

// hostileReview spoils every name and text of a review's plan, in place.
func hostileReview(t *testing.T, s report.Source) report.Source {
	t.Helper()
	spoiled := map[string]int{}
	spoil(reflect.ValueOf(&s.Words).Elem(), spoiled, "")
	spoil(reflect.ValueOf(&s.Tables).Elem(), spoiled, "")
	for _, field := range []string{"Review", "Title", "Card", "Mode", "Game", "Variant", "Resolution", "Vendor", "Driver", "Build", "Scene", "Drive", "Key", "Value", "Rig", "Soak", "Load",
		"Claim", "Says", "Said", "Hoped", "Found", "Notes", "Why", "Sensor", "ProbeGroup", "Protocol", "PriceKind", "PriceCurrency", "PricePlace", "Path", "Reason", "Warnings"} {
		if spoiled[field] == 0 {
			t.Errorf("nothing of %s is spoiled; %v are", field, spoiled)
		}
	}
	plain := func(card string) string { return strings.TrimPrefix(card, nasty) }
	frames, soaks := s.Frames, s.Soaks
	s.Frames = func(card string, runs []string) (map[string]archive.KeptRun, error) { return frames(plain(card), runs) }
	s.Soaks = func(card string) ([]archive.SoakSeries, error) {
		logs, err := soaks(plain(card))
		spoil(reflect.ValueOf(logs), spoiled, "")
		return logs, err
	}
	return s
}

// Whatever a plan calls its things, nothing of it runs: not on the page, not in a chart opened by itself, not in a spreadsheet. The page has every table and
// row that it has with plain names, its switches work and its plots are read.
func withstandsNames(t *testing.T, ctx context.Context, s report.Source) {
	s.Words.Warnings = []string{"the room was warm"}
	s.Words.Aside = []report.AsideWords{{Path: "captures/tern_ref-stock/fjord.csv", Status: "void", Reason: "a task ran"}}
	plain, _ := reportFiles(t, ctx, s)
	folder, files := reportFiles(t, ctx, hostileReview(t, s))
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Path)) || strings.Count(f.Path, "/") > 1 {
			t.Errorf("a file is called %q", f.Path)
		}
		if strings.HasSuffix(f.Path, ".csv") {
			checkCSV(t, f)
		}
	}
	h := listen(ctx)
	made := func(at string) (counts []int) {
		do(t, ctx, chromedp.Navigate("file://"+filepath.ToSlash(at)), chromedp.WaitVisible("#switches"),
			chromedp.Evaluate(`["script", "style", "img", "table", "tr", "td, th", "section", "article", "figure", "figure svg", "li", "button", "select"].map((s) => document.querySelectorAll(s).length)`, &counts))
		return counts
	}
	want, got := made(filepath.Join(plain, "index.html")), made(filepath.Join(folder, "index.html"))
	if !slices.Equal(got, want) {
		t.Errorf("the page is made of %v, with plain names of %v", got, want)
	}
	choose(t, ctx, "metric", "hitch_events")
	choose(t, ctx, "metric", "mean_fps")
	do(t, ctx, chromedp.Evaluate(`document.querySelectorAll("thead button").forEach((b) => { b.click(); b.click(); })`, nil),
		chromedp.Evaluate(`document.querySelectorAll("figure[role=application]").forEach((f) => ["Home", "ArrowRight", "+", "Escape"].forEach((key) => f.dispatchEvent(new KeyboardEvent("keydown", {key}))))`, nil))
	fitsAPhone(t, ctx)
	checkNothingRan(t, ctx, "the page")
	drawn := 0
	for _, f := range files {
		if !strings.HasSuffix(f.Path, ".wide.light.svg") {
			continue
		}
		drawn++
		if err := os.WriteFile(filepath.Join(folder, "one.svg"), f.Content, 0o666); err != nil {
			t.Fatal(err)
		}
		do(t, ctx, chromedp.Navigate("file://"+filepath.ToSlash(filepath.Join(folder, "one.svg"))))
		checkNothingRan(t, ctx, f.Path)
	}
	if drawn < 20 {
		t.Errorf("%d charts were opened", drawn)
	}
	h.check(t, "hostile names")
}

// reportFiles writes a whole report.
func reportFiles(t *testing.T, ctx context.Context, s report.Source) (folder string, files []report.File) {
	t.Helper()
	files, err := report.Files(s, report.SVGCharts)
	if err != nil {
		t.Fatal(err)
	}
	folder = filepath.Join(t.TempDir(), "within", "report")
	if _, err := report.WriteFiles(ctx, folder, files, 2); err != nil {
		t.Fatal(err)
	}
	return folder, files
}

func checkNothingRan(t *testing.T, ctx context.Context, what string) {
	t.Helper()
	var ran, broken bool
	do(t, ctx, chromedp.Evaluate("window.ran !== undefined", &ran), chromedp.Evaluate(`document.querySelector("parsererror") !== null`, &broken))
	if ran || broken {
		t.Errorf("%s: ran %v, cannot be parsed %v", what, ran, broken)
	}
}

// checkCSV asks that a table can be parsed, that its rows are alike, and that a spreadsheet takes nothing in it for a formula (OWASP, "CSV Injection": what
// begins with = + - @ or a control character; numbers may have a sign).
func checkCSV(t *testing.T, f report.File) {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(f.Content, []byte("\ufeff")))).ReadAll()
	if err != nil {
		t.Errorf("%s: %v", f.Path, err)
	}
	for _, row := range rows {
		for _, text := range row {
			if text == "" || !strings.ContainsRune("=+-@\t\r", rune(text[0])) {
				continue
			}
			if _, err := strconv.ParseFloat(text, 64); err != nil {
				t.Errorf("%s: a spreadsheet may run %q", f.Path, text)
			}
		}
	}
}

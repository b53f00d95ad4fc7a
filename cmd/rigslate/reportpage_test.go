package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"github.com/rigslate/rigslate/export/report"
)

// demoReport runs the demo and gives the folder of its report with what that was made of.
func demoReport(t *testing.T) (folder string, s report.Source) {
	t.Helper()
	t.Setenv("RIGSLATE_CHARTS", "none")
	into := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(into, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	var out, log bytes.Buffer
	if code := run(context.Background(), []string{"run", into, "--now", "2027-02-26T09:00:00Z"}, &out, &log); code != 0 {
		t.Fatalf("ended with %d: %s", code, log.String())
	}
	editions, err := filepath.Glob(filepath.Join(into, "archive/editions/*/*"))
	if err != nil || len(editions) != 1 {
		t.Fatal(editions, err)
	}
	e, err := openEdition(editions[0])
	if err != nil {
		t.Fatal(err)
	}
	if s, err = report.FromEdition(e); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(into, "report"), s
}

// pageTable is a table as a reader reads it.
type pageTable struct {
	caption string
	rows    []string
}

func parsePage(t *testing.T, file string) (text string, tables []pageTable) {
	t.Helper()
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	for n := range root.Descendants() {
		switch {
		case n.Type != html.ElementNode:
		case n.Data == "table":
			tables = append(tables, pageTable{})
		case n.Data == "caption":
			tables[len(tables)-1].caption = nodeText(n)
		case n.Data == "tr" && n.Parent.Data == "tbody":
			last := &tables[len(tables)-1]
			last.rows = append(last.rows, nodeText(n))
		}
	}
	return nodeText(root), tables
}

// nodeText is what stands below a node, the places of a row set apart.
func nodeText(root *html.Node) string {
	var out strings.Builder
	for n := range root.Descendants() {
		switch {
		case n.Type == html.TextNode && n.Parent.Data != "style" && n.Parent.Data != "script":
			out.WriteString(n.Data)
		case n.Data == "td", n.Data == "li", n.Data == "dd", n.Data == "p":
			out.WriteString(" ")
		}
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

// hasRow complains where no table of a caption has a row with all of some words.
func hasRow(t *testing.T, tables []pageTable) func(caption string, words ...string) {
	return func(caption string, words ...string) {
		t.Helper()
		for _, table := range tables {
			if strings.HasPrefix(table.caption, caption) && slices.ContainsFunc(table.rows, func(r string) bool {
				return !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(r, w) })
			}) {
				return
			}
		}
		t.Errorf("no table %q has a row with %q", caption, words)
	}
}

// Every cell, comparison, summary, claim and figure of the bench that the archive's tables have of the headline figures stands on the
// page, rounded from the table and nowhere else.
func TestPageHasWhatTheTablesHave(t *testing.T) {
	folder, s := demoReport(t)
	text, tables := parsePage(t, filepath.Join(folder, "index.html"))
	row := hasRow(t, tables)
	games, modes := map[[2]string]string{}, map[report.Mode]string{}
	for _, g := range s.Words.Games {
		games[[2]string{g.Game, g.Variant}] = g.String()
	}
	for _, m := range s.Words.Modes {
		modes[m.Mode] = m.Title
		if !m.Alone {
			modes[m.Mode] += " ·\u00a0" + m.Mode.Mode
			modes[m.Mode] = strings.Join(strings.Fields(modes[m.Mode]), " ")
		}
	}
	shown := map[string]string{"ready": "ready", "vouched": "vouched", "failed": "does not run", "waived": "waived"} // screens' words
	for _, c := range s.Words.Cells {
		words := []string{modes[c.Mode], shown[c.State]}
		for _, x := range s.Tables.Cells {
			if x.Metric == "mean_fps" && (report.Key{Mode: report.Mode{Card: x.Card, Mode: x.Mode}, Game: x.Game, Variant: x.Variant, Resolution: x.Resolution}) == c.Key &&
				x.Mean != nil {
				words = append(words, decimal(*x.Mean, 1)+" ["+decimal(*x.CILow, 1)+", "+decimal(*x.CIHigh, 1)+"]")
			}
		}
		row(games[[2]string{c.Game, c.Variant}]+" at "+c.Resolution+": mean frame rate", words...)
		row("State of each cell at "+c.Resolution, modes[c.Mode], shown[c.State])
	}
	verdicts := 0
	for _, d := range s.Tables.Comparisons {
		if d.Metric == "mean_fps" && d.BaseCard == s.Words.Baseline.Card && d.BaseMode == s.Words.Baseline.Mode && d.Verdict != nil {
			verdicts++
			row(games[[2]string{d.Game, d.Variant}]+" at "+d.Resolution+": mean frame rate", modes[report.Mode{Card: d.Card, Mode: d.Mode}], *d.Verdict,
				strings.TrimPrefix(decimal(*d.Percent, 1), "+")+" %")
		}
	}
	if verdicts < 50 {
		t.Errorf("only %d verdicts were looked for", verdicts)
	}
	for _, x := range s.Tables.Summaries {
		if x.Metric == "mean_fps" && x.Percent != nil {
			row(map[bool]string{true: "all games", false: x.Group}[x.Group == "all"]+" at "+x.Resolution, modes[report.Mode{Card: x.Card, Mode: x.Mode}], decimal(*x.Percent, 1)+" %", *x.Verdict)
		}
	}
	benchOnPage(t, s, row)
	flags := map[string]bool{}
	for _, x := range s.Tables.Cells {
		if x.Metric == "mean_fps" && x.Flags != nil {
			for _, f := range strings.Fields(*x.Flags) {
				flags[f] = true
			}
		}
	}
	for f := range flags {
		if !slices.ContainsFunc(defined(t, filepath.Join(folder, "index.html")), func(d string) bool { return d == strings.ReplaceAll(f, "_", " ") || strings.HasSuffix(d, f) }) {
			t.Errorf("the page uses %s and does not say what it means", f)
		}
	}
	if len(flags) < 3 {
		t.Errorf("only %v were looked for", flags)
	}
	for _, c := range s.Tables.Claims {
		if !strings.Contains(text, c.Says+" "+sign(c.Verdict)+" "+c.Verdict) || c.Said != nil && !strings.Contains(text, "may be said "+*c.Said) {
			t.Errorf("claim %s is not on the page", c.Claim)
		}
	}
	for _, want := range append([]string{s.Origin.Edition, "rigslate " + s.Origin.Tool, "2560×1440", "sixteen cores, boost fixed at 5.0 GHz"}, s.Words.Cautions...) {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
}

func sign(verdict string) string {
	return map[string]string{"supported": "✓", "fits": "≈", "open": "◌", "contradicted": "✗", "no data": "○"}[verdict]
}

// benchOnPage looks for each figure of soaks with its U, each difference with its verdict, and each fact and figure of value.
func benchOnPage(t *testing.T, s report.Source, row func(caption string, words ...string)) {
	t.Helper()
	kinds := map[string]int{}
	for _, r := range s.Tables.Readings {
		switch {
		case r.Value == nil:
		case r.Protocol != nil && r.BaseCard == nil && r.Figure == "end_c":
			kinds["end"]++
			words := []string{pointed(r.Sensor, r.ProbeGroup), decimal(*r.Value, 1)}
			if r.Expanded != nil {
				words = append(words, "± "+decimal(*r.Expanded, 1))
			}
			row(map[bool]string{true: "Sweep ", false: "Soak "}[r.FanPct != nil]+*r.Protocol+": temperatures", words...)
		case r.Protocol != nil && r.BaseCard != nil && r.Verdict != nil && *r.Verdict != "single":
			kinds["difference"]++
			row("Soak "+*r.Protocol+": differences", decimal(*r.Value, 1)+" "+r.Unit, *r.Verdict)
		case r.Protocol != nil && *r.Protocol == "desk" && r.Figure == "sound_level_db" && r.BaseCard == nil:
			kinds["bound"]++ // in the demo two displays draw too little to be heard over the room
			row("Soak desk: sound", "at most "+decimal(*r.Value, 1))
		case r.Figure == "price_per_fps" && r.BaseCard == nil:
			kinds["value"]++
			row("Value at a "+*r.PriceKind, decimal(*r.Value, 2))
		case r.Figure == "length_mm" && r.BaseCard == nil:
			kinds["fact"]++
			row("Facts", decimal(*r.Value, 0))
		}
	}
	for _, k := range []string{"end", "difference", "value", "fact", "bound"} {
		if kinds[k] < 2 {
			t.Errorf("%d of %s were looked for", kinds[k], k)
		}
	}
}

func pointed(sensor, group *string) string {
	if group != nil {
		return *group
	}
	return *sensor
}

// decimal rounds for the page by the standard library alone, with a true minus sign, and none for what rounds to nothing.
func decimal(x float64, places int) string {
	s := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// defined are the heads of a page's definitions.
func defined(t *testing.T, file string) (heads []string) {
	t.Helper()
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	for n := range root.Descendants() {
		if n.Type == html.ElementNode && n.Data == "dt" {
			heads = append(heads, nodeText(n))
		}
	}
	return heads
}

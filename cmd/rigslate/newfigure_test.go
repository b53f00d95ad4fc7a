package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"github.com/rigslate/rigslate/export/archive"
)

// newFigure is an entry of the registry as somebody would add it, of a figure whose value is plain: the shortest kept frame.
const newFigure = `
	{Name: "shortest_ms", Title: "shortest frame", Unit: "ms", Means: "The shortest single frame.", Say: "Nothing.", Formula: "min x",
		Source: pageOne, Scale: Ratio, Decimals: 2, From: func(w Worked) Value { return inMS(Known(float64(w.Sorted[0]))) },
		Example: func(w Worked) string { return fmt.Sprintf("the shortest of %d frames took %.3f ms", w.Frames, w.at(1)) }},
}))
`

const newClaim = `
claim "shortest" {
  says    = "its shortest frame is not twice as long"
  metric  = "shortest_ms"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = 100 }
}
`

// edited is the program built with text in the place of one file of it, and with what is generated from that.
type edited struct {
	*testing.T
	dir     string
	replace map[string]string
}

func (e edited) goTool(args ...string) {
	e.Helper()
	overlay, err := json.Marshal(map[string]any{"Replace": e.replace})
	if err != nil {
		e.Fatal(err)
	}
	path := filepath.Join(e.dir, "overlay.json")
	if err := os.WriteFile(path, overlay, 0o666); err != nil {
		e.Fatal(err)
	}
	args = slices.Insert(args, 1, "-overlay", path)
	if out, err := exec.CommandContext(e.Context(), "go", args...).CombinedOutput(); err != nil {
		e.Fatalf("go %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// run is what the edited program prints.
func (e edited) run(args ...string) []byte {
	e.Helper()
	cmd := exec.CommandContext(e.Context(), filepath.Join(e.dir, "rigslate.exe"), args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		e.Fatalf("rigslate %s: %v\n%s%s", strings.Join(args, " "), err, stderr.String(), out)
	}
	return out
}

// addFigure makes the one edit and builds.
func addFigure(t *testing.T) edited {
	t.Helper()
	e := edited{t, t.TempDir(), map[string]string{}}
	registry, err := filepath.Abs("../../compute/metric_list.go")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(registry)
	if err != nil {
		t.Fatal(err)
	}
	before, after, found := strings.Cut(strings.ReplaceAll(string(text), "\r\n", "\n"), "\n}))\n")
	if !found || strings.Contains(after, "\n}))\n") {
		t.Fatal("where does the registry end?")
	}
	e.replace[registry] = filepath.Join(e.dir, "metric_list.go")
	if err := os.WriteFile(e.replace[registry], []byte(before+newFigure+after), 0o666); err != nil {
		t.Fatal(err)
	}
	list := filepath.Join(e.dir, "metrics_list.go")
	e.goTool("run", "../metriclist", list)
	e.replace[filepath.Join(filepath.Dir(registry), "../plan/metrics_list.go")] = list
	e.goTool("build", "-o", filepath.Join(e.dir, "rigslate.exe"), ".")
	return e
}

// A figure of a pass is added by its entry in the registry and by nothing else, besides what go generate writes: it is worked out,
// shown, kept, averaged, compared, summarised, claimed and explained. Each number is held against the archived frames, or the numbers
// that it is made of.
func TestNewFigureIsOneEdit(t *testing.T) {
	if testing.Short() {
		t.Skip("builds the program anew")
	}
	e := addFigure(t)
	demo := filepath.Join(e.dir, "demo")
	if err := os.CopyFS(demo, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(demo, "more.hcl"), []byte(newClaim), 0o666); err != nil {
		t.Fatal(err)
	}
	e.run("run", demo, "--now", "2027-02-26T09:00:00Z", "--json")
	a, err := archive.Look(filepath.Join(demo, "archive"))
	if err != nil {
		t.Fatal(err)
	}
	editions, _, err := a.Editions()
	if err != nil || len(editions) != 1 {
		t.Fatalf("%d editions, %v", len(editions), err)
	}
	passes := e.inRuns(editions[0])
	cells := e.inCells(editions[0], passes)
	e.inComparisons(editions[0], cells)
	e.inClaimsAndSummaries(editions[0])
	e.onScreen(demo, passes)
}

func rowsOf[Row any](e edited, edition archive.Edition, table string) []Row {
	e.Helper()
	rows, err := archive.ReadTable[Row](edition, table)
	if err != nil {
		e.Fatal(err)
	}
	return rows
}

// cellKey is what a row of several tables begins with.
type cellKey struct{ Card, Mode, Game, Variant, Resolution string }

// newRun is what this test reads of runs.parquet: the release that it is part of does not know the column.
type newRun struct {
	RunID      string   `parquet:"run_id"`
	Card       string   `parquet:"card"`
	Mode       string   `parquet:"mode"`
	Game       string   `parquet:"game"`
	Variant    string   `parquet:"variant"`
	Resolution string   `parquet:"resolution"`
	Repeat     int32    `parquet:"repeat"`
	Shortest   *float64 `parquet:"shortest_ms"`
}

func (r newRun) key() cellKey { return cellKey{r.Card, r.Mode, r.Game, r.Variant, r.Resolution} }

// inRuns holds the new column against the archived frames, as another library reads them.
func (e edited) inRuns(edition archive.Edition) []newRun {
	type frame struct {
		RunID string `parquet:"run_id"`
		Kept  bool   `parquet:"kept"`
		NS    int64  `parquet:"frame_ns"`
	}
	shortest := map[string]int64{}
	files, err := filepath.Glob(filepath.Join(edition.Dir, "frames-*.parquet"))
	if err != nil || len(files) == 0 {
		e.Fatalf("%d files of frames, %v", len(files), err)
	}
	for _, file := range files {
		frames, err := parquet.ReadFile[frame](file)
		if err != nil {
			e.Fatal(err)
		}
		for _, f := range frames {
			if least, ok := shortest[f.RunID]; f.Kept && (!ok || f.NS < least) {
				shortest[f.RunID] = f.NS
			}
		}
	}
	runs := rowsOf[newRun](e, edition, "runs.parquet")
	for _, r := range runs {
		if want := float64(shortest[r.RunID]) / 1e6; r.Shortest == nil || *r.Shortest != want {
			e.Errorf("%v, pass %d: %v in runs, the shortest frame took %v ms", r.key(), r.Repeat, r.Shortest, want)
		}
	}
	if len(runs) == 0 || len(runs) != len(shortest) {
		e.Errorf("%d runs, %d with frames", len(runs), len(shortest))
	}
	return runs
}

// inCells holds the mean of each cell against its passes, each of which is a launch in the demo.
func (e edited) inCells(edition archive.Edition, passes []newRun) map[cellKey]float64 {
	logs := map[cellKey][]float64{}
	for _, p := range passes {
		logs[p.key()] = append(logs[p.key()], math.Log(*p.Shortest))
	}
	means := map[cellKey]float64{}
	for _, c := range rowsOf[archive.CellRow](e, edition, "cells.parquet") {
		key := cellKey{c.Card, c.Mode, c.Game, c.Variant, c.Resolution}
		if c.Metric != "shortest_ms" || int(c.Launches) != len(logs[key]) || c.Launches == 0 {
			continue
		}
		var sum float64
		for _, y := range logs[key] {
			sum += y
		}
		means[key] = math.Exp(sum / float64(len(logs[key])))
		if c.Mean == nil || !near(*c.Mean, means[key]) || c.Unit != "ms" || c.Scale != "ratio" || c.CILow == nil {
			e.Errorf("%v: want a mean of %v ms with an interval: %+v", key, means[key], c)
		}
	}
	if len(means) < 20 {
		e.Errorf("%d cells compared", len(means))
	}
	return means
}

func near(x, y float64) bool { return math.Abs(x-y) <= 1e-12*math.Abs(y) }

// inComparisons holds each ratio against the means it is of.
func (e edited) inComparisons(edition archive.Edition, means map[cellKey]float64) {
	compared := 0
	for _, d := range rowsOf[archive.ComparisonRow](e, edition, "comparisons.parquet") {
		of, ok := means[cellKey{d.Card, d.Mode, d.Game, d.Variant, d.Resolution}]
		base, baseOK := means[cellKey{d.BaseCard, d.BaseMode, d.Game, d.Variant, d.Resolution}]
		if d.Metric != "shortest_ms" || !ok || !baseOK {
			continue
		}
		compared++
		if d.Ratio == nil || !near(*d.Ratio, of/base) || d.Verdict == nil {
			e.Errorf("want a ratio of %v and a verdict: %+v", of/base, d)
		}
	}
	if compared < 20 {
		e.Errorf("%d pairs compared", compared)
	}
}

func (e edited) inClaimsAndSummaries(edition archive.Edition) {
	judged := slices.ContainsFunc(rowsOf[archive.ClaimRow](e, edition, "claims.parquet"), func(c archive.ClaimRow) bool {
		return c.Claim == "shortest" && c.Verdict == "supported" && c.Estimate != nil && *c.Estimate < 100
	})
	if !judged {
		e.Error("the claim is not supported")
	}
	summed := slices.ContainsFunc(rowsOf[archive.SummaryRow](e, edition, "summaries.parquet"), func(s archive.SummaryRow) bool {
		return s.Metric == "shortest_ms" && s.Ratio != nil && s.Verdict != nil
	})
	if !summed {
		e.Error("no summary has it")
	}
}

// onScreen asks why and explain, for people and for programs.
func (e edited) onScreen(demo string, passes []newRun) {
	p := passes[0]
	cell := []string{"why", demo, p.Card + "." + p.Mode, p.Game + "." + p.Variant, p.Resolution, "--now", "2027-02-26T09:00:00Z"}
	if text := string(e.run(cell...)); !strings.Contains(text, "\n  shortest frame ") {
		e.Errorf("not among the figures of the passes and the cell:\n%s", text)
	}
	var why struct {
		Passes []struct {
			Repeat  int32               `json:"repeat"`
			Figures map[string]*float64 `json:"figures"`
		} `json:"pass_list"`
	}
	if err := json.Unmarshal(e.run(append(cell, "--json")...), &why); err != nil {
		e.Fatal(err)
	}
	found := false
	for _, q := range why.Passes {
		if x := q.Figures["shortest_ms"]; q.Repeat == p.Repeat && x != nil && *x == *p.Shortest {
			found = true
		}
	}
	if !found {
		e.Errorf("pass %d of %v has another figure in JSON: %+v", p.Repeat, p.key(), why.Passes)
	}
	type entry struct {
		Name string `json:"figure"`
	}
	var list []entry
	if err := json.Unmarshal(e.run("explain", "--json"), &list); err != nil {
		e.Fatal(err)
	}
	if !slices.Contains(list, entry{"shortest_ms"}) {
		e.Error("explain does not list it")
	}
	if text := string(e.run("explain", "shortest_ms")); !strings.Contains(text, "The shortest single frame.") || !strings.Contains(text, "min x") {
		e.Errorf("explained as\n%s", text)
	}
}

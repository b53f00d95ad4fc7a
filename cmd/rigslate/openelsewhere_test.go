package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/archive/olden"
	"github.com/rigslate/rigslate/export/archive/outside"
	"github.com/rigslate/rigslate/export/history"
)

// readersDir has Parquet readers that share no code with the archive's writers; CI installs them.
const readersDir = "../../.ci/parquet-readers"

// recomputedReview is the folder of the real captures, run, with an older edition that was recomputed.
func recomputedReview(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../testdata/real")); err != nil {
		t.Fatal(err)
	}
	t.Setenv("RIGSLATE_CHARTS", "none")
	call := func(args ...string) {
		t.Helper()
		var out, log bytes.Buffer
		if code := run(t.Context(), args, &out, &log); code > 1 {
			t.Fatalf("%v ended with %d: %s%s", args, code, out.String(), log.String())
		}
	}
	call("run", dir, "--now", "2027-02-26T09:00:00Z")
	for _, e := range archived(t, dir) {
		if err := olden.Age(e.Dir, olden.Higher); err != nil {
			t.Fatal(err)
		}
	}
	call("recompute", filepath.Join(dir, "archive"), "--now", "2027-03-26T09:00:00Z")
	return dir
}

func archived(t *testing.T, dir string) []archive.Edition {
	t.Helper()
	all, unreadable, err := archive.At(filepath.Join(dir, "archive")).Editions()
	if err != nil || unreadable != nil {
		t.Fatal(err, unreadable)
	}
	return all
}

// What README shows of other programs is run over an archive in which an edition was recomputed, and gives what the archive's own reader does. Every
// file of it is read whole by three readers, which agree on rows, nulls, ends and every value.
func TestOpenItElsewhere(t *testing.T) {
	if testing.Short() {
		t.Skip("reads an archive by three readers")
	}
	dir := recomputedReview(t)
	threeReadersAgree(t, dir)
	var duck, spark []string
	for _, sql := range blocks(t, "sql") {
		if strings.Contains(sql, "USING parquet") {
			spark = append(spark, sql)
		} else {
			duck = append(duck, sql)
		}
	}
	if len(duck) != 2 || len(spark) != 1 {
		t.Fatalf("README has %d queries for DuckDB and %d for Spark", len(duck), len(spark))
	}
	text, err := json.Marshal(map[string][]string{"duckdb": duck, "spark": spark})
	if err != nil {
		t.Fatal(err)
	}
	queries := filepath.Join(t.TempDir(), "queries.json")
	put(t, queries, string(text))
	var got struct{ DuckDB, Spark [][]map[string]any }
	node(t, "snippets.mjs", &got, dir, queries)
	if len(got.DuckDB) != 2 || len(got.Spark) != 1 {
		t.Fatalf("%d and %d answers", len(got.DuckDB), len(got.Spark))
	}
	want := frameRates(t, dir)
	for name, rows := range map[string][]map[string]any{"DuckDB": got.DuckDB[0], "Spark's query": got.Spark[0], "pandas": inPython(t, dir)} {
		if rows == nil {
			continue
		}
		if diff := cmp.Diff(want, asLines(rows, "review", "edition", "card", "mode", "game", "variant", "resolution", "mean", "ci_low", "ci_high", "state")); diff != "" {
			t.Errorf("%s (- archive, + it)\n%.2000s", name, diff)
		}
	}
	if diff := cmp.Diff(longest(t, dir), asLines(got.DuckDB[1], "review", "card", "mode", "game", "variant", "resolution", "repeat", "frames", "longest_ms")); diff != "" {
		t.Errorf("longest frames (- archive, + DuckDB)\n%.2000s", diff)
	}
}

func node(t *testing.T, script string, to any, args ...string) {
	t.Helper()
	err := outside.Node(readersDir, script, to, args...)
	if errors.Is(err, outside.ErrNoNode) && os.Getenv("CI") != "true" {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func threeReadersAgree(t *testing.T, dir string) {
	t.Helper()
	rows := map[string]string{}
	for _, e := range archived(t, dir) {
		for _, f := range e.Files {
			if f.Rows != nil {
				rows[fmt.Sprintf("editions/review=%s/edition=%s/%s", e.Review, e.Edition, f.Path)] = fmt.Sprint(*f.Rows)
			}
		}
	}
	a := filepath.Join(dir, "archive")
	var got outside.Readings
	node(t, "read.mjs", &got, a)
	if len(got.Files) != len(rows) || len(rows) < 15 {
		t.Errorf("%d files read, the manifests have %d", len(got.Files), len(rows))
	}
	for _, f := range got.Files {
		third, err := outside.ParquetGo(filepath.Join(a, f.Path))
		if err != nil {
			t.Errorf("parquet-go: %s: %v", f.Path, err)
			continue
		}
		if third.Rows != rows[f.Path] {
			t.Errorf("%s: %s rows, the manifest says %s", f.Path, third.Rows, rows[f.Path])
		}
		for name, other := range map[string]outside.Reading{"DuckDB": f.DuckDB, "hyparquet": f.Hyparquet} {
			if diff := cmp.Diff(third, alike(third, other)); diff != "" {
				t.Errorf("%s (- parquet-go, + %s)\n%.1000s", f.Path, name, diff)
			}
		}
	}
}

// alike puts what another reader says in the words of the first, as far as both write one number in two ways: their own names of types, and ends that
// have a fraction, of which the digest has every bit.
func alike(first, other outside.Reading) outside.Reading {
	out := outside.Reading{Rows: other.Rows, Columns: map[string]outside.ColumnReading{}}
	for name, c := range other.Columns {
		mine := first.Columns[name]
		c.Type, c.Scanned = mine.Type, nil
		if sameNumber(c.Min, mine.Min) && sameNumber(c.Max, mine.Max) && mine.Type == "DOUBLE" {
			c.Min, c.Max = mine.Min, mine.Max
		}
		out.Columns[name] = c
	}
	return out
}

func sameNumber(a, b string) bool {
	var x, y float64
	_, errA := fmt.Sscan(a, &x)
	_, errB := fmt.Sscan(b, &y)
	return errA == nil && errB == nil && x == y
}

// asLines writes rows a line each, sorted, with numbers in one notation.
func asLines(rows []map[string]any, columns ...string) (out []string) {
	for _, r := range rows {
		var words []string
		for _, c := range columns {
			word := fmt.Sprint(r[c])
			var x float64
			if _, err := fmt.Sscan(word, &x); err == nil && c != "review" && c != "edition" {
				word = fmt.Sprintf("%.12g", x)
			}
			words = append(words, word)
		}
		out = append(out, strings.Join(words, " "))
	}
	slices.Sort(out)
	return out
}

// frameRates are the cells of all editions in mean frame rate, by the archive's own reader.
func frameRates(t *testing.T, dir string) []string {
	t.Helper()
	var rows []map[string]any
	for _, e := range archived(t, dir) {
		cells, err := archive.ReadTable[archive.CellRow](e, "cells.parquet")
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cells {
			if c.Metric == "mean_fps" {
				rows = append(rows, map[string]any{"review": e.Review, "edition": e.Edition, "card": c.Card, "mode": c.Mode, "game": c.Game, "variant": c.Variant,
					"resolution": c.Resolution, "mean": orNil(c.Mean), "ci_low": orNil(c.CILow), "ci_high": orNil(c.CIHigh), "state": c.State})
			}
		}
	}
	return asLines(rows, "review", "edition", "card", "mode", "game", "variant", "resolution", "mean", "ci_low", "ci_high", "state")
}

// longest are the frames of the passes that count in the newest edition, by the figures that it has of them.
func longest(t *testing.T, dir string) []string {
	t.Helper()
	m, _ := compute.MetricByName("mean_fps")
	points, _, err := history.Points(archive.At(filepath.Join(dir, "archive")), history.Asked{Metric: m})
	if err != nil || len(points) == 0 {
		t.Fatal(err)
	}
	var rows []map[string]any
	for _, e := range archived(t, dir) {
		if e.Edition != points[0].Edition {
			continue
		}
		runs, err := archive.ReadTable[archive.RunRow](e, "runs.parquet")
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range runs {
			if r.Status == "used" {
				rows = append(rows, map[string]any{"review": e.Review, "card": r.Card, "mode": r.Mode, "game": r.Game, "variant": r.Variant,
					"resolution": r.Resolution, "repeat": r.Repeat, "frames": *r.Frames, "longest_ms": *r.FrameMSMax})
			}
		}
	}
	return asLines(rows, "review", "card", "mode", "game", "variant", "resolution", "repeat", "frames", "longest_ms")
}

func orNil(x *float64) any {
	if x == nil {
		return nil
	}
	return *x
}

// inPython runs the Python of README where pandas and pyarrow are installed. Where they are not, its syntax must be right and each name that it picks
// be one of a column or a folder, and nothing is returned.
func inPython(t *testing.T, dir string) (rows []map[string]any) {
	t.Helper()
	all := blocks(t, "python")
	if len(all) != 1 {
		t.Fatalf("README has %d pieces of Python", len(all))
	}
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Log("there is no Python; the snippet was not looked at")
		return nil
	}
	if exec.Command(python, "-c", "import pandas, pyarrow").Run() == nil {
		cmd := exec.Command(python, "-c", all[0]+"\nprint(fps.to_json(orient='records', double_precision=15))")
		cmd.Dir = dir
		out, err := cmd.Output()
		if err == nil {
			err = json.Unmarshal(out, &rows)
		}
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		return rows
	}
	t.Log("pandas or pyarrow are not installed: only syntax and names of columns are checked")
	if out, err := exec.Command(python, "-c", "import ast, sys; ast.parse(sys.argv[1])", all[0]).CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
	first, err := outside.ParquetGo(filepath.Join(archived(t, dir)[0].Dir, "cells.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	_, picked, _ := strings.Cut(all[0], "fps[[")
	names := regexp.MustCompile(`"(\w+)"`).FindAllStringSubmatch(picked, -1)
	for _, n := range names {
		if _, there := first.Columns[n[1]]; !there && n[1] != "review" && n[1] != "edition" {
			t.Errorf("cells have no column %s", n[1])
		}
	}
	if len(names) < 10 {
		t.Errorf("%d columns are picked", len(names))
	}
	return nil
}

package main

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/parquet-go/parquet-go"

	"github.com/rigslate/rigslate/export/archive"
)

// Ten million frames of one pass, half a day at 250 fps, go from the file into an edition. Frame i takes 4 ms and i mod 7 µs, so that
// T and with it the mean are known to the ns.
func TestTenMillionFramesOfOnePass(t *testing.T) {
	if testing.Short() {
		t.Skip("two seconds and 400 MB")
	}
	const n = 10_000_000
	dir := t.TempDir()
	put(t, filepath.Join(dir, "plan.hcl"), "review \"long\" {\n  baseline = card.tern_ref.stock\n}\ncard \"tern_ref\" {\n  vendor = \"marram\"\n}\n"+
		"game \"fjord\" {\n  drive = \"built-in\"\n  keep  = \"all\"\n}\nresolution \"uhd\" { size = \"3840x2160\" }\nmatrix {\n  repeats = 1\n}\n"+
		"files \"made_up\" {\n  path        = \"{card}_{game}_{repeat}.csv\"\n  frame_time  = { column = \"us\", unit = \"us\" }\n  measured_at = \"present\"\n}\n")
	file, err := os.Create(filepath.Join(dir, "tern_ref_fjord_1.csv"))
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(file)
	fmt.Fprintln(w, "us")
	total := 0
	var line []byte
	for i := range n {
		line = strconv.AppendInt(line[:0], int64(4000+i%7), 10)
		if _, err := w.Write(append(line, '\n')); err != nil {
			t.Fatal(err)
		}
		total += 4000 + i%7
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := run(t.Context(), []string{"run", dir, "--now", "2027-02-26T09:00:00Z"}, &out, &errs); code != 0 {
		t.Fatalf("exit code %d: %s%s", code, out.String(), errs.String())
	}
	found, err := filepath.Glob(filepath.Join(dir, "archive", "editions", "*", "*", "runs.parquet"))
	if err != nil || len(found) != 1 {
		t.Fatalf("editions %v, %v", found, err)
	}
	rows, err := parquet.ReadFile[archive.RunRow](found[0])
	if err != nil || len(rows) != 1 {
		t.Fatalf("%d runs, %v", len(rows), err)
	}
	r := rows[0]
	if *r.Frames != n || *r.FramesCut != 0 || math.Abs(*r.MeanFPS/(1e6*n/float64(total))-1) > 1e-15 || *r.DurationS != float64(total)/1e6 {
		t.Errorf("%d frames, %d cut, %.17g fps over %.17g s, want %.17g", *r.Frames, *r.FramesCut, *r.MeanFPS, *r.DurationS, 1e6*n/float64(total))
	}
	if *r.FrameMSMax != 4.006 || *r.FrameMSP50 != 4.003 {
		t.Errorf("longest %g, median %g ms, want 4.006 and 4.003", *r.FrameMSMax, *r.FrameMSP50)
	}
}

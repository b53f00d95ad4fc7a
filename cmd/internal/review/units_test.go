package review

import (
	"context"
	"fmt"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/export/archive"
)

// The two units give from plan, frames, samples and ledger what the captures gave: every row of every table, bit for bit, and the edition's id.
func TestUnitsGiveTheEditionAgain(t *testing.T) {
	for _, name := range []string{"real", "demo"} {
		if name == "demo" && testing.Short() {
			t.Skip("the demo is worked out twice")
		}
		dir := copied(t, name)
		o := options(dir)
		o.Charts = "none"
		do(t, o)
		wantUnitsAgree(t, filepath.Join(dir, "archive"))
	}
}

// wantUnitsAgree works all editions of an archive out again by the units.
func wantUnitsAgree(t *testing.T, dir string) {
	t.Helper()
	for _, e := range editionsIn(t, dir) {
		r, err := workUnits(context.Background(), archive.At(dir), e, "", 2)
		if err != nil {
			t.Fatal(err)
		}
		again := r.tables()
		wantRows(t, e, "runs", again.Runs)
		wantRows(t, e, "cells", again.Cells)
		wantRows(t, e, "comparisons", again.Comparisons)
		wantRows(t, e, "summaries", again.Summaries)
		wantRows(t, e, "claims", again.Claims)
		wantRows(t, e, "readings", again.Readings)
		if id, err := r.identity(); err != nil || id != e.Edition {
			t.Errorf("identity %s, %v, want %s", id, err, e.Edition)
		}
	}
}

func wantRows[Row any](t *testing.T, e archive.Edition, table string, again []Row) {
	t.Helper()
	rows, err := archive.ReadTable[Row](e, table+".parquet")
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) == 0 && len(again) == 0 {
		return
	}
	if !reflect.DeepEqual(rows, again) {
		t.Errorf("%s of %s: (- archive, + again)\n%.4000s", table, e.Review, cmp.Diff(rows, again))
	}
}

// What sensors logged of passes comes from the archived samples and from the frames' own columns, as far as it could be read; a capture that could
// not be read makes its cell doubtful again, and a session spread is that of the day.
func TestUnitsFromWhatIsOnRecord(t *testing.T) {
	log := func(power string) string { return sensorLog(func(int) string { return "50;1900;" + power + ";500" }) }
	capture := func(first float64, skip int) string { return framesAt(first, skip, "", nil) }
	for name, files := range map[string]map[string]string{
		"beside":            {"tern_ref.1.csv": capture(3.5, 0), "tern_ref.1.log": log("150"), "heron_x.1.csv": capture(3.5, 1)},
		"damaged and empty": {"tern_ref.1.csv": capture(3.5, 0), "tern_ref.1.log": "t;spot\n", "heron_x.1.csv": capture(3.5, 1), "heron_x.1.log": log("")},
		"beside two":        {"tern_ref.1.csv": capture(3.5, 0), "tern_ref.1.log": log("150"), "heron_x.1.csv": capture(3.5, 1), "heron_x.1.log": log("150")},
	} {
		files["plan.hcl"] = fmt.Sprintf(sensorPlan, 1) + siblings
		dir := folderOf(t, files)
		if do(t, options(dir)).Kept.Edition == "" {
			t.Fatalf("%s: no edition", name)
		}
		wantUnitsAgree(t, filepath.Join(dir, "archive"))
	}
}

// editionsIn are the archive's editions, in its order.
func editionsIn(t *testing.T, dir string) []archive.Edition {
	t.Helper()
	all, unreadable, err := archive.At(dir).Editions()
	if err != nil || unreadable != nil {
		t.Fatal(err, unreadable)
	}
	return all
}

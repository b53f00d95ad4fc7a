package review

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/plan/coverage"
)

// one returns the only, or the first, file that the pattern names.
func one(t *testing.T, pattern ...string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(pattern...))
	if err != nil || len(found) == 0 {
		t.Fatalf("%v: %v, %v", pattern, found, err)
	}
	return found[0]
}

func flip(t *testing.T, name string) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	b[len(b)/2] ^= 0x10
	if err := os.WriteFile(name, b, 0o666); err != nil {
		t.Fatal(err)
	}
}

func TestADamagedEditionIsNotCalledPublished(t *testing.T) {
	dir := copied(t, "real")
	do(t, options(dir))
	flip(t, one(t, dir, "archive", "editions", "*", "*", "cells.parquet"))
	if _, err := Do(context.Background(), options(dir)); !errors.Is(err, ErrDisk) {
		t.Errorf("error %v, want a fault of the archive", err)
	}
}

func TestADamagedRawFileIsStoredAnew(t *testing.T) {
	dir := copied(t, "real")
	do(t, options(dir))
	name := one(t, dir, "archive", "raw", "*")
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	flip(t, name)
	if err := os.WriteFile(filepath.Join(dir, "more.hcl"), []byte("statistics {\n  margin = \"2%\"\n}\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if r := do(t, options(dir)); r.Kept.Already {
		t.Fatal("another margin is the same edition")
	}
	now, err := os.ReadFile(name)
	if err != nil || !slices.Equal(now, good) {
		t.Errorf("the raw file is not what it was: %v", err)
	}
}

func TestAnArchiveThatCannotBeUsedStillLeavesTheDraft(t *testing.T) {
	dir := copied(t, "real")
	if err := os.WriteFile(filepath.Join(dir, "archive"), []byte("a file in its place"), 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := Do(context.Background(), options(dir))
	if !errors.Is(err, ErrDisk) {
		t.Errorf("error %v, want a fault of the archive", err)
	}
	if !r.Finished() || r.Kept.Draft == "" || r.Kept.Edition != "" {
		t.Errorf("kept %+v, want the draft alone", r.Kept)
	}
}

// What no pass of the demo can have: it logs no sensors, voids nothing, and no pass of it is disturbed.
var nullInTheDemo = strings.Fields("FramesEdition VoidReason StartTempC MeanPowerW DisturbedFromS DisturbedToS API Firmware Flags PowerMeasuredAt SensedFromNS SensedToNS")

func TestEveryColumnOfRunsIsFilled(t *testing.T) {
	long(t)
	r := do(t, options(copied(t, "demo")))
	rows := r.tables().Runs
	if len(rows) != 198 {
		t.Fatalf("%d rows, want 198", len(rows))
	}
	for _, row := range rows {
		v := reflect.ValueOf(row)
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			if f := v.Field(i); f.Kind() == reflect.Pointer && f.IsNil() && !slices.Contains(nullInTheDemo, name) {
				t.Errorf("%s is null in %s", name, row.SourcePath)
			}
		}
	}
}

// A unit that is off by a thousand gives a rate no game has. Common practice, no source.
func TestAWrongUnitIsDoubtful(t *testing.T) {
	dir := copied(t, "real")
	name := filepath.Join(dir, "plan.hcl")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	edited := strings.NewReplacer(`"frame_ms", unit = "ms"`, `"frame_ms", unit = "us"`, "let.kept", `"all"`,
		"let {\n  kept = { warmup = \"2s\", length = \"12s\" }\n}\n", "").Replace(string(text))
	lines := strings.Split(edited, "\n")
	lines = slices.DeleteFunc(lines, func(l string) bool { return strings.Contains(l, "timestamp") })
	if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")), 0o666); err != nil {
		t.Fatal(err)
	}
	r := do(t, options(dir))
	for _, c := range r.Cells {
		if c.State != coverage.Doubtful || c.Why[0].Kind != "implausible" {
			t.Errorf("%s is %s: %v", c.Cell.Key, c.State, c.Why)
		}
	}
}

func TestTheBenchLogIsArchived(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	r := do(t, options(dir))
	want, err := os.ReadFile(filepath.Join(dir, "bench.csv"))
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(filepath.Join(r.Kept.Folder, "plan", "bench.csv"))
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("the archived bench log is another: %v", err)
	}
}

package main

import (
	"context"
	"math"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/rs/zerolog"

	tool "github.com/rigslate/rigslate/cmd/internal/review"
)

// TestSweepsTellTheTruth holds what the tool makes of the demo's fan sweeps against what was put in: rises within the noise of the reading and a tenth
// of a degree on each side, levels without the room's background within the uncertainty that the tool states, speeds within their scatter.
func TestSweepsTellTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("works many soaks out, one after another")
	}
	r, err := tool.Do(context.Background(), tool.Options{Plans: []string{filepath.Join(testdata, "demo")},
		Now: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Log: zerolog.Nop()})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.SweepTodo) > 0 {
		t.Errorf("to note: %+v", r.SweepTodo)
	}
	seen := 0
	for _, b := range boards {
		rises := sweepRise[b.mode]
		for _, f := range r.Bench {
			if rises == nil || f.Protocol != "fan" || f.Of.Card+"."+f.Of.Mode != b.mode || !slices.Contains(sweepPct, f.FanPct.X) {
				continue
			}
			i := slices.Index(sweepPct, f.FanPct.X)
			rpm := fullSpeed[b.mode] * sweepPct[i] / 100
			what := b.mode + " " + f.Name
			switch {
			case f.Name == "rise_k":
				hasWithin(t, what, f.Value, rises[i], 5*coreNoise+0.1)
			case f.Name == "fan_typical_rpm":
				hasWithin(t, what, f.Value, rpm, 5*6+0.5)
			case f.Name == "sound_level_db" && f.U.Expanded.OK:
				own := 10 * math.Log10(math.Pow(10, b.levelAt(rpm)/10)-math.Pow(10, background/10.0))
				hasWithin(t, what, f.Value, own, f.U.Expanded.X)
			default:
				continue
			}
			seen++
		}
	}
	if want := 3 * (4 + 4 + 3); seen != want { // three sweeps of four steps; of each the slowest is too quiet to be told from the room
		t.Errorf("%d figures held against the truth, want %d", seen, want)
	}
}

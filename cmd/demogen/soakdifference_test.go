package main

import (
	"context"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"

	tool "github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/plan"
)

// trueRise is how far a mode's core, board or stages end above the room, repeats aside.
func trueRise(b *board, probe string) float64 {
	c := map[string]curve{"core": b.core, "board": b.board, "stages": b.stages[2]}[probe]
	s := &soak{protocol: halfHour, board: b, rise: 1}
	mean, _ := endRise(s, c)
	return mean
}

// cardLevel is a mode's level without the background, dB.
func cardLevel(b *board) float64 {
	return 10 * math.Log10(math.Pow(10, b.level/10)-math.Pow(10, background/10))
}

// trueDifference is what a difference of the half hour is in truth, in its metric's unit; ok is false for what the truth has no figure of.
func trueDifference(d tool.BenchComparison, of, base *board) (x float64, ok bool) {
	switch d.Metric.Name {
	case "rise_k":
		for _, probe := range []string{"core", "board", "stages"} {
			if d.Sensor.Name() == probe {
				return trueRise(of, probe) - trueRise(base, probe), true
			}
		}
	case "sound_level_db":
		return cardLevel(of) - cardLevel(base), true
	}
	return 0, false
}

// A 95 % interval of a difference misses the truth one time in twenty, and never by much. Sixteen are looked at; three misses or more are as
// rare as 4 % (binomial). Where a card was not settled the comparison says so, and only there.
func TestSoakDifferencesHoldTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("works many soaks out, one after another")
	}
	r, err := tool.Do(context.Background(), tool.Options{Plans: []string{filepath.Join(testdata, "demo")},
		Now: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Log: zerolog.Nop()})
	if err != nil {
		t.Fatal(err)
	}
	looked, missed := 0, 0
	for _, d := range r.BenchDiffs {
		if d.Soak != halfHour.name || d.Base != (plan.Mode{Card: "tern_ref", Mode: "stock"}) {
			continue
		}
		of, base := find(boards, d.Of.Card+"."+d.Of.Mode), find(boards, "tern_ref.stock")
		truth, ok := trueDifference(d, of, base)
		if !ok {
			continue
		}
		looked++
		what := d.Of.String() + " " + d.Metric.Name + " " + d.Sensor.Name()
		middle, half := (d.Low.X+d.High.X)/2, (d.High.X-d.Low.X)/2
		switch off := math.Abs(truth - middle); {
		case !d.Low.OK || !d.High.OK:
			t.Errorf("%s: no interval: %s", what, d.Why)
		case off > 2*half:
			t.Errorf("%s: [%.2f, %.2f], the truth is %.2f", what, d.Low.X, d.High.X, truth)
		case off > half:
			missed++
			t.Logf("%s: [%.2f, %.2f] misses the truth, %.2f", what, d.Low.X, d.High.X, truth)
		}
		unsettled := slices.ContainsFunc(d.Notes, func(n string) bool { return strings.Contains(n, "was not settled") })
		if want := d.Metric.Name == "rise_k" && of.throttleS > 0; unsettled != want {
			t.Errorf("%s: notes %v", what, d.Notes)
		}
	}
	if looked != 16 || missed > 2 {
		t.Errorf("%d differences, of which %d miss the truth", looked, missed)
	}
}

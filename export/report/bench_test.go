package report

import (
	"fmt"
	"math"
	"testing"

	"github.com/rigslate/rigslate/export/archive"
)

// wide is a review as large as they come: 24 cards in 20 games at three resolutions, three passes of a minute each.
func wide() Source {
	s := Source{Words: Words{Review: "wide", Baseline: Mode{"card01", "stock"}, Statistics: StatisticsWords{Lows: "quantile"},
		Resolutions: []SizeWords{{"uhd", 3840, 2160}, {"qhd", 2560, 1440}, {"fhd", 1920, 1080}}}}
	for i := range 24 {
		s.Words.Modes = append(s.Words.Modes, ModeWords{Mode: Mode{fmt.Sprintf("card%02d", i+1), "stock"}, Title: fmt.Sprintf("Heron %d partner card", i+1), Alone: true})
	}
	for i := range 20 {
		s.Words.Games = append(s.Words.Games, GameWords{Game: fmt.Sprintf("game%02d", i+1), Variant: "plain", Title: fmt.Sprintf("Fjord %d", i+1), Alone: true})
	}
	for i, m := range s.Words.Modes {
		for j, g := range s.Words.Games {
			for k, size := range s.Words.Resolutions {
				s.add(Key{m.Mode, g.Game, g.Variant, size.Name}, 60+float64(3*i+2*j)+30*float64(k))
			}
		}
	}
	s.Frames = func(card string, runs []string) (map[string]archive.KeptRun, error) {
		out := map[string]archive.KeptRun{}
		for i, id := range runs {
			var run archive.KeptRun
			for k, t := 0, int64(0); t < 60e9; k++ {
				ns := int64(9e6 + 2e6*math.Sin(float64(k)/300) + float64((k*7919+i*104729)%1000)*900)
				run.NS, t = append(run.NS, ns), t+ns
			}
			out[id] = run
		}
		return out, nil
	}
	return s
}

// add puts a cell with three passes into the source.
func (s *Source) add(k Key, fps float64) {
	s.Words.Cells = append(s.Words.Cells, CellWords{Key: k, State: "ready", Passes: 3, Of: 3})
	for _, metric := range []string{"mean_fps", "low1_quantile_fps"} {
		s.Tables.Cells = append(s.Tables.Cells, archive.CellRow{Card: k.Card, Mode: k.Mode.Mode, Game: k.Game, Variant: k.Variant, Resolution: k.Resolution, Metric: metric,
			Mean: some(fps), CILow: some(0.99 * fps), CIHigh: some(1.01 * fps)})
	}
	for i := range 3 {
		s.Tables.Runs = append(s.Tables.Runs, archive.RunRow{RunID: fmt.Sprint(k, i), Card: k.Card, Mode: k.Mode.Mode, Game: k.Game, Variant: k.Variant, Resolution: k.Resolution,
			Repeat: int32(i + 1), Status: "used", MeanFPS: some(fps + float64(i)), FrameMSP50: some(10.0), FrameMSP99: some(12.0)})
	}
	if k.Mode != s.Words.Baseline {
		s.Tables.Comparisons = append(s.Tables.Comparisons, archive.ComparisonRow{Card: k.Card, Mode: k.Mode.Mode, Game: k.Game, Variant: k.Variant, Resolution: k.Resolution,
			Metric: "mean_fps", BaseCard: s.Words.Baseline.Card, BaseMode: s.Words.Baseline.Mode, Percent: some(3.0), CILow: some(2.0), CIHigh: some(4.0), Verdict: some("ahead")})
	}
}

// The whole report of the largest review with the charts that are written by default, on two workers.
func BenchmarkLargestReport(b *testing.B) {
	s := wide()
	for b.Loop() {
		files, err := Files(s, SVGCharts)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := WriteFiles(b.Context(), b.TempDir(), files, 2); err != nil {
			b.Fatal(err)
		}
	}
}

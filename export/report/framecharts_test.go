package report

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// filmed is the review of drawn with three passes of one cell, each begun 10.5 s into its capture: 100 frames a second for 4 s, but in its third second the
// pass in the middle has 50.
func filmed(t *testing.T) Source {
	s := drawn()
	frames := map[string]archive.KeptRun{}
	for i, fps := range []float64{101, 100, 99} {
		id := string(rune('a' + i))
		s.Tables.Runs = append(s.Tables.Runs, archive.RunRow{RunID: id, Card: "tern", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Repeat: int32(i + 1),
			Status: "used", MeanFPS: some(fps), DisturbedFromS: some(12.5), DisturbedToS: some(13.5), FrameMSP50: some(10.0), FrameMSP99: some(20.0)})
		run := archive.KeptRun{StartNS: 10_500_000_000}
		for range 2 {
			run.NS = append(run.NS, slices.Repeat([]int64{10_000_000}, 100)...)
		}
		if id == "b" {
			run.NS = append(run.NS, slices.Repeat([]int64{20_000_000}, 50)...)
		} else {
			run.NS = append(run.NS, slices.Repeat([]int64{10_000_000}, 100)...)
		}
		run.NS = append(run.NS, slices.Repeat([]int64{10_000_000}, 100)...)
		frames[id] = run
	}
	s.Tables.Runs = append(s.Tables.Runs, archive.RunRow{RunID: "void", Card: "tern", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Status: "void", MeanFPS: some(10.0)})
	s.Frames = func(card string, runs []string) (map[string]archive.KeptRun, error) {
		if card != "tern" || !slices.Equal(runs, []string{"c", "b", "a"}) {
			t.Errorf("asked for %v of %s", runs, card)
		}
		return frames, nil
	}
	s, err := s.withPasses()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Of each card the pass in the middle is drawn, with the frames that the source gives, at the time of its capture; one that was slow for a while says so
// by the same clock.
func TestFramesAreOfThePassInTheMiddle(t *testing.T) {
	s := filmed(t)
	rows, passes := s.passesShown(s.Words.Games[0], s.Words.Resolutions[0])
	if len(passes) != 1 || passes[0].RunID != "b" || rows[0].Card != "tern" {
		t.Fatalf("%+v", passes)
	}
	c := s.frameTimes(s.Words.Games[0], s.Words.Resolutions[0], rows, passes)
	if l := c.Lanes[0]; len(l.MS) != 350 || l.MS[200] != 20 || l.Note != "slow from 12 to 14 s" || !l.Doubt || l.Start != 10.5 {
		t.Errorf("%d frames from %g s, %q", len(l.MS), l.Start, l.Note)
	}
	s.Words.Cells[1].State = "failed"
	if c := s.frameTimes(s.Words.Games[0], s.Words.Resolutions[0], rows, passes); !strings.HasPrefix(c.Notes, `Skua <b>&"x": does not run. `) {
		t.Errorf("a card that does not run is not spoken of: %q", c.Notes)
	}
	d := s.distribution(s.Words.Games[0], s.Words.Resolutions[0], rows, passes)
	if l := d.Lanes[0]; len(l.MS) != 350 || l.Note != "half within 10.0 ms · 99 % within 20.0 ms" || l.At[1] != chart.Known(20) || l.At[2].Known {
		t.Errorf("%+v, %q", l.At, l.Note)
	}
	for want, of := range map[string]func(Source) ([]named, error){
		"frames-fjord-plain-uhd":       func(s Source) ([]named, error) { return frameCharts(s, 0) },
		"distribution-fjord-plain-uhd": func(s Source) ([]named, error) { return distributionCharts(s), nil }} {
		if drawn, err := of(s); err != nil || len(drawn) != 1 || drawn[0].name != want {
			t.Errorf("%d charts, want %s: %v", len(drawn), want, err)
		}
	}
}

// A strip shows each second beside the median of all passes (two of three have 100 frames in the third, this one 50), and its table says where time stands on
// it and how long it is in frames of a video: 4 s are 240 at 60 a second, and 4·60/1.001 at 59.94 (SMPTE ST 12-1, from memory).
func TestStripsAreTimedToFootage(t *testing.T) {
	s := filmed(t)
	strips := s.strips()
	if len(strips) != 1 || strips[0].name != "strip-fjord-plain-uhd-tern-stock" {
		t.Fatalf("%d strips", len(strips))
	}
	for i, want := range []float64{0, 0, -50, 0} {
		if got := strips[0].pass.seconds[i]; !got.Known || math.Abs(got.X-want) > 1e-9 {
			t.Errorf("second %d: %+v, want %g %%", i, got, want)
		}
	}
	file, ok, err := stripTimes(s)
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	rows, err := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(file.Content, []byte("\ufeff")))).ReadAll()
	if err != nil || len(rows) != 2 {
		t.Fatal(rows, err)
	}
	at := func(heading string) float64 {
		i := slices.IndexFunc(rows[0], func(h string) bool { return strings.HasPrefix(h, heading) })
		if i < 0 {
			t.Fatalf("no column %q in %v", heading, rows[0])
		}
		x, err := strconv.ParseFloat(rows[1][i], 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for heading, want := range map[string]float64{"pass": 2, "begins": 10.5, "ends": 14.5, "length (s)": 4, "length at 60 ": 240, "length at 59.94": 240 / 1.001, "length at 24 ": 96} {
		if got := at(heading); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %v, want %v", heading, got, want)
		}
	}
	if left, right, second := at("left"), at("right"), at("one second"); math.Abs(left+4*second-right) > 1e-6 || left < 0.05*1920 || right > 0.95*1920 {
		t.Errorf("the plot goes from %v to %v of 1920, a second being %v", left, right, second)
	}
	files, err := chartFiles(s, SVGCharts)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"charts/strip-fjord-plain-uhd-tern-stock.band.clear.svg", "charts/strips.csv", "charts/distribution-fjord-plain-uhd.tall.dark.svg"} {
		if !slices.ContainsFunc(files, func(f File) bool { return f.Path == want }) {
			t.Errorf("no %s", want)
		}
	}
}

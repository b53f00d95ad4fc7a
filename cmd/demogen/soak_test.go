package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"

	tool "github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/plan"
)

// The logs of the soaks in the repository are what the model gives; text is compared, since compressors may improve.
func TestRepositoryHoldsTheSoaks(t *testing.T) {
	const most = 700_000 // bytes, which every clone carries
	files, size := 0, 0
	for _, s := range soaks() {
		for _, l := range s.logs() {
			data, err := os.ReadFile(filepath.Join(testdata, "demo", filepath.FromSlash(l.file)))
			if err != nil {
				t.Fatal(err)
			}
			files, size = files+1, size+len(data)
			if !bytes.Equal(unpack(t, data), l.text) {
				t.Errorf("%s is not what the generator makes", l.file)
			}
		}
	}
	there := 0
	err := filepath.WalkDir(filepath.Join(testdata, "demo", "soak"), func(_ string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			there++
		}
		return err
	})
	if err != nil || there != files {
		t.Errorf("%d files of soaks lie there, %d are made: %v", there, files, err)
	}
	if size > most {
		t.Errorf("the soaks take %d bytes, more than %d", size, most)
	}
}

// What the plan says was noted is what the model gives.
func TestPlanHoldsTheReadings(t *testing.T) {
	var text []byte
	for _, name := range []string{"soaks.hcl", "readings.hcl"} {
		data, err := os.ReadFile(filepath.Join(testdata, "demo", name))
		if err != nil {
			t.Fatal(err)
		}
		text = append(text, data...)
	}
	var want bytes.Buffer
	printReadings(&want)
	first, rest, _ := strings.Cut(want.String(), "\n")
	for _, block := range append(strings.SplitAfter(rest, "\n}\n"), first) {
		if !strings.Contains(string(text), block) {
			t.Errorf("neither soaks.hcl nor readings.hcl has\n%s", block)
		}
	}
}

func TestDecay(t *testing.T) {
	for x := 0.0; x < 60; x += 0.37 {
		if got, want := decay(x), math.Exp(-x); math.Abs(got/want-1) > 1e-12 {
			t.Errorf("decay(%v) = %v, math.Exp says %v", x, got, want)
		}
	}
}

// The published table of type K (NIST Monograph 175; testdata/reference says where each value is from), to its three decimals.
func TestTypeK(t *testing.T) {
	f, err := os.Open(filepath.Join(testdata, "reference", "thermocouple_k_table.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, row := range rows[1:] {
		celsius, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			t.Fatal(err)
		}
		published, err := strconv.ParseFloat(row[2], 64)
		if err != nil || celsius < 0 || celsius > 250 {
			continue
		}
		checked++
		if got := typeK(celsius); math.Abs(got-published) > 0.00051 {
			t.Errorf("%v °C: %v mV, published is %v", celsius, got, published)
		}
	}
	if checked < 10 {
		t.Errorf("%d values checked", checked)
	}
}

// hasWithin reports a figure that is not there, or lies further than so much from the truth.
func hasWithin(t *testing.T, what string, v compute.Value, truth, tolerance float64) {
	t.Helper()
	if !v.OK || !(math.Abs(v.X-truth) <= tolerance) {
		t.Errorf("%s: %+v, the truth is %.4f and up to %.4f off is allowed", what, v, truth, tolerance)
	}
}

// What the tool finds in the soaks is what was put in, within the uncertainty that the tool states; where it states none, within five standard
// deviations of the noise that was put in. Nothing expected here comes from the tool.
func TestSoaksTellTheTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("works many soaks out, one after another")
	}
	r, err := tool.Do(context.Background(), tool.Options{Plans: []string{filepath.Join(testdata, "demo")},
		Now: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Log: zerolog.Nop()})
	if err != nil {
		t.Fatal(err)
	}
	made := map[plan.SoakRun]*soak{}
	for _, s := range soaks() {
		card, mode, _ := strings.Cut(s.board.mode, ".")
		made[plan.SoakRun{Soak: s.name, Mode: plan.Mode{Card: card, Mode: mode}, Repeat: s.repeat}] = s
	}
	seen := 0
	for _, found := range r.Soaks {
		s := made[found.SoakRun]
		if s == nil {
			continue // the one with nothing to do, noted by hand
		}
		seen++
		t.Run(s.String(), func(t *testing.T) {
			if found.State != tool.SoakReady {
				t.Fatalf("%s: %v", found.State, found.Why)
			}
			truthOfProbes(t, s, found)
			truthOfCard(t, s, found)
		})
	}
	if seen != len(made) {
		t.Errorf("%d soaks found, %d made", seen, len(made))
	}
}

// endRise is the mean of a curve above the room over the last two minutes of the load, and its slope there in K/s; by midpoints of seconds.
func endRise(s *soak, c curve) (mean, slope float64) {
	const over = 120
	from := float64(s.leadIn + s.load - over)
	for i := range over {
		mean += s.above(c, from+float64(i)+0.5) / over
	}
	return mean, (s.above(c, from+over) - s.above(c, from)) / over
}

func truthOfProbes(t *testing.T, s *soak, found tool.Soak) {
	curves := map[string]curve{"core": s.board.core, "board": s.board.board, "stages": s.board.stages[2]}
	for i, c := range s.board.stages {
		curves[probeNames[1+i]] = c
	}
	for _, p := range found.Probes {
		c, ok := curves[p.Name]
		if !ok {
			continue
		}
		rise, _ := endRise(s, c)
		switch {
		case p.EndU.Expanded.OK: // a thermocouple: its own error and how it sits are among what the tool reckons with
			hasWithin(t, p.Name+" rise", p.RiseK, rise, p.EndU.Expanded.X)
		case s.frames: // the room was noted once, to a tenth, and wanders
			hasWithin(t, p.Name+" rise", p.RiseK, rise, 0.05+5*roomWanders)
		default: // on the chip, above a room that a thermocouple reads
			hasWithin(t, p.Name+" rise", p.RiseK, rise, 3*wireOff+5*roomWanders)
		}
		slowest := c.heats[len(c.heats)-1].tau
		switch {
		case s.board.throttleS > 0 || s.frames && slowest > float64(s.load)/2:
			if p.Heating.FinalC.OK || p.Settling.State != thermal.NotSettled {
				t.Errorf("%s: a forecast of %+v, %s", p.Name, p.Heating.FinalC, p.Settling.State)
			}
		case s.frames: // settled it is not after eight minutes, and the room is left in
		default:
			if p.Settling.State != thermal.Settled || !p.Group && len(p.Heating.Terms) != len(c.heats) {
				t.Errorf("%s: %s, %d terms: %s", p.Name, p.Settling.State, len(p.Heating.Terms), p.Settling.Why)
			}
			tolerance := 3 * wireOff
			if p.EndU.Expanded.OK {
				tolerance = p.EndU.Expanded.X
			}
			hasWithin(t, p.Name+" final", p.Heating.FinalC, c.final*s.rise, tolerance)
			hasWithin(t, p.Name+" time constant", p.Heating.TauS, slowest, 0.05*slowest)
		}
		if p.Group && p.Hottest != "stage_3" {
			t.Errorf("the hottest of the group is %s", p.Hottest)
		}
	}
}

func truthOfCard(t *testing.T, s *soak, found tool.Soak) {
	b := s.board
	var watts float64
	for i := range s.load {
		watts += s.watts(float64(s.leadIn+i)+0.5) / float64(s.load)
	}
	mean := 5 * wattsNoise * watts / math.Sqrt(float64(s.load))
	hasWithin(t, "power", found.Powers[0].MeanW, watts, mean)
	clock := found.Clocks[0]
	if clock.Sags != (b.sag > 0) || clock.Limit.Holds != b.limited {
		t.Errorf("clock sags: %v, power limit holds: %v", clock.Sags, clock.Limit.Holds)
	}
	if b.sag == 0 {
		hasWithin(t, "clock", clock.MedianMHz, b.mhz, 1)
	} else {
		tenth := float64(s.load) / 10
		if from := float64(clock.BelowFromNS) / 1e9; from < s.throttleFrom()-tenth || from > s.throttleFrom()+tenth {
			t.Errorf("the clock sags from %v s on, in truth from %v s", from, s.throttleFrom())
		}
		if from := float64(clock.Limit.FromNS) / 1e9; from < s.throttleFrom() || from > s.throttleFrom()+20 { // in which the clock slides
			t.Errorf("a limit holds from %v s on, in truth from %v s", from, s.throttleFrom())
		}
	}
	fan := found.Fans[0]
	const noise = 5 * coreNoise // of the one sample that a threshold is read from
	hasWithin(t, "fan starts", fan.Start.MedianC, fanStartC, noise+1)
	switch last := float64(s.leadIn + s.load + s.cooling); {
	case s.roomAt(last)+s.above(b.core, last) < fanStopC:
		hasWithin(t, "fan stops", fan.Stop.MedianC, fanStopC, noise+1)
	case fan.Stop.MedianC.OK:
		t.Errorf("the fan stops at %.1f °C, and in truth it never does", fan.Stop.MedianC.X)
	}
	for _, l := range found.Sounds {
		loud := 10 * math.Log10(math.Pow(10, (b.level+s.louder)/10)-math.Pow(10, background/10))
		hasWithin(t, "sound", l.DB, loud, l.Uncertainty.Expanded.X)
	}
	if s.frames {
		truthOfFrames(t, s, found, watts)
	}
}

// truthOfFrames: the frames under load are those of the rate put in, and one costs the power over the rate. The scene averages 1 over each
// half minute.
func truthOfFrames(t *testing.T, s *soak, found tool.Soak, watts float64) {
	g, m := find(games, "fjord.plain"), find(modes, s.board.mode)
	rate := 0.0
	for i := range s.load {
		rate += steadyRate(m, g, "uhd") * (1 - s.board.sag*s.throttled(float64(s.leadIn+i)+0.5)) / float64(s.load)
	}
	frames := rate * float64(s.load)
	scatter := g.noise * math.Sqrt((1+g.memory)/(1-g.memory)/frames) // of the mean frame time, relative
	hasWithin(t, "frames", compute.Known(float64(found.Frames)), frames, 5*scatter*frames+2)
	rateFrom := func(from int) (mean float64) { // over two minutes, which is four times the scene
		for i := range 120 {
			mean += steadyRate(m, g, "uhd") * (1 - s.board.sag*s.throttled(float64(s.leadIn+from+i)+0.5)) / 120
		}
		return mean
	}
	start, end := rateFrom(0), rateFrom(s.load-120)
	short := scatter * math.Sqrt(float64(s.load)/120)
	hasWithin(t, "frame rate at the start", found.Rate.StartFPS, start, 5*short*start)
	hasWithin(t, "frame rate at the end", found.Rate.EndFPS, end, 5*short*end)
	hasWithin(t, "change of the frame rate", found.Rate.ChangePct, 100*(end/start-1), 5*100*math.Sqrt2*short)
	if sags := len(found.Rate.Notes) > 0; sags != (s.board.sag > 0) {
		t.Errorf("the frame rate sags: %v", sags)
	}
	each := watts / rate
	hasWithin(t, "energy per frame", found.Powers[0].EnergyPerFrameJ, each, 5*each*math.Hypot(scatter, wattsNoise/math.Sqrt(float64(s.load))))
}

// Of each doubtful soak the tool finds the one thing that was made to be the matter with it, and nothing else. What is said of an instrument or
// the room makes the soak doubtful, what the card does is only said.
func TestDoubtfulSoaks(t *testing.T) {
	for _, d := range doubts {
		data, err := os.ReadFile(filepath.Join(testdata, "demo-doubtful", "soak", d.file+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(data, d.text()) {
			t.Errorf("%s is not what the generator makes", d.file)
		}
	}
	r, err := tool.Do(context.Background(), tool.Options{Plans: []string{filepath.Join(testdata, "demo-doubtful")},
		Now: time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC), Log: zerolog.Nop()})
	if err != nil || len(r.Soaks) != len(doubts) {
		t.Fatalf("%d soaks: %v", len(r.Soaks), err)
	}
	for i, s := range r.Soaks {
		d := doubts[i]
		if !strings.HasSuffix(s.Files[0].Path, "/"+d.file+".csv") {
			t.Fatalf("repeat %d is %s, want %s", s.Repeat, s.Files[0].Path, d.file)
		}
		found := map[compute.Flag]bool{}
		for _, f := range r.Bench {
			if f.Protocol == s.SoakRun.Soak && f.Repeat == s.Repeat {
				for _, flag := range f.Flags {
					found[flag] = true
				}
			}
		}
		if len(found) != 1 || !found[compute.Flag(d.flag)] {
			t.Errorf("%s: flags %v, want %s", d.file, found, d.flag)
		}
		state := tool.SoakDoubtful
		if d.sags > 0 || d.held {
			state = tool.SoakReady
		}
		if s.State != state || len(s.Why)+len(s.Notes) != 1 {
			t.Errorf("%s: %s, %v, %v", d.file, s.State, s.Why, s.Notes)
		}
	}
}

package review

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/thermal"
)

const soakHead = `review "soaks" { baseline = card.tern_ref.stock }
card "tern_ref" {
  vendor = "v"
  driver = "1"
  price  = { amount = 40, currency = "EUR", kind = "street", tax = true }
}
resolution "uhd" { size = "3840x2160" }
game "fjord" {
  build = "1"
  scene = "s"
  drive = "built-in"
  keep  = "all"
}
matrix { repeats = 1 }
files "all" {
  path       = "{card}-{game}-{repeat}.csv"
  frame_time = { column = "time_ms", unit = "ms" }
}
`

// soaked runs a plan in a folder; the cells have no capture, so the review is not ready whatever its soaks are.
func soaked(t *testing.T, dir, soak string) *Review {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, "plan.hcl"), []byte(soakHead+soak), 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := Do(context.Background(), Options{Plans: []string{dir}, Now: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Log: zerolog.New(io.Discard)})
	if err != nil {
		t.Fatalf("%v: %+v", err, r)
	}
	return r
}

const madeUpSoak = `soak "ten" {
  game       = game.fjord
  resolution = resolution.uhd
  length     = "10m"
  repeats    = 2
  ambient    = { target_c = 21, tolerance_c = 1, reference_c = 22, accuracy_c = 0.3, from = "room" }
  logger     = { accuracy_c = 0.5, resolution_c = 0.1, mount_c = 1.0 }
  noise      = { distance_m = 0.5, background_db = 30, weighting = "A", meter_class = 2 }
  probe "board" { thermocouple = { type = "K", class = 1, place = "rear of the board" } }
  log {
    path     = "soak/{card}-{repeat}.csv"
    time     = { column = "t", unit = "s" }
    channels = {
      power = { column = "w", unit = "W", at = "in line" }
      fan   = { column = "rpm", unit = "rpm" }
    }
  }
  log {
    path     = "soak/{card}-{repeat}-probes.csv"
    time     = { column = "t", unit = "s" }
    offset   = "-100s"
    channels = {
      board = { column = "f", unit = "F" }
      room  = { column = "k", unit = "K" }
    }
  }
}
reading "level" {
  card = card.tern_ref.stock
  soak = soak.ten
  db   = [40, 40]
}
`

// A log made from a model: the board goes as 63 − 40·e^(−t/90) °C on a clock that is 100 s ahead and in °F, the room stands at 21 °C, in K.
// Expected values are the model's: the mean over the last 120 s by its integral, and a level that is 10 dB above its background is taken down
// by 10·lg(1 − 10^−1) (ISO 3744).
func TestMadeUpSoak(t *testing.T) {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "soak"), 0o777); err != nil {
		t.Fatal(err)
	}
	var a, b strings.Builder
	a.WriteString("t,w,rpm\n")
	b.WriteString("t,f,k\n")
	for s := range 601 {
		fmt.Fprintf(&a, "%d,%d,1500\n", s, 200+10*(1-2*(s%2))) // 210, 190, 210 …: 200 W on the mean
		fmt.Fprintf(&b, "%d,%.4f,294.15\n", s+100, 32+1.8*(63-40*math.Exp(-float64(s)/90)))
	}
	for name, text := range map[string]string{"tern_ref-1.csv": a.String(), "tern_ref-1-probes.csv": b.String()} {
		if err := os.WriteFile(filepath.Join(dir, "soak", name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	r := soaked(t, dir, madeUpSoak)
	if len(r.Soaks) != 2 || r.Soaks[0].State != SoakReady || len(r.Soaks[0].Why) != 0 || r.Soaks[1].State != SoakAbsent || r.Other.Count != 0 || r.Ready {
		t.Fatalf("%+v, others %v", r.Soaks, r.Other)
	}
	s := r.Soaks[0]
	end := 63 - 40*90*(math.Exp(-480.0/90)-math.Exp(-600.0/90))/120
	p := s.Probes[0]
	for name, c := range map[string]struct {
		v         compute.Value
		want, tol float64
	}{
		"end":        {p.EndC, end, 1e-3},
		"rise":       {p.RiseK, end - 21, 1e-3},
		"normalised": {p.NormalisedC, end + 1, 1e-3},
		"forecast":   {p.Heating.FinalC, 63 - 21, 0.01}, // above the room, which was logged
		"slowest":    {p.Heating.TauS, 90, 0.1},
		"power":      {s.Powers[0].MeanW, 200, 0.1},
		"fan":        {s.Fans[0].TypicalRPM, 1500, 0},
		"sound":      {s.Sounds[0].DB, 40 + 10*math.Log10(1-0.1), 1e-9},
	} {
		if !c.v.OK || math.Abs(c.v.X-c.want) > c.tol {
			t.Errorf("%s: %+v, want %g", name, c.v, c.want)
		}
	}
	// IEC 60584-1: a class 1 probe is within 1.5 K here; with ±0.5 K, a step of 0.1 K and 1 K of mounting the standard uncertainty is at least
	// √(1.5²/3 + 0.5²/3 + 0.1²/12 + 1), and the scatter of the last 120 s, below 0.1 K, adds next to nothing.
	u := math.Sqrt(0.75 + 0.25/3 + 0.01/12 + 1)
	if !p.EndU.Standard.OK || p.EndU.Standard.X < u || p.EndU.Standard.X > u+0.02 {
		t.Errorf("%+v, want %g", p.EndU, u)
	}
	// The mean of the ten seconds of the sustained peak comes through the same chain; what is above the room through its thermometer too, within
	// ± 0.3 K (JCGM 100:2008, 4.3.7). The highest sample is no mean.
	for name, c := range map[string]struct {
		got  compute.Uncertainty
		want float64
	}{"sustained peak": {p.SustainedU, u}, "rise": {p.RiseU, math.Sqrt(u*u + 0.03)}, "normalised": {p.NormalisedU, math.Sqrt(u*u + 0.03)}} {
		if s := c.got.Standard; !s.OK || s.X < c.want || s.X > c.want+0.02 {
			t.Errorf("%s: %+v, want %g", name, s, c.want)
		}
	}
	if p.PeakU.Standard.OK || !strings.Contains(p.PeakU.Standard.Why, "highest of many") {
		t.Errorf("peak: %+v", p.PeakU)
	}
	if p.Settling.State != thermal.Settled {
		t.Errorf("%+v", p.Settling)
	}
	// One soak is missing: 10 min and the 2 min that starting a game takes where a plan says nothing.
	// The card's pass is to be made too, so it is mounted anyway; fixing its probe takes 20 min where a plan says nothing.
	if len(r.SoakTodo) != 1 || r.SoakTodo[0].Repeat != 2 || r.SoakTodo[0].Time != 12*time.Minute || r.SoakTodo[0].Swap != 0 ||
		r.SoakTodo[0].Probes != 20*time.Minute || r.SoakTimeLeft() != 32*time.Minute {
		t.Errorf("%+v", r.SoakTodo)
	}
}

// realSoaks lays the two real soaks out with a plan that nothing but them belongs to. Skips where they are absent.
func realSoaks(t *testing.T) (dir string) {
	t.Helper()
	from := filepath.Join("..", "..", "..", "..", "shared", "captures")
	dir = t.TempDir()
	for _, name := range []string{"kestrel.heatsoak.sensors.csv", "kestrel.heatsoak.frames.csv", "kestrel.soak.sensors.csv", "kestrel.soak.frames.csv"} {
		data, err := os.ReadFile(filepath.Join(from, name))
		if os.IsNotExist(err) {
			t.Skip("needs ../shared/captures")
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	const form = `soak %q {
  load    = "other"
  note    = "matrix products"
  length  = %q
  ambient = { target_c = 21, from = "none" }
  probe "core" { on_die = "hottest" }
  log {
    path     = "kestrel.{soak}.sensors.csv"
    time     = { column = "elapsed_s", unit = "s" }
    channels = {
      core  = { column = "core_temp_c", unit = "C" }
      power = { column = "board_power_w", unit = "W", at = "reported board" }
      clock = { column = "core_clock_mhz", unit = "MHz" }
    }
  }
  frames {
    path       = "kestrel.{soak}.frames.csv"
    frame_time = { column = "frame_ms", unit = "ms" }
    timestamp  = { column = "elapsed_s", unit = "s" }
  }
}
`
	text := soakHead + fmt.Sprintf(form, "heatsoak", "5m") + fmt.Sprintf(form, "soak", "30m")
	if err := os.WriteFile(filepath.Join(dir, "plan.hcl"), []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return dir
}

// The heat soak is limited by its power within a second and not settled, nothing is forecast, and nobody logged the room: the README of the
// captures says so. The other soak lasts 200 s where 30 min are declared.
func TestRealSoaks(t *testing.T) {
	r := do(t, Options{Plans: []string{realSoaks(t)}, Now: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Log: zerolog.New(io.Discard)})
	hot, brief := r.Soaks[0], r.Soaks[1]
	p := hot.Probes[0]
	switch {
	case hot.State != SoakReady:
		t.Errorf("%s %v", hot.State, hot.Why)
	case p.Settling.State != thermal.NotSettled || p.Heating.FinalC.OK || p.RiseK.OK || !strings.Contains(p.RiseK.Why, "no room temperature"):
		t.Errorf("%+v", p)
	case p.PeakC.X != 73 || hot.Frames != 30781: // as the files have it
		t.Errorf("%+v, %d frames", p.PeakC, hot.Frames)
	case !slices.ContainsFunc(hot.Notes, func(n string) bool { return strings.Contains(n, "a power limit holds it from 1.0 s") }):
		t.Errorf("%v", hot.Notes)
	case !hot.Powers[0].EnergyPerFrameJ.OK || math.Abs(hot.Powers[0].EnergyPerFrameJ.X-6.791348867) > 1e-6: // R 4.2.2, as in compute/power
		t.Errorf("%+v", hot.Powers[0])
	}
	// awk over the frames' file: whole frames within the first and within the last 120 s, over their own time.
	for name, c := range map[string]struct {
		got  compute.Value
		want float64
	}{"at the start": {hot.Rate.StartFPS, 103.139281}, "at the end": {hot.Rate.EndFPS, 102.063919}, "change in percent": {hot.Rate.ChangePct, -1.042630},
		// R by hand: approx at eleven edges, the median of 45 slopes, S = −37
		"drift": {hot.Rate.DriftPct, -1.818991116}, "p": {hot.Rate.DriftP, 0.001282184}} {
		if !c.got.OK || math.Abs(c.got.X-c.want) > 1e-6 {
			t.Errorf("frame rate %s: %+v, want %g", name, c.got, c.want)
		}
	}
	if v := brief.Rate.ChangePct; v.OK || !strings.Contains(v.Why, "the frames last 3 min 20 s") { // by awk they last 200.008 s
		t.Errorf("%+v", v)
	}
	if brief.State != SoakDoubtful || !strings.Contains(strings.Join(brief.Why, "; "), "30 min are declared") {
		t.Errorf("%s %v", brief.State, brief.Why)
	}
	if len(r.Bench) == 0 {
		t.Error("no figure of the bench")
	}
	for _, f := range r.Bench { // a figure that cannot be had says why, and so does a missing uncertainty
		if !f.Value.OK && f.Value.Why == "" || !f.U.Standard.OK && f.U.Standard.Why == "" {
			t.Errorf("%+v", f)
		}
	}
}

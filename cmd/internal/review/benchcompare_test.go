package review

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// notedSoak has two cards whose soaks are read off by hand; %s is repeatability, or nothing.
const notedSoak = `card "heron_x" {
  vendor = "v"
  driver = "1"
  price = [
    { amount = 60, currency = "EUR", kind = "list", tax = true },
    { amount = 55, currency = "EUR", kind = "street", tax = true, on = "2027-01-01" },
    { amount = 50, currency = "EUR", kind = "street", tax = true, on = "2027-02-01" },
  ]
}
soak "ten" {
  game       = game.fjord
  resolution = resolution.uhd
  length     = "10m"
  ambient    = { target_c = 21 }
  logger     = { accuracy_c = 0.5, resolution_c = 0.1, mount_c = 1.0 }
  noise      = { distance_m = 0.5, background_db = 20, weighting = "A", meter_class = 2 }
  %s
  probe "core" { on_die = "hottest" }
  probe "edge" {
    on_die = "edge"
    cards  = [card.heron_x]
  }
  probe "board" { thermocouple = { type = "K", class = 1, place = "rear of the board" } }
}
reading "t1" { 
  card = card.tern_ref.stock
  soak = soak.ten
  probe = "core"
  temperature_c = 78
  ambient_c = 21
  db = [42, 42.2]
  power_w = 250
  at = "wall"
  rpm = 1500
}
reading "t2" {
  card = card.tern_ref.stock
  soak = soak.ten
  probe = "board"
  temperature_c = [70, 70.2]
}
reading "h1" {
  card = card.heron_x.stock
  soak = soak.ten
  probe = "core"
  temperature_c = 63
  ambient_c = 21
  db = [39, 39.2]
  power_w = 240
  at = "in line"
  rpm = 1200
}
reading "h2" {
  card = card.heron_x.stock
  soak = soak.ten
  probe = "board"
  temperature_c = [62, 62.2]
}
reading "h3" {
  card = card.heron_x.stock
  soak = soak.ten
  probe = "edge"
  temperature_c = 55
}
claim "cooler" {
  metric  = "end_c"
  soak    = soak.ten
  probe   = "core"
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { value = -15, within = 3, unit = "K" }
}
claim "quiet" {
  metric  = "sound_level_db"
  soak    = soak.ten
  of      = card.heron_x.stock
  against = card.tern_ref.stock
  expect  = { at_most = -6, unit = "dB" }
}
`

func benchDiff(r *Review, metric, sensor string) *BenchComparison {
	for i, d := range r.BenchDiffs {
		if d.Metric.Name == metric && d.Sensor.Name() == sensor {
			return &r.BenchDiffs[i]
		}
	}
	return nil
}

// 63 °C against 78 °C is a drop of 15 K (common practice, no source). All spreads are declared, so intervals are normal: z = 1.959964.
func TestSoaksAreCompared(t *testing.T) {
	r := soaked(t, t.TempDir(), fmt.Sprintf(notedSoak, "repeatability = { temperature_k = 0.6, noise_db = 0.4 }"))
	const z = 1.959964
	near := func(what string, got compute.Value, want, tol float64) {
		t.Helper()
		if !got.OK || math.Abs(got.X-want) > tol {
			t.Errorf("%s is %+v, want %g", what, got, want)
		}
	}
	core := benchDiff(r, "end_c", "core")
	near("core", core.Difference, -15, 1e-9)
	near("core's low", core.Low, -15-z*math.Sqrt(2*0.36+2*0.25), 1e-5)
	if core.Verdict != compute.Ahead || !core.Holds || !strings.Contains(strings.Join(core.Notes, " "), "calibration is not stated") {
		t.Errorf("%+v", core)
	}
	// The same probe and logger: the class's slope over the difference (IEC 60584-1, class 1: 0.004), placement and step of both sides; two
	// readings that are 0.2 K apart have a standard deviation of their mean of 0.1 K (JCGM 100:2008, 4.2.3).
	board := benchDiff(r, "rise_k", "board")
	u := math.Sqrt(math.Pow(0.004*8/math.Sqrt(3), 2) + 2*1 + 2*0.01/12 + 2*0.01)
	near("what measuring brings", board.Measured.Standard, u, 1e-9)
	near("board", board.Difference, -8, 1e-9)
	near("board's half", compute.Known(board.High.X+8), z*math.Sqrt(2*0.36+2*0.25+u*u), 0.01) // ν is large and not infinite
	// The meter's error is in both levels; two readings with 0.1 dB of their mean's deviation each, and a background 19 dB or more below.
	near("sound", benchDiff(r, "sound_level_db", "").Difference, -3, 0.05)
	for _, c := range []struct{ metric, sensor, why string }{
		{"mean_power_w", "in line", "unlike places are never compared"}, {"end_c", "edge", "unlike sensors are never compared"},
	} {
		if d := benchDiff(r, c.metric, c.sensor); d == nil || d.Difference.OK || d.Verdict != "" || !strings.Contains(d.Why, c.why) {
			t.Errorf("%s: %+v", c.metric, d)
		}
	}
	if fan := benchDiff(r, "fan_typical_rpm", ""); fan.Verdict != compute.Single || !fan.Difference.OK || !strings.Contains(fan.Why, "repeatability") {
		t.Errorf("fan: %+v", fan)
	}
	protocol, _ := r.Plan.Soak("ten")
	all := r.Together(protocol)
	if len(all) != 1 || all[0].Rise.Difference.X != -15 || all[0].Noise == nil || all[0].Power.Difference.OK || all[0].Price.Percent.X != 25 || all[0].Price.Kind != "street" {
		t.Errorf("%+v", all) // 50 against 40 in the one kind of price that both have
	}
	for i, want := range []compute.Judged{compute.Supported, compute.Contradicted} {
		if c := r.Claims[i]; c.Verdict != want {
			t.Errorf("claim %s is %s, want %s: %+v", c.Name, c.Verdict, want, c.ClaimFigures)
		}
	}
	if got, want := r.Claims[0].Said, "The core of heron_x ends 15.0 K cooler than that of tern_ref in 10 min of fjord at uhd."; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
}

// One soak each shows no repeatability, and what shows none may not be said.
func TestOneSoakEachLeavesAClaimOpen(t *testing.T) {
	r := soaked(t, t.TempDir(), fmt.Sprintf(notedSoak, ""))
	for _, c := range r.Claims {
		if c.Kind != plan.OfSoak || c.Verdict != compute.Open || c.Said != "" || !strings.Contains(c.Why, "declare its repeatability") {
			t.Errorf("%s is %s, %q, %q", c.Name, c.Verdict, c.Said, c.Why)
		}
	}
	if d := benchDiff(r, "end_c", "core"); d.Verdict != compute.Single || !d.Difference.OK {
		t.Errorf("%+v", d)
	}
}

package review

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/plan"
)

const madeUpSweep = `card "heron_x" {
  vendor = "v"
  driver = "1"
}
soak "ten" {
  load    = "two displays"
  length  = "10m"
  ambient = { target_c = 21, tolerance_c = 1, accuracy_c = 0.3 }
  logger  = { accuracy_c = 0.5, resolution_c = 0.1, mount_c = 1.0 }
  noise   = { distance_m = 0.5, background_db = 30, weighting = "A", meter_class = 2, target_db = 39, tolerance_db = 0.6 }
  probe "core" { on_die = "hottest" }
  probe "board" { thermocouple = { type = "K", class = 1, place = "rear of the board" } }
}
sweep "fan" {
  soak      = soak.ten
  steps_pct = [30, 45, 60]
  hold      = "5m"
}
reading "tern" {
  card          = card.tern_ref.stock
  soak          = soak.ten
  probe         = "core"
  temperature_c = [60, 62]
  ambient_c     = 21
  db            = [40, 40]
  clock_mhz     = [500, 520]
}
reading "heron" {
  card = card.heron_x.stock
  soak = soak.ten
  db   = [45, 45]
}
reading "fan_core" {
  card  = card.tern_ref.stock
  sweep = sweep.fan
  probe = "core"
  table = [
    { percent = 30, rpm = [900, 920], db = [36, 39], temperature_c = [70, 72], ambient_c = [20.9, 21.1] },
    { percent = 60, rpm = 2000, db = [50, 50], temperature_c = 60 },
  ]
}
reading "fan_board" {
  card  = card.tern_ref.stock
  sweep = sweep.fan
  probe = "board"
  table = [{ percent = 30, temperature_c = [50, 50.2] }]
}
`

// Expected values by hand: levels by their energy (ISO 1996-1), 20 dB above the background needs no correction and less is corrected by
// −10·lg(1 − 10^(−ΔL/10)) (ISO 3744); temperatures and speeds by their mean; the uncertainty of the thermocouple from IEC 60584-1 class 1
// (1.5 K), the stated logger and placement and the scatter of two readings, s²/2 (JCGM 100:2008).
func TestMadeUpSweep(t *testing.T) {
	r := soaked(t, t.TempDir(), madeUpSweep)
	mean := 10 * math.Log10((math.Pow(10, 3.6)+math.Pow(10, 3.9))/2)
	slow := mean + 10*math.Log10(1-math.Pow(10, -(mean-30)/10))
	u := math.Sqrt(0.75 + 0.25/3 + 0.01/12 + 1 + 0.02/2)
	find := func(protocol, name, sensor string, percent float64) (out BenchFigure) {
		for _, f := range r.Bench {
			if f.Of.Card == "tern_ref" && f.Protocol == protocol && f.Name == name && f.Sensor == sensor && (f.FanPct == compute.Known(percent) || percent == 0) {
				return f
			}
		}
		t.Errorf("%s has no %s of %q at %g %%", protocol, name, sensor, percent)
		return out
	}
	for _, c := range []struct {
		name, sensor string
		percent      float64
		want         float64
		n            int
	}{
		{"fan_typical_rpm", "", 30, 910, 2}, {"sound_level_db", "", 30, slow, 2}, {"end_c", "core", 30, 71, 2}, {"rise_k", "core", 30, 50, 2},
		{"end_c", "board", 30, 50.1, 2}, {"rise_k", "board", 30, 29.1, 2},
		{"fan_typical_rpm", "", 60, 2000, 1}, {"sound_level_db", "", 60, 50, 2}, {"end_c", "core", 60, 60, 1},
	} {
		f := find("fan", c.name, c.sensor, c.percent)
		if !f.Value.OK || math.Abs(f.Value.X-c.want) > 1e-9 || f.N != c.n || !strings.HasPrefix(f.Source, "reading.fan_") {
			t.Errorf("%s of %q at %g %%: %+v of %d from %s, want %g of %d", c.name, c.sensor, c.percent, f.Value, f.N, f.Source, c.want, c.n)
		}
	}
	if row := benchRow(find("fan", "end_c", "core", 30)); row.FanPct == nil || *row.FanPct != 30 || row.Repeat != nil || *row.Protocol != "fan" ||
		math.Abs(*row.AmbientC-21) > 1e-9 || *row.Source != "reading.fan_core" {
		t.Errorf("archived as %+v", row)
	}
	for name, want := range map[string]float64{"end_c": u, "rise_k": math.Sqrt(u*u + 0.03)} {
		if got := find("fan", name, "board", 30).U.Standard; !got.OK || math.Abs(got.X-want) > 1e-9 {
			t.Errorf("%s: u is %+v, want %g", name, got, want)
		}
	}
	for _, c := range []struct {
		name, sensor string
		percent      float64
		why          string
	}{
		{"rise_k", "core", 60, "no room temperature was recorded"}, {"end_c", "board", 60, "not noted at this step"},
		{"end_c", "core", 45, "the step was not noted"}, {"sound_level_db", "", 45, "the step was not noted"},
	} {
		if f := find("fan", c.name, c.sensor, c.percent); f.Value.OK || f.Value.Why != c.why {
			t.Errorf("%s of %q at %g %%: %+v, want %q", c.name, c.sensor, c.percent, f.Value, c.why)
		}
	}
	tern, heron := plan.Mode{Card: "tern_ref", Mode: "stock"}, plan.Mode{Card: "heron_x", Mode: "stock"}
	if len(r.SweepTodo) != 2 || r.SweepTodo[0].Mode != tern || len(r.SweepTodo[0].StepsPct) != 1 || r.SweepTodo[0].StepsPct[0] != 45 ||
		r.SweepTodo[0].Time != 5*time.Minute || r.SweepTodo[1].Mode != heron || r.SweepTodo[1].Time != 15*time.Minute || r.Ready {
		t.Errorf("to note: %+v", r.SweepTodo)
	}
	if c := find("ten", "clock_median_mhz", "", 0); c.Value != compute.Known(510) {
		t.Errorf("noted clock: %+v", c.Value)
	}

	// 39 dB lie between the two steps; of the soaks, that of tern at 40 dB over 30 dB is near enough, that of heron 15 dB above is not.
	probe, lines := r.AtLevel(mustSoak(t, r, "ten"))
	if probe != "core" || len(lines) != 3 {
		t.Fatalf("%s: %+v", probe, lines)
	}
	share := (39 - slow) / (50 - slow)
	for name, c := range map[string]struct {
		got  compute.Value
		want float64
	}{
		"level as soaked": {lines[0].DB, 40 + 10*math.Log10(0.9)}, "off": {lines[0].OffDB, 1 + 10*math.Log10(0.9)}, "rise": {lines[0].RiseK, 40},
		"heron is off": {lines[1].OffDB, 6 + 10*math.Log10(1-math.Pow(10, -1.5))}, "percent": {lines[2].FanPct, 30 + 30*share},
		"rpm": {lines[2].FanRPM, 910 + 1090*share}, "temperature": {lines[2].EndC, 71 - 11*share},
	} {
		if !c.got.OK || math.Abs(c.got.X-c.want) > 1e-9 {
			t.Errorf("%s: %+v, want %g", name, c.got, c.want)
		}
	}
	if !lines[0].Near || lines[1].Near || !lines[2].Near || lines[2].RiseK.OK || lines[2].Sweep != "fan" {
		t.Errorf("%+v", lines)
	}
	if f := find("fan", "end_at_target_c", "core", 0); f.Value != lines[2].EndC || len(f.Flags) != 1 || f.Flags[0] != flagInterpolated {
		t.Errorf("%+v", f)
	}
	if f := find("ten", "off_target_db", "", 0); f.Value != lines[0].OffDB || len(f.Flags) != 0 {
		t.Errorf("%+v", f)
	}
}

func mustSoak(t *testing.T, r *Review, name string) plan.Soak {
	t.Helper()
	s, ok := r.Plan.Soak(name)
	if !ok {
		t.Fatalf("no soak %s", name)
	}
	return s
}

// A step in a room that is too warm says so with its temperatures, and stands all the same.
func TestSweepInAWarmRoom(t *testing.T) {
	r := soaked(t, t.TempDir(), strings.Replace(madeUpSweep, "ambient_c = [20.9, 21.1]", "ambient_c = 22.5", 1))
	seen := 0
	for _, f := range r.Bench {
		if f.Protocol == "fan" && f.Sensor == "core" && f.FanPct == compute.Known(30) && (f.Name == "end_c" || f.Name == "rise_k") {
			if seen++; !f.Value.OK || len(f.Flags) != 1 || f.Flags[0] != thermal.FlagRoomOutside {
				t.Errorf("%+v", f)
			}
		}
	}
	if seen != 2 {
		t.Errorf("%d figures", seen)
	}
}

// A level that the background hides is an upper bound: it is near no target, and no step of it lies beside another.
func TestUpperBoundIsNearNothing(t *testing.T) {
	r := soaked(t, t.TempDir(), strings.NewReplacer("background_db = 30", "background_db = 36").Replace(madeUpSweep))
	_, lines := r.AtLevel(mustSoak(t, r, "ten"))
	if x := lines[0]; x.Near || x.OffDB.OK || !strings.HasPrefix(x.Why, "at most 38.7 dB") {
		t.Errorf("%+v", x)
	}
	if x := lines[2]; x.Near || !strings.Contains(x.Why, "at 30 % the background hides how loud it is") {
		t.Errorf("%+v", x)
	}
}

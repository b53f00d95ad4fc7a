package review

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/compute"
)

// put writes a log into the folder of a made-up review: a heading, and a line for each second from 0 to last.
func put(t *testing.T, dir, name, heading string, last int, line func(s int) string) {
	t.Helper()
	var b strings.Builder
	b.WriteString(heading + "\n")
	for s := range last + 1 {
		b.WriteString(line(s) + "\n")
	}
	if err := os.WriteFile(filepath.Join(dir, name), []byte(b.String()), 0o666); err != nil {
		t.Fatal(err)
	}
}

// typeK is the voltage of a type K thermocouple in mV, by the three decimals of the published table (IEC 60584-1).
func typeK(t *testing.T, celsius float64) float64 {
	t.Helper()
	file, err := os.Open("../../../testdata/reference/thermocouple_k_table.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if x, _ := strconv.ParseFloat(row[0], 64); x == celsius && row[2] != "" {
			mv, err := strconv.ParseFloat(row[2], 64)
			if err != nil {
				t.Fatal(err)
			}
			return mv
		}
	}
	t.Fatalf("the table has no published voltage at %g °C", celsius)
	return 0
}

const manyForms = `soak "ten" {
  load    = "idle"
  length  = "10m"
  ambient = { target_c = 21, from = "room" }
  logger  = { accuracy_c = 0.5, resolution_c = 0.1 }
  probe "stage_1" { thermocouple = { type = "K", class = 1, place = "a", group = "stages" } }
  probe "stage_2" { thermocouple = { type = "K", class = 1, place = "b", group = "stages" } }
  probe "stage_3" { thermocouple = { type = "K", class = 1, place = "c", group = "stages" } }
  probe "stage_4" { thermocouple = { type = "K", class = 1, place = "d", group = "stages" } }
  probe "board"   { thermocouple = { type = "K", class = 1, place = "e" } }
  log { # begins the soak
    path     = "german.txt"
    time     = { column = "Zeit", layout = "DD.MM.YYYY hh:mm:ss" }
    text     = { delimiter = ";", decimal = "," }
    channels = {
      stage_1 = { column = "mV", unit = "mV", cold_junction = "cold" }
      cold    = { column = "Klemme", unit = "C" }
      stage_2 = { column = "F", unit = "F" }
    }
  }
  log { # its clock is a minute ahead
    path     = "american.csv"
    time     = { column = "when", layout = "MM/DD/YYYY hh:mm:ss" }
    offset   = "-60s"
    channels = {
      stage_3 = { column = "k", unit = "K" }
      board   = { column = "board", unit = "C" }
      room    = { column = "room", unit = "K" }
    }
  }
  log { # counts ms from 5 s before the others
    path     = "elapsed.csv"
    time     = { column = "ms", unit = "ms" }
    offset   = "-5s"
    channels = {
      stage_4 = { column = "c", unit = "C" }
      power   = { column = "w", unit = "W", at = "wall" }
    }
  }
}
`

// Four probes of the power stages in mV, °F, K and °C, three loggers with clocks of their own. The voltage is made of the published table: at
// 80 °C against terminals at 20 °C. The board warms by 1 K a minute and the power by 2 W, so that a clock that is off shows: their
// means follow from the straight line. That the highest of four probes counts is common practice.
func TestLogsOfManyForms(t *testing.T) {
	dir := t.TempDir()
	mv := typeK(t, 80) - typeK(t, 20)
	comma := func(x float64) string { return strings.Replace(strconv.FormatFloat(x, 'f', 3, 64), ".", ",", 1) }
	put(t, dir, "german.txt", "Zeit;mV;Klemme;F", 600, func(s int) string {
		day, minute := "03.11.2026 23:", 55+s/60
		if minute > 59 { // the day ends under way
			day, minute = "04.11.2026 00:", minute-60
		}
		return fmt.Sprintf("%s%02d:%02d;%s;20,0;%s", day, minute, s%60, comma(mv), comma(32+1.8*70))
	})
	put(t, dir, "american.csv", "when,k,board,room", 600, func(s int) string {
		day, minute := "11/03/2026 23:", 56+s/60
		if minute > 59 {
			day, minute = "11/04/2026 00:", minute-60
		}
		return fmt.Sprintf("%s%02d:%02d,%.2f,%.4f,%.2f", day, minute, s%60, 273.15+75, 30+float64(s)/60, 273.15+21)
	})
	put(t, dir, "elapsed.csv", "ms,c,w", 610, func(s int) string { return fmt.Sprintf("%d,60.0,%.6f", 1000*s, 200+float64(s-5)/30) })
	r := soaked(t, dir, manyForms)
	s := r.Soaks[0]
	if s.State != SoakReady || s.Load.FromNS != 0 || s.Load.ToNS != 600e9 {
		t.Fatalf("%s, %v, load %+v, %v", s.State, s.Why, s.Load, r.Findings)
	}
	want := map[string]float64{"stage_1": 80, "stage_2": 70, "stage_3": 75, "stage_4": 60, "board": 39, "stages": 80}
	for _, p := range s.Probes {
		if w, ok := want[p.Name]; !ok || !p.EndC.OK || math.Abs(p.EndC.X-w) > 0.03 || math.Abs(p.RiseK.X-(w-21)) > 0.03 { // half a µV is 0.013 K
			t.Errorf("%s: %+v, want %g", p.Name, p.EndC, w)
		}
		if p.Group && p.Hottest != "stage_1" {
			t.Errorf("the hottest is %s", p.Hottest)
		}
		delete(want, p.Name)
	}
	if len(want) > 0 {
		t.Errorf("not there: %v", want)
	}
	if w := s.Powers[0]; w.At != "wall" || math.Abs(w.MeanW.X-210) > 1e-4 { // the middle of 200 to 220 W
		t.Errorf("%+v", w)
	}
}

const oneLog = `soak "ten" {
  %s
  length  = "10m"
  ambient = { target_c = 21, tolerance_c = 1, from = %q }
  probe "core" { on_die = "hottest" }
  log {
    path     = "log.csv"
    time     = { column = "t", unit = "s" }
    channels = {
      core  = { column = "c", unit = "C" }
      power = { column = "w", unit = "W", at = "in line" }
      fan   = { column = "rpm", unit = "rpm" }
    }
  }
}
`

// A fan that stands below its threshold: the core goes up and down by 0.1 K a second, the fan turns from the first sample above 55 °C (a fan-stop
// threshold of the trade) until the first below 50 °C. Each threshold lies midway between the two samples.
func TestFanThresholdsOfALog(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "log.csv", "t,c,w,rpm", 600, func(s int) string {
		tenths := 400 + s
		if s > 300 {
			tenths = 1000 - s
		}
		rpm := 0
		if s > 150 && s <= 500 {
			rpm = 1200
		}
		return fmt.Sprintf("%d,%.1f,200,%d", s, float64(tenths)/10, rpm)
	})
	f := soaked(t, dir, fmt.Sprintf(oneLog, `load = "idle"`, "none")).Soaks[0].Fans[0]
	if f.Probe != "core" || math.Abs(f.Start.MedianC.X-55.05) > 1e-9 || math.Abs(f.Stop.MedianC.X-49.95) > 1e-9 || f.Start.Crossings != 1 || f.TypicalRPM != compute.Known(1200) {
		t.Errorf("%+v", f)
	}
}

// Loads other than a game are soaked like one. The room is what a reading says, and absent where nobody measured it.
func TestOtherLoadsAndRooms(t *testing.T) {
	loads := []string{`load = "idle"`, `load = "two displays"`, `load = "video"`, "load = \"capped\"\n game = game.fjord\n resolution = resolution.uhd\n cap_fps = 60",
		"load = \"other\"\n note = \"matrix products\""}
	for _, load := range loads {
		for _, c := range []struct {
			from, reading string
			rise          float64
			why, doubt    string
		}{
			{"noted", "ambient_c = [21.4, 21.6]", 23.5, "", ""},
			{"noted", "ambient_c = 23", 22, "", "the room was at 23.0 °C, and 21.0 ± 1 °C is asked for"},
			{"noted", "rpm = 900", 0, "no room temperature was recorded", ""},
			{"none", "rpm = 900", 0, "no room temperature was recorded", ""},
		} {
			dir := t.TempDir()
			put(t, dir, "log.csv", "t,c,w,rpm", 600, func(s int) string { return fmt.Sprintf("%d,45.0,%d,0", s, 30+s%3) })
			r := soaked(t, dir, fmt.Sprintf(oneLog, load, c.from)+"reading \"a\" {\n  card = card.tern_ref.stock\n  soak = soak.ten\n  "+c.reading+"\n}\n")
			s := r.Soaks[0]
			p := s.Probes[0]
			if !p.EndC.OK || math.Abs(p.EndC.X-45) > 1e-9 || p.RiseK.OK != (c.why == "") || p.RiseK.Why != c.why || math.Abs(p.RiseK.X-c.rise) > 1e-9 {
				t.Errorf("%s, %s: ends at %+v, rise %+v", load, c.reading, p.EndC, p.RiseK)
			}
			if doubtful := s.State == SoakDoubtful; doubtful != (c.doubt != "") || doubtful && !slices.Contains(s.Why, c.doubt) {
				t.Errorf("%s, %s: %s, %v", load, c.reading, s.State, s.Why)
			}
		}
	}
}

// What is not there and what cannot be read is a doubt, and the rest is still worked out.
func TestLogsThatFail(t *testing.T) {
	good := func(s int) string { return fmt.Sprintf("%d,45.0,%d,0", s, 30+s%3) }
	for _, c := range []struct{ name, heading, doubt string }{
		{"log.csv", "t,c,w,rpm", ""},
		{"log.csv", "t,celsius,w,rpm", "log.csv cannot be used"},
	} {
		dir := t.TempDir()
		put(t, dir, c.name, c.heading, 600, good)
		two := strings.Replace(fmt.Sprintf(oneLog, `load = "idle"`, "room"), "  log {", `  log {
    path     = "room.csv"
    time     = { column = "t", unit = "s" }
    channels = { room = { column = "c", unit = "C" } }
  }
  log {`, 1)
		if err := os.WriteFile(filepath.Join(dir, "plan.hcl"), []byte(soakHead+two), 0o666); err != nil {
			t.Fatal(err)
		}
		r, err := Do(t.Context(), Options{Plans: []string{dir}, Now: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Log: zerolog.Nop()})
		if errors.Is(err, ErrInput) != (c.doubt != "") || err != nil && c.doubt == "" {
			t.Fatalf("%v: %v", err, r.Findings)
		}
		s := r.Soaks[0]
		if s.State != SoakDoubtful || !slices.Contains(s.Why, "room.csv is not there") || c.doubt != "" && !slices.Contains(s.Why, c.doubt) {
			t.Errorf("%s: %s, %v", c.heading, s.State, s.Why)
		}
		if p := s.Probes; c.doubt == "" && (math.Abs(p[0].EndC.X-45) > 1e-9 || p[0].RiseK.OK) {
			t.Errorf("%+v", p)
		}
	}
}

package explain

import (
	"fmt"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
)

// furtherSoaks adds a soak that is steady and cannot be forecast, since its sensor has whole degrees, and levels that are heard at a distance.
func furtherSoaks(t *testing.T) *review.Review {
	b := copyOf(t, "demo-doubtful")
	var log strings.Builder
	log.WriteString("elapsed_s,core_c,power_w\n")
	for s := range 1201 {
		fmt.Fprintf(&log, "%d,%d,%d\n", s, 62+s/60%2, 240+s%7)
	}
	b.write("soak/whole-degrees.csv", log.String())
	b.write("further.hcl", `
soak "quiet_room" {
  game       = game.fjord.plain
  resolution = resolution.uhd
  length     = "20m"
  ambient    = { target_c = 21, from = "none" }
  noise      = { distance_m = 0.5, background_db = 18, weighting = "A", meter_class = 2, free_field = true, reference_m = 1 }
  probe "core" { on_die = "hottest" }
  log {
    path     = "soak/whole-degrees.csv"
    time     = { column = "elapsed_s", unit = "s" }
    channels = {
      core  = { column = "core_c", unit = "C" }
      power = { column = "power_w", unit = "W", at = "reported board" }
    }
  }
}
soak "loud_room" {
  load    = "two displays"
  length  = "10m"
  ambient = { target_c = 21 }
  noise   = { distance_m = 0.5, weighting = "A", meter_class = 2 }
}
reading "quiet" {
  card = card.tern_ref.stock
  soak = soak.quiet_room
  db   = [38.1, 38.3, 38.0]
}
reading "loud" {
  card      = card.tern_ref.stock
  soak      = soak.loud_room
  ambient_c = 21
  db        = [31.1, 31.4]
}
`)
	return b.review()
}

// benchSightings are the words that a review's soaks give.
func benchSightings(r *review.Review, see func(rank int, word, format string, args ...any)) {
	for _, f := range r.Bench {
		if f.Protocol == "" {
			continue
		}
		at := fmt.Sprintf("%s in %s", f.Of, f.Protocol)
		if s := benchSensor(f); s != "" {
			at += ", " + s
		}
		if f.FanPct.OK {
			at += fmt.Sprintf(", the fan at %s %%", screen.Number(f.FanPct.X, 0))
		}
		for _, w := range f.Flags {
			see(placed, string(w), "%s: %s", at, f.Name)
		}
		switch {
		case f.Text != "" && f.Note != "":
			see(sentence, f.Text, "%s: %s, %s", at, f.Text, f.Note)
			see(placed, f.Name, "%s: %s", at, f.Text)
		case f.Text != "":
			see(sentence, f.Text, "%s: %s", at, f.Text)
			see(placed, f.Name, "%s: %s", at, f.Text)
		case f.Value.OK && f.U.Expanded.OK:
			see(sentence, f.Name, "%s: %s %s, give or take %s", at, screen.Number(f.Value.X, 1), f.Unit, screen.Number(f.U.Expanded.X, 1))
		case f.Value.OK:
			see(compared, f.Name, "%s: %s %s", at, screen.Number(f.Value.X, 2), f.Unit)
		}
	}
	for _, s := range r.Soaks {
		at := fmt.Sprintf("%s in %s", s.Mode, s.Soak)
		for _, f := range s.Flags {
			see(sentence, string(f.Word), "%s: %s", at, f.Text)
		}
		if s.RoomC.OK {
			see(sentence, "ambient_c", "%s: the room at the end of the load %s °C", at, screen.Number(s.RoomC.X, 2))
		}
		for _, p := range s.Probes {
			if p.EndU.Standard.OK {
				budget := inWords(p.EndU, "K")
				see(sentence, "thermocouple_uncertainty", "%s, %s: %s", at, p.Name, budget)
				see(sentence, "type_k", "%s, %s: %s °C at the end, made of the wire's voltage and the cold junction's temperature", at, p.Name, screen.Number(p.EndC.X, 1))
			}
		}
	}
	for _, d := range r.BenchDiffs {
		if d.Measured.Standard.OK && d.Metric.Name == "rise_k" {
			see(sentence, "temperature_difference_u", "%s against %s in %s, %s: %s K; %s", d.Of, d.Base, d.Soak, d.Sensor.Name(),
				screen.Signed(d.Difference.X, 1), inWords(d.Measured, "K"))
		}
		see(placed, string(d.Verdict), "%s against %s in %s, %s", d.Of, d.Base, d.Soak, d.Metric.Title)
	}
}

func benchSensor(f review.BenchFigure) string {
	if f.Group != "" {
		return f.Group + " (" + f.Sensor + ")"
	}
	return f.Sensor
}

// inWords lays a budget open: each part as it enters, their root sum of squares, and what it is expanded by.
func inWords(u compute.Uncertainty, unit string) string {
	var parts []string
	for _, p := range u.Budget {
		parts = append(parts, fmt.Sprintf("%s %.3f", p.Name, p.Sensitivity*p.Standard))
	}
	return fmt.Sprintf("√ of the sum of squares of %s is u = %.3f %s; U = %.3f × u = %.2f %s", strings.Join(parts, ", "), u.Standard.X, unit,
		u.Factor.X, u.Expanded.X, unit)
}

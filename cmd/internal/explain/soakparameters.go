package explain

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/plan"
)

// soakAttributes are what a plan states of its soaks.
var soakAttributes = []attribute{
	{"length", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string { return screen.Duration(s.Length) })
	}},
	{"settle", "soak", screen.Duration(time.Duration(thermal.DefaultSettleNS)), func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string { return "the last " + screen.Duration(s.Settle) })
	}},
	{"ambient", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string {
			a := s.Ambient
			from := map[string]string{plan.AmbientNoted: "noted by hand", plan.AmbientNone: "not measured"}[a.From]
			if from == "" {
				from = "logged as " + a.From
			}
			if a.AccuracyC > 0 {
				from += fmt.Sprintf(" with a thermometer of ± %g °C", a.AccuracyC)
			}
			if !a.Stated {
				return from
			}
			return fmt.Sprintf("%g ± %g °C, %s, normalised to %g °C", a.TargetC, a.ToleranceC, from, a.ReferenceC)
		})
	}},
	{"noise", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string {
			if s.Noise == nil {
				return ""
			}
			return fmt.Sprintf("%g m, weighting %s, meter of class %d", s.Noise.DistanceM, s.Noise.Weighting, s.Noise.MeterClass)
		})
	}},
	{"logger", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string {
			if l := s.Logger; l.AccuracyC > 0 || l.ResolutionC > 0 {
				return fmt.Sprintf("± %g °C in steps of %g °C, placement %g K", l.AccuracyC, l.ResolutionC, l.MountC)
			}
			return ""
		})
	}},
	{"probe", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string {
			var texts []string
			for _, x := range s.Probes {
				switch t := x.Thermocouple; {
				case t == nil:
					texts = append(texts, x.Name+" (on the card)")
				case t.Class == 0:
					texts = append(texts, x.Name+" (type "+t.Type+", class not stated)")
				default:
					texts = append(texts, x.Name+" (type "+t.Type+", class "+strconv.Itoa(t.Class)+")")
				}
			}
			return strings.Join(texts, ", ")
		})
	}},
	{"channels", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string {
			if n := len(s.Logs); n > 0 {
				return screen.Count(n, "log", "logs") + " a card"
			}
			return ""
		})
	}},
	{"repeatability", "soak", "", func(p *plan.Plan) (string, bool) {
		return bySoak(p, func(s plan.Soak) string {
			d := s.Repeatability
			var texts []string
			for _, x := range []struct {
				of, unit string
				value    float64
			}{{"temperature", "K", d.TemperatureK}, {"noise", "dB", d.NoiseDB}, {"power", "%", d.PowerPct}, {"fan", "%", d.FanPct},
				{"clock", "%", d.ClockPct}, {"energy", "%", d.EnergyPct}} {
				if x.value > 0 {
					texts = append(texts, fmt.Sprintf("%s %g %s", x.of, x.value, x.unit))
				}
			}
			return strings.Join(texts, ", ")
		})
	}},
}

// bySoak says what holds for all soaks, or for which soaks what holds; of says "" where a soak states nothing.
func bySoak(p *plan.Plan, of func(plan.Soak) string) (text string, written bool) {
	var names, texts []string
	for _, s := range p.Soaks {
		x := of(s)
		written = written || x != ""
		if x == "" {
			x = "none"
		}
		names, texts = append(names, s.Name), append(texts, x)
	}
	if names == nil {
		return "no soak is declared", false
	}
	return grouped(names, texts), written
}

package report

import (
	"cmp"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// sweepCharts are the temperatures of each fan sweep, over how loud the fan was where that was noted, else over its speed: one for each probe.
func sweepCharts(s Source) (out []named) {
	var names []string
	for _, r := range s.Tables.Readings {
		if r.FanPct == nil || r.Figure != "rise_k" && r.Figure != "end_c" {
			continue
		}
		name := deref(r.Protocol) + "\n" + sensor(r)
		if slices.Contains(names, name) {
			continue
		}
		names = append(names, name)
		if c := s.sweep(deref(r.Protocol), sensor(r)); len(c.Curves) > 0 {
			out = append(out, named{c.Head.Name, func(f chart.Format) chart.Picture { return c.Picture(f, s.Look) }})
		}
	}
	return out
}

// sweep draws the rise over the room where every step of any has it, since rooms differ; over decibels only where each mode has two steps that are
// louder than their background.
func (s Source) sweep(protocol, probe string) chart.Soak {
	figure, unit := "rise_k", "rise above the room, kelvin"
	if len(s.stepsOf(protocol, probe, figure, false)) == 0 {
		figure, unit = "end_c", "temperature, °C"
	}
	c := chart.Soak{Head: chart.Head{Name: plainName("sweep-" + protocol + "-" + figure + "-" + probe), Title: "Fan sweep: " + strings.ReplaceAll(probe, "_", " "),
		Settings: "temperature against noise, fan held at each step"}, Unit: unit, Better: chart.Less, Across: "dB"}
	curves, percents := s.stepsOf(protocol, probe, figure, true), s.stepsOf(protocol, probe, figure, false)
	if len(curves) < len(percents) {
		curves, c.Across, c.Settings = percents, "%", "temperature against fan speed, held at each step"
	}
	c.Curves = curves
	var steps []float64
	for _, r := range s.Tables.Readings {
		if deref(r.Protocol) == protocol && r.FanPct != nil && r.Figure == figure && r.Value != nil && !slices.Contains(steps, *r.FanPct) {
			steps = append(steps, *r.FanPct)
		}
	}
	slices.Sort(steps)
	if c.Across == "dB" && len(steps) > 0 {
		words := make([]string, len(steps))
		for i, x := range steps {
			words[i] = short(x)
		}
		c.Notes = "From the left the fan at " + strings.Join(words, ", ") + " %, without steps that the background hides."
	}
	return c
}

// stepsOf are the modes of a sweep with what each step came to, over the sound level or the speed of the fan. A mode with fewer than two steps is no curve.
func (s Source) stepsOf(protocol, probe, figure string, loud bool) (out []chart.Curve) {
	for _, m := range s.Words.Modes {
		curve := chart.Curve{Row: s.Words.row(m), Steps: true}
		for _, r := range s.Tables.Readings {
			if !ofStep(r, m, protocol, figure) || r.Value == nil || sensor(r) != probe {
				continue
			}
			at, ok := *r.FanPct, true
			if loud {
				at, ok = s.loudness(m, protocol, *r.FanPct)
			}
			if ok {
				curve.Points = append(curve.Points, chart.Reading{Seconds: at, X: *r.Value})
			}
		}
		slices.SortStableFunc(curve.Points, func(a, b chart.Reading) int { return cmp.Compare(a.Seconds, b.Seconds) })
		if len(curve.Points) > 1 {
			out = append(out, curve)
		}
	}
	return out
}

// ofStep tells whether a reading is a figure of a step of a mode's sweep.
func ofStep(r archive.ReadingRow, m ModeWords, protocol, figure string) bool {
	return r.FanPct != nil && r.Figure == figure && deref(r.Protocol) == protocol && (Mode{r.Card, deref(r.Mode)}) == m.Mode
}

// loudness is the sound level of a step; ok is false where the background hides it.
func (s Source) loudness(m ModeWords, protocol string, percent float64) (db float64, ok bool) {
	for _, r := range s.Tables.Readings {
		switch {
		case ofStep(r, m, protocol, "sound_treatment") && *r.FanPct == percent && deref(r.Text) == string(sound.UpperBound):
			return 0, false
		case ofStep(r, m, protocol, "sound_level_db") && *r.FanPct == percent && r.Value != nil:
			db, ok = *r.Value, true
		}
	}
	return db, ok
}

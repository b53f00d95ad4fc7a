package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/export/speech"
)

// sweeps are the steps of fan sweeps: how loud each is, with what was noted beside it. A level that the background hides is not said.
func (c *script) sweeps() {
	type step struct {
		Mode
		sweep string
		fan   float64
	}
	var order []step
	of := map[step][]reading{}
	for _, r := range c.Tables.Readings {
		if r.FanPct == nil || r.Protocol == nil || r.BaseCard != nil || atTarget(r) {
			continue
		}
		s := step{ofReading(r), *r.Protocol, *r.FanPct}
		if of[s] == nil {
			order = append(order, s)
		}
		of[s] = append(of[s], r)
	}
	var lines []string
	for _, s := range order {
		where := "the sweep " + s.sweep + " with the fan at " + short(s.fan) + " %"
		lines = append(lines, c.fanStep(c.Words.Called(s.Mode), where, of[s]))
	}
	c.section("## Fan sweeps\n\nOne step each, so nothing shows how another try would differ: only the levels have an uncertainty, that of the meter.", lines)
}

// atTarget reports whether a figure of a sweep is one at the level that modes are compared at, between two of its steps.
func atTarget(r reading) bool { return strings.Contains(r.Figure, "_at_target_") }

// fanStep is a line on one step of a sweep.
func (c *script) fanStep(of, where string, all []reading) string {
	m, _ := compute.SoakMetric("sound_level_db")
	said, notes := "", []string{}
	hidden := slices.ContainsFunc(all, func(r reading) bool { return text(r.Text) == string(sound.UpperBound) })
	for _, r := range all {
		switch {
		case r.Value == nil || r.Figure == "sound_at_reference_db" || r.Figure == "background_correction_db": // what the level rests on
		case r.Figure == m.Name && hidden:
			notes = append([]string{"at most " + shown(r.Value, 1) + " dB, the background hides more"}, notes...)
		case r.Figure == m.Name:
			low, high := compute.Absent("no uncertainty"), compute.Absent("no uncertainty")
			figures := shown(r.Value, 1) + " dB"
			if r.Expanded != nil {
				low, high = compute.Known(*r.Value-*r.Expanded), compute.Known(*r.Value+*r.Expanded)
				figures += " ± " + shown(r.Expanded, 1)
			}
			said = speech.Subject{Metric: m, Of: of, Where: where}.Alone(compute.Known(*r.Value), low, high)
			notes = append([]string{figures}, notes...)
		default:
			note := strings.Join(filled(sensorName(r), readingField(r).Text, r.Unit), " ")
			if r.Figure == "rise_k" {
				note += " above its room"
			}
			notes = append(notes, note)
		}
	}
	if said == "" {
		said = "No level may be said of " + of + " in " + where + "."
	}
	return escaped(said) + " " + within(strings.Join(notes, "; "))
}

// equalNoise lists the modes of each soak at the level that they are to be compared at.
func (c *script) equalNoise() {
	for _, e := range c.Words.EqualNoise {
		var lines []string
		for _, x := range e.At {
			lines = append(lines, escaped(c.Words.Called(x.Mode))+": "+within(x.shown(e)))
		}
		c.section(fmt.Sprintf("## At equal noise: %s at %s ± %s dB\n\nFigures for a table on screen. None has an interval, so no difference between them may be said.",
			escaped(e.Soak), short(e.TargetDB), short(e.ToleranceDB)), lines)
	}
}

// shown words a mode at the level with where that is from, or why it is not there.
func (x LevelWords) shown(e EqualWords) string {
	if x.Why != "" {
		return "not at that level: " + x.Why
	}
	var out []string
	for _, f := range []struct {
		x        *float64
		decimals int
		format   string
	}{{x.EndC, 1, e.Probe + " %s °C"}, {x.RiseK, 1, e.Probe + " %s K above its room"}, {x.FanPct, 0, "fan at %s %%"}, {x.FanRPM, 0, "%s rpm"}} {
		if f.x != nil {
			out = append(out, fmt.Sprintf(f.format, shown(f.x, f.decimals)))
		}
	}
	if x.Sweep != "" {
		out = append(out, "from the sweep "+x.Sweep+", between two of its steps on a straight line: nobody measured it there")
	} else {
		out = append(out, "as soaked, "+shown(x.DB, 1)+" dB")
	}
	if x.Moving {
		out = append(out, e.Probe+" was not settled")
	}
	return strings.Join(out, "; ")
}

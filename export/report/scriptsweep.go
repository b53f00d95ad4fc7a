package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
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
	for _, p := range c.Words.Protocols {
		probe := c.probeAtLevel(p)
		var lines []string
		for _, x := range c.leveled(p, probe) {
			lines = append(lines, escaped(c.Words.Called(x.Mode))+": "+within(x.shown(probe)))
		}
		c.section(fmt.Sprintf("## At equal noise: %s at %s %s\n\nFigures for a table on screen. None has an interval, so no difference between them may be said.",
			escaped(p.Soak), short(p.TargetDB), escaped(orElse(p.Sound, "dB"))), lines)
	}
}

// leveled is a mode at the level that the modes of a soak are to be compared at: as it was soaked, or worked out between two steps of a sweep.
type leveled struct {
	Mode
	sweep, why          string // why it is not at that level, "" where it is
	end, rise, fan, rpm *float64
	moving              bool // the probe was not settled
}

// leveled lists them mode by mode, as soaked and then by sweeps, for a soak that has such a level and a probe.
func (s Source) leveled(p ProtocolWords, probe string) (out []leveled) {
	if p.TargetDB == 0 || probe == "" {
		return nil
	}
	for _, m := range s.Words.Modes {
		swept := map[string]int{}
		for _, r := range s.Tables.Readings {
			switch {
			case ofReading(r) != m.Mode:
			case r.Figure == "off_target_db" && deref(r.Protocol) == p.Soak:
				out = append(out, s.asSoaked(m.Mode, p.Soak, probe, r))
			case atTarget(r) && slices.Contains(p.Sweeps, deref(r.Protocol)):
				i, ok := swept[*r.Protocol]
				if !ok {
					i = len(out)
					swept[*r.Protocol] = i
					out = append(out, leveled{Mode: m.Mode, sweep: *r.Protocol, fan: r.FanPct})
				}
				out[i].take(r)
			}
		}
	}
	return out
}

// take enters a figure of a sweep at the level.
func (x *leveled) take(r reading) {
	switch r.Figure {
	case "end_at_target_c":
		x.end = r.Value
	case "rise_at_target_k":
		if x.rise = r.Value; r.Value == nil {
			x.why = deref(r.Why)
		}
	case "fan_at_target_rpm":
		x.rpm = r.Value
	}
}

// asSoaked is a mode as its soaks found it, by how far off the level it was.
func (s Source) asSoaked(m Mode, soak, probe string, off reading) leveled {
	x := leveled{Mode: m}
	if off.Value == nil || slices.Contains(strings.Fields(deref(off.Flags)), "off_target") {
		x.why = offLevel(off)
		return x
	}
	sums, n := map[string]float64{}, map[string]float64{}
	for _, r := range s.Tables.Readings {
		if ofReading(r) != m || deref(r.Protocol) != soak || r.BaseCard != nil || r.FanPct != nil {
			continue
		}
		if ofProbe := r.ProbeGroup == nil && deref(r.Sensor) == probe; r.Value != nil && (ofProbe || r.Figure == "fan_typical_rpm") {
			sums[r.Figure] += *r.Value
			n[r.Figure]++
		} else if ofProbe && deref(r.Text) == string(thermal.NotSettled) {
			x.moving = true
		}
	}
	for figure, to := range map[string]**float64{"end_c": &x.end, "rise_k": &x.rise, "fan_typical_rpm": &x.rpm} {
		if n[figure] > 0 {
			mean := sums[figure] / n[figure]
			*to = &mean
		}
	}
	return x
}

// notes say where a mode's figures at the level are from, or why there are none.
func (x leveled) notes(probe string) (out []string) {
	switch {
	case x.why != "":
		return []string{"not at that level: " + x.why}
	case x.sweep != "":
		out = append(out, "from the sweep "+x.sweep+", between two of its steps on a straight line: nobody measured it there")
	default:
		out = append(out, "as soaked")
	}
	if x.moving {
		out = append(out, probe+" was not settled")
	}
	return out
}

// shown words a mode at the level.
func (x leveled) shown(probe string) string {
	var out []string
	for _, f := range []struct {
		x        *float64
		decimals int
		format   string
	}{{x.end, 1, probe + " %s °C"}, {x.rise, 1, probe + " %s K above its room"}, {x.fan, 0, "fan at %s %%"}, {x.rpm, 0, "%s rpm"}} {
		if f.x != nil && x.why == "" {
			out = append(out, fmt.Sprintf(f.format, shown(f.x, f.decimals)))
		}
	}
	return strings.Join(append(out, x.notes(probe)...), "; ")
}

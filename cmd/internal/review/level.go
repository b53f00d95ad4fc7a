package review

import (
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/plan"
)

// AtLevel is a card and mode at, or off, the level that a soak's modes are to be compared at: as it was soaked, the mean over its soaks, or
// between two steps of a fan sweep. OffDB is by how much its level lies above the target; of a sweep at the target it is 0.
type AtLevel struct {
	Of                     plan.Mode
	Sweep                  string // "" for the soaks
	Near                   bool   // may stand beside the others
	Why                    string // it is not near
	DB, OffDB              compute.Value
	EndC, RiseK            compute.Value // of the probe that is named with them
	FanPct, FanRPM, PowerW compute.Value
	At                     string // where power was measured
	ClockMHz               compute.Value
	Moving                 bool // the probe of a soak was not settled
}

// AtLevel lays a soak's modes side by side at its target level, and names the probe whose temperature stands there. It is empty where the plan
// has no such target.
func (r *Review) AtLevel(p plan.Soak) (probe string, out []AtLevel) {
	if p.Noise == nil || p.Noise.TargetDB == 0 {
		return "", nil
	}
	probe = r.probeAtLevel(p)
	for _, m := range p.Modes {
		if x, ok := r.soakAtLevel(p, m, probe); ok {
			out = append(out, x)
		}
	}
	for _, s := range r.Plan.Sweeps {
		for _, m := range s.Modes {
			if x, ok := r.sweepAtLevel(p, s, m, probe); ok {
				out = append(out, x)
			}
		}
	}
	return probe, out
}

// probeAtLevel is the first probe that a sweep of the soak notes, else the first of the soak with a temperature.
func (r *Review) probeAtLevel(p plan.Soak) string {
	for _, s := range r.Plan.Sweeps {
		for _, f := range r.Bench {
			if s.Soak == p.Name && f.Protocol == s.Name && f.FanPct.OK && f.Name == "end_c" && f.Value.OK {
				return f.Sensor
			}
		}
	}
	for _, x := range p.Probes {
		for _, f := range r.Bench {
			if f.Protocol == p.Name && !f.FanPct.OK && f.Name == "end_c" && f.Sensor == x.Name && f.Group == "" && f.Value.OK {
				return x.Name
			}
		}
	}
	return ""
}

// soakAtLevel is a mode as its soaks found it; ok is false where none was measured for its level.
func (r *Review) soakAtLevel(p plan.Soak, m plan.Mode, probe string) (x AtLevel, ok bool) {
	mean := func(figure string, s Sensor) compute.Value {
		v, _ := r.SoakMean(m, p.Name, figure, s)
		return v
	}
	x = AtLevel{Of: m, DB: mean("sound_level_db", Sensor{}), EndC: mean("end_c", Sensor{Probe: probe}), RiseK: mean("rise_k", Sensor{Probe: probe}),
		FanPct: compute.Absent("the fan follows its curve"), FanRPM: mean("fan_typical_rpm", Sensor{}), ClockMHz: mean("clock_median_mhz", Sensor{})}
	for _, s := range r.Soaks {
		for _, q := range s.Probes {
			x.Moving = x.Moving || s.Mode == m && s.Soak == p.Name && q.Name == probe && !q.Group && !q.Noted && q.Settling.State == thermal.NotSettled
		}
	}
	bound := false
	for _, f := range r.Bench {
		if f.Of != m || f.Protocol != p.Name || f.FanPct.OK {
			continue
		}
		ok = ok || f.Name == "sound_level_db"
		bound = bound || f.Text == string(sound.UpperBound)
		if f.Name == "mean_power_w" && x.At == "" {
			x.At = f.At
		}
	}
	x.PowerW = mean("mean_power_w", Sensor{At: x.At})
	x.OffDB = x.DB
	switch n := p.Noise; {
	case !x.DB.OK:
		x.Why = x.DB.Why
	case bound:
		x.Why = fmt.Sprintf("at most %.1f dB: the background hides how loud it is", x.DB.X)
		x.OffDB = compute.Absent(x.Why)
	default:
		x.OffDB = compute.Known(x.DB.X - n.TargetDB)
		const hair = 1e-9 // dB
		if x.Near = math.Abs(x.OffDB.X) <= n.ToleranceDB+hair; !x.Near {
			x.Why = fmt.Sprintf("%+.1f dB from the target", x.OffDB.X)
		}
	}
	return x, ok
}

// sweepAtLevel is a mode between the two steps of its sweep that have the target between them; ok is false for another soak's sweep and where no step
// was noted.
func (r *Review) sweepAtLevel(p plan.Soak, s plan.Sweep, m plan.Mode, probe string) (x AtLevel, ok bool) {
	if s.Soak != p.Name {
		return x, false
	}
	target := compute.Known(p.Noise.TargetDB)
	x = AtLevel{Of: m, Sweep: s.Name, DB: target, OffDB: compute.Known(0)}
	var levels, percents []compute.Value
	of := map[string][]compute.Value{}
	at, hidden := "", ""
	for _, percent := range s.StepsPct {
		step := map[string]BenchFigure{}
		for _, f := range r.Bench {
			if f.Of == m && f.Protocol == s.Name && f.FanPct == compute.Known(percent) && (f.Unit != "°C" && f.Unit != "K" || f.Sensor == probe) &&
				(step[f.Name].Name == "" || !step[f.Name].Value.OK) {
				step[f.Name] = f
			}
		}
		level := step["sound_level_db"].Value
		if level.OK && step["sound_treatment"].Text == string(sound.UpperBound) {
			hidden = fmt.Sprintf("; at %g %% the background hides how loud it is", percent)
			continue
		}
		if level.OK {
			levels, percents = append(levels, level), append(percents, compute.Known(percent))
			for _, name := range []string{"end_c", "rise_k", "fan_typical_rpm", "mean_power_w", "clock_median_mhz"} {
				v := step[name].Value
				if step[name].Name == "" {
					v = compute.Absent("not noted")
				}
				of[name] = append(of[name], v)
			}
			at = max(at, step["mean_power_w"].At)
		}
	}
	if len(levels) == 0 {
		return x, false
	}
	rising := make([]float64, len(levels))
	for i, l := range levels {
		rising[i] = l.X
	}
	c, why := sound.Cross(rising, target.X)
	if why != "" {
		why += hidden
		none := compute.Absent(why)
		x.Why, x.DB, x.OffDB, x.EndC, x.RiseK, x.FanPct, x.FanRPM, x.PowerW, x.ClockMHz = why, none, none, none, none, none, none, none, none
		return x, true
	}
	x.Near, x.At, x.FanPct = true, at, c.Of(percents)
	x.EndC, x.RiseK, x.FanRPM = c.Of(of["end_c"]), c.Of(of["rise_k"]), c.Of(of["fan_typical_rpm"])
	x.PowerW, x.ClockMHz = c.Of(of["mean_power_w"]), c.Of(of["clock_median_mhz"])
	return x, true
}

// gatherLevels adds how far each mode is from the level that a soak's modes are to be compared at, and what the sweeps say of it.
func (r *Review) gatherLevels() {
	var found []BenchFigure
	for _, p := range r.Plan.Soaks {
		probe, lines := r.AtLevel(p)
		for _, x := range lines {
			f := BenchFigure{Of: x.Of, Protocol: p.Name, FanPct: x.FanPct, U: compute.NoUncertainty("a figure of several soaks: see those")}
			if x.Sweep == "" {
				f.Name, f.Unit, f.Value = "off_target_db", "dB", x.OffDB
				if !x.Near {
					f.Flags = []compute.Flag{flagOffTarget}
				}
				found = append(found, f)
				continue
			}
			f.Protocol, f.U = x.Sweep, compute.NoUncertainty("it lies between two steps, and how straight the way between them is was not measured")
			f.Flags, f.Source = []compute.Flag{flagInterpolated}, "sweep."+x.Sweep
			for _, y := range []struct {
				name, sensor, unit string
				v                  compute.Value
			}{{"end_at_target_c", probe, "°C", x.EndC}, {"rise_at_target_k", probe, "K", x.RiseK}, {"fan_at_target_rpm", "", "rpm", x.FanRPM}} {
				g := f
				g.Name, g.Sensor, g.Unit, g.Value = y.name, y.sensor, y.unit, y.v
				found = append(found, g)
			}
		}
	}
	r.Bench = slices.Concat(r.Bench, found)
}

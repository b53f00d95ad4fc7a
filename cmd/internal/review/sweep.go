package review

import (
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/schedule"
)

// SweepTodo is the steps of a fan sweep of which nothing is noted.
type SweepTodo struct {
	Sweep              string
	Mode               plan.Mode
	StepsPct           []float64
	Time, Swap, Probes time.Duration // Swap and Probes where no pass and no soak to make brings them
}

// sweepNames are the figures of a step, with the value that a reading notes for each. A step is noted as a soak is that nobody logged.
var sweepNames = []struct{ figure, key string }{
	{"fan_typical_rpm", "rpm"}, {"sound_level_db", "db"}, {"sound_treatment", "db"}, {"end_c", "temperature_c"}, {"rise_k", "temperature_c"},
	{"mean_power_w", "power_w"}, {"clock_median_mhz", "clock_mhz"}, {"fan_start_c", "fan_start_c"}, {"fan_stop_c", "fan_stop_c"},
}

// gatherSweeps adds what the steps of every fan sweep came to.
func (r *Review) gatherSweeps() {
	for _, s := range r.Plan.Sweeps {
		for _, m := range s.Modes {
			r.Bench = append(r.Bench, r.sweepFigures(s, m)...)
		}
	}
}

// stepReadings are what was noted of a step, as if each reading of the sweep were one of a soak. What stands outside a table holds for all steps.
func (r *Review) stepReadings(s plan.Sweep, m plan.Mode, percent float64) (out []plan.Reading) {
	for _, x := range r.Plan.Readings {
		if x.Sweep != s.Name || x.Mode != m {
			continue
		}
		for _, row := range x.Table {
			if row.Percent != percent {
				continue
			}
			step := x
			if step.Noted = row.Noted; step.AmbientC == nil {
				step.AmbientC = x.AmbientC
			}
			if step.BackgroundDB == nil {
				step.BackgroundDB = x.BackgroundDB
			}
			out = append(out, step)
		}
	}
	return out
}

// stepKey is what figures of one sweep have in common from step to step.
type stepKey struct{ name, sensor, group, at string }

func (f BenchFigure) stepKey() stepKey { return stepKey{f.Name, f.Sensor, f.Group, f.At} }

// sweepFigures lists the figures of a sweep, step by step: of each step what any step has, absent where this one has it not.
func (r *Review) sweepFigures(s plan.Sweep, m plan.Mode) (out []BenchFigure) {
	var order []BenchFigure // the first of each kind
	steps := make([]map[stepKey]BenchFigure, len(s.StepsPct))
	for i, percent := range s.StepsPct {
		steps[i] = map[stepKey]BenchFigure{}
		for _, f := range r.stepFigures(s, m, percent) {
			steps[i][f.stepKey()] = f
			if !slices.ContainsFunc(order, func(x BenchFigure) bool { return x.stepKey() == f.stepKey() }) {
				order = append(order, f)
			}
		}
	}
	for i, percent := range s.StepsPct {
		for _, x := range order {
			f, ok := steps[i][x.stepKey()]
			if !ok {
				why := "not noted at this step"
				if len(steps[i]) == 0 {
					why = "the step was not noted"
				}
				f = BenchFigure{Of: m, Protocol: s.Name, Sensor: x.Sensor, Group: x.Group, Name: x.Name, Unit: x.Unit, At: x.At,
					Value: compute.Absent(why), U: compute.NoUncertainty(why), AmbientC: compute.Absent(why)}
			}
			f.FanPct = compute.Known(percent)
			out = append(out, f)
		}
	}
	return out
}

// stepFigures works out one step from what was noted of it.
func (r *Review) stepFigures(s plan.Sweep, m plan.Mode, percent float64) (out []BenchFigure) {
	noted := r.stepReadings(s, m, percent)
	if len(noted) == 0 {
		return nil
	}
	b := soakBench{run: plan.SoakRun{Soak: s.Name, Mode: m}}
	b.soak, _ = r.Plan.Soak(s.Soak)
	room := b.room(noted)
	step := Soak{SoakRun: b.run, State: SoakReady, RoomC: known(room.ReadingC, "no room temperature was noted"), Powers: b.powers(series.Span{}, noted),
		Clocks: b.clocks(series.Span{}, noted), Fans: b.fans(series.Span{}, noted), Sounds: b.sounds(series.Span{}, noted)}
	says := room.Check(series.Span{})
	for _, p := range b.soak.Probes {
		if f := b.notedProbe(p, room, noted); f.Noted {
			f.Notes = says
			step.Probes = append(step.Probes, f)
		}
	}
	for _, f := range step.figures() {
		i := slices.IndexFunc(sweepNames, func(x struct{ figure, key string }) bool { return x.figure == f.Name })
		if i < 0 {
			continue
		}
		var names []string
		for _, x := range noted {
			if v := x.Get(sweepNames[i].key); v != nil && (f.At == "" || f.At == x.At) && (sweepNames[i].key != "temperature_c" || f.Sensor == x.Probe) {
				f.N += len(v)
				names = append(names, "reading."+x.Name)
			}
		}
		if f.N > 0 || f.Value.OK {
			f.Source = strings.Join(names, ", ")
			out = append(out, f)
		}
	}
	return out
}

// unnoted lists the steps of every fan sweep of which nothing is noted.
func (r *Review) unnoted() (out []SweepTodo) {
	for _, s := range r.Plan.Sweeps {
		for _, m := range s.Modes {
			t := SweepTodo{Sweep: s.Name, Mode: m}
			for _, percent := range s.StepsPct {
				if len(r.stepReadings(s, m, percent)) == 0 {
					t.StepsPct = append(t.StepsPct, percent)
				}
			}
			if len(t.StepsPct) > 0 {
				t.Time = schedule.SweepCost(r.Plan, s, len(t.StepsPct))
				out = append(out, t)
			}
		}
	}
	return out
}

// planSweeps lists the steps still to note, what mounting a card takes on the first where nothing else to do with that card brings it.
func (r *Review) planSweeps() {
	r.SweepTodo = r.unnoted()
	mounted, soaks := "", map[string]bool{}
	passes := map[string]bool{}
	for _, t := range r.Todo {
		passes[t.Cell.Card], mounted = true, t.Cell.Card
	}
	for _, t := range r.SoakTodo {
		soaks[t.Mode.Card], mounted = true, t.Mode.Card
	}
	for i, t := range r.SweepTodo {
		card := t.Mode.Card
		if soaks[card] {
			continue
		}
		s, _ := r.Plan.Sweep(t.Sweep)
		run := []plan.SoakRun{{Soak: s.Soak, Mode: t.Mode}}
		r.SweepTodo[i].Probes = schedule.ProbesCost(r.Plan, run)
		if !passes[card] {
			r.SweepTodo[i].Swap = schedule.MountCost(r.Plan, mounted, loads(r.Plan, run))
		}
		mounted, soaks[card] = card, true
	}
}

// SweepTimeLeft is the bench time of all steps still to note.
func (r *Review) SweepTimeLeft() (d time.Duration) {
	for _, t := range r.SweepTodo {
		d += t.Time + t.Swap + t.Probes
	}
	return d
}

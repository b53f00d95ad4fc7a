package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/explain"
	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// printSweeps prints what each fan sweep of a soak came to: a line a step.
func printSweeps(w io.Writer, r *review.Review, p plan.Soak) {
	for _, s := range r.Plan.Sweeps {
		if s.Soak == p.Name {
			printSweep(w, r, s)
		}
	}
}

// swept is the figures of one fan sweep, and what must be said of them.
type swept struct {
	plan.Sweep
	figures []review.BenchFigure
	notes   soakRemarks
}

// at finds a figure of a step; sensor is "" where one of any will do.
func (s *swept) at(m plan.Mode, percent float64, name, sensor string) (review.BenchFigure, bool) {
	for _, f := range s.figures {
		if f.Of == m && f.Name == name && f.FanPct.X == percent && (sensor == "" || f.Sensor == sensor) {
			return f, true
		}
	}
	return review.BenchFigure{}, false
}

// sweptColumn is a column of a sweep's table.
type sweptColumn struct {
	title, name, sensor string
	decimals            int
}

// columns are those of which any step has something: for each probe the temperature and the rise, beside them the room.
func (s *swept) columns() (out []sweptColumn) {
	add := func(c sweptColumn) {
		if slices.ContainsFunc(s.figures, func(f review.BenchFigure) bool { return f.Name == c.name && (c.sensor == "" || f.Sensor == c.sensor) }) {
			out = append(out, c)
		}
	}
	add(sweptColumn{"rpm", "fan_typical_rpm", "", 0})
	add(sweptColumn{"sound dB", "sound_level_db", "", 1})
	var probes []string
	for _, f := range s.figures {
		if f.Name == "end_c" && !slices.Contains(probes, f.Sensor) {
			probes = append(probes, f.Sensor)
			add(sweptColumn{screen.Shorten(f.Sensor, 10) + " °C", "end_c", f.Sensor, 1})
			add(sweptColumn{"rise K", "rise_k", f.Sensor, 1})
		}
	}
	add(sweptColumn{"power W", "mean_power_w", "", 1})
	add(sweptColumn{"clock MHz", "clock_median_mhz", "", 0})
	return out
}

// cell words a figure of a step, and notes why it is not there.
func (s *swept) cell(m plan.Mode, percent float64, c sweptColumn) string {
	f, ok := s.at(m, percent, c.name, c.sensor)
	if !ok {
		return "–"
	}
	if !f.Value.OK {
		metric, _ := compute.SoakMetric(c.name)
		s.notes.add(fmt.Sprintf("%s at %g %%", m, percent), fmt.Sprintf("no %s: %s", metric.Title, f.Value.Why))
	}
	for _, flag := range f.Flags {
		s.notes.add(fmt.Sprintf("%s at %g %%", m, percent), inWords(flag))
	}
	text := withU(f.Value, f.U, c.decimals)
	if bound, _ := s.at(m, percent, "sound_treatment", ""); c.name == "sound_level_db" && bound.Text == string(sound.UpperBound) {
		text = "at most " + text
	}
	return text
}

// inWords is a flag with the first sentence that is explained of it.
func inWords(flag compute.Flag) string {
	for _, e := range explain.Entries() {
		if e.Name == string(flag) {
			return e.Name + ": " + e.Gist()
		}
	}
	return string(flag)
}

func printSweep(w io.Writer, r *review.Review, sweep plan.Sweep) {
	s := swept{Sweep: sweep}
	for _, f := range r.Bench {
		if f.Protocol == s.Name && f.FanPct.OK && slices.Contains(s.StepsPct, f.FanPct.X) && !strings.Contains(f.Name, "_at_target_") {
			s.figures = append(s.figures, f)
		}
	}
	if len(s.figures) == 0 {
		return
	}
	fmt.Fprintf(w, "\nFan sweep %s, each step held for %s\n", s.Name, short(s.Hold))
	columns := s.columns()
	lines := [][]string{{"", "fan %"}}
	aligns := []screen.Align{screen.Left, screen.Right}
	for _, c := range columns {
		lines[0], aligns = append(lines[0], c.title), append(aligns, screen.Right)
	}
	lines[0], aligns = append(lines[0], "room °C"), append(aligns, screen.Right)
	for _, m := range s.Modes {
		for i, percent := range s.StepsPct {
			line := []string{"", fmt.Sprintf("%g", percent)}
			if i == 0 {
				line[0] = screen.Shorten(m.String(), 24)
			}
			for _, c := range columns {
				line = append(line, s.cell(m, percent, c))
			}
			first, _ := s.at(m, percent, columns[0].name, "")
			lines = append(lines, append(line, number(first.AmbientC, 1)))
		}
	}
	printRows(w, lines, aligns...)
	printSoakRemarks(w, s.notes.lines(len(lines)-1))
}

func printSoakRemarks(w io.Writer, notes []string) {
	for _, n := range notes {
		fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(n), screen.Width-4, "      "))
	}
}

// printAtLevel sets the modes of a soak side by side that are as loud as its target, with what the sweeps say of it.
func printAtLevel(w io.Writer, r *review.Review, p plan.Soak) {
	probe, found := r.AtLevel(p)
	if len(found) == 0 {
		return
	}
	fmt.Fprintf(w, "\nSoak %s at equal noise: %g ± %g dB\n", p.Name, p.Noise.TargetDB, p.Noise.ToleranceDB)
	lines := [][]string{{"", "", "sound dB", screen.Shorten(probe, 10) + " °C", "rise K", "fan %", "rpm", "power W", "clock MHz"}}
	var off soakRemarks
	var away, places []string
	swept := ""
	for _, x := range found {
		switch {
		case !x.Near && x.Sweep == "" && x.OffDB.OK:
			away = append(away, fmt.Sprintf("%s by %s dB", x.Of, screen.Signed(x.OffDB.X, 1)))
			continue
		case !x.Near:
			off.add(x.Of.String(), "not at that level: "+x.Why)
			continue
		}
		if x.Moving {
			off.add(x.Of.String(), probe+" was not settled: its temperature was still changing")
		}
		how := "as soaked"
		if x.Sweep != "" {
			how, swept = "sweep "+screen.Shorten(x.Sweep, 12), x.Sweep
		}
		if x.PowerW.OK && !slices.Contains(places, x.At) {
			places = append(places, x.At)
		}
		lines = append(lines, []string{screen.Shorten(x.Of.String(), 24), how, number(x.DB, 1), number(x.EndC, 1), number(x.RiseK, 1), number(x.FanPct, 0),
			number(x.FanRPM, 0), number(x.PowerW, 1), number(x.ClockMHz, 0)})
	}
	if len(lines) > 1 {
		printRows(w, lines, screen.Left, screen.Left, screen.Right, screen.Right, screen.Right, screen.Right, screen.Right, screen.Right, screen.Right)
	}
	var notes []string
	if swept != "" {
		s, _ := r.Plan.Sweep(swept)
		notes = append(notes, fmt.Sprintf("sweep: between the two steps around that level, on a straight line, after %s at each; nobody measured it there", short(s.Hold)))
	}
	if len(away) > 0 {
		notes = append(notes, "off that level as soaked: "+strings.Join(away, ", "))
	}
	if len(places) == 1 {
		notes = append(notes, "power: "+places[0])
	} else if len(places) > 1 {
		notes = append(notes, "power is measured at unlike places and not to be compared: "+strings.Join(places, ", "))
	}
	printSoakRemarks(w, append(notes, off.lines(len(found))...))
}

// printSweepTodo lists the steps of fan sweeps that nothing is noted of.
func printSweepTodo(w io.Writer, r *review.Review) {
	if len(r.SweepTodo) == 0 {
		return
	}
	fmt.Fprintf(w, "\nFan sweeps to note, %s at the bench\n", screen.Duration(r.SweepTimeLeft()))
	for _, t := range r.SweepTodo {
		var steps []string
		for _, x := range t.StepsPct {
			steps = append(steps, fmt.Sprintf("%g", x))
		}
		words := screen.Duration(t.Time + t.Swap + t.Probes)
		if t.Swap > 0 {
			words += " with the swap"
		}
		text := fmt.Sprintf("%s %s at %s %%, %s: nothing is noted of %s", t.Sweep, t.Mode, screen.List(steps), words,
			map[bool]string{true: "it", false: "them"}[len(steps) == 1])
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
	}
}

// sweepSteps counts the steps of a sweep, and those of which something is noted.
func sweepSteps(r *review.Review, s plan.Sweep) (noted, all int) {
	all = len(s.Modes) * len(s.StepsPct)
	noted = all
	for _, t := range r.SweepTodo {
		if t.Sweep == s.Name {
			noted -= len(t.StepsPct)
		}
	}
	return noted, all
}

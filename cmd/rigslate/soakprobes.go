package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
)

const soaksAbreast = 3 // repeats whose ends stand in columns of their own

// printSoakProbes prints a line for each probe and group of each card and mode: the end of each soak, and the means over its soaks. With one
// probe and one soak the first table has it all.
func printSoakProbes(w io.Writer, r *review.Review, p plan.Soak) {
	var lines [][]string
	repeats := 0
	if p.Repeats > 1 && p.Repeats <= soaksAbreast {
		repeats = p.Repeats
	}
	for _, m := range p.Modes {
		for i, line := range probesOf(r, p, m, repeats) {
			if i == 0 {
				line[0] = screen.Shorten(m.String(), 24)
			}
			lines = append(lines, line)
		}
	}
	if len(lines) == 0 || len(p.Probes) < 2 && p.Repeats < 2 {
		return
	}
	heading, aligns := []string{"", ""}, []screen.Align{screen.Left, screen.Left}
	for i := range repeats {
		heading, aligns = append(heading, fmt.Sprintf("#%d °C", i+1)), append(aligns, screen.Right)
	}
	end, title := "end °C", "Each probe at the end of the soak"
	if p.Repeats > 1 {
		end, title = "mean °C", "Each probe at the end of the soaks, and the means over them"
	}
	heading = append(heading, end, "rise K", "10-s peak °C", "state")
	fmt.Fprintf(w, "\n  %s\n", title)
	printRows(w, slices.Concat([][]string{heading}, lines), append(aligns, screen.Right, screen.Right, screen.Right, screen.Left)...)
	if p.Repeats > 1 && slices.ContainsFunc(lines, func(line []string) bool { return strings.Contains(strings.Join(line, ""), "±") }) {
		printSoakRemarks(w, []string{"± is what measuring leaves open in each soak; how far soaks differ shows beside it"})
	}
}

// probesOf gives the lines of one card and mode.
func probesOf(r *review.Review, p plan.Soak, m plan.Mode, repeats int) (lines [][]string) {
	type named struct {
		name  string
		group bool
	}
	var order []named
	soaks := map[int]review.Soak{}
	for _, s := range r.Soaks {
		if s.Soak != p.Name || s.Mode != m || s.State == review.SoakAbsent {
			continue
		}
		soaks[s.Repeat] = s
		for _, x := range s.Probes {
			if n := (named{x.Name, x.Group}); !slices.Contains(order, n) && (x.EndC.OK || x.PeakC.OK) {
				order = append(order, n)
			}
		}
	}
	for _, n := range order {
		name, sensor := n.name, review.Sensor{Probe: n.name}
		if n.group {
			name, sensor = "hottest of "+n.name, review.Sensor{Group: n.name}
		}
		line := []string{"", screen.Shorten(name, 18)}
		var states []string
		for repeat := 1; repeat <= p.Repeats; repeat++ {
			end := "–"
			for _, x := range soaks[repeat].Probes {
				if x.Name != n.name || x.Group != n.group {
					continue
				}
				end = number(x.EndC, 1)
				if state := probeState(x); !slices.Contains(states, state) {
					states = append(states, state)
				}
			}
			if repeat <= repeats {
				line = append(line, end)
			}
		}
		mean := func(figure string) string {
			v, u := r.SoakMean(m, p.Name, figure, sensor)
			return withU(v, u, 1)
		}
		state := states[0]
		if len(states) > 1 {
			state = "mixed"
		}
		lines = append(lines, append(line, mean("end_c"), mean("rise_k"), mean("sustained_peak_c"), state))
	}
	return lines
}

// probeState words whether a probe had come to its end.
func probeState(p review.SoakProbe) string {
	if p.Noted {
		return "noted"
	}
	return string(p.Settling.State)
}

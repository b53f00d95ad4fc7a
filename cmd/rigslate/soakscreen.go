package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// soakName names a soak by card and mode, and by its repeat where there are several.
func soakName(p *plan.Plan, run plan.SoakRun) string {
	if s, _ := p.Soak(run.Soak); s.Repeats > 1 {
		return fmt.Sprintf("%s, repeat %d", run.Mode, run.Repeat)
	}
	return run.Mode.String()
}

// printSoakTables prints a table for each soak: a line for each card and mode, below it what must be known of them.
func printSoakTables(w io.Writer, r *review.Review) {
	for _, p := range r.Plan.Soaks {
		fmt.Fprintf(w, "\nSoak %s  %s of load, the end is its last %s\n", p.Name, short(p.Length), short(p.Settle))
		lines := [][]string{{"", "power", "where", "hottest", "end °C", "rise K", "state", "fan rpm", "sound dB"}}
		var notes []string
		for _, s := range r.Soaks {
			if s.Soak != p.Name {
				continue
			}
			if s.State != review.SoakAbsent {
				lines = append(lines, soakRow(r.Plan, s))
			}
			for _, text := range soakNotes(s) {
				notes = append(notes, soakName(r.Plan, s.SoakRun)+": "+text)
			}
		}
		if len(lines) > 1 {
			printRows(w, lines, screen.Left, screen.Right, screen.Left, screen.Left, screen.Right, screen.Right, screen.Left, screen.Right, screen.Right)
		}
		for _, n := range notes {
			fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(n), screen.Width-4, "      "))
		}
		printSoakDiffs(w, r, p)
	}
}

func soakRow(p *plan.Plan, s review.Soak) []string {
	name := screen.Shorten(s.Mode.String(), 20)
	if protocol, _ := p.Soak(s.Soak); protocol.Repeats > 1 {
		name += fmt.Sprintf(" #%d", s.Repeat)
	}
	out := []string{name, "–", "", "–", "–", "–", "–", "–", "–"}
	if len(s.Powers) > 0 {
		out[1], out[2] = number(s.Powers[0].MeanW, 1)+" W", s.Powers[0].At
	}
	if h, ok := s.Hottest(); ok {
		out[3], out[4], out[5] = screen.Shorten(h.Name, 12), withU(h.EndC, h.EndU, 1), number(h.RiseK, 1)
		out[6] = string(h.Settling.State)
		if h.Noted {
			out[6] = "noted"
		}
	}
	if len(s.Fans) > 0 {
		out[7] = number(s.Fans[0].TypicalRPM, 0)
	}
	if len(s.Sounds) > 0 {
		out[8] = withU(s.Sounds[0].DB, s.Sounds[0].Uncertainty, 1)
		if s.Sounds[0].Treatment == "upper_bound" {
			out[8] = "at most " + out[8]
		}
	}
	return out
}

func withU(v compute.Value, u compute.Uncertainty, decimals int) string {
	if !v.OK || !u.Expanded.OK {
		return number(v, decimals)
	}
	return number(v, decimals) + " ± " + number(u.Expanded, decimals)
}

// soakNotes says what stands against a soak, what must be known of it, and why a figure of its line is not there.
func soakNotes(s review.Soak) (texts []string) {
	if s.State != review.SoakReady {
		texts = append(texts, string(s.State)+", "+strings.Join(s.Why, "; "))
	}
	texts = append(texts, s.Notes...)
	h, ok := s.Hottest()
	if !ok {
		return texts
	}
	if !h.RiseK.OK {
		texts = append(texts, "no rise: "+h.RiseK.Why)
	}
	if h.Noted {
		return texts
	}
	texts = append(texts, fmt.Sprintf("%s: %s, %s", h.Name, h.Settling.State, h.Settling.Why))
	if why := h.Heating.FinalC.Why; !h.Heating.FinalC.OK && !strings.Contains(h.Settling.Why, why) {
		texts = append(texts, h.Name+": "+why)
	}
	if h.Hottest != "" {
		texts = append(texts, fmt.Sprintf("%s: the hottest of the group is %s", h.Name, h.Hottest))
	}
	return texts
}

// printSoakStates says in a line a soak what is there of it.
func printSoakStates(w io.Writer, r *review.Review) {
	if len(r.Soaks) == 0 {
		return
	}
	fmt.Fprintln(w, "\nSoaks")
	for _, s := range r.Soaks {
		text := fmt.Sprintf("%s: %s %s", s.State, s.Soak, soakName(r.Plan, s.SoakRun))
		if len(s.Why) > 0 {
			text += ": " + strings.Join(s.Why, "; ")
		}
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
	}
}

// printSoakTodo lists the soaks to make.
func printSoakTodo(w io.Writer, r *review.Review) {
	if len(r.SoakTodo) == 0 {
		return
	}
	fmt.Fprintf(w, "\nSoaks to make, %s at the bench\n", screen.Duration(r.SoakTimeLeft()))
	for _, t := range r.SoakTodo {
		words := screen.Duration(t.Time + t.Swap)
		if t.Swap > 0 {
			words += " with the swap"
		}
		text := fmt.Sprintf("%s %s, %s: %s", t.Soak, soakName(r.Plan, t.SoakRun), words, strings.Join(t.Why, "; "))
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
	}
}

package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/thermal"
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

// soakLabel is the short name of a soak within its table.
func soakLabel(p *plan.Plan, run plan.SoakRun) string {
	name := screen.Shorten(run.Mode.String(), 20)
	if s, _ := p.Soak(run.Soak); s.Repeats > 1 {
		name += fmt.Sprintf(" #%d", run.Repeat)
	}
	return name
}

// soakRemarks are notes under a table, each once with the soaks that it is of.
type soakRemarks struct {
	texts []string
	of    map[string][]string
}

func (n *soakRemarks) add(label, text string) {
	if n.of == nil {
		n.of = map[string][]string{}
	}
	if n.of[text] == nil {
		n.texts = append(n.texts, text)
	}
	n.of[text] = append(n.of[text], label)
}

// lines gives the notes under a table of so many soaks.
func (n *soakRemarks) lines(all int) (out []string) {
	for _, text := range n.texts {
		who := strings.Join(n.of[text], ", ")
		if len(n.of[text]) == all && all > 1 {
			who = "all"
		}
		out = append(out, who+": "+text)
	}
	return out
}

// printSoakTables prints a table for each soak: a line for each card and mode, below it what must be known of them.
func printSoakTables(w io.Writer, r *review.Review) {
	for _, p := range r.Plan.Soaks {
		fmt.Fprintf(w, "\nSoak %s  %s of load, the end is its last %s\n", p.Name, short(p.Length), short(p.Settle))
		lines := [][]string{{"", "power", "where", "hottest", "end °C", "rise K", "state", "fan rpm", "sound dB"}}
		var notes soakRemarks
		for _, s := range r.Soaks {
			if s.Soak != p.Name {
				continue
			}
			if s.State != review.SoakAbsent {
				lines = append(lines, soakRow(r.Plan, s))
			}
			for _, text := range soakNotes(s) {
				notes.add(soakLabel(r.Plan, s.SoakRun), text)
			}
		}
		if len(lines) > 1 {
			printRows(w, lines, screen.Left, screen.Right, screen.Left, screen.Left, screen.Right, screen.Right, screen.Left, screen.Right, screen.Right)
		}
		printSoakRemarks(w, notes.lines(len(lines)-1))
		printSoakMore(w, r, p)
		printSoakDiffs(w, r, p)
		printAtLevel(w, r, p)
		printSweeps(w, r, p)
	}
}

func soakRow(p *plan.Plan, s review.Soak) []string {
	out := []string{soakLabel(p, s.SoakRun), "–", "", "–", "–", "–", "–", "–", "–"}
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
	if h.Settling.State != thermal.Settled { // of one that is settled the column says all
		texts = append(texts, fmt.Sprintf("%s: %s, %s", h.Name, h.Settling.State, h.Settling.Why))
	}
	if why := h.Heating.FinalC.Why; !h.Heating.FinalC.OK && !strings.Contains(h.Settling.Why, why) {
		texts = append(texts, h.Name+": "+why)
	}
	if h.Hottest != "" {
		texts = append(texts, fmt.Sprintf("%s: the hottest of the group is %s", h.Name, h.Hottest))
	}
	return texts
}

// printSoakStates says in a line a protocol how many of its soaks are there.
func printSoakStates(w io.Writer, r *review.Review) {
	if len(r.Soaks) == 0 {
		return
	}
	fmt.Fprintln(w, "\nSoaks")
	var lines [][]string
	for _, p := range r.Plan.Soaks {
		count := map[review.SoakState]int{}
		all := 0
		for _, s := range r.Soaks {
			if s.Soak == p.Name {
				count[s.State]++
				all++
			}
		}
		words := fmt.Sprintf("%d of %d ready", count[review.SoakReady], all)
		if count[review.SoakReady] == all {
			words = fmt.Sprintf("all %d ready", all)
		}
		for _, state := range []review.SoakState{review.SoakDoubtful, review.SoakAbsent} {
			if n := count[state]; n > 0 {
				words += fmt.Sprintf(", %d %s", n, state)
			}
		}
		lines = append(lines, []string{p.Name, words})
	}
	for _, s := range r.Plan.Sweeps {
		noted, all := sweepSteps(r, s)
		words := fmt.Sprintf("%d of %d steps noted", noted, all)
		if noted == all {
			words = fmt.Sprintf("all %d steps noted", all)
		}
		lines = append(lines, []string{s.Name, words})
	}
	printRows(w, lines, screen.Left, screen.Left)
}

// printSoakTodo lists the soaks to make.
func printSoakTodo(w io.Writer, r *review.Review) {
	if len(r.SoakTodo) == 0 {
		return
	}
	fmt.Fprintf(w, "\nSoaks to make, %s at the bench\n", screen.Duration(r.SoakTimeLeft()))
	for _, t := range r.SoakTodo {
		words := screen.Duration(t.Time + t.Swap + t.Probes)
		switch {
		case t.Swap > 0 && t.Probes > 0:
			words += " with the swap and fixing probes"
		case t.Swap > 0:
			words += " with the swap"
		case t.Probes > 0:
			words += " with fixing probes"
		}
		text := fmt.Sprintf("%s %s, %s: %s", t.Soak, soakName(r.Plan, t.SoakRun), words, strings.Join(t.Why, "; "))
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
	}
}

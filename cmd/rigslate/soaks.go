package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
)

// printSoaks says in the summary what is soaked and swept; readings are noted, so nothing is said of how many there are yet.
func printSoaks(w io.Writer, p *plan.Plan) {
	lead := "Soaks"
	for _, s := range p.Soaks {
		n := len(s.Modes) * s.Repeats
		say(w, lead, fmt.Sprintf("%s: %s of %s, %s each", s.Name, screen.Count(n, "soak", "soaks"), screen.Count(len(s.Modes), "mode", "modes"),
			screen.Duration(s.LeadIn+s.Length+s.Cooling)))
		lead = ""
	}
	if files := len(p.SoakLogs()); files > 0 {
		say(w, "", screen.Count(files, "file", "files")+" to come of them")
	}
	for _, s := range p.Sweeps {
		say(w, lead, fmt.Sprintf("%s: fan sweep of %s in %s, %s each", s.Name, screen.Count(len(s.Modes), "mode", "modes"),
			screen.Count(len(s.StepsPct), "step", "steps"), screen.Duration(s.Hold)))
	}
}

// printCautions follows whatever of the plan asks for care.
func printCautions(w io.Writer, p *plan.Plan) {
	asked := p.Hazards()
	if len(asked) == 0 {
		return
	}
	fmt.Fprintf(w, "\nCautions, since the plan has %s\n", screen.List(asked))
	fmt.Fprintln(w, "  "+screen.Wrap(strings.Join(screen.Cautions, " "), screen.Width-2, "  "))
}

// printWorkCautions puts the cautions under a list of what is to be done at the bench.
func printWorkCautions(w io.Writer, r *review.Review) {
	if len(r.Todo)+len(r.SoakTodo)+len(r.SweepTodo) > 0 {
		printCautions(w, r.Plan)
	}
}

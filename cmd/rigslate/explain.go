package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"
	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/explain"
	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/glossary"
)

func (a *app) explainCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "explain [FIGURE] [PLAN…]",
		Short: "Say what a figure, verdict, state or flag means, with its formula and a worked example",
		Long: "explain says what any figure or word of the screens and tables means: in plain words, with what may be said of it, its\n" +
			"formula, unit and source, the parameters in force, and an example with numbers of the demo review. With a plan the\n" +
			"parameters are the plan's, without one those that hold where a plan says nothing. FIGURE is the name in a table, on a\n" +
			"screen or of a column; case, blanks and hyphens do not matter. Without FIGURE all of them are listed.",
		Example: "  rigslate explain mean_fps\n  rigslate explain 1% low testdata/demo",
		RunE: func(_ *cobra.Command, args []string) error {
			name, plans := splitFigure(args)
			p, err := a.planOf(plans)
			if err != nil {
				return err
			}
			if name == "" {
				return a.listEntries(explain.Entries())
			}
			return a.explain(name, p)
		},
	}
}

// splitFigure tells the figure's name, which may have blanks, from the plans after it: what is there as a file or folder, or looks
// like a path. A plan alone goes with the list.
func splitFigure(args []string) (name string, plans []string) {
	at := 0
	if len(args) > 0 && len(glossary.Find(explain.Entries(), args[0])) > 0 {
		at = 1 // though a folder may have that name
	}
	for ; at < len(args); at++ {
		_, err := os.Stat(args[at])
		if err == nil || strings.HasSuffix(args[at], ".hcl") || strings.ContainsAny(args[at], `/\`) {
			break
		}
	}
	return strings.Join(args[:at], " "), args[at:]
}

// planOf loads the plans whose parameters are asked for, nil for none.
func (a *app) planOf(plans []string) (*plan.Plan, error) {
	if len(plans) == 0 {
		return nil, nil
	}
	o, err := a.options(plans)
	if err != nil {
		return nil, err
	}
	r, err := review.Load(o)
	if err != nil {
		return nil, a.stopped(r, err)
	}
	return r.Plan, nil
}

// entryJSON is an entry as a document.
type entryJSON struct {
	Name       string              `json:"figure"`
	Title      string              `json:"title"`
	Also       []string            `json:"also,omitempty"`
	Group      string              `json:"group"`
	Means      string              `json:"means"`
	Say        string              `json:"say"`
	Formula    string              `json:"formula"`
	Unit       string              `json:"unit"`
	Better     string              `json:"better,omitempty"`
	Averaged   string              `json:"averaged,omitempty"`
	Source     string              `json:"source"`
	Parameters []explain.Parameter `json:"parameters"`
	Example    string              `json:"example"`
	Like       []string            `json:"same_name,omitempty"` // others that the name asked for fits
}

type listJSON struct {
	Name  string `json:"figure"`
	Title string `json:"title"`
	Group string `json:"group"`
	Gist  string `json:"gist"`
}

func (a *app) listEntries(entries []glossary.Entry) error {
	if a.json {
		var all []listJSON
		for _, e := range entries {
			all = append(all, listJSON{e.Name, e.Shown(), string(e.Group), e.Gist()})
		}
		return a.printJSON(all)
	}
	wide := 0
	for _, e := range entries {
		wide = max(wide, runewidth.StringWidth(e.Name))
	}
	for i, e := range entries {
		if i == 0 || e.Group != entries[i-1].Group {
			if i > 0 {
				fmt.Fprintln(a.stdout)
			}
			fmt.Fprintln(a.stdout, e.Group)
		}
		printHanging(a.stdout, screen.Pad(e.Name, wide+2, screen.Left), e.Gist())
	}
	return nil
}

// explain prints the entry of that name. Of several with one name it is the low that the plan shows in tables, else the first; the
// others are named.
func (a *app) explain(name string, p *plan.Plan) error {
	all := explain.Entries()
	found := glossary.Find(all, name)
	if len(found) == 0 {
		hint := "; without a name explain lists all there is"
		if near := glossary.Nearest(all, name); near != "" {
			hint = fmt.Sprintf("; did you mean %q?", near)
		}
		return fmt.Errorf("%w: no figure, verdict, state or flag is called %q%s", errUsage, finding.Printable(name), hint)
	}
	lows := plan.DefaultLows
	if p != nil {
		lows = p.Statistics.Lows
	}
	at := max(0, slices.IndexFunc(found, func(e glossary.Entry) bool { return shownLow(e.Name, lows) }))
	e := found[at]
	var like []string
	for i, other := range found {
		if i != at {
			like = append(like, other.Name)
		}
	}
	if a.json {
		return a.printJSON(entryJSON{e.Name, e.Shown(), e.Also, string(e.Group), e.Means, e.Say, e.Formula, e.Unit, e.Better, e.Averaged, e.Source,
			append([]explain.Parameter{}, explain.Parameters(e.Parameters, p)...), explain.Example(e.Name), like})
	}
	printEntry(a.stdout, e, p, like)
	return nil
}

// shownLow reports whether a metric is a low of the kind.
func shownLow(name, kind string) bool {
	return strings.HasPrefix(name, "low") && strings.HasSuffix(name, "_"+kind+"_fps")
}

// indent is where the parts of an entry begin.
const indent = 14

func printEntry(w io.Writer, e glossary.Entry, p *plan.Plan, like []string) {
	head := e.Name
	if shown := e.Shown(); shown != e.Name {
		head += ", on screens: " + shown
	}
	fmt.Fprintln(w, head)
	fmt.Fprintln(w, "  "+screen.Wrap(e.Means, screen.Width-2, "  "))
	fmt.Fprintln(w)
	formula, unit, better := "Rule", "Said of", ""
	if e.Group.IsNumber() {
		formula, unit, better = "Formula", "Unit", "; better: "+e.Better
	}
	printPart(w, "To say", e.Say)
	printPart(w, formula, e.Formula)
	printPart(w, unit, e.Unit+better)
	printPart(w, "Averaged", e.Averaged)
	printPart(w, "Source", e.Source)
	printParameters(w, explain.Parameters(e.Parameters, p))
	printPart(w, "Example", explain.Example(e.Name))
	if len(like) > 0 {
		fmt.Fprintf(w, "\n  %s\n", screen.Wrap("Also of that name: "+screen.List(like)+".", screen.Width-2, "  "))
	}
}

// printParameters says what each parameter is, by whom, and where it is set.
func printParameters(w io.Writer, in []explain.Parameter) {
	wide := 0
	for _, x := range in {
		wide = max(wide, len(x.Name))
	}
	for i, x := range in {
		name := "In force"
		if i > 0 {
			name = ""
		}
		text := "stated by each plan, in " + x.SetIn
		switch x.From {
		case explain.FromPlan:
			text = finding.Printable(x.Value) + "; by the plan, in " + x.SetIn
		case explain.Standing:
			text = finding.Printable(x.Value) + "; the default, to be set in " + x.SetIn
		}
		printHanging(w, screen.Pad(name, indent-2, screen.Left)+screen.Pad(x.Name, wide+2, screen.Left), text)
	}
}

// printPart prints a part of an entry under its name; one that is not there leaves no line.
func printPart(w io.Writer, name, text string) {
	if text != "" {
		printHanging(w, screen.Pad(name, indent-2, screen.Left), text)
	}
}

// printHanging prints text beside a lead, wrapped under itself.
func printHanging(w io.Writer, lead, text string) {
	lead = "  " + lead
	wide := runewidth.StringWidth(lead)
	fmt.Fprintln(w, lead+strings.ReplaceAll(screen.Wrap(text, screen.Width-wide, ""), "\n", "\n"+strings.Repeat(" ", wide)))
}

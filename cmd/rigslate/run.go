package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/report"
)

func (a *app) runCommand() *cobra.Command {
	var partial bool
	var which string
	c := &cobra.Command{
		Use:   "run PLAN…",
		Short: "Do everything: check, read, compute, show the tables, write the draft, publish an edition when ready",
		Long: "run reads the plan and every capture, works out all figures, prints a table for each game and resolution, writes the\n" +
			"draft beside the plan, and publishes an edition to the archive if the review is ready. An edition appears whole or not\n" +
			"at all and never changes; running again with nothing new says so.",
		Example: "  rigslate run testdata/demo",
		Args:    atLeast(1, "a plan's file or folder"),
		RunE: func(c *cobra.Command, args []string) error {
			o, err := a.options(args)
			if err != nil {
				return err
			}
			o.Record, o.Keep, o.Partial = true, true, partial
			if o.Charts, err = chosenCharts(which); err != nil {
				return err
			}
			r, err := review.Do(c.Context(), o)
			if r == nil || !r.Finished() {
				return a.stopped(r, err)
			}
			if a.json {
				if err := a.printJSON(runDocument(r)); err != nil {
					return err
				}
			} else {
				a.printRun(a.stdout, r, o)
			}
			return outcome(r, err)
		},
	}
	c.Flags().BoolVar(&partial, "partial", false, "publish an edition although the review is not ready")
	chartsFlag(c, &which)
	return c
}

func (a *app) printRun(w io.Writer, r *review.Review, o review.Options) {
	printTables(w, r)
	printPowerTables(w, r)
	printSoakTables(w, r)
	printSummaries(w, r)
	printWorth(w, r)
	printFacts(w, r)
	printTogether(w, r)
	printMethod(w, r)
	printClaims(w, r)
	if !r.Ready {
		fmt.Fprintln(w)
		newGrid(r.Plan, judgements(r), a.chooseSigns(), false).print(w, r.Plan.Resolutions)
		printTodo(w, r)
		printSoakTodo(w, r)
		printSweepTodo(w, r)
		printWorkCautions(w, r)
	}
	printAside(w, r)
	printFindings(w, r)
	fmt.Fprintln(w)
	fmt.Fprintln(w, screen.Wrap(headline(r, o.Now), screen.Width, "  "))
	printKept(w, r, o)
}

// printWritten says which files of the report are others than before, since what an editor's timeline links to is read again then, and which
// are gone.
func printWritten(to io.Writer, w report.Written) {
	printFiles(to, w.Changed, "changed")
	printFiles(to, w.Removed, "of an earlier report removed, which said what is withheld")
	if len(w.Unknown) > 0 {
		fmt.Fprintln(to, "         "+screen.Wrap("No chart has the name "+strings.Join(w.Unknown, " or ")+", by which PNG was asked for. Names are those of the files in report/charts.",
			screen.Width-9, "         "))
	}
}

func printFiles(w io.Writer, names []string, what string) {
	if len(names) == 0 {
		return
	}
	const few = 8
	n := len(names)
	if n > few {
		names = append(slices.Clone(names[:few]), fmt.Sprintf("%d more", n-few))
	}
	fmt.Fprintln(w, "         "+screen.Wrap(screen.Count(n, "file", "files")+" "+what+": "+screen.List(names), screen.Width-9, "         "))
}

func printKept(w io.Writer, r *review.Review, o review.Options) {
	k := r.Kept
	if k.Draft != "" {
		fmt.Fprintf(w, "Draft    %s\n", k.Draft)
	}
	if k.Report != "" {
		fmt.Fprintf(w, "Report   %s\n", k.Report)
		printWritten(w, report.Written{Changed: k.Changed, Removed: k.Removed, Unknown: k.UnknownCharts})
		printWithheld(w, r.Plan.Discretion(), o.Now)
	}
	switch {
	case k.Edition == "" && (r.Ready || o.Partial):
		fmt.Fprintln(w, "Archive  nothing published: the reason stands in the error message")
	case k.Edition == "":
		fmt.Fprintln(w, "Archive  nothing published: the review is not ready (--partial publishes all the same)")
	case k.Already:
		fmt.Fprintf(w, "Archive  %s is already published, nothing changed\n         %s\n", k.Edition, k.Folder)
	default:
		fmt.Fprintf(w, "Archive  %s published\n         %s\n", k.Edition, k.Folder)
	}
}

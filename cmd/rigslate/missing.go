package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

func (a *app) missingCommand() *cobra.Command {
	var all bool
	c := &cobra.Command{
		Use:   "missing PLAN…",
		Short: "Compare the matrix with the captures: what is ready, what to run again and how long that takes",
		Long: "missing reads every capture that belongs to the plan, checks it, and draws the coverage of the matrix: one block a\n" +
			"resolution, one sign a cell. Below stands what to do at the bench, in the order to do it, with the figure that failed\n" +
			"and the time it takes. The first sight of a capture is recorded in ledger/ beside the plan.",
		Example: "  rigslate missing testdata/demo-unready",
		Args:    atLeast(1, "a plan's file or folder"),
		RunE: func(c *cobra.Command, args []string) error {
			o, err := a.options(args)
			if err != nil {
				return err
			}
			o.Record = true
			r, err := review.Do(c.Context(), o)
			if r == nil || !r.Finished() {
				return a.stopped(r, err)
			}
			if a.json {
				if err := a.printJSON(missingDocument(r)); err != nil {
					return err
				}
			} else {
				a.printMissing(a.stdout, r, o.Now, all)
			}
			return outcome(r, err)
		},
	}
	c.Flags().BoolVar(&all, "all", false, "show finished rows and resolutions cell by cell too")
	return c
}

// outcome turns a finished review into the command's error: a fault of the run first, then files that cannot be used, then a
// review that is not ready.
func outcome(r *review.Review, err error) error {
	switch {
	case err != nil && err != review.ErrInput: // it has something to say that no screen has said
		return err
	case err != nil:
		return errInput
	case !r.Ready:
		return errNotReady
	}
	return nil
}

func (a *app) printMissing(w io.Writer, r *review.Review, now time.Time, all bool) {
	fmt.Fprintln(w, screen.Wrap(headline(r, now), screen.Width, "  "))
	fmt.Fprintln(w)
	newGrid(r.Plan, judgements(r), a.chooseSigns(), all).print(w, r.Plan.Resolutions)
	printSoakStates(w, r)
	printTodo(w, r)
	printSoakTodo(w, r)
	printSweepTodo(w, r)
	printWorkCautions(w, r)
	printReword(w, r)
	printAside(w, r)
	printFindings(w, r)
}

func judgements(r *review.Review) []coverage.Judgement {
	out := make([]coverage.Judgement, len(r.Cells))
	for i, c := range r.Cells {
		out[i] = c.Judgement
	}
	return out
}

// headline is the one sentence to read if only one is read.
func headline(r *review.Review, now time.Time) string {
	var b strings.Builder
	open := 0
	for _, c := range r.Cells {
		if !c.State.Done() {
			open++
		}
	}
	p := r.Plan
	switch {
	case r.Ready:
		fmt.Fprintf(&b, "%s: ready. All %s done.", p.Review.Name, screen.Count(len(r.Cells), "cell is", "cells are"))
	case open == 0 && len(r.Contradicted()) > 0:
		fmt.Fprintf(&b, "%s: not ready. Every cell is done, but the data contradict %s.", p.Review.Name, contradicted(r))
	case open == 0 && len(r.SoakTodo)+len(r.SweepTodo) > 0:
		fmt.Fprintf(&b, "%s: not ready. Every cell is done.", p.Review.Name)
	case open == 0:
		fmt.Fprintf(&b, "%s: not ready. Every cell is done, but the findings hold errors.", p.Review.Name)
	default:
		needs := "needs"
		if open > 1 {
			needs = "need"
		}
		fmt.Fprintf(&b, "%s: not ready. %d of %s %s %s, %s at the bench", p.Review.Name, open, screen.Count(len(r.Cells), "cell", "cells"),
			needs, screen.Count(r.PassesLeft(), "pass", "passes"), screen.Duration(r.TimeLeft()))
		if card, leaves := firstToLeave(r); !leaves.IsZero() {
			if leaves.Before(now) {
				fmt.Fprintf(&b, "; %s left on %s", card, leaves.Format("2006-01-02"))
			} else {
				fmt.Fprintf(&b, "; %s leaves in %s", card, screen.Until(leaves.Sub(now)))
			}
		}
		b.WriteByte('.')
	}
	if n := len(r.SoakTodo); n > 0 {
		fmt.Fprintf(&b, " Soaks to make: %d of %d, %s at the bench.", n, len(r.Soaks), screen.Duration(r.SoakTimeLeft()))
	}
	if len(r.SweepTodo) > 0 {
		n := 0
		for _, t := range r.SweepTodo {
			n += len(t.StepsPct)
		}
		fmt.Fprintf(&b, " Fan sweeps: %s to note, %s at the bench.", screen.Count(n, "step", "steps"), screen.Duration(r.SweepTimeLeft()))
	}
	if open > 0 && len(r.Contradicted()) > 0 {
		fmt.Fprintf(&b, " The data contradict %s.", contradicted(r))
	}
	if due := p.Review.Due; !due.IsZero() {
		if due.Before(now) {
			fmt.Fprintf(&b, " Filming was due %s.", due.Format("2006-01-02"))
		} else {
			fmt.Fprintf(&b, " Filming in %s.", screen.Until(due.Sub(now)))
		}
	}
	return b.String()
}

func contradicted(r *review.Review) string {
	var names []string
	for _, c := range r.Contradicted() {
		names = append(names, c.Name)
	}
	lead := "the claim "
	if len(names) > 1 {
		lead = "the claims "
	}
	return lead + screen.List(names)
}

func firstToLeave(r *review.Review) (card string, leaves time.Time) {
	for _, t := range r.Todo {
		if !t.Leaves.IsZero() && (leaves.IsZero() || t.Leaves.Before(leaves)) {
			card, leaves = t.Cell.Card, t.Leaves
		}
	}
	return card, leaves
}

// printAside names every file that counts for nothing, with the reason.
func printAside(w io.Writer, r *review.Review) {
	var rows []string
	for _, p := range r.Passes {
		switch p.Status {
		case review.Void, review.Superseded:
			rows = append(rows, fmt.Sprintf("%s: %s, %s pass %d: %s", p.Status, p.File.Path, p.Key, p.Repeat, p.StatusReason))
		case review.Unusable:
			rows = append(rows, fmt.Sprintf("cannot be used: %s, %s", p.File.Path, p.Key))
		}
	}
	for _, s := range r.Strays {
		rows = append(rows, "belongs to nothing: "+s.String())
	}
	if n := r.Other.Count; n > 0 {
		rows = append(rows, fmt.Sprintf("%s not read, no pattern asks for %s: %s", screen.Count(n, "other file", "other files"),
			map[bool]string{true: "it", false: "them"}[n == 1], abbreviated(r.Other.Names, n)))
	}
	for _, c := range r.Cells {
		if failed := r.FailuresOf(c); len(failed) > 0 && c.State != coverage.Failed {
			rows = append(rows, fmt.Sprintf("did not end well: %s: %s", c.Cell.Key, reasons(failed)))
		}
		if c.State == coverage.Vouched || c.State == coverage.Failed {
			rows = append(rows, fmt.Sprintf("%s: %s: %s", stateWords[c.State], c.Cell.Key, reasons(c.Why)))
		}
	}
	if len(rows) == 0 {
		return
	}
	fmt.Fprintln(w, "\nAside")
	for _, row := range rows {
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(row), screen.Width-2, "    "))
	}
}

func abbreviated(names []string, n int) string {
	s := strings.Join(names, ", ")
	if n > len(names) {
		s += " …"
	}
	return s
}

func printFindings(w io.Writer, r *review.Review) {
	if len(r.Findings) == 0 {
		return
	}
	fmt.Fprintln(w, "\nFindings")
	_ = finding.Print(w, r.Findings) // stdout is written to, or the whole command is in vain
}

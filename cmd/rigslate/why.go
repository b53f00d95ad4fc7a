package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/agext/levenshtein"
	"github.com/spf13/cobra"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

func (a *app) whyCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "why PLAN… CELL",
		Short: "Show every pass of a cell with its figures, its checks and what failed",
		Long: "why shows one cell pass by pass. CELL is the card, its mode, the game, its variant and the resolution, by their names\n" +
			"in the plan, in any order; a mode or variant may be left out where there is only one.",
		Example: "  rigslate why testdata/demo heron_x.tuned fjord.plain uhd",
		Args:    atLeast(2, "a plan's file or folder and a cell"),
		RunE: func(c *cobra.Command, args []string) error {
			plans, words := splitArgs(args)
			if len(plans) == 0 {
				return fmt.Errorf("%w: none of %s is a plan's file or folder", errUsage, strings.Join(args, ", "))
			}
			o, err := a.options(plans)
			if err != nil {
				return err
			}
			loaded, err := review.Load(o)
			if err != nil {
				return a.stopped(loaded, err)
			}
			for i, w := range words {
				words[i] = loaded.Veil.String(w) // a card may be asked for by its name
			}
			key, err := findCell(loaded.Plan, words)
			if err != nil {
				return err
			}
			r, err := review.Do(c.Context(), o)
			if r == nil || !r.Finished() {
				return a.stopped(r, err)
			}
			return a.why(r, key)
		},
	}
}

// splitArgs tells plans from the words of the cell: a plan is there as a file or folder.
func splitArgs(args []string) (plans, words []string) {
	for i, s := range args {
		if _, err := os.Stat(s); err == nil && (i == 0 || strings.HasSuffix(s, ".hcl") || strings.ContainsAny(s, `/\\`)) {
			plans = append(plans, s)
		} else {
			words = append(words, s)
		}
	}
	return plans, words
}

// findCell reads a cell from words in any order, with dots, middle dots or blanks between names.
func findCell(p *plan.Plan, words []string) (plan.Key, error) {
	names := strings.FieldsFunc(strings.Join(words, " "), func(r rune) bool { return r == '.' || r == '·' || r == ' ' })
	known := map[string]bool{}
	var fit []plan.Key
	for _, c := range p.Cells {
		parts := []string{c.Card, c.Mode, c.Game, c.Variant, c.Resolution}
		for _, s := range parts {
			known[s] = true
		}
		if slices.ContainsFunc(names, func(n string) bool { return !slices.Contains(parts, n) }) {
			continue
		}
		fit = append(fit, c.Key)
	}
	for _, n := range names {
		if !known[n] {
			return plan.Key{}, fmt.Errorf("%w: no card, mode, game, variant or resolution of the matrix is called %q%s", errUsage, n, nearest(n, known))
		}
	}
	switch len(fit) {
	case 1:
		return fit[0], nil
	case 0:
		return plan.Key{}, fmt.Errorf("%w: the matrix has no cell %s", errUsage, strings.Join(names, " "))
	}
	var some []string
	for _, k := range fit[:min(len(fit), 6)] {
		some = append(some, k.String())
	}
	if len(fit) > len(some) {
		some = append(some, fmt.Sprintf("%d more", len(fit)-len(some)))
	}
	return plan.Key{}, fmt.Errorf("%w: %s names %d cells, say which: %s", errUsage, strings.Join(names, " "), len(fit), screen.List(some))
}

func nearest(name string, known map[string]bool) string {
	best, at := "", 3
	for k := range known {
		if d := levenshtein.Distance(name, k, nil); d < at || d == at && best != "" && k < best {
			best, at = k, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", best)
}

func (a *app) why(r *review.Review, k plan.Key) error {
	i := slices.IndexFunc(r.Cells, func(c review.Cell) bool { return c.Cell.Key == k })
	c := r.Cells[i]
	if a.json {
		return a.printJSON(whyDocument(r, c))
	}
	w := a.stdout
	fmt.Fprintf(w, "%s: %s, %d of %s\n", k, stateWords[c.State], c.Judgement.Passes, screen.Count(c.Cell.Repeats, "pass", "passes"))
	for _, reason := range c.Why {
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(reasons([]coverageReason{reason})), screen.Width-2, "    "))
	}
	for _, f := range c.Flags {
		fmt.Fprintln(w, "  "+screen.Wrap(flagLine(f), screen.Width-2, "    "))
	}
	if c.NotReused != "" {
		fmt.Fprintln(w, "  "+screen.Wrap("not reused: "+finding.Printable(c.NotReused), screen.Width-2, "    "))
	}
	printPassTable(w, r, c)
	printChecks(w, r, c)
	printCellTable(w, r, c)
	printBudgets(w, r, c)
	if own := findingsOf(r, c); len(own) > 0 {
		fmt.Fprintln(w, "\nFindings")
		return finding.Print(w, own)
	}
	return nil
}

// findingsOf are the findings on the captures of a cell.
func findingsOf(r *review.Review, c review.Cell) (own finding.List) {
	for _, f := range r.Findings {
		if slices.ContainsFunc(c.Passes, func(i int) bool { return r.Passes[i].Holds(f.Place.File) }) {
			own = append(own, f)
		}
	}
	return own
}

func flagLine(f review.Flag) string {
	if len(f.With) == 0 {
		return flagText(f)
	}
	return flagText(f) + ": " + screen.List(f.With)
}

// printPassTable sets the passes side by side, a line a figure.
func printPassTable(w io.Writer, r *review.Review, c review.Cell) {
	if len(c.Passes) == 0 {
		return
	}
	for at := 0; at < len(c.Passes); at += passesAbreast {
		some := c.Passes[at:min(len(c.Passes), at+passesAbreast)]
		rows := passHead(r, some)
		for _, m := range compute.Metrics() {
			if !r.Senses(m) {
				continue
			}
			line := []string{m.Title, m.Unit}
			for _, i := range some {
				line = append(line, metricText(m, r.Passes[i]))
			}
			rows = append(rows, line)
		}
		fmt.Fprintln(w)
		aligns := []screen.Align{screen.Left, screen.Left}
		for range some {
			aligns = append(aligns, screen.Right)
		}
		printRows(w, rows, aligns...)
	}
	for _, i := range c.Passes {
		p := r.Passes[i]
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(passFacts(p)), screen.Width-2, "    "))
		if text := sensorFacts(p); text != "" {
			fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(text), screen.Width-4, "      "))
		}
	}
}

// passesAbreast is how many passes stand side by side.
const passesAbreast = 5

func passHead(r *review.Review, some []int) [][]string {
	head, status, kept := []string{"", ""}, []string{"status", ""}, []string{"kept of all frames", ""}
	for _, i := range some {
		p := r.Passes[i]
		head = append(head, "pass "+strconv.Itoa(p.Repeat))
		status = append(status, string(p.Status))
		kept = append(kept, fmt.Sprintf("%d of %d", p.Frames-p.Cut, p.Frames))
	}
	return [][]string{head, status, kept}
}

func metricText(m compute.Metric, p review.Pass) string {
	if p.Figures == nil {
		return "–"
	}
	if m.Scale == compute.Count {
		return number(m.Of(p.Figures), 0)
	}
	return number(m.Of(p.Figures), m.Decimals)
}

// passFacts says under what circumstances a pass was made, and what is only assumed.
func passFacts(p review.Pass) string {
	parts := []string{fmt.Sprintf("pass %d: %s", p.Repeat, p.File.Path)}
	if u := p.Reused; u != nil {
		parts = append(parts, fmt.Sprintf("reused from %s, edition %s, made %s", u.Review, u.Edition, u.Made.Format(time.DateOnly)))
	}
	if p.StatusReason != "" {
		parts = append(parts, p.StatusReason)
	}
	if p.Err != nil {
		parts = append(parts, p.Err.Error())
	}
	for _, f := range []struct{ name, value string }{
		{"driver", p.Facts.Driver}, {"build", p.Facts.Build}, {"firmware", p.Facts.Firmware},
		{"session", p.Facts.Session}, {"launch", p.Facts.Launch},
	} {
		if f.value != "" {
			parts = append(parts, f.name+" "+f.value)
		}
	}
	if p.Facts.Launch == "" && p.Figures != nil {
		parts = append(parts, "launch assumed to be its own")
	}
	if p.Facts.Session == "" && p.Figures != nil {
		parts = append(parts, "session assumed")
	}
	if p.BadLines > 0 {
		parts = append(parts, screen.Count(p.BadLines, "bad line", "bad lines"))
	}
	if p.OtherRows > 0 {
		parts = append(parts, screen.Count(p.OtherRows, "row", "rows")+" of other programs left out")
	}
	return strings.Join(parts, ", ")
}

package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// printTables prints one table for each game and variant at each resolution, best first.
func printTables(w io.Writer, r *review.Review) {
	base := r.Plan.Review.Baseline
	low, _ := compute.MetricByName(lowMetric(r.Plan.Statistics.Lows))
	fmt.Fprintf(w, "fps         mean frame rate, with its 95 %% interval\n1 %% low     %s, in fps\ndifference  of the mean from %s, with its 95 %% interval\n",
		low.Formula, base)
	for _, g := range r.Plan.Games {
		for _, v := range g.Variants {
			for _, res := range r.Plan.Resolutions {
				printTable(w, r, plan.GameVariant{Game: g.Name, Variant: v.Name}, res)
			}
		}
	}
}

func lowMetric(kind string) string { return "low1_" + kind + "_fps" }

// row is one card and mode in a table.
type row struct {
	cell review.Cell
	mean compute.CellStat
}

func printTable(w io.Writer, r *review.Review, gv plan.GameVariant, res plan.Resolution) {
	var rows []row
	for _, c := range r.Cells {
		if c.Cell.GameVariant() == gv && c.Cell.Resolution == res.Name {
			mean, _ := c.Stat("mean_fps")
			rows = append(rows, row{c, mean})
		}
	}
	if len(rows) == 0 {
		return
	}
	slices.SortStableFunc(rows, func(a, b row) int { return cmp.Compare(b.mean.Mean.X, a.mean.Mean.X) })
	game, _ := r.Plan.Game(gv.Game)
	name := gv.Game
	if len(game.Variants) > 1 {
		name = gv.String()
	}
	fmt.Fprintf(w, "\n%s  %s %d×%d\n", name, res.Name, res.Width, res.Height)
	lines := [][]string{{"", "", "fps", "95 % interval", "1 % low", "difference", "95 % interval", "", ""}}
	var without []row
	for _, x := range rows {
		if x.mean.Mean.OK {
			lines = append(lines, tableRow(r, x))
		} else {
			without = append(without, x)
		}
	}
	if len(lines) > 1 {
		printRows(w, lines, screen.Left, screen.Left, screen.Right, screen.Left, screen.Right, screen.Right, screen.Left, screen.Left, screen.Left)
	}
	for _, x := range without {
		why := x.cell.Cell.CardMode().String() + " " + stateWords[x.cell.State]
		if len(x.cell.Why) > 0 {
			why += ": " + finding.Printable(reasons(x.cell.Why))
		}
		fmt.Fprintln(w, "  "+screen.Wrap(why, screen.Width-2, "    "))
	}
	printFlags(w, rows)
}

// tableRow is the line of a card with figures.
func tableRow(r *review.Review, x row) []string {
	k := x.cell.Cell.Key
	low, _ := x.cell.Stat(lowMetric(r.Plan.Statistics.Lows))
	out := []string{screen.Shorten(k.Card, 16), screen.Shorten(k.Mode, 10), screen.Number(x.mean.Mean.X, 1), interval(x.mean.Low, x.mean.High, 1),
		number(low.Mean, 1)}
	notes := strings.Join(words(x), ", ")
	if k.CardMode() == r.Plan.Review.Baseline {
		return append(out, "", "", "baseline", notes)
	}
	d, ok := r.Against(k, r.Plan.Review.Baseline, "mean_fps")
	if !ok {
		return append(out, "", "", "no baseline", notes)
	}
	percent := "–"
	if d.Percent.OK {
		percent = screen.Signed(d.Percent.X, 1) + " %"
	}
	return append(out, percent, percentInterval(d), cmp.Or(string(d.Verdict), "no verdict"), notes)
}

// percentInterval gives the interval of a difference. One that leaves out 0 must not look as if it touched it.
func percentInterval(d review.Comparison) string {
	s := interval(d.Low, d.High, 1)
	if resolved := d.Verdict == compute.Ahead || d.Verdict == compute.Behind; resolved && (strings.Contains(s, "[0.0,") || strings.Contains(s, " 0.0]")) {
		return interval(d.Low, d.High, 2)
	}
	return s
}

// words are the flags of a row, each once.
func words(x row) (out []string) {
	if !x.cell.State.Done() || x.cell.State == coverage.Vouched {
		out = append(out, stateWords[x.cell.State])
	}
	for _, f := range x.cell.Flags {
		if word := strings.ReplaceAll(f.Word, "_", " "); !slices.Contains(out, word) {
			out = append(out, word)
		}
	}
	return out
}

// printFlags explains under a table what stands against its rows, and what each flag means there: one line a flag, so that a
// word in the table is looked up once.
func printFlags(w io.Writer, rows []row) {
	say := func(text string) {
		fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(text), screen.Width-4, "      "))
	}
	names := map[string][]string{}
	var order []string
	for _, x := range rows {
		name := x.cell.Cell.CardMode().String()
		if x.mean.Mean.OK && (!x.cell.State.Done() || x.cell.State == coverage.Vouched) {
			say(name + " " + stateWords[x.cell.State] + ": " + reasons(x.cell.Why))
		}
		for _, f := range x.cell.Flags {
			key := flagText(f)
			if names[key] == nil {
				order = append(order, key)
			}
			names[key] = append(names[key], name)
		}
	}
	for _, key := range order {
		say(key + ": " + strings.Join(names[key], ", "))
	}
}

func flagText(f review.Flag) string { return strings.ReplaceAll(f.Word, "_", " ") + ", " + f.Text }

func interval(low, high compute.Value, decimals int) string {
	if !low.OK || !high.OK {
		return ""
	}
	return "[" + screen.Number(low.X, decimals) + ", " + screen.Number(high.X, decimals) + "]"
}

func number(v compute.Value, decimals int) string {
	if !v.OK {
		return "–"
	}
	return screen.Number(v.X, decimals)
}

// printNotes says what holds for all tables: how many verdicts may be chance, what is only assumed, what is not judged.
func printNotes(w io.Writer, r *review.Review) {
	counts := map[compute.Verdict]int{}
	verdicts := 0
	sources := map[string]bool{}
	for _, d := range r.Comparisons {
		if d.Metric.Name != "mean_fps" || d.Base.CardMode() != r.Plan.Review.Baseline {
			continue
		}
		counts[d.Verdict]++
		if d.Verdict != "" && d.Verdict != compute.Single {
			verdicts++
			sources[d.SessionSpread.Source] = true
		}
	}
	s := r.Plan.Statistics
	var notes []string
	if verdicts > 0 {
		notes = append(notes, fmt.Sprintf("%d verdicts: %d ahead, %d behind, %d level within %g %%, %d unresolved; about %.1f of them may be chance.",
			verdicts, counts[compute.Ahead], counts[compute.Behind], counts[compute.Level], s.MarginPct, counts[compute.Unresolved], 0.05*float64(verdicts)))
	}
	if sources["plan"] {
		notes = append(notes, fmt.Sprintf("Session spread %g %%, from the plan: what mounting a card again moves. Each interval is the cell's own spread.", s.SpreadPct))
	}
	launches, sessions := 0, 0
	for _, p := range r.Passes {
		if p.Status == review.Used && p.Facts.Launch == "" {
			launches++
		}
		if p.Status == review.Used && p.Facts.Session == "" {
			sessions++
		}
	}
	if launches > 0 {
		notes = append(notes, fmt.Sprintf("Launch assumed: nothing says which launch %s were made in; each counts as a launch of its own.", screen.Count(launches, "pass", "passes")))
	}
	if sessions > 0 {
		notes = append(notes, fmt.Sprintf("Session assumed: nothing says which session %s were made in; all of a card and mode count as one.", screen.Count(sessions, "pass", "passes")))
	}
	if n := len(r.Plan.Claims); n > 0 {
		notes = append(notes, fmt.Sprintf("%s in the plan: checked and archived, not judged yet.", screen.Count(n, "claim stands", "claims stand")))
	}
	if len(notes) > 0 {
		fmt.Fprintln(w)
	}
	for _, n := range notes {
		fmt.Fprintln(w, screen.Wrap(n, screen.Width, "  "))
	}
}

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
	fmt.Fprintf(w, "\n%s  %s %d×%d%s\n", name, res.Name, res.Width, res.Height, countsOf(rows))
	n := notesOf(r, rows)
	lines := [][]string{{"", "", "fps", "95 % interval", "1 % low", "difference", "95 % interval", "", ""}}
	var without []row
	for _, x := range rows {
		if x.mean.Mean.OK {
			lines = append(lines, append(tableRow(r, x), n.letters(x)))
		} else {
			without = append(without, x)
		}
	}
	if len(lines) > 1 {
		printRows(w, lines, screen.Left, screen.Left, screen.Right, screen.Left, screen.Right, screen.Right, screen.Left, screen.Left, screen.Left)
	}
	n.print(w)
	for _, line := range withoutFigures(without) {
		fmt.Fprintln(w, "  "+screen.Wrap(line, screen.Width-2, "    "))
	}
}

// countsOf says on how many passes and launches the rows of a table rest; where they differ, from the fewest to the most.
func countsOf(rows []row) string {
	var passes, launches []int
	for _, x := range rows {
		if x.mean.Mean.OK {
			passes, launches = append(passes, x.mean.N), append(launches, x.mean.Launches)
		}
	}
	if len(passes) == 0 {
		return ""
	}
	span := func(ns []int, one, many string) string {
		low, high := slices.Min(ns), slices.Max(ns)
		if low == high {
			return screen.Count(low, one, many)
		}
		return fmt.Sprintf("%d to %d %s", low, high, many)
	}
	return "  " + span(passes, "pass", "passes") + " in " + span(launches, "launch", "launches") + " each"
}

// withoutFigures says why cards have no line in the table, once for all of whom the same is true.
func withoutFigures(rows []row) (lines []string) {
	names := map[string][]string{}
	var order []string
	for _, x := range rows {
		key := stateWords[x.cell.State]
		if x.cell.State != coverage.Absent {
			key += ", " + finding.Printable(reasons(x.cell.Why))
		}
		if names[key] == nil {
			order = append(order, key)
		}
		names[key] = append(names[key], x.cell.Cell.CardMode().String())
	}
	for _, key := range order {
		lines = append(lines, key+": "+strings.Join(names[key], ", "))
	}
	return lines
}

// tableRow is the line of a card with figures, save for its notes. Where passes are missing or doubtful the state stands in the
// place of the verdict: nobody should read out one that may not hold.
func tableRow(r *review.Review, x row) []string {
	k := x.cell.Cell.Key
	low, _ := x.cell.Stat(lowMetric(r.Plan.Statistics.Lows))
	out := []string{screen.Shorten(k.Card, 16), screen.Shorten(k.Mode, 10), screen.Number(x.mean.Mean.X, 1), interval(x.mean.Low, x.mean.High, 1),
		number(low.Mean, 1)}
	if k.CardMode() == r.Plan.Review.Baseline {
		return append(out, "", "", "baseline")
	}
	d, ok := r.Against(k, r.Plan.Review.Baseline, "mean_fps")
	if !ok {
		return append(out, "", "", "no baseline")
	}
	percent := "–"
	if d.Percent.OK {
		percent = screen.Signed(d.Percent.X, 1) + " %"
	}
	verdict := heldVerdict(d)
	switch {
	case !x.cell.State.Holds():
		verdict = stateWords[x.cell.State]
	case !d.Holds:
		verdict = "open"
	case d.Verdict == "":
		verdict = "no verdict"
	}
	return append(out, percent, percentInterval(d), verdict)
}

func percentInterval(d review.Comparison) string { return resolvedInterval(d.Low, d.High, d.Verdict) }

// resolvedInterval gives the interval of a difference. One that leaves out 0 must not look as if it touched it, nor one that holds 0
// as if it did not.
func resolvedInterval(low, high compute.Value, v compute.Verdict) string {
	s := interval(low, high, 1)
	if sided := v == compute.Ahead || v == compute.Behind || v == compute.Unresolved; sided && (strings.Contains(s, "[0.0,") || strings.Contains(s, " 0.0]")) {
		return interval(low, high, 2)
	}
	return s
}

// flagText is a flag with its text; some texts begin with it.
func flagText(f review.Flag) string {
	word := strings.ReplaceAll(string(f.Word), "_", " ")
	if strings.HasPrefix(f.Text, word) {
		return f.Text
	}
	return word + ", " + f.Text
}

func interval(low, high compute.Value, decimals int) string {
	if !low.OK || !high.OK {
		return ""
	}
	from, to := screen.Number(low.X, decimals), screen.Number(high.X, decimals)
	for more := 1; from == to && low.X < high.X && more <= 4; more++ { // a width must not look like none
		from, to = screen.Number(low.X, decimals+more), screen.Number(high.X, decimals+more)
	}
	return "[" + from + ", " + to + "]"
}

func number(v compute.Value, decimals int) string {
	if !v.OK {
		return "–"
	}
	return screen.Number(v.X, decimals)
}

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
	"github.com/rigslate/rigslate/plan/finding"
)

// printSummaries prints the headline of each resolution and group: every card and mode against the baseline over the games.
func printSummaries(w io.Writer, r *review.Review) {
	var all []review.Summary
	for _, s := range r.Summaries {
		if s.Metric.Name == "mean_fps" {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\nOver the games, against %s: geometric mean of the ratios of mean frame rates\n", r.Plan.Review.Baseline)
	if text := r.ReusedFrom(); text != "" {
		fmt.Fprintln(w, "  "+screen.Wrap("Passes "+text+". What changed since and nobody recorded is in no interval.", screen.Width-2, "  "))
	}
	for len(all) > 0 {
		n := slices.IndexFunc(all, func(s review.Summary) bool { return s.Group != all[0].Group || s.Resolution != all[0].Resolution })
		if n < 0 {
			n = len(all)
		}
		printSummary(w, all[:n])
		all = all[n:]
	}
}

// printSummary prints one group at one resolution, best first.
func printSummary(w io.Writer, all []review.Summary) {
	fmt.Fprintf(w, "\n%s at %s\n", groupTitle(all[0].Group), all[0].Resolution)
	all = slices.Clone(all)
	slices.SortStableFunc(all, func(a, b review.Summary) int { return cmp.Compare(b.Ratio.X, a.Ratio.X) })
	lines := [][]string{{"", "", "games", "difference", "for these games", "for games like these", "", "led", "level", "trailed"}}
	for _, s := range all {
		lines = append(lines, summaryRow(s))
	}
	printRows(w, lines, screen.Left, screen.Left, screen.Right, screen.Right, screen.Left, screen.Left, screen.Left,
		screen.Right, screen.Right, screen.Right)
	for _, s := range all {
		if notes := summaryNotes(s); len(notes) > 0 {
			fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(s.Of.String()+": "+strings.Join(notes, "; ")), screen.Width-4, "      "))
		}
	}
}

func groupTitle(group string) string {
	if group == review.AllGames {
		return "all games"
	}
	return finding.Printable(group)
}

func summaryRow(s review.Summary) []string {
	percent := "–"
	if s.Percent.OK {
		percent = screen.Signed(s.Percent.X, 1) + " %"
	}
	out := []string{screen.Shorten(s.Of.Card, 16), screen.Shorten(s.Of.Mode, 10), fmt.Sprint(s.Games), percent,
		resolvedInterval(s.TheseLow, s.TheseHigh, s.Verdict), interval(s.LikeLow, s.LikeHigh, 1), cmp.Or(string(s.Verdict), "no verdict")}
	return append(out, fmt.Sprint(s.Leads), fmt.Sprint(s.Levels), fmt.Sprint(s.Trails))
}

// summaryNotes says between which games a headline lies, what was left out of it, and why there is none.
func summaryNotes(s review.Summary) (out []string) {
	if s.Games > 1 && s.Most.By.OK && s.Least.By.OK {
		out = append(out, fmt.Sprintf("from %s %% in %s to %s %% in %s", screen.Signed(s.Least.By.X, 1), s.Least.Game,
			screen.Signed(s.Most.By.X, 1), s.Most.Game))
	}
	why := map[string][]string{}
	var order []string
	for _, x := range s.LeftOut {
		if why[x.Why] == nil {
			order = append(order, x.Why)
		}
		name := x.Cell.GameVariant().String()
		if x.By.OK {
			name += " (" + screen.Signed(x.By.X, 1) + " %)"
		}
		why[x.Why] = append(why[x.Why], name)
	}
	for _, reason := range order {
		out = append(out, fmt.Sprintf("left out, %s: %s", reason, screen.List(why[reason])))
	}
	for _, w := range s.Flags {
		out = append(out, flagPhrase(w))
	}
	if s.Why != "" {
		out = append(out, "no verdict: "+s.Why)
	}
	return out
}

// flagPhrases are the flags that do not speak for themselves where no figure stands beside them.
var flagPhrases = map[compute.Flag]string{
	compute.FlagThin:       "thin, a low rests on fewer than 5 frames",
	compute.FlagSingle:     "single, a side has one launch",
	compute.FlagUnbalanced: "unbalanced, a side has fewer than 3 launches and the other more",
	compute.FlagIdentical:  "identical, the passes do not vary at all",
	compute.FlagLooks:      "looks, the interval pays for looking several times",
	review.FlagReused:      "with reused passes",
}

// flagPhrase gives a flag as it stands in a sentence.
func flagPhrase(w compute.Flag) string {
	return cmp.Or(flagPhrases[w], strings.ReplaceAll(string(w), "_", " "))
}

// phraseOf is flagPhrase, with the day of reused passes.
func phraseOf(r *review.Review, w compute.Flag) string {
	if w == review.FlagReused {
		return r.ReusedFrom()
	}
	return flagPhrase(w)
}

// printClaims prints each claim with its verdict, its figures and what may be said instead.
func printClaims(w io.Writer, r *review.Review) {
	if len(r.Claims) == 0 {
		return
	}
	fmt.Fprintln(w, "\nClaims")
	for _, c := range r.Claims {
		verdict := string(c.Verdict)
		if l := c.Leaning(); l != "" {
			verdict += ", leaning " + l
		}
		fmt.Fprintf(w, "  %s: %s\n", c.Name, verdict)
		for _, line := range claimLines(r, c) {
			fmt.Fprintln(w, "    "+screen.Wrap(finding.Printable(line), screen.Width-4, "      "))
		}
	}
	tested := 0
	for _, c := range r.Claims {
		if c.PFor.OK {
			tested++
		}
	}
	if tested > 1 {
		fmt.Fprintln(w, screen.Wrap(fmt.Sprintf("Each p is adjusted for all %d claims that have one (Holm), so that one false word about any of them is as rare as 5 %%.",
			tested), screen.Width, "  "))
	}
}

func claimLines(r *review.Review, c review.Claim) (out []string) {
	if c.Says != "" {
		out = append(out, fmt.Sprintf("Hoped: %q", c.Says))
	}
	title := c.Figure.Title
	if c.Figure.Name == "mean_fps" {
		title = "mean frame rate" // a table's heading is shorter
	}
	where := fmt.Sprintf("%s in %s", title, screen.Count(len(c.Cells), "cell", "cells"))
	switch {
	case c.Figure.Name == "":
		where = c.Claim.Metric
	case c.Kind == plan.OfSoak:
		where = soakFigure(c)
	case len(c.Cells) == 0:
		where = title
	}
	found := c.Found() + " for the " + where
	if !c.Estimate.OK {
		found = "nothing for the " + where
	}
	out = append(out, "Found: "+found+", expected "+c.Hoped())
	var ps []string
	for _, p := range []struct {
		name string
		v    *float64
	}{{"for", optional(c.PFor)}, {"sign", optional(c.PSign)}, {"against", optional(c.PAgainst)}} {
		if p.v != nil {
			ps = append(ps, p.name+" "+screen.P(*p.v))
		}
	}
	if len(ps) > 0 {
		out = append(out, "p: "+strings.Join(ps, ", "))
	}
	if c.Why != "" {
		out = append(out, "Because: "+c.Why)
	}
	if text := claimNeeds(r, c); text != "" {
		out = append(out, "Needs: "+text)
	}
	for _, m := range c.Mind {
		var cells []string
		for _, k := range m.Cells {
			cells = append(cells, k.GameVariant().String()+" "+k.Resolution)
		}
		where := abbreviated(cells[:min(len(cells), 4)], len(cells))
		if len(cells) == len(c.Cells) && len(cells) > 1 {
			where = "all of them"
		}
		out = append(out, fmt.Sprintf("Mind: %s: %s", phraseOf(r, m.Word), where))
	}
	for _, n := range c.Notes {
		out = append(out, "Mind: "+n)
	}
	if b := r.ClaimBudget(c); b.Why == "" {
		out = append(out, fmt.Sprintf("Uncertainty: %s. Halving it: %s", shares(cellBudget{metric: c.Figure, Budget: b}), halving(b, c.Against == nil)))
	}
	if c.Rounded != 0 {
		out = append(out, fmt.Sprintf("Mind: in whole percent the data say %d, not what is hoped", c.Rounded))
	}
	if c.Said != "" {
		said := "Say: " + c.Said
		if c.Marked {
			said += " A viewer's calculator gets another percentage from the figures as displayed."
		}
		out = append(out, said)
	}
	return out
}

// claimNeeds says how many launches a side settle an open claim, "" where that is not known. A figure nearer to the bound than the
// margin may stay open whatever the number.
func claimNeeds(r *review.Review, c review.Claim) string {
	what, runs := "a figure that is just what is claimed", "launches"
	if c.Kind == plan.OfSoak {
		runs = "soaks"
	}
	if c.Bounded() {
		unit := "%"
		if c.Figure.Scale == compute.Difference {
			if unit = c.Figure.DifferenceUnit(); unit == "share" {
				unit = "pp"
			}
		}
		what = fmt.Sprintf("a figure %g %s off the bound", r.ClaimMargin(c).Percent, unit)
	}
	switch {
	case !c.Needed.OK && c.Needed.Why == "":
		return ""
	case !c.Needed.OK:
		return fmt.Sprintf("to settle %s is %s", what, c.Needed.Why)
	case c.Needed.K <= c.Launches:
		return fmt.Sprintf("nothing that more %s are sure to bring: %d a side settle %s in 8 of 10 reviews, and this one lies nearer", runs, c.Needed.K, what)
	}
	return fmt.Sprintf("%d %s a side, there are %d: they settle %s in 8 of 10 reviews", c.Needed.K, runs, c.Launches, what)
}

// soakFigure names a soak's figure with its sensor and how many soaks it is of.
func soakFigure(c review.Claim) string {
	words := []string{c.Figure.Title}
	if name := (review.Sensor{Probe: c.Probe, Group: c.ProbeGroup, At: c.At, Channel: c.Channel}).Name(); name != "" {
		words = append(words, "("+name+")")
	}
	soaks := screen.Count(c.Launches, "soak", "soaks")
	if c.Against != nil {
		soaks += " a side"
	}
	return strings.Join(append(words, "in", c.Soak+",", soaks), " ")
}

// printReword lists the claims to take out or to word anew: no pass at the bench makes them true.
func printReword(w io.Writer, r *review.Review) {
	if len(r.Contradicted()) == 0 {
		return
	}
	fmt.Fprintln(w, "\nWord anew")
	for _, c := range r.Contradicted() {
		text := fmt.Sprintf("%s: expected %s, found %s", c.Name, c.Hoped(), c.Found())
		if c.Said != "" {
			text += ". Say: " + c.Said
		}
		fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
	}
}

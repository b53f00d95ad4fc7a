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

// notes are the remarks under one table, a letter each; the rows they concern carry the letters.
type notes struct {
	texts []string
	of    map[plan.Key][]int
}

// notesOf gathers what must be known of the rows of a table: what stands against a cell, its flags, why there is no verdict, and
// what differs from the baseline.
func notesOf(r *review.Review, rows []row) notes {
	n := notes{of: map[plan.Key][]int{}}
	base := r.Plan.Review.Baseline
	for _, x := range rows {
		k := x.cell.Cell.Key
		if !x.mean.Mean.OK {
			continue
		}
		if !x.cell.State.Holds() || x.cell.State == coverage.Vouched {
			text := stateWords[x.cell.State] + ", " + reasons(x.cell.Why)
			if k.CardMode() == base && !x.cell.State.Holds() {
				text += "; no difference from it holds, so verdicts stay open"
			}
			n.add(k, text)
		}
		for _, f := range x.cell.Flags {
			n.add(k, flagText(f))
		}
		for _, text := range launchNotes(x.mean) {
			n.add(k, text)
		}
		if low, ok := x.cell.Stat(lowMetric(r.Plan.Statistics.Lows)); ok && slices.Contains(low.Flags, compute.FlagThin) {
			n.add(k, "thin, the 1 % low rests on fewer than 5 frames and gets no verdict")
		}
		d, ok := r.Against(k, base, "mean_fps")
		if ok && d.Why != "" {
			n.add(k, cmp.Or(string(d.Verdict), "no verdict")+", "+d.Why)
		}
		for _, text := range identicalNotes(x.mean, d) {
			n.add(k, text)
		}
		if d.Verdict == compute.Unresolved && d.Holds {
			n.add(k, "unresolved, "+needed(r, d)+nextLook(x.cell))
		}
		if slices.Contains(d.Flags, compute.FlagUnbalanced) {
			n.add(k, flagPhrase(compute.FlagUnbalanced))
		}
		if d.Looks > 1 {
			n.add(k, looksNote(d.Comparison))
		}
		for _, word := range d.Flags {
			if what, ok := strings.CutSuffix(string(word), "_differs"); ok {
				n.add(k, "another "+what+" than the baseline")
			}
		}
	}
	return n
}

// launchNotes says that a cell is of one launch, whether or not other cells lend it a spread.
func launchNotes(mean compute.CellStat) []string {
	if !slices.Contains(mean.Flags, compute.FlagSingle) {
		return nil
	}
	return []string{"single, " + mean.OwnLow.Why}
}

// needed says what it would take to see a difference that matters.
func needed(r *review.Review, d review.Comparison) string {
	margin := r.Plan.Statistics.MarginPct
	if !d.Needed.OK {
		return fmt.Sprintf("and a difference of %g %% is %s", margin, cmp.Or(d.Needed.Why, "not to be seen here"))
	}
	return fmt.Sprintf("%d launches a side would show a difference of %g %%", d.Needed.K, margin)
}

func (n *notes) add(k plan.Key, text string) {
	i := slices.Index(n.texts, text)
	if i < 0 {
		i = len(n.texts)
		n.texts = append(n.texts, text)
	}
	if !slices.Contains(n.of[k], i) {
		n.of[k] = append(n.of[k], i)
	}
}

// letters gives a row's letters, in the order in which the notes stand.
func (n notes) letters(x row) string {
	var b strings.Builder
	for _, i := range slices.Sorted(slices.Values(n.of[x.cell.Cell.Key])) {
		b.WriteString(letter(i))
	}
	return b.String()
}

func letter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return fmt.Sprintf("(%d)", i+1)
}

func (n notes) print(w io.Writer) {
	for i, text := range n.texts {
		fmt.Fprintf(w, "    %s  %s\n", letter(i), screen.Wrap(finding.Printable(text), screen.Width-7, "       "))
	}
}

package explain

import (
	"fmt"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/changes"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan/glossary"
)

const (
	twoEditions = "a figure in two editions of a review"
	sideBySide  = "this program's changes"
)

// displayed is the shown difference as a report has it, had the card been faster by some percent.
func displayed(r *review.Review, percent float64) report.Displayed {
	of, base, d := pair(r)
	of.Centre = compute.Known(of.Centre.X + percent/100)
	m, _ := compute.MetricByName(headline)
	c := compute.Compare(m, of, base, d.SessionSpread, compute.DefaultMargin)
	s := speech.Subject{Metric: m, Of: shown.CardMode().String(), Base: r.Plan.Review.Baseline.String(), Where: shown.Game + " at " + shown.Resolution, MarginPct: 1}
	out := report.Displayed{Value: &c.Percent.X, Low: &c.Low.X, High: &c.High.X, Text: screen.Signed(c.Percent.X, 1) + " %", Interval: percents(c.Low, c.High),
		Verdict: string(c.Verdict), Sentence: s.Difference(compute.Speak(c.Verdict, c.Percent, c.Low, c.High))}
	out.Sayable = c.Verdict != compute.Unresolved
	return out
}

// changed sets the shown difference against itself, faster by some percent in a later edition; "" where that is not the word.
func changed(w changes.Word, percent float64) func(*review.Review) string {
	return func(r *review.Review) string {
		was, is := displayed(r, 0), displayed(r, percent)
		verdict := is.Verdict
		if w == changes.Bracket {
			is.Firm, verdict = true, verdict+" firm"
		}
		if changes.Judge(was, is) != w {
			return ""
		}
		return fmt.Sprintf("%s was %s %s %s and is %s %s %s in a later edition: %s", shown, was.Text, was.Interval, was.Verdict, is.Text, is.Interval, verdict, w)
	}
}

// alone is the shown cell, which only one of two editions has.
func alone(format string) func(*review.Review) string {
	return func(r *review.Review) string {
		of, _, _ := pair(r)
		return fmt.Sprintf(format, shown, screen.Number(of.Mean.X, 1))
	}
}

var changeWords = []figure{
	{glossary.Entry{Name: string(changes.Flipped), Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "The verdict is another than in the earlier edition. What was said on it does not hold as it was said, so it comes first.",
		Say:   "What the later edition has. Under the video belongs a correction: --erratum words it.", Formula: "the verdicts differ, or one side has none"},
		changed(changes.Flipped, -5)},
	{glossary.Entry{Name: string(changes.Reworded), Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "The verdict stands, but the sentence that the data carry is another. A viewer who heard the old one heard another number.",
		Say:   "The sentence of the later edition.", Formula: "the verdicts agree, the sentences differ, and not by the names in them alone"},
		changed(changes.Reworded, 1)},
	{glossary.Entry{Name: string(changes.Shown), Also: []string{"shown otherwise"}, Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "The figure has other digits where it is shown. The sentence on it, where it has one, is the same.",
		Say:   "As before. On a picture the old digits stand until it is replaced.", Formula: "sentence and verdict agree, the digits as displayed do not"},
		changed(changes.Shown, -0.1)},
	{glossary.Entry{Name: string(changes.Bracket), Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "Only the interval is shown with other digits, or firm came or went. The figure itself is shown as it was.",
		Say:   "As before.", Formula: "the figure's digits agree, those of its interval, or firm, do not"},
		changed(changes.Bracket, 0)},
	{glossary.Entry{Name: string(changes.Unseen), Also: []string{"beyond what is shown"}, Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "The figure changed beyond the digits that are shown. No viewer can see it.",
		Say:   "As before.", Formula: "all that is displayed agrees, figure or interval differ by more than 1e-12 of themselves"},
		changed(changes.Unseen, 0.001)},
	{glossary.Entry{Name: string(changes.Added), Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "Only the later edition has the figure. Nothing that was said is touched by it.", Say: "What the figure allows.", Formula: "the earlier edition displays no figure of that name"},
		alone("%s: %s fps in a later edition, and no such cell in the earlier plan: added")},
	{glossary.Entry{Name: string(changes.Withdrawn), Group: glossary.Back, Unit: twoEditions, Source: sideBySide,
		Means: "Only the earlier edition has the figure. What was said on it is taken back.", Say: "Nothing.", Formula: "the later edition displays no figure of that name"},
		alone("%s: %s fps in an edition, and all its passes void in the next: withdrawn")},
}

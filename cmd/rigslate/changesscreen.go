package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/changes"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/finding"
)

// mostChanges is how many changes of a kind the screen lists; --json has all.
const mostChanges = 12

func printChanges(w io.Writer, c changes.Changes) {
	if c.Old.Edition == c.New.Edition {
		fmt.Fprintf(w, "%s: both are edition %s. Nothing can differ.\n", c.Review, c.Old.Edition)
		return
	}
	paragraph(w, fmt.Sprintf("%s: edition %s of %s against %s of %s", c.Review, c.Old.Edition, published(c.Old), c.New.Edition, published(c.New)))
	if c.Later() {
		paragraph(w, "The first is the one published last: what is said to hold now is what held before.")
	}
	if c.Old.Definitions != c.New.Definitions {
		paragraph(w, fmt.Sprintf("Figures are worked out by definitions %d, before by %d: also those of the same passes may differ.", c.New.Definitions, c.Old.Definitions))
	}
	for _, side := range []changes.Side{c.Old, c.New} {
		if side.Bare {
			paragraph(w, fmt.Sprintf("Edition %s is older than the words of reports: its sentences are put together from the tables and the plan.", side.Edition))
		}
	}
	paragraph(w, counted(c))
	printFigures(w, "Verdicts that are others", c.Of(changes.Flipped), false)
	printFigures(w, "What may be said otherwise", c.Of(changes.Reworded), true)
	printShown(w, c.Of(changes.Shown))
	printReasons(w, c.Reasons)
	printGone(w, "Figures that are new", c.Of(changes.Added))
	printGone(w, "Figures that are withdrawn", c.Of(changes.Withdrawn))
	printStates(w, c)
	printPassChanges(w, c)
	printStated(w, c.Plan)
	printChartChanges(w, c)
	fmt.Fprintln(w, "\nWith --erratum: a text to put under the video.")
}

// counted says how much changed, the gravest first.
func counted(c changes.Changes) string {
	var words []string
	for _, k := range []struct {
		word      changes.Word
		one, many string
	}{
		{changes.Flipped, "verdict is another", "verdicts are others"}, {changes.Reworded, "sentence is another", "sentences are others"},
		{changes.Shown, "figure is shown otherwise", "figures are shown otherwise"}, {changes.Bracket, "interval is shown otherwise", "intervals are shown otherwise"},
		{changes.Added, "figure is new", "figures are new"}, {changes.Withdrawn, "figure is withdrawn", "figures are withdrawn"},
	} {
		if n := c.Counts[k.word]; n > 0 {
			words = append(words, screen.Count(n, k.one, k.many))
		}
	}
	if len(words) == 0 {
		words = []string{"no figure is shown otherwise"}
	}
	return fmt.Sprintf("%s; %s changed beyond what is shown, %d did not.", screen.List(words), screen.Count(c.Counts[changes.Unseen], "figure", "figures"), c.Same)
}

// paragraph prints text within the screen's width.
func paragraph(w io.Writer, text string) {
	fmt.Fprintln(w, screen.Wrap(finding.Printable(text), screen.Width, "  "))
}

// item prints one line of a list.
func item(w io.Writer, text string) {
	fmt.Fprintln(w, "  "+screen.Wrap(finding.Printable(text), screen.Width-2, "    "))
}

func published(s changes.Side) string {
	day, _, _ := strings.Cut(s.Published, "T")
	return day
}

// some cuts a list to what the screen has room for and says what it leaves out.
func some[T any](w io.Writer, all []T) (first []T, rest func()) {
	more := len(all) - mostChanges
	return all[:min(len(all), mostChanges)], func() {
		if more > 0 {
			fmt.Fprintf(w, "  and %d more; --json has all\n", more)
		}
	}
}

// printFigures lists figures with what they were, what they are, and why.
func printFigures(w io.Writer, heading string, all []changes.Figure, sentences bool) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", heading)
	list, rest := some(w, all)
	for _, f := range list {
		item(w, f.Subject.String()+because(f))
		for _, side := range []struct {
			word string
			d    *report.Displayed
		}{{"was", f.Was}, {"now", f.Is}} {
			text := digits(*side.d)
			if side.d.Verdict == "" && f.Word == changes.Flipped {
				text += " no verdict"
			}
			if sentences && side.d.Sentence != "" {
				text += "  “" + side.d.Sentence + "”"
			}
			entry(w, side.word, text)
		}
	}
	rest()
}

// entry prints one line below a change, with what it is before it.
func entry(w io.Writer, word, text string) {
	fmt.Fprintln(w, "      "+screen.Wrap(word+" "+finding.Printable(text), screen.Width-6, "          "))
}

// printReasons lists what the figures above were said to rest on.
func printReasons(w io.Writer, all []changes.Cause) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w, "\nWhy, as far as the editions tell")
	for i, x := range all {
		text := x.Text
		switch {
		case x.Cell != nil:
			text = namedCell(*x.Cell) + ": " + text
		case x.Of != nil:
			text = x.Of.Card + "·" + x.Of.Mode + " " + text
		}
		item(w, fmt.Sprintf("(%d) %s", i+1, text))
	}
}

// because names reasons by their numbers.
func because(f changes.Figure) (s string) {
	for _, n := range f.Why {
		s += fmt.Sprintf(" (%d)", n)
	}
	return s
}

func namedCell(k report.Key) string {
	return fmt.Sprintf("%s·%s %s·%s %s", k.Card, k.Mode.Mode, k.Game, k.Variant, k.Resolution)
}

// digits are a figure as displayed.
func digits(d report.Displayed) string {
	words := []string{d.Text, d.Interval, d.Verdict}
	if d.Firm {
		words = append(words, "firm")
	}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// printShown lists figures whose digits are others, a line each where it has room.
func printShown(w io.Writer, all []changes.Figure) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w, "\nFigures that are shown otherwise, those of pictures first")
	list, rest := some(w, all)
	for _, f := range list {
		name, text := finding.Printable(f.Subject.String()), finding.Printable(digits(*f.Was)+" → "+digits(*f.Is))
		if room := screen.Width - 2 - runewidth.StringWidth(name) - 2; runewidth.StringWidth(text) <= room {
			fmt.Fprintf(w, "  %s  %s\n", name, text)
			continue
		}
		item(w, name)
		fmt.Fprintln(w, "      "+screen.Wrap(text, screen.Width-6, "      "))
	}
	rest()
}

// printGone lists figures that only one edition has.
func printGone(w io.Writer, heading string, all []changes.Figure) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", heading)
	list, rest := some(w, all)
	for _, f := range list {
		d := f.Was
		if d == nil {
			d = f.Is
		}
		item(w, f.Subject.String()+"  "+digits(*d))
	}
	rest()
}

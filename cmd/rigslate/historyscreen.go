package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

// contents prints what the archive holds.
func (a *app) contents(store *archive.Archive, asked history.Asked, l lookBack) ([]archive.Unreadable, error) {
	held, unreadable, err := history.Contents(store, asked)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	if len(held) == 0 {
		return nil, nothing(store, l)
	}
	held = discreet.Copy(a.veil, held)
	switch {
	case a.json:
		return unreadable, a.printJSON(contentsDocument(held))
	case l.csv:
		return unreadable, a.printCSV(contentsTable(held))
	}
	printContents(a.stdout, held)
	return unreadable, nil
}

func printContents(w io.Writer, held []history.Held) {
	all := func(of func(history.Held) []string) []string { return history.Names(held, of) }
	reviews := all(func(h history.Held) []string { return []string{h.Review} })
	fmt.Fprintf(w, "%s, %s\n\n", screen.Count(len(reviews), "review", "reviews"), screen.Count(len(held), "edition", "editions"))
	rows := [][]string{{"review", "edition", "published", "measured", "cards", "games", "cells", "passes"}}
	older := 0
	for _, h := range held {
		note := ""
		if h.Newer {
			note, older = "a later one has them all", older+1
		}
		rows = append(rows, []string{screen.Shorten(h.Review, 22), shortID(h.Edition), h.Published.Format(time.DateOnly), span(h.From, h.To),
			fmt.Sprint(len(h.Cards)), fmt.Sprint(len(h.Games)), fmt.Sprint(h.Cells), fmt.Sprint(h.Passes), note})
	}
	printRows(w, rows, screen.Left, screen.Left, screen.Left, screen.Left, screen.Right, screen.Right, screen.Right, screen.Right, screen.Left)
	fmt.Fprintln(w)
	for _, f := range []struct {
		name string
		all  []string
	}{
		{"cards", spoken(all(func(h history.Held) []string { return h.Cards }))}, {"games", all(func(h history.Held) []string { return h.Games })},
		{"resolutions", all(func(h history.Held) []string { return h.Resolutions })}, {"drivers", all(func(h history.Held) []string { return h.Drivers })},
		{"builds", all(func(h history.Held) []string { return h.Builds })}, {"rigs", all(func(h history.Held) []string { return h.Rigs })},
	} {
		if len(f.all) == 0 {
			f.all = []string{"not recorded"}
		}
		printHanging(w, screen.Pad(f.name, 13, screen.Left), finding.Printable(strings.Join(f.all, ", ")))
	}
	if older > 0 {
		fmt.Fprintf(w, "\n%s\n", screen.Wrap(fmt.Sprintf("%s count no more: figures come from the latest edition that has their passes.",
			screen.Count(older, "edition does", "editions do")), screen.Width, ""))
	}
}

// spoken writes cards and modes as screens do.
func spoken(names []string) (out []string) {
	for _, n := range names {
		out = append(out, strings.Replace(n, ".", "·", 1))
	}
	return out
}

func shortID(edition string) string { return screen.Shorten(edition, 8) }

// span is from when to when passes were made, by the day.
func span(from, to time.Time) string {
	switch a, b := from.Format(time.DateOnly), to.Format(time.DateOnly); {
	case from.IsZero():
		return "not recorded"
	case a == b:
		return a
	default:
		return a + " to " + b
	}
}

// lines prints cells over time.
func (a *app) lines(store *archive.Archive, asked history.Asked, l lookBack) ([]archive.Unreadable, error) {
	points, unreadable, err := history.Points(store, asked)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	if len(points) == 0 {
		return nil, nothing(store, l)
	}
	lines := discreet.Copy(a.veil, history.Lines(points, asked.Metric, compute.DefaultMargin, l.mix))
	switch {
	case a.json:
		return unreadable, a.printJSON(linesDocument(asked.Metric, lines))
	case l.csv:
		return unreadable, a.printCSV(linesTable(asked.Metric, lines))
	}
	fmt.Fprintln(a.stdout, screen.Wrap(fmt.Sprintf("%s in %s, with its 95 %% interval; changes against the edition before, with theirs",
		asked.Metric.Title, asked.Metric.MeanUnit()), screen.Width, ""))
	for _, line := range lines {
		printLine(a.stdout, asked.Metric, line)
	}
	printLineNotes(a.stdout, asked.Metric, lines)
	return unreadable, nil
}

// printLine prints one cell over time, what differs in notes under it.
func printLine(w io.Writer, m compute.Metric, l history.Line) {
	fmt.Fprintf(w, "\n%s\n", finding.Printable(l.Key.String()))
	rows := [][]string{{"", "measured", "review", "driver", "build", m.MeanUnit(), "95 % interval", "change", ""}}
	var notes noted
	for i, p := range l.Points {
		at := p.At().Format(time.DateOnly)
		if p.From.IsZero() {
			at += "*"
		}
		row := []string{fmt.Sprint(i + 1), at, screen.Shorten(p.Review, 16), facts(p.Facts.Driver), facts(p.Facts.Build),
			number(p.Stat.Mean, m.Decimals), interval(p.Stat.Low, p.Stat.High, m.Decimals), "", ""}
		if s := l.Steps[i]; s != nil {
			row[7], row[8] = stepText(m, *s), stepWord(*s, i)
			if text := stepNote(*s, i); text != "" {
				row[8] += " " + notes.mark(text)
			}
		}
		rows = append(rows, row)
	}
	aligns := []screen.Align{screen.Right, screen.Left, screen.Left, screen.Left, screen.Left, screen.Right, screen.Left, screen.Left, screen.Left}
	for _, least := range []int{4, 2} { // what differs is in the notes, and all of it in --json
		if wide(rows, aligns) > screen.Width-2 {
			for i := range rows {
				rows[i] = slices.Delete(rows[i], least, least+1)
			}
			aligns = slices.Delete(aligns, least, least+1)
		}
	}
	printRows(w, rows, aligns...)
	for i, text := range notes {
		fmt.Fprintf(w, "    %c  %s\n", 'a'+rune(i%26), screen.Wrap(finding.Printable(text), screen.Width-7, "       "))
	}
}

// wide is how wide a table is with columns one blank apart.
func wide(rows [][]string, aligns []screen.Align) (most int) {
	for _, line := range screen.Columns(rows, aligns, 1) {
		most = max(most, runewidth.StringWidth(line))
	}
	return most
}

// noted are the notes under a table, each once, a letter each.
type noted []string

func (n *noted) mark(text string) string {
	at := slices.Index(*n, text)
	if at < 0 {
		at = len(*n)
		*n = append(*n, text)
	}
	return string('a' + rune(at%26))
}

func facts(values []string) string {
	var known []string
	for _, v := range values {
		if v != "" {
			known = append(known, v)
		}
	}
	if len(known) == 0 {
		return "–"
	}
	return screen.Shorten(finding.Printable(strings.Join(known, "+")), 10)
}

func stepText(m compute.Metric, s history.Step) string {
	c := s.Comparison
	switch {
	case c.Percent.OK:
		return screen.Signed(c.Percent.X, 1) + " % " + resolvedInterval(c.Low, c.High, c.Verdict)
	case c.Difference.OK:
		return screen.Signed(c.Difference.X, 2) + " " + m.MeanUnit() + " " + resolvedInterval(c.Low, c.High, c.Verdict)
	}
	return ""
}

func stepWord(s history.Step, at int) string {
	word := string(s.Change)
	switch {
	case s.Word == history.NotComparable && !s.Mixed:
		word = "not comparable"
	case s.Change == "":
		word = "no verdict"
	}
	if s.Mixed {
		word += ", not comparable"
	}
	if s.Against != at-1 {
		word += fmt.Sprintf(" to %d", s.Against+1)
	}
	return word
}

// stepNote says with what reserve two points were compared, or why they were not.
func stepNote(s history.Step, at int) string {
	var parts []string
	for _, d := range s.Differ {
		parts = append(parts, d.String())
	}
	text := strings.Join(parts, "; ")
	switch {
	case s.Word == history.NotComparable && s.Mixed:
		text = "not comparable, compared as asked: " + text
	case s.Word == history.NotComparable:
		text = "not comparable: " + text
	case s.Word == history.WithReserve:
		text = "with reserve: " + text
	}
	if s.Change == "" && s.Why != "" && s.Word != history.NotComparable {
		text = strings.TrimPrefix(text+"; no verdict, "+s.Why, "; ")
	}
	if s.Against != at-1 {
		text += fmt.Sprintf("; against row %d, the nearest that may be compared", s.Against+1)
	}
	return text
}

// printLineNotes says under all lines what holds for them.
func printLineNotes(w io.Writer, m compute.Metric, lines []history.Line) {
	other, undated, held := 0, false, map[string]bool{}
	for _, l := range lines {
		for _, p := range l.Points {
			other += p.Other
			undated = undated || p.From.IsZero()
		}
		for _, s := range l.Steps {
			if s != nil && s.Comparison.SessionSpread.Source != "" {
				u := s.Comparison.SessionSpread
				held[fmt.Sprintf("%.2g %s (%s)", u.Shown(m), spreadUnit(m), u.Source)] = true
			}
		}
	}
	begun := false
	say := func(text string) {
		if !begun {
			fmt.Fprintln(w)
		}
		begun = true
		fmt.Fprintln(w, screen.Wrap(text, screen.Width, ""))
	}
	if len(held) > 0 {
		var all []string
		for u := range held {
			all = append(all, u)
		}
		slices.Sort(all)
		say(fmt.Sprintf("Level is within 1 %s. Session spread in the changes: %s.", spreadUnit(m), strings.Join(all, ", ")))
	}
	if other > 0 {
		say(fmt.Sprintf("%s earlier editions hold the same passes; the latest stands for them.", screen.Count(other, "cell of", "cells of")))
	}
	if undated {
		say("* by the day it was published; no pass says when it was made.")
	}
}

func spreadUnit(m compute.Metric) string {
	if m.Scale == compute.Ratio {
		return "%"
	}
	return m.MeanUnit()
}

package changes

import (
	"fmt"
	"strings"
	"time"

	"github.com/rigslate/rigslate/export/report"
)

// Erratum is a text to put under a video that rests on the old edition, as Markdown that reads as plain text too: what was said, what
// holds now, with 95 % intervals, and why, as far as the editions tell. It is of what a viewer could hear or see in a picture. Sentences are those
// of the data (definitions, section 4): which of them were said, only the reviewer knows.
func (c Changes) Erratum() string {
	e := erratum{Changes: c, numbers: map[int]int{}}
	fmt.Fprintf(&e.text, "# Correction: %s\n\n", report.Markdown(or(c.Title, c.Review)))
	was, is := day(c.Old)+" (edition "+c.Old.Edition+")", day(c.New)+" (edition "+c.New.Edition+")"
	flipped, reworded, withdrawn, shown := e.spoken(Flipped), e.spoken(Reworded), e.spoken(Withdrawn), e.pictured()
	if len(flipped)+len(reworded)+len(withdrawn)+len(shown) == 0 {
		fmt.Fprintf(&e.text, "Nothing that could be heard or seen changed between the figures of %s and those of %s.\n", was, is)
		return e.text.String()
	}
	fmt.Fprintf(&e.text, "This video rests on the figures of %s. Some of them were corrected; what follows holds by those of %s. Brackets hold 95 %% intervals.\n", was, is)
	e.part("These do not hold as they were said", flipped)
	e.part("These hold in other words", reworded)
	e.part("These are taken back", withdrawn)
	e.part("Figures on screen", shown)
	e.part("Why", e.reasons)
	return e.text.String()
}

// erratum is one being written. Its reasons are numbered as they are named.
type erratum struct {
	Changes
	text    strings.Builder
	numbers map[int]int // of the reasons of Changes, in this text
	reasons []string
}

func or(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// day is when an edition was published, in words.
func day(s Side) string {
	t, err := time.Parse(time.RFC3339, s.Published)
	if err != nil {
		return s.Published
	}
	return t.UTC().Format("2 January 2006")
}

func (e *erratum) part(heading string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(&e.text, "\n## %s\n\n", heading)
	for _, l := range lines {
		fmt.Fprintf(&e.text, "- %s\n", l)
	}
}

// spoken words what was said and changed so, each sentence once.
func (e *erratum) spoken(w Word) (out []string) {
	seen := map[string]bool{}
	for _, f := range e.Of(w) {
		if f.Was == nil || f.Was.Sentence == "" {
			continue
		}
		said := "“" + f.Was.Sentence + "”"
		if f.Subject.Kind == report.DisplayedClaim && mayBeSaid(f.Was.Verdict) {
			said = f.Was.Title // in the reviewer's own words
		}
		if seen[said] {
			continue
		}
		seen[said] = true
		line := "Said: " + report.Markdown(said) + figures(*f.Was) + " Now: "
		switch {
		case f.Is == nil:
			line += "nothing may be said of it."
		case f.Is.Sentence == "":
			line += "nothing may be said of it" + verdict(*f.Is) + "."
		default:
			line += report.Markdown("“"+f.Is.Sentence+"”") + figures(*f.Is)
		}
		out = append(out, line+e.why(f))
	}
	return out
}

// mayBeSaid reports whether a claim with such a verdict may be said as it is.
func mayBeSaid(verdict string) bool { return verdict == "supported" || verdict == "fits" }

func verdict(d report.Displayed) string {
	if d.Verdict == "" {
		return ""
	}
	return " (" + d.Verdict + ")"
}

// figures are the digits behind a sentence.
func figures(d report.Displayed) string {
	if d.Value == nil {
		return ""
	}
	return " " + strings.TrimSpace(report.MarkdownWithin(d.Text)+" "+d.Interval) + "."
}

// pictured words figures that a picture shows and that changed without a sentence on them, or that went.
func (e *erratum) pictured() (out []string) {
	for _, w := range []Word{Flipped, Reworded, Shown, Withdrawn} {
		for _, f := range e.Of(w) {
			if !f.Charted() || f.Was == nil || w != Shown && f.Was.Sentence != "" || f.Is != nil && f.Is.Text == f.Was.Text {
				continue
			}
			is := "is no longer given"
			if f.Is != nil {
				is = "is" + figures(*f.Is)
			}
			out = append(out, report.Markdown(f.Title())+": was"+strings.TrimSuffix(figures(*f.Was), ".")+", "+strings.TrimSuffix(is, ".")+"."+e.why(f))
		}
	}
	return out
}

// why names the reasons for a change by their numbers in this text.
func (e *erratum) why(f Figure) string {
	var names []string
	for _, i := range f.Why {
		n, ok := e.numbers[i]
		if !ok {
			n = len(e.numbers) + 1
			e.numbers[i] = n
			x := e.Reasons[i-1]
			text := x.Text
			switch {
			case x.Cell != nil:
				text = e.words.CellCalled(*x.Cell) + ": " + text
			case x.Of != nil:
				text = e.words.Called(*x.Of) + ", " + text
			}
			e.reasons = append(e.reasons, fmt.Sprintf("(%d) %s.", n, report.Markdown(text)))
		}
		names = append(names, fmt.Sprintf("(%d)", n))
	}
	if len(names) == 0 {
		return ""
	}
	return " Why: " + strings.Join(names, " ")
}

// Package changes compares two editions of one review: what a viewer would notice, what only the tables show, which captures and which words of
// the plan are behind it, and what to write under a video that rests on the earlier one.
//
// The model: an edition displays figures, each of a subject that has the same name in every edition; two editions are two lists of these,
// and a change is a subject that the lists show differently. Comparing the tables value by value was rejected: nearly every interval moves in its
// fourth digit when one pass does, since all cells lend each other their spread, and what matters to a viewer would be lost among them.
package changes

import (
	"math"
	"slices"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// Word says how a change of a figure is seen.
type Word string

// The words, the gravest first.
const (
	Flipped   Word = "flipped"   // the verdict is another
	Reworded  Word = "reworded"  // what may be said is another
	Shown     Word = "shown"     // the digits that are shown are others
	Bracket   Word = "bracket"   // only its interval is shown with other digits, or firm came or went
	Unseen    Word = "unseen"    // it changed beyond the digits that are shown
	Added     Word = "added"     // only the new edition has it
	Withdrawn Word = "withdrawn" // only the old edition has it
)

// Changes is all that differs between two editions.
type Changes struct {
	Review  string        `json:"review"`
	Title   string        `json:"title,omitempty"`
	Old     Side          `json:"old"`
	New     Side          `json:"new"`
	Counts  map[Word]int  `json:"counts"`
	Same    int           `json:"same"` // figures
	Figures []Figure      `json:"figures"`
	Reasons []Cause       `json:"reasons"` // that figures name, as far as the editions tell
	Cells   []CellChange  `json:"cells"`
	Soaks   []SoakChange  `json:"soaks"`
	Passes  []PassChange  `json:"passes"`
	Files   []FileChange  `json:"files"` // logs of soaks and of sensors
	Plan    []PlanChange  `json:"plan"`
	Charts  []ChartChange `json:"charts"`
	// NoCharts says why charts were not compared, "" where they were.
	NoCharts string `json:"charts_not_compared,omitempty"`

	words report.Words // what things are called
}

// Side is one of the editions.
type Side struct {
	Edition     string `json:"edition"`
	Published   string `json:"published_at"` // RFC 3339, UTC
	Definitions int    `json:"definitions_version"`
	Tool        string `json:"tool_version"`
	GOARCH      string `json:"goarch"`
	// Bare says that the edition is older than the words of reports: names are the plan's, and its charts cannot be drawn as they were.
	Bare bool `json:"without_words,omitempty"`
}

// Figure is one figure that is displayed otherwise. Was or Is is nil where that edition has none.
type Figure struct {
	Subject report.Subject    `json:"subject"`
	Word    Word              `json:"change"`
	Was     *report.Displayed `json:"was"`
	Is      *report.Displayed `json:"is"`
	Why     []int             `json:"why,omitempty"` // which of the reasons, from 1; none for what is unseen
}

// Charted reports whether the figure stands in a picture.
func (f Figure) Charted() bool { return f.either().Charted }

// Title is what a viewer calls it.
func (f Figure) Title() string { return f.either().Title }

func (f Figure) either() report.Displayed {
	if f.Is != nil {
		return *f.Is
	}
	return *f.Was
}

// Later reports whether the old edition is the one published last: an erratum then goes back to what held before.
func (c Changes) Later() bool { return c.Old.Published > c.New.Published }

// Of lists the figures that changed so: those that stand in pictures first, then those with sentences, each in the order of the tables.
func (c Changes) Of(w Word) (out []Figure) {
	rank := func(f Figure) int {
		d := f.either()
		switch {
		case d.Charted && d.Sentence != "":
			return 0
		case d.Charted:
			return 1
		case d.Sentence != "":
			return 2
		}
		return 3
	}
	for _, f := range c.Figures {
		if f.Word == w {
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b Figure) int { return rank(a) - rank(b) })
	return out
}

// Compare lists what differs between two editions, all but their charts.
func (p Pair) Compare() Changes {
	was, is := p.was, p.is
	c := Changes{Review: p.Veil.String(is.Review), Title: is.Source.Words.Title, Old: was.side(), New: is.side(), Counts: map[Word]int{}, Figures: []Figure{},
		Reasons: []Cause{}, Cells: cells(was, is), Soaks: soaks(was, is), Passes: passes(was, is), Files: files(was, is), Plan: planFacts(was, is), Charts: []ChartChange{},
		words: is.Source.Words}
	c.figures(was.Source.Displayed(), is.Source.Displayed(), behind(was, is, c))
	return c
}

func (e Edition) side() Side {
	return Side{Edition: e.Edition.Edition, Published: e.PublishedAt, Definitions: e.DefinitionsVersion, Tool: e.ToolVersion, GOARCH: e.GOARCH, Bare: e.Bare}
}

// figures sets the two lists against each other.
func (c *Changes) figures(was, is []report.Displayed, b *causes) {
	at := map[report.Subject]int{}
	for i, d := range was {
		at[d.Subject] = i
	}
	note := func(f Figure) {
		c.Counts[f.Word]++
		if f.Word != Unseen {
			f.Why = c.because(b.of(f))
		}
		c.Figures = append(c.Figures, f)
	}
	for i := range is {
		j, ok := at[is[i].Subject]
		if !ok {
			note(Figure{Subject: is[i].Subject, Word: Added, Is: &is[i]})
			continue
		}
		delete(at, is[i].Subject)
		if w := Judge(was[j], is[i]); w != "" {
			note(Figure{Subject: is[i].Subject, Word: w, Was: &was[j], Is: &is[i]})
		} else {
			c.Same++
		}
	}
	for i, d := range was {
		if _, left := at[d.Subject]; left {
			note(Figure{Subject: d.Subject, Word: Withdrawn, Was: &was[i]})
		}
	}
}

// because numbers reasons, each once.
func (c *Changes) because(all []Cause) (numbers []int) {
	for _, x := range all {
		i := slices.IndexFunc(c.Reasons, x.is)
		if i < 0 {
			i = len(c.Reasons)
			c.Reasons = append(c.Reasons, x)
		}
		numbers = append(numbers, i+1)
	}
	return numbers
}

// Judge says how a viewer sees the change of a figure, "" where there is none.
func Judge(was, is report.Displayed) Word {
	moved := differ(was.Value, is.Value) || differ(was.Low, is.Low) || differ(was.High, is.High)
	switch {
	case was.Verdict != is.Verdict:
		return Flipped
	case was.Sentence != is.Sentence && (was.Sayable || is.Sayable) && (moved || was.Title == is.Title): // else only the names in it changed
		return Reworded
	case was.Text != is.Text:
		return Shown
	case was.Interval != is.Interval || was.Firm != is.Firm:
		return Bracket
	case moved:
		return Unseen
	}
	return ""
}

// agreement is how close figures of the same work lie on two architectures, as a share of them.
const agreement = 1e-12

func differ(a, b *float64) bool {
	if a == nil || b == nil {
		return a != b
	}
	return math.Abs(*a-*b) > agreement*max(math.Abs(*a), math.Abs(*b))
}

// key names the cell of a pass.
func key(r archive.RunRow) report.Key {
	return report.Key{Mode: report.Mode{Card: r.Card, Mode: r.Mode}, Game: r.Game, Variant: r.Variant, Resolution: r.Resolution}
}

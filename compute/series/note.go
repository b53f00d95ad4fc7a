package series

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/glossary"
)

// Note is what must be known of a stretch of a log beside its figures. Says begins in lower case and carries the figures that made it.
type Note struct {
	Flag compute.Flag
	Says string
	Span Span
}

// FlagGap marks a channel with stretches that were not logged.
const FlagGap compute.Flag = "gap"

// GapNotes tells what of a load was not logged, in order of time.
func (s *Series) GapNotes(load Span) (notes []Note) {
	for _, g := range s.Gaps(load) {
		says := fmt.Sprintf("nothing logged for %s, from %s into the load on", g.Long(), Span{load.FromNS, g.FromNS}.Long())
		notes = append(notes, Note{FlagGap, says, g})
	}
	return notes
}

// Long is how long the span is, as a bench says it: in s, from two minutes on in min.
func (w Span) Long() string {
	s := w.Seconds()
	switch minutes := math.Floor(math.Round(s) / 60); {
	case s < 10:
		return fmt.Sprintf("%.1f s", s)
	case math.Round(s) < 120:
		return fmt.Sprintf("%.0f s", s)
	case math.Round(s) == 60*minutes:
		return fmt.Sprintf("%.0f min", minutes)
	default:
		return fmt.Sprintf("%.0f min %.0f s", minutes, math.Round(s)-60*minutes)
	}
}

// Entries is what there is to say of this package's flag.
func Entries() []glossary.Entry {
	return []glossary.Entry{{Name: string(FlagGap), Group: glossary.Flag, Unit: "a channel of a log",
		Means:   "The log has a hole. Means are over what was logged, and nothing is made up for the rest.",
		Say:     "The figures, with how much of the time they saw. A peak may have been missed.",
		Formula: "an interval longer than 10 times the median one; at the ends of the load, nothing logged for as long",
		Source:  "definitions, section 6"}}
}

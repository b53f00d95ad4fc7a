package series

import (
	"fmt"

	"github.com/rigslate/rigslate/compute"
)

// Span is a stretch of a log, in ns from its start.
type Span struct{ FromNS, ToNS int64 }

// Seconds is how long the span is.
func (w Span) Seconds() float64 { return (float64(w.ToNS) - float64(w.FromNS)) / 1e9 }

// Last is the end of a span, at most lengthNS long.
func (w Span) Last(lengthNS int64) Span {
	if w.Seconds() <= float64(lengthNS)/1e9 {
		return w
	}
	return Span{w.ToNS - lengthNS, w.ToNS}
}

// Blocks cuts the span into n blocks of equal time, to the whole ns.
func (w Span) Blocks(n int) []Span {
	blocks := make([]Span, n)
	from := w.FromNS
	for k := range blocks {
		whole, rest := (w.ToNS-w.FromNS)/int64(n), (w.ToNS-w.FromNS)%int64(n)
		to := w.FromNS + whole*int64(k+1) + rest*int64(k+1)/int64(n)
		blocks[k] = Span{from, to}
		from = to
	}
	return blocks
}

// Load returns the stretch of a log under load: from the first frame's start to the last one's end where frames were logged, else
// lengthNS from the log's start (definitions, section 6). Frames that end where they begin are none.
func Load(frames Span, lengthNS int64, log *Series) Span {
	if frames.ToNS > frames.FromNS {
		return frames
	}
	from := log.Whole().FromNS
	return Span{from, from + lengthNS}
}

// enoughShare is what share of the time a log must cover for an integral over all of it to be given.
const enoughShare = 0.95

const (
	emptySpan  = "the stretch has no length"
	notCovered = "the log has no samples there, or a gap"
)

// Coverage is the share of a span, 0 to 1, that the log bridges; absent for a span without length.
func (s *Series) Coverage(w Span) compute.Value {
	if w.ToNS <= w.FromNS {
		return compute.Absent(emptySpan)
	}
	return compute.Known(float64(s.coveredNS(w)) / (float64(w.ToNS) - float64(w.FromNS)))
}

func (s *Series) coveredNS(w Span) int64 {
	from, _, _ := s.upTo(w.FromNS)
	to, _, _ := s.upTo(w.ToNS)
	return to - from
}

// Gaps returns the stretches of a span that the log does not bridge, in order of time, cut to the span. What is missing at the ends of
// the log counts if it is as long as a gap.
func (s *Series) Gaps(w Span) []Span {
	if w.ToNS <= w.FromNS {
		return nil
	}
	if s.Len() == 0 {
		return []Span{w}
	}
	var gaps []Span
	whole := s.Whole()
	if to := min(whole.FromNS, w.ToNS); to > w.FromNS && to-w.FromNS > s.gapNS {
		gaps = append(gaps, Span{w.FromNS, to})
	}
	for i := max(s.lastAt(w.FromNS), 0); i < s.Len()-1 && s.timesNS[i] < w.ToNS; i++ {
		if from, to := max(s.timesNS[i], w.FromNS), min(s.timesNS[i+1], w.ToNS); to > from && !s.bridged(i) {
			gaps = append(gaps, Span{from, to})
		}
	}
	if from := max(whole.ToNS, w.FromNS); w.ToNS > from && w.ToNS-from > s.gapNS {
		gaps = append(gaps, Span{from, w.ToNS})
	}
	return gaps
}

// Mean is the time-weighted mean over a span, ∫v dt / ∫dt by trapezoids over what is bridged, interpolated at the edges; in the unit
// of the values. It is absent where nothing is bridged.
func (s *Series) Mean(w Span) compute.Value {
	if w.ToNS <= w.FromNS {
		return compute.Absent(emptySpan)
	}
	fromNS, fromArea, fromLost := s.upTo(w.FromNS)
	toNS, toArea, toLost := s.upTo(w.ToNS)
	if toNS == fromNS {
		return compute.Absent(notCovered)
	}
	return compute.Known(s.values[0] + ((toArea-fromArea)+(toLost-fromLost))/float64(toNS-fromNS))
}

// Integral is the time-weighted mean over a span times all of its time, in unit·s: of power in W, the energy in J. It is absent where
// the log covers less than 95 % of the span, since the mean must then stand for too much that was not seen.
func (s *Series) Integral(w Span) compute.Value {
	mean, covered := s.Mean(w), s.Coverage(w)
	switch {
	case !mean.OK:
		return mean
	case covered.X < enoughShare:
		return compute.Absent(fmt.Sprintf("the log covers %.1f %% of the time, and %g %% is needed", 100*covered.X, 100*enoughShare))
	}
	return compute.Known(mean.X * w.Seconds())
}

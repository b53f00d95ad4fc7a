package series

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/rigslate/rigslate/compute"
)

// Quantile is the time-weighted p-quantile over a span, 0 ≤ p ≤ 1, in the unit of the values: each sample holds half of the interval on
// either side, as far as that lies in the span and is no gap, and the quantile is the smallest value whose cumulated weight reaches p.
// It is absent where nothing is bridged.
func (s *Series) Quantile(w Span, p float64) compute.Value {
	switch {
	case !(p >= 0 && p <= 1):
		return compute.Absent(fmt.Sprintf("a quantile at %g is not within 0 to 1", p))
	case w.ToNS <= w.FromNS:
		return compute.Absent(emptySpan)
	}
	held, total := s.held(w)
	if total == 0 {
		return compute.Absent(notCovered)
	}
	slices.SortFunc(held, func(a, b share) int { return cmp.Compare(a.value, b.value) })
	// A share of the time that is p within rounding counts as p, as in compute.Quantile.
	need := p * float64(total) * (1 - 4*0x1p-52)
	var sum int64
	for _, h := range held {
		if sum += h.halfNS; float64(sum) >= need {
			return compute.Known(h.value)
		}
	}
	return compute.Known(held[len(held)-1].value)
}

// share is how long a value is held, in half ns, so that the middle of an interval is whole.
type share struct {
	value  float64
	halfNS int64
}

// held returns the values that hold some of a span, and how long they do together.
func (s *Series) held(w Span) (held []share, total int64) {
	if s.Len() < 2 {
		return nil, 0
	}
	whole := s.Whole()
	from, to := 2*max(w.FromNS, whole.FromNS), 2*min(w.ToNS, whole.ToNS)
	for i := max(s.lastAt(w.FromNS), 0); i < s.Len() && (i == 0 || 2*s.timesNS[i-1] < to); i++ {
		at := 2 * s.timesNS[i]
		lo, hi := at, at
		if i > 0 && s.bridged(i-1) {
			lo = s.timesNS[i-1] + s.timesNS[i]
		}
		if i < s.Len()-1 && s.bridged(i) {
			hi = s.timesNS[i] + s.timesNS[i+1]
		}
		if long := min(hi, to) - max(lo, from); long > 0 {
			held, total = append(held, share{s.values[i], long}), total+long
		}
	}
	return held, total
}

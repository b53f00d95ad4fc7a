package series

import (
	"fmt"

	"github.com/rigslate/rigslate/compute"
)

// Peak is the highest of something, in the unit of the values, and when it was: the sample's time, of a mean the end of its window.
// Both go with the series' IntervalNS, since a sensor that is read rarely sees lower peaks.
type Peak struct {
	compute.Value
	AtNS int64
}

// Peak is the highest sample of a span, the first of equal ones.
func (s *Series) Peak(w Span) Peak {
	p := Peak{Value: compute.Absent("the log has no samples there")}
	lo, hi := s.within(w)
	for i := lo; i < hi; i++ {
		if !p.OK || s.values[i] > p.X {
			p = Peak{compute.Known(s.values[i]), s.timesNS[i]}
		}
	}
	return p
}

// MovingPeak is the highest of the time-weighted means over [t − widthNS, t], t the time of a sample, that lie within a span and hold
// no gap; the first of equal ones.
func (s *Series) MovingPeak(w Span, widthNS int64) Peak {
	p := Peak{Value: compute.Absent(fmt.Sprintf("no %g s without a gap", float64(widthNS)/1e9))}
	lo, hi := s.within(w)
	for i := lo; i < hi; i++ {
		window := Span{s.timesNS[i] - widthNS, s.timesNS[i]}
		if window.FromNS < w.FromNS || s.coveredNS(window) != widthNS {
			continue
		}
		if mean := s.Mean(window); mean.OK && (!p.OK || mean.X > p.X) {
			p = Peak{mean, window.ToNS}
		}
	}
	return p
}

package series

import "gonum.org/v1/gonum/floats"

const secondNS = 1_000_000_000

// Points returns the samples of a span as a curve is fitted to them, in s from its beginning: as they are, or where they are faster than
// one a second the plain means, of time and value, of those in each whole second from the beginning on (definitions, section 6,
// "heating model"). Time-weighted means would not do, since neighbours then share the sample at their border.
func (s *Series) Points(w Span) (atS, values []float64) {
	lo, hi := s.within(w)
	if s.intervalNS >= secondNS {
		for i := lo; i < hi; i++ {
			atS = append(atS, float64(s.timesNS[i]-w.FromNS)/1e9)
		}
		return atS, append(values, s.values[lo:hi]...)
	}
	var offsets []float64
	for i := lo; i < hi; {
		second := (s.timesNS[i] - w.FromNS) / secondNS
		end := w.FromNS + (second+1)*secondNS
		offsets = offsets[:0]
		from := i
		for ; i < hi && s.timesNS[i] < end; i++ {
			offsets = append(offsets, float64(s.timesNS[i]-w.FromNS)/1e9-float64(second))
		}
		if end <= w.ToNS {
			atS, values = append(atS, float64(second)+plainMean(offsets)), append(values, plainMean(s.values[from:i]))
		}
	}
	return atS, values
}

func plainMean(y []float64) float64 { return floats.SumCompensated(y) / float64(len(y)) }

// Values returns the samples of a span, in order: what compute.Sampled makes the uncertainty of their mean from.
func (s *Series) Values(w Span) []float64 {
	lo, hi := s.within(w)
	return s.values[lo:hi:hi]
}

package series

import "slices"

// Above returns how far a series lies above another at the times of its own samples, where the other has a value; nil where it has
// none at any.
func (s *Series) Above(other *Series) *Series {
	var timesNS []int64
	var values []float64
	for i, t := range s.timesNS {
		if v := other.At(t); v.OK {
			timesNS, values = append(timesNS, t), append(values, s.values[i]-v.X)
		}
	}
	if len(timesNS) == 0 {
		return nil
	}
	return build(timesNS, values, s.intervalNS, s.gapNS)
}

// Highest returns the highest of several series at every instant at which one of them has a sample and all have a value; nil where
// there is none. A gap of any is one of the result: the highest of those that are left is not the highest of the group.
func Highest(group []*Series) *Series {
	var instants []int64
	for _, s := range group {
		instants = append(instants, s.timesNS...)
	}
	slices.Sort(instants)
	instants = slices.Compact(instants)
	var timesNS []int64
	var values []float64
	for _, t := range instants {
		if v, ok := highestAt(group, t); ok {
			timesNS, values = append(timesNS, t), append(values, v)
		}
	}
	if len(timesNS) == 0 {
		return nil
	}
	// The densest has a value every interval that it bridges, so what is wider apart is where some probe has a gap.
	gapNS := group[0].gapNS
	for _, s := range group {
		gapNS = min(gapNS, s.gapNS)
	}
	return build(timesNS, values, twiceMedianInterval(timesNS)/2, gapNS)
}

func highestAt(group []*Series, atNS int64) (highest float64, ok bool) {
	for i, s := range group {
		v := s.At(atNS)
		if !v.OK {
			return 0, false
		}
		if i == 0 || v.X > highest {
			highest = v.X
		}
	}
	return highest, len(group) > 0
}

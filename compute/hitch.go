package compute

import "math/bits"

// Hitch limits in ns and half ns (definitions, section 1). Medians are kept doubled so that those of even windows are integers.
const (
	windowNS       = 2_000_000_000  // a window reaches about 2 s to either side …
	windowFrames   = 15             // … and at least 15 frames
	least2         = 2 * 8_000_000  // a hitch is at least 8 ms above its surroundings …
	most2          = 2 * 50_000_000 // … and 50 ms above them is always one
	noHitchedFrame = -2
)

// hitches counts what stands out of its surroundings. lost2 is Σ(x − m) over hitch frames in half ns.
type hitches struct {
	frames, events int
	lost2          int64
}

// hitchLimit2 returns the doubled frame time above which a frame is a hitch, for a doubled median. It rises with the median.
func hitchLimit2(median2 int64) int64 { return median2 + max(least2, min(median2, most2)) }

// halfWindow returns how many frames a window reaches to either side of its frame.
func halfWindow(sortedNS []int64) int {
	n := int64(len(sortedNS))
	median2 := twiceMedian(sortedNS)
	if median2 == 0 {
		return int(n)
	}
	return int(min(max(windowFrames, (2*windowNS+median2-1)/median2), n))
}

// findHitches compares each frame with the median of its window. s.packed and sortedNS are as sortFrames left them for x.
//
// No window's median is below the shortest frame, so only frames above hitchLimit2 of that one can be hitches; without any,
// no window is looked at. Otherwise the window slides once from the first of them to the last, as a set of ranks: a frame
// entering or leaving costs one bit, and the median is a pointer that moves by as many ranks as the window changed.
func (s *Scratch) findHitches(x, sortedNS []int64) hitches {
	n := len(x)
	floor := hitchLimit2(2 * sortedNS[0])
	var found hitches
	if 2*sortedNS[n-1] <= floor {
		return found
	}
	s.rank = grow(s.rank, n)
	for place, w := range s.packed {
		s.rank[uint32(w)] = uint32(place)
	}
	s.window.reset(n)
	half := halfWindow(sortedNS)
	lo, hi := 0, 0 // the window holds frames lo to hi−1
	last := noHitchedFrame
	for i, v := range x {
		if 2*v <= floor {
			continue
		}
		from, to := max(0, i-half), min(n, i+half+1)
		for ; lo < min(from, hi); lo++ {
			s.window.remove(s.rank[lo])
		}
		lo, hi = from, max(from, hi)
		for ; hi < to; hi++ {
			s.window.insert(s.rank[hi])
		}
		below, above := s.window.middle(to - from)
		median2 := sortedNS[below] + sortedNS[above]
		if 2*v <= hitchLimit2(median2) {
			continue
		}
		found.frames++
		found.lost2 += 2*v - median2
		if last != i-1 {
			found.events++
		}
		last = i
	}
	return found
}

// rankSet is a set of ranks 0 to n−1 with a pointer near its middle. words has a bit per rank; summary a bit per word that is
// not empty, so that wide gaps are crossed 4096 ranks at a time.
type rankSet struct {
	words, summary []uint64
	at             uint32 // the pointer, in the set or not
	below          int    // members less than at
}

func (r *rankSet) reset(n int) {
	r.words = grow(r.words, (n+63)/64)
	r.summary = grow(r.summary, (len(r.words)+63)/64)
	clear(r.words)
	clear(r.summary)
	r.at, r.below = uint32(n/2), 0
}

func (r *rankSet) insert(rank uint32) {
	r.words[rank>>6] |= 1 << (rank & 63)
	r.summary[rank>>12] |= 1 << (rank >> 6 & 63)
	if rank < r.at {
		r.below++
	}
}

func (r *rankSet) remove(rank uint32) {
	w := r.words[rank>>6] &^ (1 << (rank & 63))
	r.words[rank>>6] = w
	if w == 0 {
		r.summary[rank>>12] &^= 1 << (rank >> 6 & 63)
	}
	if rank < r.at {
		r.below--
	}
}

// middle returns the ranks of the two middle members of the set, which holds size of them; they are one where size is odd.
func (r *rankSet) middle(size int) (lower, upper uint32) {
	want := (size - 1) / 2 // members below the lower middle one
	for r.below > want {
		r.at = r.previous(r.at)
		r.below--
	}
	r.at = r.next(r.at)
	for r.below < want {
		r.at = r.next(r.at + 1)
		r.below++
	}
	if size%2 != 0 {
		return r.at, r.at
	}
	return r.at, r.next(r.at + 1)
}

// next returns the least member ≥ rank; there must be one.
func (r *rankSet) next(rank uint32) uint32 {
	i := rank >> 6
	if w := r.words[i] >> (rank & 63); w != 0 {
		return rank + uint32(bits.TrailingZeros64(w))
	}
	i++
	j := i >> 6
	w := r.summary[j] >> (i & 63) << (i & 63)
	for w == 0 {
		j++
		w = r.summary[j]
	}
	i = j<<6 + uint32(bits.TrailingZeros64(w))
	return i<<6 + uint32(bits.TrailingZeros64(r.words[i]))
}

// previous returns the greatest member < rank; there must be one.
func (r *rankSet) previous(rank uint32) uint32 {
	i := rank >> 6
	if w := r.words[i] & (1<<(rank&63) - 1); w != 0 {
		return i<<6 + 63 - uint32(bits.LeadingZeros64(w))
	}
	j := i >> 6
	w := r.summary[j] & (1<<(i&63) - 1)
	for w == 0 {
		j--
		w = r.summary[j]
	}
	i = j<<6 + 63 - uint32(bits.LeadingZeros64(w))
	return i<<6 + 63 - uint32(bits.LeadingZeros64(r.words[i]))
}

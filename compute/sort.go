package compute

import (
	"cmp"
	"math"
	"slices"
)

// Scratch holds the buffers one worker reuses from pass to pass. The zero value is ready; it must not be shared by goroutines.
type Scratch struct {
	packed, spare []uint64
	sorted        []int64
	rank          []uint32
	window        rankSet
	rates         []float64
	counts        [3][1 << digitBits]uint32
}

const (
	digitBits = 11             // three digits cover the 32-bit key
	fewFrames = 256            // below this a comparison sort beats clearing the digit counts
	fullKey   = math.MaxUint32 // the key of every frame 4.29 s or more above the shortest
)

// grow returns buf with length n, keeping its memory where that is enough.
func grow[T any](buf []T, n int) []T {
	if cap(buf) < n {
		return make([]T, n)
	}
	return buf[:n]
}

// sortFrames returns the frame times in rising order and, in s.packed, for each place of that order the index of its frame (low
// 32 bits). The frames become 64-bit words of (time above the shortest, index), so that one radix sort on 8-byte words gives
// the order, the ranks and the values. Times that do not fit the 32-bit key share the largest key and are put in order after.
func (s *Scratch) sortFrames(x []int64) []int64 {
	n := len(x)
	s.packed, s.spare, s.sorted = grow(s.packed, n), grow(s.spare, n), grow(s.sorted, n)
	if n == 0 {
		return s.sorted
	}
	shortest, longest := x[0], x[0]
	for _, v := range x {
		shortest, longest = min(shortest, v), max(longest, v)
	}
	for i, v := range x {
		s.packed[i] = min(uint64(v-shortest), fullKey)<<32 | uint64(i)
	}
	if n < fewFrames {
		slices.Sort(s.packed)
	} else {
		s.radix(uint64(longest - shortest))
	}
	tail := n
	for tail > 0 && s.packed[tail-1]>>32 == fullKey {
		tail--
	}
	slices.SortFunc(s.packed[tail:], func(a, b uint64) int { return cmp.Compare(x[uint32(a)], x[uint32(b)]) })
	for i, w := range s.packed[:tail] {
		s.sorted[i] = shortest + int64(w>>32)
	}
	for i := tail; i < n; i++ {
		s.sorted[i] = x[uint32(s.packed[i])]
	}
	return s.sorted
}

// radix sorts s.packed by its upper halves, none of which exceeds largest, least significant digit first.
func (s *Scratch) radix(largest uint64) {
	bits := uint(0)
	for v := min(largest, fullKey); v > 0; v >>= 1 {
		bits++
	}
	digits := (bits + digitBits - 1) / digitBits
	if digits == 0 {
		return
	}
	width := (bits + digits - 1) / digits
	mask := uint64(1)<<width - 1
	s.countDigits(digits, width)
	for d := range digits {
		count := &s.counts[d]
		var next uint32
		for i := range count[:mask+1] {
			count[i], next = next, next+count[i]
		}
		shift := 32 + d*width
		to := s.spare
		for _, w := range s.packed {
			at := &count[w>>shift&mask&(1<<digitBits-1)]
			to[*at] = w
			*at++
		}
		s.packed, s.spare = s.spare, s.packed
	}
}

// countDigits counts how often each value of each digit occurs, all digits in one reading.
func (s *Scratch) countDigits(digits, width uint) {
	for d := range digits {
		clear(s.counts[d][:])
	}
	mask := uint64(1)<<width - 1
	low, mid, high := &s.counts[0], &s.counts[1], &s.counts[2]
	const within = 1<<digitBits - 1
	for _, w := range s.packed {
		key := w >> 32
		low[key&mask&within]++
		mid[key>>width&mask&within]++
		high[key>>(2*width)&mask&within]++
	}
}

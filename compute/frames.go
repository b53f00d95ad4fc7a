package compute

import "fmt"

// Window says which frames of a capture count: those that start at or after WarmupNS and end at or before
// WarmupNS + LengthNS, or all of them.
type Window struct {
	WarmupNS int64
	LengthNS int64
	All      bool
}

// What a pass may hold, so that no exact sum can overflow: 2²⁶ frames of at most 2⁴⁰ ns (18 minutes) each keep n·Σ(x−q)² below
// 2¹²⁷, and a total of at most 9·10¹⁷ ns (28 years) keeps ten times it in an int64.
const (
	maxFrames  = 1 << 26
	maxFrameNS = 1 << 40
	maxTotalNS = 900_000_000_000_000_000
)

// Keep returns the kept frames of a capture as frameNS[lo:hi] (definitions, section 1: start ≥ w and end ≤ w + L). Frame times
// must not be negative, so that starts and ends rise and the kept frames are contiguous.
func Keep(frameNS []int64, w Window) (lo, hi int) {
	if w.All {
		return 0, len(frameNS)
	}
	end := w.WarmupNS + w.LengthNS
	var start int64
	for lo < len(frameNS) && start < w.WarmupNS {
		start += frameNS[lo]
		lo++
	}
	hi = lo
	for hi < len(frameNS) && start+frameNS[hi] <= end {
		start += frameNS[hi]
		hi++
	}
	return lo, hi
}

// Duration returns the summed frame times in ns.
func Duration(frameNS []int64) int64 {
	var t int64
	for _, x := range frameNS {
		t += x
	}
	return t
}

// checkFrames returns the total of the frame times in ns, or why they cannot be worked on exactly.
func checkFrames(frameNS []int64) (totalNS int64, why string) {
	if len(frameNS) == 0 {
		return 0, "no frames"
	}
	if len(frameNS) > maxFrames {
		return 0, fmt.Sprintf("%d frames are more than the %d a pass may hold", len(frameNS), maxFrames)
	}
	for i, x := range frameNS {
		if uint64(x) > maxFrameNS {
			return 0, fmt.Sprintf("frame %d of those kept lasts %d ns, outside 0 to 18 minutes", i, x)
		}
		totalNS += x
		if totalNS > maxTotalNS {
			return 0, "the frame times add up to more than 28 years"
		}
	}
	if totalNS == 0 {
		return 0, "no time passes: every frame time is zero"
	}
	return totalNS, ""
}

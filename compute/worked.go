package compute

import (
	"fmt"
	"math"
	"slices"
)

// Worked is a pass laid open: what a figure may be worked out from, and what an example of it shows. Beside the pass and the options
// it has the kept frames in ns as they came and in rising order, and what several figures share, so that it is found once.
type Worked struct {
	*Pass // while the registry's figures are being worked out, with all but those
	PassOptions
	Kept, Sorted []int64

	spread  spreads
	hitches hitches
}

// LayOpen works a pass out with its frames kept at hand.
func LayOpen(kept []int64, startNS int64, o PassOptions) Worked {
	return workOut(kept, startNS, o, new(Scratch))
}

func (w Worked) totalMS() float64 { return float64(w.DurationNS) / nsPerMS }

func (w Worked) meanMS() float64 { return float64(w.DurationNS) / float64(w.Frames) / nsPerMS }

// squaresAround is Σ(x − x̄)² in ms².
func (w Worked) squaresAround() float64 {
	var squares float64
	for _, x := range w.Kept {
		d := float64(x)/nsPerMS - w.meanMS()
		squares += float64(d * d)
	}
	return squares
}

// at gives the k-th shortest frame in ms, counted from 1.
func (w Worked) at(k int) float64 { return float64(w.Sorted[min(max(k, 1), w.Frames)-1]) / nsPerMS }

// quantile says between which frames the p-quantile lies.
func (w Worked) quantile(p float64) string {
	position := linearPosition
	if w.QuantileType <= 3 {
		position = stepPosition
	}
	j, g := position(w.Frames, p, w.QuantileType)
	return fmt.Sprintf("by type %d, Q(%g) of %d frames is at place %.2f from the shortest, between %.3f and %.3f ms", w.QuantileType, p, w.Frames,
		float64(j)+g, w.at(j), w.at(j+1))
}

// low shows a low of the kind at a share.
func (w Worked) low(k LowKind, share float64, low Low) string {
	n, slow := low.Frames, 1000/low.X
	switch k {
	case LowQuantile:
		return w.quantile(1-share) + fmt.Sprintf(": 1000 / %.3f = %.1f fps", slow, low.X)
	case LowTailMean:
		return fmt.Sprintf("the slowest frames are ⌈%g × %d⌉ = %d, on average %.3f ms: 1000 / %.3f = %.1f fps", share, w.Frames, n, slow, slow, low.X)
	}
	return fmt.Sprintf("%g of %.1f ms is %.1f ms; the %d slowest frames fill it, the last of them takes %.3f ms: 1000 / %.3f = %.1f fps",
		share, w.totalMS(), float64(share*w.totalMS()), n, slow, slow, low.X)
}

// exampleHitch shows the first hitch frame, or how far the longest frame is from being one.
func exampleHitch(w Worked) string {
	half := halfWindow(w.Sorted)
	furthest, at, is := math.Inf(-1), 0, false
	for i, x := range w.Kept {
		if away := float64(2*x - hitchLimit2(w.medianAround(i, half))); away > furthest {
			furthest, at, is = away, i, away > 0
		}
	}
	m := float64(w.medianAround(at, half)) / (2 * nsPerMS)
	limit := float64(hitchLimit2(w.medianAround(at, half))) / (2 * nsPerMS)
	text := fmt.Sprintf("frame %d took %.1f ms; those within %d frames have a median of %.2f ms, so the limit is %.2f + max(8, min(%.2f, 50)) = %.2f ms",
		at+1, float64(w.Kept[at])/nsPerMS, half, m, m, m, limit)
	if is {
		return text + fmt.Sprintf(", and it is one of %d hitch frames", w.hitches.frames)
	}
	return text + ", and not even that frame is a hitch"
}

// medianAround is twice the median of the frames within half of frame i, in ns.
func (w Worked) medianAround(i, half int) int64 {
	return twiceMedian(slices.Sorted(slices.Values(w.Kept[max(0, i-half):min(len(w.Kept), i+half+1)])))
}

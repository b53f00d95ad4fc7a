package compute

// profileBlocks is the number of equal-time blocks of a profile.
const profileBlocks = 10

// maxSeconds is how many whole seconds a pass may last for their rates to be kept: a day. Longer ones are mistakes of unit.
const maxSeconds = 86_400

// secondTenths is a second in tenths of ns.
const secondTenths = 10 * nsPerSecond

// blockRates fills rates with the frame rate in fps of consecutive blocks of equal time from the first frame on: the frames in a
// block, linear within a frame, over its time (definitions, section 1). The blocks must lie within the summed frame times. Their
// length is in tenths of ns, so that both a tenth of the kept time and a second are whole.
func blockRates(rates []float64, x []int64, blockTenths int64) {
	var start, edge int64 // start of frame i in ns, edge of the block in tenths of ns
	var part float64      // of frame i before the last edge
	i, first := 0, 0
	for k := range rates {
		edge += blockTenths
		for i < len(x) && 10*(start+x[i]) <= edge {
			start += x[i]
			i++
		}
		var fraction float64
		if i < len(x) {
			fraction = float64(edge-10*start) / float64(10*x[i])
		}
		frames := float64(i-first) + (fraction - part)
		rates[k] = float64(frames*secondTenths) / float64(blockTenths)
		first, part = i, fraction
	}
}

// BlockRates are the frame rates in fps of ten blocks of equal time over all of some frame times in ns, as a pass's profile has them; nil for
// none.
func BlockRates(frameNS []int64) []float64 {
	total := Duration(frameNS)
	if total <= 0 {
		return nil
	}
	rates := make([]float64, profileBlocks)
	blockRates(rates, frameNS, total) // a tenth of the time in ns is the time in tenths of ns
	return rates
}

// SecondRates are the frame rates in fps of each whole second from the first of some frame times in ns on, as a pass's are; nil for none and for what
// lasts longer than a day.
func SecondRates(frameNS []int64) []float64 {
	seconds := Duration(frameNS) / nsPerSecond
	if seconds < 1 || seconds > maxSeconds {
		return nil
	}
	rates := make([]float64, seconds)
	blockRates(rates, frameNS, secondTenths)
	return rates
}

// SecondsBeside gives by how many percent each second of pass k is faster than the median of all passes in that second, over the seconds that all
// have (definitions, section 2, "Siblings": what pictures show). It is nil for a single pass.
func SecondsBeside(rates [][]float64, k int) []Value {
	if len(rates) < 2 {
		return nil
	}
	shared := len(rates[k])
	for _, r := range rates {
		shared = min(shared, len(r))
	}
	out, column := make([]Value, shared), make([]float64, len(rates))
	for at := range out {
		for i, r := range rates {
			column[i] = r[at]
		}
		if m := medianOf(column); m > 0 {
			out[at] = Known(100 * (rates[k][at]/m - 1))
		} else {
			out[at] = Absent("no frame in this second")
		}
	}
	return out
}

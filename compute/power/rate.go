package power

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

// Rate is how fast frames came at both ends of a load, in frames per second, and by how many percent the end differs from the start. It is of
// the card only where the load shows the same scenes in both stretches. A note, counted from the first frame, says that the end is slower by
// more than 2 %.
type Rate struct {
	StartFPS, EndFPS compute.Value
	ChangePct        compute.Value
	DriftPct, DriftP compute.Value // of ten tenths of the load (compute.Drift): whether it is a trend, or scenes that differ
	Notes            []series.Note
}

// OfRate works out the frame rate over the first and over the last windowNS of a load from all of its frame times in ns, laid end to end: frames
// that lie wholly within, over their own time. All are absent where the load is shorter than both stretches together, or one holds no
// whole frame.
func OfRate(frameNS []int64, windowNS int64) Rate {
	total := compute.Duration(frameNS)
	none := func(why string) Rate {
		v := compute.Absent(why)
		return Rate{v, v, v, v, v, nil}
	}
	switch {
	case len(frameNS) == 0:
		return none("no frames were counted")
	case windowNS <= 0 || total < 2*windowNS:
		return none(fmt.Sprintf("the frames last %s, and twice %s are needed to set the end against the start", series.Span{ToNS: total}.Long(),
			series.Span{ToNS: windowNS}.Long()))
	}
	first, last := 0, len(frameNS)
	var atStart, atEnd int64
	for first < len(frameNS) && atStart+frameNS[first] <= windowNS {
		atStart += frameNS[first]
		first++
	}
	for last > 0 && atEnd+frameNS[last-1] <= windowNS {
		last--
		atEnd += frameNS[last]
	}
	if first == 0 || last == len(frameNS) {
		return none("a frame lasts longer than " + series.Span{ToNS: windowNS}.Long())
	}
	start, end := float64(first)*1e9/float64(atStart), float64(len(frameNS)-last)*1e9/float64(atEnd)
	r := Rate{StartFPS: compute.Known(start), EndFPS: compute.Known(end), ChangePct: compute.Known(100 * (end/start - 1))}
	r.DriftPct, r.DriftP = rateDrift(frameNS)
	if r.ChangePct.X < -sagPct {
		r.Notes = []series.Note{{Flag: FlagRateSag, Span: series.Span{FromNS: total - windowNS, ToNS: total},
			Says: fmt.Sprintf("the frame rate of the last %s is %.1f %% below that of the first, %.1f against %.1f fps",
				series.Span{ToNS: windowNS}.Long(), -r.ChangePct.X, end, start) + r.trend()}}
	}
	return r
}

// rateDrift is the drift of the frame rates of ten tenths of the frames, on their logarithms.
func rateDrift(frameNS []int64) (pct, p compute.Value) {
	logs := compute.BlockRates(frameNS)
	for i, rate := range logs {
		if rate <= 0 {
			none := compute.Absent("a tenth of the load has no frame")
			return none, none
		}
		logs[i] = math.Log(rate)
	}
	return compute.Drift(logs)
}

// trend says whether the tenths of the load show what its two ends do.
func (r Rate) trend() string {
	switch {
	case !r.DriftP.OK:
		return ""
	case r.DriftP.X < sagP && r.DriftPct.X < 0:
		return fmt.Sprintf("; its tenths fall too (p = %.2g)", r.DriftP.X)
	}
	return fmt.Sprintf("; its tenths show no fall (p = %.2g), so the scenes of both ends may differ", r.DriftP.X)
}

package power

import (
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

// shortestNS is how long a fan must stand or turn for it to be one or the other: a single wrong reading is neither.
const shortestNS = 3 * secondNS

// Threshold is the temperature in °C at which a fan changed between standing and turning: the median of Crossings times that it did, the
// lowest and the highest of them.
type Threshold struct {
	MedianC, LowC, HighC compute.Value
	Crossings            int
}

// Fan is how a fan turned: TypicalRPM is its time-weighted median under load, Start and Stop are over the whole log.
type Fan struct {
	TypicalRPM  compute.Value
	Start, Stop Threshold
	Notes       []series.Note
}

// OfFan works out how a fan turned under load and at which temperature it starts and stops. It stands at 0 and turns above; either
// must last 3 s. A crossing is at the temperature, on the straight line between samples, in the middle between the last sample
// before and the first after it, so it is known to what the temperature moves in half an interval of the fan's log. Crossings that fall into a
// gap of either log are not counted. The fan's own controller may go by a sensor that was not logged: name the probe with the threshold.
func OfFan(rpm, temperature *series.Series, load series.Span) Fan {
	f := Fan{TypicalRPM: rpm.Quantile(load, 0.5), Notes: rpm.GapNotes(load)}
	var starts, stops []float64
	runs := runsOf(rpm)
	stood, turned, missed := false, false, false
	for k, r := range runs {
		stood, turned = stood || !r.turns, turned || r.turns
		if k == 0 {
			continue
		}
		midNS := runs[k-1].lastNS + (r.firstNS-runs[k-1].lastNS)/2
		at := temperature.At(midNS)
		switch {
		case !at.OK || !rpm.At(midNS).OK:
			missed = true
		case r.turns:
			starts = append(starts, at.X)
		default:
			stops = append(stops, at.X)
		}
	}
	why := "the fan never " + map[bool]string{true: "stands", false: "turns"}[turned] + " in this log"
	switch {
	case len(runs) == 0:
		why = "the fan was not logged"
	case missed:
		why = "it happens where a log has a gap, or ends"
	case stood && turned:
		why = "it does not happen in this log"
	}
	f.Start, f.Stop = threshold(starts, why), threshold(stops, why)
	return f
}

func threshold(temperatures []float64, why string) Threshold {
	if len(temperatures) == 0 {
		none := compute.Absent(why)
		return Threshold{none, none, none, 0}
	}
	slices.Sort(temperatures)
	n := len(temperatures)
	return Threshold{compute.Quantile(temperatures, 0.5, compute.DefaultQuantileType), compute.Known(temperatures[0]), compute.Known(temperatures[n-1]), n}
}

// run is a stretch in which a fan stands or turns, by its first and its last sample.
type run struct {
	turns           bool
	firstNS, lastNS int64
}

// runsOf splits a fan's log into runs. One that is over within 3 s, up to the first sample of the next, belongs to the one before it; the
// first of a log has none before it and stays, and so does the last, which may go on.
func runsOf(rpm *series.Series) (runs []run) {
	for i := range rpm.Len() {
		atNS, v := rpm.Sample(i)
		last := len(runs) - 1
		if last >= 0 && runs[last].turns == (v > 0) {
			runs[last].lastNS = atNS
			continue
		}
		if last > 0 && atNS-runs[last].firstNS < shortestNS { // then this sample is of the kind before the short one
			runs = runs[:last]
			runs[last-1].lastNS = atNS
			continue
		}
		runs = append(runs, run{v > 0, atNS, atNS})
	}
	return runs
}

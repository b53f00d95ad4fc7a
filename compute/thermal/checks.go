package thermal

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

const (
	stuckNS       = 2 * minuteNS
	powerMoves    = 0.2  // of the highest mean of a minute
	lengthAllowed = 0.01 // of the declared length, by which a load may be shorter
	warmUpNS      = 2 * minuteNS
)

// short tells that a load is shorter than the protocol has it, by more than a hundredth.
func short(load series.Span, lengthNS int64) []series.Note {
	if declared := float64(lengthNS) / 1e9; load.Seconds() < declared*(1-lengthAllowed) {
		return []series.Note{{Flag: FlagShortSoak, Span: load,
			Says: fmt.Sprintf("the load lasted %s, and %s are declared", load.Long(), series.Span{ToNS: lengthNS}.Long())}}
	}
	return nil
}

// detached tells of the first whole minute, past the first two of a load, in which a probe is colder than the room: nothing under load is,
// so it has come off, or it is another channel.
func (a Ambient) detached(log *series.Series, load series.Span) []series.Note {
	for from := load.FromNS + warmUpNS; from+minuteNS <= load.ToNS; from += minuteNS {
		w := series.Span{FromNS: from, ToNS: from + minuteNS}
		probe, room := log.Mean(w), a.ReadingC
		if a.Log != nil {
			room = a.Log.Mean(w)
		}
		if probe.OK && room.OK && probe.X < room.X {
			return []series.Note{{Flag: FlagDetached, Span: series.Span{FromNS: from, ToNS: load.ToNS},
				Says: fmt.Sprintf("at %.1f °C in a room of %.1f °C, from %s into the load on: has the probe come off?",
					probe.X, room.X, series.Span{FromNS: load.FromNS, ToNS: from}.Long())}}
		}
	}
	return nil
}

// Stuck tells of a sensor that shows one value for at least two minutes without a gap while the mean power of those minutes moves by more
// than a fifth: the longest such stretch of the whole log, since the power moves most where the load begins and ends. A steady card shows one
// value too, in whole degrees, but not while its power moves.
func Stuck(log, power *series.Series) []series.Note {
	var longest series.Span
	var value, low, high float64
	for from := 0; from < log.Len(); {
		startNS, v := log.Sample(from)
		endNS, to := startNS, from+1
		for ; to < log.Len(); to++ {
			atNS, next := log.Sample(to)
			if next != v || !log.At((endNS+atNS)/2).OK {
				break
			}
			endNS = atNS
		}
		w := series.Span{FromNS: startNS, ToNS: endNS}
		if w.Seconds() >= float64(stuckNS)/1e9 && w.Seconds() > longest.Seconds() {
			if lo, hi := minutesOf(power, w); hi-lo > powerMoves*hi {
				longest, value, low, high = w, v, lo, hi
			}
		}
		from = to
	}
	if longest.Seconds() == 0 {
		return nil
	}
	says := fmt.Sprintf("%g °C for %s, while the power of a minute went between %.0f and %.0f W", value, longest.Long(), low, high)
	return []series.Note{{Flag: FlagStuck, Says: says, Span: longest}}
}

// minutesOf returns the lowest and the highest mean of the whole minutes of a span.
func minutesOf(power *series.Series, w series.Span) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for from := w.FromNS; from+minuteNS <= w.ToNS; from += minuteNS {
		if mean := power.Mean(series.Span{FromNS: from, ToNS: from + minuteNS}); mean.OK {
			low, high = min(low, mean.X), max(high, mean.X)
		}
	}
	return low, high
}

// Group is the hottest of several probes. PeakC is the highest sample of any, and Hottest the place of the probe that had it, −1 where
// there is none. Log is the highest of all at each instant at which all have a value, for OfProbe to work out the rest; nil, with Why, where
// there is no such instant.
type Group struct {
	PeakC   series.Peak
	Hottest int
	Log     *series.Series
	Why     string
}

// OfGroup finds the hottest of a group of probes under load; of equal peaks, the first probe's.
func OfGroup(probes []*series.Series, load series.Span) Group {
	g := Group{Hottest: -1, PeakC: series.Peak{Value: compute.Absent("no probe of the group has a sample under load")}}
	for i, p := range probes {
		if peak := p.Peak(load); peak.OK && (!g.PeakC.OK || peak.X > g.PeakC.X) {
			g.PeakC, g.Hottest = peak, i
		}
	}
	if g.Log = series.Highest(probes); g.Log == nil {
		g.Why = "the probes of the group were never logged at one time"
	}
	return g
}

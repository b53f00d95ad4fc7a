// Package power makes the figures of a load's power, clock and fan out of their series: what the card drew and what a frame cost, whether
// its clock sagged or a power limit held it, how fast its fan turned and at which temperature it starts and stops.
//
// The model: energy is the mean power times all of the time, and only where the log saw nearly all of it. A peak belongs with how often
// the sensor was read; the peak of the means over a second is what two sensors can be compared by. Where power was measured, on the
// chip, the board, in line or at the wall, is for the caller to keep apart: these functions see watts.
//
// Rejected: energy from the samples under load alone, as mean times sampled time. It reads the same on a good log, and quietly leaves out
// what a bad one missed.
//
// Power is in W, energy in J, clocks in MHz, fan speeds in rpm, times in ns from the log's start. It is for the bench measurements of a
// review and the passes that have a sensor log, which are to call it. Everything here is a pure function. Definitions, section 6.
package power

import (
	"fmt"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

const secondNS = int64(1e9)

// Power is what a load drew. Peaks go with IntervalNS, how often the sensor was read; SecondW is the highest moving mean over 1 s.
// EnergyJ and what rests on it are absent where the log covers less than 95 % of the load.
type Power struct {
	IntervalNS      int64
	Coverage        compute.Value
	MeanW           compute.Value
	PeakW, SecondW  series.Peak
	EnergyJ         compute.Value
	EnergyPerFrameJ compute.Value
	FramesPerJ      compute.Value
	Notes           []series.Note
}

// OfPower works out the power of a load, or of the kept part of a pass, in which so many frames were shown; 0 where they were not counted.
func OfPower(log *series.Series, load series.Span, frames int) Power {
	p := Power{IntervalNS: log.IntervalNS(), Coverage: log.Coverage(load), MeanW: log.Mean(load), PeakW: log.Peak(load),
		SecondW: log.MovingPeak(load, secondNS), EnergyJ: log.Integral(load), Notes: log.GapNotes(load)}
	switch {
	case !p.EnergyJ.OK:
		p.EnergyPerFrameJ, p.FramesPerJ = p.EnergyJ, p.EnergyJ
	case frames <= 0:
		none := compute.Absent("no frames were counted")
		p.EnergyPerFrameJ, p.FramesPerJ = none, none
	case p.EnergyJ.X <= 0:
		none := compute.Absent(fmt.Sprintf("the energy is %g J; a share of it needs more than 0", p.EnergyJ.X))
		p.EnergyPerFrameJ, p.FramesPerJ = none, none
	default:
		p.EnergyPerFrameJ = compute.Known(p.EnergyJ.X / float64(frames))
		p.FramesPerJ = compute.Known(float64(frames) / p.EnergyJ.X)
	}
	return p
}

const (
	limitedShare = 0.5  // of the whole seconds
	limitedPower = 0.98 // of the median power
	limitedClock = 0.95 // of the highest clock
	enoughSecond = 0.95 // of a second that must be logged for it to count
)

// Limit is whether a power limit held a card. Share is how much of the load, by whole seconds, was as a limit makes it; Holds says that it
// was half or more, and FromNS from which second on, counted from the log's start.
type Limit struct {
	Share  compute.Value
	Holds  bool
	FromNS int64
	Notes  []series.Note
}

// OfLimit looks for a power limit: seconds in which the mean power is at least 98 % of its median over the load while the mean clock is
// at most 95 % of the highest sample under load. A card that nothing holds lowers its power with its clock. It is absent where less
// than half of the whole seconds were logged by both.
func OfLimit(power, clock *series.Series, load series.Span) Limit {
	usual, highest := power.Quantile(load, 0.5), clock.Peak(load)
	for _, v := range []compute.Value{usual, highest.Value} {
		if !v.OK {
			return Limit{Share: v}
		}
	}
	var whole, seen, held int
	var fromNS int64
	for from := load.FromNS; from+secondNS <= load.ToNS; from += secondNS {
		whole++
		w := series.Span{FromNS: from, ToNS: from + secondNS}
		if power.Coverage(w).X < enoughSecond || clock.Coverage(w).X < enoughSecond {
			continue
		}
		seen++
		if power.Mean(w).X >= limitedPower*usual.X && clock.Mean(w).X <= limitedClock*highest.X {
			if held == 0 {
				fromNS = from
			}
			held++
		}
	}
	if whole == 0 || 2*seen < whole {
		return Limit{Share: compute.Absent(fmt.Sprintf("power and clock were logged together in %d of %d whole seconds, and half are needed", seen, whole))}
	}
	l := Limit{Share: compute.Known(float64(held) / float64(whole))}
	if l.Share.X < limitedShare {
		return l
	}
	l.Holds, l.FromNS = true, fromNS
	began := series.Span{FromNS: load.FromNS, ToNS: fromNS}
	l.Notes = []series.Note{{Flag: FlagPowerLimited, Span: series.Span{FromNS: fromNS, ToNS: load.ToNS},
		Says: fmt.Sprintf("a power limit holds it from %s into the load on: about %.0f W, and a clock that was %.0f MHz is at %.0f MHz",
			began.Long(), usual.X, highest.X, clock.Quantile(load, 0.5).X)}}
	return l
}

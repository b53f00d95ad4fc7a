// Package thermal makes the figures of a soak's temperatures out of the series of its probes: peaks, the end of the soak, where the
// temperature is heading, how far it is above the room, which probe of a group is the hottest, how it cools, and what speaks against
// a probe or a room.
//
// The model: a card in a room approaches a final temperature as one or two exponentials, and the log either shows that it has arrived
// or lets it be forecast, or neither can be said. A forecast is given only where the curve describes the log down to its noise, the
// final temperature comes out with less than 1 K of uncertainty, and the soak outlasts twice the slowest time constant: a curve fitted to
// a shorter stretch fits well and forecasts badly. A fan that speeds up, a power limit and a sensor in whole degrees all break the
// curve, and then the honest answer is that there is none.
//
// Rejected: calling a soak settled when the temperature moves by less than so much in so many minutes, alone. A slow heatsink moves little
// a minute and is many degrees from its end; that rule is kept for where no curve fits, and has a name of its own.
//
// Temperatures are in °C, differences in K, times in ns from the log's start. It is for the bench measurements of a review, which are to
// call it. Everything here is a pure function. Definitions, section 6.
package thermal

import (
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

const (
	secondNS    = int64(1e9)
	minuteNS    = 60 * secondNS
	sustainedNS = 10 * secondNS
	// DefaultSettleNS is how much of the end of a soak its last temperature is averaged over where a plan says nothing.
	DefaultSettleNS = 2 * minuteNS
	steadyNS        = 5 * minuteNS // of two means that must agree
	enoughOfWindow  = 0.5          // what share of a window a mean must have seen to be given for it
)

// Protocol is how a soak was to be made, and in which room. SettleNS of 0 is DefaultSettleNS; LengthNS of 0 is a length not declared.
type Protocol struct {
	SettleNS, LengthNS int64
	Ambient            Ambient
}

// Probe is what one sensor says of a soak. Peaks are over the load, in °C; IntervalNS is how often they were looked for. EndC is the
// time-weighted mean over the end of the soak. RiseK is EndC above the room, NormalisedC what EndC would be in a room at the reference
// temperature if everything rose with it: the fan may in truth turn otherwise there. Coverage is the share of the load that was logged.
type Probe struct {
	IntervalNS  int64
	Coverage    compute.Value
	PeakC       series.Peak
	SustainedC  series.Peak // of the moving means over 10 s
	EndC        compute.Value
	Heating     Model
	Settling    Settling
	RiseK       compute.Value
	NormalisedC compute.Value
	AmbientC    compute.Value
	Notes       []series.Note
}

// SustainedWindow is the ten seconds that the sustained peak is the mean of; without length where there is none.
func (p Probe) SustainedWindow() series.Span {
	if !p.SustainedC.OK {
		return series.Span{}
	}
	return series.Span{FromNS: p.SustainedC.AtNS - sustainedNS, ToNS: p.SustainedC.AtNS}
}

// OfProbe works out what a probe says of a soak under load.
func OfProbe(log *series.Series, load series.Span, p Protocol) Probe {
	settleNS := p.SettleNS
	if settleNS == 0 {
		settleNS = DefaultSettleNS
	}
	r := Probe{IntervalNS: log.IntervalNS(), Coverage: log.Coverage(load), PeakC: log.Peak(load), SustainedC: log.MovingPeak(load, sustainedNS),
		EndC: endOf(log, load, settleNS), AmbientC: p.Ambient.MeanC(load)}
	r.Heating, r.Settling = heating(log, load, settleNS, p.Ambient.Log)
	r.RiseK = p.Ambient.rise(r.EndC, r.AmbientC)
	r.NormalisedC = p.Ambient.normalised(r.EndC, r.AmbientC)
	r.Notes = slices.Concat(log.GapNotes(load), short(load, p.LengthNS), p.Ambient.detached(log, load))
	return r
}

// endOf is the time-weighted mean over the last stretch of a load, absent where the load is shorter or half of the stretch was not logged.
func endOf(log *series.Series, load series.Span, lengthNS int64) compute.Value {
	if load.Seconds() < float64(lengthNS)/1e9 {
		return compute.Absent(fmt.Sprintf("the load of %s is shorter than the %s at its end that count",
			load.Long(), series.Span{ToNS: lengthNS}.Long()))
	}
	return seen(log, load.Last(lengthNS))
}

// seen is the mean over a window of which at least half was logged.
func seen(log *series.Series, w series.Span) compute.Value {
	covered := log.Coverage(w)
	if covered.OK && covered.X < enoughOfWindow {
		return compute.Absent(fmt.Sprintf("the log covers %.0f %% of the last %s of the load, and half is needed", 100*covered.X, w.Long()))
	}
	return log.Mean(w)
}

// State says whether a soak has come to its end.
type State string

// The states of a soak.
const (
	Settled    State = "settled"     // the forecast says that it is within 0.5 K of its end
	Steady     State = "steady"      // no forecast, and the last five minutes are as the five before
	NotSettled State = "not settled" // neither
)

const (
	settledK = 0.5
	steadyK  = 0.3
)

// Settling is whether a soak has come to its end, and what that rests on. ToGoK is how far the end of the soak is from the forecast final
// temperature, signed, positive where it would still rise; StepK by how much the mean of the last five minutes differs from the one before.
type Settling struct {
	State        State
	Why          string
	ToGoK, StepK compute.Value
}

// heating fits the heating of a probe, above the room where that was logged, and says whether it has settled.
func heating(log *series.Series, load series.Span, settleNS int64, room *series.Series) (Model, Settling) {
	above := log
	if room != nil {
		if above = log.Above(room); above == nil {
			why := "the room was not logged while the probe was"
			none := compute.Absent(why)
			return Model{UFinal: math.Inf(1), OverAmbient: true}.without(why), Settling{NotSettled, why, none, none}
		}
	}
	m := FitModel(above, load, room != nil)
	return m, settling(m, above, load, endOf(above, load, settleNS))
}

// settling holds the end of a soak against its forecast, or its last minutes against each other (definitions, section 6, "settled").
func settling(m Model, log *series.Series, load series.Span, end compute.Value) Settling {
	s := Settling{State: NotSettled, ToGoK: m.FinalC, StepK: lastStep(log, load)}
	if m.FinalC.OK {
		if s.ToGoK = end; !end.OK {
			s.Why = end.Why
			return s
		}
		s.ToGoK = compute.Known(m.FinalC.X - end.X)
		doubt := compute.TQuantile(0.95, float64(m.DF())) * m.UFinal
		if math.Abs(s.ToGoK.X)+doubt <= settledK {
			s.State = Settled
		}
		s.Why = fmt.Sprintf("%.2f K from the forecast end, itself known to %.2f K; settled is up to %g K together",
			math.Abs(s.ToGoK.X), doubt, settledK)
		return s
	}
	if !s.StepK.OK {
		s.Why = m.FinalC.Why + "; " + s.StepK.Why
		return s
	}
	if math.Abs(s.StepK.X) <= steadyK {
		s.State = Steady
	}
	s.Why = fmt.Sprintf("%s; the last 5 min are %+.2f K from the 5 min before, steady is up to %g K", m.FinalC.Why, s.StepK.X, steadyK)
	return s
}

// lastStep is the mean of the last five minutes less that of the five before.
func lastStep(log *series.Series, load series.Span) compute.Value {
	if load.Seconds() < 2*float64(steadyNS)/1e9 {
		return compute.Absent(fmt.Sprintf("steadiness needs 10 min of load, and there are %s", load.Long()))
	}
	cut := load.ToNS - steadyNS
	last := seen(log, series.Span{FromNS: cut, ToNS: load.ToNS})
	before := seen(log, series.Span{FromNS: cut - steadyNS, ToNS: cut})
	switch {
	case !last.OK:
		return last
	case !before.OK:
		return before
	}
	return compute.Known(last.X - before.X)
}

// Cooling is what comes after the load: from the probe's last sample under it to its last of all, over LastsS from the end of the load.
type Cooling struct {
	StartC, EndC, DropK compute.Value
	LastsS              float64
	Model               Model
}

// OfCooling works out how a probe cools after a load, above the room where that was logged, which may be nil.
func OfCooling(log *series.Series, load series.Span, room *series.Series) Cooling {
	after := series.Span{FromNS: load.ToNS, ToNS: log.Whole().ToNS}
	if log.Len() == 0 || after.ToNS <= after.FromNS {
		why := "the log ends with the load"
		none := compute.Absent(why)
		return Cooling{StartC: none, EndC: none, DropK: none, Model: Model{UFinal: math.Inf(1)}.without(why)}
	}
	c := Cooling{StartC: compute.Absent("no sample under load"), EndC: log.At(after.ToNS), LastsS: after.Seconds()}
	if under := log.Values(load); len(under) > 0 {
		c.StartC = compute.Known(under[len(under)-1])
	}
	if c.DropK = c.StartC; c.StartC.OK {
		c.DropK = compute.Known(c.StartC.X - c.EndC.X)
	}
	if room != nil {
		if log = log.Above(room); log == nil {
			c.Model = Model{UFinal: math.Inf(1), OverAmbient: true}.without("the room was not logged while the probe was")
			return c
		}
	}
	c.Model = FitModel(log, after, room != nil)
	return c
}

package thermal

import (
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

const (
	ambientNS         = 10 * minuteNS // of the end of the room's log that count
	mostNormalisedK   = 3.0
	defaultToleranceK = 1.0 // of a room whose drift is looked at without a declared one
	ambientBlocks     = 10
	driftP            = 0.05
)

// Ambient is the room of a soak, in °C. Log is nil where it was not logged; ReadingC is what a person read off and wrote down. The others
// are what the protocol asks for and states. All but Log may be absent; an absent one's own reason is not shown.
type Ambient struct {
	Log        *series.Series
	ReadingC   compute.Value
	TargetC    compute.Value
	ToleranceK compute.Value
	ReferenceC compute.Value
	AccuracyK  compute.Value // of the room's thermometer, a limit of error
}

// MeanC is the temperature of the room at the end of a load: the time-weighted mean of the last 10 min of its log up to there, or of all
// there is if that is less, else the reading.
func (a Ambient) MeanC(load series.Span) compute.Value {
	if a.Log == nil {
		if a.ReadingC.OK {
			return a.ReadingC
		}
		return compute.Absent("no room temperature was recorded")
	}
	w := a.Log.Whole()
	if w.ToNS = min(w.ToNS, load.ToNS); w.ToNS <= w.FromNS {
		return compute.Absent("the room was not logged before the end of the load")
	}
	if early := (series.Span{FromNS: w.ToNS, ToNS: load.ToNS}); load.ToNS-w.ToNS > ambientNS {
		return compute.Absent(fmt.Sprintf("the log of the room ends %s before the load does", early.Long()))
	}
	return a.Log.Mean(w.Last(ambientNS))
}

// rise is a temperature above the room.
func (a Ambient) rise(t, room compute.Value) compute.Value {
	switch {
	case !t.OK:
		return t
	case !room.OK:
		return room
	}
	return compute.Known(t.X - room.X)
}

// normalised is a temperature moved to the reference room, if that is near enough for all else to stay as it is.
func (a Ambient) normalised(t, room compute.Value) compute.Value {
	switch {
	case !t.OK:
		return t
	case !room.OK:
		return room
	case !a.ReferenceC.OK:
		return compute.Absent("no reference room temperature is declared")
	}
	away := a.ReferenceC.X - room.X
	if math.Abs(away) > mostNormalisedK {
		return compute.Absent(fmt.Sprintf("the room at %.1f °C is %.1f K from the reference of %.1f °C, and up to %g K may be allowed for",
			room.X, math.Abs(away), a.ReferenceC.X, mostNormalisedK))
	}
	return compute.Known(t.X + away)
}

// AboveUncertainty is that of a temperature above the room, or moved to the reference room, in K: that of the temperature with the limits of
// the room's thermometer. A logger that both were read with errs on both alike; counting it twice errs to the wide side.
func (a Ambient) AboveUncertainty(of compute.Uncertainty) compute.Uncertainty {
	switch {
	case !of.Standard.OK:
		return of
	case !a.AccuracyK.OK:
		return compute.NoUncertainty("the accuracy of the room's thermometer is not stated")
	}
	return compute.Combine(append(slices.Clone(of.Budget), compute.Limits("room's thermometer", a.AccuracyK.X))...)
}

// Check says what is wrong with the room over a load: that it left its tolerance, in the mean of some tenth of the load, or that it
// drifted, by a trend over the tenths (compute.Trend, p below 0.05) of more than the tolerance from one end to the other.
func (a Ambient) Check(load series.Span) (notes []series.Note) {
	if a.Log == nil {
		if a.ReadingC.OK && a.outside(a.ReadingC.X) {
			notes = append(notes, series.Note{Flag: FlagRoomOutside, Says: a.saysOutside(a.ReadingC.X), Span: load})
		}
		return notes
	}
	var means []float64
	var worst series.Note
	away := 0.0
	for _, block := range load.Blocks(ambientBlocks) {
		mean := a.Log.Mean(block)
		if !mean.OK {
			continue
		}
		means = append(means, mean.X)
		if d := math.Abs(mean.X - a.TargetC.X); a.outside(mean.X) && d > away {
			away, worst = d, series.Note{Flag: FlagRoomOutside, Says: a.saysOutside(mean.X), Span: block}
		}
	}
	if away > 0 {
		notes = append(notes, worst)
	}
	tolerance := defaultToleranceK
	if a.ToleranceK.OK {
		tolerance = a.ToleranceK.X
	}
	slope, p := compute.Trend(means)
	if drift := slope.X * float64(len(means)); slope.OK && p.X < driftP && math.Abs(drift) > tolerance {
		notes = append(notes, series.Note{Flag: FlagRoomDrift, Span: load,
			Says: fmt.Sprintf("the room drifted by %+.1f K over the load, and up to %g K is accepted", drift, tolerance)})
	}
	return notes
}

func (a Ambient) outside(c float64) bool {
	return a.TargetC.OK && a.ToleranceK.OK && math.Abs(c-a.TargetC.X) > a.ToleranceK.X
}

func (a Ambient) saysOutside(c float64) string {
	return fmt.Sprintf("the room was at %.1f °C, and %.1f ± %g °C is asked for", c, a.TargetC.X, a.ToleranceK.X)
}

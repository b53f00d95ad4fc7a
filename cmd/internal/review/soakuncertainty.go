package review

import (
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/compute/thermocouple"
	"github.com/rigslate/rigslate/plan"
)

// chain is what a thermocouple's temperature comes through.
func (b *soakBench) chain(t *plan.Thermocouple) thermocouple.Chain {
	c := thermocouple.Chain{Class: thermocouple.Class(t.Class), Accuracy: compute.Absent("the logger's accuracy is not stated"),
		Resolution: compute.Absent("the logger's resolution is not stated"), Mount: b.soak.Logger.MountC}
	if x := b.soak.Logger.AccuracyC; x > 0 {
		c.Accuracy = compute.Known(x)
	}
	if x := b.soak.Logger.ResolutionC; x > 0 {
		c.Resolution = compute.Known(x)
	}
	return c
}

// wire is what a probe's temperatures come through; nil for a sensor of the card. peak are the samples of the ten seconds that the sustained
// peak is of.
func (b *soakBench) wire(p plan.Probe, end, peak []float64) *wire {
	if p.Thermocouple == nil {
		return nil
	}
	return &wire{p.Name, p.Thermocouple.PerCard, b.chain(p.Thermocouple), end, peak}
}

// uncertain gives the temperatures of a probe the uncertainty that its chain and the room's thermometer leave them. The highest of many
// samples has none: it is no mean, and chance can only raise it.
func (b *soakBench) uncertain(f *SoakProbe, p plan.Probe, room thermal.Ambient, end []float64) {
	of := func(v compute.Value, samples []float64) compute.Uncertainty {
		switch {
		case !v.OK:
			return compute.NoUncertainty(v.Why)
		case p.Thermocouple == nil:
			return thermocouple.OnDie()
		}
		return b.chain(p.Thermocouple).Uncertainty(thermocouple.Mean{Celsius: v.X, Samples: samples})
	}
	f.EndU, f.PeakU, f.SustainedU = of(f.EndC, end), of(f.PeakC.Value, nil), of(f.SustainedC.Value, nil)
	if f.wire != nil {
		f.SustainedU = of(f.SustainedC.Value, f.wire.peak)
	}
	if f.wire != nil && f.PeakC.OK {
		f.PeakU = compute.NoUncertainty("the highest of many samples leans to the high side")
	}
	above := func(v compute.Value) compute.Uncertainty {
		if !v.OK {
			return compute.NoUncertainty(v.Why)
		}
		return room.AboveUncertainty(f.EndU)
	}
	f.RiseU, f.NormalisedU = above(f.RiseK), above(f.NormalisedC)
}

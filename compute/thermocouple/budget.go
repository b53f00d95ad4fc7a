package thermocouple

import (
	"fmt"

	"github.com/rigslate/rigslate/compute"
)

// Chain is what a temperature comes through: the probe's class, the accuracy (± , of the logger with its cold junction) and the step of
// the logger, and the standard uncertainty of how well a junction sits where it should. The accuracy and the step may not be stated.
type Chain struct {
	Class      Class
	Accuracy   compute.Value // K
	Resolution compute.Value // K
	Mount      float64       // K
}

// Mean is a mean temperature in °C and, in their order, the samples it is of.
type Mean struct {
	Celsius float64
	Samples []float64
}

// What contributes, as it is called in a budget.
const (
	ofClass      = "class tolerance"
	ofLogger     = "logger accuracy"
	ofResolution = "resolution"
	ofMount      = "placement"
	ofScatter    = "scatter"
)

// Uncertainty is that of one temperature, in K (definitions, section 6; JCGM 100:2008; tolerances of IEC 60584-1).
func (c Chain) Uncertainty(m Mean) compute.Uncertainty {
	return compute.Combine(stated(ofClass, c.Class.Tolerance(m.Celsius), compute.Limits), c.logger(), c.resolution(), c.mount(),
		compute.Sampled(ofScatter, m.Samples))
}

// DifferenceUncertainty is that of the difference of two temperatures, in K, measured with the same probe and logger, the probe mounted
// anew. The logger's error drops out; of the class's there remains the error of its slope over the difference. For two probes, or two
// loggers, the budgets of both sides are joined instead: compute.Combine(append(a.Budget, b.Budget…)…).
func (c Chain) DifferenceUncertainty(a, b Mean) compute.Uncertainty {
	parts := []compute.Contribution{c.slope(a.Celsius, b.Celsius)}
	for _, side := range []Mean{a, b} {
		parts = append(parts, c.resolution(), c.mount(), compute.Sampled(ofScatter, side.Samples))
	}
	return compute.Combine(parts...)
}

func (c Chain) logger() compute.Contribution { return stated(ofLogger, c.Accuracy, compute.Limits) }

func (c Chain) resolution() compute.Contribution {
	return stated(ofResolution, c.Resolution, compute.Resolution)
}

func (c Chain) mount() compute.Contribution { return compute.Stated(ofMount, c.Mount) }

// slope is what the class leaves of its tolerance in a difference; both temperatures must lie where the class has one.
func (c Chain) slope(a, b float64) compute.Contribution {
	for _, celsius := range []float64{a, b} {
		if t := c.Class.Tolerance(celsius); !t.OK {
			return stated(ofClass, t, compute.Limits)
		}
	}
	return compute.Limits(ofClass, classes[c.Class].slope*max(a-b, b-a))
}

// stated makes a contribution of a value that may be absent.
func stated(name string, v compute.Value, of func(string, float64) compute.Contribution) compute.Contribution {
	switch {
	case v.OK:
		return of(name, v.X)
	case v.Why == "":
		return compute.Contribution{Name: name, Why: fmt.Sprintf("%s: not stated", name)}
	}
	return compute.Contribution{Name: name, Why: fmt.Sprintf("%s: %s", name, v.Why)}
}

// OnDie is the uncertainty of a sensor on the chip: its maker states no calibration, so there is none to work with.
func OnDie() compute.Uncertainty { return compute.NoUncertainty("calibration not stated") }

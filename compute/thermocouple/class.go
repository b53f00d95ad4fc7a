package thermocouple

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
)

// Class is what a thermocouple's maker warrants: 1, 2 or 3 of IEC 60584-1. The zero Class is one that nobody states.
type Class int

// classes are the tolerances of type K: the greater of a fixed one and a share of the temperature in °C, within limits in °C.
var classes = map[Class]struct{ fixed, slope, least, most float64 }{
	1: {1.5, 0.004, -40, 1000},
	2: {2.5, 0.0075, -40, 1200},
	3: {2.5, 0.015, -200, 40},
}

// Tolerance is the largest error at a temperature, in K, that the class allows. Outside its limits a class has none.
func (c Class) Tolerance(celsius float64) compute.Value {
	of, ok := classes[c]
	switch {
	case c == 0:
		return compute.Absent("the class of the thermocouple is not stated")
	case !ok:
		return compute.Absent(fmt.Sprintf("%d is no class of thermocouples; there are 1, 2 and 3", int(c)))
	case !(celsius >= of.least && celsius <= of.most):
		return compute.Absent(fmt.Sprintf("class %d has no tolerance at %.4g °C, only from %g to %g °C", int(c), celsius, of.least, of.most))
	}
	return compute.Known(max(of.fixed, float64(of.slope*math.Abs(celsius))))
}

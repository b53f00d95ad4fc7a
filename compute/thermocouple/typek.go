// Package thermocouple turns the voltage of a type K thermocouple into a temperature, and says how far that temperature, or the
// difference of two, may be off.
//
// The model: a wire pair within its class is off by an unknown share of its tolerance, a logger by a share of its accuracy, a junction
// by how it was placed, and a mean by the scatter of its samples. What one probe and one logger get wrong at one temperature they get
// all but equally wrong at another, so it drops out of a difference; placement does not, since a probe is mounted anew on each card.
// Rejected: inverting the reference function itself. It would gain at most 0.06 K over the published inverse polynomials, which every
// logger has, and then two conversions of one voltage would differ.
//
// Temperatures are in °C of the ITS-90, their differences and uncertainties in K, voltages in mV. Sections named in comments are those
// of the project's definitions.
package thermocouple

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
)

// Least and Most are the limits in °C between which both directions are had.
const (
	Least = -200.0
	Most  = 1372.0
)

// belowZero, aboveZero and the exponential term are the reference function of G. W. Burns et al., Temperature-Electromotive Force
// Reference Functions and Tables for the Letter-Designated Thermocouple Types Based on the ITS-90, NIST Monograph 175, 1993, the same as
// in IEC 60584-1: mV from powers of °C.
var (
	belowZero = []float64{0, 0.39450128025e-1, 0.23622373598e-4, -0.32858906784e-6, -0.49904828777e-8, -0.67509059173e-10,
		-0.57410327428e-12, -0.31088872894e-14, -0.10451609365e-16, -0.19889266878e-19, -0.16322697486e-22}
	aboveZero = []float64{-0.17600413686e-1, 0.38921204975e-1, 0.18558770032e-4, -0.99457592874e-7, 0.31840945719e-9,
		-0.56072844889e-12, 0.56075059059e-15, -0.32020720003e-18, 0.97151147152e-22, -0.12104721275e-25}
)

const (
	exponentialSize   = 0.118597600000
	exponentialSpread = -0.118343200000e-3
	exponentialCentre = 126.968600000
)

// inverses give °C from powers of mV, each up to a voltage; of the same monograph. They differ from the reference function turned over
// by −0.02 to 0.04 K below 0 °C, −0.05 to 0.04 K up to 500 °C, and −0.05 to 0.06 K above.
var inverses = []struct {
	upTo         float64 // mV
	coefficients []float64
}{
	{0, []float64{0, 2.5173462e1, -1.1662878, -1.0833638, -8.9773540e-1, -3.7342377e-1, -8.6632643e-2, -1.0450598e-2, -5.1920577e-4}},
	{20.644, []float64{0, 2.508355e1, 7.860106e-2, -2.503131e-1, 8.315270e-2, -1.228034e-2, 9.804036e-4, -4.413030e-5, 1.057734e-6, -1.052755e-8}},
	{math.Inf(1), []float64{-1.318058e2, 4.830222e1, -1.646031, 5.464731e-2, -9.650715e-4, 8.802193e-6, -3.110810e-8}},
}

// polynomial is Σ cᵢxⁱ.
func polynomial(coefficients []float64, x float64) (y float64) {
	for i := len(coefficients) - 1; i >= 0; i-- {
		y = float64(y*x) + coefficients[i]
	}
	return y
}

// reference is the reference function, in mV, from −270 °C on.
func reference(celsius float64) float64 {
	if celsius <= 0 {
		return polynomial(belowZero, celsius)
	}
	from := celsius - exponentialCentre
	return polynomial(aboveZero, celsius) + float64(exponentialSize*math.Exp(exponentialSpread*float64(from*from)))
}

// Millivolts is the voltage of a type K thermocouple whose junction is at a temperature and whose ends are at 0 °C (NIST Monograph
// 175).
func Millivolts(celsius float64) compute.Value {
	if !(celsius >= Least && celsius <= Most) {
		return compute.Absent(fmt.Sprintf("%.6g °C is beyond type K's %g to %g °C", celsius, Least, Most))
	}
	return compute.Known(reference(celsius))
}

// Celsius is the temperature of a junction whose ends are at 0 °C, by the inverse polynomials of NIST Monograph 175.
func Celsius(millivolts float64) compute.Value {
	if least, most := reference(Least), reference(Most); !(millivolts >= least && millivolts <= most) {
		return compute.Absent(fmt.Sprintf("%.6g mV is beyond type K's %.3f to %.3f mV", millivolts, least, most))
	}
	i := 0
	for millivolts > inverses[i].upTo {
		i++
	}
	return compute.Known(polynomial(inverses[i].coefficients, millivolts))
}

// Compensated is the temperature of a junction whose ends are at another temperature, the cold junction's: the voltage that the ends
// take away is added, since voltages add and temperatures do not.
func Compensated(millivolts, coldCelsius float64) compute.Value {
	cold := Millivolts(coldCelsius)
	if !cold.OK {
		return compute.Absent("the cold junction: " + cold.Why)
	}
	return Celsius(millivolts + cold.X)
}

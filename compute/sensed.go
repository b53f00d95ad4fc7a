package compute

import "fmt"

// Quantity is what a sensor reads.
type Quantity string

// The quantities that figures of a pass rest on.
const (
	OfPower       Quantity = "power"
	OfClock       Quantity = "clock"
	OfTemperature Quantity = "temperature"
)

// Sensed is what sensors say of a pass over its kept time, as the packages that read series have worked it out (definitions, section 6):
// means are over time, by trapezoids. The zero Sensed is of a pass that nothing was logged of.
type Sensed struct {
	MeanPowerW  Value
	EnergyJ     Value // over the whole kept time; absent where less than 95 % of it was logged
	ClockMHz    Value // the mean
	TempC       Value // the mean
	StartTempC  Value // the first sample of the log, before anything is cut
	PowerS      Value // how much of the kept time the power's log covers
	TempSamples int
}

// logged is a figure of a sensor; one of which nobody spoke was not logged.
func (q Quantity) logged(v Value) Value {
	if v.OK || v.Why != "" {
		return v
	}
	switch q {
	case OfPower:
		return Absent("no power was logged")
	case OfClock:
		return Absent("no clock was logged")
	}
	return Absent("no temperature was logged")
}

func (w Worked) energy() Value { return OfPower.logged(w.Sensed.EnergyJ) }

func (w Worked) energyPerFrame() Value {
	if e := w.energy(); !e.OK {
		return e
	}
	return Known(w.Sensed.EnergyJ.X / float64(w.Frames))
}

func (w Worked) framesPerJoule() Value {
	switch e := w.energy(); {
	case !e.OK:
		return e
	case e.X <= 0:
		return Absent(fmt.Sprintf("the energy is %g J; a share of it needs more than 0", e.X))
	}
	return Known(float64(w.Frames) / w.Sensed.EnergyJ.X)
}

const perPass = "It is the pass's: a card that has not run for half an hour is cooler, and may draw less, than in a soak."

var meanPower = Metric{Name: "mean_power_w", Title: "mean power", Also: []string{"power", "board power", "power draw"}, Unit: "W",
	Means: "What the card draws on average over the kept time. It is over time, so that bursts of quick samples do not count more.",
	Say:   `"It draws 310 watts in this game", with where that was measured: chip, board, in line or wall. ` + perPass,
	Formula: "∫P dt / ∫dt by trapezoids over the kept time of a pass or the load of a soak, gaps left out; power measured at unlike places is " +
		"never averaged or compared", Source: pageSix, Parameters: []string{"sensors"},
	Scale: Ratio, Decimals: 1, Needs: OfPower, From: func(w Worked) Value { return OfPower.logged(w.Sensed.MeanPowerW) },
	Example: func(w Worked) string {
		s := w.Sensed
		area := float64(s.MeanPowerW.X * s.PowerS.X)
		return fmt.Sprintf("the trapezoids under the power come to %.1f J in %.3f s of log: %.1f / %.3f = %.1f W", area, s.PowerS.X, area, s.PowerS.X, s.MeanPowerW.X)
	}}

var costOfFrame = Metric{Name: "energy_per_frame_j", Title: "energy per frame", Also: []string{"efficiency"}, Unit: "J",
	Means:   "What one frame costs in energy. It joins speed and power: a card may draw more and still need less for a frame.",
	Say:     `"five percent less energy for each frame". Name the games; a capped frame rate changes it.`,
	Formula: "mean power · time / frames, over the kept time of a pass or the load of a soak; absent where less than 95 % of the time is logged",
	Source:  pageSix, Parameters: []string{"sensors"}, Scale: Ratio, Decimals: 3, Needs: OfPower, From: Worked.energyPerFrame,
	Example: func(w Worked) string {
		s := w.Sensed
		return fmt.Sprintf("%.1f W over %.3f s are %.1f J, for %d frames: %.1f / %d = %.3f J", s.MeanPowerW.X, float64(w.DurationNS)/nsPerSecond,
			s.EnergyJ.X, w.Frames, s.EnergyJ.X, w.Frames, w.energyPerFrame().X)
	}}

var perJoule = Metric{Name: "frames_per_joule", Title: "frames per joule", Also: []string{"performance per watt", "efficiency"}, Unit: "frames/J",
	Means:   "How many frames a joule buys, which is also frames per second per watt. It is the energy per frame turned over.",
	Say:     `"five percent more efficient in these games".`,
	Formula: "frames / energy, over the kept time of a pass or the load of a soak", Source: pageSix, Parameters: []string{"sensors"},
	Scale: Ratio, HigherBetter: true, Decimals: 4, Needs: OfPower, From: Worked.framesPerJoule,
	Example: func(w Worked) string {
		return fmt.Sprintf("%d frames of %.1f J: %d / %.1f = %.4f frames/J", w.Frames, w.Sensed.EnergyJ.X, w.Frames, w.Sensed.EnergyJ.X, w.framesPerJoule().X)
	}}

var meanClock = Metric{Name: "clock_mean_mhz", Title: "mean clock", Also: []string{"clock"}, Unit: "MHz",
	Means:   "The clock on average over the kept time. Beside the power it tells whether a limit or heat held the card.",
	Say:     "As a fact beside the frame rate. A higher clock on another chip is not a faster card.",
	Formula: "∫f dt / ∫dt by trapezoids over the kept time of a pass or the load of a soak, gaps left out", Source: pageSix, Parameters: []string{"sensors"},
	Scale: Ratio, HigherBetter: true, Needs: OfClock, From: func(w Worked) Value { return OfClock.logged(w.Sensed.ClockMHz) },
	Example: func(w Worked) string {
		return fmt.Sprintf("over the %.3f s kept the clock is %.0f MHz on average", float64(w.DurationNS)/nsPerSecond, w.Sensed.ClockMHz.X)
	}}

var meanTemp = Metric{Name: "mean_temp_c", Title: "mean temperature", Unit: "°C",
	Means: "The temperature on average over the kept time, by the card's own sensor. A pass is too short for it to settle, so cards are " +
		"compared by a soak.",
	Say:     "Nothing of two cards. Beside the start temperature it shows how far a pass warms the card.",
	Formula: "∫T dt / ∫dt by trapezoids over the kept time, gaps left out", Source: pageSix, Parameters: []string{"sensors"},
	Decimals: 1, Needs: OfTemperature, From: func(w Worked) Value { return OfTemperature.logged(w.Sensed.TempC) },
	Example: func(w Worked) string {
		return fmt.Sprintf("%d samples from the start of the capture on; over the %.3f s kept %.1f °C on average", w.Sensed.TempSamples,
			float64(w.DurationNS)/nsPerSecond, w.Sensed.TempC.X)
	}}

var startTemp = Metric{Name: "start_temp_c", Title: "start temperature", Unit: "°C",
	Means: "How warm the card was when the pass began. A pass that starts colder than the others may run faster for it, or slower while it " +
		"has not yet raised its clock.",
	Say:     "Nothing; it is a circumstance of the pass.",
	Formula: "the first sample of the log, the warm-up included", Source: "definitions, section 7", Parameters: []string{"sensors"},
	Decimals: 1, Needs: OfTemperature, From: func(w Worked) Value { return OfTemperature.logged(w.Sensed.StartTempC) },
	Example: func(w Worked) string {
		return fmt.Sprintf("the first of %d samples is %.1f °C", w.Sensed.TempSamples, w.Sensed.StartTempC.X)
	}}

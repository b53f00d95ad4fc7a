package compute

import "fmt"

// MemoryBandwidth is rate × bus / 8 in GB/s (10⁹ bytes), from GT/s, that is transfers a second on each line, and bits of bus.
func MemoryBandwidth(rateGTps float64, busBits int) Value {
	if !(rateGTps > 0) || busBits <= 0 {
		return Absent(fmt.Sprintf("a rate of %g GT/s over %d bits; both must be above 0", rateGTps, busBits))
	}
	return Known(rateGTps * float64(busBits) / 8)
}

// Phases are phases of a card's power supply that are alike: how many, and how many power stages each of them drives.
type Phases struct{ Count, StagesEach int }

// Stages counts power stages. It is not the count of phases where some drive two.
func Stages(groups []Phases) Value {
	stages := 0
	for _, g := range groups {
		if g.Count <= 0 || g.StagesEach <= 0 {
			return Absent(fmt.Sprintf("%d phases of %d stages each; both must be above 0", g.Count, g.StagesEach))
		}
		stages += g.Count * g.StagesEach
	}
	if stages == 0 {
		return Absent("no phase is stated")
	}
	return Known(float64(stages))
}

// FactRatio is one physical fact of a card over the same one of another: a length, a mass, a bandwidth.
func FactRatio(of, base Value) Value {
	switch {
	case !of.OK:
		return of
	case !base.OK:
		return Absent("the other side: " + base.Why)
	case base.X <= 0:
		return Absent(fmt.Sprintf("the other side is %g; a ratio needs a value above 0", base.X))
	}
	return Known(of.X / base.X)
}

// FactDifference is one fact less the same one of another card.
func FactDifference(of, base Value) Value {
	switch {
	case !of.OK:
		return of
	case !base.OK:
		return Absent("the other side: " + base.Why)
	}
	return Known(of.X - base.X)
}

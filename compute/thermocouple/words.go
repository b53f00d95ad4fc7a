package thermocouple

import "github.com/rigslate/rigslate/plan/glossary"

// Entries is what `explain` says of temperatures by thermocouple.
func Entries() []glossary.Entry {
	const perProbe = "not at all: a figure of one probe in one soak"
	return []glossary.Entry{
		{Name: "thermocouple_uncertainty", Also: []string{"temperature uncertainty", "U of a temperature"}, Group: glossary.Bench, Unit: "K",
			Means: "How far off a temperature by thermocouple may be. Wire, logger and placement each bring their share, and a degree of the display " +
				"says nothing of that.",
			Say: `"63 degrees, give or take three". Nothing of the kind of a sensor on the chip, whose calibration nobody states.`,
			Formula: "u² = (class tolerance/√3)² + (logger accuracy/√3)² + (resolution/√12)² + placement² + s²/n_eff, n_eff = n(1 − r₁)/(1 + r₁) " +
				"within 2 and n; U = t(0.975; ν)·u",
			Better: "lower", Averaged: perProbe, Source: "JCGM 100:2008; tolerances of IEC 60584-1", Parameters: []string{"logger", "probe"}},
		{Name: "temperature_difference_u", Also: []string{"U of a temperature difference"}, Group: glossary.Bench, Unit: "K",
			Means: "How far off a difference of two temperatures may be. With the same probe and logger most of what they get wrong is in both and drops " +
				"out; how the probe was placed does not.",
			Say: `"fifteen degrees cooler, give or take three". Use one probe and one logger for both cards.`,
			Formula: "same probe and logger: u² = (a·ΔT/√3)² + 2·placement² + 2·resolution²/12 + s²/n_eff of both, a = 0.004, 0.0075, 0.015 of " +
				"class 1, 2, 3; otherwise the sum of both",
			Better: "lower", Averaged: perProbe, Source: "JCGM 100:2008; IEC 60584-1; definitions, section 6", Parameters: []string{"logger", "probe"}},
		{Name: "type_k", Also: []string{"thermocouple", "cold junction"}, Group: glossary.Bench, Unit: "°C from mV",
			Means: "How the voltage of a type K thermocouple becomes a temperature. It tells the difference between its two ends, so the temperature at " +
				"the logger, the cold junction, is needed too.",
			Say: "The temperature.",
			Formula: "the voltage of the cold junction's temperature by the reference function is added to the one measured; the sum becomes °C by " +
				"the inverse polynomials, −200 to 1372 °C",
			Better: "neither", Averaged: perProbe, Source: "G. W. Burns et al., NIST Monograph 175, 1993", Parameters: []string{"channels"}},
	}
}

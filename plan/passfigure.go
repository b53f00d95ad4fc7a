package plan

// passFigure is a figure of a pass that a claim can name: a column of the archive's runs. A claim states it absolutely in unit, and a
// difference of it in difference, which is "" where differences are percents (definitions, section 2): a percent of °C, dB or a
// share means nothing.
type passFigure struct{ name, unit, difference string }

// logged are the figures that a pass brings along instead of having them worked out: circumstances of it, which are not averaged.
var logged = []passFigure{
	{"start_temp_c", "°C", "K"},
}

// Metrics are the figures of a pass that a claim can name.
var Metrics = namesOf(registered, logged)

func namesOf(lists ...[]passFigure) (names []string) {
	for _, list := range lists {
		for _, f := range list {
			names = append(names, f.name)
		}
	}
	return names
}

// metricUnit is the unit in which a figure of a pass is stated absolutely, and that of a difference.
func metricUnit(metric string) (unit, difference string) {
	for _, list := range [][]passFigure{registered, logged} {
		for _, f := range list {
			if f.name == metric {
				return f.unit, f.difference
			}
		}
	}
	return "", ""
}

package plan

// soakFigure is a figure of a soak that a claim can name, and what it is of. Its units are as those of a passFigure.
type soakFigure struct {
	Name             string
	Of               Quantity
	unit, difference string
}

// SoakMetrics are the figures of a soak that a claim can name (definitions, section 6). A threshold of the fan is the fan's.
var SoakMetrics = []soakFigure{
	{"peak_c", Temperature, "°C", "K"}, {"sustained_peak_c", Temperature, "°C", "K"}, {"end_c", Temperature, "°C", "K"},
	{"final_c", Temperature, "°C", "K"}, {"rise_k", Temperature, "K", "K"}, {"normalised_c", Temperature, "°C", "K"},
	{"fan_typical_rpm", FanSpeed, "rpm", ""}, {"fan_start_c", FanSpeed, "°C", "K"}, {"fan_stop_c", FanSpeed, "°C", "K"},
	{"sound_level_db", Sound, "dB", "dB"},
	{"mean_power_w", Power, "W", ""}, {"peak_power_w", Power, "W", ""}, {"peak_1s_power_w", Power, "W", ""},
	{"energy_per_frame_j", Power, "J", ""}, {"frames_per_joule", Power, "frames/J", ""},
	{"clock_median_mhz", Clock, "MHz", ""}, {"clock_mean_mhz", Clock, "MHz", ""}, {"clock_drift_pct", Clock, "%", "pp"},
}

// ValueMetrics are the figures that hang on a price: the price itself, price over frame rate, and at which price of it the card named by
// `of` would give as much for the money as the one named by `against`.
var ValueMetrics = []string{"price", "price_per_fps", "break_even_price"}

// soakMetric finds a claim's figure among those of soaks. One that passes have too is a soak's where a soak is named.
func soakMetric(metric string, soak bool) (f soakFigure, ok bool) {
	if unit, _ := metricUnit(metric); unit != "" && !soak {
		return f, false
	}
	for _, f := range SoakMetrics {
		if f.Name == metric {
			return f, true
		}
	}
	return f, false
}

// unitsOf are the unit in which a claim's figure is stated absolutely, and that of a difference, "" where differences are percents.
func (c Claim) unitsOf() (unit, difference string) {
	switch c.Kind {
	case OfSoak:
		f, _ := soakMetric(c.Metric, true)
		return f.unit, f.difference
	case OfFact:
		return FactUnits(c.Metric)
	case OfValue:
		switch c.Metric {
		case "break_even_price":
			return c.currency(), c.currency() // it is of one card, beside another
		case "price_per_fps":
			return c.currency() + "/fps", ""
		}
		return c.currency(), ""
	}
	return metricUnit(c.Metric)
}

// FactUnits go by the ending of a fact's name: the unit it is stated in, and that of a difference, "" where differences are in percent. A
// count has none and is counted in itself: slots, power_stages.
func FactUnits(name string) (unit, difference string) {
	switch unit := unitOf(name); unit {
	case "":
		return name, ""
	case "°C":
		return unit, "K"
	case "%":
		return unit, "pp"
	case "K", "dB":
		return unit, unit
	default:
		return unit, ""
	}
}

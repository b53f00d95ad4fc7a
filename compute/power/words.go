package power

import (
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/glossary"
)

// What must be known of a load's clock and power.
const (
	FlagSag          compute.Flag = "clock_sag"
	FlagPowerLimited compute.Flag = "power_limited"
	FlagRateSag      compute.Flag = "frame_rate_sag"
)

const (
	pageOne = "definitions, section 1, over a stretch of a soak"
	pageSix = "definitions, section 6"
	onRatio = "geometric mean over repeated soaks; cards are compared in percent"
)

// Entries is what `explain` says of this package's figures and flags.
func Entries() []glossary.Entry {
	number := func(name, title, unit, better, means, say, formula string, also ...string) glossary.Entry {
		return glossary.Entry{Name: name, Title: title, Also: also, Group: glossary.Bench, Unit: unit, Better: better, Means: means, Say: say,
			Formula: formula, Averaged: onRatio, Source: pageSix, Parameters: []string{"channels"}}
	}
	temperatures := func(e glossary.Entry) glossary.Entry {
		e.Averaged = "the median of the crossings in one log, with the lowest and the highest"
		return e
	}
	rate := func(name, title, unit, means, say, formula string) glossary.Entry {
		return glossary.Entry{Name: name, Title: title, Group: glossary.Bench, Unit: unit, Better: "higher", Means: means, Say: say, Formula: formula,
			Averaged: "not at all: a figure of one soak", Source: pageOne, Parameters: []string{"settle", "length"}}
	}
	return []glossary.Entry{
		number("mean_power_w", "mean power", "W", "lower",
			"What the card draws on average over the load. It is over time, so that bursts of quick samples do not count more.",
			`"It draws 310 watts", with where that was measured: chip, board, in line or wall.`,
			"∫P dt / ∫dt by trapezoids, gaps left out", "power", "board power", "power draw"),
		number("peak_power_w", "peak power", "W", "lower",
			"The highest reading of the power sensor. A sensor that is read rarely misses peaks, so the interval goes with it.",
			"The peak with its interval; never against a peak that was looked for more often.", "max Pᵢ under load"),
		number("peak_1s_power_w", "1-s peak power", "W", "lower",
			"The highest mean power over one second. It is what a power supply has to carry, and sensors of unlike speed agree on it.",
			`"peaks of a second reach 380 watts".`, "max of the time-weighted mean over [t − 1 s, t] without a gap, t the time of a sample"),
		number("energy_j", "energy", "J", "lower",
			"How much energy the load took. It is told only where the log saw nearly all of it.",
			"As energy per frame.", "mean power · elapsed time; absent where less than 95 % of the time is logged"),
		number("energy_per_frame_j", "energy per frame", "J", "lower",
			"What one frame costs in energy. It joins speed and power: a card may draw more and still need less for a frame.",
			`"five percent less energy for each frame". Name the games; a capped frame rate changes it.`, "energy / frames", "efficiency"),
		number("frames_per_joule", "frames per joule", "frames/J", "higher",
			"How many frames a joule buys, which is also frames per second per watt.",
			`"five percent more efficient in these games".`, "frames / energy", "performance per watt", "efficiency"),
		number("clock_median_mhz", "typical clock", "MHz", "higher",
			"The clock that the chip is above for half of the load. It is below it for the other half.",
			"As a fact beside the frame rate. A higher clock on another chip is not a faster card.",
			"the smallest clock whose cumulated time reaches half; each sample holds half of the interval on either side", "clock"),
		number("clock_mean_mhz", "mean clock", "MHz", "higher",
			"The clock on average over the load.", "As the typical clock.", "∫f dt / ∫dt by trapezoids, gaps left out"),
		number("clock_drift_pct", "clock drift", "%", "nearer to 0",
			"By how much the clock rises or falls over the load. Heat and limits make it fall.",
			`"It gives up three percent of its clock over half an hour".`,
			"100·(e^(10·b) − 1), b the Theil–Sen slope of the logarithms of ten tenths' mean clocks", "sag", "throttling"),
		number("fan_typical_rpm", "typical fan speed", "rpm", "lower",
			"The speed that the fan is above for half of the load. It is below it for the other half.",
			"Beside the sound level. Fans of unlike size at one speed are not equally loud.",
			"time-weighted median under load", "fan speed"),
		temperatures(number("fan_start_c", "fan start", "°C", "neither",
			"The temperature at which a standing fan begins to turn. The fan's own sensor may be another than the one logged.",
			`"The fans start at about 60 degrees", with the sensor it was read from.`,
			"temperature midway between the last sample at 0 and the first above it; either state lasts 3 s", "fan threshold")),
		temperatures(number("fan_stop_c", "fan stop", "°C", "neither",
			"The temperature at which a turning fan comes to stand. It lies below that at which it starts, so that it does not start again at once.",
			`"The fans stop at about 55 degrees", with the sensor it was read from.`,
			"temperature midway between the last sample above 0 and the first at 0; either state lasts 3 s", "fan threshold")),
		rate("frame_rate_start_fps", "frame rate at the start", "fps", "The frame rate of the load before it has warmed the card.",
			"Beside that of the end.", "frames wholly within the first settle of the frames, over their time"),
		rate("frame_rate_end_fps", "frame rate at the end", "fps", "The frame rate of the load once the card is warm.",
			`"After half an hour it still runs at 62 frames per second".`, "frames wholly within the last settle of the frames, over their time"),
		rate("frame_rate_change_pct", "change of the frame rate", "%", "By how much the load ends faster or slower than it began. "+
			"Where the load repeats its scenes it is heat, or a limit that heat brings nearer.",
			`"It loses six percent in eight minutes". Only where both stretches show the same scenes.`, "100·(rate at the end / rate at the start − 1)"),
		rate("frame_rate_drift_pct", "drift of the frame rate", "%", "How the frame rate goes over ten tenths of the load. It tells a card that slows down from ends "+
			"that show other scenes.", "Nothing: it stands behind the change of the frame rate.",
			"100·(e^(10·b) − 1), b the Theil–Sen slope of the logarithms of ten tenths' frame rates, with Mann–Kendall's p"),
		{Name: string(FlagSag), Also: []string{"throttling"}, Group: glossary.Flag, Unit: "the clock of a load",
			Means: "The clock fell during the load and did not come back. It is heat, or a limit that heat brings nearer.",
			Say:   `"After ten minutes it runs at 1900 instead of 2000 megahertz". A pass of a minute does not show it.`,
			Formula: "a drift below −2 % with Mann–Kendall p < 0.05; or half of the load or more, to its end, more than 2 % below the first tenth; " +
				"begun with the first tenth from which all lie more than 2 % below the first", Source: pageSix},
		{Name: string(FlagRateSag), Group: glossary.Flag, Unit: "a load with frames",
			Means:   "The frame rate at the end of the load is lower than at its start. It is heat, or a limit that heat brings nearer, if both show the same scenes.",
			Say:     `"It loses six percent in eight minutes". A pass of a minute does not show it.`,
			Formula: "frame rate of the last settle more than 2 % below that of the first", Source: pageOne, Parameters: []string{"settle"}},
		{Name: string(FlagPowerLimited), Also: []string{"power limit"}, Group: glossary.Flag, Unit: "a load",
			Means: "The power stands at its limit, and the clock gives way. More cooling would not make it faster; a higher limit would.",
			Say:   `"It runs into its power limit within a second".`,
			Formula: "in at least half of the whole seconds the mean power is at least 98 % of its median while the mean clock is at most 95 % of the " +
				"highest sample under load", Source: pageSix},
	}
}

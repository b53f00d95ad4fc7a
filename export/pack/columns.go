package pack

import (
	"strings"

	"github.com/rigslate/rigslate/compute"
)

// means says what a column of a table holds, "" if nobody has said it. What figures of the registry mean is said by the registry.
func means(table, column string) string {
	if s := meanings[table+"."+column]; s != "" {
		return s
	}
	if s := meanings[column]; s != "" {
		return s
	}
	if m, ok := compute.MetricByName(column); ok {
		return m.Title + " (" + m.Unit + "). " + m.Entry().Gist() + "."
	}
	return ""
}

const inPercentOrUnit = ": in percent for what is compared in percent, else in the unit"

var meanings = map[string]string{
	"card":       "the card",
	"mode":       "how it ran: as shipped, with its limits raised, with other firmware",
	"game":       "the game",
	"variant":    "its settings",
	"resolution": "the size of the picture, by its name",
	"metric":     "the figure, a column of runs; explained below",
	"unit":       "of the figure",
	"flags":      "words that must be known beside the figures, separated by blanks; explained below",
	"verdict":    "in a word, explained below; empty where passes do not hold",
	"base_card":  "against which card; empty for a figure that stands alone",
	"base_mode":  "against which mode of it",
	"group":      "of games: all, or one that the review names",
	"df":         "degrees of freedom of the interval",
	"p":          "probability of such a difference, or a larger one, between equal cards",
	"ci_low":     "lower end of the 95 % interval" + inPercentOrUnit,
	"ci_high":    "its upper end",
	"own_ci_low": "lower end of that by the two cells' own passes alone, which does not lean on other cells",

	"own_ci_high":    "its upper end",
	"session_spread": "standard deviation by which mounting a card again moves the figure" + inPercentOrUnit,
	"session_source": "where that is from: this review's sessions, others on the rig, or an assumption",
	"repeats_needed": "launches a side that would resolve it",
	"difference":     "of the means, in the unit",
	"ratio":          "of the means; over games their geometric mean",
	"percent":        "100·(ratio − 1)",
	"games":          "games that enter",
	"left_out":       "cells that do not enter",

	"runs.run_id":              "the pass: first 16 hexadecimal digits of its recording's SHA-256",
	"runs.width":               "pixels of a line",
	"runs.height":              "lines",
	"runs.repeat":              "number of the pass within its cell",
	"runs.launch":              "passes with the same number were made in one start of the game; empty: each counts as one of its own",
	"runs.session":             "passes with the same number were made in one mounting of the card",
	"runs.started_at":          "when it was made",
	"runs.rig":                 "the test bench",
	"runs.driver":              "graphics driver",
	"runs.firmware":            "of the card, where it has several",
	"runs.build":               "of the game",
	"runs.preset":              "of the game's settings",
	"runs.api":                 "graphics interface",
	"runs.scene":               "what was played",
	"runs.drive":               "how: built-in, replay, or by hand",
	"runs.warmup_s":            "cut from the beginning, in s",
	"runs.length_s":            "kept after that, in s; empty for all",
	"runs.measured_at":         "where frame times were taken: submit, present or display",
	"runs.outcome":             "ok, crash, hang, artefacts or unsupported",
	"runs.status":              "used, void or superseded; explained below",
	"runs.ambient_c":           "temperature of the room, in °C",
	"runs.start_temp_c":        "of the card as the kept time begins, in °C",
	"runs.frames":              "frames that are kept",
	"runs.frames_cut":          "frames that are not",
	"runs.bad_lines":           "lines of the recording that are no measurement",
	"runs.duration_s":          "kept time, in s",
	"runs.hitch_frames":        "frames that are part of a hitch",
	"runs.drift_pct":           "how much the pass slows that its siblings do not, in %",
	"runs.disturbed_from_s":    "begin of a stretch that is slow in this pass alone, in s",
	"runs.disturbed_to_s":      "its end",
	"runs.power_measured_at":   "where power was measured: reported chip, reported board, in line or wall",
	"cells.scale":              "how passes are averaged and cells compared: ratio (logarithms, percent), difference (the unit) or count (events by time)",
	"cells.n":                  "passes",
	"cells.launches":           "launches of the game",
	"cells.sessions":           "mountings of the card",
	"cells.mean":               "over launches, in the unit; geometric for a ratio",
	"cells.sd":                 "standard deviation between launches: in percent for a ratio, else in the unit",
	"cells.ci_low":             "lower end of the 95 % interval of the mean, in the unit",
	"cells.own_ci_low":         "lower end of that by the cell's own passes alone, which does not lean on other cells",
	"cells.method":             "of the interval",
	"cells.spread_pct":         "100·(largest − smallest)/mean of the passes, in %",
	"cells.state":              "whether the cell may be spoken of; explained below",
	"comparisons.n":            "launches of the card",
	"comparisons.base_n":       "launches of the baseline",
	"comparisons.firm":         "whether it stands although so many were looked at",
	"comparisons.looks":        "how often verdicts may be read; intervals are at 1 − 0.05/looks",
	"summaries.games":          "games that enter",
	"summaries.these_low":      "lower end of the 95 % interval for these very games" + inPercentOrUnit,
	"summaries.these_high":     "its upper end",
	"summaries.like_low":       "lower end of the 95 % interval for games like these",
	"summaries.like_high":      "its upper end",
	"summaries.leads":          "games in which the card is ahead",
	"summaries.levels":         "games in which it is level",
	"summaries.trails":         "games in which it is behind",
	"summaries.most":           "the largest difference of a game",
	"summaries.most_game":      "in which game",
	"summaries.least":          "the smallest",
	"summaries.least_game":     "in which game",
	"claims.claim":             "its name",
	"claims.says":              "the sentence hoped for",
	"claims.metric":            "the figure that it is about",
	"claims.estimate":          "what the data say, in the unit",
	"claims.p_for":             "p for the claim, adjusted over all claims",
	"claims.p_sign":            "p for its direction alone",
	"claims.p_against":         "p against it",
	"claims.leaning":           "for or against, of an open one",
	"claims.cells":             "cells that enter",
	"claims.why":               "it cannot be judged",
	"claims.said":              "the strongest sentence that the data carry",
	"readings.card":            "the card",
	"readings.mode":            "its mode; empty for what is the card's whatever its mode",
	"readings.protocol":        "the soak or sweep; empty for what needs none",
	"readings.sensor":          "probe or channel; of a group the one that decides",
	"readings.figure":          "the figure; explained below",
	"readings.value":           "in the unit",
	"readings.unit":            "of the value; of a difference of temperatures K",
	"readings.uncertainty":     "standard uncertainty, in the unit",
	"readings.expanded":        "expanded uncertainty, coverage_factor times that",
	"readings.coverage_factor": "for 95 %",
	"readings.df":              "effective degrees of freedom; empty beside a coverage_factor: infinitely many",
	"readings.ambient_c":       "temperature of the room, in °C",
	"readings.repeat":          "which soak of the protocol; empty for a figure of all of them",
	"readings.n":               "soaks, readings or frames that entered",
	"readings.probe_group":     "probes of which the hottest counts",
	"readings.measured_at":     "where power was measured: reported chip, reported board, in line or wall",
	"readings.fan_pct":         "the step of a sweep, in %",
	"readings.text":            "of what is a word and no number",
	"readings.why":             "there is no value, or no uncertainty",
	"readings.price":           "this and the next five: the price that a figure of value rests on",
	"readings.price_currency":  "of the price",
	"readings.price_kind":      "list, street or another kind",
	"readings.price_tax":       "whether it is with tax",
	"readings.price_place":     "where it holds",
	"readings.price_on":        "when it held",
}

// frameMeanings are of the tables of frames, each of which is called after its card.
var frameMeanings = map[string]string{
	"run_id":   "the pass, as in runs",
	"frame":    "number of the frame among those kept, from 0",
	"frame_ns": "its time in ns, as logged",
}

func (t table) means(column string) string {
	if strings.HasPrefix(t.name, "frames-") {
		return frameMeanings[column]
	}
	return means(t.name, column)
}

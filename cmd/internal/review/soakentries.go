package review

import "github.com/rigslate/rigslate/plan/glossary"

// soakEntries are the figures of a soak that no package of compute has a word for, since they join several of them.
func soakEntries() []glossary.Entry {
	const pageSix, once = "definitions, section 6", "not at all: a figure of one soak"
	return []glossary.Entry{
		{Name: "final_rise_k", Title: "final rise", Group: glossary.Bench, Unit: "K", Better: "lower", Averaged: once, Source: pageSix,
			Means:   "The final temperature above the room, where the room was logged. The heating curve is then fitted to the rise.",
			Say:     "As the final temperature: it serves to say whether the soak was long enough.",
			Formula: "T∞ of a heating curve fitted to T − Tₐ, under the conditions of the final temperature", Parameters: []string{"channels", "ambient"}},
		{Name: "cooling_drop_k", Title: "cooling drop", Group: glossary.Bench, Unit: "K", Better: "higher", Averaged: once, Source: pageSix,
			Means:   "By how much the probe cooled in the time that was logged after the load.",
			Say:     `"ten kelvins in five minutes", with the time.`,
			Formula: "last sample under load − last sample of the log", Parameters: []string{"channels"}},
		{Name: "power_limited_share", Title: "time at the power limit", Group: glossary.Bench, Unit: "share", Better: "lower", Averaged: once, Source: pageSix,
			Means: "How much of the load looks like a power limit. Power stands at its highest while the clock gives way.",
			Say:   `"It is at its power limit for nine tenths of the time".`,
			Formula: "whole seconds under load with mean power ≥ 98 % of its median and mean clock ≤ 95 % of its highest sample, over those that both " +
				"were logged in", Parameters: []string{"channels"}},
		{Name: "sound_at_reference_db", Title: "sound level at the reference distance", Group: glossary.Bench, Unit: "dB", Better: "lower",
			Averaged: "energy mean of the readings", Source: "the distance law of a point source in a free field; " + pageSix,
			Means:   "The level as it would be at another distance, in a free field only. A room that reflects does not follow that law.",
			Say:     `"37 decibels at a metre, worked out from half a metre".`,
			Formula: "L − 20·lg(r₂/r₁), only where the plan declares free_field", Parameters: []string{"noise"}},
		{Name: "settling", Group: glossary.Bench, Unit: "a word", Better: "settled", Averaged: once, Source: pageSix,
			Means:   "Whether a probe has come to its end: settled, steady or not settled.",
			Say:     "Beside every temperature that is not settled: after how long it was read.",
			Formula: "see settled, steady and not settled", Parameters: []string{"settle", "length"}},
		{Name: "sound_treatment", Group: glossary.Bench, Unit: "a word", Better: "none_needed", Averaged: "not at all: a word for one level", Source: "ISO 3744; " + pageSix,
			Means:   "What became of the background in a sound level.",
			Say:     "Nothing by itself; an upper bound is said as one.",
			Formula: "see uncorrected, none_needed, corrected and upper_bound", Parameters: []string{"noise"}},
	}
}

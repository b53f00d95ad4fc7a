package sound

import "github.com/rigslate/rigslate/plan/glossary"

// Entries is what `explain` says of sound levels and of each Treatment.
func Entries() []glossary.Entry {
	const (
		readings = "energy mean of the readings"
		ofLevel  = "a sound level"
		source   = "ISO 3744; definitions, section 6"
	)
	noise := []string{"noise"}
	return []glossary.Entry{
		{Name: "sound_level_db", Title: "sound level", Also: []string{"noise", "loudness", "dB"}, Group: glossary.Bench, Unit: "dB",
			Means: "How loud the card is at the stated distance, without the background. 10 dB more sound twice as loud; a difference of 1 dB is hardly heard.",
			Say:   `"three decibels quieter at half a metre". Never a percentage of decibels, never a level without its distance.`,
			Formula: "10·lg(mean 10^(L/10)) over the readings, less K₁ for the background; u² = (c·u_L)² + ((c − 1)·u_b)², c = 1/(1 − 10^(−0.1ΔL)), " +
				"u_L² = s²/n + (limit of the meter/√3)², 0.7 dB for class 1 and 1.0 dB for class 2, which drops out of a difference by one meter",
			Better: "lower", Averaged: readings, Source: "ISO 3744; JCGM 100:2008; IEC 61672-1; definitions, section 6", Parameters: noise},
		{Name: "background_correction_db", Title: "background correction", Also: []string{"K1", "K₁"}, Group: glossary.Bench, Unit: "dB",
			Means:   "What the room's own sound adds to a reading. It is taken off where the card stands clearly above the background.",
			Say:     "Nothing; the level has it taken off.",
			Formula: "K₁ = −10·lg(1 − 10^(−0.1ΔL)) from 6 to 15 dB above the background, none above that, 1.3 dB below 6 dB",
			Better:  "lower", Averaged: readings, Source: source, Parameters: noise},
		{Name: string(Uncorrected), Group: glossary.Flag, Unit: ofLevel,
			Means:   "No background was measured, so it is in the level. The card alone is quieter than that.",
			Say:     `"at most 42 decibels, with the room".`,
			Formula: "no background is stated", Source: source, Parameters: noise},
		{Name: string(NoneNeeded), Group: glossary.Flag, Unit: ofLevel,
			Means:   "The card is so much louder than the room that nothing is taken off. The room adds less than 0.15 dB.",
			Say:     "The level.",
			Formula: "more than 15 dB above the background", Source: source, Parameters: noise},
		{Name: string(Corrected), Group: glossary.Flag, Unit: ofLevel,
			Means:   "What the room adds was taken off. The nearer to the background, the less certain the level is.",
			Say:     "The level, with its uncertainty.",
			Formula: "6 to 15 dB above the background: less K₁", Source: source, Parameters: noise},
		{Name: string(UpperBound), Also: []string{"at most"}, Group: glossary.Flag, Unit: ofLevel,
			Means:   "The card is too near the background to tell its level. It is at most this loud, and no uncertainty says more.",
			Say:     `"at most 33 decibels: in this room we cannot measure it any better". No difference to another card.`,
			Formula: "less than 6 dB above the background: 1.3 dB are taken off, the most that may be", Source: source, Parameters: noise},
	}
}

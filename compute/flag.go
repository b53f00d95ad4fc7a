package compute

import (
	"slices"

	"github.com/rigslate/rigslate/plan/glossary"
)

// Flag is one word on what must be known of a figure, as it stands in tables. Each has an entry below.
type Flag string

const (
	FlagThin          Flag = "thin"
	FlagLaunchAssumed Flag = "launch_assumed"
	FlagSingle        Flag = "single" // explained with the verdict of that name
	FlagIdentical     Flag = "identical"
	FlagUnbalanced    Flag = "unbalanced"
	FlagCap           Flag = "cap"
	FlagCeiling       Flag = "ceiling"
	FlagLooks         Flag = "looks"
)

const pageTwo = "definitions, section 2"

var flagEntries = []glossary.Entry{
	{Name: string(FlagThin), Group: glossary.Flag, Unit: "a low of a pass, a cell or a comparison",
		Means: "A low rests on fewer than 5 frames. One or two accidents make it, so it gets no verdict.",
		Say:   "Not this low. Speak of the 1 % low or the mean, or run longer passes: a 0.1 % low needs 5000 frames.",
		Formula: "fewer than 5 frames: of ⌈share·n⌉ slowest ones, or of those that fill the share of the time; a cell is thin if one of " +
			"its passes is", Source: pageOne, Parameters: []string{"lows", "keep"}},
	{Name: string(FlagLaunchAssumed), Group: glossary.Flag, Unit: "a pass or a cell",
		Means: "Nothing says in which launch of the game a pass was made. It counts as a launch of its own, which makes the interval too " +
			"narrow if the game was in truth left running.",
		Say:     "What the figures say, if you know that the game was started anew for each pass. Keep a bench log with launches to be sure.",
		Formula: "no launch in the bench log", Source: pageTwo, Parameters: []string{"log"}},
	{Name: string(FlagIdentical), Group: glossary.Flag, Unit: "a cell or a comparison",
		Means:   "Nothing varies: the passes agree in every digit. The interval has no width, and a comparison has no p.",
		Say:     "The figure itself. Ask first whether the passes are copies of one another, or a cap holds them.",
		Formula: "the spread of the cell is 0; of a comparison: neither side has a spread, and no session spread lies between them",
		Source:  pageThree, Parameters: []string{"session_spread"}},
	{Name: string(FlagUnbalanced), Group: glossary.Flag, Unit: "a comparison",
		Means:   "One side has few launches, the other more. The interval leans on the side with few.",
		Say:     "What the verdict allows. More launches on the weaker side make the interval narrower.",
		Formula: "the sides differ in launches, and the smaller number is below 3", Source: pageThree, Parameters: []string{"repeats"}},
	{Name: string(FlagCap), Also: []string{"frame cap", "capped"}, Group: glossary.Flag, Unit: "a pass or a cell",
		Means: "The frame rate is held at a rate that displays and limiters use. What is measured is the limit, not the card. Where the plan " +
			"does not declare it, the cell is doubtful.",
		Say: `"It holds the 60 frames that the game allows". Never "as fast as": who is held at one rate is not compared.`,
		Formula: "at least half of the whole seconds lie within 0.3 % of one rate: 24 to 540 Hz as displays have them, each also times " +
			"1000/1001, and display_hz; a cell has it if more than half of its passes do", Source: pageOne,
		Parameters: []string{"capped", "display_hz"}},
	{Name: string(FlagCeiling), Group: glossary.Flag, Unit: "a pass or a cell",
		Means: "The frame rate does not rise above some rate, as if something held it. A processor or the game's engine may do that; it is " +
			"said, and nothing is left out for it.",
		Say: `"In this game something other than the card sets the pace", once you know what.`,
		Formula: "no cap, and at least 30 % of the whole seconds lie within 0.3 % of their 95th percentile while the 2nd is more than 2 % " +
			"lower; certain where another cell of the game is held at the same rate within 0.3 %", Source: pageOne},
	{Name: string(FlagLooks), Also: []string{"declared looks"}, Group: glossary.Flag, Unit: "a comparison or a summary",
		Means: "The passes were added to after a look at the results. Looking several times and stopping at a lead makes false leads, so " +
			"each look declared before the first pass may err only its share.",
		Say:     "What the verdict allows: it already pays for the looks.",
		Formula: "with L declared looks, intervals are at 1 − 0.05/L and p is times L", Source: "C. E. Bonferroni, 1936; definitions, section 5",
		Parameters: []string{"looks"}},
}

// Entries is what `explain` says of every verdict and flag that this package gives.
func Entries() []glossary.Entry { return slices.Concat(verdictEntries, judgedEntries, flagEntries) }

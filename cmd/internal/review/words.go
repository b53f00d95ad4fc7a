package review

import (
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/compute/thermocouple"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/glossary"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// Status says whether a pass counts. Each has an entry below.
type Status string

const (
	Used       Status = "used"
	Void       Status = "void"
	Superseded Status = "superseded" // more passes than repeats: the newest are used
	Unusable   Status = "unusable"   // the file cannot be read
)

// What stands against a cell or a pass, one word each. Each has an entry below.
const (
	kindSpread      coverage.Kind = "spread"
	kindSuspect     coverage.Kind = "suspect"
	kindDrift       coverage.Kind = "drift"
	kindDisturbed   coverage.Kind = "disturbed"
	kindCap         coverage.Kind = "cap" // explained with the flag of that name
	kindLength      coverage.Kind = "length"
	kindBadLines    coverage.Kind = "bad_lines"
	kindFramesLost  coverage.Kind = "frames_lost"
	kindNoFigures   coverage.Kind = "no_figures"
	kindImplausible coverage.Kind = "implausible"
	kindUnusable    coverage.Kind = "unusable" // explained with the status of that name
	kindSameContent coverage.Kind = "same_content"
	kindControl     coverage.Kind = "control"
	kindStartTemp   coverage.Kind = "start_temperature"
)

// What must be known of a figure beside the flags of compute. Each has an entry below.
const (
	flagSessionAssumed   compute.Flag = "session_assumed"
	flagLimitedElsewhere compute.Flag = "limited_elsewhere"
	flagAlike            compute.Flag = "alike"
	flagNotReproducible  compute.Flag = "not_reproducible"
	flagNotComparable    compute.Flag = "not_comparable"
	flagBuildDiffers     compute.Flag = "build_differs"
	flagDriverDiffers    compute.Flag = "driver_differs"
	flagControl          compute.Flag = "control" // explained with the reason of that name
	flagCalculator       compute.Flag = "calculator_differs"
	flagNotReady         compute.Flag = "not_ready"
	flagOffTarget        compute.Flag = "off_target"
	flagInterpolated     compute.Flag = "interpolated"
	FlagReused           compute.Flag = "reused" // explained with the state of that name
	flagReusedReserve    compute.Flag = "reused_with_reserve"
)

// Entries is what `explain` says of every state, verdict, flag, status and reason that may stand in a table or on a screen.
func Entries() []glossary.Entry {
	return slices.Concat(compute.Entries(), compute.BenchEntries(), thermal.Entries(), thermocouple.Entries(), sound.Entries(), power.Entries(), series.Entries(), soakEntries(),
		coverage.Entries(), againstEntries(), sensedEntries(), match.Entries(), ledger.Entries(), flagEntries(), statusEntries())
}

const (
	pageTwo   = "definitions, section 2"
	pageThree = "definitions, section 3"
	pageSeven = "definitions, section 7"
	practice  = "common practice, no source"
)

// Where a reason stands, nothing may be said before the pass is run again.
const (
	notBefore = "Nothing of this cell before the pass is run again, or looked at and vouched for."
	aPass     = "a pass"
)

func againstEntries() []glossary.Entry {
	return []glossary.Entry{
		{Name: string(kindSpread), Also: []string{"spread_pct", "spread of the passes"}, Group: glossary.Against, Unit: "% of the cell's mean",
			Means: "How far the passes of a cell lie apart in mean frame rate. Above what the plan accepts the cell is doubtful, and the pass farthest " +
				"from the rest is named.",
			Say: notBefore,
			Formula: "100·(max − min)/mean over the n passes; doubtful above max_spread·d₂(n)/d₂(3), d₂ the mean range of n normal values " +
				"(1.128, 1.693, 2.059 … for 2, 3, 4 …), so that more passes do not look worse", Source: pageTwo, Parameters: []string{"max_spread"}},
		{Name: string(kindSuspect), Group: glossary.Against, Unit: aPass,
			Means: "A pass farther from its cell than the review's scatter explains. Nothing is dropped for it: only a void " +
				"with a reason takes a pass out.",
			Say: notBefore,
			Formula: "|ln y − mean ln y| / (s·√((n − 1)/n)) > t(1 − 0.05/(2N); ν), s pooled over the N passes of all cells, or from 6 passes on " +
				"by Grubbs' test at 5 %; in either case more than half of max_spread from the cell's median",
			Source: "F. E. Grubbs, G. Beck, Technometrics 14(4), 1972; definitions, section 2", Parameters: []string{"max_spread"}},
		{Name: string(kindDrift), Also: []string{"drift_pct", "drifts"}, Group: glossary.Against, Unit: "% from the start of the pass to its end",
			Means: "How much a pass slows or quickens that its siblings do not. The scene cancels out, since the same tenth of each pass is compared; " +
				"heat and clocks remain.",
			Say: `With more passes that show it: "it loses two percent over the run as it warms up".`,
			Formula: "100·(e^(10b) − 1), b the Theil–Sen slope of ln(pass/median of its siblings) over ten blocks; against the pass if over 2 % " +
				"and Mann–Kendall p < 0.05; not looked for where passes share less than 20 s",
			Source: "H. B. Mann, Econometrica 13, 1945; P. K. Sen, Journal of the American Statistical Association 63, 1968", Parameters: []string{"keep"}},
		{Name: string(kindDisturbed), Also: []string{"disturbance", "disturbed_from_s", "disturbed_to_s"}, Group: glossary.Against,
			Unit: "s from the start of the capture",
			Means: "A stretch of seconds in which one pass is slow and its siblings are not. Something else ran on the bench: look at what happened then, " +
				"and run the pass again.",
			Say: notBefore,
			Formula: "the rate of a whole second over the median of the siblings in it, and over that of all passes, each over its own median of the " +
				"pass: both below 0.95 for two seconds in a row, or below 0.8 in one", Source: pageTwo},
		{Name: string(kindLength), Group: glossary.Against, Unit: "s kept",
			Means: "Less of the pass is kept than is needed. The capture began late, stopped early, or is all warm-up.",
			Say:   notBefore, Formula: "kept time below min_length, else below nine tenths of the length to keep", Source: practice,
			Parameters: []string{"keep", "min_length"}},
		{Name: string(kindBadLines), Group: glossary.Against, Unit: "lines of a capture",
			Means: "The capture has lines that are no measurement. Each is shown with its place; the frames on them are missing from the figures.",
			Say:   notBefore, Formula: "more bad lines than max_bad_lines", Source: practice, Parameters: []string{"max_bad_lines"}},
		{Name: string(kindFramesLost), Group: glossary.Against, Unit: aPass,
			Means: "Frame times and timestamps of a capture disagree, so frames were lost. The recorder did not keep up, or lines were cut out.",
			Say:   notBefore, Formula: "from the end of the first frame to the end of the last the two differ by more than 1 %", Source: pageSeven},
		{Name: string(kindNoFigures), Group: glossary.Against, Unit: aPass,
			Means: "Frames are there, but no figure can be worked out. The reason stands beside it: all of zero length, or beyond all bounds.",
			Say:   notBefore, Formula: "no time passes, a frame lasts over 18 minutes, or more frames than a pass may hold", Source: pageOne},
		{Name: string(kindImplausible), Group: glossary.Against, Unit: aPass,
			Means: "The frame rate is none that a game can have. Most likely the plan states another unit than the file has: milliseconds read as " +
				"microseconds are off by a thousand.",
			Say: notBefore, Formula: "mean below 0.5 or above 5000 fps", Source: practice, Parameters: []string{"frame_time"}},
		{Name: string(kindSameContent), Group: glossary.Against, Unit: aPass,
			Means: "Two captures are the same, byte for byte. One was saved under a wrong name, so one pass is lost; nothing is published.",
			Say:   notBefore, Formula: "two passes that count have one SHA-256", Source: pageSeven},
		{Name: string(kindControl), Also: []string{"control cell", "control passes", "out of limits"}, Group: glossary.Against, Unit: "a pass; of two sessions, a cell",
			Means: "The control of the session that a pass was made in is out of limits. Something about that mounting of the card is not as in the " +
				"other sessions, so all its passes are doubtful, in any mode. With two sessions that differ nothing tells which is off: it is said of both.",
			Say: notBefore,
			Formula: "the mean ln fps of the session's control passes lies outside the prediction from the other sessions' (externally studentised " +
				"residual, two-sided 5 % split over all sessions of all controls; the stated session spread and that of launches count as 3 degrees of " +
				"freedom beside theirs), and more than half of max_spread from it",
			Source: "R. D. Cook, S. Weisberg, Residuals and Influence in Regression, 1982; G. K. Smyth, Statistical Applications in Genetics and " +
				"Molecular Biology 3(1), 2004", Parameters: []string{"control", "session_spread", "max_spread"}},
	}
}

const pageOne = "definitions, section 1"

func flagEntries() []glossary.Entry {
	return []glossary.Entry{
		{Name: string(flagSessionAssumed), Group: glossary.Flag, Unit: aPass,
			Means: "Nothing says in which session a pass was made. All passes of a card and mode are taken for one session, and the plan's session " +
				"spread for what a swap moves.",
			Say: "What the verdicts allow. Keep a bench log with sessions, and the spread is your own bench's.", Formula: "no session in the bench log",
			Source: pageTwo, Parameters: []string{"log", "session_spread"}},
		{Name: string(flagLimitedElsewhere), Also: []string{"cpu bound", "host limited"}, Group: glossary.Flag, Unit: "a cell",
			Means:   "The card is as fast at a much larger resolution. Something other than the card sets the pace, so the cell says little about it.",
			Say:     `"in this game something other than the card sets the pace". Leave it out of how much faster a card is.`,
			Formula: "at two resolutions whose pixels differ by half or more, the larger mean frame rate is at most 1.03 times the smaller",
			Source:  pageSeven},
		{Name: string(flagAlike), Group: glossary.Flag, Unit: "a cell",
			Means: "Another card runs the cell within 0.3 %. Two cards seldom meet so closely: a cap, a limit elsewhere or a wrong card in the slot " +
				"may be behind it. Nothing is left out.",
			Say: "What the verdict allows.", Formula: "the larger mean frame rate is at most 1.003 times the smaller, of two different cards", Source: pageSeven},
		{Name: string(flagNotReproducible), Group: glossary.Flag, Unit: "a cell",
			Means:   "The passes of a cell do not follow one scene. They cannot be laid beside each other, so neither drift nor a slow stretch is looked for.",
			Say:     "What the verdict allows; a scene that repeats would show more.",
			Formula: "for every pass, its siblings' ten-block profiles correlate below 0.5 in the median, pairs within 2 % of each other counting as 1",
			Source:  pageTwo},
		{Name: string(flagNotComparable), Group: glossary.Flag, Unit: "a comparison",
			Means: "The two cells are never compared, and the reason stands beside it. Frame times taken at different points of their way to the " +
				"screen are not the same thing, nor is power of the chip that of the whole board. Looking back over an archive, neither are cells of another " +
				"rig, build or setting, unless that is asked for.",
			Say: "No difference.", Formula: "measured_at differs; of power and what rests on it, the place where it is measured; of a clock, the sensor; " +
				"of two editions, anything but driver, OS, firmware and sample",
			Source: pageSeven, Parameters: []string{"measured_at", "sensors"}},
		{Name: string(flagNotReady), Also: []string{"not ready"}, Group: glossary.Flag, Unit: "a comparison",
			Means: "A side is not ready, so its difference does not hold yet. Figures and verdict are there to look at: tables of cells say open in " +
				"the verdict's place.",
			Say: "Nothing. Run what the list names, or look at it and vouch for it.", Formula: "the state of a side is neither ready nor vouched",
			Source: pageSeven, Parameters: []string{"repeats"}},
		{Name: string(flagBuildDiffers), Group: glossary.Flag, Unit: "a comparison",
			Means: "The two sides ran different builds of the game. The difference is that of card and build together.",
			Say:   "The difference only with both builds named.", Formula: "the recorded builds of the passes differ", Source: pageSeven, Parameters: []string{"log"}},
		{Name: string(flagDriverDiffers), Group: glossary.Flag, Unit: "a comparison",
			Means: "Two cards of one vendor ran different drivers. The difference is that of card and driver together.",
			Say:   "The difference only with both drivers named.", Formula: "the recorded drivers differ, and the vendor is the same", Source: pageSeven,
			Parameters: []string{"log"}},
		{Name: string(flagReusedReserve), Group: glossary.Flag, Unit: "a cell",
			Means: "Reused passes differ from the plan in something that it puts up with. That is another driver, system, firmware or sample, or what " +
				"nobody recorded, and it stands beside the number.",
			Say: "The difference only with what differs named.", Formula: "of what reuse names in despite, the archived passes and this plan state unlike things",
			Source: pageSeven, Parameters: []string{"reuse", "despite"}},
		{Name: string(flagCalculator), Group: glossary.Flag, Unit: "a claim",
			Means: "A viewer's calculator contradicts the sentence. The whole percent worked from the two figures as displayed is another than the " +
				"one from the figures in full.",
			Say:     "The sentence, with one more decimal of both figures on screen; or no percentage.",
			Formula: "round(100·(a/b − 1)) with a and b rounded as displayed differs from what is said; for level, it is the margin or more",
			Source:  "definitions, section 4"},
	}
}

func statusEntries() []glossary.Entry {
	return []glossary.Entry{
		{Name: string(Used), Group: glossary.Status, Unit: aPass, Means: "The pass counts. Every figure of its cell rests on it.",
			Say: "What the verdicts allow.", Formula: "readable, not void, and among the newest of its cell", Source: "the plan's form",
			Parameters: []string{"repeats"}},
		{Name: string(Void), Group: glossary.Status, Unit: aPass,
			Means: "Taken out of the review by you, with a reason. It is archived and shown with the reason, and counts for nothing.",
			Say:   "Nothing of this pass.", Formula: "a void block names the file, or the bench log has an outcome other than ok", Source: "the plan's form",
			Parameters: []string{"void", "log"}},
		{Name: string(Superseded), Group: glossary.Status, Unit: aPass,
			Means: "More passes are there than the plan asks for, and this is an older one. The newest are used, so that nobody picks the best.",
			Say:   "Nothing of this pass.", Formula: "more usable passes than repeats or than the last of the looks; not among the newest", Source: "the plan's form",
			Parameters: []string{"repeats", "looks"}},
		{Name: string(Unusable), Group: glossary.Status, Unit: aPass,
			Means: "The file should be a pass and cannot be read. The findings say at which line and why.",
			Say:   "Nothing of this pass.", Formula: "ingest ended in an error: no record, no such column, a damaged file", Source: "the plan's form",
			Parameters: []string{"frame_time"}},
	}
}

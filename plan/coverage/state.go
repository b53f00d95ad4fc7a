package coverage

import "github.com/rigslate/rigslate/plan/glossary"

// State is what a planned cell is, worst first. Each has an entry below.
type State uint8

const (
	Absent   State = iota // no usable pass
	Short                 // fewer usable passes than repeats
	Doubtful              // enough passes, but a check failed
	Stale                 // measured under facts that the plan no longer states
	Failed                // does not run, on record
	Ready
	Reused  // ready, by the passes of an earlier review
	Vouched // doubtful or stale, looked at and accepted with a reason
	Waived  // left out on purpose, with a reason
)

const pageSeven = "definitions, section 7"

var states = [...]glossary.Entry{
	Absent: {Name: "absent", Title: "absent", Means: "No usable pass is there. A file that cannot be read, or is void, is none.",
		Say:     "Nothing of this cell.",
		Formula: "no usable pass, and no failure on record", Source: "the plan's form", Parameters: []string{"repeats"}},
	Short: {Name: "short", Title: "short", Means: "Fewer usable passes are there than the plan asks for. Figures are shown, verdicts stay open.",
		Say:     "Nothing of this cell before the missing passes are run.",
		Formula: "usable passes fewer than repeats, or between two of the looks", Source: "the plan's form", Parameters: []string{"repeats", "looks"}},
	Doubtful: {Name: "doubtful", Title: "doubtful", Means: "The passes are there, but a check failed on the cell or on one of them. The reason stands beside " +
		"it with its figure, and the list of what to run again names the pass.",
		Say:     "Nothing of this cell before the pass is run again, or looked at and vouched for.",
		Formula: "a reason stands against the cell or a pass: spread, suspect, disturbed, drift, length, bad_lines, cap and the like",
		Source:  pageSeven, Parameters: []string{"max_spread", "min_length", "max_bad_lines", "capped"}},
	Stale: {Name: "stale", Title: "stale", Means: "Made under other circumstances than the plan now states. The driver, the build, a setting or the " +
		"firmware has changed since the capture was first seen.",
		Say:     "Nothing of this cell as of now; what it shows was true of the old driver or build.",
		Formula: "driver, build, settings, firmware, launch or session recorded at first sight differ from what is stated now", Source: "the ledger",
		Parameters: []string{"log"}},
	Failed: {Name: "failed", Title: "does not run", Means: "The game does not run there, and this is on record. It is a result, not a hole in the matrix.",
		Say:     `"it does not run here", with the outcome: crash, hang, artefacts or unsupported.`,
		Formula: "no usable pass, and the bench log has an outcome other than ok", Source: "the plan's form", Parameters: []string{"log"}},
	Ready: {Name: "ready", Title: "ready", Means: "As many passes as planned, and no check failed. Of a review: every cell needs nothing more.",
		Say:     "What the verdicts allow.",
		Formula: "usable passes at least repeats, or as many as one of the looks, and no reason against any", Source: pageSeven,
		Parameters: []string{"repeats", "looks"}},
	Reused: {Name: "reused", Title: "ready (reused)", Means: "Ready by the passes of an earlier review of the same archive. They were made on the same rig, " +
		"build, settings and scene; they are referred to and never copied, and the review and the day stand beside the number.",
		Say: "What the verdicts allow, with the day of the passes: what changed since and nobody recorded is in no interval.",
		Formula: "no capture of its own, a reuse block names the card, and the stored cell held, is comparable, young enough, of as many passes as " +
			"planned, and passes this plan's checks", Source: "the plan's form", Parameters: []string{"reuse", "max_age", "despite"}},
	Vouched: {Name: "vouched", Title: "vouched", Means: "Doubtful or stale, looked at and accepted by you with a reason. The reason travels with the number; a " +
		"vouch covers the files it was given for, and no later ones.",
		Say:     "What the verdicts allow, and the reason where it matters.",
		Formula: "enough passes, a reason against them, and a vouch block for the cell", Source: "the plan's form", Parameters: []string{"vouch"}},
	Waived: {Name: "waived", Title: "waived", Means: "Left out on purpose, with a reason. It counts as done.",
		Say:     "Nothing of this cell, or the reason why it was not run.",
		Formula: "a waive in the matrix names the cell", Source: "the plan's form", Parameters: []string{"waive"}},
}

func (s State) String() string { return states[s].Name }

// Shown is the state in the words of screens.
func (s State) Shown() string { return states[s].Title }

// MarshalText gives JSON and tables the word.
func (s State) MarshalText() ([]byte, error) { return []byte(states[s].Name), nil }

// Entries is what `explain` says of every state. Those that also stand as a reason of their own (absent, short, waived, vouched) are
// explained as states.
func Entries() (out []glossary.Entry) {
	for _, e := range states {
		e.Group, e.Unit = glossary.State, "a cell"
		out = append(out, e)
	}
	return out
}

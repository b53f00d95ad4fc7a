package compute

import "github.com/rigslate/rigslate/plan/glossary"

const (
	pageFour = "definitions, section 4"
	perClaim = "a claim"
)

var judgedEntries = []glossary.Entry{
	{Name: string(NoData), Group: glossary.Claim, Unit: perClaim,
		Means:   "No cell that the claim names has a figure. Nothing is for it or against it.",
		Say:     "Not the claim. Run the passes it rests on.",
		Formula: "no cell of the claim has a figure on both sides", Source: pageFour, Parameters: []string{"claim"}},
	{Name: string(Contradicted), Group: glossary.Claim, Unit: perClaim,
		Means:   "The data say otherwise, and not by chance. A review with such a claim is not ready.",
		Say:     "Not the claim. The strongest sentence that the data do carry stands beside it.",
		Formula: "the estimate lies outside of what is claimed, and p_against, adjusted for all claims of the plan, is at most 0.05",
		Source:  "S. Holm, Scandinavian Journal of Statistics 6(2), 1979; definitions, section 4", Parameters: []string{"claim", "session_spread"}},
	{Name: string(Supported), Group: glossary.Claim, Unit: perClaim,
		Means:   "The data bear the claim out, and not by chance. Anything outside of what is claimed can be ruled out.",
		Say:     "The claim as it stands.",
		Formula: "the estimate lies inside of what is claimed, and p_for, adjusted for all claims of the plan, is at most 0.05",
		Source:  "S. Holm, Scandinavian Journal of Statistics 6(2), 1979; definitions, section 4", Parameters: []string{"claim", "session_spread"}},
	{Name: string(Fits), Group: glossary.Claim, Unit: perClaim,
		Means: `The figure lies where it is claimed, known well enough for "about". Values somewhat outside are not ruled out.`,
		Say:   `The claim with "about".`,
		Formula: "inside; p_sign at most 0.05, so that the sign is sure; half of the interval at most the larger of `within` and half of the " +
			"claimed percentage. For an absolute figure: half of the interval at most `within`", Source: pageFour,
		Parameters: []string{"claim", "session_spread"}},
	{Name: string(Open), Group: glossary.Claim, Unit: "a claim, or a row of a table",
		Means: "It may not be said yet. It leans for the claim or against it, and the launches that settle it are named. In a table of cells: a " +
			"side is not ready, so the verdict stays open.",
		Say:     "Nothing. Run the passes, or claim less.",
		Formula: "neither contradicted, supported nor fits; also where a side has no spread, or a low is thin", Source: pageFour,
		Parameters: []string{"claim", "session_spread", "repeats"}},
}

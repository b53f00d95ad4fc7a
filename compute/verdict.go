package compute

import "github.com/rigslate/rigslate/plan/glossary"

// Verdict is what may be said of a comparison; empty where nothing may. Each has an entry below.
type Verdict string

const (
	Ahead      Verdict = "ahead"
	Behind     Verdict = "behind"
	Level      Verdict = "level"
	Unresolved Verdict = "unresolved"
	Single     Verdict = "single" // one launch or one soak on a side and no spread to borrow, so nothing to judge by
)

const pageThree = "definitions, section 3"

const sayDifference = ` Whole percents, ties away from zero; "under one percent" below 1; "about" when the interval is wider than the figure. ` +
	"Always say the direction: 5 % more one way is 4.8 % less the other."

var verdictEntries = []glossary.Entry{
	{Name: string(Ahead), Also: []string{"faster", "better"}, Group: glossary.Verdict, Unit: "a comparison or a summary",
		Means: "There is a difference, and it is in the card's favour. How large it is, the interval says.",
		Say:   `"five percent faster".` + sayDifference,
		Formula: "not level, and the 95 % interval of the difference lies on the metric's better side of 0; counts: exact binomial " +
			"p of at most 0.05", Source: pageThree, Parameters: []string{"margin", "session_spread"}},
	{Name: string(Behind), Also: []string{"slower", "worse"}, Group: glossary.Verdict, Unit: "a comparison or a summary",
		Means: "There is a difference, and it is to the card's disadvantage. How large it is, the interval says.",
		Say:   `"three percent slower".` + sayDifference,
		Formula: "not level, and the 95 % interval of the difference lies on the metric's worse side of 0; counts: exact binomial " +
			"p of at most 0.05", Source: pageThree, Parameters: []string{"margin", "session_spread"}},
	{Name: string(Level), Also: []string{"the same", "equal"}, Group: glossary.Verdict, Unit: "a comparison or a summary",
		Means:   "Whatever difference there is, it is too small to matter to a buyer. That is shown, not just not disproved.",
		Say:     `"the same, within one percent".`,
		Formula: "the 90 % interval of the difference lies within −margin to +margin: two one-sided tests at 5 %",
		Source:  "D. J. Schuirmann, Journal of Pharmacokinetics and Biopharmaceutics 15(6), 1987", Parameters: []string{"margin", "session_spread"}},
	{Name: string(Unresolved), Group: glossary.Verdict, Unit: "a comparison or a summary",
		Means: "The passes cannot tell which side is faster, nor that they are level. The note under the table says how many launches would.",
		Say:   `"no difference we can resolve". Never "the same".`,
		Formula: "neither level nor ahead nor behind: the 95 % interval of the difference holds 0, and the 90 % interval reaches past " +
			"the margin", Source: pageThree, Parameters: []string{"margin", "session_spread", "repeats"}},
	{Name: string(Single), Also: []string{"one launch", "one soak"}, Group: glossary.Verdict, Unit: "a cell or a comparison",
		Means: "All of a side comes from one launch of the game, or from one soak. Nothing shows how much launches or soaks differ, " +
			"and as a verdict: no other cells lend a spread, and no repeatability is declared.",
		Say:     "The figure, as that of one launch or soak; no difference.",
		Formula: "one launch or soak on a side; a verdict only where there is no spread to borrow, else a flag", Source: pageThree,
		Parameters: []string{"repeats", "log"}},
	{Name: "firm", Also: []string{"firm lead"}, Group: glossary.Verdict, Unit: "a comparison with the baseline that is ahead or behind",
		Means: "A lead or deficit that stands although many cells were looked at. Of all that are firm, about one in twenty may be chance; " +
			"of all that are only ahead or behind, more.",
		Say:     "The difference without a second thought. One that is not firm is best said with others of its kind, or not.",
		Formula: "p is at most the largest p₍ᵢ₎ with p₍ᵢ₎ ≤ 0.05·i/n over the review's n verdicts on the metric against the baseline",
		Source:  "Y. Benjamini, Y. Hochberg, Journal of the Royal Statistical Society B 57(1), 1995"},
}

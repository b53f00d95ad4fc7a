package explain

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/glossary"
)

var differenceFigures = []figure{
	{glossary.Entry{Name: "difference", Also: []string{"percent", "ratio", "lead", "deficit"}, Group: glossary.Statistic,
		Means: "How far a cell is from the baseline's in the same game and resolution. Differences are worked out by the program; those worked out " +
			"from rounded figures by hand come out a little off.",
		Say: `Only what its verdict allows, and the direction: +5 % one way is −4.8 % the other. Steps multiply: from +5 % to +8 % are 1.08/1.05, ` +
			"that is 2.9 %.",
		Formula: "100·(e^d − 1), d the difference of the centres of ln x; for shares the difference of the means", Unit: "%, for shares percentage points",
		Better: asMetric, Averaged: perLaunch, Source: pageThree, Parameters: []string{"baseline"}},
		func(r *review.Review) string {
			of, base, d := pair(r)
			return fmt.Sprintf("%s against %s: %.2f / %.2f fps = %.4f, that is %s %%, interval %s", shown, d.Base.CardMode(), of.Mean.X, base.Mean.X,
				d.Ratio.X, screen.Signed(d.Percent.X, 1), percents(d.Low, d.High))
		}},
	{glossary.Entry{Name: "p", Also: []string{"p value"}, Group: glossary.Statistic,
		Means: "How often passes of two equal cards would lie this far apart or farther. It is no chance of being right: a small p makes equality " +
			"hard to believe, a large one proves nothing.",
		Say:     "Nothing. The verdict and the interval are what p is for.",
		Formula: "two-sided Student's t of d/SE with ν degrees of freedom; counts: twice the smaller tail of the exact binomial; times the looks declared",
		Unit:    "1, from 0 to 1", Better: byItself, Averaged: perLaunch, Source: "Student (W. S. Gosset), Biometrika 6, 1908; " + pageThree,
		Parameters: []string{"looks"}},
		func(r *review.Review) string {
			_, _, d := pair(r)
			diff := math.Log1p(d.Percent.X / 100)
			half := (math.Log1p(d.High.X/100) - math.Log1p(d.Low.X/100)) / 2
			se := half / between95(d.DF.X)
			return fmt.Sprintf("%s: d = ln %.4f = %.4f, SE = %.4f: t = %.1f with ν = %.1f, p = %.2g", shown, d.Ratio.X, diff, se, diff/se, d.DF.X, d.P.X)
		}},
	{glossary.Entry{Name: "margin", Also: []string{"margin_pct", "what matters"}, Group: glossary.Statistic,
		Means: "The largest difference that does not matter to a buyer. Two cells closer than that are level; repeats are planned to see it.",
		Say:   `It belongs to "the same": "the same, within one percent".`,
		Formula: "M = ln(1 + margin) for rates and times, the margin itself in percentage points for shares; level where the 90 % interval lies " +
			"within (−M, +M)", Unit: "%, for shares percentage points", Better: "neither: it is yours to choose", Averaged: "not at all",
		Source: "D. J. Schuirmann, Journal of Pharmacokinetics and Biopharmaceutics 15(6), 1987", Parameters: []string{"margin"}},
		func(r *review.Review) string {
			d, _ := find(r, func(d review.Comparison) bool { return d.Verdict == compute.Level && d.Of.Game == "fjord" })
			return fmt.Sprintf("%s: %s %% is level, since its 90 %% interval lies within ± %g %%; the 95 %% interval is %s", d.Of,
				screen.Signed(d.Percent.X, 1), r.Plan.Statistics.MarginPct, percents(d.Low, d.High))
		}},
	{glossary.Entry{Name: "session_spread", Also: []string{"session_source", "u"}, Group: glossary.Statistic,
		Means: "What taking a card out and in again moves results by. It enters every difference twice, once a card, and no number of passes in one " +
			"session makes it smaller.",
		Say: "Nothing by itself; the screens say whether it is your bench's own, the plan's or the default.",
		Formula: "u² = mean over a card's cells of the variance of their session means, ν = sessions − 1, cards pooled; used from ν = 3 on, else " +
			"the plan's, else the default; 0 within one recorded session", Unit: "% for rates and times, else the metric's",
		Better: "lower: the bench repeats better", Averaged: "over control cells and cells passed in several sessions", Source: pageThree,
		Parameters: []string{"session_spread", "log", "control"}},
		func(r *review.Review) string {
			_, _, d := pair(r)
			return fmt.Sprintf("%s: u = %.3f %% from this review's %s, ν = %.1f; it adds 2u² to the squared error of the difference", shown,
				d.SessionSpread.Shown(d.Metric), d.SessionSpread.Source, d.SessionSpread.DF)
		}},
	{glossary.Entry{Name: "chance", Also: []string{"chance line", "may be chance"}, Group: glossary.Statistic,
		Means: "How many verdicts under a table may be there by luck. Each is wrong one time in twenty where cards are equal, so many verdicts hold a few " +
			"that are chance.",
		Say: "It is why a lead that is not firm is not spoken alone.", Formula: "0.05·n of n verdicts that rest on a test", Unit: "verdicts",
		Better: "lower", Averaged: "over the review's cells against the baseline", Source: pageThree},
		func(r *review.Review) string {
			var all []compute.Comparison
			firm := 0
			for _, d := range headlines(r) {
				all = append(all, d.Comparison)
				if d.Firm {
					firm++
				}
			}
			n, chance := compute.ByChance(all)
			return fmt.Sprintf("%d verdicts on mean frame rate: 0.05 × %d = %.1f may be chance; %d leads and deficits are firm", n, n, chance, firm)
		}},
	{glossary.Entry{Name: "repeats_needed", Also: []string{"launches a side", "repeats", "needed"}, Group: glossary.Statistic,
		Means: "Launches a side that would show a difference as large as the margin. The difference that was seen plays no part, since it is as " +
			"uncertain as the verdict.",
		Say: "Nothing; it is for the bench.",
		Formula: "least k with 80 % power of the two-sided t test at 5 % for the margin, SE² = 2c²/k + 2u², c the sides' pooled spread or, of few " +
			"launches, its upper 80 % limit", Unit: "launches a side", Better: "lower", Averaged: "over both sides of the comparison",
		Source: "noncentral t, as R's power.t.test has it; " + pageFive, Parameters: []string{"margin", "session_spread", "looks"}},
		func(r *review.Review) string {
			d, _ := find(r, func(d review.Comparison) bool { return d.Verdict == compute.Unresolved && d.Needed.OK })
			return fmt.Sprintf("%s against %s: %s %% %s is unresolved; %d launches a side would show %g %% with a chance of 80 %%", d.Of, d.Base.CardMode(),
				screen.Signed(d.Percent.X, 1), percents(d.Low, d.High), d.Needed.K, r.Plan.Statistics.MarginPct)
		}},
	{glossary.Entry{Name: "reach", Also: []string{"resolvable", "what a review can resolve"}, Group: glossary.Statistic,
		Means: "The smallest difference that the planned launches will likely show. It is known before the first pass, at a chance of 80 %: smaller " +
			"differences are not worth hoping for.",
		Say:     "Nothing; it is for the plan.",
		Formula: "the Δ whose repeats needed are the planned launches, at the expected spread", Unit: "%, for shares percentage points", Better: "lower",
		Averaged: "not at all: it is worked out from the plan", Source: "noncentral t, as R's power.t.test has it; " + pageFive,
		Parameters: []string{"repeats", "looks", "expected_spread", "session_spread"}},
		func(r *review.Review) string {
			s := r.Plan.Statistics
			m, _ := compute.MetricByName(headline)
			d := compute.ResolvableAt(m, plan.DefaultRepeats, compute.ExpectedNoise(m, s.ExpectedSpreadPct, 0), compute.PlanSessionSpread(m, s.SpreadPct, 0))
			return fmt.Sprintf("%d launches a side, expected spread %g %%, session spread %g %%: differences from %.1f %% show", plan.DefaultRepeats,
				s.ExpectedSpreadPct, s.SpreadPct, d.X)
		}},
	{glossary.Entry{Name: "pass_order", Also: []string{"first passes", "cold first pass"}, Group: glossary.Statistic,
		Means: "Whether first passes differ from later ones over the whole review. A card that was cold in each first pass shows over sixty cells, " +
			"though in no single one.",
		Say:     "Nothing; warm up longer, or cut more of the start.",
		Formula: "mean over the cells of ln first − mean ln later mean frame rates, Student's t over the cells; said at p < 0.01", Unit: "%",
		Better: "neither: 0 is as it should be", Averaged: "over the ready and vouched cells", Source: "definitions, section 7", Parameters: []string{"log"}},
		func(r *review.Review) string {
			o := r.PassOrder()
			says := "nothing is said"
			if o.Matters {
				says = "it is said"
			}
			return fmt.Sprintf("over %d cells first passes are %s %% off the later ones, p = %.2g: %s", o.Cells, screen.Signed(o.Percent.X, 2), o.P.X, says)
		}},
}

// headlines are the comparisons with the baseline in mean frame rate that hold.
func headlines(r *review.Review) (out []review.Comparison) {
	for _, d := range r.Comparisons {
		if d.Metric.Name == headline && d.Base.CardMode() == r.Plan.Review.Baseline && d.Holds {
			out = append(out, d)
		}
	}
	return out
}

// find returns the first of them that is as asked for.
func find(r *review.Review, asked func(review.Comparison) bool) (review.Comparison, bool) {
	for _, d := range headlines(r) {
		if asked(d) {
			return d, true
		}
	}
	return review.Comparison{}, false
}

package explain

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/glossary"
)

// figure is a figure over passes, between cells or over games, with the example that the demo review gives.
type figure struct {
	glossary.Entry
	worked func(r *review.Review) string
}

// The cell that examples are taken from, against the demo's baseline.
var shown = plan.Key{Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd"}

const headline = "mean_fps"

// pair is the shown cell, the baseline's, and what sets them apart in mean frame rate.
func pair(r *review.Review) (of, base compute.CellStat, d review.Comparison) {
	d, _ = r.Against(shown, r.Plan.Review.Baseline, headline)
	for _, c := range r.Cells {
		switch c.Cell.Key {
		case d.Of:
			of, _ = c.Stat(headline)
		case d.Base:
			base, _ = c.Stat(headline)
		}
	}
	return of, base, d
}

// rates are the mean frame rates of the shown cell's passes.
func rates(r *review.Review) (words []string) {
	for _, p := range r.Passes {
		if p.Key == shown && p.Status == review.Used {
			words = append(words, screen.Number(p.Figures.MeanFPS.X, 2))
		}
	}
	return words
}

// log is a standard deviation on the ratio scale in percent.
func log(variance float64) float64 { return 100 * math.Sqrt(variance) }

// between95 is the two-sided 95 % point of Student's t.
func between95(df float64) float64 { return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(0.975) }

func fps(low, high compute.Value) string {
	return "[" + screen.Number(low.X, 1) + ", " + screen.Number(high.X, 1) + "] fps"
}

func percents(low, high compute.Value) string {
	return "[" + screen.Number(low.X, 1) + ", " + screen.Number(high.X, 1) + "]"
}

const (
	pageTwo   = "definitions, section 2"
	pageThree = "definitions, section 3"
	pageFour  = "definitions, section 4"
	pageFive  = "definitions, section 5"
	asMetric  = "as the metric's, see its own entry"
	perLaunch = "over the launches of the cell"
	byItself  = "neither: it says how well a figure is known"
)

// figures are the entries of glossary.Statistic; each file adds its own.
func figures() []figure {
	return slices.Concat(cellFigures, differenceFigures, manyFigures, backFigures, changeWords)
}

var cellFigures = []figure{
	{glossary.Entry{Name: "cell_mean", Also: []string{"centre", "cell mean", "mean of a cell"}, Group: glossary.Statistic,
		Means: "One figure for a cell out of its passes. Each launch of the game counts once, however many passes it has.",
		Say:   `"65 frames per second", as the table has it.`,
		Formula: "mean over the launches of the mean over each one's passes, of ln x for rates and times (the geometric mean), of x for shares; " +
			"counts: events over minutes", Unit: "the metric's", Better: asMetric, Averaged: perLaunch,
		Source: "P. J. Fleming, J. J. Wallace, Communications of the ACM 29(3), 1986; " + pageTwo, Parameters: []string{"repeats", "log"}},
		func(r *review.Review) string {
			of, _, _ := pair(r)
			return fmt.Sprintf("%s: launches of %s fps, geometric mean %.2f fps", shown, screen.List(rates(r)), of.Mean.X)
		}},
	{glossary.Entry{Name: "interval", Also: []string{"ci_low", "ci_high", "95 % interval", "confidence interval"}, Group: glossary.Statistic,
		Means: "Where the figure would most likely come out if all was done again. Of such intervals 95 in 100 hold what endless repeats would " +
			"give; the figure is no more exact than its interval is wide.",
		Say: "No digit that the interval does not bear. Two cells are compared by the interval of their difference, never by whether their own overlap.",
		Formula: "centre ± t(0.975; ν)·s/√k on the metric's scale, k launches, s and ν borrowed where the cells of the review lend them; of a " +
			"difference: ± t·√(s²/k of both sides + 2u²), u the session spread",
		Unit: "the metric's; of a difference %, or the metric's", Better: "neither: the narrower, the better the figure is known", Averaged: perLaunch,
		Source: "Student (W. S. Gosset), Biometrika 6, 1908; " + pageTwo, Parameters: []string{"repeats", "looks"}},
		func(r *review.Review) string {
			of, _, _ := pair(r)
			t, s := between95(of.DF.X), log(of.ShownVariance.X)
			half := float64(t*s) / math.Sqrt(float64(of.Launches))
			return fmt.Sprintf("%s: centre %.2f fps, k = %d launches, s = %.3f %%, ν = %.1f, t = %.3f: ± %.3f × %.3f %% / √%d = ± %.2f %%, that is %s",
				shown, of.Mean.X, of.Launches, s, of.DF.X, t, t, s, of.Launches, half, fps(of.Low, of.High))
		}},
	{glossary.Entry{Name: "own_interval", Also: []string{"own_ci_low", "own_ci_high", "own spread"}, Group: glossary.Statistic,
		Means: "The interval from the cell's own launches alone. With three launches it is often far too wide or far too narrow, which is why the " +
			"shown one leans on all cells.",
		Say:     "Nothing; it stands in `why` and in the archive for those who distrust borrowing.",
		Formula: "centre ± t(0.975; k − 1)·s/√k with the cell's own s", Unit: "the metric's; of a difference %, or the metric's",
		Better: byItself, Averaged: perLaunch, Source: "Student (W. S. Gosset), Biometrika 6, 1908; " + pageTwo, Parameters: []string{"repeats"}},
		func(r *review.Review) string {
			of, _, _ := pair(r)
			return fmt.Sprintf("%s: own s = %.3f %% of %d launches, t(%.0f) = %.3f: %s; by borrowed spread %s", shown, of.SD.X, of.Launches,
				float64(of.Launches-1), between95(float64(of.Launches-1)), fps(of.OwnLow, of.OwnHigh), fps(of.Low, of.High))
		}},
	{glossary.Entry{Name: "sd", Also: []string{"standard deviation of a cell", "spread of launches"}, Group: glossary.Statistic,
		Means:   "How much the launches of a cell differ, as a rule. It is the cell's own, before anything is borrowed.",
		Say:     "Nothing by itself; it is in the interval.",
		Formula: "s = √(Σ(y − ȳ)² / (k − 1)) over the means y of k launches on the metric's scale; stored as 100·s for rates and times",
		Unit:    "% for rates and times, else the metric's", Better: "neither: it belongs to the bench and the game as much as to the card",
		Averaged: perLaunch, Source: pageTwo, Parameters: []string{"repeats", "log"}},
		func(r *review.Review) string {
			of, _, _ := pair(r)
			return fmt.Sprintf("%s: launches of %s fps, s of their logarithms × 100 = %.3f %%", shown, screen.List(rates(r)), of.SD.X)
		}},
	{glossary.Entry{Name: "borrowed_spread", Also: []string{"method", "borrowed", "spread borrowed"}, Group: glossary.Statistic,
		Means: "A cell's spread, leant on that of all cells of the review. Three passes cannot tell how noisy one cell is, sixty cells can; a cell that " +
			"looks quiet is taken to be noisier than it looks, and one that looks noisy is not taken to be quieter.",
		Say: "Nothing by itself; the screens say from how many cells it is borrowed.",
		Formula: "s̃² = (ν₀s₀² + νs²)/(ν₀ + ν), or s² where that is more, with ν₀ + ν; s₀² and ν₀ from the logarithms of all cells' variances; needs 10 cells with two launches; own s " +
			"and ν where s²/s₀² > F(0.95; ν, ν₀)", Unit: "% for rates and times, else the metric's", Better: byItself, Averaged: perLaunch,
		Source: "G. K. Smyth, Statistical Applications in Genetics and Molecular Biology 3(1), 2004"},
		func(r *review.Review) string {
			of, _, _ := pair(r)
			return fmt.Sprintf("%s: own s = %.3f %% with ν = %d; %s: s̃ = %.3f %% with ν = %.1f", shown, of.SD.X, of.Launches-1, of.Method,
				log(of.ShownVariance.X), of.DF.X)
		}},
	{glossary.Entry{Name: "df", Also: []string{"degrees of freedom", "ν"}, Group: glossary.Statistic,
		Means: "On how much evidence a spread rests. With few, an interval must be wider for the same spread.", Say: "Nothing.",
		Formula: "k − 1 of a cell's own spread, more where it is borrowed; of a difference by Welch–Satterthwaite over the sides and the session spread",
		Unit:    "1", Better: "neither: the more, the better the spread is known", Averaged: perLaunch,
		Source: "F. E. Satterthwaite, Biometrics Bulletin 2(6), 1946; B. L. Welch, Biometrika 34, 1947"},
		func(r *review.Review) string {
			of, base, d := pair(r)
			return fmt.Sprintf("%s: ν = %.1f, baseline ν = %.1f, session spread ν = %.1f: difference ν = %.1f", shown, of.DF.X, base.DF.X, d.SessionSpread.DF, d.DF.X)
		}},
	{glossary.Entry{Name: "n", Also: []string{"passes", "base_n"}, Group: glossary.Statistic,
		Means: "How many passes have the figure. Void, superseded and unusable passes are not among them.", Say: `"over three passes".`,
		Formula: "passes that count and in which the figure can be had", Unit: "passes", Better: "higher", Averaged: "a count of them",
		Source: pageTwo, Parameters: []string{"repeats"}},
		func(r *review.Review) string {
			of, base, _ := pair(r)
			return fmt.Sprintf("%s: %s in %s; baseline %s", shown, screen.Count(of.N, "pass", "passes"), screen.Count(of.Launches, "launch", "launches"),
				screen.Count(base.N, "pass", "passes"))
		}},
}

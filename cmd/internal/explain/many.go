package explain

import (
	"fmt"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/glossary"
)

// all is the demo's summary of the shown card and mode over all games at the shown resolution.
func all(r *review.Review) (found review.Summary) {
	for _, s := range r.Summaries {
		if s.Group == review.AllGames && s.Metric.Name == headline && s.Resolution == shown.Resolution && s.Of == shown.CardMode() {
			found = s
		}
	}
	return found
}

// over says what a summary is of.
func over(s review.Summary) string {
	return fmt.Sprintf("%s against %s at %s over %s", s.Of, s.Base, s.Resolution, screen.Count(s.Games, "game", "games"))
}

const overGames = "first within a game, then over games"

var manyFigures = []figure{
	{glossary.Entry{Name: "geometric_mean", Also: []string{"over games", "summary", "games", "most", "least", "left_out"}, Group: glossary.Statistic,
		Means: "A card against the baseline over several games, in one figure. The geometric mean, since it comes out the same whichever card is the " +
			"base. Games limited elsewhere and thin lows are left out and shown beside it.",
		Say:     `"five percent faster over our six games", with the games named or shown. A mean hides the games that differ: the farthest two stand under it.`,
		Formula: "100·(e^D − 1), D the mean over games of the mean d of a game's cells; for shares D itself", Unit: "%, for shares percentage points",
		Better: asMetric, Averaged: overGames, Source: "P. J. Fleming, J. J. Wallace, Communications of the ACM 29(3), 1986",
		Parameters: []string{"baseline"}},
		func(r *review.Review) string {
			s := all(r)
			return fmt.Sprintf("%s: %s %% %s, from %s %% in %s to %s %% in %s; %s left out", over(s), screen.Signed(s.Percent.X, 1),
				percents(s.TheseLow, s.TheseHigh), screen.Signed(s.Least.By.X, 1), s.Least.Game, screen.Signed(s.Most.By.X, 1), s.Most.Game,
				screen.Count(len(s.LeftOut), "cell", "cells"))
		}},
	{glossary.Entry{Name: "these", Also: []string{"these_low", "these_high", "for these games"}, Group: glossary.Statistic,
		Means:   "The interval of the mean for these very games. How far the passes pin it down; that other games might differ is not in it.",
		Say:     `"in the games we tested". The verdict over games rests on it.`,
		Formula: "D ± t(0.975; ν)·√(Σ SE_g²/γ² + 2u²) over γ games, SE_g a game's error without the session spread u, which is common to all games",
		Unit:    "%, for shares percentage points", Better: byItself, Averaged: overGames,
		Source: "F. E. Satterthwaite, Biometrics Bulletin 2(6), 1946; " + pageFour, Parameters: []string{"session_spread", "looks"}},
		func(r *review.Review) string {
			s := all(r)
			return fmt.Sprintf("%s: %s %% %s, so %s", over(s), screen.Signed(s.Percent.X, 1), percents(s.TheseLow, s.TheseHigh), s.Verdict)
		}},
	{glossary.Entry{Name: "like", Also: []string{"like_low", "like_high", "for games like these"}, Group: glossary.Statistic,
		Means: "The interval of the mean for games like these. Had you picked other games of the kind, the mean would most likely lie in it; it is wide, " +
			"since games differ.",
		Say:     `"in games like these", and only as widely as it is. With fewer than three games there is none.`,
		Formula: "D ± t(0.975; ν)·√(s²(d_g)/γ + 2u²), s² the variance of the games' differences d_g, ν by Welch–Satterthwaite",
		Unit:    "%, for shares percentage points", Better: byItself, Averaged: overGames,
		Source: "F. E. Satterthwaite, Biometrics Bulletin 2(6), 1946; " + pageFour, Parameters: []string{"session_spread"}},
		func(r *review.Review) string {
			s := all(r)
			return fmt.Sprintf("%s: %s %%, for games like these %s, for these games %s", over(s), screen.Signed(s.Percent.X, 1),
				percents(s.LikeLow, s.LikeHigh), percents(s.TheseLow, s.TheseHigh))
		}},
	{glossary.Entry{Name: "leads", Also: []string{"levels", "trails", "games led"}, Group: glossary.Statistic,
		Means:   "In how many games the card leads, is level and trails. Only what is firm or level counts, so the three need not sum to all games.",
		Say:     `"it leads in four of our six games".`,
		Formula: "games with a firm verdict one way and none the other; level: every cell of the game is", Unit: "games", Better: "higher, of leads",
		Averaged: "a count of games", Source: pageFour},
		func(r *review.Review) string {
			s := all(r)
			return fmt.Sprintf("%s: %d led, %d level, %d trailed", over(s), s.Leads, s.Levels, s.Trails)
		}},
	{glossary.Entry{Name: "p_for", Also: []string{"p_sign", "p_against", "claim p"}, Group: glossary.Statistic,
		Means: "How well the data bear a claim out, or speak against it. A small p_for: what lies outside of the claim can be ruled out. A small " +
			"p_against: the claim can be. A small p_sign: the direction is sure.",
		Say: "Nothing; the claim's verdict says it.",
		Formula: "one-sided t tests against the edges of what is claimed, doubled but where both edges are tested; of the plan's n claims the i-th " +
			"smallest times n − i + 1", Unit: "1, from 0 to 1", Better: byItself, Averaged: "over the cells the claim names",
		Source: "S. Holm, Scandinavian Journal of Statistics 6(2), 1979", Parameters: []string{"claim", "session_spread", "looks"}},
		func(r *review.Review) string {
			c := r.Claims[0]
			return fmt.Sprintf("%s, %q: found %s, expected %s; of %d claims p_for %s, p_sign %s, p_against %s: %s", c.Name, c.Says, c.Found(),
				c.Hoped(), len(r.Claims), screen.P(c.PFor.X), screen.P(c.PSign.X), screen.P(c.PAgainst.X), c.Verdict)
		}},
	{glossary.Entry{Name: "estimate", Also: []string{"found", "cells"}, Group: glossary.Statistic,
		Means: "What the data say where a claim says something. It is averaged over the cells that the claim names, whatever they are.",
		Say:   "What stands beside the claim as said.", Formula: "as over games: first within a game, then over games; an absolute claim: the figure itself",
		Unit: "%, or the metric's", Better: asMetric, Averaged: overGames, Source: pageFour, Parameters: []string{"claim"}},
		func(r *review.Review) string {
			c := r.Claims[0]
			return fmt.Sprintf("%s, %q: %s in %s, expected %s", c.Name, c.Says, c.Found(), screen.Count(len(c.Cells), "cell", "cells"), c.Hoped())
		}},
	{glossary.Entry{Name: "leaning", Group: glossary.Statistic,
		Means: "Which way an open claim leans. For, where the estimate lies inside of what is claimed, else against; it is no verdict.",
		Say:   "Nothing.", Formula: "for: the estimate lies inside", Unit: "for or against", Better: "neither", Averaged: "over the cells the claim names",
		Source: pageFour, Parameters: []string{"claim"}},
		func(r *review.Review) string {
			for _, c := range r.Claims {
				if c.Leaning() != "" {
					return fmt.Sprintf("%s, %q: found %s, expected %s: open, leaning %s", c.Name, c.Says, c.Found(), c.Hoped(), c.Leaning())
				}
			}
			return ""
		}},
	{glossary.Entry{Name: "uncertainty_budget", Also: []string{"budget", "where the uncertainty comes from", "standard error"}, Group: glossary.Statistic,
		Means: "Which part of the uncertainty comes from passes, launches, sessions. The largest part is where more work pays; beside it " +
			"stands the cheapest plan that halves the whole.",
		Say: "Nothing; it is for the bench.",
		Formula: "shares of SE²: u² for each card, s̃²/k for each cell, of which σ²·mean(1/n)/k by passes where launches have several, σ² the " +
			"variance within launches", Unit: "%", Better: "neither: they sum to 100 %", Averaged: "over both sides",
		Source: "S. R. Searle, G. Casella, C. E. McCulloch, Variance Components, 1992; " + pageFive, Parameters: []string{"session_spread", "takes"}},
		func(r *review.Review) string {
			_, _, d := pair(r)
			b := r.Budget(d.Of, d.Base, headline)
			return fmt.Sprintf("%s against %s: standard error %.2f %%, of its square %.0f %% by launches and passes together, %.0f %% by sessions",
				d.Of, d.Base.CardMode(), b.SE.X, 100*b.Together.X, 100*b.Session.X)
		}},
	{glossary.Entry{Name: "spoken", Also: []string{"about", "under one percent", "speech", "said"}, Group: glossary.Statistic,
		Means: "A difference as it may be said. Its words follow from figure and interval; where a viewer's calculator gets another whole percent " +
			"from the figures as displayed, that is marked.",
		Say: "What it says.",
		Formula: `whole percent, ties away from zero; "under one percent" below 1; "about" where half of the interval exceeds half of the estimate; ` +
			`level: "the same"; unresolved: "no difference we can resolve"`, Unit: "words", Better: asMetric, Averaged: "not at all",
		Source: pageFour, Parameters: []string{"margin"}},
		func(r *review.Review) string {
			of, base, d := pair(r)
			s := compute.Speak(d.Verdict, d.Percent, d.Low, d.High)
			marked := "a calculator agrees"
			if compute.CalculatorDiffers(s, of.Mean.X, base.Mean.X, d.Metric.Decimals, r.Plan.Statistics.MarginPct) {
				marked = "a calculator gets another whole percent, so it is marked"
			}
			return fmt.Sprintf("%s against %s: %s %% %s is said as %q; from %.1f and %.1f fps as displayed %s", d.Of, d.Base.CardMode(),
				screen.Signed(d.Percent.X, 1), percents(d.Low, d.High), s.Size(), of.Mean.X, base.Mean.X, marked)
		}},
}

package explain

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/bridge"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/plan/glossary"
)

// yearOn sets the shown cell against itself a year on: faster by some percent, on the driver and build given.
func yearOn(r *review.Review, percent float64, driver, build string) history.Step {
	of, _, _ := pair(r)
	m, _ := compute.MetricByName(headline)
	then := history.Point{Key: history.Key(shown), State: "ready", Stat: of, Spread: compute.PlanSessionSpread(m, r.Plan.Statistics.SpreadPct, r.Plan.Statistics.SpreadPct)}
	for _, p := range r.Passes {
		if p.Key == shown {
			then.Facts.Driver, then.Facts.Build = []string{p.Facts.Driver}, []string{p.Facts.Build}
		}
	}
	known := []string{"the same"}
	then.Facts.Rig, then.Facts.Size, then.Facts.Warmup, then.Facts.MeasuredAt, then.Facts.OS = known, known, known, known, "the same"
	now := then
	now.Stat.Centre = compute.Known(of.Centre.X + math.Log1p(percent/100))
	now.Stat.Mean = compute.Known(math.Exp(now.Stat.Centre.X))
	if driver != "" {
		now.Facts.Driver = []string{driver}
	}
	if build != "" {
		now.Facts.Build = []string{build}
	}
	return *history.Lines([]history.Point{then, now}, m, compute.DefaultMargin, false)[0].Steps[1]
}

// stepOf words a step.
func stepOf(s history.Step) string {
	d := s.Comparison
	return fmt.Sprintf("%s, a year on: %s %% %s", shown, screen.Signed(d.Percent.X, 1), percents(d.Low, d.High))
}

func differing(s history.Step) (text string) {
	for i, d := range s.Differ {
		if i > 0 {
			text += "; "
		}
		text += d.String()
	}
	return text
}

// bridged is the shown card against gannet·stock as if they had never shared a bench, but each had with the baseline: over the first games of
// the demo, the baseline moved from the one to the other by as many percent in each as moved has.
func bridged(r *review.Review, moved ...float64) bridge.Result {
	base, gannet := r.Plan.Review.Baseline.String(), "gannet·stock"
	then := bridge.Edition{Name: "last year's review", Cells: map[string]map[bridge.Place]bridge.Cell{}}
	now := bridge.Edition{Name: "today's", Cells: map[string]map[bridge.Place]bridge.Cell{}}
	names := []string{"fjord", "kelp", "quarry"}[:len(moved)]
	put := func(e bridge.Edition, card, game string, c bridge.Cell) {
		if e.Cells[card] == nil {
			e.Cells[card] = map[bridge.Place]bridge.Cell{}
		}
		e.Cells[card][bridge.Place{Game: game}] = c
	}
	for _, c := range r.Cells {
		s, ok := c.Stat(headline)
		if !ok || !s.ShownVariance.OK || !s.DF.OK || c.Cell.Variant != shown.Variant || c.Cell.Resolution != shown.Resolution {
			continue
		}
		cell := bridge.Cell{Centre: s.Centre.X, SE: math.Sqrt(s.ShownVariance.X / float64(s.Launches)), DF: s.DF.X, Launches: s.Launches}
		for i, g := range names {
			if c.Cell.Game != g {
				continue
			}
			later := cell
			later.Centre += math.Log1p(moved[i] / 100)
			switch card := c.Cell.CardMode().String(); card {
			case base:
				put(then, base, g, cell)
				put(now, base, g, later)
			case shown.CardMode().String():
				put(then, card, g, cell)
			case gannet:
				put(now, card, g, cell)
			}
		}
	}
	b, _ := bridge.Between([]bridge.Edition{then, now}, shown.CardMode().String(), gannet, math.Log(1.01), true) // of the demo there is a chain
	return b
}

func bridgeText(b bridge.Result) string {
	half := func(v compute.Value) compute.Value { return compute.Known(100 * math.Expm1(v.X)) }
	return fmt.Sprintf("the demo's %s against %s by way of %s over %s, as if they had shared no bench and it had moved by %s %%: %s %% %s", b.Of, b.Base, screen.List(b.Joins[0].Cards),
		screen.Count(len(b.Games), "game", "games"), screen.Signed(100*math.Expm1(b.Joins[0].Mean), 1), screen.Signed(100*math.Expm1(b.D), 1), percents(half(b.Low), half(b.High)))
}

const (
	twoPoints = "a cell in two editions of an archive"
	aBridge   = "a bridge"
	lookBack  = "this program's archive, history"
)

var backFigures = []figure{
	{glossary.Entry{Name: "bridge", Also: []string{"bridging", "bridged", "moved", "moved_sd"}, Group: glossary.Back, Unit: aBridge,
		Means: "Two cards that never shared a bench, by way of cards that did. What moved all cards alike between the two is taken out " +
			"by what the joining cards moved; what they moved by themselves is in the interval.",
		Say: `"by way of the reference, about five percent faster", with the joining cards named. Measuring the two side by side is better.`,
		Formula: "mean over games of (ln A₁ − ln B₂ + δ), δ = ln C₂ − ln C₁ of the joining cards; variance Σ(s²_A/k + s²_B/k)/γ² + s²(δ)/γ, and the session " +
			"spread of every mounting, degrees of freedom by Welch–Satterthwaite; of several chains the one with the least planned variance",
		Source: "F. E. Satterthwaite, Biometrics Bulletin 2(6), 1946; the chain: definitions, section 3", Parameters: []string{"session_spread"}},
		func(r *review.Review) string { return bridgeText(bridged(r, 0.4, 1.1, 0.9)) }},
	{glossary.Entry{Name: "times_as_wide", Also: []string{"times_as_wide_as_a_direct_test"}, Group: glossary.Back, Unit: aBridge,
		Means: "How much wider a bridge's interval is than that of a test side by side. The same launches are meant, on one bench.",
		Say:   "Nothing by itself. From 2 on a direct test says more for less.", Formula: "half-width of the bridge over t(0.975; ν)·√(Σ(s²_A/k + s²_B/k)/γ² + 2u²)",
		Source: lookBack},
		func(r *review.Review) string {
			b := bridged(r, 0.4, 1.1, 0.9)
			return fmt.Sprintf("%s, %s times as wide as measured side by side", bridgeText(b), screen.Number(b.Wider.X, 2))
		}},
	{glossary.Entry{Name: string(bridge.FewGames), Also: []string{"few games"}, Group: glossary.Back, Unit: aBridge,
		Means: "The bridge rests on fewer than three games. How unevenly a card moves from game to game is then hardly known, so it holds with reserve only.",
		Say:   "At most with the number of games said.", Formula: "fewer than 3 games in all of the chain's cells; with one there is no interval", Source: lookBack},
		func(r *review.Review) string { return bridgeText(bridged(r, 0.4, 1.1)) }},
	{glossary.Entry{Name: string(bridge.MovedUnevenly), Also: []string{"moved unevenly", "not sound"}, Group: glossary.Back, Unit: aBridge,
		Means:   "The joining cards moved in some games and not in others. Nobody knows whether the two cards would have moved like them, so the bridge is not sound.",
		Say:     "Nothing. Measure the two side by side.",
		Formula: "s²(δ) over the games exceeds what launches bring (F test at 5 %), and what it has more is above the margin",
		Source:  "variance ratio: R. A. Fisher, Statistical Methods for Research Workers, 1925; " + lookBack, Parameters: []string{"margin"}},
		func(r *review.Review) string {
			b := bridged(r, 0, 0, 8)
			if b.Sound() {
				return ""
			}
			return fmt.Sprintf("the baseline made 8 %% faster in one of three games: its moves scatter by %s %%, its launches by %s %%",
				screen.Number(100*math.Expm1(b.Joins[0].SD.X), 1), screen.Number(100*math.Expm1(b.Joins[0].Noise), 1))
		}},
	{glossary.Entry{Name: string(history.Comparable), Group: glossary.Back, Unit: twoPoints,
		Means: "The two figures are of one test done twice. Rig, build, settings, scene, size, warm-up and length agree, as do driver and OS.",
		Say:   "What the change allows.", Formula: "nothing differs, and all that moves results is recorded on both sides", Source: "definitions, section 7"},
		func(r *review.Review) string {
			if s := yearOn(r, 0, "", ""); s.Word != history.Comparable {
				return ""
			}
			return fmt.Sprintf("%s on the same driver and build of the game: comparable", shown)
		}},
	{glossary.Entry{Name: string(history.WithReserve), Also: []string{"with reserve", "reserve"}, Group: glossary.Back, Unit: twoPoints,
		Means:   "Only driver, OS, firmware or sample differ, or something is not recorded. The change is that of what differs, which stands beside it.",
		Say:     "The change only with what differs named.",
		Formula: "of the circumstances only driver, operating system, firmware or sample differ, or one that matters is not recorded on a side",
		Source:  "definitions, section 7", Parameters: []string{"log"}},
		func(r *review.Review) string {
			if s := yearOn(r, 0, "650.1", ""); s.Word == history.WithReserve {
				return fmt.Sprintf("%s: %s, so with reserve", shown, differing(s))
			}
			return ""
		}},
	{glossary.Entry{Name: string(history.Changed), Group: glossary.Back, Unit: twoPoints,
		Means: "The card is faster or slower there than it was. How much, the interval says; by what, the circumstances that differ.",
		Say:   `"two percent faster on the new driver", as of any difference.`, Formula: "as ahead and behind: not level, and the 95 % interval leaves out 0",
		Source: pageThree, Parameters: []string{"session_spread"}},
		func(r *review.Review) string {
			s := yearOn(r, 3, "650.1", "")
			return fmt.Sprintf("%s, so %s; with reserve: %s", stepOf(s), s.Change, differing(s))
		}},
}

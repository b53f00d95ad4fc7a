package review

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
)

// Claim is a sentence the reviewer hopes to speak, beside its data. Said is the strongest sentence that the data carry, "" where
// nothing may be said; Marked that a viewer's calculator gets another percentage from the figures as displayed.
type Claim struct {
	plan.Claim
	compute.ClaimFigures
	Of, Base plan.Mode // Base is zero for a figure that stands alone
	Figure   compute.Metric
	Cells    []plan.Key
	Said     string
	Marked   bool
	Rounded  int // the whole percent that the data say, where it fits and yet is another than the one hoped for; else 0
	Launches int // of the cell that has the fewest
	Mind     []Mind
	Notes    []string // what else must be known of it

	exact     []compute.Value // of facts and prices: of the card and of the base
	kind      string          // of the prices that value rests on
	basePrice float64
	inPercent *compute.Hope // of a break-even price, in percent of the base's price
}

// Mind is what must be known of some of the cells that a claim rests on.
type Mind struct {
	Word  compute.Flag
	Cells []plan.Key
}

// judgeClaims sets every claim of the plan beside its data. All are adjusted together, since each is one more chance to be wrong.
func (r *Review) judgeClaims() {
	var figures []compute.ClaimFigures
	var pairs [][]compute.Pair
	var why []string
	for _, c := range r.Plan.Claims {
		claim := Claim{Claim: c, Of: c.Of, Cells: r.named(c)}
		if c.Against != nil {
			claim.Base = *c.Against
		}
		f, ps, open := r.claimFigures(&claim)
		r.Claims = append(r.Claims, claim)
		figures, pairs, why = append(figures, f), append(pairs, ps), append(why, open)
	}
	compute.JudgeClaims(figures)
	for i := range r.Claims {
		c := &r.Claims[i]
		c.ClaimFigures = figures[i]
		if why[i] != "" && c.Verdict != compute.NoData {
			c.Verdict, c.Why = compute.Open, why[i]
		}
		c.Why = cmp.Or(why[i], c.Why)
		if c.Verdict == compute.Open && c.Why == "" && c.Figure.Scale != compute.Count && len(pairs[i]) > 0 {
			c.Needed = compute.RepeatsForClaim(c.Figure, c.tested(), c.Against == nil, pairs[i], c.SessionSpread, r.ClaimMargin(*c), r.testedClaims())
		}
		for j, p := range pairs[i] {
			fewest := p.Of.Launches
			if c.Against != nil {
				fewest = min(fewest, p.Base.Launches)
			}
			if j == 0 || fewest < c.Launches {
				c.Launches = fewest
			}
		}
		r.mind(c)
		r.say(c, pairs[i])
	}
}

// claimFigures sets one claim beside its data; open says why it must not be judged by them.
func (r *Review) claimFigures(c *Claim) (f compute.ClaimFigures, pairs []compute.Pair, open string) {
	switch c.Kind {
	case plan.OfSoak:
		c.Figure, _ = compute.SoakMetric(c.Claim.Metric)
		return r.soakClaim(c)
	case plan.OfValue:
		return r.worthClaim(c)
	case plan.OfPasses:
		c.Figure, _ = compute.MetricByName(c.Claim.Metric)
		pairs, open = r.claimPairs(*c)
		u := r.sessions[c.Figure.Name] // a figure that stands alone was moved by its session, whichever that was
		if c.Against != nil {
			u = r.between(c.Figure, pairs)
		}
		return compute.Claim(c.Figure, hopeOf(c.Claim), c.Against == nil, pairs, u, r.margin()), pairs, open
	}
	return r.factClaim(c), nil, ""
}

// ClaimMargin is the margin of a claim's figure.
func (r *Review) ClaimMargin(c Claim) compute.Margin {
	if c.Kind == plan.OfSoak {
		return r.soakMargin(c.Figure)
	}
	return r.margin()
}

// mind gathers the flags of a claim's cells and comparisons.
func (r *Review) mind(c *Claim) {
	for _, k := range c.Cells {
		var words []compute.Flag
		for _, f := range r.cell(k).Flags {
			words = append(words, f.Word)
		}
		if c.Against == nil {
			s, _ := r.cell(k).Stat(c.restsOn())
			words = append(words, s.Flags...)
		} else {
			d, _ := r.Against(k, c.Base, c.restsOn())
			words = append(words, d.Flags...)
			for _, f := range r.cell(other(k, c.Base)).Flags {
				words = append(words, f.Word)
			}
		}
		for _, w := range distinct(words) {
			if w == flagAlike { // it takes nothing from what is claimed of the two
				continue
			}
			i := slices.IndexFunc(c.Mind, func(m Mind) bool { return m.Word == w })
			if i < 0 {
				i = len(c.Mind)
				c.Mind = append(c.Mind, Mind{Word: w})
			}
			c.Mind[i].Cells = append(c.Mind[i].Cells, k)
		}
	}
}

// Bounded reports whether a claim states a bound and not a figure.
func (c Claim) Bounded() bool { h := hopeOf(c.Claim); return !h.IsNear && !h.Same }

// named lists the cells a claim is about: those of its card that it does not leave out, and that the other side has too.
func (r *Review) named(c plan.Claim) (out []plan.Key) {
	if !c.OfCells() {
		return nil
	}
	planned := map[plan.Key]bool{}
	for _, x := range r.Cells {
		planned[x.Cell.Key] = x.Cell.Waived == ""
	}
	for _, x := range r.Cells {
		k := x.Cell.Key
		if k.CardMode() != c.Of || !planned[k] || c.Against != nil && !planned[other(k, *c.Against)] ||
			len(c.Games) > 0 && !slices.Contains(c.Games, k.GameVariant()) ||
			len(c.Resolutions) > 0 && !slices.Contains(c.Resolutions, k.Resolution) ||
			len(c.Groups) > 0 && !slices.Contains(c.Groups, r.groupOf(k)) {
			continue
		}
		out = append(out, k)
	}
	return out
}

// other is the same cell of another card and mode.
func other(k plan.Key, m plan.Mode) plan.Key {
	k.Card, k.Mode = m.Card, m.Mode
	return k
}

// claimPairs gathers the figures of the cells a claim names; open says why it must not be judged by them. A claim keeps the cells it
// names: one that lacks a figure is not quietly left out.
func (r *Review) claimPairs(c Claim) (pairs []compute.Pair, open string) {
	if c.Kind == plan.OfPasses && c.Figure.Scale == compute.None {
		return nil, "the " + c.Figure.Title + " is a circumstance of each pass, neither averaged nor compared"
	}
	var lacking, waiting []string
	for _, k := range c.Cells {
		keys := []plan.Key{k}
		if c.Against != nil {
			keys = append(keys, other(k, c.Base))
		}
		stats := make([]compute.CellStat, 2)
		whole := true
		for i, key := range keys {
			cell := r.cell(key)
			stats[i], _ = cell.Stat(c.Claim.Metric)
			whole = whole && stats[i].Centre.OK
			if !cell.State.Holds() {
				state := "is " + cell.State.Shown()
				if cell.State == coverage.Failed {
					state = cell.State.Shown()
				}
				waiting = append(waiting, key.String()+" "+state)
			}
		}
		if c.Against != nil && whole {
			if refused := r.measuredApart(r.cell(keys[0]), r.cell(keys[1])); refused != "" {
				return nil, refused + "; such frame times are never compared"
			}
			if refused := r.sensedApart(r.cell(keys[0]), r.cell(keys[1]), c.Figure.Needs); refused != "" {
				return nil, refused
			}
		}
		if whole {
			pairs = append(pairs, compute.Pair{Game: k.Game, Of: stats[0], Base: stats[1]})
		} else {
			lacking = append(lacking, k.GameVariant().String()+" "+k.Resolution)
		}
	}
	switch {
	case len(waiting) > 0:
		return pairs, screen.List(firstFew(waiting))
	case len(lacking) > 0:
		return pairs, "no figure for both sides in " + screen.List(firstFew(lacking))
	}
	return pairs, ""
}

func firstFew(words []string) []string {
	const few = 3
	if len(words) <= few+1 {
		return words
	}
	return append(slices.Clone(words[:few]), fmt.Sprintf("%d more", len(words)-few))
}

// hopeOf turns what a plan writes into a region.
func hopeOf(c plan.Claim) compute.Hope {
	h := compute.Hope{Low: math.Inf(-1), High: math.Inf(1), Same: c.Same}
	for _, x := range c.Expect {
		switch x.Key {
		case "at_least":
			h.Low = x.Value
		case "at_most":
			h.High = x.Value
		case "percent", "value":
			h.Near, h.IsNear = x.Value, true
		case "within":
			h.Within = x.Value
		}
	}
	return h
}

// say finds the strongest sentence that the data carry.
func (r *Review) say(c *Claim, pairs []compute.Pair) {
	switch {
	case c.isExact():
		r.sayExact(c)
		return
	case c.Why != "" || len(pairs) == 0:
		return
	case c.Kind == plan.OfValue:
		r.sayWorth(c, pairs)
		return
	}
	s := speech.Subject{Metric: c.Figure, Of: r.nameOf(c.Of), Where: r.whereOf(c.Cells), MarginPct: r.Plan.Statistics.MarginPct}
	if c.Kind == plan.OfSoak {
		s = r.soakSubject(c)
	}
	switch {
	case c.Against == nil:
		c.Said = s.Alone(c.Estimate, c.Low, c.High)
		return
	}
	s.Base = r.nameOf(c.Base)
	if c.Same && c.Verdict == compute.Supported { // that is what was tested, together with the plan's other claims
		c.Said = s.Difference(compute.Spoken{OK: true, Verdict: compute.Level})
		return
	}
	if c.Figure.Scale == compute.Difference {
		c.Said = s.Points(c.Compared, c.Estimate, c.Low, c.High)
		return
	}
	spoken := compute.Speak(c.Compared, c.Estimate, c.Low, c.High)
	c.round(spoken)
	c.Said = s.Difference(spoken)
	if c.Bounded() {
		c.Said = cmp.Or(s.AtLeast(c.Estimate, c.SaidLow, c.SaidHigh), c.Said)
	} else if len(pairs) == 1 {
		c.Marked = compute.CalculatorDiffers(spoken, pairs[0].Of.Mean.X, pairs[0].Base.Mean.X, c.Figure.Decimals, s.MarginPct)
	}
}

// round notes the whole percent that is said, where it fits and is another than what is hoped.
func (c *Claim) round(spoken compute.Spoken) {
	if hoped := int(math.Round(math.Abs(hopeOf(c.Claim).Near))); c.Verdict == compute.Fits && spoken.OK && spoken.Percent != hoped {
		c.Rounded = spoken.Percent
	}
}

// nameOf is how a card and mode is called on camera.
func (r *Review) nameOf(m plan.Mode) string {
	card, _ := r.Plan.Card(m.Card)
	name := cmp.Or(card.Title, card.Name)
	if len(card.Modes) > 1 {
		name += " (" + m.Mode + ")"
	}
	return name
}

// whereOf words where a claim holds: a game at a resolution, or how many games at which.
func (r *Review) whereOf(cells []plan.Key) string {
	var games, sizes []string
	for _, k := range cells {
		game, _ := r.Plan.Game(k.Game)
		name := cmp.Or(game.Title, k.Game)
		if len(game.Variants) > 1 {
			name += " (" + k.Variant + ")"
		}
		if !slices.Contains(games, name) {
			games = append(games, name)
		}
		if !slices.Contains(sizes, k.Resolution) {
			sizes = append(sizes, k.Resolution)
		}
	}
	where := screen.List(games)
	if len(games) > 3 {
		where = fmt.Sprintf("%d games and variants on average", len(games))
	}
	return where + " at " + screen.List(sizes)
}

// Contradicted are the claims that the data speak against: nobody films those.
func (r *Review) Contradicted() (out []Claim) {
	for _, c := range r.Claims {
		if c.Verdict == compute.Contradicted {
			out = append(out, c)
		}
	}
	return out
}

// Hoped words what the plan expects, with its unit.
func (c Claim) Hoped() string { return hopeOf(c.Claim).In(strings.ReplaceAll(c.Claim.Unit, "_", " ")) }

// Found words the estimate with its interval, in the unit the plan states it in.
func (c Claim) Found() string {
	if !c.Estimate.OK {
		return cmp.Or(c.Estimate.Why, "nothing")
	}
	if c.Kind == plan.OfFact || c.Kind == plan.OfValue {
		return c.foundFact()
	}
	factor, unit, decimals := 1.0, " "+c.Unit(), 1
	if c.Unit() == "share" {
		factor, unit = 100, " pp"
	}
	show := screen.Number
	if c.Against != nil {
		show = screen.Signed
	}
	text := show(factor*c.Estimate.X, decimals) + unit
	if c.Low.OK && c.High.OK {
		text += fmt.Sprintf(" [%s, %s]", screen.Number(factor*c.Low.X, decimals), screen.Number(factor*c.High.X, decimals))
	}
	return text
}

// ClaimBudget says where the uncertainty of a claim's estimate comes from.
func (r *Review) ClaimBudget(c Claim) compute.Budget {
	if !c.Low.OK || c.Why != "" {
		return compute.NoBudget(cmp.Or(c.Why, "the claim has no interval"))
	}
	if !c.OfCells() {
		return compute.NoBudget("it rests on no cells")
	}
	inGame := map[string]int{}
	for _, k := range c.Cells {
		inGame[k.Game]++
	}
	var parts []BudgetPart
	for _, k := range c.Cells {
		p := BudgetPart{Of: k, Weight: 1 / float64(len(inGame)*inGame[k.Game])}
		if c.Against != nil {
			p.Base = other(k, c.Base)
		}
		parts = append(parts, p)
	}
	return r.BudgetOver(c.restsOn(), parts, c.SessionSpread)
}

package review

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan"
)

// isExact tells a claim on what has no uncertainty: a fact, or a price.
func (c Claim) isExact() bool { return c.Kind == plan.OfFact || c.Claim.Metric == priceFigure }

// testedClaims counts the claims that share the error of the plan's: facts are no tests.
func (r *Review) testedClaims() (n int) {
	for _, c := range r.Claims {
		if !c.isExact() {
			n++
		}
	}
	return n
}

// restsOn is the metric of the cells that a claim's figure is worked out from.
func (c Claim) restsOn() string {
	if c.Kind == plan.OfValue {
		return headline
	}
	return c.Claim.Metric
}

// tested is the hope as it is tested: for a break-even price in percent of the base's price.
func (c Claim) tested() compute.Hope {
	if c.inPercent != nil {
		return *c.inPercent
	}
	return hopeOf(c.Claim)
}

// factClaim sets a claim on a fact beside what is stated, or follows from it.
func (r *Review) factClaim(c *Claim) compute.ClaimFigures {
	unit, difference := plan.FactUnits(c.Claim.Metric)
	m := compute.Metric{Name: c.Claim.Metric, Title: FactTitle(c.Claim.Metric), Unit: unit, Scale: compute.Ratio}
	if unit == c.Claim.Metric {
		m.Unit = "" // counted in itself
	}
	if difference != "" {
		m.Scale = compute.Difference
	}
	c.Figure = m
	values := []compute.Value{r.fact(c.Of, m.Name)}
	if c.Against != nil {
		values = append(values, r.fact(*c.Against, m.Name))
	}
	return r.exactClaim(c, values)
}

// fact finds what is stated of a card and mode.
func (r *Review) fact(of plan.Mode, name string) compute.Value {
	for _, f := range r.Bench {
		if f.IsFact() && f.Base == (plan.Mode{}) && f.Name == name && f.Of.Card == of.Card && (f.Of.Mode == "" || f.Of.Mode == of.Mode) {
			return f.Value
		}
	}
	return compute.Absent(fmt.Sprintf("%s states no %s", of, name))
}

// exactClaim judges a claim on one exact value, or two.
func (r *Review) exactClaim(c *Claim, values []compute.Value) compute.ClaimFigures {
	c.exact = values
	var base *compute.Value
	if len(values) > 1 {
		base = &values[1]
	}
	return compute.ExactClaim(c.Figure, hopeOf(c.Claim), values[0], base, c.relative(), r.exactMargin(c.Figure))
}

// relative tells a claim that is stated in percent of the other side.
func (c Claim) relative() bool {
	return c.Against != nil && c.Claim.Unit == "%" && c.Figure.Scale == compute.Ratio && !(c.Kind == plan.OfValue && c.Claim.Metric == breakEven)
}

func (r *Review) exactMargin(m compute.Metric) compute.Margin {
	s := r.Plan.Statistics
	points := map[string]float64{"K": s.MarginK, "dB": s.MarginDB}
	return compute.Margin{Percent: s.MarginPct, Points: cmp.Or(points[m.DifferenceUnit()], s.MarginPct)}
}

// worthClaim sets a claim on a price, or on a price and frame rates, beside its data; open says why it must not be judged by them.
func (r *Review) worthClaim(c *Claim) (f compute.ClaimFigures, pairs []compute.Pair, open string) {
	prices, why := r.claimPrices(c)
	if why != "" {
		return compute.Claim(perFrame(""), c.tested(), false, nil, compute.SessionSpread{}, r.margin()), nil, why
	}
	currency := prices[0].Currency
	if c.Claim.Metric == priceFigure {
		c.Figure = compute.Metric{Name: priceFigure, Title: "price", Unit: currency, Scale: compute.Ratio, Decimals: 2}
		values := make([]compute.Value, len(prices))
		for i, p := range prices {
			values[i] = compute.Known(p.Amount)
		}
		return r.exactClaim(c, values), nil, ""
	}
	rates := *c
	rates.Claim.Metric = headline
	pairs, open = r.claimPairs(rates)
	u := r.sessions[headline]
	if c.Against != nil {
		u = r.between(rateMetric(), pairs)
	}
	if c.Claim.Metric == breakEven {
		base := priceOf(prices[len(prices)-1])
		hope := base.AsPercent(hopeOf(c.Claim))
		c.Figure, c.inPercent = compute.Metric{Name: breakEven, Title: "break-even price", Unit: currency, Scale: compute.Ratio}, &hope
		return base.BreakEvenClaim(hopeOf(c.Claim), pairs, u, r.margin()), pairs, open
	}
	c.Figure = perFrame(currency)
	pairs = perFramePairs(priceOf(prices[0]), priceOf(prices[len(prices)-1]), pairs)
	return compute.Claim(c.Figure, hopeOf(c.Claim), c.Against == nil, pairs, u, r.margin()), pairs, open
}

// claimPrices are the prices that a claim rests on, of the side named by `of` first; of a break-even price only the base's. why says that
// they cannot be had or are unlike.
func (r *Review) claimPrices(c *Claim) (prices []plan.Price, why string) {
	sides := []plan.Mode{c.Of}
	if c.Against != nil {
		sides = append(sides, *c.Against)
	}
	if c.Claim.Metric == breakEven {
		sides = sides[len(sides)-1:]
	}
	for _, m := range sides {
		card, _ := r.Plan.Card(m.Card)
		ps := card.PricesOf(*c.Price)
		if len(ps) == 0 {
			return nil, fmt.Sprintf("%s has no %s price", m.Card, c.Price.Kind)
		}
		p := ps[0]
		if len(prices) > 0 {
			if unlike := priceOf(prices[0]).Unlike(priceOf(p)); unlike != "" {
				return nil, unlike
			}
		}
		prices = append(prices, p)
		c.Notes = append(c.Notes, fmt.Sprintf("the price of %s is %s %s: %s", m.Card, screen.Number(p.Amount, 2), p.Currency, termsNote(p)))
	}
	c.kind, c.basePrice = prices[0].Kind, prices[len(prices)-1].Amount
	return prices, ""
}

// sayExact words a claim's facts.
func (r *Review) sayExact(c *Claim) {
	if c.Why != "" || len(c.exact) == 0 {
		return
	}
	s := speech.Subject{Metric: c.Figure, Of: r.bearer(c, c.Of)}
	p := speech.Priced{Subject: s, Kind: c.kind, Currency: c.Figure.Unit}
	percent := c.relative()
	switch priced := c.Kind == plan.OfValue; {
	case c.Against == nil && priced:
		c.Said = p.Costs(c.exact[0].X)
	case c.Against == nil:
		c.Said = s.Fact(c.exact[0].X)
	default:
		s.Base, p.Base = r.bearer(c, c.Base), r.bearer(c, c.Base)
		if c.Said = s.FactApart(c.exact[0].X, c.exact[1].X, percent, c.Figure.DifferenceUnit()); priced {
			c.Said = p.CostsApart(c.exact[0].X, c.exact[1].X, percent)
		}
	}
}

// bearer is who a fact is said of: the card, whatever its mode, but for limits.
func (r *Review) bearer(c *Claim, m plan.Mode) string {
	card, _ := r.Plan.Card(m.Card)
	if _, of := card.Fact("", c.Claim.Metric); !of && c.Kind == plan.OfFact && !slices.Contains(card.Derived(), c.Claim.Metric) {
		return r.nameOf(m)
	}
	return cmp.Or(card.Title, card.Name)
}

// sayWorth words what the data say of a price per frame rate or a break-even price.
func (r *Review) sayWorth(c *Claim, pairs []compute.Pair) {
	p := speech.Priced{Kind: c.kind, Currency: c.Price.Currency, Subject: speech.Subject{Metric: c.Figure, Of: r.nameOf(c.Of), Where: r.whereOf(c.Cells),
		MarginPct: r.Plan.Statistics.MarginPct}}
	if c.Against == nil {
		c.Said = p.PerFrameAlone(c.Estimate, c.Low, c.High)
		return
	}
	p.Base = r.nameOf(c.Base)
	if c.Claim.Metric == breakEven {
		c.Said = p.BreakEven(c.SaidLow, c.SaidHigh, c.basePrice)
		return
	}
	spoken := compute.Speak(c.Compared, c.Estimate, c.Low, c.High)
	c.round(spoken)
	c.Said = p.PerFrame(spoken)
	if c.Bounded() {
		c.Said = cmp.Or(p.PerFrameAtLeast(c.Estimate, c.SaidLow, c.SaidHigh), c.Said)
	} else if len(pairs) == 1 {
		c.Marked = compute.CalculatorDiffers(spoken, pairs[0].Of.Mean.X, pairs[0].Base.Mean.X, c.Figure.Decimals, p.MarginPct)
	}
}

// unitOfFact is the unit of the estimate of a claim on a fact or on value.
func (c Claim) unitOfFact() string {
	switch {
	case c.Claim.Metric == breakEven:
		return c.Price.Currency
	case c.Same && c.Figure.Scale == compute.Difference:
		return c.Figure.DifferenceUnit()
	}
	return c.Claim.Unit
}

// foundFact words the estimate of a claim on a fact or on value: exact ones with as many decimals as they have, two at most.
func (c Claim) foundFact() string {
	unit := strings.ReplaceAll(c.unitOfFact(), "_", " ")
	decimals := 1
	switch {
	case c.isExact():
		x := math.Round(100*c.Estimate.X) / 100
		text := strings.Replace(strconv.FormatFloat(x, 'f', -1, 64), "-", "−", 1)
		if c.Against != nil && x > 0 {
			text = "+" + text
		}
		return text + " " + unit
	case c.Claim.Metric == breakEven:
		decimals = 0
	case c.Against == nil:
		decimals = c.Figure.Decimals
	}
	show := screen.Number
	if c.relative() {
		show = screen.Signed
	}
	text := show(c.Estimate.X, decimals) + " " + unit
	if c.Low.OK && c.High.OK {
		text += fmt.Sprintf(" [%s, %s]", screen.Number(c.Low.X, decimals), screen.Number(c.High.X, decimals))
	}
	return text
}

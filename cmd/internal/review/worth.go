package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
)

// Names of the figures that rest on a price. Set against the baseline, a price differs in its currency and price_ratio says by how many
// times; a price per frame rate differs in percent.
const (
	priceFigure = "price"
	breakEven   = "break_even_price"
)

// Worth is what a figure of value rests on: a price, and frame rates over cells that both sides have. The price is the card's own, of a
// break-even price the base's. Low, High, P and Verdict belong to figures with frame rates, whose interval is not the same to both sides.
type Worth struct {
	Price      plan.Price
	Resolution string // "" for all together, and for a price alone
	Games      int
	Cells      []plan.Key
	LeftOut    []LeftOut
	Low, High  compute.Value
	P          compute.Value
	Verdict    compute.Verdict
	OfBase     compute.Value // what the base costs per frame rate in the same cells
	Why        string        // there is no verdict, or no interval
}

// Terms is what prices must have in common to be set against each other.
type Terms struct {
	Kind, Currency string
	Tax            bool
}

func (t Terms) String() string {
	tax := "without tax"
	if t.Tax {
		tax = "with tax"
	}
	return fmt.Sprintf("%s price in %s %s", t.Kind, t.Currency, tax)
}

// TermsOf are those of a price.
func TermsOf(p plan.Price) Terms { return Terms{p.Kind, p.Currency, p.Tax} }

// newest is the price of a card that counts: of those on the terms the latest.
func (t Terms) newest(c plan.Card) (plan.Price, bool) {
	ps := c.PricesOf(plan.PriceKind{Kind: t.Kind, Currency: t.Currency, Tax: &t.Tax})
	if len(ps) == 0 {
		return plan.Price{}, false
	}
	return ps[0], true
}

// gatherWorth adds prices and what follows from them and the frame rates, terms by terms, the baseline's first.
func (r *Review) gatherWorth() {
	r.gatherPrices()
	for _, t := range r.terms() {
		for _, mode := range r.modes() {
			r.worthOf(t, mode)
		}
	}
}

// terms are those on which a card of the plan has a price, the baseline's first.
func (r *Review) terms() (out []Terms) {
	base, _ := r.Plan.Card(r.Plan.Review.Baseline.Card)
	for _, c := range append([]plan.Card{base}, r.Plan.Cards...) {
		for _, p := range c.Prices {
			if t := TermsOf(p); !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	return out
}

// modes are the cards and modes of the matrix, the baseline first.
func (r *Review) modes() []plan.Mode {
	out := []plan.Mode{r.Plan.Review.Baseline}
	for _, c := range r.Cells {
		if m := c.Cell.CardMode(); c.Cell.Waived == "" && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	return out
}

// gatherPrices adds every price that is stated, and how the newest on each of the terms differs from the baseline's on the same.
func (r *Review) gatherPrices() {
	base, _ := r.Plan.Card(r.Plan.Review.Baseline.Card)
	for _, c := range r.Plan.Cards {
		add := func(name, unit string, against plan.Mode, p plan.Price, value compute.Value) {
			r.Bench = append(r.Bench, BenchFigure{Of: plan.Mode{Card: c.Name}, Base: against, Name: name, Unit: unit, Value: value,
				U: compute.NoUncertainty(exact), Worth: &Worth{Price: p}, Source: "card." + c.Name, Note: termsNote(p)})
		}
		for _, p := range c.Prices {
			add(priceFigure, p.Currency, plan.Mode{}, p, compute.Known(p.Amount))
		}
		if c.Name == base.Name {
			continue
		}
		for _, t := range r.terms() {
			own, priced := t.newest(c)
			if !priced {
				continue
			}
			theirs, why := likePrice(own, base)
			difference, ratio := compute.Absent(why), compute.Absent(why)
			if why == "" {
				difference = compute.FactDifference(compute.Known(own.Amount), compute.Known(theirs.Amount))
				ratio = compute.FactRatio(compute.Known(own.Amount), compute.Known(theirs.Amount))
			}
			add(priceFigure, own.Currency, plan.Mode{Card: base.Name}, own, difference)
			add(ratioOf(priceFigure), "", plan.Mode{Card: base.Name}, own, ratio)
		}
	}
}

// likePrice is the newest of a card's prices that may be set against p; why says why there is none.
func likePrice(p plan.Price, of plan.Card) (like plan.Price, why string) {
	if like, ok := TermsOf(p).newest(of); ok {
		return like, ""
	}
	ps := of.PricesOf(plan.PriceKind{Kind: p.Kind})
	if len(ps) == 0 {
		return like, fmt.Sprintf("%s has no %s price", of.Name, p.Kind)
	}
	return like, priceOf(p).Unlike(priceOf(ps[0]))
}

// priceOf is a price without place and date, which prices may differ in.
func priceOf(p plan.Price) compute.Price {
	return compute.Price{Amount: p.Amount, Currency: p.Currency, Kind: p.Kind, Tax: p.Tax}
}

// termsNote words what a price is beside its amount.
func termsNote(p plan.Price) string {
	words := []string{p.Kind, "without tax"}
	if p.Tax {
		words[1] = "with tax"
	}
	if p.Where != "" {
		words = append(words, p.Where)
	}
	if !p.On.IsZero() {
		words = append(words, p.On.UTC().Format(time.DateOnly))
	}
	return strings.Join(words, ", ")
}

// rated are the frame rates that a value rests on: the cells of a card and mode with those of the baseline, none of which is left out of
// the headline, and those that are.
type rated struct {
	cells   []plan.Key
	pairs   []compute.Pair // without a base for the baseline's own
	leftOut []LeftOut
}

// ratedOver gathers them at a resolution, "" for all.
func (r *Review) ratedOver(mode plan.Mode, resolution string) (out rated) {
	if mode == r.Plan.Review.Baseline {
		return r.ratedAlone(mode, resolution)
	}
	for _, d := range r.Comparisons {
		if d.Metric.Name != headline || d.Of.CardMode() != mode || d.Base.CardMode() != r.Plan.Review.Baseline || resolution != "" && d.Of.Resolution != resolution {
			continue
		}
		if why := r.leftOut(d); why != "" {
			out.leftOut = append(out.leftOut, LeftOut{Cell: d.Of, Why: why})
			continue
		}
		out.cells, out.pairs = append(out.cells, d.Of), append(out.pairs, r.pair(d))
	}
	return out
}

func (r *Review) ratedAlone(mode plan.Mode, resolution string) (out rated) {
	for _, c := range r.Cells {
		if c.Cell.CardMode() != mode || c.Cell.Waived != "" || resolution != "" && c.Cell.Resolution != resolution {
			continue
		}
		why := ""
		s, _ := c.Stat(headline)
		switch {
		case c.State == coverage.Failed:
			why = "does not run"
		case !c.State.Holds():
			why = "not ready"
		case !s.Centre.OK:
			why = s.Centre.Why
		case c.flagged(flagLimitedElsewhere):
			why = "limited elsewhere"
		}
		if why != "" {
			out.leftOut = append(out.leftOut, LeftOut{Cell: c.Cell.Key, Why: why})
			continue
		}
		out.cells, out.pairs = append(out.cells, c.Cell.Key), append(out.pairs, compute.Pair{Game: c.Cell.Game, Of: s})
	}
	return out
}

// perFrame is the figure of value in the price's currency.
func perFrame(currency string) compute.Metric {
	m := compute.PricePerFPS
	m.Unit = currency + "/fps"
	return m
}

// worthOf adds what a card and mode is worth on some terms, at each resolution and, of several, over all.
func (r *Review) worthOf(t Terms, mode plan.Mode) {
	card, _ := r.Plan.Card(mode.Card)
	base, _ := r.Plan.Card(r.Plan.Review.Baseline.Card)
	own, priced := t.newest(card)
	theirs, like := t.newest(base)
	var sizes []string
	for _, s := range r.Plan.Resolutions {
		sizes = append(sizes, s.Name)
	}
	if len(sizes) > 1 {
		sizes = append(sizes, "")
	}
	for _, size := range sizes {
		over := r.ratedOver(mode, size)
		if len(over.cells)+len(over.leftOut) == 0 {
			continue
		}
		if priced {
			r.Bench = append(r.Bench, r.perFrameOf(mode, own, size, over))
		}
		if mode == r.Plan.Review.Baseline {
			continue
		}
		if priced {
			_, why := likePrice(own, base)
			r.Bench = append(r.Bench, r.perFrameAgainst(mode, own, theirs, size, over, why))
		}
		if like {
			r.Bench = append(r.Bench, r.breakEvenOf(mode, theirs, size, over))
		}
	}
}

// worth is a figure over cells without its values.
func (over rated) worth(of plan.Mode, name, unit, size string, p plan.Price) BenchFigure {
	w := &Worth{Price: p, Resolution: size, Cells: over.cells, LeftOut: over.leftOut}
	return BenchFigure{Of: of, Name: name, Unit: unit, U: compute.NoUncertainty("its interval is not the same to both sides"), N: len(over.cells),
		Worth: w, Note: termsNote(p) + "; " + over.words()}
}

// words says over which cells a figure is.
func (over rated) words() string {
	var names []string
	for _, k := range over.cells {
		names = append(names, k.GameVariant().String()+" "+k.Resolution)
	}
	text := "over no cell"
	if len(names) > 0 {
		text = "over " + screen.List(names)
	}
	for _, x := range over.leftOut {
		text += fmt.Sprintf("; without %s %s, %s", x.Cell.GameVariant(), x.Cell.Resolution, x.Why)
	}
	return text
}

func (r *Review) perFrameOf(mode plan.Mode, p plan.Price, size string, over rated) BenchFigure {
	m := perFrame(p.Currency)
	f := over.worth(mode, m.Name, m.Unit, size, p)
	f.Source = "card." + mode.Card
	a := averagePerFrame(m, priceOf(p), over.pairs, func(p compute.Pair) compute.CellStat { return p.Of }, r.sessions[headline])
	f.Value, f.Worth.Low, f.Worth.High, f.Worth.Games, f.Worth.Why = a.Mean, a.Low, a.High, a.Games, a.Why
	return f
}

func averagePerFrame(m compute.Metric, p compute.Price, pairs []compute.Pair, side func(compute.Pair) compute.CellStat, u compute.SessionSpread) compute.Average {
	var cells []compute.GameCell
	for _, x := range pairs {
		cells = append(cells, compute.GameCell{Game: x.Game, Cell: p.PerFrame(side(x))})
	}
	return compute.AverageOver(m, cells, u)
}

// perFramePairs are pairs of mean frame rates as pairs of prices per frame rate.
func perFramePairs(own, base compute.Price, pairs []compute.Pair) []compute.Pair {
	out := slices.Clone(pairs)
	for i := range out {
		out[i].Of, out[i].Base = own.PerFrame(out[i].Of), base.PerFrame(out[i].Base)
	}
	return out
}

// perFrameAgainst is by how many percent a frame costs more than the baseline's over the same cells; refused says why that is not to be had.
func (r *Review) perFrameAgainst(mode plan.Mode, own, base plan.Price, size string, over rated, refused string) BenchFigure {
	m, rate := perFrame(own.Currency), rateMetric()
	f := over.worth(mode, m.Name, "%", size, own)
	f.Base, f.Source = r.Plan.Review.Baseline, "card."+mode.Card
	if refused != "" {
		f.Value, f.Worth.Why = compute.Absent(refused), refused
		f.Flags = []compute.Flag{flagNotComparable}
		return f
	}
	s := compute.Summarise(m, perFramePairs(priceOf(own), priceOf(base), over.pairs), r.between(rate, over.pairs), r.margin())
	f.Value, f.Flags = s.Percent, s.Flags
	f.Worth.Low, f.Worth.High, f.Worth.P, f.Worth.Verdict, f.Worth.Games, f.Worth.Why = s.TheseLow, s.TheseHigh, s.P, s.Verdict, s.Games, s.Why
	f.Worth.OfBase = averagePerFrame(m, priceOf(base), over.pairs, func(p compute.Pair) compute.CellStat { return p.Base }, r.sessions[headline]).Mean
	return f
}

func (r *Review) breakEvenOf(mode plan.Mode, base plan.Price, size string, over rated) BenchFigure {
	m := rateMetric()
	f := over.worth(mode, breakEven, base.Currency, size, base)
	f.Base, f.Source = r.Plan.Review.Baseline, "card."+r.Plan.Review.Baseline.Card
	s := compute.Summarise(m, over.pairs, r.between(m, over.pairs), r.margin())
	b := priceOf(base).BreakEven(s)
	f.Value, f.Worth.Low, f.Worth.High, f.Worth.Games, f.Worth.Why = b.Amount, b.Low, b.High, s.Games, cmp.Or(s.Why, b.Low.Why)
	f.Flags = s.Flags
	return f
}

func rateMetric() compute.Metric {
	m, _ := compute.MetricByName(headline)
	return m
}

package report

import (
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
)

// terms are what two prices must have alike to be compared.
type terms struct {
	kind, currency string
	tax            bool
}

func termsOf(r archive.ReadingRow) terms {
	return terms{text(r.PriceKind), text(r.PriceCurrency), r.PriceTax != nil && *r.PriceTax}
}

func (t terms) String() string {
	tax := "without tax"
	if t.tax {
		tax = "with tax"
	}
	return t.kind + " price in " + t.currency + " " + tax
}

// isPrice tells a price from what rests on one and frame rates.
func isPrice(r archive.ReadingRow) bool { return r.Price != nil && r.Games == nil && r.BaseCard == nil }

// worth are the tables of value, one for each kind of price.
func (v view) worth() (out []Chapter) {
	var kinds []terms
	for _, r := range v.Tables.Readings {
		if r.Price != nil && r.Games != nil && !slices.Contains(kinds, termsOf(r)) {
			kinds = append(kinds, termsOf(r))
		}
	}
	for i, t := range kinds {
		n := number(float64(i), 0)
		g := Grid{ID: "w" + n, Caption: "Value at a " + t.String() + ": price over mean frame rate, ahead where that is less", Heads: []Column{{Text: "card"},
			{Text: "resolution"}, {Text: t.currency, Figure: true}, {Text: t.currency + " per fps", Figure: true}, {Text: "against the baseline", Figure: true},
			{Text: "verdict"}, {Text: "break-even, " + t.currency, Figure: true}, {Text: "what to know"}}}
		for _, size := range v.worthSizes(t) {
			for _, m := range v.Words.Modes {
				if line, ok := v.worthLine(t, size, m.Mode); ok {
					g.Rows = append(g.Rows, line)
				}
			}
		}
		if len(g.Rows) == 0 {
			continue
		}
		g.Notes = v.priceNotes(t)
		out = append(out, Chapter{Title: "Value at a " + t.String(), Grid: g, Charts: v.charts.of(plainName("value-" + t.kind))})
	}
	return out
}

// worthSizes are the resolutions of value, "" for all of them, in the tables' order.
func (v view) worthSizes(t terms) (out []string) {
	for _, r := range v.Tables.Readings {
		if r.Price != nil && r.Games != nil && termsOf(r) == t {
			out = append(out, text(r.Resolution))
		}
	}
	return unique(out)
}

func (v view) worthLine(t terms, size string, m Mode) (Line, bool) {
	var own, against, breaking archive.ReadingRow
	found := false
	for _, r := range v.Tables.Readings {
		if r.Price == nil || r.Games == nil || termsOf(r) != t || text(r.Resolution) != size || (Mode{r.Card, text(r.Mode)}) != m {
			continue
		}
		found = true
		switch {
		case r.Figure == "break_even_price":
			breaking = r
		case r.BaseCard == nil:
			own = r
		default:
			against = r
		}
	}
	if !found {
		return Line{}, false
	}
	if size == "" {
		size = "all"
	}
	line := Line{Name: v.name(m), Base: m == v.Words.Baseline}
	per, price, even := numeral(own.Value, 2), numeral(own.Price, 2), numeral(breaking.Value, 0)
	if own.Price != nil && *own.Price == math.Trunc(*own.Price) {
		price.Text = shown(own.Price, 0)
	}
	per.Beside, even.Beside = bracketed(own.CILow, own.CIHigh, 2), bracketed(breaking.CILow, breaking.CIHigh, 0)
	difference, verdict := differenceField(against.Value, against.CILow, against.CIHigh, "%", text(against.Verdict)), verdictField(text(against.Verdict), false)
	switch {
	case line.Base:
		difference, verdict = plainly(""), verdictField("baseline", false)
	case against.Price == nil:
		difference, verdict = plainly(absent), Field{Text: "not compared", Class: "verdict open"}
	}
	line.Cells = []Field{plainly(size), price, per, difference, verdict, even, know(filled(text(against.Note), unlessExact(own)))}
	return line, true
}

// unlessExact is why a figure cannot be had; where it can, the reason is why its uncertainty stands as an interval, which the table shows.
func unlessExact(r archive.ReadingRow) string {
	if r.Value != nil {
		return ""
	}
	return text(r.Why)
}

// priceNotes lists the prices that value rests on.
func (v view) priceNotes(t terms) (out []string) {
	for _, r := range v.Tables.Readings {
		if isPrice(r) && termsOf(r) == t {
			out = append(out, strings.Join(filled(v.cardTitle(r.Card)+": "+money(*r.Price)+" "+t.currency, text(r.PricePlace), text(r.PriceOn)), ", "))
		}
	}
	return unique(out)
}

func money(x float64) string {
	if x == math.Trunc(x) {
		return number(x, 0)
	}
	return number(x, 2)
}

func (v view) cardTitle(card string) string {
	for _, m := range v.Words.Modes {
		if m.Card == card {
			return m.Title
		}
	}
	return card
}

// facts is the table of what the plan states of cards: a column a card, in brackets how far from the baseline's.
func (v view) facts() Grid {
	g := Grid{ID: "facts", Caption: "Facts of the cards, as the plan states them; in brackets how far from " + v.cardTitle(v.Words.Baseline.Card),
		Heads: []Column{{Text: "fact"}}}
	var cards []string
	for _, m := range v.Words.Modes {
		cards = append(cards, m.Card)
	}
	cards = unique(cards)
	for _, c := range cards {
		g.Heads = append(g.Heads, Column{Text: v.cardTitle(c), Figure: true})
	}
	type factKey struct{ figure, mode string }
	at := map[factKey]int{}
	for _, apart := range []bool{false, true} {
		for _, r := range v.Tables.Readings {
			column := slices.Index(cards, r.Card)
			if r.Protocol != nil || r.Price != nil || !strings.HasPrefix(text(r.Source), "card.") || (r.BaseCard != nil) != apart || column < 0 {
				continue
			}
			k := factKey{r.Figure, text(r.Mode)}
			i, ok := at[k]
			switch {
			case apart && !ok, apart && (r.Value == nil || *r.Value == 0):
			case apart:
				g.Rows[i].Cells[column].Beside = "(" + factNumber(r, true) + ")"
			default:
				if !ok {
					i = len(g.Rows)
					at[k] = i
					g.Rows = append(g.Rows, Line{Name: Name{Title: factTitle(r), Mode: k.mode}, Cells: slices.Repeat([]Field{{Text: absent, Figure: true}}, len(cards))})
				}
				g.Rows[i].Cells[column] = Field{Text: factNumber(r, false), Sort: sortable(r.Value), Figure: true}
			}
		}
	}
	return g
}

// factNumber gives an exact figure with as many decimals as it has, two at most; percentages have one.
func factNumber(r archive.ReadingRow, sign bool) string {
	if r.Value == nil {
		return absent
	}
	at := 100.0
	if strings.HasSuffix(r.Figure, "_pct") {
		at = 10
	}
	x := math.Round(at**r.Value) / at
	if sign && x > 0 {
		return "+" + short(x)
	}
	return short(x)
}

func factTitle(r archive.ReadingRow) string {
	words := strings.ReplaceAll(plan.WithoutUnit(r.Figure), "_", " ")
	if part, ok := strings.CutSuffix(r.Figure, plan.PartShare("")); ok {
		words = strings.ReplaceAll(part, "_", " ") + " share of the mass"
	} else if limit, ok := strings.CutPrefix(words, "limit "); ok {
		words = limit + " limit"
	} else if plug, ok := strings.CutPrefix(words, "connector "); ok {
		words = plug + " connectors"
	}
	if r.Unit != "" {
		words += ", " + r.Unit
	}
	return words
}

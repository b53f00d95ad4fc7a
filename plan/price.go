package plan

import (
	"fmt"
	"regexp"
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Price is what a card costs. Kind is "list", "street" or another word of the reviewer's, Where the shop or country that it holds in.
type Price struct {
	Amount                float64
	Currency, Kind, Where string
	Tax                   bool
	On                    time.Time
	Place                 finding.Place
}

// PriceKind says which prices are meant. Currency and Where are "" and Tax is nil where any will do.
type PriceKind struct {
	Kind, Currency, Where string
	Tax                   *bool
}

func (k PriceKind) of(p Price) bool {
	return p.Kind == k.Kind && (k.Currency == "" || p.Currency == k.Currency) && (k.Where == "" || p.Where == k.Where) && (k.Tax == nil || p.Tax == *k.Tax)
}

// PricesOf lists a card's prices of a kind, the newest first; one without a date is the oldest. Only prices of one currency and tax may
// be compared.
func (c Card) PricesOf(k PriceKind) []Price {
	var ps []Price
	for _, p := range c.Prices {
		if k.of(p) {
			ps = append(ps, p)
		}
	}
	slices.SortStableFunc(ps, func(a, b Price) int { return b.On.Compare(a.On) })
	return ps
}

var currencyForm = regexp.MustCompile(`^[A-Z]{3}$`)

func (f *fields) currency() string {
	c := f.text("currency")
	if c != "" && !currencyForm.MatchString(c) {
		f.l.error(f.rangeOf("currency"), "Not a currency", fmt.Sprintf("%s is %s.", f.of("currency"), quote(c)), `Write three capitals, such as "EUR".`)
	}
	return c
}

// prices reads one price, or a list of them.
func (l *loader) prices(b *block) []Price {
	var ps []Price
	for _, f := range b.objects("price", "price") {
		p := Price{Kind: f.text("kind"), Currency: f.currency(), Where: f.text("place"), Tax: f.yes("tax"), On: f.date("on"), Place: l.place(f.at)}
		p.Amount, _ = f.number("amount", 0.01, 1e9)
		if slices.ContainsFunc(ps, p.alike) {
			l.error(f.at, "Price stands twice", fmt.Sprintf("%s has another of that kind, currency, place, tax and date.", b.what), "Delete one of them, or mend its date.")
		}
		ps = append(ps, p)
	}
	return ps
}

func (p Price) alike(q Price) bool {
	return p.Kind == q.Kind && p.Where == q.Where && p.sameTerms(q) && p.On.Equal(q.On)
}

// sameTerms tells whether two prices of one kind may be set against each other; they may be of unlike places.
func (p Price) sameTerms(q Price) bool {
	return p.Currency == q.Currency && p.Tax == q.Tax
}

// terms says what a price is beside its amount.
func (p Price) terms() string {
	tax := "without tax"
	if p.Tax {
		tax = "with tax"
	}
	return fmt.Sprintf("%s in %s, %s", p.Kind, p.Currency, tax)
}

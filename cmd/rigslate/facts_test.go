package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

var heronX, ternRef = plan.Mode{Card: "heron_x", Mode: "stock"}, plan.Mode{Card: "tern_ref", Mode: "stock"}

// reviewOf is a review of two cards with nothing but figures of the bench.
func reviewOf(figures ...review.BenchFigure) *review.Review {
	p := &plan.Plan{Cards: []plan.Card{{Name: "heron_x"}, {Name: "tern_ref"}}}
	p.Review.Baseline = ternRef
	return &review.Review{Plan: p, Bench: figures}
}

// The baseline's column comes first although its card is declared last; facts that all have alike, and those of one card, are named below.
func TestFactsTable(t *testing.T) {
	fact := func(card, base, name string, x float64) review.BenchFigure {
		return review.BenchFigure{Of: plan.Mode{Card: card}, Base: plan.Mode{Card: base}, Name: name, Value: compute.Known(x), Source: "card." + card}
	}
	var b strings.Builder
	printFacts(&b, reviewOf(fact("heron_x", "", "length_mm", 318), fact("heron_x", "", "slots", 2), fact("heron_x", "", "fans_g", 171.55),
		fact("heron_x", "tern_ref", "length_mm", 56), fact("heron_x", "tern_ref", "length_mm_ratio", 318/262.0), fact("heron_x", "tern_ref", "slots", 0),
		fact("tern_ref", "", "length_mm", 262), fact("tern_ref", "", "slots", 2)))
	const want = `
Facts of the cards, as the plan states them; in brackets how far from tern_ref
             tern_ref  heron_x
  length mm  262       318 (+56)
    alike wherever stated: slots 2
    stated of heron_x only: fans 171.55 g
`
	if b.String() != want {
		t.Errorf("%s\nwant %s", b.String(), want)
	}
}

// A card that is rated in fewer games than the baseline is marked, and what the baseline costs in those stands below; so does why a price
// is set against none.
func TestWorthTable(t *testing.T) {
	cells := []plan.Key{{Game: "fjord"}, {Game: "kelp"}}
	figure := func(of, base plan.Mode, name string, x compute.Value, w review.Worth) review.BenchFigure {
		return review.BenchFigure{Of: of, Base: base, Name: name, Value: x, Worth: &w}
	}
	list := plan.Price{Amount: 600, Currency: "EUR", Kind: "list", Tax: true}
	dear, street := list, list
	dear.Amount, street.Kind = 660.5, "street"
	k := compute.Known
	const why = "one price is with tax, the other without"
	refused := figure(heronX, ternRef, "price_per_fps", compute.Absent(why), review.Worth{Price: street, Resolution: "uhd", Cells: cells[:1], Why: why})
	refused.Flags = []compute.Flag{"not_comparable"}
	var b strings.Builder
	printWorth(&b, reviewOf(
		figure(plan.Mode{Card: "tern_ref"}, plan.Mode{}, "price", k(600), review.Worth{Price: list}),
		figure(plan.Mode{Card: "heron_x"}, plan.Mode{}, "price", k(660.5), review.Worth{Price: dear}),
		figure(ternRef, plan.Mode{}, "price_per_fps", k(10), review.Worth{Price: list, Resolution: "uhd", Games: 2, Cells: cells, Low: k(9.9), High: k(10.1)}),
		figure(heronX, plan.Mode{}, "price_per_fps", k(11), review.Worth{Price: dear, Resolution: "uhd", Games: 1, Cells: cells[:1], Low: k(10.9), High: k(11.1)}),
		figure(heronX, ternRef, "price_per_fps", k(-5), review.Worth{Price: dear, Resolution: "uhd", Games: 1, Cells: cells[:1], Low: k(-7), High: k(-3),
			Verdict: compute.Ahead, OfBase: k(11.58)}),
		figure(heronX, ternRef, "break_even_price", k(695), review.Worth{Price: list, Resolution: "uhd", Games: 1, Cells: cells[:1], Low: k(680), High: k(710)}),
		figure(plan.Mode{Card: "heron_x"}, plan.Mode{}, "price", k(600), review.Worth{Price: street}),
		figure(heronX, plan.Mode{}, "price_per_fps", k(11), review.Worth{Price: street, Resolution: "uhd", Games: 1, Cells: cells[:1], Low: k(10.9), High: k(11.1)}),
		refused))
	const want = `
Value at a list price in EUR with tax: price over mean frame rate, ahead where that is less
                        EUR per fps            difference           break-even
  uhd, 2 games
    tern_ref·stock   600.00 10.00 [9.90, 10.10]                        baseline
    heron_x·stock *  660.50 11.00 [10.90, 11.10] −5.0 % [−7.0, −3.0]    ahead    695 [680, 710]
    prices: tern_ref 600.00, heron_x 660.50. The newest of a card counts. Cells are those of the
      headlines
    * heron_x·stock at uhd: over 1 of the baseline's 2 cells; in these the baseline costs 11.58 per
      fps
    1 verdict; at most about 0.1 of them may be chance

Value at a street price in EUR with tax: price over mean frame rate, ahead where that is less
                    EUR per fps              difference              break-even
  uhd, 1 game
    heron_x·stock   600 11.00 [10.90, 11.10] –              not compared
    prices: heron_x 600. The newest of a card counts. Cells are those of the headlines
    heron_x·stock: one price is with tax, the other without
`
	if got := b.String(); !equalButBlanks(got, want) {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// With more cards than fit beside each other there are several tables, each with the baseline first.
func TestFactsOfManyCards(t *testing.T) {
	r := reviewOf()
	r.Plan.Cards = nil
	for i := range 9 {
		name := fmt.Sprintf("card_%d_of_a_series", i)
		if i == 4 {
			name = ternRef.Card
		}
		r.Plan.Cards = append(r.Plan.Cards, plan.Card{Name: name})
		r.Bench = append(r.Bench, review.BenchFigure{Of: plan.Mode{Card: name}, Name: "mass_g", Value: compute.Known(1000.25 + float64(i)), Source: "card." + name})
	}
	var b strings.Builder
	printFacts(&b, r)
	tables := 0
	for _, line := range strings.Split(b.String(), "\n") {
		if runewidth.StringWidth(line) > 100 {
			t.Errorf("too wide: %s", line)
		}
		if f := strings.Fields(line); len(f) > 1 && f[0] == ternRef.Card {
			tables++
		}
		if f := strings.Fields(line); len(f) > 1 && f[0] == "mass" && f[2] != "1004.25" {
			t.Errorf("the baseline is not first: %s", line)
		}
	}
	if tables < 2 || strings.Count(b.String(), "1001.25") != 1 || strings.Count(b.String(), "1008.25") != 1 {
		t.Errorf("%d tables:\n%s", tables, b.String())
	}
}

// What is refused is null with its reason in --json; a price that is not dated has no date.
func TestWorthAsJSON(t *testing.T) {
	const why = "one price is with tax, the other without"
	w := review.Worth{Price: plan.Price{Amount: 600, Currency: "EUR", Kind: "street", Tax: true}, Resolution: "uhd", Cells: []plan.Key{{Game: "fjord"}}, Why: why}
	facts, value := factsAndValue(reviewOf(
		review.BenchFigure{Of: heronX, Base: ternRef, Name: "price_per_fps", Unit: "%", Value: compute.Absent(why), Worth: &w},
		review.BenchFigure{Of: plan.Mode{Card: "heron_x"}, Name: "slots", Value: compute.Known(2.5), Source: "card.heron_x"},
		review.BenchFigure{Of: heronX, Name: "end_c", Protocol: "half_hour", Value: compute.Known(60)}))
	text, err := json.Marshal([]any{facts, value})
	if err != nil {
		t.Fatal(err)
	}
	const want = `[[{"card":"heron_x","figure":"slots","unit":"","value":2.5,"source":"card.heron_x"}],[{"card":"heron_x","mode":"stock","base_card":"tern_ref",` +
		`"base_mode":"stock","figure":"price_per_fps","unit":"%","value":null,"why":"one price is with tax, the other without","source":"","price":{"amount":600,` +
		`"currency":"EUR","kind":"street","tax":true},"resolution":"uhd","cells":[{"card":"","mode":"","game":"fjord","variant":"","resolution":""}],"ci_low":null,` +
		`"ci_high":null,"p":null,"price_per_fps_of_base":null}]]`
	if string(text) != want {
		t.Errorf("%s\nwant %s", text, want)
	}
}

// equalButBlanks compares texts whatever the width of their columns.
func equalButBlanks(a, b string) bool {
	return strings.Join(strings.Fields(a), " ") == strings.Join(strings.Fields(b), " ")
}

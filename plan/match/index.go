package match

import (
	"slices"

	"github.com/agext/levenshtein"

	"github.com/rigslate/rigslate/plan"
)

// index holds the declared labels in the forms in which matching asks for them.
type index struct {
	plan   *plan.Plan
	cards  map[string]*plan.Card
	games  map[string]*plan.Game
	cells  map[plan.Key]bool
	labels map[part][]string // what each label placeholder may hold, in declared order, once each
}

func newIndex(p *plan.Plan) *index {
	ix := &index{plan: p, cards: map[string]*plan.Card{}, games: map[string]*plan.Game{}, cells: make(map[plan.Key]bool, len(p.Cells)),
		labels: map[part][]string{}}
	add := func(k part, label string) {
		if label != "" && !slices.Contains(ix.labels[k], label) {
			ix.labels[k] = append(ix.labels[k], label)
		}
	}
	add(review, p.Review.Name)
	for i := range p.Cards {
		c := &p.Cards[i]
		ix.cards[c.Name] = c
		add(card, c.Name)
		for _, m := range c.Modes {
			add(mode, m.Name)
		}
	}
	for i := range p.Games {
		g := &p.Games[i]
		ix.games[g.Name] = g
		add(game, g.Name)
		for _, v := range g.Variants {
			add(variant, v.Name)
		}
	}
	for _, r := range p.Resolutions {
		add(resolution, r.Name)
		add(size, r.Size())
	}
	for _, c := range p.Cells {
		ix.cells[c.Key] = true
	}
	return ix
}

// nearest gives the known word that a misspelt one most likely means, "" if none is close: fewer than three edits, and not
// more than half the word. Of several equally near the first by name is taken.
func nearest(word string, known []string) string {
	best, at := "", 3
	for _, k := range known {
		d := levenshtein.Distance(word, k, nil)
		if d > len(k)/2 || d > at || d == at && (best == "" || k > best) {
			continue
		}
		best, at = k, d
	}
	return best
}

package explain

import (
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
)

// cardAttributes are what a plan states of its cards.
var cardAttributes = []attribute{
	{"price", "card", "none", func(p *plan.Plan) (string, bool) {
		return byCard(p, "price", "prices", func(c plan.Card) int { return len(c.Prices) })
	}},
	{"memory", "card", "none", func(p *plan.Plan) (string, bool) {
		return byCard(p, "memory", "memories", func(c plan.Card) int {
			if c.Memory == nil {
				return 0
			}
			return 1
		})
	}},
	{"phases", "card", "none", func(p *plan.Plan) (string, bool) {
		return byCard(p, "group of phases", "groups of phases", func(c plan.Card) int { return len(c.Phases) })
	}},
	{"body", "card", "none", func(p *plan.Plan) (string, bool) {
		return byCard(p, "size or mass", "sizes and masses", func(c plan.Card) int { return len(c.Body) })
	}},
}

// byCard says how many of something cards state.
func byCard(p *plan.Plan, one, many string, of func(plan.Card) int) (text string, written bool) {
	var names, texts []string
	for _, c := range p.Cards {
		x, stated := "none", of(c)
		if stated > 0 {
			x, written = screen.Count(stated, one, many), true
		}
		names, texts = append(names, c.Name), append(texts, x)
	}
	return grouped(names, texts), written
}

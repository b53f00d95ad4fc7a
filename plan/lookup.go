package plan

import "strconv"

func itoa(n int) string { return strconv.Itoa(n) }

// Card returns the card of that name; ok is false if there is none.
func (p *Plan) Card(name string) (c Card, ok bool) {
	for _, c := range p.Cards {
		if c.Name == name {
			return c, true
		}
	}
	return Card{}, false
}

// Mode returns a card's mode.
func (c Card) Mode(name string) (m CardMode, ok bool) {
	for _, m := range c.Modes {
		if m.Name == name {
			return m, true
		}
	}
	return CardMode{}, false
}

// Game returns the game of that name.
func (p *Plan) Game(name string) (g Game, ok bool) {
	for _, g := range p.Games {
		if g.Name == name {
			return g, true
		}
	}
	return Game{}, false
}

// Variant returns a game's variant.
func (g Game) Variant(name string) (v Variant, ok bool) {
	for _, v := range g.Variants {
		if v.Name == name {
			return v, true
		}
	}
	return Variant{}, false
}

// Resolution returns the resolution of that name.
func (p *Plan) Resolution(name string) (r Resolution, ok bool) {
	for _, r := range p.Resolutions {
		if r.Name == name {
			return r, true
		}
	}
	return Resolution{}, false
}

// Rig returns the review's rig; ok is false if none is declared.
func (p *Plan) Rig() (r Rig, ok bool) {
	for _, r := range p.Rigs {
		if r.Name == p.Review.Rig {
			return r, true
		}
	}
	return Rig{}, false
}

// Cell returns the planned cell of that key.
func (p *Plan) Cell(k Key) (c Cell, ok bool) {
	for _, c := range p.Cells {
		if c.Key == k {
			return c, true
		}
	}
	return Cell{}, false
}

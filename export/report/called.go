package report

import "slices"

// What things are called in sentences, captions and tables: by the plan's titles, with the mode or variant behind where there are several.

// Called is a card in a mode: "Heron X partner card (stock)".
func (w Words) Called(m Mode) string {
	i := slices.IndexFunc(w.Modes, func(x ModeWords) bool { return x.Mode == m })
	switch {
	case i < 0:
		return w.cardTitle(m.Card)
	case w.Modes[i].Alone:
		return w.Modes[i].Title
	}
	return w.Modes[i].Title + " (" + m.Mode + ")"
}

// CellCalled is a cell: "Heron X partner card (stock) in Fjord (plain) at uhd".
func (w Words) CellCalled(k Key) string {
	return w.Called(k.Mode) + " in " + w.gameCalled(k.Game, k.Variant) + " at " + k.Resolution
}

func (w Words) cardTitle(card string) string {
	for _, m := range w.Modes {
		if m.Card == card {
			return m.Title
		}
	}
	return card
}

func (w Words) gameTitle(game string) string {
	for _, g := range w.Games {
		if g.Game == game {
			return g.Title
		}
	}
	return game
}

// gameCalled is a game in a variant: "Fjord (plain)".
func (w Words) gameCalled(game, variant string) string {
	for _, g := range w.Games {
		if g.Game == game && g.Variant == variant {
			return g.String()
		}
	}
	return game
}

// String is a resolution in words.
func (w SizeWords) String() string {
	if w.Width == 0 {
		return w.Name
	}
	return w.Name + " " + number(float64(w.Width), 0) + "×" + number(float64(w.Height), 0)
}

// String names a game, and its variant where it has several.
func (w GameWords) String() string {
	if w.Alone {
		return w.Title
	}
	return w.Title + " (" + w.Variant + ")"
}

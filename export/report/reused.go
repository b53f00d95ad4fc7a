package report

import "strings"

// ReusedWords says of a cell which review its passes are of, and on which days they were made.
type ReusedWords struct {
	Review string `json:"review"`
	From   string `json:"from"` // 2006-01-02
	To     string `json:"to"`
}

func (w ReusedWords) String() string {
	if w.From == w.To {
		return w.Review + ", " + w.From
	}
	return w.Review + ", " + w.From + " to " + w.To
}

// reusedNote is what stands beside figures of cells that are reused, card by card; "" where none of these cells is.
func (w Words) reusedNote(of func(Key) bool) string {
	var cards []string
	by := map[string]ReusedWords{}
	for _, c := range w.Cells {
		if c.Reused == nil || !of(c.Key) {
			continue
		}
		name := w.title(c.Mode) + ": " + c.Reused.Review
		all, known := by[name]
		if !known {
			cards, all = append(cards, name), *c.Reused
		}
		all.From, all.To = min(all.From, c.Reused.From), max(all.To, c.Reused.To)
		by[name] = all
	}
	if len(cards) == 0 {
		return ""
	}
	for i, name := range cards {
		cards[i] = strings.TrimSuffix(name, by[name].Review) + by[name].String()
	}
	return "Reused passes of " + strings.Join(cards, "; ") + "."
}

func anyKey(Key) bool { return true }

// isAt tells the cells of a game, variant and resolution.
func isAt(g GameWords, size SizeWords) func(Key) bool {
	return func(k Key) bool { return k.Game == g.Game && k.Variant == g.Variant && k.Resolution == size.Name }
}

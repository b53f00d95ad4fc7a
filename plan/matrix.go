package plan

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
)

// maxCells bounds the matrix. A review of months has a few thousand cells.
const maxCells = 100_000

// maxRepeats bounds the passes of a cell.
const maxRepeats = 100

func (l *loader) matrix(b *block) {
	m := Matrix{Modes: b.modes("cards"), Games: b.games("games"), Resolutions: b.resolutions("resolutions"), Repeats: DefaultRepeats, Place: b.at()}
	if n, ok := b.whole("repeats", 1, maxRepeats); ok {
		m.Repeats = n
	}
	m.Launches = m.Repeats
	if n, ok := b.whole("launches", 1, maxRepeats); ok {
		m.Launches = n
		if n > m.Repeats {
			l.error(b.rangeOf("launches"), "More launches than passes", fmt.Sprintf("%d launches for %d passes.", n, m.Repeats), "Write as many launches as repeats, or fewer.")
		}
	}
	l.looks(b, &m)
	b.members("matrix", "waive", func(w *block) {
		waive := Waive{Modes: w.modes("cards"), Games: w.games("games"), Resolutions: w.resolutions("resolutions"), Reason: w.text("reason"), Place: w.at()}
		if !w.has("cards") && !w.has("games") && !w.has("resolutions") {
			l.error(w.header, "Everything is waived", "This waive names no cards, games or resolutions.", "Name what is left out, or delete the matrix block.")
		}
		m.Waives = append(m.Waives, waive)
	})
	l.plan.Matrices = append(l.plan.Matrices, m)
}

// covers reports whether a waive leaves a cell out.
func (w Waive) covers(k Key) bool {
	return (len(w.Modes) == 0 || slices.Contains(w.Modes, k.CardMode())) &&
		(len(w.Games) == 0 || slices.Contains(w.Games, k.GameVariant())) &&
		(len(w.Resolutions) == 0 || slices.Contains(w.Resolutions, k.Resolution))
}

// expand fills in the lists left out and turns the matrix blocks into cells, in declared order. A cell that one block waives and
// another asks for is asked for.
func (l *loader) expand() {
	if !l.cellsKnown {
		return
	}
	total := 0
	for i := range l.plan.Matrices {
		m := &l.plan.Matrices[i]
		l.fillIn(m)
		total += len(m.Modes) * len(m.Games) * len(m.Resolutions)
	}
	if total > maxCells {
		l.errorAt(l.plan.Matrices[0].Place, "Matrix is too large", fmt.Sprintf("The matrix blocks name %d cells.", total),
			fmt.Sprintf("A plan may have %d.", maxCells))
		l.cellsKnown = false
		return
	}
	byKey := map[Key]asked{}
	for i, m := range l.plan.Matrices {
		l.expandOne(i, m, byKey)
	}
	rank := l.scope.order
	all := slices.SortedFunc(maps.Values(byKey), func(a, b asked) int {
		return cmp.Or(
			cmp.Compare(rank[ref{"card", a.Card, a.Mode}], rank[ref{"card", b.Card, b.Mode}]),
			cmp.Compare(rank[ref{"game", a.Game, a.Variant}], rank[ref{"game", b.Game, b.Variant}]),
			cmp.Compare(rank[ref{"resolution", a.Resolution, ""}], rank[ref{"resolution", b.Resolution, ""}]),
		)
	})
	said := map[[2]int]bool{}
	for _, a := range all {
		l.checkLaunches(a, said)
		l.plan.Cells = append(l.plan.Cells, a.cell())
	}
}

func (l *loader) fillIn(m *Matrix) {
	if len(m.Modes) == 0 {
		for _, r := range l.allOf("card") {
			m.Modes = append(m.Modes, Mode{r.name, r.member})
		}
	}
	if len(m.Games) == 0 {
		for _, r := range l.allOf("game") {
			m.Games = append(m.Games, GameVariant{r.name, r.member})
		}
	}
	if len(m.Resolutions) == 0 {
		m.Resolutions = slices.Clone(l.scope.names["resolution"])
	}
}

func (l *loader) expandOne(at int, m Matrix, byKey map[Key]asked) {
	hits := make([]int, len(m.Waives))
	said := map[int]bool{}
	for _, mode := range m.Modes {
		for _, game := range m.Games {
			for _, resolution := range m.Resolutions {
				k := Key{mode.Card, mode.Mode, game.Game, game.Variant, resolution}
				c := ask(k, at, m)
				for i, w := range m.Waives {
					if w.covers(k) {
						hits[i]++
						c.Waived = cmp.Or(c.Waived, w.Reason)
					}
				}
				if other, again := byKey[k]; again {
					c = l.addUp(other, c, said)
				}
				byKey[k] = c
			}
		}
	}
	for i, n := range hits {
		if n == 0 {
			l.warningAt(m.Waives[i].Place, "Waive matches nothing", "None of its cells is in this matrix block.", "Mend its names, or delete it.")
		}
	}
}

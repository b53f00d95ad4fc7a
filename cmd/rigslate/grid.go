package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
)

const (
	cardWidth = 14 // names longer than this are shortened in the grid; the lists below it have them whole
	modeWidth = 8
	nameWidth = 12
	gridGap   = 2
)

// grid draws coverage: one block a resolution, cards and modes down, games and variants across. Rows in which nothing is left
// to do are folded into words unless all is set; blocks wider than the screen are split by games.
type grid struct {
	signs signs
	all   bool
	cells map[plan.Key]coverage.Judgement
	modes []plan.Mode
	games []plan.GameVariant
}

func newGrid(p *plan.Plan, js []coverage.Judgement, s signs, all bool) grid {
	g := grid{signs: s, all: all, cells: map[plan.Key]coverage.Judgement{}}
	seenMode, seenGame := map[plan.Mode]bool{}, map[plan.GameVariant]bool{}
	for _, j := range js {
		g.cells[j.Cell.Key] = j
		seenMode[j.Cell.CardMode()], seenGame[j.Cell.GameVariant()] = true, true
	}
	for _, c := range p.Cards {
		for _, m := range c.Modes {
			if mode := (plan.Mode{Card: c.Name, Mode: m.Name}); seenMode[mode] {
				g.modes = append(g.modes, mode)
			}
		}
	}
	for _, x := range p.Games {
		for _, v := range x.Variants {
			if game := (plan.GameVariant{Game: x.Name, Variant: v.Name}); seenGame[game] {
				g.games = append(g.games, game)
			}
		}
	}
	return g
}

func (g grid) print(w io.Writer, resolutions []plan.Resolution) {
	for _, r := range resolutions {
		g.block(w, r)
	}
	reused := false
	for _, j := range g.cells {
		reused = reused || j.State == coverage.Reused
	}
	legend := g.signs.legend(reused)
	if runewidth.StringWidth(legend) > screen.Width {
		legend = screen.Wrap(legend, screen.Width, "") // a blank between words in place of two
	}
	fmt.Fprintln(w, legend)
}

// row returns a mode's judgements at a resolution in the order of games; ok is false where the cell is not planned.
func (g grid) row(m plan.Mode, resolution string) (js []coverage.Judgement) {
	for _, x := range g.games {
		if j, ok := g.cells[plan.Key{Card: m.Card, Mode: m.Mode, Game: x.Game, Variant: x.Variant, Resolution: resolution}]; ok {
			js = append(js, j)
		}
	}
	return js
}

// folded says in words a row that is finished ("all 4 ready", "3 ready, 1 does not run") or not begun ("all 4 absent").
func folded(js []coverage.Judgement) (string, bool) {
	if len(js) == 0 {
		return "", false
	}
	t := coverage.Count(js)
	var parts []string
	for _, s := range legendOrder {
		if t[s] > 0 {
			if !s.Done() && (s != coverage.Absent || t[s] < len(js) || len(js) == 1) {
				return "", false
			}
			parts = append(parts, fmt.Sprintf("%d %s", t[s], stateWords[s]))
		}
	}
	if len(parts) == 1 && len(js) > 1 {
		return "all " + parts[0], true
	}
	return strings.Join(parts, ", "), true
}

func (g grid) block(w io.Writer, r plan.Resolution) {
	var whole []coverage.Judgement
	for _, m := range g.modes {
		whole = append(whole, g.row(m, r.Name)...)
	}
	if len(whole) == 0 {
		return
	}
	title := fmt.Sprintf("%s %d×%d", r.Name, r.Width, r.Height)
	lead := g.lead()
	if words, done := folded(whole); done && !g.all {
		fmt.Fprintf(w, "%s%s\n", screen.Pad(title, lead, screen.Left), words)
		return
	}
	for i, games := range g.split(lead) {
		if i > 0 {
			title = strings.Repeat(" ", 2) + "…"
		}
		g.part(w, title, r, games, lead, i == 0)
	}
}

// lead is the width of what stands left of the signs.
func (g grid) lead() int {
	c, m := 0, 0
	for _, x := range g.modes {
		c = max(c, min(cardWidth, runewidth.StringWidth(x.Card)))
		m = max(m, min(modeWidth, runewidth.StringWidth(x.Mode)))
	}
	return max(20, c+gridGap+m+gridGap)
}

// width is how wide a game's column is.
func (g grid) width(x plan.GameVariant) int {
	w := min(nameWidth, runewidth.StringWidth(x.Variant))
	for key, j := range g.cells {
		if key.GameVariant() == x {
			w = max(w, runewidth.StringWidth(g.sign(j)))
		}
	}
	return max(w, 2)
}

// split deals the games out so that every part fits the screen; the variants of a game stay side by side where they can.
func (g grid) split(lead int) (parts [][]plan.GameVariant) {
	at := screen.Width
	for i, x := range g.games {
		w := g.width(x) + gridGap
		if i == 0 || x.Game != g.games[i-1].Game {
			w = max(w, min(nameWidth, runewidth.StringWidth(x.Game))+gridGap)
		}
		if at+w > screen.Width {
			parts = append(parts, nil)
			at = lead
		}
		at += w
		parts[len(parts)-1] = append(parts[len(parts)-1], x)
	}
	return parts
}

func (g grid) sign(j coverage.Judgement) string {
	if j.State == coverage.Short {
		return fmt.Sprintf("%s %d of %d", g.signs.sign[j.State], j.Passes, j.Cell.Repeats)
	}
	return g.signs.sign[j.State]
}

func (g grid) part(w io.Writer, title string, r plan.Resolution, games []plan.GameVariant, lead int, fold bool) {
	widths := make([]int, len(games))
	names, variants := make([]string, len(games)), make([]string, len(games))
	for i, x := range games {
		if i == 0 || x.Game != games[i-1].Game {
			names[i] = screen.Shorten(x.Game, nameWidth)
		}
		variants[i] = screen.Shorten(x.Variant, nameWidth)
		widths[i] = max(g.width(x), runewidth.StringWidth(names[i]))
	}
	line := func(left string, cells []string, a screen.Align) {
		var b strings.Builder
		b.WriteString(screen.Pad(left, lead, screen.Left))
		for i, c := range cells {
			if i > 0 {
				b.WriteString(strings.Repeat(" ", gridGap))
			}
			b.WriteString(screen.Pad(c, widths[i], a))
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
	line(title, names, screen.Left)
	line("", variants, screen.Left)
	for _, m := range g.modes {
		row := g.row(m, r.Name)
		if len(row) == 0 {
			continue
		}
		left := g.left(m)
		if words, done := folded(row); done && !g.all {
			if fold {
				fmt.Fprintf(w, "%s%s\n", screen.Pad(left, lead, screen.Left), words)
			}
			continue
		}
		cells := make([]string, len(games))
		for i, x := range games {
			if j, ok := g.cells[plan.Key{Card: m.Card, Mode: m.Mode, Game: x.Game, Variant: x.Variant, Resolution: r.Name}]; ok {
				cells[i] = g.sign(j)
			}
		}
		line(left, cells, screen.Centre)
	}
}

// left is a row's name, the modes of all rows under each other.
func (g grid) left(m plan.Mode) string {
	c := 0
	for _, x := range g.modes {
		c = max(c, min(cardWidth, runewidth.StringWidth(x.Card)))
	}
	return screen.Pad(screen.Shorten(m.Card, cardWidth), c+gridGap, screen.Left) + screen.Shorten(m.Mode, modeWidth)
}

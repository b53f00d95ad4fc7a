package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
)

// matrix is a plan of the given size, every cell in the state that pick gives.
func matrix(cards, games, variants int, pick func(i int) coverage.State) (*plan.Plan, []coverage.Judgement) {
	p := &plan.Plan{Resolutions: []plan.Resolution{{Name: "uhd", Width: 3840, Height: 2160}}}
	var js []coverage.Judgement
	for c := range cards {
		p.Cards = append(p.Cards, plan.Card{Name: fmt.Sprintf("card_with_a_rather_long_name_%02d", c), Modes: []plan.CardMode{{Name: "stock"}}})
	}
	for g := range games {
		game := plan.Game{Name: fmt.Sprintf("game_with_a_long_name_%02d", g)}
		for v := range variants {
			game.Variants = append(game.Variants, plan.Variant{Name: fmt.Sprintf("variant_long_%d", v)})
		}
		p.Games = append(p.Games, game)
	}
	for _, c := range p.Cards {
		for _, g := range p.Games {
			for _, v := range g.Variants {
				js = append(js, coverage.Judgement{State: pick(len(js)), Passes: 2, Cell: plan.Cell{Repeats: 3,
					Key: plan.Key{Card: c.Name, Mode: "stock", Game: g.Name, Variant: v.Name, Resolution: "uhd"}}})
			}
		}
	}
	return p, js
}

func draw(p *plan.Plan, js []coverage.Judgement, all bool) string {
	var b strings.Builder
	newGrid(p, js, utf8Signs, all).print(&b, p.Resolutions)
	return b.String()
}

func TestGridFitsTheScreenAndShowsEveryOpenCell(t *testing.T) {
	states := len(utf8Signs.sign)
	p, js := matrix(24, 20, 2, func(i int) coverage.State { return coverage.State(i % states) })
	got := draw(p, js, false)
	for _, line := range strings.Split(got, "\n") {
		if w := runewidth.StringWidth(line); w > screen.Width {
			t.Errorf("%d columns wide: %q", w, line)
		}
	}
	body, _, _ := strings.Cut(got, "● ready")
	for s, sign := range utf8Signs.sign {
		want := 24 * 40 / states
		if n := strings.Count(body, sign+"\n") + strings.Count(body, sign+" "); n < want {
			t.Errorf("%s is shown %d times, want %d", coverage.State(s), n, want)
		}
	}
}

func TestGridFoldsWhatIsNotBegun(t *testing.T) {
	p, js := matrix(2, 2, 2, func(i int) coverage.State {
		if i < 4 {
			return coverage.Absent
		}
		return coverage.Short
	})
	if got := draw(p, js, false); !strings.Contains(got, "all 4 absent") || strings.Count(got, "2 of 3") != 4 {
		t.Errorf("got\n%s", got)
	}
}

func TestGridFoldsWhatIsFinished(t *testing.T) {
	p, js := matrix(3, 2, 2, func(i int) coverage.State {
		switch {
		case i == 0:
			return coverage.Doubtful
		case i == 5:
			return coverage.Failed
		}
		return coverage.Ready
	})
	got := draw(p, js, false)
	for _, want := range []string{"3 ready, 1 does not run", "all 4 ready"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is missing in\n%s", want, got)
		}
	}
	if unfolded := draw(p, js, true); strings.Contains(unfolded, "all 4") || strings.Count(unfolded, "●") != 10+1 {
		t.Errorf("--all does not show every cell:\n%s", unfolded)
	}
}

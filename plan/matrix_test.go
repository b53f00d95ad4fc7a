package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan/finding"
)

// bench is a plan up to its matrix: cards a (stock, tuned) and b, games g (plain, rays) and h, resolutions q and u.
const bench = `
review "r" { baseline = card.b }
card "a" {
  vendor = "x"
  mode "tuned" {}
  mode "stock" {}
}
card "b" { vendor = "y" }
game "h" {
  drive = "replay"
  keep  = "all"
}
game "g" {
  drive = "replay"
  keep  = "all"
  variant "rays" {}
  variant "plain" {}
}
resolution "u" { size = "3840x2160" }
resolution "q" { size = "2560x1440" }
files "csv" {
  path      = "{card}-{mode}/{game}-{variant}-{resolution}-{repeat}.csv"
  timestamp = { column = 1, unit = "s" }
}
`

// cellsOf expands matrix blocks and shows the cells, one a line.
func cellsOf(t *testing.T, matrix string) ([]string, finding.List) {
	t.Helper()
	p, findings := loadText([]byte(bench + matrix))
	if findings.HasErrors() {
		t.Fatalf("findings %v", findings)
	}
	var lines []string
	for _, c := range p.Cells {
		s := fmt.Sprintf("%s %d/%d", c.Key, c.Repeats, c.Launches)
		if c.Waived != "" {
			s += " waived"
		}
		lines = append(lines, s)
	}
	return lines, findings
}

func TestMatrix(t *testing.T) {
	for _, c := range []struct {
		name, matrix string
		want         []string
	}{
		{"declared order, whatever the list's", `
matrix {
  cards       = [card.b, card.a]
  games       = [game.g]
  resolutions = [resolution.q, resolution.u]
}`, []string{
			"a·tuned g·rays u 3/3", "a·tuned g·rays q 3/3", "a·tuned g·plain u 3/3", "a·tuned g·plain q 3/3",
			"a·stock g·rays u 3/3", "a·stock g·rays q 3/3", "a·stock g·plain u 3/3", "a·stock g·plain q 3/3",
			"b·stock g·rays u 3/3", "b·stock g·rays q 3/3", "b·stock g·plain u 3/3", "b·stock g·plain q 3/3"}},
		{"left out means all", `
matrix {
  cards = card.b
}`, []string{"b·stock h·plain u 3/3", "b·stock h·plain q 3/3", "b·stock g·rays u 3/3", "b·stock g·rays q 3/3",
			"b·stock g·plain u 3/3", "b·stock g·plain q 3/3"}},
		{"blocks add up, the larger count wins with its launches", `
matrix {
  cards       = [card.b]
  games       = [game.h]
  resolutions = [resolution.u]
  repeats     = 5
  launches    = 2
}
matrix {
  cards   = [card.b]
  games   = [game.h]
  repeats = 4
}`, []string{"b·stock h·plain u 5/2", "b·stock h·plain q 4/4"}},
		{"a waive counts within its block", `
matrix {
  cards = [card.b]
  games = [game.h]
  waive {
    resolutions = [resolution.u, resolution.q]
    reason      = "later"
  }
}
matrix {
  cards       = [card.b]
  games       = [game.h]
  resolutions = [resolution.q]
}`, []string{"b·stock h·plain u 3/3 waived", "b·stock h·plain q 3/3"}},
		{"let, functions, for and indexes", `
let {
  fast = [card.a.tuned, card.b]
  n    = max(1, 2)
}
matrix {
  cards       = distinct(concat(let.fast, [for c in [card.b] : c.stock]))
  games       = flatten([[game.h], [for v in ["plain"] : game.g[v]]])
  resolutions = [resolution[lower("U")]]
  repeats     = let.n * length(range(2)) - 2
}`, []string{"a·tuned h·plain u 2/2", "a·tuned g·plain u 2/2", "b·stock h·plain u 2/2", "b·stock g·plain u 2/2"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, _ := cellsOf(t, c.matrix)
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("cells (-expected +got):\n%s", diff)
			}
		})
	}
}

func TestMatrixIsBounded(t *testing.T) {
	var b strings.Builder
	for i := range 350 {
		fmt.Fprintf(&b, "card \"c%d\" { vendor = \"x\" }\nresolution \"r%d\" { size = \"%dx1\" }\n", i, i, i+1)
	}
	p, findings := loadText([]byte(bench + b.String() + "matrix {\n}\n")) // more than 350·350 cells
	if len(p.Cells) > 0 || !slices.ContainsFunc(findings, func(f finding.Finding) bool { return f.Summary == "Matrix is too large" }) {
		t.Errorf("%d cells, findings %v", len(p.Cells), findings)
	}
}

// TestMatrixProperties: cells are unique and in declared order, and a cell is asked for as often as the block that asks most.
func TestMatrixProperties(t *testing.T) {
	p, _ := loadText([]byte(bench + "matrix {\n}\n"))
	every := p.Cells
	rapid.Check(t, func(t *rapid.T) {
		want := map[Key]int{}
		var text strings.Builder
		for range rapid.IntRange(1, 4).Draw(t, "blocks") {
			c := rapid.SampledFrom(every).Draw(t, "cell")
			repeats := rapid.IntRange(1, 9).Draw(t, "repeats")
			wholeCard := rapid.Bool().Draw(t, "whole card")
			card := fmt.Sprintf("card.%s.%s", c.Card, c.Mode)
			if wholeCard {
				card = "card." + c.Card
			}
			fmt.Fprintf(&text, "matrix {\n  cards = [%s]\n  games = [game.%s.%s]\n  repeats = %d\n}\n", card, c.Game, c.Variant, repeats)
			for _, e := range every {
				if e.Card == c.Card && (wholeCard || e.Mode == c.Mode) && e.GameVariant() == c.GameVariant() {
					want[e.Key] = max(want[e.Key], repeats)
				}
			}
		}
		text.WriteString("matrix {\n  cards = [card.b]\n  repeats = 1\n}\n") // the baseline
		for _, e := range every {
			if e.Card == "b" {
				want[e.Key] = max(want[e.Key], 1)
			}
		}
		p, findings := loadText([]byte(bench + text.String()))
		if findings.HasErrors() {
			t.Fatalf("%s: %v", text.String(), findings)
		}
		got := map[Key]int{}
		at := -1
		for _, c := range p.Cells {
			got[c.Key] = c.Repeats
			i := slices.IndexFunc(every, func(e Cell) bool { return e.Key == c.Key })
			if i <= at {
				t.Fatalf("%s comes out of order", c.Key)
			}
			at = i
		}
		if diff := cmp.Diff(want, got); diff != "" || len(got) != len(p.Cells) {
			t.Fatalf("%s: cells (-expected +got):\n%s", text.String(), diff)
		}
	})
}

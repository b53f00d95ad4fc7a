package plan

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestLooksOfAPlan(t *testing.T) {
	p := load(t, "../testdata/plan/valid/looks")
	got := map[string]string{}
	for _, c := range p.Cells {
		got[c.Key.String()] = fmt.Sprint(c.Repeats, c.Launches, c.Looks)
	}
	want := map[string]string{
		"tern_ref·stock fjord·plain qhd": "6 6 [6 8]",
		"tern_ref·stock fjord·plain uhd": "3 3 [3 5 8]",
		"tern_ref·stock kelp·plain qhd":  "3 3 [3 4]",
		"tern_ref·stock kelp·plain uhd":  "3 3 []",
		"heron_x·stock fjord·plain qhd":  "3 3 [3 5 8]",
		"heron_x·stock fjord·plain uhd":  "3 3 [3 5 8]",
		"heron_x·stock kelp·plain qhd":   "3 3 [3 4]",
		"heron_x·stock kelp·plain uhd":   "3 3 []",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("cells (-expected +got):\n%s", diff)
	}
	if text := string(p.JSON); !strings.Contains(strings.Join(strings.Fields(text), ""), `"looks":[3,5,8]`) || strings.Contains(text, `"repeats": 2`) {
		t.Errorf("the resolved plan holds something else than what was written:\n%s", text)
	}
}

// Whatever the order of the blocks, a cell comes to the same, or the plan is refused.
func TestLooksAndCountsAddUpInAnyOrder(t *testing.T) {
	for _, c := range []struct {
		name   string
		blocks []string
		want   string // of b·stock h·plain u: repeats/launches [looks]
	}{
		{"looks alone", []string{"looks = [3, 5, 8]"}, "3/3 [3 5 8]"},
		{"fewer repeats", []string{"looks = [3, 5, 8]", "repeats = 2"}, "3/3 [3 5 8]"},
		{"as many as the first", []string{"looks = [3, 5, 8]", "repeats = 3\n launches = 1"}, "3/3 [3 5 8]"},
		{"between looks", []string{"looks = [3, 5, 8]", "repeats = 6"}, "6/6 [6 8]"},
		{"as many as the second", []string{"looks = [3, 5, 8]", "repeats = 5"}, "5/5 [5 8]"},
		{"as many as the last", []string{"looks = [3, 5, 8]", "repeats = 8\n launches = 4"}, "8/8 []"},
		{"more than the last", []string{"looks = [3, 5, 8]", "repeats = 10\n launches = 2"}, "10/2 []"},
		{"the larger of two counts", []string{"repeats = 4\n launches = 2", "looks = [3, 5, 8]", "repeats = 6"}, "6/6 [6 8]"},
		{"the same looks twice", []string{"looks = [3, 5, 8]", "repeats = 6", "looks = [3, 5, 8]"}, "6/6 [6 8]"},
	} {
		for _, order := range orders(len(c.blocks)) {
			var text strings.Builder
			for _, i := range order {
				fmt.Fprintf(&text, "matrix {\n cards = [card.b]\n games = [game.h]\n resolutions = [resolution.u]\n %s\n}\n", c.blocks[i])
			}
			p, findings := loadText([]byte(bench + text.String()))
			if findings.HasErrors() || len(p.Cells) != 1 {
				t.Errorf("%s, blocks %v: %v", c.name, order, findings)
				continue
			}
			x := p.Cells[0]
			if got := fmt.Sprintf("%d/%d %v", x.Repeats, x.Launches, x.Looks); got != c.want {
				t.Errorf("%s, blocks %v: %s, want %s", c.name, order, got, c.want)
			}
		}
	}
}

// orders are all orders of n blocks.
func orders(n int) (out [][]int) {
	if n == 0 {
		return [][]int{nil}
	}
	for _, rest := range orders(n - 1) {
		for at := range n {
			out = append(out, slices.Insert(slices.Clone(rest), at, n-1))
		}
	}
	return out
}

func TestLooksClash(t *testing.T) {
	for name, c := range map[string]struct{ matrix, summary, detail string }{
		"two lists": {"matrix {\n cards = [card.b]\n looks = [3, 5]\n}\nmatrix {\n looks = [3, 6]\n}\n", "Two lists of looks for a cell",
			"b·stock h·plain u has looks [3, 6] here and [3, 5] by the matrix at p.hcl:29."},
		"launches": {"matrix {\n repeats = 6\n launches = 2\n}\nmatrix {\n cards = [card.b]\n looks = [3, 5, 8]\n}\n", "Looks beside launches",
			"b·stock h·plain u has repeats = 6 and launches = 2 here, and looks [3, 5, 8] by the matrix at p.hcl:33."},
	} {
		_, findings := loadText([]byte(bench + c.matrix))
		if len(findings) != 1 || findings[0].Summary != c.summary || !strings.HasPrefix(findings[0].Detail, strings.Split(c.detail, " at p.hcl")[0]) {
			t.Errorf("%s: findings %v, want one: %s, %s", name, findings, c.summary, c.detail)
		}
	}
	waived := "matrix {\n cards = [card.b]\n looks = [3, 5]\n}\nmatrix {\n looks = [3, 6]\n waive {\n  cards = [card.b]\n  reason = \"later\"\n }\n}\n"
	if _, findings := loadText([]byte(bench + waived)); findings.HasErrors() {
		t.Errorf("a waived block's looks clash: %v", findings)
	}
}

// A look is in force until it is passed: with so many passes there, so many are asked for.
func TestCellAt(t *testing.T) {
	c := Cell{Repeats: 3, Launches: 3, Looks: []int{3, 5, 8}}
	want := map[int]int{0: 3, 1: 3, 3: 3, 4: 5, 5: 5, 6: 8, 7: 8, 8: 8, 9: 8}
	got := map[int]int{}
	for n := range want {
		got[n] = c.At(n).Repeats
		if x := c.At(n); x.Launches != x.Repeats || len(x.Looks) != 3 || x.At(n).Repeats != x.Repeats {
			t.Errorf("at %d passes: %+v", n, x)
		}
	}
	if !maps.Equal(got, want) || c.Most() != 8 {
		t.Errorf("asked for %v, want %v; at most %d", got, want, c.Most())
	}
	plain := Cell{Repeats: 4, Launches: 2}
	if x := plain.At(7); x.Repeats != 4 || x.Launches != 2 || plain.Most() != 4 {
		t.Errorf("without looks: %+v", x)
	}
}

// Looks of a cell rise, the first is what is asked for before any pass, and none is below a plain count.
func TestLooksProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		looks := slices.Sorted(maps.Keys(rapid.MapOfN(rapid.IntRange(2, 20), rapid.Just(true), 2, 6).Draw(t, "looks")))
		repeats := rapid.IntRange(1, 25).Draw(t, "repeats")
		words := strings.ReplaceAll(fmt.Sprint(looks), " ", ", ")
		p, findings := loadText([]byte(bench + fmt.Sprintf("matrix {\n cards = [card.b]\n looks = %s\n}\nmatrix {\n cards = [card.b]\n repeats = %d\n}\n", words, repeats)))
		if findings.HasErrors() {
			t.Fatalf("looks %s: %v", words, findings)
		}
		for _, c := range p.Cells {
			if c.Repeats != max(repeats, looks[0]) || c.Most() != max(repeats, looks[len(looks)-1]) {
				t.Fatalf("looks %s, repeats %d: %+v", words, repeats, c)
			}
			if len(c.Looks) == 1 || !rising(c.Looks) || len(c.Looks) > 0 && c.Looks[0] != c.Repeats {
				t.Fatalf("looks %s, repeats %d: %+v", words, repeats, c)
			}
		}
	})
}

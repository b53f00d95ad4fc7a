package match

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/plan"
)

// TestRealFolder reads the names of captures made on a real bench, which lie beside the repository on the machines where it is
// made. What is expected was counted by hand from its listing: two cards; five cells a card of three passes, sensor logs beside.
func TestRealFolder(t *testing.T) {
	root, err := os.OpenRoot(filepath.Join("..", "..", "..", "shared", "captures"))
	if err != nil {
		t.Skip("the real captures are not here:", err)
	}
	defer root.Close()
	p := example(byPath("{card}.{game}.{size}.r{repeat}.frames.csv"))
	stock := []plan.CardMode{{Name: "stock", Implied: true}}
	plain := []plan.Variant{{Name: "plain", Implied: true}}
	p.Cards = []plan.Card{{Name: "kestrel", Modes: stock}, {Name: "osprey", Modes: stock}}
	p.Games = []plan.Game{{Name: "fjord", Variants: plain}, {Name: "reactor", Variants: plain}, {Name: "bazaar", Variants: plain}}
	p.Cells = nil
	want := map[plan.Key]int{}
	for _, c := range p.Cards {
		for _, g := range p.Games {
			for _, r := range p.Resolutions {
				if g.Name == "bazaar" && r.Name == "qhd" {
					continue
				}
				k := plan.Key{Card: c.Name, Mode: "stock", Game: g.Name, Variant: "plain", Resolution: r.Name}
				p.Cells = append(p.Cells, plan.Cell{Key: k, Repeats: 3})
				want[k] = 3
			}
		}
	}
	found, list, err := Find(t.Context(), p, root)
	if err != nil || len(list) > 0 {
		t.Fatal(err, lines(list))
	}
	got := map[plan.Key]int{}
	for _, f := range found.Files {
		got[f.Key]++
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	var strays []string
	for _, s := range found.Strays {
		strays = append(strays, s.Path)
	}
	if diff := cmp.Diff([]string{"kestrel.heatsoak.frames.csv", "kestrel.reactor.2560x1440.disturbed.frames.csv", "kestrel.soak.frames.csv"}, strays); diff != "" {
		t.Error(diff)
	}
	if found.Other.Count != 34 { // a sensor log for each of 33 captures, and the README
		t.Error(found.Other)
	}
}

package history

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/bridge"
)

// Bridged is one card against another by way of cards that were measured with both. Differ are the circumstances that the joining cards
// were measured in anew, join by join: what they moved by takes that out. LeftOut counts the cells, by reason, that could not enter.
type Bridged struct {
	bridge.Result
	Metric  compute.Metric
	Cells   []Key // of card Of
	Differ  [][]Difference
	LeftOut map[string]int
	Spreads []compute.SessionSpread // of the chain's editions
}

// Bridge sets of against base, each a card with its mode, over all that points have. Only cells that hold enter, that nothing but the
// card sets the pace of, and that are of one definitions version.
func Bridge(points []Point, of, base string, m compute.Metric, margin compute.Margin) (Bridged, error) {
	if m.Scale == compute.Count || m.Scale == compute.None {
		return Bridged{}, fmt.Errorf("%s is not averaged over games, so there is nothing to bridge", m.Name)
	}
	b := Bridged{Metric: m, LeftOut: map[string]int{}}
	var names []string
	editions := map[string]*bridge.Edition{}
	at := map[string]map[string]map[bridge.Place]Point{} // by edition and card
	published := map[string]time.Time{}
	newest := 0
	for _, p := range points {
		newest = max(newest, p.definitions)
	}
	for _, p := range points {
		if why := p.keepsOut(newest); why != "" {
			b.LeftOut[why]++
			continue
		}
		name := p.Review + " " + p.Edition
		e := editions[name]
		if e == nil {
			e = &bridge.Edition{Name: name, Sessions: p.Spread, PriorDF: p.Stat.PriorDF, Cells: map[string]map[bridge.Place]bridge.Cell{}}
			editions[name], at[name] = e, map[string]map[bridge.Place]Point{}
			names, published[name] = append(names, name), p.Published
		}
		if e.Cells[p.CardMode()] == nil {
			e.Cells[p.CardMode()], at[name][p.CardMode()] = map[bridge.Place]bridge.Cell{}, map[bridge.Place]Point{}
		}
		place := bridge.Place{Game: p.Game, Settings: p.Variant + " " + p.Resolution + " " + p.Facts.signature()}
		e.Cells[p.CardMode()][place], at[name][p.CardMode()][place] = p.bridgeCell(), p
	}
	slices.SortFunc(names, func(x, y string) int {
		return cmp.Or(published[x].Compare(published[y]), strings.Compare(x, y))
	})
	var list []bridge.Edition
	for _, n := range names {
		list = append(list, *editions[n])
	}
	limit := margin.Points / 100
	if m.Scale == compute.Ratio {
		limit = math.Log1p(margin.Percent / 100)
	}
	r, err := bridge.Between(list, of, base, limit, m.HigherBetter)
	if err != nil {
		return b, err
	}
	b.Result = r
	b.Cells = cellsOf(r, at)
	for _, n := range r.Editions {
		b.Spreads = append(b.Spreads, editions[n].Sessions)
	}
	for _, j := range r.Joins {
		b.Differ = append(b.Differ, movedWith(r, j, at))
	}
	return b, nil
}

// keepsOut says why a point cannot enter a bridge, "" if it can.
func (p Point) keepsOut(newest int) string {
	switch {
	case p.definitions != newest:
		return "of other definitions"
	case !p.Holds():
		return p.State
	case !p.Stat.Centre.OK || !p.Stat.ShownVariance.OK:
		return "without a spread"
	}
	for _, f := range p.Stat.Flags {
		if slices.Contains([]string{"limited_elsewhere", "cap", "thin"}, string(f)) {
			return strings.ReplaceAll(string(f), "_", " ")
		}
	}
	return ""
}

func (p Point) bridgeCell() bridge.Cell {
	df := math.Inf(1)
	if p.Stat.DF.OK {
		df = p.Stat.DF.X
	}
	return bridge.Cell{Centre: p.Stat.Centre.X, SE: math.Sqrt(p.Stat.ShownVariance.X / float64(p.Stat.Launches)), DF: df, Launches: p.Stat.Launches,
		Borrowed: p.Stat.Borrowed}
}

// cellsOf are the cells of the first card that the chain has.
func cellsOf(r bridge.Result, at map[string]map[string]map[bridge.Place]Point) (out []Key) {
	for place, p := range at[r.Editions[0]][r.Of] {
		if r.Holds(place) {
			out = append(out, p.Key)
		}
	}
	slices.SortFunc(out, byKey)
	return out
}

// movedWith lists what of the bench differs between the two editions of a join, over the joining cards' cells that enter.
func movedWith(r bridge.Result, j bridge.Join, at map[string]map[string]map[bridge.Place]Point) (out []Difference) {
	for _, card := range j.Cards {
		for place, was := range at[j.From][card] {
			is, there := at[j.To][card][place]
			if !there || !r.Holds(place) {
				continue
			}
			for _, d := range differences(was.Facts, is.Facts, func(c circumstance) bool { return c.ofBench || c.ofOneCard }) {
				switch d.What {
				case "build":
					d.What = was.Game + " build"
				case "driver", "firmware", "sample", "mode":
					d.What = strings.Replace(card, ".", "·", 1) + " " + d.What
				}
				if !slices.Contains(out, d) {
					out = append(out, d)
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b Difference) int {
		return cmp.Or(strings.Compare(a.What, b.What), strings.Compare(a.Earlier, b.Earlier), strings.Compare(a.Later, b.Later))
	})
	return out
}

package schedule

import (
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan"
)

// PassCost is what more passes of a cell cost, each in a launch of its own: now, with the card on the rig, and after a swap from
// a card with the same driver, which adds swap, pre-heat and the first launch. Nothing is added for redo.
func PassCost(p *plan.Plan, k plan.Key, passes int) (now, afterSwap time.Duration) {
	launch, pass := LaunchCost(p, k)
	now = times(passes, plus(launch, pass))
	return now, plus(now, MountCost(p, k.Card, []plan.Key{k}))
}

// PassCostFrom is what more passes of a cell cost with the card named mounted on the rig: as PassCost, with a driver change
// where that card has another vendor or driver.
func PassCostFrom(p *plan.Plan, mounted string, k plan.Key, passes int) time.Duration {
	now, _ := PassCost(p, k, passes)
	if mounted == k.Card {
		return now
	}
	return plus(now, MountCost(p, mounted, []plan.Key{k}))
}

// LaunchCost is what one more start of a cell's game costs with the card on the rig, and what one more pass in a running game does:
// its length and getting back to the start of the scene.
func LaunchCost(p *plan.Plan, k plan.Key) (launch, pass time.Duration) {
	g, _ := p.Game(k.Game)
	return g.Takes.Startup, plus(PassLength(g), g.Takes.Reset)
}

// MountCost is what mounting the card of the cells costs before their first passes: swap, a driver change where the card that was
// on the rig has another vendor or driver, pre-heat, and the first launch of each of the games. It may be the same card, taken out
// and put back in. The cells are of one card.
func MountCost(p *plan.Plan, mounted string, cells []plan.Key) time.Duration {
	if len(cells) == 0 {
		return 0
	}
	t := p.Review.Takes
	cost := plus(t.Swap, t.Preheat)
	from, known := p.Card(mounted)
	to, _ := p.Card(cells[0].Card)
	if known && !sameDriver(from, to) {
		cost = plus(cost, t.DriverChange)
	}
	var started []string
	for _, k := range cells {
		if !slices.Contains(started, k.Game) {
			started = append(started, k.Game)
			g, _ := p.Game(k.Game)
			cost = plus(cost, g.Takes.FirstLaunch)
		}
	}
	return cost
}

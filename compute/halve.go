package compute

import (
	"fmt"
	"math"
)

const (
	mostSessions = 16 // of a side, looked at, for each there is now: from 4 on the sessions alone are no hindrance
	mostPasses   = 16 // of a launch, looked at
)

// Design is how each side of a figure is measured: Sessions times mounted, Launches of each cell in all, spread evenly over the
// sessions, Passes in each launch.
type Design struct{ Sessions, Launches, Passes int }

// Halving is a design that halves a standard error, the error it leaves, and what it takes at the bench beyond what was done, in
// minutes. Without one OK is false and Why says why.
type Halving struct {
	Design
	SE      Value
	Minutes float64
	OK      bool
	Why     string
}

// halve looks for the cheapest design with at most so many sessions a side, and at least the launches there are, that leaves half
// the standard error, a quarter of its square. Of two that cost the same it is the one with fewer sessions, then fewer passes a
// launch.
func (e squaredError) halve(m Metric, sessions int) Halving {
	target := float64(e.now() / 4 * (1 + 1e-9))
	best := Halving{Why: fmt.Sprintf("not reachable with %d launches", mostRepeats)}
	if e.session(sessions) >= target {
		best.Why = "not reachable with this session spread"
	}
	fewest, most := 1, mostPasses
	if e.together != "" {
		fewest, most = e.passes(), e.passes() // what another number of passes in a launch brings is not known
	}
	for s := 1; s <= sessions && (s == 1 || e.u2 > 0); s++ {
		for n := fewest; n <= most; n++ {
			k, ok := e.leastLaunches(s, n, target)
			if !ok {
				continue
			}
			d := Design{s, k, n}
			if minutes := e.minutes(d); !best.OK || minutes < best.Minutes {
				best = Halving{Design: d, Minutes: minutes, OK: true, SE: m.shown(math.Sqrt(e.under(d)))}
			}
		}
	}
	return best
}

// passes is how many passes a launch has now, at most.
func (e squaredError) passes() int {
	n := 1.0
	for _, p := range e.parts {
		n = max(n, math.Ceil(p.n/p.k))
	}
	return int(n)
}

// under is the squared error that a design leaves.
func (e squaredError) under(d Design) float64 {
	var parts []float64
	for _, p := range e.parts {
		parts = append(parts, (p.launch+p.pass/float64(d.Passes))/float64(d.Launches))
	}
	return orderFree(append(parts, e.session(d.Sessions)))
}

// leastLaunches is the least number of launches, a multiple of the sessions and not fewer than there are, that reaches the target.
func (e squaredError) leastLaunches(sessions, passes int, target float64) (int, bool) {
	room := target - e.session(sessions)
	one := e.under(Design{sessions, 1, passes}) - e.session(sessions)
	if room <= 0 || one/room > mostRepeats {
		return 0, false
	}
	least := 1.0
	for _, p := range e.parts {
		least = max(least, p.k)
	}
	k := max(1, int(max(least, math.Floor(one/room)))/sessions) * sessions
	for float64(k) < least || e.under(Design{sessions, k, passes}) > target {
		k += sessions
	}
	return k, k <= mostRepeats
}

// minutes is what a design takes beyond what was done: starts of the game, passes, mountings.
func (e squaredError) minutes(d Design) float64 {
	var minutes []float64
	k := float64(d.Launches)
	for _, p := range e.parts {
		minutes = append(minutes, float64(max(0, k-p.k)*p.startMinutes))
		minutes = append(minutes, float64(max(0, float64(k*float64(d.Passes))-p.n)*p.minutes))
	}
	for _, side := range e.sides {
		minutes = append(minutes, float64(max(0, float64(d.Sessions-side.Sessions))*side.Mount))
	}
	return orderFree(minutes)
}

// Package schedule says how long a review takes at the bench and in which order to run it. Every card is mounted once; between
// mountings a change of driver costs most, so cards of one vendor and driver follow each other, and within that the card that
// leaves first is on top. The estimate is a sum of named parts, each with its count, so that a reviewer who disagrees with one
// sees which of the plan's `takes` to change; parts that need hands are kept apart from those that run alone. Searching all
// orders for the best one was rejected: grouping reaches the fewest changes there can be, and people can follow it.
package schedule

import (
	"math"
	"time"

	"github.com/rigslate/rigslate/plan"
)

// Schedule is the whole review, mounting by mounting.
type Schedule struct {
	Order                      []Mounting
	Passes, Soaks              int
	Parts                      []Part // of all mountings, summed by name; parts that take no time are left out
	HandsOn, Unattended, Total time.Duration
}

// Mounting is one card on the rig, from putting it in to its last pass.
type Mounting struct {
	Card                       string
	DriverChange               bool // another vendor or driver than the mounting before
	Cells, Passes, Launches    int
	Soaks                      int // sweeps apart
	Parts                      []Part
	HandsOn, Unattended, Total time.Duration
}

// Part is one kind of work. Each is what one takes, 0 where they differ.
type Part struct {
	Name    string
	Count   int
	Each    time.Duration
	Total   time.Duration
	HandsOn bool
}

// The kinds of work, in the order they are shown. Redo is a share of the time of passes with their resets.
const (
	swap = iota
	driverChange
	preheat
	firstLaunch
	startup
	pass
	passByHand
	reset
	redo
	redoByHand
	probes
	soak
	cooling
	sweep
	kinds
)

var names = [kinds]struct {
	name    string
	handsOn bool
}{
	swap:         {"card swap", true},
	driverChange: {"driver change", true},
	preheat:      {"pre-heat", false},
	firstLaunch:  {"first launch of a game on a card", false},
	startup:      {"start-up", false},
	pass:         {"passes", false},
	passByHand:   {"passes driven by hand", true},
	reset:        {"scene reset", true},
	redo:         {"redo", false},
	redoByHand:   {"redo by hand", true},
	probes:       {"probes fixed and taken off", true},
	soak:         {"soaks", false},
	cooling:      {"cooling after soaks", false},
	sweep:        {"fan sweeps", true},
}

// work sums the parts of one mounting or of all.
type work [kinds]Part

func (w *work) add(kind, count int, each time.Duration) {
	w.join(kind, Part{Count: count, Each: each, Total: times(count, each)})
}

func (w *work) join(kind int, p Part) {
	have := &w[kind]
	if have.Count > 0 && have.Each != p.Each {
		p.Each = 0
	}
	have.Each = p.Each
	have.Count += p.Count
	have.Total = plus(have.Total, p.Total)
}

// parts lists what takes time, and sums it by hands.
func (w *work) parts() (list []Part, handsOn, unattended time.Duration) {
	for k, p := range w {
		if p.Total == 0 {
			continue
		}
		p.Name, p.HandsOn = names[k].name, names[k].handsOn
		list = append(list, p)
		if p.HandsOn {
			handsOn = plus(handsOn, p.Total)
		} else {
			unattended = plus(unattended, p.Total)
		}
	}
	return list, handsOn, unattended
}

// Estimate gives the order and the time of the whole plan up to the first look, waived cells left out, with soaks and sweeps. Each mounting costs a card
// swap, the first one too, since something else is on the rig before; which driver that needed is not known, so the first costs no
// driver change.
func Estimate(p *plan.Plan) Schedule {
	cells := map[string][]plan.Cell{}
	for _, c := range p.Cells {
		if c.Waived == "" {
			cells[c.Card] = append(cells[c.Card], c)
		}
	}
	var s Schedule
	var all work
	cards := order(p, func(card string) bool { return len(cells[card]) > 0 || soaked(p, card) })
	for i, card := range cards {
		m := Mounting{Card: card.Name, DriverChange: i > 0 && !sameDriver(cards[i-1], card)}
		w := mounting(p, &m, cells[card.Name])
		m.Parts, m.HandsOn, m.Unattended = w.parts()
		m.Total = plus(m.HandsOn, m.Unattended)
		s.Order = append(s.Order, m)
		s.Passes += m.Passes
		s.Soaks += m.Soaks
		for k, part := range w {
			if part.Count > 0 || part.Total > 0 {
				all.join(k, part)
			}
		}
	}
	s.Parts, s.HandsOn, s.Unattended = all.parts()
	s.Total = plus(s.HandsOn, s.Unattended)
	return s
}

// EveryLook is the estimate if every cell came to its last declared look while its card is mounted; ok is false where no cell is
// looked at more than once.
func EveryLook(p *plan.Plan) (s Schedule, ok bool) {
	whole := *p
	whole.Cells = make([]plan.Cell, len(p.Cells))
	for i, c := range p.Cells {
		ok = ok || c.Waived == "" && len(c.Looks) > 0
		whole.Cells[i] = c.At(c.Most())
	}
	return Estimate(&whole), ok
}

func mounting(p *plan.Plan, m *Mounting, cells []plan.Cell) work {
	var w work
	t := p.Review.Takes
	w.add(swap, 1, t.Swap)
	if m.DriverChange {
		w.add(driverChange, 1, t.DriverChange)
	}
	w.add(preheat, 1, t.Preheat)
	started := map[string]bool{}
	for _, c := range cells {
		g, _ := p.Game(c.Game)
		if !started[c.Game] {
			started[c.Game] = true
			w.add(firstLaunch, 1, g.Takes.FirstLaunch)
		}
		w.add(startup, c.Launches, g.Takes.Startup)
		w.add(reset, c.Repeats, g.Takes.Reset)
		again, alone := redo, pass
		if g.Drive == plan.ByHand {
			again, alone = redoByHand, passByHand
		}
		length := PassLength(g)
		w.add(alone, c.Repeats, length)
		w.again(again, c.Repeats, g.Takes.Redo, length)
		w.again(redoByHand, c.Repeats, g.Takes.Redo, g.Takes.Reset)
		m.Cells++
		m.Passes += c.Repeats
		m.Launches += c.Launches
	}
	w.soaks(p, m, started)
	return w
}

// again adds the share of a work that is done twice. It has no count: a tenth of three passes is no whole pass.
func (w *work) again(kind, count int, share float64, each time.Duration) {
	w[kind].Total = plus(w[kind].Total, scale(times(count, each), share))
}

// PassLength is how long a capture runs: warm-up and kept length; for a game that keeps all of it the least length that counts,
// and plan.DefaultPassLength where none is stated.
func PassLength(g plan.Game) time.Duration {
	switch {
	case !g.Keep.All:
		return plus(g.Keep.Warmup, g.Keep.Length)
	case g.Accept.MinLength > 0:
		return g.Accept.MinLength
	}
	return plan.DefaultPassLength
}

func sameDriver(a, b plan.Card) bool { return a.Vendor == b.Vendor && a.Driver == b.Driver }

// Sums stop at the longest duration instead of turning negative.

func plus(a, b time.Duration) time.Duration {
	if a > math.MaxInt64-b {
		return math.MaxInt64
	}
	return a + b
}

func times(n int, d time.Duration) time.Duration {
	if d > 0 && time.Duration(n) > math.MaxInt64/d {
		return math.MaxInt64
	}
	return time.Duration(n) * d
}

func scale(d time.Duration, share float64) time.Duration {
	if x := math.Round(float64(d) * share); x < math.MaxInt64 {
		return time.Duration(x)
	}
	return math.MaxInt64
}

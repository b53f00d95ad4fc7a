package plan

import (
	"fmt"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Sweep is a protocol of its own: under the conditions of a soak the fan is held at one speed after another, each time until the card
// has settled, and readings say what came of it.
type Sweep struct {
	Name     string
	Soak     string // whose load, room, probes and noise it has
	Modes    []Mode // those of the soak unless stated
	StepsPct []float64
	Hold     time.Duration // at each step
	Place    finding.Place
}

// Sweep returns the sweep of that name; ok is false if there is none.
func (p *Plan) Sweep(name string) (s Sweep, ok bool) {
	for _, s := range p.Sweeps {
		if s.Name == name {
			return s, true
		}
	}
	return Sweep{}, false
}

func (l *loader) sweep(b *block) {
	s := Sweep{Name: b.name, StepsPct: b.numbersOrOne("steps_pct", 0, 100), Place: b.at()}
	if r, ok := b.one("soak", "soak"); ok {
		s.Soak = r.name
		soak, _ := l.plan.Soak(r.name)
		s.Modes = b.modesOf(soak)
	}
	hold, ok := b.duration("hold", longest)
	if s.Hold = hold; ok && hold == 0 {
		l.error(b.rangeOf("hold"), "Duration is impossible", "Nothing settles in no time.", `Write how long each step is held, such as "5m".`)
	}
	for i := 1; i < len(s.StepsPct); i++ {
		if s.StepsPct[i] <= s.StepsPct[i-1] {
			l.error(b.rangeOf("steps_pct"), "Steps do not rise", fmt.Sprintf("%s comes after %s.", formatNumber(s.StepsPct[i]), formatNumber(s.StepsPct[i-1])),
				"Write each larger than the one before, such as steps_pct = [30, 45, 60].")
			break
		}
	}
	if !b.again {
		l.plan.Sweeps = append(l.plan.Sweeps, s)
	}
}

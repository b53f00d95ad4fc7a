package schedule

import (
	"slices"

	"github.com/rigslate/rigslate/plan"
)

// soaked reports whether a card has soaks or sweeps to do.
func soaked(p *plan.Plan, card string) bool {
	is := func(m plan.Mode) bool { return m.Card == card }
	return slices.ContainsFunc(p.Soaks, func(s plan.Soak) bool { return slices.ContainsFunc(s.Modes, is) }) ||
		slices.ContainsFunc(p.Sweeps, func(s plan.Sweep) bool { return slices.ContainsFunc(s.Modes, is) })
}

// soaks adds what a mounting's soaks and sweeps take. Each starts its load; settle is the end of a soak's length and adds nothing.
// Thermocouples are fixed once and serve all soaks of the mounting.
func (w *work) soaks(p *plan.Plan, m *Mounting, started map[string]bool) {
	t := p.Review.Takes
	wired := false
	start := func(s plan.Soak, mode plan.Mode, starts int) {
		for _, probe := range s.Probes {
			wired = wired || probe.Thermocouple != nil && slices.Contains(probe.Modes, mode)
		}
		if s.Game == (plan.GameVariant{}) {
			return
		}
		g, _ := p.Game(s.Game.Game)
		if !started[g.Name] {
			started[g.Name] = true
			w.add(firstLaunch, 1, g.Takes.FirstLaunch)
		}
		w.add(startup, starts, g.Takes.Startup)
	}
	for _, s := range p.Soaks {
		for _, mode := range s.Modes {
			if mode.Card == m.Card {
				start(s, mode, s.Repeats)
				w.add(soak, s.Repeats, plus(s.LeadIn, s.Length))
				if s.Cooling > 0 {
					w.add(cooling, s.Repeats, s.Cooling)
				}
				m.Soaks += s.Repeats
			}
		}
	}
	for _, s := range p.Sweeps {
		of, _ := p.Soak(s.Soak)
		for _, mode := range s.Modes {
			if mode.Card == m.Card {
				start(of, mode, 1)
				w.add(sweep, len(s.StepsPct), s.Hold)
			}
		}
	}
	if wired {
		w.add(probes, 1, t.Probes)
	}
}

package schedule

import (
	"slices"
	"time"

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

// SoakCost is what one soak takes with the card on the rig and its probes fixed: starting the load, what is logged before it, its length, and
// cooling.
func SoakCost(p *plan.Plan, run plan.SoakRun) time.Duration {
	s, _ := p.Soak(run.Soak)
	g, _ := p.Game(s.Game.Game)
	return plus(plus(g.Takes.Startup, s.LeadIn), plus(s.Length, s.Cooling))
}

// ProbesCost is what fixing thermocouples to a card and taking them off takes, once for all of its soaks; 0 where none of them has one.
func ProbesCost(p *plan.Plan, runs []plan.SoakRun) time.Duration {
	for _, run := range runs {
		s, _ := p.Soak(run.Soak)
		for _, probe := range s.Probes {
			if probe.Thermocouple != nil && slices.Contains(probe.Modes, run.Mode) {
				return p.Review.Takes.Probes
			}
		}
	}
	return 0
}

// SweepCost is what so many steps of a fan sweep take with the card on the rig and its probes fixed: starting the load once, and holding each.
func SweepCost(p *plan.Plan, s plan.Sweep, steps int) time.Duration {
	of, _ := p.Soak(s.Soak)
	g, _ := p.Game(of.Game.Game)
	return plus(g.Takes.Startup, times(steps, s.Hold))
}

package review

import (
	"cmp"
	"fmt"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan"
)

// sensor is the one that a claim on a soak names.
func (c Claim) sensor() Sensor {
	return Sensor{Probe: c.Probe, Group: c.ProbeGroup, At: c.At, Channel: c.Channel}
}

// soakClaim sets a claim on a soak's figure beside its data: the soaks of a card and mode stand where a cell's launches do.
func (r *Review) soakClaim(c *Claim) (f compute.ClaimFigures, pairs []compute.Pair, open string) {
	m := c.Figure
	a := r.soakSideOf(c.Of, c.Soak, m, c.sensor())
	pair := compute.Pair{Game: c.Soak, Of: a.stat}
	var measured compute.Uncertainty
	sides := []soakSide{a}
	if c.Against == nil {
		measured = leastCertain(a)
	} else {
		b := r.soakSideOf(c.Base, c.Soak, m, c.sensor())
		pair.Base = b.stat
		sides = append(sides, b)
		measured, open = measuredApart(a, b, m)
		c.Notes = r.benchNotes(a, b, m, measured)
	}
	names := []plan.Mode{c.Of, c.Base}
	for i, s := range sides {
		switch {
		case !s.stat.Centre.OK:
			return compute.Claim(m, hopeOf(c.Claim), c.Against == nil, nil, compute.SessionSpread{}, r.soakMargin(m)), nil,
				fmt.Sprintf("%s has no %s: %s", names[i], m.Title, cmp.Or(s.stat.Why, s.stat.Centre.Why))
		case !s.holds && open == "":
			open = fmt.Sprintf("a soak of %s is %s", names[i], s.worst())
		}
	}
	if why := measured.Standard.Why; open == "" && why != "" && why != uncalibrated {
		open = "its uncertainty cannot be had: " + why
	}
	if c.Against == nil && measured.Standard.Why == uncalibrated {
		c.Notes = append(c.Notes, "as the sensor reports it: its calibration is not stated")
	}
	pairs = []compute.Pair{pair}
	u := r.soakSpread(m).Instruments(m, measured, c.Against == nil)
	f = compute.Claim(m, hopeOf(c.Claim), c.Against == nil, pairs, u, r.soakMargin(m))
	f.Cells, f.Games = 0, 0 // it rests on soaks
	return f, pairs, open
}

// leastCertain is the largest uncertainty of a figure's soaks; where one has none, its reason.
func leastCertain(s soakSide) (u compute.Uncertainty) {
	u = compute.NoUncertainty("not measured")
	for i, f := range s.figures {
		if i == 0 || !f.U.Standard.OK || f.U.Standard.X > u.Standard.X {
			u = f.U
		}
		if !u.Standard.OK {
			return u
		}
	}
	return u
}

// worst is the state that keeps a side from being ready.
func (s soakSide) worst() SoakState {
	for _, x := range s.soaks {
		if x.State != SoakReady {
			return x.State
		}
	}
	return SoakAbsent
}

// soakSubject is who is compared in a claim on a soak, and where.
func (r *Review) soakSubject(c *Claim) speech.Subject {
	s := speech.Subject{Metric: c.Figure, Of: r.nameOf(c.Of), Part: c.Probe, MarginPct: r.soakMargin(c.Figure).Percent}
	if c.ProbeGroup != "" {
		s.Part = "hottest of the " + c.ProbeGroup
	}
	protocol, _ := r.Plan.Soak(c.Soak)
	s.Where = screen.Duration(protocol.Length) + " of "
	switch game, ok := r.Plan.Game(protocol.Game.Game); {
	case ok:
		s.Where += cmp.Or(game.Title, game.Name)
		if protocol.Resolution != "" {
			s.Where += " at " + protocol.Resolution
		}
	case protocol.Note != "" && protocol.Load == plan.OtherLoad:
		s.Where += protocol.Note
	default:
		s.Where += string(protocol.Load)
	}
	return s
}

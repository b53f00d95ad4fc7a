package review

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// controlled is how a session stands by one of the controls passed in it.
type controlled struct {
	text string
	out  bool
}

// checkControls holds each session against the others by its control passes. A session is one mounting of the card, so where its
// control is out of limits all its passes are doubtful, those of the card's other modes too.
func (r *Review) checkControls() {
	r.controls = map[string][]controlled{}
	m, _ := compute.MetricByName(headline)
	var controls []compute.Control
	for _, c := range r.Plan.Controls {
		game, _ := r.Plan.Game(c.Cell.Game)
		controls = append(controls, compute.Control{Samples: r.controlSamples(m, c.Cell), LeastPct: game.Accept.MaxSpread / 2})
	}
	expected := compute.ExpectedNoise(m, r.Plan.Statistics.ExpectedSpreadPct, 0)
	u := r.sessions[headline]
	if u.Source == compute.OwnSessions {
		u = r.statedSpread(m) // that from this review's own sessions has the one in it that may be off
	}
	for i, k := range compute.CheckControls(m, controls, u, r.prior, expected) {
		c := r.Plan.Controls[i]
		switch {
		case k.Why != "":
			r.Findings.Add(finding.Note, c.Place, "Control tells nothing yet", fmt.Sprintf("%s: %s.", c.Cell, k.Why),
				"Pass it again whenever the card is mounted, and state the sessions in a bench log.")
		case k.Apart:
			r.controlsApart(c, k)
		}
		for j, s := range k.Sessions {
			text := r.controlText(c, k, j)
			r.controls[s.Name] = append(r.controls[s.Name], controlled{text, s.Out})
			if s.Out {
				r.doubtSession(c, s.Name, text)
			}
		}
	}
}

// controlSamples are the passes of a control that speak of their session: a pass that something else is wrong with does not. Being
// suspect is what a pass of a session that is off would be.
func (r *Review) controlSamples(m compute.Metric, k plan.Key) (out []compute.Sample) {
	game, _ := r.Plan.Game(k.Game)
	c := r.cell(k)
	samples := r.samples(m, c)
	for i, p := range r.PassesOf(c, Used) {
		against := slices.Concat(passDoubts(game, p), p.Doubts)
		if len(p.Stale) == 0 && !slices.ContainsFunc(against, func(d coverage.Reason) bool { return d.Kind != kindSuspect }) {
			out = append(out, samples[i])
		}
	}
	return out
}

// controlText says how session number at stands by a control.
func (r *Review) controlText(c plan.Control, k compute.ControlCheck, at int) string {
	name := "control"
	if slices.ContainsFunc(r.Plan.Controls, func(o plan.Control) bool { return o.Cell != c.Cell && o.Cell.Card == c.Cell.Card }) {
		name += " " + c.Cell.CardMode().String() + " " + c.Cell.GameVariant().String() + " " + c.Cell.Resolution
	}
	var others []string
	for j, s := range k.Sessions {
		if j != at {
			others = append(others, sessionLabel(c, s.Name))
		}
	}
	s := k.Sessions[at]
	side, those := "above", "that of session "
	if s.FromOthersPct < 0 {
		side = "below"
	}
	if len(others) > 1 {
		those = "those of sessions "
	}
	return fmt.Sprintf("%s of session %s is %.1f %% %s %s (limit %.1f %%)", name, sessionLabel(c, s.Name), math.Abs(s.FromOthersPct), side,
		those+screen.List(others), math.Abs(s.LimitPct))
}

// sessionLabel is a session as the bench log names it: the card is told by what stands beside it.
func sessionLabel(c plan.Control, name string) string {
	return strings.TrimPrefix(name, c.Cell.Card+"/")
}

// doubtSession makes every pass of a session doubtful. That the control's own passes are suspect is the same news in other words.
func (r *Review) doubtSession(c plan.Control, session, text string) {
	for i := range r.Passes {
		p := &r.Passes[i]
		if name, assumed := p.session(); assumed || name != session || p.Status != Used {
			continue
		}
		if p.Key == c.Cell {
			p.Doubts = slices.DeleteFunc(p.Doubts, func(d coverage.Reason) bool { return d.Kind == kindSuspect })
		}
		p.doubt(kindControl, "%s", text)
	}
}

// controlsApart says of two sessions that their controls differ: it stands beside the numbers of both, and makes neither doubtful,
// since nothing tells which of them is off.
func (r *Review) controlsApart(c plan.Control, k compute.ControlCheck) {
	text := r.controlText(c, k, 0)
	r.Findings.Add(finding.Warning, c.Place, "Two sessions differ by their control",
		fmt.Sprintf("%s: %s; with two sessions nothing tells which is off.", c.Cell, text), "Pass the control in a third session.")
	for n, cell := range r.Cells {
		if slices.ContainsFunc(r.PassesOf(cell, Used), func(p Pass) bool {
			name, assumed := p.session()
			return !assumed && (name == k.Sessions[0].Name || name == k.Sessions[1].Name)
		}) {
			r.flag(n, flagControl, "that%s, and with two sessions nothing tells which is off", strings.TrimPrefix(text, "control"))
		}
	}
}

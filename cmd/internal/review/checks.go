package review

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/coverage"
)

// Check is one thing a cell or one of its passes was held against, with the figure.
type Check struct {
	Name    string `json:"check"`
	OK      bool   `json:"ok"`
	Skipped bool   `json:"skipped"` // nothing to check it on
	Text    string `json:"text"`
}

// Checks lists every check of a cell, those it passed too: a reviewer who is told that a cell is ready may ask why.
func (r *Review) Checks(c Cell) []Check {
	game, _ := r.Plan.Game(c.Cell.Game)
	used := r.PassesOf(c, Used)
	out := []Check{{Name: "passes", OK: len(used) >= c.Cell.Repeats, Text: fmt.Sprintf("%d of %d", len(used), c.Cell.Repeats)}}
	if c.State == coverage.Waived || c.State == coverage.Failed {
		out[0].Skipped, out[0].Text = true, out[0].Text+", and none is asked for"
	}
	for _, p := range used {
		kept := float64(p.Figures.DurationNS) / 1e9
		out = append(out,
			Check{Name: fmt.Sprintf("pass %d length", p.Repeat), OK: p.Figures.Frames > 0 && kept >= game.MinKept().Seconds(),
				Text: fmt.Sprintf("%.1f s kept, at least %.1f s needed", kept, game.MinKept().Seconds())},
			Check{Name: fmt.Sprintf("pass %d lines", p.Repeat), OK: p.BadLines <= game.Accept.MaxBadLines,
				Text: fmt.Sprintf("%d bad lines, at most %d accepted", p.BadLines, game.Accept.MaxBadLines)})
		if len(p.Stale) > 0 {
			out = append(out, failed(fmt.Sprintf("pass %d circumstances", p.Repeat), p.Stale))
		} else {
			out = append(out, Check{Name: fmt.Sprintf("pass %d circumstances", p.Repeat), OK: true, Text: "as the plan states them"})
		}
		if against := slices.DeleteFunc(slices.Clone(p.Doubts), func(d coverage.Reason) bool { return d.Kind == kindControl || d.Kind == kindStartTemp }); len(against) > 0 {
			out = append(out, failed(fmt.Sprintf("pass %d beside others", p.Repeat), against))
		} else {
			out = append(out, beside(p))
		}
		if k, ok := startCheck(p); ok {
			out = append(out, k)
		}
	}
	out = append(out, r.sessionChecks(used)...)
	return append(out, r.spreadCheck(c), capCheck(c))
}

// sessionChecks says how the sessions of passes stand by their controls, where they have any.
func (r *Review) sessionChecks(used []Pass) (out []Check) {
	seen := map[string]bool{}
	for _, p := range used {
		session, assumed := p.session()
		if assumed || seen[session] {
			continue
		}
		seen[session] = true
		for _, c := range r.controls[session] {
			out = append(out, Check{Name: "session " + p.Facts.Session, OK: !c.out, Text: c.text})
		}
	}
	return out
}

// beside says how a pass compares with the others at the same place of the scene.
func beside(p Pass) Check {
	k := Check{Name: fmt.Sprintf("pass %d beside others", p.Repeat), OK: true, Text: "no stretch slower than in the other passes"}
	switch {
	case p.Off != "":
		k.Skipped, k.Text = true, p.Off
	case p.DriftPct.OK:
		k.Text = fmt.Sprintf("drift %s %%, ", screen.Signed(p.DriftPct.X, 1)) + k.Text
	default:
		k.Text += "; no drift looked for, " + p.DriftPct.Why
	}
	return k
}

func failed(name string, why []coverage.Reason) Check {
	k := Check{Name: name}
	for i, w := range why {
		if i > 0 {
			k.Text += "; "
		}
		k.Text += w.Text
	}
	return k
}

func (r *Review) spreadCheck(c Cell) Check {
	k := Check{Name: "spread of the mean"}
	game, _ := r.Plan.Game(c.Cell.Game)
	s, ok := c.Stat(headline)
	if !ok || !s.SpreadPct.OK {
		k.Skipped, k.Text = true, cmp.Or(s.SpreadPct.Why, "no pass")
		return k
	}
	limit := compute.SpreadLimit(game.Accept.MaxSpread, s.N)
	k.OK = s.SpreadPct.X <= limit
	k.Text = fmt.Sprintf("%.2f %%, at most %.2f %% for %d passes", s.SpreadPct.X, limit, s.N)
	return k
}

// capCheck repeats what checkCaps found.
func capCheck(c Cell) Check {
	k := Check{Name: "frame cap", OK: true, Text: "none"}
	for _, w := range c.Why {
		if w.Kind == kindCap {
			k.OK, k.Text = false, w.Text
		}
	}
	for _, f := range c.Flags {
		if f.Word == compute.FlagCap || f.Word == compute.FlagCeiling {
			k.Text = f.Text
		}
	}
	if s, ok := c.Stat(headline); !ok || s.N == 0 {
		k.Skipped, k.Text = true, "no pass"
	}
	return k
}

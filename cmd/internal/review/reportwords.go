package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan"
)

// words are what a report says beside the tables.
func (r *Review) words(o Options) report.Words {
	p := r.Plan
	w := report.Words{Review: p.Review.Name, Title: p.Review.Title, Licence: p.Review.Licence, Rig: p.Review.Rig, Baseline: report.Mode(p.Review.Baseline), Warnings: r.warnings(),
		Statistics: report.StatisticsWords{Quantile: p.Statistics.Quantile, Lows: p.Statistics.Lows, MarginPct: p.Statistics.MarginPct,
			MarginK: p.Statistics.MarginK, MarginDB: p.Statistics.MarginDB}}
	if len(p.Hazards()) > 0 {
		w.Cautions = screen.Cautions
	}
	for _, rig := range p.Rigs {
		if rig.Name == p.Review.Rig {
			w.RigParts = parts(rig.Fixed)
		}
	}
	for _, c := range p.Cards {
		for _, m := range c.Modes {
			w.Modes = append(w.Modes, report.ModeWords{Mode: report.Mode{Card: c.Name, Mode: m.Name}, Title: cmp.Or(c.Title, c.Name), Vendor: c.Vendor,
				Driver: c.Driver, Raised: len(m.Raises) > 0, Alone: len(c.Modes) == 1})
		}
	}
	for _, g := range p.Games {
		for _, v := range g.Variants {
			w.Games = append(w.Games, report.GameWords{Game: g.Name, Variant: v.Name, Title: cmp.Or(g.Title, g.Name), Group: v.Group, Build: g.Build,
				Scene: g.Scene, Drive: string(g.Drive), Settings: parts(v.Settings), Alone: len(g.Variants) == 1})
		}
	}
	for _, s := range p.Resolutions {
		w.Resolutions = append(w.Resolutions, report.SizeWords{Name: s.Name, Width: s.Width, Height: s.Height})
	}
	for _, c := range r.Cells {
		x := cellWords(c)
		if l, ok := r.lent[c.Cell.Key]; ok {
			from, to := l.days()
			x.Reused = &report.ReusedWords{Review: l.edition.Review, From: from, To: to}
		}
		w.Cells = append(w.Cells, x)
	}
	for _, s := range r.Summaries {
		for _, x := range s.LeftOut {
			w.LeftOut = append(w.LeftOut, report.LeftOutWords{Key: keyWords(x.Cell), Group: s.Group, Metric: s.Metric.Name, Why: x.Why, By: figure(x.By)})
		}
	}
	for _, c := range r.Claims {
		w.Claims = append(w.Claims, claimWords(c))
	}
	for _, x := range r.Passes {
		if x.Status != Used {
			why := x.StatusReason
			if why == "" && x.Err != nil {
				why = x.Err.Error()
			}
			w.Aside = append(w.Aside, report.AsideWords{Key: keyWords(x.Key), Repeat: x.Repeat, Path: x.File.Path, Status: string(x.Status), Reason: why})
		}
	}
	for _, e := range r.Elsewhere {
		m, _ := compute.MetricByName(e.Metric)
		w.Elsewhere = append(w.Elsewhere, report.ElsewhereWords{Name: "session spread of " + e.Metric, Value: e.Spread.Shown(m)})
	}
	w.Entries = slices.Concat(soakEntries(), againstEntries(), sensedEntries(), flagEntries(), statusEntries())
	r.soakWords(&w)
	w.Look = r.lookWords()
	w.Calibration = r.calibration(o)
	w.Discretion = r.discretion()
	return w
}

func parts(ps []plan.Pair) (out []report.Part) {
	for _, p := range ps {
		out = append(out, report.Part(p))
	}
	return out
}

func keyWords(k plan.Key) report.Key {
	return report.Key{Mode: report.Mode(k.CardMode()), Game: k.Game, Variant: k.Variant, Resolution: k.Resolution}
}

func cellWords(c Cell) report.CellWords {
	w := report.CellWords{Key: keyWords(c.Cell.Key), State: c.State.String(), Passes: c.Judgement.Passes, Of: c.Cell.Repeats}
	for _, reason := range c.Why {
		text := reason.Text
		if reason.Pass > 0 {
			text = fmt.Sprintf("pass %d: %s", reason.Pass, text)
		}
		w.Why = append(w.Why, text)
	}
	for _, f := range c.Flags {
		w.Notes = append(w.Notes, f.Text)
	}
	return w
}

func claimWords(c Claim) report.ClaimWords {
	w := report.ClaimWords{Claim: c.Name, Hoped: c.Hoped(), Found: c.Found(), Notes: c.Notes, Cells: len(c.Cells)}
	for _, m := range c.Mind {
		x := report.MindWords{Flag: string(m.Word)}
		for _, k := range m.Cells {
			x.Of = append(x.Of, keyWords(k))
		}
		w.Minds = append(w.Minds, x)
	}
	if c.Why != "" {
		w.Notes = append([]string{c.Why}, w.Notes...)
	}
	return w
}

func (r *Review) soakWords(w *report.Words) {
	for _, s := range r.Plan.Soaks {
		load := string(s.Load)
		if s.Load == plan.GameLoad || s.Load == plan.CappedGame {
			load = r.gameTitle(s.Game)
			if s.Resolution != "" {
				load += " at " + s.Resolution
			}
			if s.CapFPS > 0 {
				load += fmt.Sprintf(", capped to %g fps", s.CapFPS)
			}
		}
		if s.Note != "" {
			load += ", " + s.Note
		}
		x := report.ProtocolWords{Soak: s.Name, Load: load, LengthS: int(s.Length.Seconds()), SettleS: int(s.Settle.Seconds()), Resolution: s.Resolution}
		if n := s.Noise; n != nil {
			x.Sound, x.TargetDB = fmt.Sprintf("dB(%s) at %g m", n.Weighting, n.DistanceM), n.TargetDB
		}
		for _, sweep := range r.Plan.Sweeps {
			if sweep.Soak == s.Name {
				x.Sweeps = append(x.Sweeps, sweep.Name)
			}
		}
		for _, probe := range s.Probes {
			if probe.Thermocouple != nil && probe.Thermocouple.Group != "" {
				x.Grouped = append(x.Grouped, probe.Name)
			}
		}
		w.Protocols = append(w.Protocols, x)
	}
	for _, s := range r.Soaks {
		w.Soaks = append(w.Soaks, report.SoakWords{Mode: report.Mode(s.Mode), Soak: s.Soak, Repeat: s.Repeat, State: string(s.State),
			LoadFrom: float64(s.Load.FromNS) / 1e9, LoadTo: float64(s.Load.ToNS) / 1e9, Why: s.Why, Notes: s.Notes})
	}
}

// warnings are what was found in the captures; what was found in the plan depends on the day it is read, and its files on where it lies.
func (r *Review) warnings() (out []string) {
	for _, f := range r.Findings[min(r.planFindings, len(r.Findings)):] {
		text := f.Summary
		if f.Detail != "" {
			text += ": " + f.Detail
		}
		if f.Place.File != "" && !slices.ContainsFunc(r.Plan.Sources, func(s plan.Source) bool { return s.Path == f.Place.File }) {
			text = f.Place.String() + ": " + text
		}
		out = append(out, text)
	}
	return unique(out)
}

// gameTitle is how a game in a variant is called.
func (r *Review) gameTitle(g plan.GameVariant) string {
	game, _ := r.Plan.Game(g.Game)
	title := cmp.Or(game.Title, g.Game)
	if len(game.Variants) > 1 {
		title += ", " + strings.ReplaceAll(g.Variant, "_", " ")
	}
	return title
}

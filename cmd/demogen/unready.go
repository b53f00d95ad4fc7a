package main

import (
	"fmt"
	"time"
)

// flaw is what is the matter with one cell of the review that is not ready.
type flaw struct {
	passes int           // how many there are; 0 with none: true
	none   bool          // no file at all
	faults map[int]fault // by repeat
	stray  int           // this repeat is saved under a misspelt card
	logged string        // driver that the bench log states for its passes
	launch bool          // all passes in one launch, as the bench log says
	failed string        // outcome on record, nothing saved
	broken int           // this repeat was saved, but the bench log says that the picture had artefacts
	note   string
}

// flaws is the scenario of demo-unready by cell; a cell not named has three good passes.
var flaws = map[string]flaw{
	"tern_ref.stock fjord.plain qhd":  {logged: "610.9", note: "before the new driver came"},
	"tern_ref.stock bazaar.plain qhd": {faults: map[int]fault{3: {stopAt: 6}}},
	"tern_ref.stock bazaar.plain uhd": {passes: 4},
	"tern_ref.stock kelp.plain uhd":   {passes: 2},
	"tern_ref.stock quarry.plain qhd": {faults: map[int]fault{2: {factor: 0.95}}},
	"heron_x.stock fjord.plain uhd":   {faults: map[int]fault{2: {slowFrom: 5, slowTo: 9, slowBy: 0.7}}},
	"heron_x.stock bazaar.plain uhd":  {faults: map[int]fault{1: {bad: []int{400, 731, 902}}}},
	"heron_x.stock kelp.plain qhd":    {stray: 3},
	"heron_x.stock quarry.plain qhd":  {launch: true, logged: "612.4", note: "left running between passes"},
	"heron_x.stock quarry.plain uhd":  {passes: 4, faults: map[int]fault{2: {slowFrom: 4, slowTo: 8, slowBy: 0.6}}},
	"heron_x.tuned bazaar.plain qhd":  {faults: map[int]fault{1: {limit: 120}, 2: {limit: 120}, 3: {limit: 120}}},
	"heron_x.tuned bazaar.plain uhd":  {passes: 4, broken: 2, note: "flickering stalls; the next one was clean"},
	"heron_x.tuned kelp.plain qhd":    {none: true}, // waived in the plan
	"heron_x.tuned kelp.plain uhd":    {none: true},
	"heron_x.tuned quarry.plain uhd":  {none: true, failed: "hang", note: "picture stands still after the loading screen"},
}

// unready is the review that still lacks something of every kind.
func unready() *review {
	r := newReview("demo-unready", 2, 8)
	at := time.Date(2027, 2, 22, 9, 0, 0, 0, time.UTC)
	for _, name := range []string{"tern_ref.stock", "heron_x.stock", "heron_x.tuned"} {
		m := find(modes, name)
		for _, g := range games {
			if g.game == "orrery" || g.variant != "plain" {
				continue
			}
			for _, size := range resolutions {
				f := flaws[m.String()+" "+g.String()+" "+size]
				passes := f.list(m, g, size)
				if !f.none {
					r.passes = append(r.passes, passes...)
				}
				r.log = append(r.log, f.rows(passes, at)...)
				at = at.Add(10 * time.Minute)
			}
		}
	}
	return r
}

func (f flaw) list(m *mode, g *game, size string) (out []*pass) {
	n := 3
	if f.passes != 0 {
		n = f.passes
	}
	for i := 1; i <= n; i++ {
		p := &pass{mode: m, game: g, resolution: size, repeat: i, session: m.card, form: timestamps, fault: f.faults[i]}
		card := m.card
		if f.stray == i {
			card = "herron_x"
		}
		p.file = fmt.Sprintf("captures/%s-%s/%s_%s_%d.csv.zst", card, m.mode, g.game, size, i)
		out = append(out, p)
	}
	return out
}

// rows is what the bench log of demo-unready knows; most passes are not in it, which the tool has to say.
func (f flaw) rows(passes []*pass, at time.Time) (out [][]string) {
	if f.failed != "" {
		p := *passes[0]
		p.file = ""
		return [][]string{entry{pass: &p, launch: "hung", started: at, driver: "612.4", outcome: f.failed, note: f.note}.row()}
	}
	if f.broken != 0 {
		p := passes[f.broken-1]
		return [][]string{entry{pass: p, launch: "flicker", started: at, driver: "612.4", outcome: "artefacts", note: f.note}.row()}
	}
	if f.logged == "" {
		return nil
	}
	for i, p := range passes {
		launch := fmt.Sprintf("%s-%d", p.game.game, i+1)
		if f.launch {
			launch = "only"
		}
		started := at.Add(time.Duration(i) * time.Minute)
		out = append(out, entry{pass: p, launch: launch, started: started, driver: f.logged, ambient: 214, outcome: "ok", note: f.note}.row())
	}
	return out
}

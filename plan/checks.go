package plan

import (
	"fmt"
	"slices"

	"github.com/rigslate/rigslate/plan/finding"
)

// checkPresence says what a plan cannot do without. A broken or unread file may hold it, so then nothing is said.
func (l *loader) checkPresence() {
	if l.partial || l.first == "" {
		return
	}
	for _, must := range []struct{ kind, summary, mend string }{
		{"review", "Plan has no review", `Add review "NAME" { baseline = card.NAME.MODE }.`},
		{"card", "Plan has no card", `Add card "NAME" { vendor = "…" }.`},
		{"game", "Plan has no game", `Add game "NAME" { … }.`},
		{"resolution", "Plan has no resolution", `Add resolution "NAME" { size = "2560x1440" }.`},
		{"matrix", "Plan has no matrix", "Add matrix { }, which asks for every card in every game at every resolution."},
		{"files", "Plan has no files", `Add files "NAME" { path = "…", … }, which says how captures are found and read.`},
	} {
		if l.count(must.kind) == 0 {
			l.errorAt(finding.Place{File: l.first}, must.summary, "None of the plan's files has a block "+must.kind+".", must.mend)
			if must.kind != "files" && must.kind != "review" {
				l.cellsKnown = false
			}
		}
	}
}

func (l *loader) count(kind string) (n int) {
	for _, b := range l.blocks {
		if b.Type == kind {
			n++
		}
	}
	return n
}

// checkMatrix compares what is declared with what the matrix asks for.
func (l *loader) checkMatrix() {
	if !l.cellsKnown {
		return
	}
	p := l.plan
	asked := map[string]bool{}
	baseline := false
	for _, c := range p.Cells {
		asked["card "+c.Card], asked["game "+c.Game], asked["resolution "+c.Resolution] = true, true, true
		baseline = baseline || c.Waived == "" && c.CardMode() == p.Review.Baseline
	}
	if p.Review.Baseline != (Mode{}) && !baseline {
		l.errorAt(l.baseline, "Baseline is not in the matrix", fmt.Sprintf("No cell asks for %s.", p.Review.Baseline), "Name a mode that is passed, or add this one to the matrix.")
	}
	for _, s := range p.Soaks {
		for _, m := range s.Modes {
			asked["card "+m.Card] = true
		}
		asked["game "+s.Game.Game], asked["resolution "+s.Resolution] = true, true
	}
	unused := func(kind, name string, at finding.Place) {
		if !asked[kind+" "+name] {
			l.warningAt(at, "Declared but not in the matrix", fmt.Sprintf("No cell asks for %s %s.", kind, quote(name)), "Add it to a matrix block, or delete it.")
		}
	}
	for _, c := range p.Cards {
		unused("card", c.Name, c.Place)
	}
	for _, g := range p.Games {
		unused("game", g.Name, g.Place)
	}
	for _, r := range p.Resolutions {
		unused("resolution", r.Name, r.Place)
	}
}

// checkWhole looks at what only the whole plan can show.
func (l *loader) checkWhole() {
	l.checkDrivers()
	if l.partial {
		return
	}
	reviewed := l.count("review") > 0
	for _, r := range l.plan.Rigs {
		if reviewed && r.Name != l.plan.Review.Rig {
			l.warningAt(r.Place, "Rig is not used", fmt.Sprintf("The review does not name rig.%s.", r.Name), fmt.Sprintf("Write rig = rig.%s in the review, or delete it.", r.Name))
		}
	}
	used := l.usedLets()
	for _, name := range l.scope.names["let"] {
		if !used[name] {
			l.warning(l.lets[name].NameRange, "Named value is not used", fmt.Sprintf("Nothing refers to let.%s.", name), "Use it, or delete it.")
		}
	}
}

// checkDrivers finds cards of one vendor that would run different drivers, so that a driver is compared instead of a card.
func (l *loader) checkDrivers() {
	first := map[string]Card{}
	for _, c := range l.plan.Cards {
		if c.Vendor == "" || c.Driver == "" {
			continue
		}
		f, seen := first[c.Vendor]
		switch {
		case !seen:
			first[c.Vendor] = c
		case f.Driver != c.Driver:
			l.warningAt(c.DriverPlace, "Different drivers within a vendor",
				fmt.Sprintf("%s has %s, %s has %s.", c.Name, quote(c.Driver), f.Name, quote(f.Driver)), "Pass both on one driver, or keep in mind that drivers are compared too.")
		}
	}
}

// inMatrix reports whether some cell, waived ones apart, is one of these; empty lists mean all.
func (l *loader) inMatrix(mode Mode, games []GameVariant, resolutions, groups []string) bool {
	return slices.ContainsFunc(l.plan.Cells, func(c Cell) bool {
		return c.Waived == "" && c.CardMode() == mode &&
			(len(games) == 0 || slices.Contains(games, c.GameVariant())) &&
			(len(resolutions) == 0 || slices.Contains(resolutions, c.Resolution)) &&
			(len(groups) == 0 || slices.Contains(groups, l.group(c.GameVariant())))
	})
}

func (l *loader) group(g GameVariant) string {
	game, _ := l.plan.Game(g.Game)
	v, _ := game.Variant(g.Variant)
	return v.Group
}

package plan

import (
	"fmt"
	"slices"

	"github.com/rigslate/rigslate/plan/finding"
)

func (l *loader) claim(b *block) {
	c := Claim{Name: b.name, Says: b.text("says"), Place: b.at()}
	of, ok := b.one("of", "card")
	c.Of = Mode{of.name, of.member}
	if against, good := b.one("against", "card"); good {
		c.Against = &Mode{against.name, against.member}
	} else if b.has("against") {
		ok = false
	}
	l.figure(b, &c, ok)
	whereOK := l.where(b, &c)
	l.expectation(b, &c)
	if c.Against != nil && *c.Against == c.Of {
		l.error(b.rangeOf("against"), "Claim compares a card with itself", fmt.Sprintf("Both sides are %s.", c.Of), "Name another card or mode.")
	}
	if l.cellsKnown && ok && c.OfCells() {
		l.checkClaim(b, c, whereOK)
	}
	if !b.again {
		l.plan.Claims = append(l.plan.Claims, c)
	}
}

// where reads which cells a claim is about; left out, it is all that its sides have.
func (l *loader) where(b *block, c *Claim) bool {
	f, ok := b.object("where", "where")
	if !ok {
		return !b.has("where")
	}
	before := l.findings.Count(finding.Error)
	c.Games, c.Resolutions = f.games("games"), f.resolutions("resolutions")
	c.Groups = f.texts("groups")
	for _, g := range c.Groups {
		if known := l.groups(); !slices.Contains(known, g) {
			l.error(f.rangeOf("groups"), "Unknown group", fmt.Sprintf("No variant has the group %s.", quote(g)), didYouMean(g, known))
		}
	}
	return l.findings.Count(finding.Error) == before
}

func (l *loader) groups() []string {
	var gs []string
	for _, g := range l.plan.Games {
		for _, v := range g.Variants {
			if v.Group != "" && !slices.Contains(gs, v.Group) {
				gs = append(gs, v.Group)
			}
		}
	}
	return gs
}

func (l *loader) checkClaim(b *block, c Claim, whereOK bool) {
	sides := []struct {
		key  string
		mode *Mode
	}{{"of", &c.Of}, {"against", c.Against}}
	for _, s := range sides {
		switch {
		case s.mode == nil:
		case !l.inMatrix(*s.mode, nil, nil, nil):
			l.error(b.rangeOf(s.key), "Claim is not in the matrix", fmt.Sprintf("No cell asks for %s.", s.mode), "Name a mode that is passed, or add it to the matrix.")
		case whereOK && !l.inMatrix(*s.mode, c.Games, c.Resolutions, c.Groups):
			l.error(b.rangeOf("where"), "Claim selects nothing", fmt.Sprintf("No cell of %s is left by where.", s.mode), "Widen where, or add cells to the matrix.")
		}
	}
}

// texts reads a list of texts; a text alone is a list of one.
func (f *fields) texts(key string) []string {
	e, ok := f.by[key]
	if !ok {
		return nil
	}
	nodes, ok := f.l.elements(e.node)
	if !ok {
		return nil
	}
	var ss []string
	for _, n := range nodes {
		one := &fields{l: f.l, what: f.what, by: map[string]entry{key: {key: key, node: n}}, out: map[string]any{}}
		if s := one.text(key); s != "" {
			ss = append(ss, s)
		}
	}
	sorted := slices.Compact(slices.Sorted(slices.Values(ss)))
	f.out[key] = anys(sorted)
	return ss
}

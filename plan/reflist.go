package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/zclconf/go-cty/cty"
)

// rank numbers every reference in declared order. Objects of the expression language keep their members by name, so whatever
// comes out of one is put back into this order.
func (s *scope) rank() {
	for _, kind := range declared {
		for _, name := range s.names[kind] {
			if memberWord[kind] == "" {
				s.order[ref{kind, name, ""}] = len(s.order)
				continue
			}
			for _, m := range s.members[kind+"."+name] {
				s.order[ref{kind, name, m}] = len(s.order)
			}
		}
	}
}

// refs reads a list of references of some kinds, in declared order and each once.
func (l *loader) refs(n node, what string, kinds ...string) ([]ref, bool) {
	nodes, ok := l.elements(n)
	if !ok {
		return nil, false
	}
	var rs []ref
	for _, e := range nodes {
		v, good := l.value(e)
		if good {
			before := len(l.findings)
			rs = l.collectRefs(rs, v, node{at: e.at}, what, kinds)
			good = len(l.findings) == before
		}
		ok = ok && good
	}
	if ok && len(rs) == 0 {
		l.error(n.at, "List is empty", fmt.Sprintf("%s names nothing.", what), "Name something, or leave the argument out.")
		ok = false
	}
	slices.SortFunc(rs, func(a, b ref) int { return cmp.Compare(l.scope.order[a], l.scope.order[b]) })
	return slices.Compact(rs), ok
}

// collectRefs takes a value apart: a whole card or game is an object of its members, and lists may hold lists.
func (l *loader) collectRefs(rs []ref, v cty.Value, n node, what string, kinds []string) []ref {
	if v.IsNull() {
		l.error(n.at, "Null is no value", fmt.Sprintf("%s holds null.", what), "Leave it out.")
		return rs
	}
	if v.Type().Equals(refType) {
		r := *v.EncapsulatedValue().(*ref)
		if slices.Contains(kinds, r.kind) {
			return append(rs, r)
		}
		l.error(n.at, "Wrong kind of reference", fmt.Sprintf("%s names %s; this is %s.", what, choice(kinds), r), fmt.Sprintf("Write %s.NAME.", kinds[0]))
		return rs
	}
	if v.CanIterateElements() {
		for it := v.ElementIterator(); it.Next(); {
			_, e := it.Element()
			rs = l.collectRefs(rs, e, n, what, kinds)
		}
		return rs
	}
	l.error(n.at, "Not a reference", fmt.Sprintf("%s names %s; this is %s.", what, choice(kinds), describe(v)), l.meant(v, kinds))
	return rs
}

// meant guesses the reference behind a name in quotes.
func (l *loader) meant(v cty.Value, kinds []string) string {
	if v.Type() == cty.String {
		name, _, _ := strings.Cut(v.AsString(), ".")
		for _, kind := range kinds {
			if slices.Contains(l.scope.names[kind], name) {
				return fmt.Sprintf("Write %s.%s without quotes.", kind, v.AsString())
			}
		}
	}
	return fmt.Sprintf("Write %s.NAME.", kinds[0])
}

func choice(kinds []string) string { return "a " + strings.Join(kinds, ", a ") }

// refs reads a key's list of references of one kind and records it by name.
func (f *fields) refs(key, kind string) ([]ref, bool) {
	e, ok := f.by[key]
	if !ok {
		return nil, false
	}
	rs, ok := f.l.refs(e.node, f.of(key), kind)
	if ok {
		f.out[key] = refNames(rs)
	}
	return rs, ok
}

// one reads a key's single reference.
func (f *fields) one(key, kind string) (ref, bool) {
	e, ok := f.by[key]
	if !ok {
		return ref{}, false
	}
	rs, ok := f.l.refs(e.node, f.of(key), kind)
	if !ok {
		return ref{}, false
	}
	if len(rs) > 1 {
		f.l.error(e.at, "Several where one is meant", fmt.Sprintf("%s names %s.", f.of(key), strings.Join(written(rs), ", ")), "Name one of them.")
		return ref{}, false
	}
	f.out[key] = refName(rs[0])
	return rs[0], true
}

// cell reads a list of one card's mode, one game's variant and one resolution, in any order.
func (f *fields) cell(key string) (Key, bool) {
	e, ok := f.by[key]
	if !ok {
		return Key{}, false
	}
	rs, ok := f.l.refs(e.node, f.of(key), "card", "game", "resolution")
	if !ok {
		return Key{}, false
	}
	var k Key
	for _, r := range rs {
		switch r.kind {
		case "card":
			k.Card, k.Mode = r.name, r.member
		case "game":
			k.Game, k.Variant = r.name, r.member
		default:
			k.Resolution = r.name
		}
	}
	if len(rs) != 3 || k.Card == "" || k.Game == "" || k.Resolution == "" {
		f.l.error(e.at, "Not one cell", fmt.Sprintf("%s names %s.", f.of(key), strings.Join(written(rs), ", ")),
			"Name one mode of a card, one variant of a game and one resolution: [card.X.MODE, game.Y.VARIANT, resolution.Z].")
		return Key{}, false
	}
	f.out[key] = []any{k.Card + "." + k.Mode, k.Game + "." + k.Variant, k.Resolution}
	return k, true
}

// modes and games read a key's lists; nil means all, which is also what an argument left out means.
func (f *fields) modes(key string) []Mode {
	rs, _ := f.refs(key, "card")
	var ms []Mode
	for _, r := range rs {
		ms = append(ms, Mode{r.name, r.member})
	}
	return ms
}

func (f *fields) games(key string) []GameVariant {
	rs, _ := f.refs(key, "game")
	var gs []GameVariant
	for _, r := range rs {
		gs = append(gs, GameVariant{r.name, r.member})
	}
	return gs
}

func (f *fields) resolutions(key string) []string {
	rs, _ := f.refs(key, "resolution")
	var names []string
	for _, r := range rs {
		names = append(names, r.name)
	}
	return names
}

// refName is how a reference stands in plan.json, where its kind is known from the key.
func refName(r ref) string {
	if r.member == "" {
		return r.name
	}
	return r.name + "." + r.member
}

// refNames are sorted: the order of a list has no meaning.
func refNames(rs []ref) []any {
	names := make([]string, len(rs))
	for i, r := range rs {
		names[i] = refName(r)
	}
	slices.Sort(names)
	return anys(names)
}

func anys(names []string) []any {
	out := make([]any, len(names))
	for i, n := range names {
		out[i] = n
	}
	return out
}

func written(rs []ref) []string {
	out := make([]string, len(rs))
	for i, r := range rs {
		out[i] = r.String()
	}
	return out
}

// allOf is every member of a kind in declared order.
func (l *loader) allOf(kind string) []ref {
	var rs []ref
	for _, name := range l.scope.names[kind] {
		if memberWord[kind] == "" {
			rs = append(rs, ref{kind, name, ""})
		}
		for _, m := range l.scope.members[kind+"."+name] {
			rs = append(rs, ref{kind, name, m})
		}
	}
	return rs
}

package plan

import (
	"fmt"

	"github.com/zclconf/go-cty/cty"
)

func (l *loader) game(b *block) {
	g := Game{Name: b.name, Title: b.text("name"), Build: b.text("build"), Scene: b.text("scene"), Capped: b.yes("capped"),
		Drive: Drive(b.word("drive", string(BuiltIn), string(Replay), string(ByHand))),
		Keep:  l.keep(b), Takes: l.takes, Accept: l.accept, Place: b.at()}
	if g.Title == "" {
		g.Title = g.Name
	}
	if t, ok := b.object("takes", "game takes"); ok {
		t.takes(&g.Takes)
	}
	leastAt := g.Keep.Place
	b.members("game", "accept", func(a *block) {
		a.accept(&g.Accept)
		if a.has("min_length") {
			leastAt = a.place("min_length")
		}
	})
	if k := g.Keep; !k.All && k.Length > 0 && g.Accept.MinLength > k.Length {
		l.errorAt(leastAt, "Duration is impossible", fmt.Sprintf("Passes of %s keep %s; min_length asks for %s.",
			g.Name, formatDuration(k.Length), formatDuration(g.Accept.MinLength)), "Shorten min_length, or keep more.")
	}
	b.members("game", "variant", func(v *block) {
		variant := Variant{Name: v.name, Group: v.text("group"), Settings: v.pairs("settings"), Place: v.at()}
		if !v.again {
			g.Variants = append(g.Variants, variant)
		}
	})
	if len(g.Variants) == 0 {
		g.Variants = []Variant{{Name: implied["game"], Implied: true, Place: g.Place}}
	}
	if !b.again {
		l.plan.Games = append(l.plan.Games, g)
	}
}

// keep reads `keep = "all"` or `keep = { warmup, length }`.
func (l *loader) keep(b *block) Keep {
	e, ok := b.by["keep"]
	if !ok {
		return Keep{}
	}
	k := Keep{Place: l.place(e.at)}
	if !l.isObject(e.node) {
		const mend = `Write { warmup = "10s", length = "60s" }, or "all" for the whole capture.`
		v, ok := l.value(e.node)
		switch {
		case !ok:
		case v.Type() == cty.String && v.AsString() == "all":
			k.All = true
			b.out["keep"] = "all"
		default:
			l.error(e.at, "Not a part of a capture", fmt.Sprintf("%s is %s.", b.of("keep"), describe(v)), mend)
		}
		return k
	}
	f, ok := b.object("keep", "keep")
	if !ok {
		return k
	}
	k.Warmup, _ = f.duration("warmup", longest)
	length, ok := f.duration("length", longest)
	if k.Length = length; ok && length == 0 {
		l.error(f.rangeOf("length"), "Duration is impossible", "A kept length of nothing leaves no frames.", `Write how much is kept, such as "60s".`)
	}
	return k
}

func (l *loader) reviewAccept(b *block) {
	b.accept(&l.accept)
	l.plan.Accept = l.accept
}

// accept puts what is written over what stands in a.
func (f *fields) accept(a *Accept) {
	if d, ok := f.duration("min_length", longest); ok {
		a.MinLength = d
		if d == 0 {
			f.l.error(f.rangeOf("min_length"), "Duration is impossible", f.of("min_length")+" is nothing.", "Leave it out.")
		}
	}
	if p, ok := f.percent("max_spread", 100); ok {
		a.MaxSpread = p
		if p == 0 {
			f.l.error(f.rangeOf("max_spread"), "Number out of range", f.of("max_spread")+" is zero, which no passes meet.", `Write a spread such as "3%".`)
		}
	}
	if n, ok := f.whole("max_bad_lines", 0, 1<<30); ok {
		a.MaxBadLines = n
	}
}

func (l *loader) resolution(b *block) {
	r := Resolution{Name: b.name, Place: b.at()}
	if s, ok := b.form("size", "Not a size", errSize); ok {
		var err error
		if r.Width, r.Height, err = ParseSize(s); err != nil {
			b.wrongForm("size", s, "Not a size", err)
		} else {
			b.out["size"] = s
		}
	}
	for _, other := range l.plan.Resolutions {
		if other.Width == r.Width && other.Height == r.Height && r.Width > 0 && !b.again {
			l.warning(b.rangeOf("size"), "Same size twice", fmt.Sprintf("resolution %s has it too.", quote(other.Name)), "Use one of them, or mend its size.")
			break
		}
	}
	if !b.again {
		l.plan.Resolutions = append(l.plan.Resolutions, r)
	}
}

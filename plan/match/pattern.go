package match

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// part is a kind of segment of a pattern.
type part uint8

const (
	literal part = iota
	review
	card
	mode
	game
	variant
	resolution
	size
	repeat
	stamp
	anything
)

var partNames = []string{"", "review", "card", "mode", "game", "variant", "resolution", "size", "repeat", "time", "any"}

func (p part) String() string { return partNames[p] }

// segment is a literal text or a placeholder; labels are what a label placeholder may hold.
type segment struct {
	part   part
	text   string
	labels []string
}

// form is one way of writing a pattern: as declared, or with an implied mode or variant left out.
type form struct {
	segs              []segment
	noMode, noVariant bool
	head, tail        string // literal texts at either end
	manyWays          bool   // two or more {any}: one reading may be come by in many ways
}

// pattern is a compiled `path`.
type pattern struct {
	files   *plan.Files
	index   int // of the block
	forms   []form
	dir     string // literal folder that every match lies below, "" for the root
	ext     string // from the first dot of the last literal part
	missing []part // what no placeholder names
}

const maxPattern = 1000 // bytes

// compile turns a block's path into a pattern; nil where there is none, or where it is broken, which is then a finding.
//
// An implied mode or variant need not be named: it may be left out of a path together with the separators (any of "-_. ") before
// it, or after it where it begins a folder or file name; a folder of its own is left out whole. So {card}-{mode}/{game} also
// matches gannet/kelp, if gannet declares no modes.
func compile(ix *index, f *plan.Files, l *finding.List) *pattern {
	if f.Path == "" {
		return nil
	}
	segs, detail, mend := parse(f.Path)
	if detail != "" {
		l.Add(finding.Error, f.PathPlace, "A path pattern cannot be used", detail, mend)
		return nil
	}
	pt := &pattern{files: f, index: blockIndex(ix.plan, f)}
	named := map[part]bool{}
	for _, s := range segs {
		named[s.part] = true
	}
	for _, k := range []part{card, mode, game, variant} {
		if !named[k] {
			pt.missing = append(pt.missing, k)
		}
	}
	if !named[resolution] && !named[size] {
		pt.missing = append(pt.missing, resolution)
	}
	lead := ""
	if segs[0].part == literal {
		lead = segs[0].text
	}
	if i := strings.LastIndexByte(lead, '/'); i >= 0 {
		pt.dir = lead[:i+1]
	}
	if last := segs[len(segs)-1]; last.part == literal {
		base := last.text[strings.LastIndexByte(last.text, '/')+1:]
		if i := strings.IndexByte(base, '.'); i >= 0 {
			pt.ext = base[i:]
		}
	}
	pt.forms = forms(ix, segs, named)
	return pt
}

func blockIndex(p *plan.Plan, f *plan.Files) int {
	for i := range p.Files {
		if &p.Files[i] == f {
			return i
		}
	}
	return -1
}

// forms gives the pattern as declared and those without implied parts, where some card or game has them.
func forms(ix *index, segs []segment, named map[part]bool) []form {
	impliedMode := slices.ContainsFunc(ix.plan.Cards, func(c plan.Card) bool { return len(c.Modes) == 1 && c.Modes[0].Implied })
	impliedVariant := slices.ContainsFunc(ix.plan.Games, func(g plan.Game) bool { return len(g.Variants) == 1 && g.Variants[0].Implied })
	all := []form{{segs: segs}}
	if named[mode] && impliedMode {
		all = append(all, form{segs: without(segs, mode), noMode: true})
	}
	if named[variant] && impliedVariant {
		for _, f := range slices.Clone(all) {
			all = append(all, form{segs: without(f.segs, variant), noMode: f.noMode, noVariant: true})
		}
	}
	for i := range all {
		all[i].finish(ix)
	}
	return slices.DeleteFunc(all, func(f form) bool { return len(f.segs) == 0 })
}

func (f *form) finish(ix *index) {
	f.segs = slices.Clone(f.segs)
	count := map[part]int{}
	for i, s := range f.segs {
		f.segs[i].labels = ix.labels[s.part]
		count[s.part]++
	}
	f.manyWays = count[anything] > 1
	if len(f.segs) == 0 {
		return
	}
	if s := f.segs[0]; s.part == literal {
		f.head = s.text
	}
	if s := f.segs[len(f.segs)-1]; s.part == literal {
		f.tail = s.text
	}
}

const separators = "-_. "

// without leaves one kind of placeholder out, with the separators that set it off.
func without(segs []segment, k part) []segment {
	var out []segment
	for i := 0; i < len(segs); i++ {
		s := segs[i]
		if s.part != k {
			out = append(out, s)
			continue
		}
		before, after := "", ""
		if n := len(out); n > 0 && out[n-1].part == literal {
			before = out[n-1].text
		}
		if i+1 < len(segs) && segs[i+1].part == literal {
			after = segs[i+1].text
		}
		starts := len(out) == 0 || strings.HasSuffix(before, "/")
		switch {
		case starts && strings.HasPrefix(after, "/"):
			after = after[1:]
		case starts:
			after = strings.TrimLeft(after, separators)
		default:
			before = strings.TrimRight(before, separators)
		}
		if n := len(out); n > 0 && out[n-1].part == literal {
			out = out[:n-1]
		}
		if i+1 < len(segs) && segs[i+1].part == literal {
			i++
		}
		if text := before + after; text != "" {
			out = append(out, segment{part: literal, text: text})
		}
	}
	return out
}

// parse splits a pattern into segments; detail says what is wrong with it.
func parse(text string) (segs []segment, detail, mend string) {
	if detail, mend = wrongPath(text); detail != "" {
		return nil, detail, mend
	}
	if len(text) > maxPattern {
		return nil, fmt.Sprintf("It has %d characters.", len(text)), fmt.Sprintf("At most %d are read.", maxPattern)
	}
	for rest := path.Clean(text); rest != ""; {
		open := strings.IndexAny(rest, "{}")
		if open < 0 {
			open = len(rest)
		}
		if open > 0 {
			segs = append(segs, segment{part: literal, text: rest[:open]})
			rest = rest[open:]
			continue
		}
		end := strings.IndexByte(rest, '}')
		if end <= 0 {
			return nil, fmt.Sprintf("There is a lone brace at %q.", rest), "Write placeholders as {card}; braces have no other meaning in a path."
		}
		name := rest[1:end]
		k := slices.Index(partNames[1:], name) + 1
		if k == 0 {
			mend := "Placeholders are {" + strings.Join(partNames[1:], "} {") + "}."
			if near := nearest(name, partNames[1:]); near != "" {
				mend = fmt.Sprintf("Did you mean {%s}?", near)
			}
			return nil, fmt.Sprintf("There is no placeholder {%s}.", name), mend
		}
		rest = rest[end+1:]
		if n := len(segs); part(k) == anything && n > 0 && segs[n-1].part == anything {
			continue // two in a row mean what one means
		}
		segs = append(segs, segment{part: part(k)})
	}
	return segs, "", ""
}

// wrongPath says why a path of the plan or the bench log cannot lie in the captures' folder; "" if it can.
func wrongPath(text string) (detail, mend string) {
	switch {
	case strings.Contains(text, `\`):
		return fmt.Sprintf("%q has a backslash.", text), "Write folders with slashes: " + strings.ReplaceAll(text, `\`, "/")
	case strings.HasPrefix(text, "/"), len(text) > 1 && text[1] == ':':
		return fmt.Sprintf("%q is an absolute path.", text), "Paths are relative to the captures' folder; --captures says which that is."
	case slices.Contains(strings.Split(text, "/"), ".."):
		return fmt.Sprintf("%q leaves the captures' folder.", text), "Write it without '..'; --captures says which folder that is."
	case path.Clean(text) == ".":
		return fmt.Sprintf("%q is a folder.", text), "Write the path of a file."
	case strings.ContainsRune(text, 0):
		return fmt.Sprintf("%q has a zero byte.", text), "Write it without."
	}
	return "", ""
}

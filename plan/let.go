package plan

import (
	"fmt"

	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/zclconf/go-cty/cty"
)

// maxLets bounds how many named values a plan has.
const maxLets = 2000

// maxLetElements bounds what a let may hold, since lets made of lets grow without the text growing, and maxLetsElements what all hold.
const (
	maxLetElements  = 10_000
	maxLetsElements = 100_000
)

// let is one named value.
type let struct {
	*hclsyntax.Attribute
	needs []string // the lets it is made of
	state letState
}

type letState uint8

const (
	waiting letState = iota
	working
	done
)

// declareLets registers the names of all let blocks.
func (l *loader) declareLets() {
	l.lets = map[string]*let{}
	for _, b := range l.blocks {
		if b.Type != "let" {
			continue
		}
		l.knownBlocks("let", "let", b.Body.Blocks, nil)
		for _, a := range sortedAttributes(b.Body) {
			if first, again := l.lets[a.Name]; again {
				l.error(a.NameRange, "Name used twice", fmt.Sprintf("let.%s is declared at %s.", a.Name, l.place(first.NameRange)), "Rename one of them.")
				continue
			}
			if len(l.lets) == maxLets {
				l.error(a.NameRange, "Too many named values", fmt.Sprintf("A plan may have %d.", maxLets), "Write the values where they are used.")
				return
			}
			n := &let{Attribute: a}
			for _, t := range a.Expr.Variables() {
				if t.RootName() != "let" || len(t) < 2 {
					continue
				}
				if name, ok := stepName(t[1]); ok {
					n.needs = append(n.needs, name)
				}
			}
			l.lets[a.Name] = n
			l.scope.names["let"] = append(l.scope.names["let"], a.Name)
		}
	}
}

// evaluateLets works the named values out, each after those it is made of.
func (l *loader) evaluateLets() {
	values := map[string]cty.Value{}
	for _, name := range l.scope.names["let"] {
		l.evaluateLet(name, values)
	}
}

func (l *loader) evaluateLet(name string, values map[string]cty.Value) {
	n := l.lets[name]
	if n.state != waiting {
		return
	}
	if l.broken[n.NameRange.Filename] || l.held > maxLetsElements {
		n.state = done
		l.scope.badLets[name] = true
		return
	}
	n.state = working
	for _, needed := range n.needs {
		m, ok := l.lets[needed]
		switch {
		case !ok: // an unknown name is found when the value is checked
		case m.state == working:
			l.error(n.NameRange, "Value is made of itself", fmt.Sprintf("let.%s leads back to let.%s.", name, needed), "Write one of them out.")
			l.scope.badLets[name] = true
		default:
			l.evaluateLet(needed, values)
		}
	}
	n.state = done
	if l.scope.badLets[name] {
		return
	}
	v, ok := l.value(exprNode(n.Expr))
	if held := elements(v, maxLetElements); ok && held > maxLetElements {
		l.error(n.NameRange, noValue, fmt.Sprintf("let.%s holds more than %d values, or text of more than %d kB.", name, maxLetElements,
			maxLetElements*textPerValue/1000), "Make it shorter.")
		ok = false
	} else if l.held += held; ok && l.held > maxLetsElements {
		l.error(n.NameRange, noValue, fmt.Sprintf("With let.%s all named values hold more than %d values.", name, maxLetsElements), "Make them shorter.")
		ok = false
	}
	if !ok {
		l.scope.badLets[name] = true
		return
	}
	values[name] = v
	l.vars["let"] = cty.ObjectVal(values)
}

// elements counts the values in a value, until there are more than most; a long text counts as several.
func elements(v cty.Value, most int) int {
	switch {
	case v == cty.NilVal || v.IsNull():
		return 1
	case v.Type() == cty.String && v.IsKnown():
		return 1 + len(v.AsString())/textPerValue
	case !v.CanIterateElements():
		return 1
	}
	n := 1
	for it := v.ElementIterator(); it.Next() && n <= most; {
		_, e := it.Element()
		n += elements(e, most-n)
	}
	return n
}

// usedLets is every let that something refers to.
func (l *loader) usedLets() map[string]bool {
	used := map[string]bool{}
	for e := range l.checked {
		for _, t := range e.Variables() {
			if t.RootName() != "let" {
				continue
			}
			if len(t) < 2 {
				for _, name := range l.scope.names["let"] {
					used[name] = true
				}
			} else if name, ok := stepName(t[1]); ok {
				used[name] = true
			}
		}
	}
	return used
}

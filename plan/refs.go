package plan

import (
	"fmt"
	"reflect"
	"slices"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/zclconf/go-cty/cty"
)

// ref is what a reference evaluates to. A card or game written alone is an object of its members.
type ref struct{ kind, name, member string }

func (r ref) String() string {
	if r.member == "" {
		return r.kind + "." + r.name
	}
	return r.kind + "." + r.name + "." + r.member
}

var refType = cty.Capsule("reference", reflect.TypeFor[ref]())

// scope is what can be referred to, in declared order.
type scope struct {
	names   map[string][]string       // kind → names; "let" included
	members map[string][]string       // "card.heron_x" → its modes
	badLets map[string]bool           // lets without a value; what is wrong with them is said where they stand
	taken   map[*hclsyntax.Block]bool // blocks whose name another block has
	order   map[ref]int               // rank of every reference, kind by kind
}

// memberWord is what the members of a kind are called, "" for kinds that have none.
var memberWord = map[string]string{"card": "mode", "game": "variant"}

var referable = []string{"card", "game", "let", "resolution", "rig", "soak", "sweep"}

// declared are the kinds whose names can be referred to, in the order that references are ranked in.
var declared = []string{"rig", "card", "game", "resolution", "soak", "sweep"}

// context offers card.X as an object of its modes and so on, so that concat, for and let need no special treatment.
func (s scope) context() map[string]cty.Value {
	vars := map[string]cty.Value{"let": cty.EmptyObjectVal}
	for _, kind := range declared {
		all := map[string]cty.Value{}
		for _, name := range s.names[kind] {
			if memberWord[kind] == "" {
				all[name] = cty.CapsuleVal(refType, &ref{kind, name, ""})
				continue
			}
			members := map[string]cty.Value{}
			for _, m := range s.members[kind+"."+name] {
				members[m] = cty.CapsuleVal(refType, &ref{kind, name, m})
			}
			all[name] = cty.ObjectVal(members)
		}
		vars[kind] = cty.ObjectVal(all)
	}
	return vars
}

// check looks at every reference, function name and object key in an expression before anything is evaluated, so that each
// misspelling is found at its place, also in calls and for. It reports once, whoever asks.
func (l *loader) check(e hclsyntax.Expression) bool {
	if ok, done := l.checked[e]; done {
		return ok
	}
	ok := true
	for _, t := range e.Variables() {
		ok = l.checkRef(t) && ok
	}
	_ = hclsyntax.VisitAll(e, func(n hclsyntax.Node) hcl.Diagnostics {
		switch n := n.(type) {
		case *hclsyntax.FunctionCallExpr:
			ok = l.checkFunction(n) && ok
		case *hclsyntax.ObjectConsExpr:
			ok = l.checkKeys(n) && ok
		}
		return nil
	})
	l.checked[e] = ok
	return ok
}

func (l *loader) checkRef(t hcl.Traversal) bool {
	kind, at := t.RootName(), t.SourceRange()
	if !slices.Contains(referable, kind) {
		if len(t) == 1 {
			l.error(at, "Unknown word", fmt.Sprintf("%s is neither text nor a reference.", kind),
				fmt.Sprintf("Write %q if text is meant. %s", kind, didYouMean(kind, referable)))
			return false
		}
		l.error(t[0].SourceRange(), "Unknown kind of reference", fmt.Sprintf("Nothing called %s can be referred to.", quote(kind)),
			didYouMean(kind, referable))
		return false
	}
	if len(t) == 1 {
		return true
	}
	name, ok := stepName(t[1])
	if !ok {
		l.error(at, "Reference has a wrong form", "A reference names what it means.", fmt.Sprintf("Write %s.NAME.", kind))
		return false
	}
	if !slices.Contains(l.scope.names[kind], name) {
		if !l.partial {
			l.error(stepRange(t[1]), "Unknown "+kind, fmt.Sprintf("There is no %s %s.", kind, quote(name)),
				didYouMean(name, l.scope.names[kind]))
		}
		return false
	}
	if kind == "let" {
		return !l.scope.badLets[name]
	}
	return l.checkMember(kind, name, t)
}

// checkMember looks at what follows KIND.NAME.
func (l *loader) checkMember(kind, name string, t hcl.Traversal) bool {
	word := memberWord[kind]
	if len(t) > 3 || len(t) == 3 && word == "" {
		over := t[len(t)-1]
		mend := fmt.Sprintf("End it at %s.%s.", kind, name)
		if word != "" {
			mend = fmt.Sprintf("End it at the %s of %s.%s.", word, kind, name)
		}
		l.error(stepRange(over), "Reference goes too far", "Nothing lies below that.", mend)
		return false
	}
	if len(t) < 3 {
		return true
	}
	known := l.scope.members[kind+"."+name]
	member, ok := stepName(t[2])
	if !ok || !slices.Contains(known, member) {
		l.error(stepRange(t[2]), "Unknown "+word, fmt.Sprintf("%s.%s has no %s %s.", kind, name, word, quote(member)),
			didYouMean(member, known))
		return false
	}
	return true
}

// stepName accepts card.x and card["x"].
func stepName(t hcl.Traverser) (string, bool) {
	switch t := t.(type) {
	case hcl.TraverseAttr:
		return t.Name, true
	case hcl.TraverseIndex:
		if t.Key.Type() == cty.String && t.Key.IsKnown() && !t.Key.IsNull() {
			return t.Key.AsString(), true
		}
	}
	return "", false
}

// stepRange is where a step's name stands; the library's range begins with the dot.
func stepRange(t hcl.Traverser) hcl.Range {
	r := t.SourceRange()
	if a, ok := t.(hcl.TraverseAttr); ok {
		r.Start.Byte = r.End.Byte - len(a.Name)
	}
	return r
}

func (l *loader) checkFunction(call *hclsyntax.FunctionCallExpr) bool {
	if _, ok := functions[call.Name]; ok {
		return true
	}
	l.error(call.NameRange, "Unknown function", fmt.Sprintf("There is no function %s.", quote(call.Name)),
		didYouMean(call.Name, functionNames))
	return false
}

// checkKeys finds a key written twice, of which evaluation would quietly keep the last.
func (l *loader) checkKeys(o *hclsyntax.ObjectConsExpr) bool {
	ok, seen := true, map[string]bool{}
	for _, item := range o.Items {
		key := literalKey(item.KeyExpr)
		if key != "" && seen[key] {
			l.error(item.KeyExpr.Range(), "Written twice", fmt.Sprintf("The key %s stands above in this object.", key), "Delete one of them.")
			ok = false
		}
		seen[key] = true
	}
	return ok
}

// literalKey is a key written as a word or as plain text, "" for a computed one.
func literalKey(e hcl.Expression) string {
	if word := hcl.ExprAsKeyword(e); word != "" {
		return word
	}
	if len(e.Variables()) > 0 {
		return ""
	}
	v, diags := e.Value(nil)
	if diags.HasErrors() || v.Type() != cty.String || v.IsNull() || !v.IsKnown() {
		return ""
	}
	return v.AsString()
}

package plan

import (
	"errors"
	"fmt"
	"strings"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/zclconf/go-cty/cty"
)

// node is a value with its place: an expression not yet evaluated, or a part of an evaluated one, which has the whole's place.
type node struct {
	expr hclsyntax.Expression
	val  cty.Value
	at   hcl.Range
}

// entry is one key of an object or one argument of a block.
type entry struct {
	key   string
	keyAt hcl.Range
	node
}

func exprNode(e hcl.Expression) node {
	// Every expression of native syntax is one of hclsyntax.
	return node{expr: e.(hclsyntax.Expression), at: e.Range()}
}

// value evaluates a node. It is false, with a finding, where there is no value.
func (l *loader) value(n node) (cty.Value, bool) {
	v := n.val
	if n.expr != nil {
		if !l.check(n.expr) || !l.affordable(n.expr) {
			return cty.NilVal, false
		}
		var diags hcl.Diagnostics
		v, diags = n.expr.Value(&hcl.EvalContext{Variables: l.vars, Functions: functions})
		if diags.HasErrors() {
			l.valueFindings(diags, n.at)
			return cty.NilVal, false
		}
	}
	switch {
	case v.IsNull():
		l.error(n.at, "Null is no value", "Something is expected here.", "Leave it out if it is not known.")
		return cty.NilVal, false
	case !v.IsKnown():
		l.error(n.at, noValue, "The expression gives nothing.", "Write the value itself.")
		return cty.NilVal, false
	}
	return v, true
}

const noValue = "Value cannot be worked out"

func (l *loader) valueFindings(diags hcl.Diagnostics, at hcl.Range) {
	for _, d := range diags {
		where := at
		if d.Subject != nil && d.Subject.Filename == at.Filename {
			where = *d.Subject
		}
		cause, ok := valueCause[d.Summary]
		if !ok {
			cause = [2]string{"The expression gives nothing.", "Write the value itself."}
		}
		if call, ok := hcl.DiagnosticExtra[hclsyntax.FunctionCallDiagExtra](d); ok {
			cause[0] = strings.Replace(cause[0], "The function", call.CalledFunctionName(), 1)
			var ours callError
			if errors.As(call.FunctionCallError(), &ours) {
				cause[0] = string(ours)
			}
		}
		l.error(where, noValue, cause[0], cause[1])
	}
}

// isObject tells an object from other values without a finding.
func (l *loader) isObject(n node) bool {
	if n.expr != nil {
		if _, diags := hcl.ExprMap(n.expr); !diags.HasErrors() {
			return true
		}
		if !l.check(n.expr) || !l.affordable(n.expr) {
			return false
		}
		v, diags := n.expr.Value(&hcl.EvalContext{Variables: l.vars, Functions: functions})
		return !diags.HasErrors() && isObjectType(v.Type())
	}
	return isObjectType(n.val.Type())
}

func isObjectType(t cty.Type) bool { return t.IsObjectType() || t.IsMapType() }

// entries walks an object. Written out, each key keeps its place; computed, all have the whole's.
func (l *loader) entries(n node, what string) ([]entry, bool) {
	if n.expr != nil {
		if pairs, diags := hcl.ExprMap(n.expr); !diags.HasErrors() {
			return l.literalEntries(n.expr, pairs), true
		}
	}
	v, ok := l.value(n)
	if !ok {
		return nil, false
	}
	if !isObjectType(v.Type()) {
		l.error(n.at, "Not an object", fmt.Sprintf("%s is an object; this is %s.", what, describe(v)), "Write { key = value, … }.")
		return nil, false
	}
	var es []entry
	for it := v.ElementIterator(); it.Next(); {
		k, e := it.Element()
		es = append(es, entry{key: k.AsString(), keyAt: n.at, node: node{val: e, at: n.at}})
	}
	return es, true
}

func (l *loader) literalEntries(e hclsyntax.Expression, pairs []hcl.KeyValuePair) []entry {
	if o, ok := hcl.UnwrapExpressionUntil(e, isObjectCons).(*hclsyntax.ObjectConsExpr); ok {
		l.checkKeys(o)
	}
	var es []entry
	seen := map[string]bool{}
	for _, p := range pairs {
		key := literalKey(p.Key)
		if key == "" {
			v, ok := l.value(exprNode(p.Key))
			if !ok {
				continue
			}
			if v.Type() != cty.String || v.AsString() == "" {
				l.error(p.Key.Range(), "Key is no name", "This is "+describe(v)+".", "Write a word.")
				continue
			}
			if key = v.AsString(); seen[key] {
				l.error(p.Key.Range(), "Written twice", fmt.Sprintf("The key %s stands above in this object.", key), "Delete one of them.")
			}
		}
		if seen[key] {
			continue
		}
		seen[key] = true
		es = append(es, entry{key: key, keyAt: p.Key.Range(), node: exprNode(p.Value)})
	}
	return es
}

func isObjectCons(e hcl.Expression) bool {
	_, ok := e.(*hclsyntax.ObjectConsExpr)
	return ok
}

// elements walks a list; anything else stands for itself.
func (l *loader) elements(n node) ([]node, bool) {
	if n.expr != nil {
		if list, diags := hcl.ExprList(n.expr); !diags.HasErrors() {
			ns := make([]node, len(list))
			for i, e := range list {
				ns[i] = exprNode(e)
			}
			return ns, true
		}
	}
	v, ok := l.value(n)
	if !ok {
		return nil, false
	}
	if t := v.Type(); !t.IsTupleType() && !t.IsListType() && !t.IsSetType() {
		return []node{{val: v, at: n.at}}, true
	}
	var ns []node
	for it := v.ElementIterator(); it.Next(); {
		_, e := it.Element()
		ns = append(ns, node{val: e, at: n.at})
	}
	return ns, true
}

// describe names a value in a finding.
func describe(v cty.Value) string {
	t := v.Type()
	switch {
	case v.IsNull():
		return "null"
	case !v.IsKnown():
		return "not known"
	case t == cty.String:
		return "the text " + quote(v.AsString())
	case t == cty.Number:
		return "the number " + v.AsBigFloat().Text('g', 12)
	case t == cty.Bool && v.True():
		return "true"
	case t == cty.Bool:
		return "false"
	case t.Equals(refType):
		return "a reference to " + v.EncapsulatedValue().(*ref).String()
	case isObjectType(t):
		return "an object"
	}
	return "a list"
}

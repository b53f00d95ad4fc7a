package plan

import (
	"fmt"
	"strings"

	"github.com/hashicorp/hcl/v2"
	"github.com/hashicorp/hcl/v2/hclsyntax"
	"github.com/zclconf/go-cty/cty"
)

// A few lines can ask for gigabytes: loops in loops, a text made of two copies of another, forty times over. The library's evaluation
// cannot be stopped, so what an expression can cost at most is reckoned before it is evaluated.
const (
	maxCost      = 200_000   // of one expression, in values: some 30 MB
	maxCostInAll = 1_000_000 // of all, which takes a second
	textPerValue = 64        // bytes of text that count as one value
)

// extent is how large a value can be.
type extent struct {
	cost float64 // of making it: itself, its parts, and what was made on the way, in values
	n    float64 // elements
	of   *extent // an element, none larger; nil where it has none, or any may be as large as the whole
}

func scalar(text int) extent { return extent{cost: 1 + float64(text)/textPerValue} }

// element is what one element can be, and so what a step into the value gives.
func (x extent) element() extent {
	if x.of != nil {
		return *x.of
	}
	return x
}

// or is as large as the larger of two, in each respect.
func (x extent) or(y extent) extent {
	z := extent{cost: max(x.cost, y.cost), n: max(x.n, y.n), of: x.of}
	switch {
	case x.of == nil:
		z.of = y.of
	case y.of != nil:
		of := x.of.or(*y.of)
		z.of = &of
	}
	return z
}

// list is a list, or an object, of elements.
func list(elements ...extent) extent {
	whole := extent{cost: 1, n: float64(len(elements))}
	for i, e := range elements {
		whole.cost += e.cost
		if i > 0 {
			e = whole.of.or(e)
		}
		whole.of = &e
	}
	return whole
}

// extentOf measures a value that is there; keys count with their elements.
func extentOf(v cty.Value) extent {
	switch {
	case v.IsNull() || !v.IsKnown():
		return scalar(0)
	case v.Type() == cty.String:
		return scalar(len(v.AsString()))
	case !v.CanIterateElements():
		return scalar(0)
	}
	var elements []extent
	for it := v.ElementIterator(); it.Next(); {
		k, e := it.Element()
		x := extentOf(e)
		x.cost += extentOf(k).cost
		elements = append(elements, x)
	}
	return list(elements...)
}

// affordable says whether an expression may be evaluated, and counts what it can cost.
func (l *loader) affordable(e hclsyntax.Expression) bool {
	cost := costing{l, map[string]extent{}}.of(e).cost
	l.spent += cost
	switch {
	case cost > maxCost:
		l.error(e.Range(), noValue, fmt.Sprintf("It could grow to more than %d values, or to a text of %d MB.", maxCost, maxCost*textPerValue/1_000_000), "Make it shorter.")
	case l.spent > maxCostInAll:
		l.error(e.Range(), noValue, "With what stands before it, there is more to work out in this plan than a plan can need.", "Make the loops shorter.")
	default:
		return true
	}
	return false
}

// costing reckons expressions; loop has the variables of the loops that stand around one.
type costing struct {
	*loader
	loop map[string]extent
}

// anonymous is the name in loop of what a splat goes through.
const anonymous = "*"

func (c costing) of(e hclsyntax.Expression) extent {
	switch e := e.(type) {
	case *hclsyntax.LiteralValueExpr:
		return extentOf(e.Val)
	case *hclsyntax.ScopeTraversalExpr:
		return c.traversal(e.Traversal)
	case *hclsyntax.RelativeTraversalExpr:
		return c.of(e.Source)
	case *hclsyntax.FunctionCallExpr:
		return c.call(e)
	case *hclsyntax.ForExpr:
		return c.loops(e)
	case *hclsyntax.SplatExpr:
		source := c.of(e.Source)
		each := c.with(anonymous, source.element()).of(e.Each)
		return extent{cost: source.cost + max(1, source.n)*each.cost, n: max(1, source.n), of: &each}
	case *hclsyntax.AnonSymbolExpr:
		return c.loop[anonymous]
	case *hclsyntax.ConditionalExpr:
		x := c.of(e.TrueResult).or(c.of(e.FalseResult))
		x.cost += c.of(e.Condition).cost
		return x
	case *hclsyntax.IndexExpr:
		whole := c.of(e.Collection)
		x := whole.element()
		x.cost += whole.cost + c.of(e.Key).cost
		return x
	case *hclsyntax.TupleConsExpr:
		return c.all(e.Exprs)
	case *hclsyntax.ObjectConsExpr:
		var elements []extent
		for _, item := range e.Items {
			x := c.of(item.ValueExpr)
			x.cost += c.of(item.KeyExpr).cost
			elements = append(elements, x)
		}
		return list(elements...)
	case *hclsyntax.ObjectConsKeyExpr:
		if hcl.ExprAsKeyword(e.Wrapped) != "" && !e.ForceNonLiteral {
			return scalar(0)
		}
		return c.of(e.Wrapped)
	case *hclsyntax.TemplateWrapExpr:
		return c.of(e.Wrapped)
	case *hclsyntax.ParenthesesExpr:
		return c.of(e.Expression)
	case *hclsyntax.TemplateJoinExpr:
		return extent{cost: c.of(e.Tuple).cost}
	case *hclsyntax.TemplateExpr:
		return extent{cost: c.all(e.Parts).cost}
	case *hclsyntax.BinaryOpExpr:
		return extent{cost: c.of(e.LHS).cost + c.of(e.RHS).cost}
	case *hclsyntax.UnaryOpExpr:
		return extent{cost: c.of(e.Val).cost}
	}
	return scalar(0) // an expression that was not understood has no value
}

func (c costing) all(es []hclsyntax.Expression) extent {
	elements := make([]extent, len(es))
	for i, e := range es {
		elements[i] = c.of(e)
	}
	return list(elements...)
}

// with adds a variable of a loop.
func (c costing) with(name string, x extent) costing {
	inner := map[string]extent{}
	for k, v := range c.loop {
		inner[k] = v
	}
	inner[name] = x
	return costing{c.loader, inner}
}

// traversal is what a reference names. Values that are there are measured once; a step goes to the largest element.
func (c costing) traversal(t hcl.Traversal) extent {
	root := t.RootName()
	x, found := c.loop[root]
	steps := t[1:]
	if name, ok := "", false; !found && root == "let" && len(steps) > 0 {
		if name, ok = stepName(steps[0]); ok {
			x, found, steps = c.measured("let."+name, c.vars["let"], name), true, steps[1:]
		}
	}
	if !found {
		x = c.measured(root, c.vars[root], "")
	}
	for range steps {
		x = x.element()
	}
	return x
}

// measured is the extent of a value or of an attribute of it, kept by name: lets do not change once they are worked out.
func (c costing) measured(key string, v cty.Value, attribute string) extent {
	if x, ok := c.extents[key]; ok {
		return x
	}
	if attribute != "" && v != cty.NilVal && v.Type().IsObjectType() && v.Type().HasAttribute(attribute) {
		v = v.GetAttr(attribute)
	} else if attribute != "" || v == cty.NilVal {
		return scalar(0) // it is not there
	}
	x := extentOf(v)
	if key != "let" { // which grows
		c.extents[key] = x
	}
	return x
}

// loops is a for: its body as often as its collection has elements.
func (c costing) loops(e *hclsyntax.ForExpr) extent {
	over := c.of(e.CollExpr)
	inner := c.with(e.ValVar, over.element())
	if e.KeyVar != "" {
		inner = inner.with(e.KeyVar, over.element())
	}
	body := inner.of(e.ValExpr)
	for _, also := range []hclsyntax.Expression{e.KeyExpr, e.CondExpr} {
		if also != nil {
			body.cost += inner.of(also).cost
		}
	}
	whole := extent{cost: over.cost + max(1, over.n)*body.cost, n: max(1, over.n), of: &body}
	if e.Group {
		whole.of = nil
	}
	return whole
}

// call is a function: most give no more than they are given.
func (c costing) call(e *hclsyntax.FunctionCallExpr) extent {
	args := make([]extent, len(e.Args))
	x := extent{cost: 1}
	for i, a := range e.Args {
		args[i] = c.of(a)
		x.cost += args[i].cost
	}
	if len(args) == 0 {
		return x // the library refuses it
	}
	element := scalar(0)
	switch e.Name {
	case "range":
		n := rangeLength(e.Args)
		return extent{cost: x.cost + n, n: n, of: &element}
	case "format": // each verb makes 999 characters at most
		verbs := args[0].cost * textPerValue / float64(len("%999d"))
		if text, ok := constant(e.Args[0]); ok && text.Type() == cty.String {
			verbs = float64(strings.Count(text.AsString(), "%"))
		}
		x.cost += verbs * 999 / textPerValue
	case "join": // the separator stands between all
		x.cost += args[0].cost * x.cost
	case "split": // every character may become a value
		x.cost *= textPerValue
		x.n = x.cost
	case "flatten", "keys", "values", "concat", "merge", "reverse", "distinct":
		for _, a := range args {
			x.n += max(1, a.n)
			if x.of == nil {
				x.of = a.of
			} else if a.of != nil {
				of := x.of.or(*a.of)
				x.of = &of
			}
		}
		switch {
		case e.Name == "flatten" || e.ExpandFinal:
			x.n, x.of = x.cost, nil
		case e.Name == "distinct": // each is held against each
			x.cost += x.n * x.n / 1000
		}
	}
	return x
}

// constant is the value of an expression that rests on nothing else.
func constant(e hclsyntax.Expression) (cty.Value, bool) {
	switch e := e.(type) {
	case *hclsyntax.LiteralValueExpr:
		return e.Val, true
	case *hclsyntax.TemplateExpr:
		if e.IsStringLiteral() {
			return constant(e.Parts[0])
		}
	}
	return cty.NilVal, false
}

// rangeLength is how many numbers a range can give: as many as stand written, where they do.
func rangeLength(args []hclsyntax.Expression) float64 {
	bounds := []float64{0, 0, 1}
	for i, a := range args {
		v, ok := constant(a)
		if !ok || v.Type() != cty.Number || v.IsNull() || i == len(bounds) {
			return maxRange
		}
		bounds[i], _ = v.AsBigFloat().Float64()
	}
	if len(args) == 1 {
		bounds[0], bounds[1] = 0, bounds[0]
	}
	if n := (bounds[1] - bounds[0]) / bounds[2]; n >= 0 && n < maxRange {
		return n + 1
	}
	return maxRange
}

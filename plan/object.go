package plan

import (
	"fmt"
	"math"
	"strconv"

	"github.com/zclconf/go-cty/cty"
)

// object reads an object of a known shape.
func (f *fields) object(key, shapeName string) (*fields, bool) {
	e, ok := f.by[key]
	if !ok {
		return nil, false
	}
	what := f.of(key)
	es, ok := f.l.entries(e.node, what)
	if !ok {
		return nil, false
	}
	o := f.l.fieldsOf(shapes[shapeName], what, e.at, es, nil)
	f.out[key] = o.out
	return o, true
}

// objects reads a list of objects of one shape; an object alone is a list of one, and is recorded as such.
func (f *fields) objects(key, shapeName string) []*fields {
	e, ok := f.by[key]
	if !ok {
		return nil
	}
	nodes := []node{e.node}
	if !f.l.isObject(e.node) {
		if nodes, ok = f.l.elements(e.node); !ok {
			return nil
		}
	}
	if len(nodes) == 0 {
		f.l.error(e.at, "List is empty", fmt.Sprintf("%s names nothing.", f.of(key)), "Write { key = value, … }, or leave it out.")
		return nil
	}
	var os []*fields
	var out []any
	for _, n := range nodes {
		es, ok := f.l.entries(n, f.of(key))
		if !ok {
			continue
		}
		o := f.l.fieldsOf(shapes[shapeName], f.of(key), n.at, es, nil)
		os, out = append(os, o), append(out, o.out)
	}
	if len(out) == 1 {
		f.out[key] = out[0]
	} else {
		f.out[key] = out
	}
	return os
}

// pairs reads an object whose keys are the reviewer's own and whose values are text, numbers, true or false.
func (f *fields) pairs(key string) []Pair {
	o, ok := f.object(key, "free")
	if !ok {
		return nil
	}
	return o.ownPairs()
}

// ownPairs reads all of an object or block whose keys are the reviewer's own.
func (o *fields) ownPairs() (ps []Pair) {
	for _, e := range o.ownKeys() {
		v, ok := o.l.value(e.node)
		if !ok {
			continue
		}
		switch v.Type() {
		case cty.String:
			if s, ok := o.raw(e.key); ok {
				o.out[e.key] = s
				ps = append(ps, Pair{e.key, s})
			}
		case cty.Number:
			x, _ := v.AsBigFloat().Float64()
			o.out[e.key] = x
			ps = append(ps, Pair{e.key, formatNumber(x)})
		case cty.Bool:
			o.out[e.key] = v.True()
			ps = append(ps, Pair{e.key, strconv.FormatBool(v.True())})
		default:
			o.l.error(e.at, "Not a single value", fmt.Sprintf("%s is %s.", o.of(e.key), describe(v)),
				"Write text, a number, true or false.")
		}
	}
	return ps
}

// numbers reads an object whose keys are the reviewer's own, with the unit in the name, and whose values are numbers.
func (f *fields) numbers(key string) []Number {
	o, ok := f.object(key, "free")
	if !ok {
		return nil
	}
	var ns []Number
	for _, e := range o.ownKeys() {
		if x, ok := o.number(e.key, -1e12, 1e12); ok {
			ns = append(ns, Number{e.key, x})
		}
	}
	return ns
}

// ownKeys checks keys that become names in tables.
func (f *fields) ownKeys() []entry {
	var es []entry
	for _, e := range f.order {
		if len(e.key) > maxLabel || !keyForm.MatchString(e.key) {
			f.l.error(e.keyAt, "Key has a wrong form", fmt.Sprintf("%s is a key of %s.", quote(e.key), f.what),
				"Keys are lower-case a-z, 0-9 and _, begin with a letter and have at most 40 characters.")
			continue
		}
		es = append(es, e)
	}
	return es
}

// formatNumber writes numbers as people do, and in powers of ten only where that would take a line.
func formatNumber(x float64) string {
	if a := math.Abs(x); a >= 1e15 || a > 0 && a < 1e-9 {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

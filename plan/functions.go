package plan

import (
	"fmt"
	"maps"
	"regexp"
	"slices"

	"github.com/zclconf/go-cty/cty"
	"github.com/zclconf/go-cty/cty/function"
	"github.com/zclconf/go-cty/cty/function/stdlib"
)

// functions are all that a plan can call: pure, without files, clock or network.
var functions = map[string]function.Function{
	"concat":   stdlib.ConcatFunc,
	"contains": stdlib.ContainsFunc,
	"distinct": distinctFunc,
	"flatten":  stdlib.FlattenFunc,
	"format":   formatFunc,
	"join":     stdlib.JoinFunc,
	"keys":     stdlib.KeysFunc,
	"length":   stdlib.LengthFunc,
	"lower":    stdlib.LowerFunc,
	"max":      stdlib.MaxFunc,
	"merge":    stdlib.MergeFunc,
	"min":      stdlib.MinFunc,
	"range":    rangeFunc,
	"reverse":  stdlib.ReverseListFunc,
	"split":    stdlib.SplitFunc,
	"upper":    stdlib.UpperFunc,
	"values":   stdlib.ValuesFunc,
}

var functionNames = slices.Sorted(maps.Keys(functions))

// callError is a function's refusal in our own words.
type callError string

func (e callError) Error() string { return string(e) }

// wide finds a width or precision that would build a text of many MiB.
var wide = regexp.MustCompile(`%[^a-zA-Z%]*\d{4,}`)

var formatFunc = bounded(stdlib.FormatFunc, func(args []cty.Value) error {
	if f := args[0]; f.IsKnown() && !f.IsNull() && wide.MatchString(f.AsString()) {
		return callError("format makes fields of 999 characters at most.")
	}
	return nil
})

// maxRange is as many numbers as range gives.
const maxRange = 1000

var rangeFunc = bounded(stdlib.RangeFunc, func(args []cty.Value) error {
	from, to, step := 0.0, 0.0, 1.0
	at := func(i int) float64 {
		f, _ := args[i].AsBigFloat().Float64()
		return f
	}
	switch len(args) {
	case 1:
		to = at(0)
	case 3:
		from, to, step = at(0), at(1), at(2)
	default:
		from, to = at(0), at(1)
	}
	if n := (to - from) / step; n > maxRange || n < -maxRange {
		return callError(fmt.Sprintf("range gives %d numbers at most.", maxRange))
	}
	return nil
})

// bounded refuses arguments before a function of the library works on them.
func bounded(f function.Function, refuse func([]cty.Value) error) function.Function {
	spec := &function.Spec{
		Params: f.Params(), VarParam: f.VarParam(),
		Type: func(args []cty.Value) (cty.Type, error) {
			for _, a := range args {
				if !a.IsKnown() || a.IsNull() {
					return f.ReturnTypeForValues(args)
				}
			}
			if err := refuse(args); err != nil {
				return cty.DynamicPseudoType, err
			}
			return f.ReturnTypeForValues(args)
		},
		Impl: func(args []cty.Value, _ cty.Type) (cty.Value, error) { return f.Call(args) },
	}
	return function.New(spec)
}

// distinctFunc keeps the first of equal elements. The library's takes lists of one type only, which lists written out are not.
var distinctFunc = function.New(&function.Spec{
	Params: []function.Parameter{{Name: "list", Type: cty.DynamicPseudoType}},
	Type: func(args []cty.Value) (cty.Type, error) {
		v, err := distinct(args[0])
		return v.Type(), err
	},
	Impl: func(args []cty.Value, _ cty.Type) (cty.Value, error) { return distinct(args[0]) },
})

func distinct(list cty.Value) (cty.Value, error) {
	if t := list.Type(); !list.IsKnown() || !t.IsTupleType() && !t.IsListType() && !t.IsSetType() {
		return cty.EmptyTupleVal, callError("distinct takes a list.")
	}
	var kept []cty.Value
	for it := list.ElementIterator(); it.Next(); {
		_, e := it.Element()
		if !slices.ContainsFunc(kept, e.RawEquals) {
			kept = append(kept, e)
		}
	}
	return cty.TupleVal(kept), nil
}

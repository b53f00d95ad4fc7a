package discreet

import (
	"reflect"
	"strings"
	"unsafe"

	"github.com/rigslate/rigslate/plan/finding"
)

// Copy returns x with every string in it rewritten, in fields, elements, keys and behind pointers, those that are not exported too, so that
// a field which somebody adds is covered. What x was made of stays as it is. Errors keep what they are and say what may be said. Values of
// other modules' types and functions are handed on as they are: none of them is shown. A nil Veil returns x itself.
func Copy[T any](v *Veil, x T) T {
	if v == nil {
		return x
	}
	c := copier{v, map[pointer]reflect.Value{}, map[reflect.Type]bool{}}
	c.rewrite(reflect.ValueOf(&x).Elem())
	return x
}

type copier struct {
	veil *Veil
	made map[pointer]reflect.Value // what is pointed to twice stays one
	says map[reflect.Type]bool
}

type pointer struct {
	at unsafe.Pointer
	of reflect.Type
}

// rewrite makes what v holds, which nothing else holds, say what may be said.
func (c *copier) rewrite(v reflect.Value) {
	if !c.saying(v.Type()) {
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(c.veil.String(v.String()))
	case reflect.Struct:
		if at, ok := v.Addr().Interface().(*finding.Place); ok {
			c.move(at)
		}
		for i := range v.NumField() {
			// A field that is not exported can be set only by way of its address.
			f := v.Field(i)
			c.rewrite(reflect.NewAt(f.Type(), unsafe.Pointer(f.UnsafeAddr())).Elem())
		}
	case reflect.Array:
		for i := range v.Len() {
			c.rewrite(v.Index(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		made := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(made, v)
		v.Set(made)
		for i := range made.Len() {
			c.rewrite(made.Index(i))
		}
	case reflect.Map:
		c.rewriteMap(v)
	case reflect.Pointer:
		c.rewritePointer(v)
	case reflect.Interface:
		c.rewriteInterface(v)
	}
}

// move keeps a place under the words that it underlines, whose line becomes longer or shorter.
func (c *copier) move(at *finding.Place) {
	line := []rune(at.Source)
	for _, column := range []*int{&at.Column, &at.EndColumn} {
		if n := *column - 1; n > 0 && n <= len(line) {
			*column = 1 + len([]rune(c.veil.String(string(line[:n]))))
		}
	}
}

func (c *copier) rewriteMap(v reflect.Value) {
	if v.IsNil() {
		return
	}
	made := reflect.MakeMapWithSize(v.Type(), v.Len())
	for it := v.MapRange(); it.Next(); {
		key, value := fresh(it.Key()), fresh(it.Value())
		c.rewrite(key)
		c.rewrite(value)
		made.SetMapIndex(key, value)
	}
	v.Set(made)
}

func (c *copier) rewritePointer(v reflect.Value) {
	if v.IsNil() {
		return
	}
	at := pointer{v.UnsafePointer(), v.Type()}
	made, ok := c.made[at]
	if !ok {
		made = fresh(v.Elem()).Addr()
		c.made[at] = made
		c.rewrite(made.Elem())
	}
	v.Set(made)
}

func (c *copier) rewriteInterface(v reflect.Value) {
	if v.IsNil() {
		return
	}
	if err, ok := v.Interface().(error); ok {
		if said := reflect.ValueOf(c.veil.Error(err)); said.Type().AssignableTo(v.Type()) {
			v.Set(said)
		}
		return
	}
	inner := fresh(v.Elem())
	c.rewrite(inner)
	v.Set(inner)
}

// fresh is a copy that can be set.
func fresh(v reflect.Value) reflect.Value {
	made := reflect.New(v.Type()).Elem()
	made.Set(v)
	return made
}

// saying reports whether a value of the type can hold a string that is ours to rewrite.
func (c *copier) saying(t reflect.Type) (says bool) {
	if says, known := c.says[t]; known {
		return says
	}
	c.says[t] = true // for a type that holds itself, while it is being asked
	defer func() { c.says[t] = says }()
	switch t.Kind() {
	case reflect.String, reflect.Interface:
		return true
	case reflect.Array, reflect.Slice, reflect.Pointer:
		return c.saying(t.Elem())
	case reflect.Map:
		return c.saying(t.Key()) || c.saying(t.Elem())
	case reflect.Struct:
		if !ours(t) {
			return false
		}
		for i := range t.NumField() {
			if c.saying(t.Field(i).Type) {
				return true
			}
		}
	}
	return false
}

// ours reports whether a struct is of this module, or has no name.
func ours(t reflect.Type) bool {
	const below = "/plan/discreet"
	module := strings.TrimSuffix(reflect.TypeFor[Veil]().PkgPath(), below)
	return t.PkgPath() == "" || t.PkgPath() == "main" || t.PkgPath() == module || strings.HasPrefix(t.PkgPath(), module+"/")
}

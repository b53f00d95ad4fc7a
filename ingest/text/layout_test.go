package text

import (
	"errors"
	"strings"
	"testing"
)

func TestLayoutsThatCannotBe(t *testing.T) {
	good := func() Layout { return Layout{FrameTime: &Column{Name: "t", Unit: Milliseconds}} }
	if err := good().Check(); err != nil {
		t.Fatal(err)
	}
	for says, change := range map[string]func(*Layout){
		"neither a frame time nor a timestamp": func(l *Layout) { l.FrameTime = nil },
		"neither a point nor a comma":          func(l *Layout) { l.Decimal = '-' },
		"more than one sign":                   func(l *Layout) { l.Delimiter = ", " },
		"are both ','":                         func(l *Layout) { l.Decimal = ',' },
		`"e" cannot be a delimiter`:            func(l *Layout) { l.Delimiter = "e" },
		`"\n" cannot be a delimiter`:           func(l *Layout) { l.Delimiter = "\n" },
		`"\"" cannot be a delimiter`:           func(l *Layout) { l.Delimiter = `"` },
		"cannot hold a line end":               func(l *Layout) { l.Comment = "#\n" },
		"lines to skip is negative":            func(l *Layout) { l.SkipLines = -1 },
		"no column 5000":                       func(l *Layout) { l.FrameTime.Index = 5000 },
		"neither name nor index":               func(l *Layout) { l.FrameTime.Name = "" },
		"where there is no header":             func(l *Layout) { l.NoHeader = true },
		`"t" has no unit of time`:              func(l *Layout) { l.FrameTime.Unit = None },
		"column 2 has no unit of time":         func(l *Layout) { l.Timestamp = &Column{Index: 2, Unit: 9} },
		`the extra "w" has the unit ms`:        func(l *Layout) { l.Extra = []Extra{{Key: "w", Column: Column{"w", 0, Milliseconds}}} },
		`the extra "w" has the unit none`:      func(l *Layout) { l.Extra = []Extra{{Key: "w", Column: Column{"w", 0, None}, Time: true}} },
		`the extra "w" has no key of its own`:  func(l *Layout) { w := Extra{Key: "w", Column: Column{Name: "w"}}; l.Extra = []Extra{w, w} },
		`no encoding "replacement"`:            func(l *Layout) { l.Encoding = "replacement" },
		`no encoding "utf-9"`:                  func(l *Layout) { l.Encoding = "utf-9" },
	} {
		l := good()
		change(&l)
		if err := NewReader().Reset(nil, "file", l); !errors.Is(err, ErrLayout) || !strings.Contains(err.Error(), says) {
			t.Errorf("want %q, got %v", says, err)
		}
	}
}

func TestEncodingNames(t *testing.T) {
	for _, name := range []string{"", "auto", "UTF-8", "windows-1252", "ISO-8859-15", "shift_jis", "IBM850"} {
		r := NewReader()
		l := Layout{Encoding: name, FrameTime: &Column{Name: "ms", Unit: Milliseconds}}
		if err := r.Reset(strings.NewReader("ms\n16\n"), "x.csv", l); err != nil {
			t.Errorf("%q is not known: %v", name, err)
		}
	}
}

func TestUnitNames(t *testing.T) {
	for u := Seconds; u <= Nanoseconds; u++ {
		if got, ok := UnitNamed(u.String()); !ok || got != u {
			t.Errorf("%v reads as %v", u, got)
		}
	}
	if _, ok := UnitNamed("none"); ok {
		t.Error("none is no unit of time")
	}
}

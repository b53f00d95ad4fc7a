package text

import (
	"errors"
	"fmt"
	"strings"
)

// ErrLayout says that a layout contradicts itself; no file was looked at.
var ErrLayout = errors.New("layout cannot be used")

// Unit is the unit a column is written in.
type Unit int8

const (
	None         Unit = iota // not a time: kept as a float64
	Seconds                  // s
	Milliseconds             // ms
	Microseconds             // us
	Nanoseconds              // ns
	Minutes                  // min; of samples only
)

var unitNames = [...]string{None: "none", Seconds: "s", Milliseconds: "ms", Microseconds: "us", Nanoseconds: "ns", Minutes: "min"}

func (u Unit) String() string {
	if u < None || int(u) >= len(unitNames) {
		return fmt.Sprintf("Unit(%d)", int8(u))
	}
	return unitNames[u]
}

// UnitNamed gives the time unit written s, ms, us or ns.
func UnitNamed(name string) (Unit, bool) {
	for u := Seconds; u <= Nanoseconds; u++ {
		if unitNames[u] == name {
			return u, true
		}
	}
	return None, false
}

// shift is the power of ten that turns the unit into nanoseconds.
func (u Unit) shift() int {
	return map[Unit]int{Seconds: 9, Milliseconds: 6, Microseconds: 3}[u]
}

func (u Unit) isTime() bool { return u >= Seconds && u <= Nanoseconds }

// Column finds a column by its exact name in the header or, where Index is above zero, by its place counted from 1.
type Column struct {
	Name  string
	Index int
	Unit  Unit
}

func (c Column) String() string {
	if c.Index > 0 {
		return fmt.Sprintf("column %d", c.Index)
	}
	return fmt.Sprintf("%q", c.Name)
}

// Extra is a column carried along with the frame times or samples. With Time its unit is a time and it becomes whole nanoseconds; without,
// its unit is None and it becomes a float64.
//
// Beside samples, Convert makes of a value as written the one that is kept, or says why there is none. Where With names another extra that
// needs no third, Convert is also given that one's converted value; a row where that is null has none of this one either.
type Extra struct {
	Key     string
	Column  Column
	Time    bool
	With    string
	Convert func(v, with float64) (kept float64, why string)
}

// Filter keeps the rows whose column holds exactly this text; logs may mix programs.
type Filter struct {
	Column Column
	Equals string
}

// Layout is how one kind of file is written. The zero value of each field means the usual thing.
type Layout struct {
	Delimiter string // one ASCII sign; " " is any run of blanks and tabs; "" is ","
	Decimal   byte   // '.' or ','; 0 is '.'
	Encoding  string // a name from the WHATWG or IANA lists; "" and "auto" look at the byte order mark and at NULs
	SkipLines int    // lines before the header, of whatever content
	Comment   string // lines that begin with it are passed over and counted
	NoHeader  bool   // the first line is data; columns by Index only
	FrameTime *Column
	Timestamp *Column // the end of each frame; alone, its differences are the frame times
	Sample    *Sample // in place of both: a row is a sample at a time, and no frame
	KeepRows  *Filter
	Extra     []Extra
}

// Check returns an ErrLayout that says what contradicts what, or nil.
func (l Layout) Check() error {
	if what := l.fault(); what != "" {
		return fmt.Errorf("%w: %s", ErrLayout, what)
	}
	return nil
}

func (l Layout) fault() string {
	decimal := l.decimal()
	switch {
	case decimal != '.' && decimal != ',':
		return fmt.Sprintf("the decimal sign %q is neither a point nor a comma", decimal)
	case len(l.Delimiter) > 1:
		return fmt.Sprintf("the delimiter %q is more than one sign", l.Delimiter)
	case l.delimiter() == decimal:
		return fmt.Sprintf("delimiter and decimal sign are both %q", decimal)
	case !canDelimit(l.delimiter()):
		return fmt.Sprintf("%q cannot be a delimiter", l.Delimiter)
	case strings.ContainsAny(l.Comment, "\r\n\x00"):
		return "a comment mark cannot hold a line end"
	case l.SkipLines < 0:
		return "the number of lines to skip is negative"
	case l.Sample != nil && (l.FrameTime != nil || l.Timestamp != nil):
		return "a row cannot be both a sample and a frame"
	case l.Sample == nil && l.FrameTime == nil && l.Timestamp == nil:
		return "neither a frame time nor a timestamp is named"
	}
	for _, c := range l.columns() {
		switch {
		case c.Index < 0 || c.Index > maxColumns:
			return fmt.Sprintf("there can be no column %d", c.Index)
		case c.Index == 0 && c.Name == "":
			return "a column has neither name nor index"
		case c.Index == 0 && l.NoHeader:
			return fmt.Sprintf("column %q is asked for by name where there is no header", c.Name)
		}
	}
	return l.unitFault()
}

func (l Layout) unitFault() string {
	for _, c := range []*Column{l.FrameTime, l.Timestamp} {
		if c != nil && !c.Unit.isTime() {
			return fmt.Sprintf("%v has no unit of time", *c)
		}
	}
	if l.Sample != nil {
		if what := l.Sample.fault(); what != "" {
			return what
		}
	}
	seen := map[string]bool{}
	for _, x := range l.Extra {
		if x.Key == "" || seen[x.Key] {
			return fmt.Sprintf("the extra %q has no key of its own", x.Key)
		}
		seen[x.Key] = true
		if x.Time != x.Column.Unit.isTime() {
			return fmt.Sprintf("the extra %q has the unit %v", x.Key, x.Column.Unit)
		}
		if what := l.convertFault(x); what != "" {
			return what
		}
	}
	return ""
}

// columns lists every column asked for.
func (l Layout) columns() []Column {
	var all []Column
	for _, c := range []*Column{l.FrameTime, l.Timestamp} {
		if c != nil {
			all = append(all, *c)
		}
	}
	if l.Sample != nil {
		all = append(all, l.Sample.Column)
	}
	if l.KeepRows != nil {
		all = append(all, l.KeepRows.Column)
	}
	for _, x := range l.Extra {
		all = append(all, x.Column)
	}
	return all
}

func (l Layout) delimiter() byte {
	if l.Delimiter == "" {
		return ','
	}
	return l.Delimiter[0]
}

func (l Layout) decimal() byte {
	if l.Decimal == 0 {
		return '.'
	}
	return l.Decimal
}

// canDelimit refuses what belongs to a numeral, a name or the line's form.
func canDelimit(c byte) bool {
	switch {
	case c == '\t':
		return true
	case c < ' ' || c >= 0x7f, c >= '0' && c <= '9', c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z':
		return false
	}
	return !strings.ContainsRune("\"+-._", rune(c))
}

package plan

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// TimeColumn is a log's clock: time since some beginning in Column.Unit, or where Layout is not "" date and time.
type TimeColumn struct {
	Column Column
	Layout string // one of TimeLayouts
}

var errOffset = errors.New(`write a duration with its sign, such as "+2.5s" or "-1m30s"`)

// ParseOffset reads a duration that may be negative.
func ParseOffset(s string) (time.Duration, error) {
	rest, negative := strings.CutPrefix(s, "-")
	if !negative {
		rest = strings.TrimPrefix(s, "+")
	}
	d, err := ParseDuration(rest)
	switch {
	case err != nil:
		return 0, errOffset
	case negative:
		return -d, nil
	}
	return d, nil
}

// TimeLayouts are the forms of date and time that a log may have. The list is short on purpose: with a pattern language of dates a month is
// soon read as a day. A fraction of the second may follow; without a zone, times are on one clock whatever its zone.
var TimeLayouts = []string{"rfc3339", "YYYY-MM-DD hh:mm:ss", "YYYY-MM-DDThh:mm:ss", "YYYY/MM/DD hh:mm:ss", "DD.MM.YYYY hh:mm:ss", "DD/MM/YYYY hh:mm:ss",
	"MM/DD/YYYY hh:mm:ss"}

// clock reads { column, unit } or { column, layout }.
func (f *fields) clock(key string) TimeColumn {
	o, ok := f.object(key, "clock")
	if !ok {
		return TimeColumn{}
	}
	t := TimeColumn{Column: o.columnName()}
	switch unit, layout := o.has("unit"), o.has("layout"); {
	case unit && layout:
		o.l.error(o.rangeOf("layout"), "Time is two things",
			fmt.Sprintf("%s has a unit and a layout.", o.what), "A unit is for elapsed time, a layout for date and time: delete one.")
	case !unit && !layout:
		o.l.error(o.at, "Something is missing", fmt.Sprintf("%s says neither unit nor layout.", o.what), `Add unit = "s" for elapsed time, or layout = "YYYY-MM-DD hh:mm:ss".`)
	}
	t.Column.Unit = o.word("unit", append(slices.Clone(timeUnits), "min")...)
	t.Layout = o.word("layout", TimeLayouts...)
	return t
}

// offset reads what is added to a clock.
func (f *fields) offset(key string) (time.Duration, bool) {
	s, ok := f.form(key, "Not an offset", errOffset)
	if !ok {
		return 0, false
	}
	d, err := ParseOffset(s)
	switch {
	case err != nil:
		f.wrongForm(key, s, "Not an offset", err)
	case d.Abs() > longest:
		f.l.error(f.rangeOf(key), "Duration is impossible", fmt.Sprintf("%s is %s.", f.of(key), s), fmt.Sprintf("It can be %s at most.", formatHours(longest)))
	default:
		f.out[key] = formatDuration(d)
		return d, true
	}
	return 0, false
}

package text

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// Sample finds the time of each row of a log. Without a Form it is elapsed in the column's unit, which may be minutes; with one it is a
// date and time, and the column has no unit.
type Sample struct {
	Column Column
	Form   string
}

// dateForm is how a date and time may be written; a fraction of the second may follow. Those without a zone are taken for UTC, since only
// differences of them count.
type dateForm struct{ name, layout string }

// dateForms is a short list on purpose: with a pattern language of dates a month is soon read as a day.
var dateForms = []dateForm{
	{"rfc3339", time.RFC3339},
	{"YYYY-MM-DD hh:mm:ss", "2006-01-02 15:04:05"},
	{"YYYY-MM-DDThh:mm:ss", "2006-01-02T15:04:05"},
	{"YYYY/MM/DD hh:mm:ss", "2006/01/02 15:04:05"},
	{"DD.MM.YYYY hh:mm:ss", "02.01.2006 15:04:05"},
	{"DD/MM/YYYY hh:mm:ss", "02/01/2006 15:04:05"},
	{"MM/DD/YYYY hh:mm:ss", "01/02/2006 15:04:05"},
}

// Forms lists the names that a Sample's Form may have.
func Forms() (names []string) {
	for _, f := range dateForms {
		names = append(names, f.name)
	}
	return names
}

func (s Sample) fault() string {
	switch {
	case s.Form == "" && !s.Column.Unit.isTime() && s.Column.Unit != Minutes:
		return fmt.Sprintf("%v has neither a unit of time nor a form of date and time", s.Column)
	case s.Form != "" && s.Column.Unit != None:
		return fmt.Sprintf("%v has both a unit and a form", s.Column)
	case s.Form != "" && !slices.Contains(Forms(), s.Form):
		return fmt.Sprintf("there is no form of date and time %q; there are %s", s.Form, strings.Join(Forms(), ", "))
	}
	return ""
}

// extra is the index of the extra of that key, -1 if there is none.
func (l Layout) extra(key string) int {
	return slices.IndexFunc(l.Extra, func(x Extra) bool { return x.Key == key })
}

// convertFault says what is wrong with how an extra is converted.
func (l Layout) convertFault(x Extra) string {
	switch {
	case x.Convert == nil && x.With == "":
		return ""
	case l.Sample == nil || x.Time || x.Convert == nil:
		return fmt.Sprintf("the extra %q cannot be converted", x.Key)
	case x.With == "":
		return ""
	}
	if i := l.extra(x.With); i < 0 || l.Extra[i].Time || l.Extra[i].With != "" {
		return fmt.Sprintf("the extra %q is converted with %q, which is none that can be", x.Key, x.With)
	}
	return ""
}

// sampleTime reads the time of a row, which must lie after that of the last one kept.
func (r *Reader) sampleTime(line []byte, f field) (int64, bool) {
	s := r.layout.Sample
	t, v := elapsed(f.text, r.decimal, s.Column.Unit)
	unit := s.Column.Unit.String()
	if s.Form != "" {
		t, v = dated(f.text, s.Form)
		unit = "years from 1970 to 2200"
	}
	last := r.clock.lastNS
	switch {
	case v == notNumeral && s.Form != "":
		r.bad(line, f, sayDateForm, r.found(f), fmt.Sprintf("expected is %s, such as %s", s.Form, example(s.Form)))
	case v == notNumeral:
		r.bad(line, f, sayStampForm, r.found(f), r.numeralMend(f))
	case v == beyond || t < -maxStampNS || t > maxStampNS:
		r.bad(line, f, sayStampFar, fmt.Sprintf("%s in %s", r.found(f), unit), "check the unit")
	case r.clock.begun && t < last:
		r.bad(line, f, sayStampBack, fmt.Sprintf("%s is %s before that of the last sample kept", r.found(f), time.Duration(last-t)), "")
	case r.clock.begun && t == last:
		r.bad(line, f, sayTimeSame, r.found(f), "two samples of one log cannot be of one time; write times with more digits")
	default:
		return t, true
	}
	return 0, false
}

// elapsed reads a time written in a unit, rounded half to even to a whole nanosecond. A minute is no power of ten of nanoseconds, so it is
// read in thousandths of them first.
func elapsed(b []byte, decimal byte, u Unit) (int64, verdict) {
	if u != Minutes {
		return nanoseconds(b, decimal, u.shift())
	}
	t, v := nanoseconds(b, decimal, 12)
	if v != fine {
		return 0, v
	}
	whole, rest := t/50, t%50 // 60 in 1000 is 3 in 50
	if whole > math.MaxInt64/4 || whole < math.MinInt64/4 {
		return 0, beyond
	}
	return 3*whole + int64(math.RoundToEven(float64(3*rest)/50)), fine
}

// dated reads a date and time as ns since 1970.
func dated(b []byte, name string) (int64, verdict) {
	i := slices.IndexFunc(dateForms, func(f dateForm) bool { return f.name == name })
	t, err := time.Parse(dateForms[i].layout, string(b))
	switch {
	case err != nil:
		return 0, notNumeral
	case t.Year() < 1970 || t.Year() > 2200: // where whole ns fit an int64 with room to spare
		return 0, beyond
	}
	return t.UnixNano(), fine
}

// example is a time of that form.
func example(name string) string {
	i := slices.IndexFunc(dateForms, func(f dateForm) bool { return f.name == name })
	return time.Date(2027, 3, 14, 15, 9, 26, 0, time.UTC).Format(dateForms[i].layout)
}

// convert turns the readings of the row at hand into what is kept of them: first those that need no other, then those that do.
func (r *Reader) convert(line []byte) {
	row := r.block.Rows
	for _, paired := range []bool{false, true} {
		for k := range r.steps {
			st := &r.steps[k]
			if st.role != extraValue || (r.layout.Extra[st.extra].With != "") != paired {
				continue
			}
			x, v := &r.layout.Extra[st.extra], &r.block.Extra[st.extra]
			if x.Convert == nil || !v.Valid[row] {
				continue
			}
			var with float64
			if paired {
				other := &r.block.Extra[st.with]
				if !other.Valid[row] {
					v.null(row)
					continue
				}
				with = other.F[row]
			}
			kept, why := x.Convert(v.F[row], with)
			if why == "" && (math.IsNaN(kept) || math.IsInf(kept, 0)) {
				why = "it has no finite value"
			}
			if why != "" {
				v.null(row)
				r.refused(line, r.fields[k], why)
				continue
			}
			v.F[row] = kept
		}
	}
}

func (v *Values) null(row int) {
	v.Valid[row] = false
	v.Nulls++
}

// refused counts a reading that has no place in its unit.
func (r *Reader) refused(line []byte, f field, why string) {
	r.stats.BadCells++
	if r.cells == maxListed {
		r.unlisted++
		return
	}
	r.cells++
	r.findings.Add(finding.Warning, r.place(line, f.from, f.to), sayRefused, fmt.Sprintf("%s: %s", r.found(f), why), "check the unit of the channel")
}

package plan

import (
	"cmp"
	"fmt"
	"strings"
	"time"
	"unicode"

	"github.com/hashicorp/hcl/v2"
	"github.com/zclconf/go-cty/cty"

	"github.com/rigslate/rigslate/plan/finding"
)

// fields reads the arguments of a block or the keys of an object, which have one form. Each reader checks the kind of value,
// adds its finding, and records what was written for plan.json. Readers of what is not there, or wrong, return false.
type fields struct {
	l     *loader
	what  string // in messages: `card "heron_x"`, `price of card "heron_x"`
	shape shape
	at    hcl.Range // where what is missing is missing
	order []entry
	by    map[string]entry
	out   map[string]any
}

func (l *loader) fieldsOf(s shape, what string, at hcl.Range, es []entry, blocks []string) *fields {
	f := &fields{l: l, what: what, shape: s, at: at, by: map[string]entry{}, out: map[string]any{}}
	known := map[string]bool{}
	for _, k := range s.known() {
		known[k] = true
	}
	for _, e := range es {
		if !s.freeNames && !known[e.key] {
			mend := didYouMean(e.key, s.known())
			for _, b := range blocks {
				if b == e.key {
					mend = fmt.Sprintf("Write it as a block: %s { … }.", b)
				}
			}
			if mend == "" {
				mend = "Delete it."
			}
			l.error(e.keyAt, "Unknown name", fmt.Sprintf("%s has no %s.", what, quote(e.key)), mend)
			continue
		}
		f.order = append(f.order, e)
		f.by[e.key] = e
	}
	for _, k := range s.needs {
		if _, ok := f.by[k]; !ok {
			l.error(at, "Something is missing", fmt.Sprintf("%s has no %s.", what, k), fmt.Sprintf("Add %s = %s", k, cmp.Or(examples[k], "…")))
		}
	}
	return f
}

func (f *fields) has(key string) bool {
	_, ok := f.by[key]
	return ok
}

// place is where a key's value stands, the whole's place if it is not there.
func (f *fields) place(key string) finding.Place { return f.l.place(f.rangeOf(key)) }

func (f *fields) rangeOf(key string) hcl.Range {
	if e, ok := f.by[key]; ok {
		return e.at
	}
	return f.at
}

// of names a key in a message.
func (f *fields) of(key string) string {
	if key == "of" {
		key = quote(key)
	}
	return key + " of " + f.what
}

// typed evaluates a key's value of one type.
func (f *fields) typed(key string, t cty.Type, summary, mend string) (cty.Value, bool) {
	e, ok := f.by[key]
	if !ok {
		return cty.NilVal, false
	}
	return f.l.typed(e.node, f.of(key), t, summary, mend)
}

// typed evaluates a node of one type; what names it in a message.
func (l *loader) typed(n node, what string, t cty.Type, summary, mend string) (cty.Value, bool) {
	v, ok := l.value(n)
	if !ok {
		return cty.NilVal, false
	}
	if v.Type() != t {
		if v.Type() == cty.String && t != cty.String {
			mend = strings.TrimSpace(mend + " Leave out the quotes.")
		}
		l.error(n.at, summary, fmt.Sprintf("%s is %s.", what, describe(v)), mend)
		return cty.NilVal, false
	}
	return v, true
}

// raw reads text of one line, which may be empty.
func (f *fields) raw(key string) (string, bool) {
	v, ok := f.typed(key, cty.String, "Not text", "Write text in quotes.")
	if !ok {
		return "", false
	}
	s := v.AsString()
	if strings.ContainsFunc(s, func(r rune) bool { return unicode.IsControl(r) && r != '\t' }) {
		f.l.error(f.by[key].at, "Text holds control characters", fmt.Sprintf("%s is %s.", f.of(key), quote(s)), "Keep text on one line.")
		return "", false
	}
	return s, true
}

// text reads text that says something; "" where it is absent or wrong.
func (f *fields) text(key string) string {
	s, ok := f.raw(key)
	if ok && strings.TrimSpace(s) == "" {
		f.l.error(f.by[key].at, "Text is empty", fmt.Sprintf("%s says nothing.", f.of(key)), "Write it, or leave the argument out.")
		return ""
	}
	if ok {
		f.out[key] = s
	}
	return s
}

// word reads one of a few words.
func (f *fields) word(key string, known ...string) string {
	s, ok := f.raw(key)
	if !ok {
		return ""
	}
	for _, k := range known {
		if s == k {
			f.out[key] = s
			return s
		}
	}
	mend := oneOf(quoted(known))
	if best := nearest(s, known); best != "" && len(known) > listed {
		mend = fmt.Sprintf("Did you mean %s?", quote(best))
	} else if best != "" {
		mend = fmt.Sprintf("Did you mean %s? %s", quote(best), mend)
	}
	f.l.error(f.by[key].at, "Unknown choice", fmt.Sprintf("%s is %s.", f.of(key), quote(s)), mend)
	return ""
}

func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = quote(w)
	}
	return out
}

// number reads a number from lo to hi.
func (f *fields) number(key string, lo, hi float64) (float64, bool) {
	e, ok := f.by[key]
	if !ok {
		return 0, false
	}
	x, ok := f.l.number(e.node, f.of(key), lo, hi)
	if ok {
		f.out[key] = x
	}
	return x, ok
}

func (l *loader) number(n node, what string, lo, hi float64) (float64, bool) {
	v, ok := l.typed(n, what, cty.Number, "Not a number", "Write a number.")
	if !ok {
		return 0, false
	}
	x, _ := v.AsBigFloat().Float64()
	if !(x >= lo && x <= hi) {
		l.error(n.at, "Number out of range", fmt.Sprintf("%s is %s.", what, formatNumber(x)),
			fmt.Sprintf("Write a number from %s to %s.", formatNumber(lo), formatNumber(hi)))
		return 0, false
	}
	return x, true
}

// whole reads a whole number from lo to hi.
func (f *fields) whole(key string, lo, hi int) (int, bool) {
	e, ok := f.by[key]
	if !ok {
		return 0, false
	}
	n, ok := f.l.whole(e.node, f.of(key), lo, hi)
	if ok {
		f.out[key] = float64(n)
	}
	return n, ok
}

func (l *loader) whole(n node, what string, lo, hi int) (int, bool) {
	x, ok := l.number(n, what, float64(lo), float64(hi))
	if !ok {
		return 0, false
	}
	if i := int(x); float64(i) == x {
		return i, true
	}
	l.error(n.at, "Not a whole number", fmt.Sprintf("%s is %s.", what, formatNumber(x)), "Write a whole number.")
	return 0, false
}

func (f *fields) yes(key string) bool {
	v, ok := f.typed(key, cty.Bool, "Not true or false", "Write true or false.")
	if !ok {
		return false
	}
	f.out[key] = v.True()
	return v.True()
}

// duration reads a length of time that may not be longer than most.
func (f *fields) duration(key string, most time.Duration) (time.Duration, bool) {
	s, ok := f.form(key, "Not a duration", errDuration)
	if !ok {
		return 0, false
	}
	d, err := ParseDuration(s)
	switch {
	case err != nil:
		f.wrongForm(key, s, "Not a duration", err)
	case d > most:
		f.l.error(f.by[key].at, "Duration is impossible", fmt.Sprintf("%s is %s.", f.of(key), s),
			fmt.Sprintf("It can be %s at most.", formatHours(most)))
	default:
		f.out[key] = formatDuration(d)
		return d, true
	}
	return 0, false
}

func formatHours(d time.Duration) string { return formatNumber(d.Hours()) + "h" }

// age reads "180d".
func (f *fields) age(key string) (time.Duration, bool) {
	s, ok := f.form(key, "Not an age", errAge)
	if !ok {
		return 0, false
	}
	d, err := ParseAge(s)
	if err != nil {
		f.wrongForm(key, s, "Not an age", err)
		return 0, false
	}
	f.out[key] = s
	return d, true
}

// percent reads "3%" as 3, from 0 to hi.
func (f *fields) percent(key string, hi float64) (float64, bool) {
	s, ok := f.form(key, "Not a percent", errPercent)
	if !ok {
		return 0, false
	}
	p, err := ParsePercent(s)
	switch {
	case err != nil:
		f.wrongForm(key, s, "Not a percent", err)
	case p > hi:
		f.l.error(f.by[key].at, "Number out of range", fmt.Sprintf("%s is %s.", f.of(key), s), "It can be "+formatPercent(hi)+" at most.")
	default:
		f.out[key] = formatPercent(p)
		return p, true
	}
	return 0, false
}

func (f *fields) date(key string) time.Time {
	s, ok := f.form(key, "Not a date", errDate)
	if !ok {
		return time.Time{}
	}
	t, err := ParseDate(s)
	if err != nil {
		f.wrongForm(key, s, "Not a date", err)
		return time.Time{}
	}
	f.out[key] = t.Format(time.RFC3339)
	return t
}

// form reads text that has one documented form.
func (f *fields) form(key, summary string, form error) (string, bool) {
	v, ok := f.typed(key, cty.String, summary, asMend(form))
	if !ok {
		return "", false
	}
	return v.AsString(), true
}

func (f *fields) wrongForm(key, got, summary string, form error) {
	f.l.error(f.by[key].at, summary, fmt.Sprintf("%s is %s.", f.of(key), quote(got)), asMend(form))
}

// asMend turns a form's error into a sentence.
func asMend(err error) string {
	s := err.Error()
	return strings.ToUpper(s[:1]) + s[1:] + "."
}

// examples show the form of what is most often left out.
var examples = map[string]string{
	"drive":    `"built-in", or "replay", or "by hand".`,
	"keep":     `{ warmup = "10s", length = "60s" }, or "all".`,
	"baseline": `card.NAME.MODE.`,
	"vendor":   `"…"; cards of one vendor share a driver.`,
	"size":     `"3840x2160".`,
	"reason":   `"…".`,
	"max_age":  `"180d".`,
	"unit":     `"ms", or "s", "us", "ns".`,

	"card":        `card.NAME.MODE.`,
	"channels":    `{ core = { column = "…", unit = "C" } }.`,
	"distance_m":  `0.5.`,
	"hold":        `"5m".`,
	"meter_class": `2, or 1.`,
	"steps_pct":   `[30, 45, 60].`,
	"target_c":    `21.`,
	"tax":         `true, or false.`,
	"time":        `{ column = "…", unit = "s" }.`,
	"weighting":   `"A", or "C", "Z".`,
}

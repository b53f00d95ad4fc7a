package plan

import (
	"fmt"
	"strings"
)

// expectation reads what a claim hopes for: exactly one of percent, value, at_least/at_most and same (definitions, section 4).
func (l *loader) expectation(b *block, c *Claim) {
	f, ok := b.object("expect", "expect")
	if !ok {
		return
	}
	for _, key := range []string{"percent", "value", "within", "at_least", "at_most"} {
		lo := -1e9
		switch key {
		case "percent":
			lo = -99.9
		case "within":
			lo = 1e-6
		}
		if x, ok := f.number(key, lo, 1e9); ok {
			c.Expect = append(c.Expect, Number{key, x})
		}
	}
	c.Same = f.yes("same")
	l.checkExpectForm(f, *c)
	l.checkExpectUnit(f, c)
}

func (l *loader) checkExpectForm(f *fields, c Claim) {
	const form = "Write percent and within, value and within, at_least, at_most, or same = true."
	wrong := func(key, detail string) { l.error(f.rangeOf(key), "Claim expects no one thing", detail, form) }
	bound := f.has("at_least") || f.has("at_most")
	kinds := 0
	for _, is := range []bool{f.has("percent"), f.has("value"), bound, f.has("same")} {
		if is {
			kinds++
		}
	}
	switch {
	case kinds == 0:
		wrong("", f.what+" says nothing.")
		return
	case kinds > 1:
		wrong("", f.what+" says several things.")
		return
	}
	near := f.has("percent") || f.has("value")
	switch {
	case near && !f.has("within") && !(c.exact() && f.has("value")):
		wrong("", "How near the figure must be is not said.")
	case !near && f.has("within"):
		wrong("within", "within belongs to percent or value.")
	case f.has("same") && !c.Same:
		wrong("same", "same = false expects nothing.")
	case f.has("same") && c.Against == nil:
		wrong("same", "The claim has no against to be the same as.")
	}
	least, ok1 := hoped(c, "at_least")
	most, ok2 := hoped(c, "at_most")
	if ok1 && ok2 && least >= most {
		wrong("at_most", fmt.Sprintf("at_least is %s, at_most %s.", formatNumber(least), formatNumber(most)))
	}
}

func hoped(c Claim, key string) (float64, bool) {
	for _, n := range c.Expect {
		if n.Key == key {
			return n.Value, true
		}
	}
	return 0, false
}

// checkExpectUnit settles the unit. A claim against another side is in percent where the metric's differences are; everything
// else names its unit, so that 5 never means percent on one line and kelvins on the next.
func (l *loader) checkExpectUnit(f *fields, c *Claim) {
	c.Unit = "%"
	if c.Metric == "" || f.has("same") {
		if f.has("unit") {
			l.error(f.rangeOf("unit"), "Unit does not fit", "same = true has no unit.", "Delete unit.")
		}
		return
	}
	absolute, difference := c.unitsOf()
	want := difference
	if c.Against == nil {
		want = absolute
	}
	unit := f.text("unit")
	switch {
	case c.Kind == OfValue && c.currency() == "":
		return // which price is meant is not known, and that is said
	case c.exact() && unit == absolute && !f.has("percent"):
		want = absolute // nothing is uncertain: a difference may be stated either way
	}
	switch {
	case f.has("percent") && want != "":
		why := fmt.Sprintf("A percent of %s means nothing.", strings.NewReplacer("pp", "a share", "%", "a percent").Replace(absolute))
		if c.Against == nil {
			why = "The claim has no against that a percent could refer to."
		}
		l.error(f.rangeOf("percent"), "Percent does not fit", why, fmt.Sprintf("Write value = …, within = …, unit = %q.", want))
	case f.has("percent") && f.has("unit"):
		l.error(f.rangeOf("unit"), "Unit does not fit", "percent is its own unit.", "Delete unit.")
	case want == "" && f.has("unit") && unit != "%":
		l.error(f.rangeOf("unit"), "Unit does not fit", fmt.Sprintf("Differences of %s are in percent.", c.Metric), "Delete unit.")
	case want != "" && !f.has("unit"):
		l.error(f.at, "Unit is missing", fmt.Sprintf("%s is stated in %s here.", c.Metric, want), fmt.Sprintf("Add unit = %q.", want))
	case want != "" && unit != "" && unit != want:
		l.error(f.rangeOf("unit"), "Unit does not fit", fmt.Sprintf("%s is %s.", f.of("unit"), quote(unit)), fmt.Sprintf("Write unit = %q.", want))
	}
	if want != "" {
		c.Unit = want
	}
}

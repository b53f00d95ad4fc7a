package plan

import "fmt"

// onDie are the sensors that a card reports, in words of the trade.
var onDie = []string{"edge", "hottest", "average", "memory", "regulator", "board"}

func (l *loader) probe(b *block, s Soak) Probe {
	p := Probe{Name: b.name, OnDie: b.word("on_die", onDie...), Thermocouple: b.thermocouple(), Modes: b.modesOf(s), Place: b.at()}
	const kinds = `Write on_die = "edge", or thermocouple = { type = "K", class = 1, place = "…" }.`
	switch die, wire := b.has("on_die"), b.has("thermocouple"); {
	case die && wire:
		l.error(b.header, "Probe is two things", fmt.Sprintf("%s is a sensor of the card and a thermocouple.", b.what), "Make two probes of it.")
	case !die && !wire:
		l.error(b.header, "Something is missing", fmt.Sprintf("%s says neither on_die nor thermocouple.", b.what), kinds)
	}
	if labelForm.MatchString(p.Name) && !keyForm.MatchString(p.Name) {
		l.error(b.nameAt, "Label has a wrong form", fmt.Sprintf("%s names a channel too, and keys have no -.", quote(p.Name)), "Write _ for -.")
	}
	return p
}

func (b *block) thermocouple() *Thermocouple {
	f, ok := b.object("thermocouple", "thermocouple")
	if !ok {
		return nil
	}
	t := &Thermocouple{Type: f.word("type", "K"), Spot: f.text("place"), PerCard: f.yes("per_card")}
	t.Class, _ = f.whole("class", 1, 3)
	if g, ok := f.raw("group"); ok {
		if !keyForm.MatchString(g) || len(g) > maxLabel {
			f.l.error(f.rangeOf("group"), "Label has a wrong form", fmt.Sprintf("%s is %s.", f.of("group"), quote(g)),
				"Groups are lower-case a-z, 0-9 and _, begin with a letter and have at most 40 characters.")
		} else {
			t.Group = g
			f.out["group"] = g
		}
	}
	return t
}

package plan

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/plan/finding"
)

// Channel is one column of a logger's file.
type Channel struct {
	Key          string // the probe's name where it is a probe's temperature
	Column       Column // with its unit: C, F, K, mV, W, rpm, dB, MHz or pct
	At           string // where power is measured, "" for anything else
	ColdJunction string // of mV: key of the channel that logs the temperature of the cold junction
	Place        finding.Place
}

// Quantity is what a channel or a figure is of.
type Quantity string

const (
	Temperature Quantity = "temperature"
	Power       Quantity = "power"
	FanSpeed    Quantity = "fan speed"
	Sound       Quantity = "sound"
	Clock       Quantity = "clock"
	Percent     Quantity = "percent"
)

// channelUnits are the units that a log can state, and what each is a unit of.
var channelUnits = []struct {
	unit string
	of   Quantity
}{{"C", Temperature}, {"F", Temperature}, {"K", Temperature}, {"mV", Temperature}, {"W", Power}, {"rpm", FanSpeed}, {"dB", Sound},
	{"MHz", Clock}, {"pct", Percent}}

// Quantity is what the channel's unit is a unit of.
func (c Channel) Quantity() Quantity {
	for _, u := range channelUnits {
		if u.unit == c.Column.Unit {
			return u.of
		}
	}
	return ""
}

// powerPoints are the places at which power can be measured. Power of unlike ones is never compared.
var powerPoints = []string{"reported chip", "reported board", "in line", "wall"}

// otherSpellings are what people write for the units above.
var otherSpellings = map[string]string{"°c": "C", "degc": "C", "celsius": "C", "°f": "F", "degf": "F", "fahrenheit": "F", "kelvin": "K",
	"watt": "W", "watts": "W", "dba": "dB", "db(a)": "dB", "db(c)": "dB", "1/min": "rpm", "%": "pct", "percent": "pct"}

// wire is a channel with what it was read from, for checks that need all channels of a soak.
type wire struct {
	Channel
	f     *fields
	modes []Mode
}

// channels reads the columns of a log. Units are checked against what the key stands for at once.
func (b *block) channels(s Soak, modes []Mode) ([]Channel, []wire) {
	var cs []Channel
	var ws []wire
	b.eachChannel(func(e entry, f *fields, c Channel) {
		f.checkChannel(c, s)
		if e.key == AmbientNoted || e.key == AmbientNone {
			b.l.error(e.keyAt, "Key is reserved", fmt.Sprintf("from of ambient has a meaning for %s.", quote(e.key)), "Choose another key.")
		}
		cs = append(cs, c)
		ws = append(ws, wire{c, f, modes})
	})
	return cs, ws
}

// eachChannel reads the columns of a log, whatever it is of, and gives each to take.
func (b *block) eachChannel(take func(entry, *fields, Channel)) {
	o, ok := b.object("channels", "free")
	if !ok {
		return
	}
	for _, e := range o.ownKeys() {
		f, ok := o.object(e.key, "channel")
		if !ok {
			continue
		}
		c := Channel{Key: e.key, Column: f.columnName(), At: f.word("at", powerPoints...), ColdJunction: f.text("cold_junction"), Place: o.l.place(e.keyAt)}
		c.Column.Unit = f.channelUnit()
		take(e, f, c)
	}
	if len(o.order) == 0 {
		o.l.error(o.at, "Something is missing", fmt.Sprintf("%s names no column.", o.what), `Add KEY = { column = "…", unit = "C" }.`)
	}
}

func (f *fields) channelUnit() string {
	known := make([]string, len(channelUnits))
	for i, u := range channelUnits {
		known[i] = u.unit
	}
	if !f.has("unit") {
		f.l.error(f.at, "Something is missing", fmt.Sprintf("%s has no unit.", f.what), "Add unit = "+strings.Join(quoted(known), ", ")+".")
		return ""
	}
	s, ok := f.raw("unit")
	if !ok {
		return ""
	}
	if !slices.Contains(known, s) {
		meant := otherSpellings[strings.ToLower(s)]
		for _, k := range known {
			if strings.EqualFold(k, s) {
				meant = k
			}
		}
		if meant != "" {
			f.l.error(f.rangeOf("unit"), "Unknown choice", fmt.Sprintf("%s is %s.", f.of("unit"), quote(s)), fmt.Sprintf("Write %s.", quote(meant)))
			return ""
		}
	}
	return f.word("unit", known...)
}

// checkChannel looks at one channel by itself, the probe and the noise it belongs to.
func (f *fields) checkChannel(c Channel, s Soak) {
	q := c.Quantity()
	if q == "" {
		return // said already
	}
	misfit := func(key, detail, mend string) { f.l.error(f.rangeOf(key), "Unit does not fit", detail, mend) }
	p, isProbe := s.Probe(c.Key)
	switch {
	case isProbe && q != Temperature:
		misfit("unit", fmt.Sprintf("%s is a probe, and %s is no temperature.", c.Key, c.Column.Unit), `Write "C", "F", "K" or "mV", or choose another key.`)
	case c.Column.Unit == "mV" && isProbe && p.Thermocouple == nil:
		misfit("unit", fmt.Sprintf("%s is a sensor of the card, which gives no mV.", c.Key), `Write "C", "F" or "K".`)
	case c.Column.Unit == "mV" && !isProbe:
		misfit("unit", fmt.Sprintf("Nothing says which thermocouple %s is of.", c.Key),
			fmt.Sprintf(`Add probe %q { thermocouple = { type = "K", class = 1, place = "…" } }.`, c.Key))
	}
	f.placeOfPower(q == Power, c.Column.Unit)
	f.needs("cold_junction", c.Column.Unit == "mV", c.Column.Unit, "which channel is the cold junction's",
		"Add cold_junction = with the key of the channel that logs its temperature.", "a voltage in mV")
	if q == Sound && s.Noise == nil {
		f.l.error(f.at, "Something is missing", fmt.Sprintf("soak %s does not say how sound is measured.", quote(s.Name)),
			`Add noise = { distance_m = 0.5, weighting = "A", meter_class = 2 } to it.`)
	}
}

// placeOfPower holds a column to saying where it is measured if it is power, and only then.
func (f *fields) placeOfPower(power bool, unit string) {
	f.needs("at", power, unit, "where power is measured", `Add at = "reported board", or "reported chip", "in line", "wall".`, "power in W")
}

// needs says what is missing, or in a unit that has no use for it too much.
func (f *fields) needs(key string, needed bool, unit, what, add, of string) {
	switch {
	case needed && !f.has(key):
		f.l.error(f.at, "Something is missing", fmt.Sprintf("%s does not say %s.", f.what, what), add)
	case !needed && f.has(key):
		f.l.error(f.rangeOf(key), unfitting, fmt.Sprintf("%s belongs to %s; this is in %s.", key, of, unit), "Delete it.")
	}
}

// checkWires looks at the channels of a soak together: keys, cold junctions, the room, and probes that nothing logs.
func (l *loader) checkWires(s Soak, ws []wire, room *fields) {
	byKey := map[string][]wire{}
	find := func(key string, modes []Mode) (found []wire) {
		for _, w := range byKey[key] {
			if slices.ContainsFunc(w.modes, func(m Mode) bool { return slices.Contains(modes, m) }) {
				found = append(found, w)
			}
		}
		return found
	}
	for _, w := range ws {
		if others := find(w.Key, w.modes); len(others) > 0 {
			l.errorAt(w.Place, "Channel is logged twice", fmt.Sprintf("%s stands at %s too.", quote(w.Key), others[0].Place),
				"Rename one of them, or give the logs cards of their own.")
		}
		byKey[w.Key] = append(byKey[w.Key], w)
	}
	cold := map[string]bool{}
	for _, w := range ws {
		if w.ColdJunction != "" {
			cold[w.ColdJunction] = true
			l.isThermometer(w.f, "cold_junction", w.ColdJunction, find(w.ColdJunction, w.modes), ws)
		}
	}
	if from := s.Ambient.From; from != AmbientNoted && from != AmbientNone {
		cold[from] = true
		l.isThermometer(room, "from", from, find(from, s.Modes), ws)
	}
	for _, w := range ws {
		if _, isProbe := s.Probe(w.Key); !isProbe && w.Quantity() == Temperature && w.Column.Unit != "mV" && !cold[w.Key] {
			l.errorAt(w.Place, "Channel is no probe", fmt.Sprintf("%s is a temperature, and nothing says of what.", quote(w.Key)),
				fmt.Sprintf(`Add probe %q { on_die = "edge" }, or name it in from of ambient.`, w.Key))
		}
	}
}

// isThermometer says where a name is not that of a channel which logs a temperature in degrees.
func (l *loader) isThermometer(f *fields, key, name string, found, all []wire) {
	if len(found) == 0 {
		var known []string
		for _, w := range all {
			if !slices.Contains(known, w.Key) {
				known = append(known, w.Key)
			}
		}
		mend := didYouMean(name, known)
		if mend == "" {
			mend = "Add it to the channels of a log."
		}
		l.error(f.rangeOf(key), "Unknown channel", fmt.Sprintf("No log of the same cards has %s.", quote(name)), mend)
	}
	for _, w := range found {
		if w.Column.Unit != "" && (w.Quantity() != Temperature || key == "cold_junction" && w.Column.Unit == "mV") {
			l.error(f.rangeOf(key), "Unit does not fit", fmt.Sprintf("%s is in %s.", quote(name), w.Column.Unit), "Name a channel that is a temperature in C, F or K.")
			return
		}
	}
}

package plan

import (
	"fmt"
	"slices"
	"strings"
)

// Phases are phases of the supply that carry equally many power stages.
type Phases struct {
	Feeds      string // what they supply: core, memory …
	Count      int
	StagesEach int
}

// raised tells whether a mode's limits are above those that the card is shipped with: it raises some, or has a limit above that of
// the mode `stock`.
func (c Card) raised(m CardMode) bool {
	if slices.ContainsFunc(m.Raises, func(n Number) bool { return n.Value > 0 }) {
		return true
	}
	stock, ok := c.Mode("stock")
	return ok && slices.ContainsFunc(m.Limits, func(n Number) bool {
		return slices.ContainsFunc(stock.Limits, func(o Number) bool { return o.Key == n.Key && n.Value > o.Value })
	})
}

// Facts lists what is stated of a card in a mode as numbers, units in the names: the body as written, parts and connectors, the memory,
// phases and stages, limits. What is worked out of these by more than counting is not among them.
func (c Card) Facts(mode string) []Number {
	ns := slices.Clone(c.Body)
	for _, n := range c.PartsG {
		ns = append(ns, Number{n.Key + "_g", n.Value})
	}
	for _, n := range c.Connectors {
		ns = append(ns, Number{"connector_" + n.Key, n.Value})
	}
	if m := c.Memory; m != nil {
		ns = append(ns, Number{"memory_rate_gtps", m.RateGTps}, Number{"memory_bus_bits", float64(m.BusBits)})
	}
	phases, stages := 0, 0
	for _, p := range c.Phases {
		phases += p.Count
		stages += p.Count * p.StagesEach
	}
	if phases > 0 {
		ns = append(ns, Number{"phases", float64(phases)}, Number{"power_stages", float64(stages)})
	}
	if m, ok := c.Mode(mode); ok {
		for _, n := range m.Limits {
			ns = append(ns, Number{"limit_" + n.Key, n.Value})
		}
	}
	return ns
}

// Derived names the facts that follow from what is stated by more than counting: the memory's bandwidth, and which share of the card's
// mass each part has.
func (c Card) Derived() (names []string) {
	if c.Memory != nil {
		names = append(names, Bandwidth)
	}
	if slices.ContainsFunc(c.Body, func(n Number) bool { return n.Key == Mass }) {
		for _, n := range c.PartsG {
			names = append(names, PartShare(n.Key))
		}
	}
	return names
}

// Names of facts that others are worked out from, or that are worked out.
const (
	Mass      = "mass_g"
	Bandwidth = "memory_bandwidth_gbps"
)

// PartShare names the share that a part has of the card's mass.
func PartShare(part string) string { return part + "_share_pct" }

// Fact returns one of Facts.
func (c Card) Fact(mode, key string) (x float64, ok bool) {
	for _, n := range c.Facts(mode) {
		if n.Key == key {
			return n.Value, true
		}
	}
	return 0, false
}

// units are the endings by which a name says its unit.
var units = []struct{ ending, unit string }{
	{"_mm", "mm"}, {"_cm", "cm"}, {"_g", "g"}, {"_kg", "kg"}, {"_w", "W"}, {"_mhz", "MHz"}, {"_c", "°C"}, {"_k", "K"}, {"_db", "dB"},
	{"_rpm", "rpm"}, {"_pct", "%"}, {"_v", "V"}, {"_mv", "mV"}, {"_a", "A"}, {"_gtps", "GT/s"}, {"_bits", "bit"}, {"_gb", "GB"},
	{"_mm2", "mm²"}, {"_cm3", "cm³"}, {"_gbps", "GB/s"},
}

// WithoutUnit is a fact's name without the ending that says its unit.
func WithoutUnit(name string) string {
	for _, u := range units {
		if bare, ok := strings.CutSuffix(name, u.ending); ok {
			return bare
		}
	}
	return name
}

// unitOf is the unit that a name ends with, "" if it has none.
func unitOf(name string) string {
	for _, u := range units {
		if strings.HasSuffix(name, u.ending) {
			return u.unit
		}
	}
	return ""
}

// measured are names that say a quantity and no unit, with what they could be.
var measured = map[string]string{"length": "length_mm", "height": "height_mm", "width": "width_mm", "depth": "depth_mm", "thickness": "thickness_mm",
	"mass": "mass_g", "weight": "mass_g"}

// body reads the card's sizes and masses, whose names are the reviewer's own.
func (b *block) body() []Number {
	ns := b.numbers("body")
	for _, n := range ns {
		if with := measured[n.Key]; with != "" {
			b.l.warning(b.rangeOf("body"), "Unit is missing",
				fmt.Sprintf("%s of the card is %s, and nothing says of what.", n.Key, formatNumber(n.Value)), fmt.Sprintf("Write %s if that is its unit.", with))
		}
	}
	return ns
}

// parts reads the masses of parts, which cannot add up to more than the card's.
func (b *block) parts(body []Number) []Number {
	ns := b.positive("parts_g", 1e6)
	sum := 0.0
	for _, n := range ns {
		sum += n.Value
	}
	i := slices.IndexFunc(body, func(n Number) bool { return n.Key == Mass })
	if i >= 0 && sum > body[i].Value {
		b.l.warning(b.rangeOf("parts_g"), "Parts weigh more than the card",
			fmt.Sprintf("They add up to %s g; the card has %s g.", formatNumber(sum), formatNumber(body[i].Value)), "Mend one of the masses.")
	}
	return ns
}

// positive reads numbers under names of the reviewer's own, each above zero.
func (f *fields) positive(key string, most float64) []Number {
	o, ok := f.object(key, "free")
	if !ok {
		return nil
	}
	var ns []Number
	for _, e := range o.ownKeys() {
		if x, ok := o.number(e.key, 1e-6, most); ok {
			ns = append(ns, Number{e.key, x})
		}
	}
	return ns
}

func (b *block) connectors() []Number {
	o, ok := b.object("connectors", "free")
	if !ok {
		return nil
	}
	var ns []Number
	for _, e := range o.ownKeys() {
		if n, ok := o.whole(e.key, 1, 100); ok {
			ns = append(ns, Number{e.key, float64(n)})
		}
	}
	return ns
}

func (b *block) phases() []Phases {
	var ps []Phases
	for _, f := range b.objects("phases", "phases") {
		p := Phases{Feeds: f.text("feeds"), StagesEach: 1}
		p.Count, _ = f.whole("count", 1, 1000)
		if n, ok := f.whole("stages_each", 1, 100); ok {
			p.StagesEach = n
		}
		ps = append(ps, p)
	}
	return ps
}

// limits reads a mode's limits, each with its unit in the name.
func (m *block) limits() []Number {
	ns := m.positive("limit", 1e6)
	for _, n := range ns {
		if unitOf(n.Key) == "" {
			m.l.error(m.rangeOf("limit"), "Unit is missing", fmt.Sprintf("%s of limit is %s, and nothing says of what.", quote(n.Key), formatNumber(n.Value)),
				"Write the unit into the name, such as power_w, core_mhz or temperature_c.")
		}
	}
	return ns
}

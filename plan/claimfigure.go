package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// ClaimKind is what a claim's figure is of.
type ClaimKind string

const (
	OfPasses ClaimKind = ""      // a figure of passes, over cells
	OfSoak   ClaimKind = "soak"  // a bench measurement
	OfValue  ClaimKind = "value" // a price, or a price and frame rates over cells
	OfFact   ClaimKind = "fact"  // a physical fact: exact
)

// OfCells tells a claim that rests on cells of the matrix.
func (c Claim) OfCells() bool {
	return c.Kind == OfPasses || c.Kind == OfValue && c.Metric != "price"
}

// exact tells a figure that has no uncertainty: it may be expected to the digit.
func (c Claim) exact() bool { return c.Kind == OfFact || c.Metric == "price" }

func (c Claim) currency() string {
	if c.Price == nil {
		return ""
	}
	return c.Price.Currency
}

// figure reads what a claim is about and checks that its sides have it. known says that both sides are.
func (l *loader) figure(b *block, c *Claim, known bool) {
	names := slices.Clone(Metrics)
	for _, m := range SoakMetrics {
		names = append(names, m.Name)
	}
	c.Metric = b.word("metric", slices.Concat(names, ValueMetrics)...)
	fact := b.text("fact")
	switch {
	case b.has("metric") && b.has("fact"):
		l.error(b.rangeOf("fact"), "Claim is of two figures", fmt.Sprintf("%s has a metric and a fact.", b.what), "Delete one of them.")
		return
	case !b.has("metric") && !b.has("fact"):
		l.error(b.header, "Something is missing", fmt.Sprintf("%s has no metric.", b.what), `Add metric = "mean_fps", or another figure, or fact = "length_mm".`)
		return
	case b.has("fact"):
		c.Kind, c.Metric = OfFact, fact
	case slices.Contains(ValueMetrics, c.Metric):
		c.Kind = OfValue
	default:
		if _, ok := soakMetric(c.Metric, b.has("soak")); ok {
			c.Kind = OfSoak
		}
	}
	l.unfit(b, *c)
	switch c.Kind {
	case OfPasses:
		l.sensedByPasses(b, *c)
	case OfSoak:
		l.ofSoak(b, c, known)
	case OfValue:
		l.ofValue(b, c, known)
	case OfFact:
		l.ofFact(b, c, known)
	}
}

// unfit reports arguments that belong to claims of another kind.
func (l *loader) unfit(b *block, c Claim) {
	if c.Metric == "" {
		return
	}
	figure, _ := soakMetric(c.Metric, c.Kind == OfSoak)
	q := figure.Of
	threshold := c.Metric == "fan_start_c" || c.Metric == "fan_stop_c"
	for _, a := range []struct {
		key  string
		fits bool
		to   string
	}{
		{"where", c.OfCells(), "figures over cells"}, {"soak", c.Kind == OfSoak, "figures of a soak"}, {"probe", q == Temperature || threshold, "temperatures"},
		{"group", q == Temperature, "temperatures"}, {"at", q == Power, "power of a soak"}, {"channel", q == FanSpeed || q == Clock, "fans and clocks"},
		{"price", c.Kind == OfValue, strings.Join(ValueMetrics, ", ")},
	} {
		if b.has(a.key) && !a.fits {
			l.error(b.rangeOf(a.key), unfitting, fmt.Sprintf("%s belongs to %s; this is %s.", a.key, a.to, c.Metric), "Delete it, or mend metric.")
		}
	}
}

func (c Claim) sides() []Mode {
	if c.Against == nil {
		return []Mode{c.Of}
	}
	return []Mode{c.Of, *c.Against}
}

// sideKeys are where the sides stand.
var sideKeys = []string{"of", "against"}

func (l *loader) ofFact(b *block, c *Claim, known bool) {
	if c.Metric == "" || !known {
		return
	}
	for i, m := range c.sides() {
		card, _ := l.plan.Card(m.Card)
		derived := card.Derived()
		if _, ok := card.Fact(m.Mode, c.Metric); ok || slices.Contains(derived, c.Metric) {
			continue
		}
		var names []string
		for _, n := range card.Facts(m.Mode) {
			names = append(names, n.Key)
		}
		names = append(names, derived...)
		at := b.rangeOf("fact")
		if i > 0 {
			at = b.rangeOf(sideKeys[i])
		}
		l.error(at, "Fact is not stated", fmt.Sprintf("card.%s states no %s.", m.Card, quote(c.Metric)),
			cmp.Or(didYouMean(c.Metric, names), fmt.Sprintf("Add it to the card, such as body = { %s = … }.", c.Metric)))
		return
	}
}

func (l *loader) ofValue(b *block, c *Claim, known bool) {
	f, ok := b.object("price", "claim price")
	if !ok {
		if !b.has("price") {
			l.error(b.header, "Something is missing", fmt.Sprintf("%s does not say which price.", b.what), `Add price = { kind = "list" }.`)
		}
		return
	}
	k := PriceKind{Kind: f.text("kind"), Currency: f.currency(), Where: f.text("place")}
	if f.has("tax") {
		tax := f.yes("tax")
		k.Tax = &tax
	}
	c.Price = &k
	if c.Metric == "break_even_price" && c.Against == nil && !b.has("against") {
		l.error(b.header, "Something is missing", fmt.Sprintf("%s has no against to break even with.", b.what), "Add against = card.NAME.MODE.")
	}
	if !known || k.Kind == "" {
		return
	}
	var first *Price
	sides := c.sides()
	if c.Metric == "break_even_price" {
		sides = sides[len(sides)-1:] // the price of the side named by of is what is sought
	}
	for _, m := range sides {
		card, _ := l.plan.Card(m.Card)
		ps := card.PricesOf(k)
		if len(ps) == 0 {
			l.error(f.at, "Price is not stated", fmt.Sprintf("card.%s has no such price.", m.Card), "Add it to the card, or name another kind.")
			return
		}
		for _, p := range ps {
			if first == nil {
				first = &p
			}
			switch {
			case p.Where != ps[0].Where:
				l.error(f.at, "Several where one is meant", fmt.Sprintf("card.%s has a %s price of %s and one of %s.", m.Card, k.Kind, quote(ps[0].Where), quote(p.Where)),
					"Add place = … to say which is meant.")
				return
			case !p.sameTerms(*first):
				l.error(f.at, "Prices are unlike", fmt.Sprintf("One is %s, the other %s.", first.terms(), p.terms()), "Say which are meant by currency and tax, or state like ones.")
				return
			}
		}
	}
	k.Currency = first.Currency // worked out, not written
}

func (l *loader) ofSoak(b *block, c *Claim, known bool) {
	r, ok := b.one("soak", "soak")
	if !ok {
		if !b.has("soak") {
			l.error(b.header, "Something is missing", fmt.Sprintf("%s does not say in which soak.", b.what), "Add soak = soak.NAME.")
		}
		return
	}
	c.Soak, c.Probe, c.ProbeGroup, c.At, c.Channel = r.name, b.text("probe"), b.text("group"), b.word("at", powerPoints...), b.text("channel")
	if !known || !l.soaksKnown {
		return
	}
	s, _ := l.plan.Soak(c.Soak)
	for i, m := range c.sides() {
		if !l.inSoak(b.fields, sideKeys[i], s, m) {
			return
		}
	}
	figure, _ := soakMetric(c.Metric, true)
	switch figure.Of {
	case Temperature:
		l.ofProbe(b, *c, s)
	case Sound:
		if s.Noise == nil {
			l.error(b.rangeOf("soak"), "Figure is not measured",
				fmt.Sprintf("soak.%s has no noise.", s.Name), `Add noise = { distance_m = 0.5, weighting = "A", meter_class = 2 } to it.`)
		}
	case Power:
		l.ofPower(b, c, s)
	case FanSpeed, Clock:
		l.ofChannel(b, c, s, figure.Of)
	}
	if (c.Metric == "energy_per_frame_j" || c.Metric == "frames_per_joule") && s.Frames == nil {
		l.error(b.rangeOf("soak"), "Figure is not measured", fmt.Sprintf("soak.%s logs no frames.", s.Name), "Add a frames block to it.")
	}
}

// ofProbe checks that a temperature says of what, and that both sides have it.
func (l *loader) ofProbe(b *block, c Claim, s Soak) {
	switch probe, group := b.has("probe"), b.has("group"); {
	case probe && group:
		l.error(b.rangeOf("group"), "Claim is of two figures", fmt.Sprintf("%s has a probe and a group.", b.what), "Delete one of them.")
	case !probe && !group:
		var names []string
		for _, p := range s.Probes {
			names = append(names, p.Name)
		}
		l.error(b.header, "Something is missing", fmt.Sprintf("%s does not say of which probe.", b.what), fmt.Sprintf("Add probe = … %s", oneOf(names)))
	case probe && c.Probe != "":
		for _, m := range c.sides() {
			if !l.onMode(b.fields, "probe", s, c.Probe, m) {
				return
			}
		}
	case group && c.ProbeGroup != "":
		for _, m := range c.sides() {
			if len(s.Group(c.ProbeGroup, m)) > 0 {
				continue
			}
			var known []string
			for _, p := range s.Probes {
				if p.Thermocouple != nil && p.Thermocouple.Group != "" && !slices.Contains(known, p.Thermocouple.Group) {
					known = append(known, p.Thermocouple.Group)
				}
			}
			l.error(b.rangeOf("group"), "Unknown group",
				fmt.Sprintf("No probe of soak.%s on %s has the group %s.", s.Name, m, quote(c.ProbeGroup)), didYouMean(c.ProbeGroup, known))
			return
		}
	}
	if (c.Metric == "rise_k" || c.Metric == "normalised_c") && s.Ambient.From == AmbientNone {
		l.error(b.rangeOf("soak"), "Figure is not measured",
			fmt.Sprintf("soak.%s says that nobody measured the room.", s.Name), "Claim end_c, or measure the room and say from where in ambient.")
	}
}

// ofPower checks that both sides are measured at one and the same place.
func (l *loader) ofPower(b *block, c *Claim, s Soak) {
	places := make([][]string, 0, 2)
	for _, m := range c.sides() {
		places = append(places, l.powerAt(s, m))
	}
	for i, at := range places {
		switch {
		case len(at) == 0:
			l.error(b.rangeOf(sideKeys[i]), "Figure is not measured", fmt.Sprintf("Nothing in soak.%s measures power of %s.", s.Name, c.sides()[i]),
				`Add a channel in W to its log, or a reading with power_w.`)
			return
		case c.At != "" && !slices.Contains(at, c.At):
			l.error(b.rangeOf("at"), "Claim compares unlike measurements", fmt.Sprintf("Power of %s is measured %s.", c.sides()[i], quote(strings.Join(at, `", "`))),
				"Power of unlike places is never compared: measure both sides alike, or name another place.")
			return
		}
	}
	if c.At != "" || b.has("at") {
		return
	}
	for i, at := range places {
		if len(at) > 1 {
			l.error(b.header, "Several where one is meant", fmt.Sprintf("Power of %s is measured %s.", c.sides()[i], strings.Join(at, ", ")), fmt.Sprintf("Add at = %q.", at[0]))
			return
		}
		if at[0] != places[0][0] {
			l.error(b.rangeOf("against"), "Claim compares unlike measurements", fmt.Sprintf("%s against %s.", places[0][0], at[0]),
				"Power of unlike places is never compared: measure both sides alike.")
			return
		}
	}
	c.At = places[0][0]
}

// powerAt lists where power of a mode is measured in a soak, in a log or by hand.
func (l *loader) powerAt(s Soak, m Mode) []string {
	var at []string
	for _, ch := range s.Channels(m) {
		if ch.Quantity() == Power {
			at = append(at, ch.At)
		}
	}
	for _, r := range l.plan.Readings {
		if r.Soak == s.Name && r.Mode == m && r.Get("power_w") != nil {
			at = append(at, r.At)
		}
	}
	return slices.Compact(slices.Sorted(slices.Values(at)))
}

// ofChannel settles which fan or clock is meant where a soak logs several, and that both sides have it.
func (l *loader) ofChannel(b *block, c *Claim, s Soak, quantity Quantity) {
	key := "rpm"
	switch {
	case quantity == Clock:
		key = "clock_mhz"
	case c.Metric != "fan_typical_rpm":
		key = c.Metric
	}
	chosen := make([]string, 0, 2)
	for i, m := range c.sides() {
		if c.Probe != "" && !l.onMode(b.fields, "probe", s, c.Probe, m) {
			return
		}
		var keys []string
		for _, ch := range s.Channels(m) {
			if ch.Quantity() == quantity {
				keys = append(keys, ch.Key)
			}
		}
		noted := slices.ContainsFunc(l.plan.Readings, func(r Reading) bool { return r.Soak == s.Name && r.Mode == m && r.Get(key) != nil })
		switch {
		case b.has("channel") && !slices.Contains(keys, c.Channel):
			if c.Channel != "" {
				l.error(b.rangeOf("channel"), "Unknown channel",
					fmt.Sprintf("No log of %s in soak.%s has %s as %s.", m, s.Name, quote(c.Channel), quantity), didYouMean(c.Channel, keys))
			}
			return
		case len(keys) == 0 && !noted:
			l.error(b.rangeOf(sideKeys[i]), "Figure is not measured", fmt.Sprintf("Nothing in soak.%s measures the %s of %s.", s.Name, quantity, m),
				fmt.Sprintf("Add a channel to its log, or a reading with %s.", key))
			return
		case len(keys) > 1 && c.Channel == "":
			l.error(b.header, "Several where one is meant", fmt.Sprintf("soak.%s logs %s.", s.Name, strings.Join(keys, ", ")), fmt.Sprintf("Add channel = %q.", keys[0]))
			return
		}
		chosen = append(chosen, strings.Join(keys, ""))
	}
	if c.Channel == "" && chosen[0] == chosen[len(chosen)-1] {
		c.Channel = chosen[0]
	}
}

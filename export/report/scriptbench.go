package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan"
)

// spokenOfSoaks are the figures of soaks that have sentences, as the script goes through them.
var spokenOfSoaks = []struct {
	heading string
	figures []string
}{
	{"## Temperatures", []string{"rise_k", "end_c", "sustained_peak_c"}}, {"## Noise", []string{"sound_level_db"}},
	{"## Power", []string{"mean_power_w", "peak_1s_power_w", "energy_per_frame_j"}}, {"## Clocks and fans", []string{"clock_median_mhz", "fan_typical_rpm"}},
}

// atTheBench is what may be said of soaks, each against the baseline's.
func (c *script) atTheBench() {
	for _, part := range spokenOfSoaks {
		var lines []string
		for _, name := range part.figures {
			for _, r := range measuredReading.of(c.Tables.Readings) {
				if r.Figure == name && c.spokenOfBench(r) {
					lines = append(lines, c.benchLine(r))
				}
			}
		}
		c.section(part.heading, slices.DeleteFunc(lines, func(l string) bool { return l == "" }))
	}
}

// spokenOfBench reports whether a difference of soaks has a sentence in the script.
func (b *book) spokenOfBench(r reading) bool {
	listed := false
	for _, part := range spokenOfSoaks {
		listed = listed || slices.Contains(part.figures, r.Figure)
	}
	return listed && baseOf(r) == b.Words.Baseline && !(r.Figure == "end_c" && b.hasRise(r))
}

// hasRise says whether the same soak and probe have a rise over ambient: two rooms are not alike, so that is what is said then.
func (b *book) hasRise(r reading) bool {
	return slices.ContainsFunc(b.Tables.Readings, func(x reading) bool {
		return x.Figure == "rise_k" && x.BaseCard != nil && x.Card == r.Card && deref(x.Mode) == deref(r.Mode) && deref(x.Protocol) == deref(r.Protocol) &&
			deref(x.Sensor) == deref(r.Sensor) && deref(x.ProbeGroup) == deref(r.ProbeGroup) && x.Value != nil
	})
}

// ofBench words a difference of two cards' soaks; ok is false where the figure has no sentence.
func (b *book) ofBench(r reading) (x said, ok bool) {
	m, ok := compute.SoakMetric(r.Figure)
	if !ok || r.Verdict == nil {
		return x, false
	}
	w := b.Words.Statistics
	s := speech.Subject{Metric: m, Of: b.Words.Called(ofReading(r)), Base: b.Words.Called(baseOf(r)), Where: b.load(deref(r.Protocol)),
		MarginPct: compute.Kinds{Percent: w.MarginPct, K: w.MarginK, DB: w.MarginDB}.Of(m)}
	if m.Unit == "°C" || m.Unit == "K" {
		if s.Part = deref(r.Sensor); r.ProbeGroup != nil {
			s.Part = "hottest of the " + *r.ProbeGroup
		}
	}
	return compared(s, r.Verdict, r.Value, r.CILow, r.CIHigh, m.Scale == compute.Ratio), true
}

func (c *script) benchLine(r reading) string {
	x, ok := c.ofBench(r)
	if !ok {
		return ""
	}
	m := x.subject.Metric
	warn, at := "", ""
	if of, base := c.soaked(r, ofReading(r)), c.soaked(r, baseOf(r)); of.OK && base.OK && m.Scale == compute.Ratio &&
		compute.CalculatorDiffers(x.spoken, of.X, base.X, m.Decimals, x.subject.MarginPct) {
		warn = careful
	}
	if r.MeasuredAt != nil {
		at = "measured: " + escaped(*r.MeasuredAt)
	}
	return c.put(x, at, escaped(deref(r.Note)), warn)
}

// soaked is the geometric mean of a card's soaks in the figure that a difference is of, at the decimals that each is displayed with.
func (c *script) soaked(d reading, m Mode) compute.Value {
	sum, n := 0.0, 0
	for _, r := range c.Tables.Readings {
		if r.BaseCard == nil && ofReading(r) == m && r.Figure == d.Figure && deref(r.Protocol) == deref(d.Protocol) && r.Repeat != nil &&
			(d.Sensor == nil || deref(r.Sensor) == *d.Sensor) && deref(r.MeasuredAt) == deref(d.MeasuredAt) && r.Value != nil && *r.Value > 0 {
			sum += math.Log(*r.Value)
			n++
		}
	}
	if n == 0 {
		return compute.Absent("no soak")
	}
	return compute.Known(math.Exp(sum / float64(n)))
}

// load words the load of a soak: "30 min of Fjord (plain) at uhd".
func (b *book) load(soak string) string {
	for _, p := range b.Words.Protocols {
		if p.Soak != soak {
			continue
		}
		load := p.Load
		for _, g := range b.Words.Games {
			if rest, ok := strings.CutPrefix(load, g.Game+"·"+g.Variant); ok && (rest == "" || rest[0] == ' ' || rest[0] == ',') {
				return minutes(p.LengthS) + " of " + b.Words.gameCalled(g.Game, g.Variant) + rest
			}
		}
		return minutes(p.LengthS) + " of " + load
	}
	return soak
}

// worth is what may be said of prices and of what a frame costs.
func (c *script) worth() {
	var prices, frames []string
	for _, r := range valueReading.of(c.Tables.Readings) {
		x, ok := c.ofValue(r)
		switch {
		case !ok:
		case r.Figure == "price":
			note := ""
			if r.PriceOn != nil {
				note = " on " + escaped(*r.PriceOn)
			}
			prices = append(prices, escaped(x.sentence)+" As stated"+note+".")
		case r.Figure == "price_per_fps":
			warn := ""
			if of, base := c.perFrame(r, ofReading(r)), c.perFrame(r, baseOf(r)); of != nil && base != nil &&
				compute.CalculatorDiffers(x.spoken, *of, *base, compute.PricePerFPS.Decimals, x.subject.MarginPct) {
				warn = careful
			}
			frames = append(frames, c.put(x, warn))
		default:
			frames = append(frames, escaped(x.sentence)+" "+x.figures)
		}
	}
	c.section("## Value", append(prices, slices.DeleteFunc(frames, func(l string) bool { return l == "" })...))
}

// ofValue words a price, what a frame costs beside the base, or a price to break even at; ok is false where nothing may be said.
func (b *book) ofValue(r reading) (x said, ok bool) {
	p := speech.Priced{Subject: speech.Subject{Metric: compute.PricePerFPS, Of: b.Words.cardTitle(r.Card), Base: b.Words.cardTitle(deref(r.BaseCard)),
		MarginPct: b.Words.Statistics.MarginPct}, Kind: deref(r.PriceKind), Currency: deref(r.PriceCurrency)}
	switch {
	case r.Figure == "price" && r.BaseCard == nil && r.Value != nil:
		return said{subject: p.Subject, sentence: p.Costs(*r.Value)}, true
	case r.Mode == nil || r.Resolution == nil || r.BaseCard == nil || r.Value == nil:
		return x, false
	}
	p.Of, p.Base, p.Where = b.Words.Called(ofReading(r)), b.Words.Called(baseOf(r)), fmt.Sprintf("%d games at %s", deref(r.Games), *r.Resolution)
	if deref(r.Games) == 1 {
		p.Where = "1 game at " + *r.Resolution
	}
	x.subject = p.Subject
	switch r.Figure {
	case "price_per_fps":
		x.verdict, x.figures = compute.Verdict(deref(r.Verdict)), withInterval(r.Value, r.CILow, r.CIHigh, "%")
		x.spoken = compute.Speak(x.verdict, value(r.Value), value(r.CILow), value(r.CIHigh))
		x.sentence = p.PerFrame(x.spoken)
		return x, true
	case "break_even_price":
		for _, beside := range b.Tables.Readings {
			if beside.Figure == "price" && beside.BaseCard == nil && beside.Card == deref(r.BaseCard) && deref(beside.PriceKind) == p.Kind &&
				deref(beside.PriceCurrency) == p.Currency && beside.Value != nil {
				x.sentence, x.figures = p.BreakEven(value(r.CILow), value(r.CIHigh), *beside.Value), number(*r.Value, 2)+" "+escaped(p.Currency)
				return x, x.sentence != ""
			}
		}
	}
	return x, false
}

// perFrame is what a frame a second costs on one side of a comparison.
func (c *script) perFrame(d reading, m Mode) *float64 {
	for _, r := range c.Tables.Readings {
		if r.Figure == d.Figure && r.BaseCard == nil && ofReading(r) == m && deref(r.Resolution) == deref(d.Resolution) && deref(r.PriceKind) == deref(d.PriceKind) {
			return r.Value
		}
	}
	return nil
}

// exact is what may be said of facts: exact, so without an interval.
func (c *script) exact() {
	var lines []string
	for _, f := range c.ofFacts() {
		lines = append(lines, escaped(f.sentence))
	}
	c.section("## Facts", lines)
}

// spokenFact is a fact of a card with its sentence.
type spokenFact struct {
	reading
	sentence string
}

// ofFacts words the facts of all cards but the baseline's, beside which they are set.
func (b *book) ofFacts() (out []spokenFact) {
	base := map[string]reading{}
	all := factReading.of(b.Tables.Readings)
	name := func(r reading) string { return r.Figure + "\x00" + deref(r.Mode) }
	for _, r := range all {
		if r.BaseCard == nil && r.Card == b.Words.Baseline.Card && r.Value != nil {
			base[name(r)] = r
			base[r.Figure+"\x00"] = r
		}
	}
	for _, r := range all {
		if r.BaseCard != nil || r.Value == nil || r.Card == b.Words.Baseline.Card {
			continue
		}
		unit, apart := plan.FactUnits(r.Figure)
		if unit == r.Figure {
			unit = ""
		}
		s := speech.Subject{Metric: compute.Metric{Title: figureTitle(r.Figure), Unit: unit}, Of: b.Words.cardTitle(r.Card), Base: b.Words.cardTitle(b.Words.Baseline.Card)}
		if unit == "g" && s.Metric.Title != "mass" {
			s.Metric.Title = "mass of the " + s.Metric.Title // of a part of the card
		}
		if r.Mode != nil {
			s.Of = b.Words.Called(ofReading(r))
		}
		if apart == "" {
			apart = unit
		}
		if apart == "pp" {
			apart = "percentage points"
		}
		f := spokenFact{r, s.Fact(*r.Value)}
		if beside, ok := base[name(r)]; ok && beside.Unit == r.Unit {
			f.sentence = s.FactApart(*r.Value, *beside.Value, false, apart)
		}
		out = append(out, f)
	}
	return out
}

// hopes are the claims: what was hoped, what came of it, and what may be said.
func (c *script) hopes() {
	beside := map[string]ClaimWords{}
	for _, w := range c.Words.Claims {
		beside[w.Claim] = w
	}
	var lines []string
	for _, r := range c.Tables.Claims {
		w := beside[r.Claim]
		line := fmt.Sprintf("“%s”: **%s**", escaped(r.Says), escaped(r.Verdict))
		if r.Leaning != nil {
			line += ", leaning " + escaped(*r.Leaning)
		}
		line += "."
		if w.Hoped != "" {
			line += fmt.Sprintf(" Hoped: %s. Found: %s.", escaped(w.Hoped), escaped(w.Found))
		}
		switch r.Verdict {
		case string(compute.Supported), string(compute.Fits):
			line += " It may be said."
		default:
			line += " It may not be said."
		}
		if r.Said != nil {
			line += " The data say: " + escaped(*r.Said)
		}
		if strings.Contains(deref(r.Flags), "calculator_differs") {
			line += " " + careful + "."
		}
		for _, n := range append(slices.Clone(w.Notes), c.Words.minds(r)...) {
			if n == "calculator differs" { // said above
				continue
			}
			line += " Mind: " + escaped(n) + "."
		}
		lines = append(lines, line)
	}
	c.section("## What was hoped", lines)
}

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan"
)

// atTheBench is what may be said of soaks, each against the baseline's.
func (c *script) atTheBench() {
	for _, part := range []struct {
		heading string
		figures []string
	}{
		{"## Temperatures", []string{"rise_k", "end_c", "sustained_peak_c"}}, {"## Noise", []string{"sound_level_db"}},
		{"## Power", []string{"mean_power_w", "peak_1s_power_w", "energy_per_frame_j"}}, {"## Clocks and fans", []string{"clock_median_mhz", "fan_typical_rpm"}},
	} {
		var lines []string
		for _, name := range part.figures {
			for _, r := range measuredReading.of(c.Tables.Readings) {
				if r.Figure == name && baseOf(r) == c.Words.Baseline && !(name == "end_c" && c.hasRise(r)) {
					lines = append(lines, c.benchLine(r))
				}
			}
		}
		c.section(part.heading, slices.DeleteFunc(lines, func(l string) bool { return l == "" }))
	}
}

// hasRise says whether the same soak and probe have a rise over ambient: two rooms are not alike, so that is what is said then.
func (c *script) hasRise(r reading) bool {
	return slices.ContainsFunc(c.Tables.Readings, func(x reading) bool {
		return x.Figure == "rise_k" && x.BaseCard != nil && x.Card == r.Card && deref(x.Mode) == deref(r.Mode) && deref(x.Protocol) == deref(r.Protocol) &&
			deref(x.Sensor) == deref(r.Sensor) && deref(x.ProbeGroup) == deref(r.ProbeGroup) && x.Value != nil
	})
}

func (c *script) benchLine(r reading) string {
	m, ok := compute.SoakMetric(r.Figure)
	if !ok || r.Verdict == nil {
		return ""
	}
	w := c.Words.Statistics
	s := speech.Subject{Metric: m, Of: c.spokenName(ofReading(r)), Base: c.spokenName(baseOf(r)), Where: c.load(deref(r.Protocol)),
		MarginPct: compute.Kinds{Percent: w.MarginPct, K: w.MarginK, DB: w.MarginDB}.Of(m)}
	if m.Unit == "°C" || m.Unit == "K" {
		if s.Part = deref(r.Sensor); r.ProbeGroup != nil {
			s.Part = "hottest of the " + *r.ProbeGroup
		}
	}
	x := compared(s, r.Verdict, r.Value, r.CILow, r.CIHigh, m.Scale == compute.Ratio)
	warn, at := "", ""
	if of, base := c.soaked(r, ofReading(r)), c.soaked(r, baseOf(r)); of.OK && base.OK && m.Scale == compute.Ratio &&
		compute.CalculatorDiffers(x.spoken, of.X, base.X, m.Decimals, s.MarginPct) {
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
func (c *script) load(soak string) string {
	for _, p := range c.Words.Protocols {
		if p.Soak != soak {
			continue
		}
		load := p.Load
		for _, g := range c.Words.Games {
			if rest, ok := strings.CutPrefix(load, g.Game+"·"+g.Variant); ok && (rest == "" || rest[0] == ' ' || rest[0] == ',') {
				return minutes(p.LengthS) + " of " + c.spokenGame(g.Game, g.Variant) + rest
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
		p := speech.Priced{Subject: speech.Subject{Metric: compute.PricePerFPS, Of: c.cardTitle(r.Card), Base: c.cardTitle(deref(r.BaseCard)),
			MarginPct: c.Words.Statistics.MarginPct}, Kind: deref(r.PriceKind), Currency: deref(r.PriceCurrency)}
		switch {
		case r.Figure == "price" && r.BaseCard == nil && r.Value != nil:
			note := ""
			if r.PriceOn != nil {
				note = " on " + escaped(*r.PriceOn)
			}
			prices = append(prices, escaped(p.Costs(*r.Value))+" As stated"+note+".")
		case r.Mode == nil || r.Resolution == nil || r.BaseCard == nil || r.Value == nil:
		default:
			p.Of, p.Base, p.Where = c.spokenName(ofReading(r)), c.spokenName(baseOf(r)), fmt.Sprintf("%d games at %s", deref(r.Games), *r.Resolution)
			if deref(r.Games) == 1 {
				p.Where = "1 game at " + *r.Resolution
			}
			frames = append(frames, c.worthLine(r, p))
		}
	}
	c.section("## Value", append(prices, slices.DeleteFunc(frames, func(l string) bool { return l == "" })...))
}

func (c *script) worthLine(r archive.ReadingRow, p speech.Priced) string {
	switch r.Figure {
	case "price_per_fps":
		x := said{verdict: compute.Verdict(deref(r.Verdict)), figures: withInterval(r.Value, r.CILow, r.CIHigh, "%")}
		x.spoken = compute.Speak(x.verdict, value(r.Value), value(r.CILow), value(r.CIHigh))
		x.sentence = p.PerFrame(x.spoken)
		warn := ""
		if of, base := c.perFrame(r, ofReading(r)), c.perFrame(r, baseOf(r)); of != nil && base != nil &&
			compute.CalculatorDiffers(x.spoken, *of, *base, compute.PricePerFPS.Decimals, p.MarginPct) {
			warn = careful
		}
		return c.put(x, warn)
	case "break_even_price":
		for _, b := range c.Tables.Readings {
			if b.Figure == "price" && b.BaseCard == nil && b.Card == deref(r.BaseCard) && deref(b.PriceKind) == p.Kind && deref(b.PriceCurrency) == p.Currency && b.Value != nil {
				sentence := p.BreakEven(value(r.CILow), value(r.CIHigh), *b.Value)
				if sentence == "" {
					return ""
				}
				return escaped(sentence) + fmt.Sprintf(" %s %s", number(*r.Value, 2), escaped(p.Currency))
			}
		}
	}
	return ""
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
	base := map[string]reading{}
	all := factReading.of(c.Tables.Readings)
	name := func(r reading) string { return r.Figure + "\x00" + deref(r.Mode) }
	for _, r := range all {
		if r.BaseCard == nil && r.Card == c.Words.Baseline.Card && r.Value != nil {
			base[name(r)] = r
			base[r.Figure+"\x00"] = r
		}
	}
	for _, r := range all {
		if r.BaseCard != nil || r.Value == nil || r.Card == c.Words.Baseline.Card {
			continue
		}
		unit, apart := plan.FactUnits(r.Figure)
		if unit == r.Figure {
			unit = ""
		}
		s := speech.Subject{Metric: compute.Metric{Title: figureTitle(r.Figure), Unit: unit}, Of: c.cardTitle(r.Card), Base: c.cardTitle(c.Words.Baseline.Card)}
		if unit == "g" && s.Metric.Title != "mass" {
			s.Metric.Title = "mass of the " + s.Metric.Title // of a part of the card
		}
		if r.Mode != nil {
			s.Of = c.spokenName(ofReading(r))
		}
		if apart == "" {
			apart = unit
		}
		if apart == "pp" {
			apart = "percentage points"
		}
		if b, ok := base[name(r)]; ok && b.Unit == r.Unit {
			lines = append(lines, escaped(s.FactApart(*r.Value, *b.Value, false, apart)))
		} else {
			lines = append(lines, escaped(s.Fact(*r.Value)))
		}
	}
	c.section("## Facts", lines)
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
		for _, n := range w.Notes {
			line += " Mind: " + escaped(n) + "."
		}
		lines = append(lines, line)
	}
	c.section("## What was hoped", lines)
}

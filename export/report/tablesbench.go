package report

import (
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/sheets"
	"github.com/rigslate/rigslate/plan"
)

type reading = archive.ReadingRow

// figureTitle is what a figure is called whose name is that of the archive, without its unit.
func figureTitle(name string) string {
	if name == "mean_fps" {
		return "mean frame rate"
	}
	for _, m := range []func(string) (compute.Metric, bool){compute.SoakMetric, compute.MetricByName} {
		if m, ok := m(name); ok {
			return m.Title
		}
	}
	for _, e := range benchEntries() {
		if e.Name == name {
			return e.Shown()
		}
	}
	if part, ok := strings.CutSuffix(name, plan.PartShare("")); ok {
		return strings.ReplaceAll(part, "_", " ") + " share of the mass"
	}
	title := strings.ReplaceAll(plan.WithoutUnit(name), "_", " ")
	if rest, ok := strings.CutPrefix(title, "limit "); ok {
		return rest + " limit"
	}
	if rest, ok := strings.CutPrefix(title, "connector "); ok {
		return rest + " connectors"
	}
	return title
}

// which readings a table is of.
func (r readingKind) of(all []reading) (out []reading) {
	for _, x := range all {
		if kindOf(x) == r {
			out = append(out, x)
		}
	}
	return out
}

type readingKind int

const (
	measuredReading readingKind = iota // at the bench
	factReading                        // stated of a card
	valueReading                       // resting on a price
)

func kindOf(r reading) readingKind {
	switch {
	case r.PriceKind != nil || strings.HasPrefix(r.Figure, "price"):
		return valueReading
	case r.Protocol == nil && r.Sensor == nil && strings.HasPrefix(deref(r.Source), "card."):
		return factReading
	}
	return measuredReading
}

func ofReading(r reading) Mode { return Mode{r.Card, deref(r.Mode)} }

func baseOf(r reading) Mode { return Mode{deref(r.BaseCard), deref(r.BaseMode)} }

// bench is a row for each figure of a soak or a fan sweep, and for each difference from another card's.
func (b *book) bench() sheets.Table {
	number := func(title string, of func(reading) *float64) column[reading] {
		return figure(title, "", 2, func(r reading) *float64 { return inPercent(of(r), r.Unit == "share") })
	}
	return tabulate("bench", "A row is a figure measured at the bench, or what it differs by from another card's.", measuredReading.of(b.Tables.Readings),
		who(b, ofReading), []column[reading]{
			word("soak or sweep", func(r reading) *string { return r.Protocol }), counted("repeat", func(r reading) *int32 { return r.Repeat }),
			figure("fan step", "%", 0, func(r reading) *float64 { return r.FanPct }),
			words("figure", func(r reading) string { return figureTitle(r.Figure) }),
			word("sensor", func(r reading) *string { return r.Sensor }), word("probe group", func(r reading) *string { return r.ProbeGroup }),
			word("measured at", func(r reading) *string { return r.MeasuredAt }),
			words("against", func(r reading) string { return b.against(baseOf(r)) }),
			number("value", func(r reading) *float64 { return r.Value }), words("unit", func(r reading) string { return readingUnit(r) }),
			word("in words", func(r reading) *string { return r.Text }),
			number("± (expanded, 95 %)", func(r reading) *float64 { return r.Expanded }),
			number("95 % from", func(r reading) *float64 { return r.CILow }), number("95 % to", func(r reading) *float64 { return r.CIHigh }),
			word("verdict", func(r reading) *string { return r.Verdict }), figure("room", "°C", 1, func(r reading) *float64 { return r.AmbientC }),
			counted("rests on", func(r reading) *int32 { return r.N }), words("flags", func(r reading) string { return spaced(r.Flags) }),
			words("notes", func(r reading) string { return notesOn(r) }),
			words("figure in the plan", func(r reading) string { return r.Figure }),
		}, cardInPlan(ofReading))
}

func readingUnit(r reading) string {
	switch {
	case r.Unit == "share":
		return "%"
	case r.Unit == "pp":
		return "percentage points"
	}
	return r.Unit
}

// notesOn are a reading's notes, and why it has no value or no uncertainty.
func notesOn(r reading) string {
	var out []string
	for _, s := range []*string{r.Note, r.Why} {
		if s != nil && *s != "" && !strings.HasPrefix(*s, "exact: ") {
			out = append(out, *s)
		}
	}
	return strings.Join(out, "; ")
}

// fact is what is stated of a card, and how far that is from the baseline's.
type fact struct {
	reading
	apart, ratio *reading
}

// facts is a row for each fact of each card.
func (b *book) facts() sheets.Table {
	all := factReading.of(b.Tables.Readings)
	var rows []fact
	type name struct{ card, mode, figure string }
	apart := map[name]*reading{}
	for i, r := range all {
		if r.BaseCard != nil {
			apart[name{r.Card, deref(r.Mode), r.Figure}] = &all[i]
		}
	}
	for _, r := range all {
		if r.BaseCard == nil {
			n := name{r.Card, deref(r.Mode), r.Figure}
			ratio := n
			ratio.figure += "_ratio"
			rows = append(rows, fact{r, apart[n], apart[ratio]})
		}
	}
	difference := func(title string, of func(reading) *float64) column[fact] {
		return figure(title, "", 1, func(f fact) *float64 {
			if f.apart == nil {
				return nil
			}
			return of(*f.apart)
		})
	}
	return tabulate("facts", "A row is a fact of a card, as stated.", rows, []column[fact]{
		words("fact", func(f fact) string { return figureTitle(f.Figure) }),
	}, who(b, func(f fact) Mode { return ofReading(f.reading) }), []column[fact]{
		figure("value", "", 1, func(f fact) *float64 { return f.Value }), words("unit", func(f fact) string { return f.Unit }),
		word("in words", func(f fact) *string { return f.Text }),
		words("against", func(f fact) string {
			if f.apart == nil {
				return ""
			}
			return b.against(baseOf(*f.apart))
		}),
		difference("difference", func(r reading) *float64 { return r.Value }),
		words("unit of the difference", func(f fact) string {
			if f.apart == nil {
				return ""
			}
			return readingUnit(*f.apart)
		}),
		figure("difference in percent", "%", 1, func(f fact) *float64 {
			if f.ratio == nil || f.ratio.Value == nil {
				return nil
			}
			percent := 100 * (*f.ratio.Value - 1)
			return &percent
		}),
		word("notes", func(f fact) *string { return f.Note }), words("fact in the plan", func(f fact) string { return f.Figure }),
	}, cardInPlan(func(f fact) Mode { return ofReading(f.reading) }))
}

// value is a row for each price and each figure that rests on one.
func (b *book) value() sheets.Table {
	return tabulate("value", "A row is a price, a figure that rests on one, or what it differs by from another card's.", valueReading.of(b.Tables.Readings),
		who(b, ofReading), []column[reading]{
			words("figure", func(r reading) string { return figureTitle(r.Figure) }), word("resolution", func(r reading) *string { return r.Resolution }),
			words("against", func(r reading) string { return b.against(baseOf(r)) }),
			figure("value", "", 2, func(r reading) *float64 { return r.Value }), words("unit", func(r reading) string { return readingUnit(r) }),
			figure("95 % from", "", 2, func(r reading) *float64 { return r.CILow }), figure("95 % to", "", 2, func(r reading) *float64 { return r.CIHigh }),
			word("verdict", func(r reading) *string { return r.Verdict }), counted("games", func(r reading) *int32 { return r.Games }),
			counted("cells left out", func(r reading) *int32 { return r.LeftOut }), figure("price", "", 2, func(r reading) *float64 { return r.Price }),
			word("currency", func(r reading) *string { return r.PriceCurrency }), word("kind of price", func(r reading) *string { return r.PriceKind }),
			words("with tax", func(r reading) string {
				if r.PriceTax == nil {
					return ""
				}
				return map[bool]string{true: "yes", false: "no"}[*r.PriceTax]
			}),
			word("place", func(r reading) *string { return r.PricePlace }), word("on", func(r reading) *string { return r.PriceOn }),
			words("flags", func(r reading) string { return spaced(r.Flags) }), words("notes", func(r reading) string { return notesOn(r) }),
			words("figure in the plan", func(r reading) string { return r.Figure }),
		}, cardInPlan(ofReading))
}

// soaks is a row for each soak that was to be made.
func (b *book) soaks() sheets.Table {
	protocols := map[string]ProtocolWords{}
	for _, p := range b.Words.Protocols {
		protocols[p.Soak] = p
	}
	return tabulate("soaks", "A row is a planned soak.", b.Words.Soaks, []column[SoakWords]{
		words("soak", func(s SoakWords) string { return s.Soak }),
	}, who(b, func(s SoakWords) Mode { return s.Mode }), []column[SoakWords]{
		count("repeat", func(s SoakWords) int32 { return int32(s.Repeat) }), words("state", func(s SoakWords) string { return s.State }),
		words("load", func(s SoakWords) string { return protocols[s.Soak].Load }),
		figure("length", "s", 0, func(s SoakWords) *float64 { return seconds(protocols[s.Soak].LengthS) }),
		figure("end is the last", "s", 0, func(s SoakWords) *float64 { return seconds(protocols[s.Soak].SettleS) }),
		words("reasons", func(s SoakWords) string { return strings.Join(s.Why, "; ") }),
		words("notes", func(s SoakWords) string { return strings.Join(s.Notes, "; ") }),
	}, cardInPlan(func(s SoakWords) Mode { return s.Mode }))
}

func seconds(n int) *float64 {
	x := float64(n)
	return &x
}

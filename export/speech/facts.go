package speech

import (
	"fmt"
	"math"
	"strconv"

	"github.com/rigslate/rigslate/compute"
)

// adjectives are what more and less of a fact are called, by its title.
var adjectives = map[string][2]string{
	"length": {"longer", "shorter"}, "height": {"taller", "lower"}, "width": {"wider", "narrower"}, "depth": {"deeper", "shallower"},
	"thickness": {"thicker", "thinner"}, "mass": {"heavier", "lighter"},
}

// Fact is the sentence on a fact of a card alone. The metric's unit is "" for what is counted.
func (s Subject) Fact(x float64) string {
	if s.Metric.Unit == "" {
		return fmt.Sprintf("%s has %s %s.", s.Of, plain(x), s.Metric.Title)
	}
	return fmt.Sprintf("The %s of %s is %s %s.", s.Metric.Title, s.Of, plain(x), s.Metric.Unit)
}

// FactApart is the sentence on a fact of two cards, in whole percent or in the unit of a difference.
func (s Subject) FactApart(of, base float64, percent bool, unit string) string {
	switch {
	case of == base && s.Metric.Unit == "":
		return fmt.Sprintf("%s and %s have %s %s each.", s.Of, s.Base, plain(of), s.Metric.Title)
	case of == base:
		return fmt.Sprintf("%s and %s have the same %s, %s %s.", s.Of, s.Base, s.Metric.Title, plain(of), s.Metric.Unit)
	case s.Metric.Unit == "" && !percent:
		return fmt.Sprintf("%s has %s %s, %s has %s.", s.Of, plain(of), s.Metric.Title, s.Base, plain(base))
	}
	size := plain(math.Abs(of-base)) + " " + unit
	if percent {
		size = wholePercent(of, base)
	}
	words := adjectives[s.Metric.Title]
	if words[0] == "" {
		return fmt.Sprintf("The %s of %s is %s %s than that of %s.", s.Metric.Title, s.Of, size, pick(of > base, "higher", "lower"), s.Base)
	}
	return fmt.Sprintf("%s is %s %s than %s.", s.Of, size, pick(of > base, words[0], words[1]), s.Base)
}

// wholePercent words how far one exact figure is from another.
func wholePercent(of, base float64) string {
	size := math.Abs(100 * (of/base - 1))
	return compute.Spoken{Percent: int(math.Round(size)), Under: size < 1}.Size()
}

// plain gives an exact number with as many decimals as it has, two at most.
func plain(x float64) string { return strconv.FormatFloat(math.Round(100*x)/100, 'f', -1, 64) }

// money gives an amount with its hundredths where it has any.
func money(x float64) string {
	if x == math.Trunc(x) {
		return strconv.FormatFloat(x, 'f', 0, 64)
	}
	return strconv.FormatFloat(x, 'f', 2, 64)
}

// Priced is a subject whose figures rest on prices of a kind, "list" or "street", in a currency.
type Priced struct {
	Subject
	Kind, Currency string
}

func (p Priced) at() string { return " at " + p.Kind + " price" }

func (p Priced) in() string { return p.at() + " in " + p.Where }

// Costs is the sentence on a price alone.
func (p Priced) Costs(amount float64) string {
	return fmt.Sprintf("%s costs %s %s%s.", p.Of, money(amount), p.Currency, p.at())
}

// CostsApart is the sentence on two prices, in whole percent or in the currency.
func (p Priced) CostsApart(of, base float64, percent bool) string {
	size := money(math.Abs(of-base)) + " " + p.Currency
	switch {
	case of == base:
		return fmt.Sprintf("%s and %s cost the same%s, %s %s.", p.Of, p.Base, p.at(), money(of), p.Currency)
	case percent:
		size = wholePercent(of, base)
	}
	return fmt.Sprintf("%s costs %s %s than %s%s.", p.Of, size, pick(of > base, "more", "less"), p.Base, p.at())
}

// PerFrame is the strongest sentence on what a frame costs beside the base, "" where nothing may be said.
func (p Priced) PerFrame(spoken compute.Spoken) string {
	switch {
	case !spoken.OK:
		return ""
	case spoken.Verdict == compute.Level:
		return fmt.Sprintf("%s and %s cost the same per frame%s, within %s percent.", p.Of, p.Base, p.in(), number(p.MarginPct))
	case spoken.Verdict == compute.Unresolved:
		return fmt.Sprintf("There is no difference we can resolve between %s and %s in what a frame costs%s.", p.Of, p.Base, p.in())
	}
	return p.perFrame(spoken.Size(), spoken.Higher)
}

// PerFrameAtLeast says how much more or less a frame costs at the least, in whole percent, "" where that is below one.
func (p Priced) PerFrameAtLeast(d, low, high compute.Value) string {
	size := atLeast(d, low, high)
	if size == "" {
		return ""
	}
	return p.perFrame(size, d.X > 0)
}

func (p Priced) perFrame(size string, higher bool) string {
	return fmt.Sprintf("%s costs %s %s per frame than %s%s.", p.Of, size, pick(higher, "more", "less"), p.Base, p.in())
}

// PerFrameAlone is the sentence on a price per frame rate by itself.
func (p Priced) PerFrameAlone(x, low, high compute.Value) string {
	if !x.OK {
		return ""
	}
	decimals := 2
	if x.X >= 100 {
		decimals = 0
	}
	said := func(y compute.Value) string { return strconv.FormatFloat(y.X, 'f', decimals, 64) }
	figure := said(x) + " " + p.Currency
	switch {
	case !low.OK || !high.OK:
		return fmt.Sprintf("What a frame a second costs on %s%s is not known to any accuracy: %s without an interval.", p.Of, p.in(), figure)
	case said(low) != said(high):
		figure = "about " + figure
	}
	return fmt.Sprintf("%s costs %s for each frame a second%s.", p.Of, figure, p.in())
}

// BreakEven says below which price a card is worth it and above which it is not, beside a base that costs baseAmount; "" without an
// interval. Both are rounded to whole amounts away from the estimate, so that neither says more than the interval.
func (p Priced) BreakEven(low, high compute.Value, baseAmount float64) string {
	if !low.OK || !high.OK {
		return ""
	}
	return fmt.Sprintf("%s is worth it below %.0f %s, and not above %.0f %s, beside %s at a %s price of %s %s in %s.", p.Of, math.Floor(low.X), p.Currency,
		math.Ceil(high.X), p.Currency, p.Base, p.Kind, money(baseAmount), p.Currency, p.Where)
}

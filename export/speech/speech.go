// Package speech words figures as they may be said on camera: whole percents, the direction always, "about" where the interval is
// wide, and no more than the data carry (definitions, section 4). It takes numbers and names and knows no review; sentences are
// put together here alone, so that a screen, a page and an archive say the same.
package speech

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/compute"
)

// Subject is who is compared, with whom, in which figure and where: "fjord at uhd", "3 games at uhd". Base is empty for a figure
// that stands alone.
type Subject struct {
	Metric          compute.Metric
	Of, Base, Where string
	Part            string  // of the card that a temperature is of, such as "board"
	MarginPct       float64 // in the metric's unit where it has no percent
}

// Difference is the strongest sentence that a comparison carries, "" where nothing may be said.
func (s Subject) Difference(spoken compute.Spoken) string {
	if !spoken.OK {
		return ""
	}
	in := ""
	if s.Where != "" {
		in = " in " + s.Where
	}
	switch spoken.Verdict {
	case compute.Level:
		return fmt.Sprintf("%s and %s are the same%s%s, within %s %s.", s.Of, s.Base, s.aspect(), in, number(s.MarginPct), s.points())
	case compute.Unresolved:
		return fmt.Sprintf("There is no difference we can resolve between %s and %s%s%s.", s.Of, s.Base, s.aspect(), in)
	}
	return s.compared(spoken.Size(), spoken.Higher, in)
}

// AtLeast says how far a lead or deficit goes at the least, in whole percent, "" where that is below one.
func (s Subject) AtLeast(d compute.Value, low, high compute.Value) string {
	size := atLeast(d, low, high)
	if size == "" {
		return ""
	}
	return s.compared(size, d.X > 0, " in "+s.Where)
}

// atLeast words the whole percent that a difference has at the least, "" where its direction is not sure or no percent is left.
func atLeast(d, low, high compute.Value) string {
	if !d.OK || !low.OK || !high.OK || low.X <= 0 && high.X >= 0 {
		return ""
	}
	least := math.Floor(min(math.Abs(low.X), math.Abs(high.X)))
	if least < 1 {
		return ""
	}
	return fmt.Sprintf("at least %.0f percent", least)
}

// Points is the sentence on a lead or deficit in a metric whose differences are in its unit and not in percent.
func (s Subject) Points(v compute.Verdict, d, low, high compute.Value) string {
	switch {
	case v == compute.Level || v == compute.Unresolved:
		return s.Difference(compute.Spoken{OK: true, Verdict: v})
	case v != compute.Ahead && v != compute.Behind || !d.OK || !low.OK || !high.OK:
		return ""
	}
	factor, unit := 1.0, s.Metric.DifferenceUnit()
	if unit == "share" {
		factor, unit = 100, "percentage points"
	}
	size := math.Abs(d.X) * factor
	about := ""
	if (high.X-low.X)*factor/2 > size/2 {
		about = "about "
	}
	return s.compared(about+strconv.FormatFloat(size, 'f', 1, 64)+" "+unit, d.X > 0, " in "+s.Where)
}

// Alone is the sentence on a figure by itself: "Heron X runs at about 158 fps in fjord at uhd."
func (s Subject) Alone(x, low, high compute.Value) string {
	if !x.OK {
		return ""
	}
	factor, unit := 1.0, s.Metric.MeanUnit()
	switch {
	case s.Metric.Unit == "share":
		factor, unit = 100, "percent"
	case s.Metric.Scale == compute.Count:
		unit = "a minute"
	}
	decimals := 0 // two digits at the least: 9.5 fps is not spoken as 10
	for size := math.Abs(factor * x.X); size < 10 && decimals < 2; size *= 10 {
		decimals++
	}
	said := func(y compute.Value) string { return strconv.FormatFloat(factor*y.X, 'f', decimals, 64) }
	figure := said(x) + " " + unit
	switch {
	case !low.OK || !high.OK:
		return fmt.Sprintf("%s in %s is not known to any accuracy: %s without an interval.", s.possessive(), s.Where, figure)
	case said(low) != said(high):
		figure = "about " + figure
	}
	if s.Metric.Name == "mean_fps" {
		return fmt.Sprintf("%s runs at %s in %s.", s.Of, figure, s.Where)
	}
	return fmt.Sprintf("%s is %s in %s.", s.possessive(), figure, s.Where)
}

func (s Subject) compared(size string, higher bool, in string) string {
	of, base := s.Of, s.Base
	if s.Part != "" {
		of, base = "The "+s.Part+" of "+s.Of, "that of "+s.Base
	}
	if phrase := s.phrase(higher); phrase != "" {
		return fmt.Sprintf("%s %s than %s%s.", of, fmt.Sprintf(phrase, size), base, in)
	}
	return fmt.Sprintf("%s is %s %s than that of %s%s.", s.possessive(), size, pick(higher, "higher", "lower"), s.Base, in)
}

// phrase is what a difference is called where the figure has words of its own, around the size; "" where it has none.
func (s Subject) phrase(higher bool) string {
	warmer := pick(higher, "hotter", "cooler")
	switch s.Metric.Name {
	case "mean_fps":
		return "is %s " + pick(higher, "faster", "slower")
	case "sound_level_db":
		return "is %s " + pick(higher, "louder", "quieter")
	case "mean_power_w":
		return "draws %s " + pick(higher, "more", "less")
	case "end_c":
		return "ends %s " + warmer
	case "rise_k":
		return "ends %s " + warmer + " above its room"
	case "normalised_c":
		return "ends %s " + warmer + ", worked out for one room,"
	case "peak_c", "sustained_peak_c":
		return "peaks %s " + pick(higher, "higher", "lower")
	}
	return ""
}

func (s Subject) aspect() string {
	if s.Metric.Name == "mean_fps" {
		return ""
	}
	return " in " + s.figure()
}

// figure names a metric without which of its kinds it is.
func (s Subject) figure() string {
	name, _, _ := strings.Cut(s.Metric.Title, ",")
	if s.Part != "" {
		name += " of the " + s.Part
	}
	if s.Metric.Scale == compute.Count {
		return "rate of " + name
	}
	return name
}

func (s Subject) points() string {
	switch {
	case s.Metric.Scale != compute.Difference:
		return "percent"
	case s.Metric.Unit != "share" && s.Metric.Unit != "%":
		return s.Metric.DifferenceUnit()
	case s.MarginPct == 1:
		return "percentage point"
	}
	return "percentage points"
}

// possessive gives "The 1 % low of Heron X".
func (s Subject) possessive() string { return "The " + s.figure() + " of " + s.Of }

func pick(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

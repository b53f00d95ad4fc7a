package history

import (
	"fmt"
	"slices"
	"strings"
)

// Comparability says whether two stored cells may be set side by side.
type Comparability string

const (
	Comparable    Comparability = "comparable"
	WithReserve   Comparability = "with_reserve"
	NotComparable Comparability = "not_comparable"
)

// Facts are the circumstances of a cell in an edition. Lists hold what its passes record, sorted, each once, and "" where some pass
// records nothing.
type Facts struct {
	Rig         []string
	Fixed       string // what the plan says of the rig, but for its operating system
	OS          string
	Definitions string
	Build       []string
	Settings    string // of the variant: preset, API and whatever else the plan states
	Preset, API []string
	Mode        string // what the plan says of the card's mode: limits raised or set, settings of its own
	Scene       []string
	Drive       []string
	Size        []string // width×height
	Warmup      []string
	Length      []string
	MeasuredAt  []string
	Quantile    string // type of the quantiles, where the figure is one
	Driver      []string
	Firmware    []string
	Sample      []string
}

// Difference is one circumstance in which two cells differ, or of which it is not known whether they do. Grave ones make cells not comparable.
type Difference struct {
	What    string `json:"what"`
	Earlier string `json:"earlier"`
	Later   string `json:"later"`
	Grave   bool   `json:"grave"`
}

func (d Difference) String() string {
	return fmt.Sprintf("%s %s against %s", d.What, d.Later, d.Earlier)
}

// NotRecorded stands for a circumstance that some pass does not record.
const NotRecorded = "not recorded"

// How a circumstance counts that differs, or that one side or both do not record.
type circumstance struct {
	what      string
	of        func(Facts) []string
	grave     bool // it makes cells not comparable where both sides record it and differ
	unstated  bool // where neither side records it nothing is known: with reserve. Else the plans leave it to the game, alike
	ofOneCard bool // it is the card's own, and says nothing where cards differ
	ofBench   bool // a bridge leads over it
}

func one(of func(Facts) string) func(Facts) []string {
	return func(f Facts) []string { return []string{of(f)} }
}

// circumstances are in the order in which differences are listed. Driver, operating system, the card's firmware and which sample it was move
// results, and are what a look back is after: with reserve. The others make it another test.
var circumstances = []circumstance{
	{what: "definitions", of: one(func(f Facts) string { return f.Definitions }), grave: true},
	{what: "rig", of: func(f Facts) []string { return f.Rig }, grave: true, unstated: true, ofBench: true},
	{what: "rig's fixed facts", of: one(func(f Facts) string { return f.Fixed }), grave: true, ofBench: true},
	{what: "build", of: func(f Facts) []string { return f.Build }, grave: true, unstated: true, ofBench: true},
	{what: "settings", of: one(func(f Facts) string { return f.Settings }), grave: true},
	{what: "mode", of: one(func(f Facts) string { return f.Mode }), grave: true, ofOneCard: true},
	{what: "preset", of: func(f Facts) []string { return f.Preset }, grave: true},
	{what: "API", of: func(f Facts) []string { return f.API }, grave: true},
	{what: "scene", of: func(f Facts) []string { return f.Scene }, grave: true},
	{what: "drive", of: func(f Facts) []string { return f.Drive }, grave: true},
	{what: "resolution", of: func(f Facts) []string { return f.Size }, grave: true, unstated: true},
	{what: "warm-up", of: func(f Facts) []string { return f.Warmup }, grave: true, unstated: true},
	{what: "length", of: func(f Facts) []string { return f.Length }, grave: true},
	{what: "measured at", of: func(f Facts) []string { return f.MeasuredAt }, grave: true, unstated: true},
	{what: "type of quantile", of: one(func(f Facts) string { return f.Quantile }), grave: true},
	{what: "driver", of: func(f Facts) []string { return f.Driver }, unstated: true, ofBench: true},
	{what: "OS", of: one(func(f Facts) string { return f.OS }), unstated: true, ofBench: true},
	{what: "firmware", of: func(f Facts) []string { return f.Firmware }, ofOneCard: true},
	{what: "sample", of: func(f Facts) []string { return f.Sample }, ofOneCard: true},
}

// Compare says whether two cells of one card may be set side by side, and lists what differs.
func Compare(earlier, later Facts) (Comparability, []Difference) {
	found := differences(earlier, later, func(circumstance) bool { return true })
	word := Comparable
	for _, d := range found {
		switch {
		case d.Grave:
			return NotComparable, found
		default:
			word = WithReserve
		}
	}
	return word, found
}

// differences lists the circumstances asked for that differ or are not known to agree.
func differences(earlier, later Facts, asked func(circumstance) bool) (found []Difference) {
	for _, c := range circumstances {
		if !asked(c) {
			continue
		}
		was, is := c.of(earlier), c.of(later)
		known := func(values []string) bool { return len(values) > 0 && !slices.Contains(values, "") }
		switch bothKnown := known(was) && known(is); {
		case bothKnown && !slices.Equal(was, is):
			found = append(found, Difference{c.what, shown(was), shown(is), c.grave})
		case !bothKnown && (c.unstated || !slices.Equal(was, is)):
			found = append(found, Difference{c.what, shown(was), shown(is), false})
		}
	}
	return found
}

func shown(values []string) string {
	var words []string
	for _, v := range values {
		if v == "" {
			v = NotRecorded
		}
		words = append(words, v)
	}
	if len(words) == 0 {
		return NotRecorded
	}
	return strings.Join(words, " and ")
}

// signature is what must agree for two cells to be of one test wherever and whenever it is done.
func (f Facts) signature() string {
	var b strings.Builder
	for _, c := range circumstances {
		if c.grave && !c.ofBench && !c.ofOneCard {
			fmt.Fprintf(&b, "%q", c.of(f))
		}
	}
	return b.String()
}

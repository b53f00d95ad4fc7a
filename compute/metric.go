package compute

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/plan/glossary"
)

// Scale says how a metric is averaged and compared (definitions, section 2).
type Scale int

const (
	None       Scale = iota // shown for a pass, never averaged or compared
	Ratio                   // analysed as ln y, compared in percent
	Difference              // analysed as y, compared in the unit
	Count                   // events by time
)

func (s Scale) String() string {
	switch s {
	case Ratio:
		return "ratio"
	case Difference:
		return "difference"
	case Count:
		return "count"
	}
	return "none"
}

// averaged says how passes become a cell, and how cells are compared.
func (s Scale) averaged() string {
	const launches = "the mean over the launches of the game, a launch being the mean of its passes"
	switch s {
	case Ratio:
		return "geometric mean, that is of ln x: " + launches + "; cells are compared in percent"
	case Difference:
		return launches + "; cells are compared in the unit"
	case Count:
		return "all events of a cell over all its minutes; cells are compared by the ratio of the rates"
	}
	return "not at all: shown for each pass, never compared"
}

// Metric is one figure of a pass: how it is worked out, and the one source for columns, claims, tables and explanations.
type Metric struct {
	Name         string   // the archive's column in runs
	Title        string   // as shown in a table
	Also         []string // other names that a reader may ask by
	Unit         string   // of the pass's figure, as the name has it
	CellUnit     string   // of a cell's mean where that is another, else empty
	Means        string   // as in a glossary.Entry
	Say          string   // as in a glossary.Entry
	Formula      string
	Source       string
	Parameters   []string // attributes of the plan that it depends on, beside those of every figure
	Scale        Scale
	HigherBetter bool
	Decimals     int                 // shown in tables
	Needs        Quantity            // what must have been logged for it, "" for what follows from frame times
	From         func(Worked) Value  // how it is worked out
	Example      func(Worked) string // the arithmetic on one pass
	low          func(*Pass) Low     // nil where the metric is not a low
	place        int                 // in the registry, from 1; 0 is outside it
}

// inOrder tells each metric its place.
func inOrder(ms []Metric) []Metric {
	for i := range ms {
		ms[i].place = i + 1
	}
	return ms
}

// Metrics returns every metric, in the order of the archive's columns.
func Metrics() []Metric { return append([]Metric(nil), metrics...) }

// MetricByName returns the metric of a column in runs.
func MetricByName(name string) (Metric, bool) {
	for _, m := range metrics {
		if m.Name == name {
			return m, true
		}
	}
	return Metric{}, false
}

// MeanUnit is the unit of a cell's mean and of a difference of means.
func (m Metric) MeanUnit() string {
	if m.CellUnit != "" {
		return m.CellUnit
	}
	return m.Unit
}

// DifferenceUnit is the unit of a difference that is not in percent: of temperatures K, of percentages percentage points.
func (m Metric) DifferenceUnit() string {
	switch m.Unit {
	case "°C":
		return "K"
	case "%":
		return "pp"
	}
	return m.MeanUnit()
}

// Entry is what `explain` says of the metric.
func (m Metric) Entry() glossary.Entry {
	e := glossary.Entry{Name: m.Name, Title: m.Title, Also: m.Also, Group: glossary.PassFigure, Means: m.Means, Say: m.Say, Formula: m.Formula,
		Unit: m.Unit, Better: "lower", Averaged: m.Scale.averaged(), Source: m.Source, Parameters: append([]string{"keep"}, m.Parameters...)}
	if m.CellUnit != "" {
		e.Unit += ", of a cell " + m.CellUnit
	}
	switch {
	case m.Scale == None:
		e.Better = "neither, since it is not compared"
	case m.HigherBetter:
		e.Better = "higher"
	}
	if m.Scale == Ratio || m.Scale == Difference {
		e.Parameters = append(e.Parameters, "margin", "session_spread")
	}
	return e
}

// LowMetrics returns the names of the 1 % and the 0.1 % low of a kind.
func LowMetrics(k LowKind) (low1, low01 string) {
	return "low1_" + k.String() + "_fps", "low01_" + k.String() + "_fps"
}

// Of returns the figure of a pass.
func (m Metric) Of(p *Pass) Value {
	if m.place == 0 || m.place > len(p.figures) {
		return Absent("not worked out")
	}
	return p.figures[m.place-1]
}

// Sample returns what a pass contributes to a cell; its launch and session are for the caller to add.
func (m Metric) Sample(p *Pass) Sample {
	return Sample{
		Value:   m.Of(p),
		Thin:    m.low != nil && m.low(p).Thin(),
		Minutes: float64(p.DurationNS) / (60 * nsPerSecond),
	}
}

// onScale returns a figure as it is analysed.
func (m Metric) onScale(v Value) Value {
	if !v.OK || m.Scale != Ratio {
		return v
	}
	if v.X <= 0 {
		return Absent(fmt.Sprintf("%s is %g in a pass; a ratio needs values above 0", m.Name, v.X))
	}
	return Known(math.Log(v.X))
}

// inUnit returns a figure on the scale in the metric's unit.
func (m Metric) inUnit(y float64) Value {
	if m.Scale == Ratio {
		return Known(math.Exp(y))
	}
	return Known(y)
}

// step returns a change given as a percentage on the ratio scale, or on the difference scale in the unit, of shares in percentage
// points, on the metric's scale.
func (m Metric) step(percent, points float64) float64 {
	switch {
	case m.Scale == Ratio:
		return math.Log1p(percent / 100)
	case m.Scale == Difference && m.Unit == "share":
		return points / 100
	case m.Scale == Difference:
		return points
	}
	return 0
}

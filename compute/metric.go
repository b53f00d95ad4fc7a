package compute

import (
	"fmt"
	"math"
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

// Metric is one figure of a pass: the one source for columns, tables and explanations.
type Metric struct {
	Name         string // the archive's column in runs
	Title        string // as shown in a table
	Unit         string // of the pass's figure, as the name has it
	CellUnit     string // of a cell's mean where that is another, else empty
	Formula      string
	Source       string
	Scale        Scale
	HigherBetter bool
	Decimals     int // shown in tables
	Of           func(*Pass) Value
	low          func(*Pass) Low // nil where the metric is not a low
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

// LowMetrics returns the names of the 1 % and the 0.1 % low of a kind.
func LowMetrics(k LowKind) (low1, low01 string) {
	return "low1_" + k.String() + "_fps", "low01_" + k.String() + "_fps"
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

// step returns a change given as a percentage on the ratio scale, or in points on the difference scale, on the metric's scale.
func (m Metric) step(percent, points float64) float64 {
	switch m.Scale {
	case Ratio:
		return math.Log1p(percent / 100)
	case Difference:
		return points / 100
	}
	return 0
}

const (
	pageOne    = "definitions, section 1"
	hyndmanFan = "R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, The American Statistician 50(4), 1996"
	neumann    = "J. von Neumann et al., The mean square successive difference, Annals of Mathematical Statistics 12, 1941"
	handbook   = "NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.12"
)

var metrics = append(append([]Metric{
	{Name: "mean_fps", Title: "mean", Unit: "fps", Formula: "1000·n / T, T in ms: frames over time", Source: pageOne,
		Scale: Ratio, HigherBetter: true, Decimals: 1, Of: func(p *Pass) Value { return p.MeanFPS }},
	{Name: "frame_ms_mean", Title: "mean frame time", Unit: "ms", Formula: "T / n", Source: pageOne,
		Scale: Ratio, Decimals: 2, Of: func(p *Pass) Value { return p.MeanMS }},
	{Name: "frame_ms_sd", Title: "standard deviation", Unit: "ms", Formula: "√(Σ(x − x̄)² / (n − 1))", Source: pageOne,
		Scale: Ratio, Decimals: 2, Of: func(p *Pass) Value { return p.SDMS }},
	quantileMetric("p50", "Q(0.5) of frame time", func(p *Pass) Value { return p.P50MS }),
	quantileMetric("p95", "Q(0.95) of frame time", func(p *Pass) Value { return p.P95MS }),
	quantileMetric("p99", "Q(0.99) of frame time", func(p *Pass) Value { return p.P99MS }),
	quantileMetric("p999", "Q(0.999) of frame time", func(p *Pass) Value { return p.P999MS }),
	{Name: "frame_ms_max", Title: "longest frame", Unit: "ms", Formula: "max x", Source: pageOne,
		Scale: Ratio, Decimals: 2, Of: func(p *Pass) Value { return p.MaxMS }},
}, lowMetrics()...),
	Metric{Name: "rmssd_ms", Title: "frame-to-frame change", Unit: "ms", Formula: "√(Σ(xᵢ − xᵢ₋₁)² / (n − 1))", Source: neumann,
		Scale: Ratio, Decimals: 2, Of: func(p *Pass) Value { return p.RMSSDMS }},
	Metric{Name: "lag1", Title: "lag-1 autocorrelation", Unit: "1", Formula: "Σ(xᵢ − x̄)(xᵢ₊₁ − x̄) / Σ(xᵢ − x̄)²", Source: handbook,
		Decimals: 2, Of: func(p *Pass) Value { return p.Lag1 }},
	shareMetric("over_60hz_share", "time over 60 Hz", "Σ{x : x > 1.05·1000/60 ms} / T", func(p *Pass) Value { return p.Over60 }),
	shareMetric("over_120hz_share", "time over 120 Hz", "Σ{x : x > 1.05·1000/120 ms} / T", func(p *Pass) Value { return p.Over120 }),
	shareMetric("over_display_share", "time over display rate", "Σ{x : x > 1.05·1000/display_hz ms} / T",
		func(p *Pass) Value { return p.OverDisplay }),
	Metric{Name: "hitch_frames", Title: "hitch frames", Unit: "frames", Formula: hitchFormula, Source: pageOne,
		Of: func(p *Pass) Value { return p.HitchFrames }},
	Metric{Name: "hitch_events", Title: "hitches", Unit: "events", CellUnit: "events/min",
		Formula: hitchFormula + "; consecutive ones are one event", Source: pageOne,
		Scale: Count, Decimals: 1, Of: func(p *Pass) Value { return p.HitchEvents }},
	shareMetric("hitch_time_share", "time lost to hitches", "Σ(x − m) / T over hitch frames", func(p *Pass) Value { return p.HitchTimeShare }),
)

const hitchFormula = "frames with x > m + max(8, min(m, 50)) ms, m the median of the frames within about 2 s"

func quantileMetric(q, formula string, of func(*Pass) Value) Metric {
	return Metric{Name: "frame_ms_" + q, Title: q + " frame time", Unit: "ms", Formula: formula, Source: hyndmanFan,
		Scale: Ratio, Decimals: 2, Of: of}
}

func shareMetric(name, title, formula string, of func(*Pass) Value) Metric {
	return Metric{Name: name, Title: title, Unit: "share", Formula: formula, Source: pageOne, Scale: Difference, Decimals: 3, Of: of}
}

// lowMetrics returns the six lows: 1 % in the three kinds, then 0.1 %.
func lowMetrics() []Metric {
	var ms []Metric
	add := func(name, title string, k LowKind, share float64, of func(*Pass) Low) {
		q := fmt.Sprint(share)
		formula := [lowKinds]string{
			LowQuantile:  "1000 / Q(" + fmt.Sprint(1-share) + ") of frame time",
			LowTailMean:  "1000 / mean of the ⌈" + q + "·n⌉ slowest frames",
			LowTimeShare: "1000 / the frame at which the slowest frames fill " + q + "·T",
		}[k]
		source := pageOne
		if k == LowQuantile {
			source = hyndmanFan
		}
		ms = append(ms, Metric{Name: name, Title: title, Unit: "fps", Formula: formula, Source: source,
			Scale: Ratio, HigherBetter: true, Decimals: 1, Of: func(p *Pass) Value { return of(p).Value }, low: of})
	}
	for k := range lowKinds {
		name, _ := LowMetrics(k)
		add(name, "1 % low, "+k.title(), k, 0.01, func(p *Pass) Low { return p.Low1[k] })
	}
	for k := range lowKinds {
		_, name := LowMetrics(k)
		add(name, "0.1 % low, "+k.title(), k, 0.001, func(p *Pass) Low { return p.Low01[k] })
	}
	return ms
}

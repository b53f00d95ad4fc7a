package compute

import (
	"fmt"
	"math"
	"slices"
)

// soakMetrics are the figures of a soak that cards are compared in and claims can name. Temperatures and levels have differences in their
// unit, the rest in percent. A threshold of a fan is no better high or low; it is compared as if low were better.
var soakMetrics = []Metric{
	{Name: "peak_c", Title: "peak temperature", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "sustained_peak_c", Title: "sustained peak temperature", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "end_c", Title: "end-of-soak temperature", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "final_c", Title: "final temperature", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "rise_k", Title: "rise over ambient", Unit: "K", Scale: Difference, Decimals: 1},
	{Name: "normalised_c", Title: "normalised temperature", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "fan_typical_rpm", Title: "typical fan speed", Unit: "rpm", Scale: Ratio},
	{Name: "fan_start_c", Title: "fan start", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "fan_stop_c", Title: "fan stop", Unit: "°C", Scale: Difference, Decimals: 1},
	{Name: "sound_level_db", Title: "sound level", Unit: "dB", Scale: Difference, Decimals: 1},
	{Name: "mean_power_w", Title: "mean power", Unit: "W", Scale: Ratio, Decimals: 1},
	{Name: "peak_power_w", Title: "peak power", Unit: "W", Scale: Ratio, Decimals: 1},
	{Name: "peak_1s_power_w", Title: "1-s peak power", Unit: "W", Scale: Ratio, Decimals: 1},
	{Name: "energy_per_frame_j", Title: "energy per frame", Unit: "J", Scale: Ratio, Decimals: 2},
	{Name: "frames_per_joule", Title: "frames per joule", Unit: "frames/J", Scale: Ratio, HigherBetter: true, Decimals: 3},
	{Name: "clock_median_mhz", Title: "typical clock", Unit: "MHz", Scale: Ratio, HigherBetter: true},
	{Name: "clock_mean_mhz", Title: "mean clock", Unit: "MHz", Scale: Ratio, HigherBetter: true},
	{Name: "clock_drift_pct", Title: "clock drift", Unit: "%", Scale: Difference, HigherBetter: true, Decimals: 1},
}

// SoakMetric returns one of the figures of a soak that are compared.
func SoakMetric(name string) (Metric, bool) {
	i := slices.IndexFunc(soakMetrics, func(m Metric) bool { return m.Name == name })
	if i < 0 {
		return Metric{}, false
	}
	return soakMetrics[i], true
}

// Kinds of values that a plan states in percent, in K and in dB, such as margins and spreads.
type Kinds struct{ Percent, K, DB float64 }

// Of is the one of them for a figure of a soak: percent on the ratio scale, K for temperatures, dB for levels, percentage points for what is
// in percent itself.
func (k Kinds) Of(m Metric) float64 {
	switch {
	case m.Scale == Ratio || m.Unit == "%":
		return k.Percent
	case m.Unit == "dB":
		return k.DB
	}
	return k.K
}

// declaredSpread says which spread a single soak is judged by.
const declaredSpread = "declared repeatability"

// OfSoaks combines what repeated soaks of one card and mode came to. repeatability is the declared standard deviation between
// such soaks, in percent on the ratio scale, else in the unit; 0 where none is declared. A declared one stands for the soaks of any card
// on the bench, so the spread of a few is not believed where it is less, and is where it is more. Without either a single soak shows no
// spread.
func OfSoaks(m Metric, values []Value, repeatability float64) CellStat {
	samples := make([]Sample, len(values))
	for i, v := range values {
		samples[i] = Sample{Value: v, Launch: fmt.Sprint(i + 1)}
	}
	c := Cell(m, samples)
	switch {
	case len(values) == 0:
		c.absent("not soaked")
	case c.Centre.OK && c.Launches == 1:
		c.Why = "one soak: make another, or declare its repeatability"
		c.noInterval(c.Why)
	}
	declared := m.step(repeatability, repeatability)
	if !c.Centre.OK || declared == 0 || c.Variance.OK && c.Variance.X >= declared*declared {
		return c
	}
	c.ShownVariance, c.Expected, c.Method = Known(declared*declared), Known(declared*declared), declaredSpread
	c.DF = Absent("infinite: the repeatability is declared and not estimated")
	c.Low, c.High = bounds(m.inUnit, c.Centre.X, c.shownError().half(0.025))
	return c
}

// Instruments is what mounting a card anew and measuring it move a figure by: a spread that counts once for each side. of is the
// uncertainty of the figure, or of the difference of two, in its unit and without what differs from soak to soak; where it cannot be
// had it adds nothing, and only what the sensors show is judged.
func (u SessionSpread) Instruments(m Metric, of Uncertainty, absolute bool) SessionSpread {
	if m.Scale != Difference || !of.Standard.OK {
		return u
	}
	sides := 2.0
	if absolute {
		sides = 1
	}
	t := total(spreadTerm{float64(u.U * u.U), u.DF}, spreadTerm{of.Standard.X * of.Standard.X / sides, of.DF})
	return SessionSpread{U: math.Sqrt(t.v), DF: t.df, Source: u.Source + " and instruments"}
}

// CompareSoaks sets the soaks of one card and mode against those of another, as Compare does cells.
func CompareSoaks(m Metric, a, base CellStat, u SessionSpread, margin Margin) Comparison {
	r := Compare(m, a, base, u, margin)
	for i, side := range []CellStat{base, a} {
		if side.Centre.OK && !side.ShownVariance.OK && r.Difference.OK {
			r.Why = side.ShownVariance.Why
			if i == 0 {
				r.Why = "the other side: " + r.Why
			}
			r.Low, r.High, r.DF, r.P = Absent(r.Why), Absent(r.Why), Absent(r.Why), Absent(r.Why)
		}
	}
	return r
}

// NotCompared is a comparison that is refused, with the reason.
func NotCompared(m Metric, why string) Comparison {
	r := Comparison{Metric: m.Name}
	r.absent(why)
	return r
}

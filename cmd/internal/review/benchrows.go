package review

import (
	"math"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// benchDiffRow lays a comparison of soaks out as a reading. Its value is in percent for figures on the ratio scale, else in the unit of a
// difference; only there is its uncertainty had, since an interval in percent is not even on both sides.
func benchDiffRow(d BenchComparison) archive.ReadingRow {
	row := archive.ReadingRow{Card: d.Of.Card, Mode: some(d.Of.Mode), Protocol: some(d.Soak), Figure: d.Metric.Name, BaseCard: some(d.Base.Card),
		BaseMode: some(d.Base.Mode), Sensor: some(d.Probe + d.Channel), ProbeGroup: some(d.Group), MeasuredAt: some(d.At), N: some(int32(d.N)),
		Value: figure(d.Difference), Unit: d.Metric.DifferenceUnit(), CILow: figure(d.Low), CIHigh: figure(d.High), P: figure(d.P),
		DF: figure(d.DF), Flags: some(strings.Join(words(d.Flags), " ")), Note: some(strings.Join(d.Notes, "; ")), Why: some(d.Why)}
	if d.Metric.Scale == compute.Ratio {
		row.Value, row.Unit = figure(d.Percent), "%"
	} else if d.Low.OK && d.High.OK {
		df := math.Inf(1)
		if d.DF.OK {
			df = d.DF.X
		}
		half, factor := (d.High.X-d.Low.X)/2, compute.TQuantile(0.975, df)
		row.Expanded, row.CoverageFactor, row.Uncertainty = &half, &factor, present(half/factor)
	}
	if d.Verdict != "" && d.Holds {
		row.Verdict = present(string(d.Verdict))
	}
	return row
}

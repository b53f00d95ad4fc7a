package review

import (
	"math"
	"strings"
	"time"

	"github.com/rigslate/rigslate/export/archive"
)

// benchRow lays a figure of the bench out as a reading.
func benchRow(f BenchFigure) archive.ReadingRow {
	row := archive.ReadingRow{Card: f.Of.Card, Mode: some(f.Of.Mode), Protocol: some(f.Protocol), Sensor: some(f.Sensor), Figure: f.Name,
		Value: figure(f.Value), Unit: f.Unit, Uncertainty: figure(f.U.Standard), Expanded: figure(f.U.Expanded), CoverageFactor: figure(f.U.Factor),
		AmbientC: figure(f.AmbientC), Flags: some(strings.Join(words(f.Flags), " ")), Repeat: some(int32(f.Repeat)), N: some(int32(f.N)),
		ProbeGroup: some(f.Group), MeasuredAt: some(f.At), FanPct: figure(f.FanPct), Text: some(f.Text), BaseCard: some(f.Base.Card),
		BaseMode: some(f.Base.Mode), Source: some(f.Source), Note: some(f.Note)}
	if f.U.Standard.OK && !math.IsInf(f.U.DF, 0) {
		row.DF = &f.U.DF
	}
	if f.Over.ToNS > f.Over.FromNS {
		row.SensedFromNS, row.SensedToNS = present(f.Over.FromNS), present(f.Over.ToNS)
	}
	switch {
	case f.Text != "":
	case !f.Value.OK:
		row.Why = some(f.Value.Why)
	case !f.U.Standard.OK:
		row.Why = some(f.U.Standard.Why)
	}
	if f.Worth != nil {
		f.Worth.fill(&row)
	}
	return row
}

// fill adds the price that a figure rests on and, of one with frame rates, where they are from and what they leave sure.
func (w Worth) fill(row *archive.ReadingRow) {
	p := w.Price
	row.Price, row.PriceCurrency, row.PriceKind, row.PriceTax, row.PricePlace = &p.Amount, &p.Currency, &p.Kind, &p.Tax, some(p.Where)
	if !p.On.IsZero() {
		row.PriceOn = present(p.On.UTC().Format(time.DateOnly))
	}
	if len(w.Cells)+len(w.LeftOut) == 0 {
		return
	}
	row.Resolution, row.Games, row.LeftOut = some(w.Resolution), present(int32(w.Games)), present(int32(len(w.LeftOut)))
	row.CILow, row.CIHigh, row.P, row.Verdict = figure(w.Low), figure(w.High), figure(w.P), some(string(w.Verdict))
	if w.Why != "" {
		row.Why = &w.Why
	}
}

package report

import (
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// together are the tables in which performance, power, temperature, noise and price stand side by side, one for each soak that has the
// baseline.
func (v view) together() (out []Grid) {
	for i, p := range v.Words.Protocols {
		g := Grid{ID: "t" + number(float64(i), 0), Caption: "All together, against " + v.Words.Called(v.Words.Baseline) + ": soak " + p.Soak + ", frame rates at " + v.sizeOf(p),
			Heads: []Column{{Text: "card"}, {Text: "performance", Figure: true}, {Text: "power", Figure: true}, {Text: "temperature", Figure: true},
				{Text: "noise", Figure: true}, {Text: "price", Figure: true}}}
		var notes []string
		for _, m := range v.Words.Modes {
			power, _ := v.benchDiff(p.Soak, m.Mode, "mean_power_w", false)
			rise, ok := v.benchDiff(p.Soak, m.Mode, "rise_k", true)
			if !ok {
				rise, ok = v.benchDiff(p.Soak, m.Mode, "end_c", true)
			}
			noise, _ := v.benchDiff(p.Soak, m.Mode, "sound_level_db", false)
			if power == nil && rise == nil && noise == nil {
				continue
			}
			if ok {
				notes = append(notes, "temperature: "+figureTitle(rise.Figure)+" of "+sensorName(*rise))
			}
			performance := Field{Text: absent, Figure: true}
			if s, ok := v.summary(m.Mode, allGames, v.sizeOf(p)); ok {
				difference, verdict := summaryFields(s)
				performance = withVerdict(difference, verdict)
			}
			g.Rows = append(g.Rows, Line{Name: v.name(m.Mode), Cells: []Field{performance, v.diffField(power), v.diffField(rise), v.diffField(noise), v.priceField(m.Mode)}})
		}
		g.Notes = unique(notes)
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
	}
	return out
}

// sizeOf is at which resolution a soak's frame rates are shown.
func (v view) sizeOf(p ProtocolWords) string {
	switch {
	case p.Resolution != "":
		return p.Resolution
	case len(v.Words.Resolutions) > 0:
		return v.Words.Resolutions[0].Name
	}
	return ""
}

// joined is a difference with its verdict in one place.
func withVerdict(difference, verdict Field) Field {
	difference.Class, difference.Sign = verdict.Class, verdict.Sign
	difference.Beside = strings.TrimSpace(verdict.Text + " " + difference.Beside)
	return difference
}

// benchDiff is the first difference of a figure from the baseline's that can be had; where none can, the first that is refused, unless whole
// asks for a figure.
func (v view) benchDiff(soak string, of Mode, figure string, whole bool) (*archive.ReadingRow, bool) {
	var first *archive.ReadingRow
	for i, r := range v.Tables.Readings {
		if text(r.Protocol) != soak || (Mode{r.Card, text(r.Mode)}) != of || (Mode{text(r.BaseCard), text(r.BaseMode)}) != v.Words.Baseline || r.Figure != figure {
			continue
		}
		if r.Value != nil {
			return &v.Tables.Readings[i], true
		}
		if first == nil && !whole {
			first = &v.Tables.Readings[i]
		}
	}
	return first, false
}

func (v view) diffField(r *archive.ReadingRow) Field {
	switch {
	case r == nil:
		return Field{Text: absent, Figure: true}
	case r.Value == nil:
		return Field{Text: "not alike", Figure: true, Class: "verdict open"}
	}
	verdict := verdictField(text(r.Verdict), false)
	if text(r.Verdict) == string(compute.Single) {
		verdict.Text = "one soak"
	}
	return withVerdict(differenceField(r.Value, r.CILow, r.CIHigh, r.Unit, text(r.Verdict)), verdict)
}

// priceField is by how much the first price of a card lies above the baseline's like it; exact, so it has no verdict.
func (v view) priceField(of Mode) Field {
	for _, a := range v.Tables.Readings {
		if !isPrice(a) || a.Card != of.Card {
			continue
		}
		for _, b := range v.Tables.Readings {
			if isPrice(b) && b.Card == v.Words.Baseline.Card && termsOf(a) == termsOf(b) && *b.Price > 0 {
				x := 100 * (*a.Price / *b.Price - 1)
				return Field{Text: signed(x, 1) + " %", Beside: termsOf(a).kind, Sort: sortable(&x), Figure: true}
			}
		}
	}
	return Field{Text: absent, Figure: true}
}

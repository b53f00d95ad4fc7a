package report

import (
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// curvePoints is how many stretches a curve is cut into; of each the lowest and the highest reading are drawn, so that no peak is lost.
const curvePoints = 300

// soakCurves are the temperatures of each soak over time: of each card and mode the first soak's hottest probe, and the room.
func soakCurves(s Source) (out []named, err error) {
	if s.Soaks == nil {
		return nil, nil
	}
	logs := map[string][]archive.SoakSeries{}
	for _, m := range s.Words.Modes {
		if _, read := logs[m.Card]; !read {
			if logs[m.Card], err = s.Soaks(m.Card); err != nil {
				return nil, err
			}
		}
	}
	for _, p := range s.Words.Protocols {
		c := chart.Soak{Head: chart.Head{Name: "soak-" + p.Soak + "-curves", Title: "Over the soak: the hottest probe", Settings: p.Load + ", " + minutes(p.LengthS)},
			Unit: "temperature, °C", Sign: "°C", Better: chart.Less}
		for _, m := range s.Words.Modes {
			if curve, ok := s.curve(m, p.Soak, logs[m.Card]); ok {
				c.Curves = append(c.Curves, curve)
			}
		}
		for _, w := range s.Words.Soaks {
			if w.Soak == p.Soak && w.LoadTo > w.LoadFrom && len(c.Curves) > 0 {
				c.Marks = []chart.Moment{{Seconds: w.LoadFrom, Words: "load begins"}, {Seconds: w.LoadTo, Words: "load ends"}}
				break
			}
		}
		if len(c.Curves) > 0 {
			out = append(out, named{c.Head.Name, func(f chart.Format) chart.Picture { return c.Picture(f, s.Look) }})
		}
	}
	return out, nil
}

// curve is the hottest probe of a card and mode in its first soak, by what the readings say of the end.
func (s Source) curve(m ModeWords, soak string, logs []archive.SoakSeries) (c chart.Curve, ok bool) {
	probe, end := "", math.Inf(-1)
	for _, r := range s.Tables.Readings {
		if r.Protocol != nil && *r.Protocol == soak && r.Figure == "end_c" && r.BaseCard == nil && r.Card == m.Card && r.Mode != nil && *r.Mode == m.Mode.Mode &&
			r.Repeat != nil && *r.Repeat == 1 && r.Sensor != nil && r.Value != nil && *r.Value > end {
			probe, end = *r.Sensor, *r.Value
		}
	}
	i := slices.IndexFunc(logs, func(l archive.SoakSeries) bool {
		return l.Mode == m.Mode.Mode && l.Protocol == soak && l.Repeat == 1 && l.Channel == probe
	})
	if i < 0 {
		return c, false
	}
	return chart.Curve{Row: s.Words.row(m), Points: thinned(logs[i]), Said: fmt.Sprintf("%.1f °C, %s", end, probe)}, true
}

// thinned keeps the lowest and the highest reading of each stretch of time, in their order.
func thinned(l archive.SoakSeries) (out []chart.Reading) {
	first, last := l.TimesNS[0], l.TimesNS[len(l.TimesNS)-1]
	step := max(1, (last-first)/curvePoints+1)
	for at := 0; at < len(l.TimesNS); {
		low, high, to := at, at, at
		for ; to < len(l.TimesNS) && (l.TimesNS[to]-first)/step == (l.TimesNS[at]-first)/step; to++ {
			if l.Values[to] < l.Values[low] {
				low = to
			}
			if l.Values[to] > l.Values[high] {
				high = to
			}
		}
		for _, i := range slices.Compact([]int{min(low, high), max(low, high)}) {
			out = append(out, chart.Reading{Seconds: float64(l.TimesNS[i]) / 1e9, X: l.Values[i]})
		}
		at = to
	}
	return out
}

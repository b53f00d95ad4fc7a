package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// levelCharts are the temperatures of a soak's modes at equal noise: of those that were near it as they were soaked, and of those that a fan sweep brings
// to it, between two of its steps. A mode that is not there says why.
func levelCharts(s Source) (out []named) {
	for _, p := range s.Words.Protocols {
		probe := s.probeAtLevel(p)
		if probe == "" {
			continue
		}
		c := chart.Rails{Head: chart.Head{Name: plainName("soak-" + p.Soak + "-equal_noise"), Title: "At equal noise: " + strings.ReplaceAll(probe, "_", " "),
			Settings: p.Load + ", " + minutes(p.LengthS), Notes: "Between two steps of a fan sweep, on a straight line: nobody measured it there."},
			Unit: "kelvin above the room", Better: chart.Less, Decimals: 1, Mark: "rise", Note: "brought there by"}
		if p.TargetDB > 0 {
			c.Settings += fmt.Sprintf(" · all at %s %s", short(p.TargetDB), cmp.Or(p.Sound, "dB"))
		}
		drawn := 0
		for _, m := range s.Words.Modes {
			rails := s.atLevel(m, p, probe)
			if m.Mode == s.Words.Baseline && len(rails) > 0 && rails[0].Figure.Known {
				rails[0].Standing = chart.Base
			}
			for _, r := range rails {
				if r.Figure.Known {
					drawn++
				}
			}
			c.Rails = append(c.Rails, rails...)
		}
		if drawn > 1 {
			out = append(out, named{c.Head.Name, func(f chart.Format) chart.Picture { return c.Picture(f, s.Look) }})
		}
	}
	return out
}

// probeAtLevel is the probe that the soak's sweeps note, "" where there is none at that level.
func (s Source) probeAtLevel(p ProtocolWords) string {
	for _, r := range s.Tables.Readings {
		if r.Figure == "rise_at_target_k" && slices.Contains(p.Sweeps, deref(r.Protocol)) && r.Value != nil {
			return deref(r.Sensor)
		}
	}
	return ""
}

// atLevel is a mode by its sweeps, and as it was soaked where that was near the level or no sweep brought it there.
func (s Source) atLevel(m ModeWords, p ProtocolWords, probe string) (out []chart.Rail) {
	brought := false
	for _, r := range s.Tables.Readings {
		if r.Figure != "rise_at_target_k" || !slices.Contains(p.Sweeps, deref(r.Protocol)) || (Mode{r.Card, deref(r.Mode)}) != m.Mode {
			continue
		}
		rail := chart.Rail{Row: s.Words.row(m), Figure: interval(r.Value, nil, nil), Absent: deref(r.Why)}
		if r.FanPct != nil {
			rail.Note = fmt.Sprintf("fan at %.0f %%", *r.FanPct)
		}
		brought = brought || r.Value != nil
		out = append(out, rail)
	}
	for _, r := range s.Tables.Readings {
		if r.Figure != "off_target_db" || deref(r.Protocol) != p.Soak || (Mode{r.Card, deref(r.Mode)}) != m.Mode {
			continue
		}
		soaked, ok := s.soakRail(m, p.Soak, "rise_k", probe)
		rail := chart.Rail{Row: s.Words.row(m), Note: "its own curve", Figure: soaked.Figure}
		if near := !slices.Contains(strings.Fields(deref(r.Flags)), "off_target"); !near || !ok {
			rail.Figure, rail.Note, rail.Absent = chart.Figure{}, "", offLevel(r)
		}
		if rail.Figure.Known || !brought {
			out = append(out, rail)
		}
	}
	return out
}

// offLevel says how far from the level a mode was.
func offLevel(r archive.ReadingRow) string {
	switch {
	case r.Value == nil:
		return cmp.Or(deref(r.Why), "its level is not known")
	case *r.Value > 0:
		return fmt.Sprintf("%.1f dB louder as soaked", *r.Value)
	}
	return fmt.Sprintf("%.1f dB quieter as soaked", math.Abs(*r.Value))
}

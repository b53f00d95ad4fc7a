package main

import (
	"github.com/rigslate/rigslate/cmd/internal/review"
)

type soakDiffJSON struct {
	Soak       string   `json:"soak"`
	Figure     string   `json:"figure"`
	Sensor     string   `json:"sensor,omitempty"`
	At         string   `json:"at,omitempty"`
	Of         modeJSON `json:"of"`
	Against    modeJSON `json:"against"`
	Unit       string   `json:"unit"`
	Difference *float64 `json:"difference"`
	Percent    *float64 `json:"percent,omitempty"`
	Low        *float64 `json:"low"`
	High       *float64 `json:"high"`
	P          *float64 `json:"p"`
	DF         *float64 `json:"df,omitempty"`
	Measured   *float64 `json:"measured_u,omitempty"` // standard uncertainty that measuring brings to the difference
	Verdict    string   `json:"verdict,omitempty"`
	Holds      bool     `json:"holds"`
	Why        string   `json:"why,omitempty"`
	Notes      []string `json:"notes,omitempty"`
}

func soakDiffsOf(r *review.Review) (out []soakDiffJSON) {
	for _, d := range r.BenchDiffs {
		x := soakDiffJSON{Soak: d.Soak, Figure: d.Metric.Name, Sensor: d.Sensor.Name(), At: d.Sensor.At, Of: modeOf(d.Of), Against: modeOf(d.Base),
			Unit: d.Metric.DifferenceUnit(), Difference: optional(d.Difference), Percent: optional(d.Percent), Low: optional(d.Low), High: optional(d.High),
			P: optional(d.P), DF: optional(d.DF), Measured: optional(d.Measured.Standard), Holds: d.Holds, Why: d.Why, Notes: d.Notes}
		if d.Holds {
			x.Verdict = string(d.Verdict)
		}
		out = append(out, x)
	}
	return out
}

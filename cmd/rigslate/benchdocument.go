package main

import (
	"math"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
)

// benchJSON is one figure of the bench, as the archive's readings have it, with what its uncertainty is made of.
type benchJSON struct {
	modeJSON
	Against        *modeJSON     `json:"against,omitempty"`
	Protocol       string        `json:"protocol,omitempty"` // the soak or sweep
	Repeat         int           `json:"repeat,omitempty"`
	Sensor         string        `json:"sensor,omitempty"`
	Group          string        `json:"group,omitempty"`
	At             string        `json:"at,omitempty"`
	FanPct         *float64      `json:"fan_pct,omitempty"`
	Figure         string        `json:"figure"`
	Value          *float64      `json:"value"`
	Text           string        `json:"text,omitempty"`
	Unit           string        `json:"unit,omitempty"`
	Uncertainty    *float64      `json:"uncertainty,omitempty"`
	CoverageFactor *float64      `json:"coverage_factor,omitempty"`
	Expanded       *float64      `json:"expanded,omitempty"`
	DF             *float64      `json:"df,omitempty"` // none beside a coverage_factor: infinitely many
	Budget         []contributor `json:"budget,omitempty"`
	AmbientC       *float64      `json:"ambient_c,omitempty"`
	N              int           `json:"n,omitempty"`
	Flags          []string      `json:"flags,omitempty"`
	Source         string        `json:"source,omitempty"`
	Note           string        `json:"note,omitempty"`
	Why            string        `json:"why,omitempty"` // there is no value, or no uncertainty
}

// contributor is one input of an uncertainty: its standard uncertainty, how well that is known, and by how much it moves the figure.
type contributor struct {
	Name        string   `json:"name"`
	Standard    float64  `json:"standard"`
	DF          *float64 `json:"df,omitempty"` // none where it is stated and not estimated
	Sensitivity float64  `json:"sensitivity"`
}

func benchOf(r *review.Review) (out []benchJSON) {
	for _, f := range r.Bench {
		d := benchJSON{modeJSON: modeOf(f.Of), Protocol: f.Protocol, Repeat: f.Repeat, Sensor: f.Sensor, Group: f.Group, At: f.At, FanPct: optional(f.FanPct),
			Figure: f.Name, Value: optional(f.Value), Text: f.Text, Unit: f.Unit, Uncertainty: optional(f.U.Standard), CoverageFactor: optional(f.U.Factor),
			Expanded: optional(f.U.Expanded), AmbientC: optional(f.AmbientC), N: f.N, Source: f.Source, Note: f.Note}
		if f.Base.Card != "" {
			base := modeOf(f.Base)
			d.Against = &base
		}
		for _, w := range f.Flags {
			d.Flags = append(d.Flags, string(w))
		}
		switch {
		case f.Text != "":
		case !f.Value.OK:
			d.Why = f.Value.Why
		case !f.U.Standard.OK:
			d.Why = f.U.Standard.Why
		default:
			d.DF, d.Budget = finite(f.U.DF), budgetOf(f.U)
		}
		out = append(out, d)
	}
	return out
}

func budgetOf(u compute.Uncertainty) (out []contributor) {
	for _, p := range u.Budget {
		out = append(out, contributor{p.Name, p.Standard, finite(p.DF), p.Sensitivity})
	}
	return out
}

func finite(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	return &x
}

type sweepTodoJSON struct {
	Sweep string `json:"sweep"`
	modeJSON
	StepsPct []float64 `json:"steps_pct"`
	Minutes  float64   `json:"minutes"`
	Swap     float64   `json:"swap_minutes,omitempty"`
	Probes   float64   `json:"probes_minutes,omitempty"`
}

func sweepTodoOf(r *review.Review) (out []sweepTodoJSON) {
	for _, t := range r.SweepTodo {
		out = append(out, sweepTodoJSON{t.Sweep, modeOf(t.Mode), t.StepsPct, t.Time.Minutes(), t.Swap.Minutes(), t.Probes.Minutes()})
	}
	return out
}

// atLevelJSON is a card and mode at the level that a soak's modes are to be compared at, or off it.
type atLevelJSON struct {
	Soak string `json:"soak"`
	modeJSON
	TargetDB  float64  `json:"target_db"`
	Sweep     string   `json:"sweep,omitempty"` // then interpolated between two of its steps
	Near      bool     `json:"near"`
	Why       string   `json:"why,omitempty"`
	Unsettled bool     `json:"unsettled,omitempty"`
	DB        *float64 `json:"sound_level_db"`
	OffDB     *float64 `json:"off_target_db"`
	Probe     string   `json:"probe,omitempty"`
	EndC      *float64 `json:"end_c"`
	RiseK     *float64 `json:"rise_k"`
	FanPct    *float64 `json:"fan_pct"`
	FanRPM    *float64 `json:"fan_rpm"`
	PowerW    *float64 `json:"power_w"`
	At        string   `json:"at,omitempty"`
	ClockMHz  *float64 `json:"clock_mhz"`
}

func atLevelsOf(r *review.Review) (out []atLevelJSON) {
	for _, p := range r.Plan.Soaks {
		probe, lines := r.AtLevel(p)
		for _, x := range lines {
			out = append(out, atLevelJSON{p.Name, modeOf(x.Of), p.Noise.TargetDB, x.Sweep, x.Near, x.Why, x.Moving, optional(x.DB), optional(x.OffDB), probe,
				optional(x.EndC), optional(x.RiseK), optional(x.FanPct), optional(x.FanRPM), optional(x.PowerW), x.At, optional(x.ClockMHz)})
		}
	}
	return out
}

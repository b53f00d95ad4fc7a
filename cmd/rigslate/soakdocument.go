package main

import (
	"encoding/hex"
	"math"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/thermal"
)

type soakJSON struct {
	Soak        string           `json:"soak"`
	Card        string           `json:"card"`
	Mode        string           `json:"mode"`
	Repeat      int              `json:"repeat"`
	State       review.SoakState `json:"state"`
	Why         []string         `json:"why,omitempty"`
	Notes       []string         `json:"notes,omitempty"`
	Files       []soakFileJSON   `json:"files,omitempty"`
	LoadFrom    float64          `json:"load_from_s"`
	LoadTo      float64          `json:"load_to_s"`
	Frames      int              `json:"frames"`
	Temperature []soakPart       `json:"temperatures,omitempty"`
	Power       []soakPart       `json:"power,omitempty"`
	Clocks      []soakPart       `json:"clocks,omitempty"`
	Fans        []soakPart       `json:"fans,omitempty"`
	Sound       []soakPart       `json:"sound,omitempty"`
	FrameRate   *soakPart        `json:"frame_rate,omitempty"`
}

type soakFileJSON struct {
	Path   string `json:"path"`
	There  bool   `json:"there"`
	SHA256 string `json:"sha256,omitempty"`
}

// soakPart is a probe, a clock and so on: words that name it, figures with the unit in their names, and the reason of each that is null.
type soakPart struct {
	Words   map[string]string   `json:"words,omitempty"`
	Figures map[string]*float64 `json:"figures"`
	Why     map[string]string   `json:"why,omitempty"`
	Budget  []contributor       `json:"end_of_soak_budget,omitempty"` // these three of a temperature
	Heating *curveJSON          `json:"heating,omitempty"`
	Cooling *curveJSON          `json:"cooling,omitempty"`
}

// curveJSON is a fitted curve, T∞ + Σ A·e^(−t/τ) with t from its beginning. What speaks against a forecast by it stands beside the final temperature.
type curveJSON struct {
	Samples      int        `json:"samples"`
	FromS        float64    `json:"from_s"`
	Final        *float64   `json:"final"` // in °C, or K above the room
	AboveRoom    bool       `json:"above_room,omitempty"`
	UFinalK      *float64   `json:"u_final_k"`
	ResidualR1   *float64   `json:"residual_r1"`
	Exponentials []termJSON `json:"exponentials"`
}

type termJSON struct {
	AmplitudeK float64 `json:"amplitude_k"`
	TauS       float64 `json:"tau_s"`
}

func curveOf(m thermal.Model) *curveJSON {
	if len(m.Terms) == 0 {
		return nil
	}
	c := curveJSON{m.N, m.FromS, finite(m.FitFinal), m.OverAmbient, finite(m.UFinal), finite(m.R1), nil}
	for _, t := range m.Terms {
		c.Exponentials = append(c.Exponentials, termJSON{t.AmplitudeK, t.TauS})
	}
	return &c
}

// atSecond is when a peak was, on the clock of the soak's logs.
func atSecond(p series.Peak) compute.Value {
	if !p.OK {
		return p.Value
	}
	return compute.Known(float64(p.AtNS) / 1e9)
}

func partOf(words map[string]string, figures map[string]compute.Value) soakPart {
	d := soakPart{Words: map[string]string{}, Figures: map[string]*float64{}, Why: map[string]string{}}
	for k, v := range words {
		if v != "" {
			d.Words[k] = v
		}
	}
	for k, v := range figures {
		if d.Figures[k] = optional(v); !v.OK {
			d.Why[k] = v.Why
		}
	}
	return d
}

// effective is a number of degrees of freedom; null where it is infinite or there is no uncertainty.
func effective(u compute.Uncertainty) compute.Value {
	switch {
	case !u.Standard.OK:
		return u.Standard
	case math.IsInf(u.DF, 1):
		return compute.Absent("infinite: everything is stated and nothing estimated")
	}
	return compute.Known(u.DF)
}

// finalName names a forecast final temperature: in °C, or in K above a room that was logged.
func finalName(of string, aboveRoom bool) string {
	if aboveRoom {
		return of + "_above_room_k"
	}
	return of + "_c"
}

func soakOf(s review.Soak) soakJSON {
	d := soakJSON{Soak: s.Soak, Card: s.Mode.Card, Mode: s.Mode.Mode, Repeat: s.Repeat, State: s.State, Why: s.Why, Notes: s.Notes,
		LoadFrom: float64(s.Load.FromNS) / 1e9, LoadTo: float64(s.Load.ToNS) / 1e9, Frames: s.Frames}
	for _, f := range s.Files {
		x := soakFileJSON{Path: f.Path, There: f.There}
		if f.There && f.Err == nil {
			x.SHA256 = hex.EncodeToString(f.SHA256[:])
		}
		d.Files = append(d.Files, x)
	}
	for _, p := range s.Probes {
		kind := map[bool]string{true: "group", false: "probe"}[p.Group]
		part := partOf(
			map[string]string{kind: p.Name, "hottest": p.Hottest, "settled": string(p.Settling.State), "settled_why": p.Settling.Why},
			map[string]compute.Value{"peak_c": p.PeakC.Value, "sustained_peak_c": p.SustainedC.Value, "end_of_soak_c": p.EndC,
				"end_of_soak_u_k": p.EndU.Standard, "end_of_soak_expanded_k": p.EndU.Expanded, "end_of_soak_df": effective(p.EndU), "rise_k": p.RiseK,
				"end_of_soak_coverage_factor": p.EndU.Factor, "rise_u_k": p.RiseU.Standard, "rise_expanded_k": p.RiseU.Expanded,
				"sustained_peak_u_k": p.SustainedU.Standard, "sustained_peak_expanded_k": p.SustainedU.Expanded, "peak_at_s": atSecond(p.PeakC),
				"sustained_peak_at_s": atSecond(p.SustainedC), "normalised_c": p.NormalisedC, "room_c": p.AmbientC, finalName("final", p.Heating.OverAmbient): p.Heating.FinalC, "time_constant_s": p.Heating.TauS,
				"logged_share": p.Coverage, "cooling_drop_k": p.Cooling.DropK, finalName("cooling_final", p.Cooling.Model.OverAmbient): p.Cooling.Model.FinalC})
		part.Budget, part.Heating, part.Cooling = budgetOf(p.EndU), curveOf(p.Heating), curveOf(p.Cooling.Model)
		d.Temperature = append(d.Temperature, part)
	}
	for _, p := range s.Powers {
		d.Power = append(d.Power, partOf(map[string]string{"channel": p.Channel, "at": p.At},
			map[string]compute.Value{"mean_power_w": p.MeanW, "peak_power_w": p.PeakW.Value, "peak_1s_power_w": p.SecondW.Value, "energy_j": p.EnergyJ,
				"peak_at_s":    atSecond(p.PeakW),
				"peak_1s_at_s": atSecond(p.SecondW), "energy_per_frame_j": p.EnergyPerFrameJ, "frames_per_joule": p.FramesPerJ, "logged_share": p.Coverage}))
	}
	for _, c := range s.Clocks {
		d.Clocks = append(d.Clocks, partOf(map[string]string{"channel": c.Channel},
			map[string]compute.Value{"clock_median_mhz": c.MedianMHz, "clock_mean_mhz": c.MeanMHz, "drift_pct": c.DriftPct, "drift_p": c.DriftP,
				"power_limited_share": c.Limit.Share}))
	}
	for _, f := range s.Fans {
		d.Fans = append(d.Fans, partOf(map[string]string{"channel": f.Channel, "threshold_probe": f.Probe},
			map[string]compute.Value{"typical_rpm": f.TypicalRPM, "start_c": f.Start.MedianC, "start_low_c": f.Start.LowC,
				"start_high_c": f.Start.HighC, "stop_c": f.Stop.MedianC, "stop_low_c": f.Stop.LowC, "stop_high_c": f.Stop.HighC}))
	}
	for _, x := range s.Sounds {
		d.Sound = append(d.Sound, partOf(map[string]string{"channel": x.Channel, "weighting": x.Weighting, "treatment": string(x.Treatment)},
			map[string]compute.Value{"sound_level_db": x.DB, "mean_db": x.Mean, "background_db": x.Background, "above_db": x.Above, "k1_db": x.K1,
				"u_db": x.Uncertainty.Standard, "expanded_db": x.Uncertainty.Expanded, "df": effective(x.Uncertainty), "at_reference_db": x.AtReference}))
	}
	if s.Frames > 0 {
		rate := partOf(nil, map[string]compute.Value{"frame_rate_start_fps": s.Rate.StartFPS, "frame_rate_end_fps": s.Rate.EndFPS,
			"frame_rate_change_pct": s.Rate.ChangePct, "frame_rate_drift_pct": s.Rate.DriftPct, "frame_rate_drift_p": s.Rate.DriftP})
		d.FrameRate = &rate
	}
	return d
}

type soakTodoJSON struct {
	Soak    string   `json:"soak"`
	Card    string   `json:"card"`
	Mode    string   `json:"mode"`
	Repeat  int      `json:"repeat"`
	Why     []string `json:"why"`
	Minutes float64  `json:"minutes"`
	Swap    float64  `json:"swap_minutes,omitempty"`
	Probes  float64  `json:"probes_minutes,omitempty"`
}

func soaksOf(r *review.Review) (soaks []soakJSON, todo []soakTodoJSON) {
	for _, s := range r.Soaks {
		soaks = append(soaks, soakOf(s))
	}
	for _, t := range r.SoakTodo {
		todo = append(todo, soakTodoJSON{t.Soak, t.Mode.Card, t.Mode.Mode, t.Repeat, t.Why, t.Time.Minutes(), t.Swap.Minutes(), t.Probes.Minutes()})
	}
	return soaks, todo
}

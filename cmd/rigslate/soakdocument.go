package main

import (
	"encoding/hex"
	"math"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
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
}

func partOf(words map[string]string, figures map[string]compute.Value) soakPart {
	d := soakPart{map[string]string{}, map[string]*float64{}, map[string]string{}}
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
		d.Temperature = append(d.Temperature, partOf(
			map[string]string{kind: p.Name, "hottest": p.Hottest, "settled": string(p.Settling.State), "settled_why": p.Settling.Why},
			map[string]compute.Value{"peak_c": p.PeakC.Value, "sustained_peak_c": p.SustainedC.Value, "end_of_soak_c": p.EndC,
				"end_of_soak_u_k": p.EndU.Standard, "end_of_soak_expanded_k": p.EndU.Expanded, "end_of_soak_df": effective(p.EndU), "rise_k": p.RiseK,
				"normalised_c": p.NormalisedC, "room_c": p.AmbientC, finalName("final", p.Heating.OverAmbient): p.Heating.FinalC, "time_constant_s": p.Heating.TauS,
				"logged_share": p.Coverage, "cooling_drop_k": p.Cooling.DropK, finalName("cooling_final", p.Cooling.Model.OverAmbient): p.Cooling.Model.FinalC}))
	}
	for _, p := range s.Powers {
		d.Power = append(d.Power, partOf(map[string]string{"channel": p.Channel, "at": p.At},
			map[string]compute.Value{"mean_power_w": p.MeanW, "peak_power_w": p.PeakW.Value, "peak_1s_power_w": p.SecondW.Value, "energy_j": p.EnergyJ,
				"energy_per_frame_j": p.EnergyPerFrameJ, "frames_per_joule": p.FramesPerJ, "logged_share": p.Coverage}))
	}
	for _, c := range s.Clocks {
		d.Clocks = append(d.Clocks, partOf(map[string]string{"channel": c.Channel},
			map[string]compute.Value{"clock_median_mhz": c.MedianMHz, "clock_mean_mhz": c.MeanMHz, "drift_pct": c.DriftPct, "drift_p": c.DriftP,
				"power_limited_share": c.Limit.Share}))
	}
	for _, f := range s.Fans {
		d.Fans = append(d.Fans, partOf(map[string]string{"channel": f.Channel, "threshold_probe": f.Probe},
			map[string]compute.Value{"typical_rpm": f.TypicalRPM, "start_c": f.Start.MedianC, "stop_c": f.Stop.MedianC}))
	}
	for _, x := range s.Sounds {
		d.Sound = append(d.Sound, partOf(map[string]string{"channel": x.Channel, "weighting": x.Weighting, "treatment": string(x.Treatment)},
			map[string]compute.Value{"sound_level_db": x.DB, "mean_db": x.Mean, "background_db": x.Background, "above_db": x.Above, "k1_db": x.K1,
				"u_db": x.Uncertainty.Standard, "expanded_db": x.Uncertainty.Expanded, "df": effective(x.Uncertainty), "at_reference_db": x.AtReference}))
	}
	if s.Frames > 0 {
		rate := partOf(nil, map[string]compute.Value{"frame_rate_start_fps": s.Rate.StartFPS, "frame_rate_end_fps": s.Rate.EndFPS,
			"frame_rate_change_pct": s.Rate.ChangePct})
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

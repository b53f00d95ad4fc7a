package review

import (
	"cmp"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/plan"
)

// BenchFigure is one figure of the bench: of one soak, of a step of a fan sweep, of a card's price or build. Every screen, document and
// table of bench figures is made from these, so that no two of them can differ. A figure that was asked for and cannot be had is
// among them, its Value absent with the reason.
type BenchFigure struct {
	Of       plan.Mode // Mode is "" for what is the card's whatever its mode
	Base     plan.Mode // of a difference or ratio: against what; zero for a figure that stands alone
	Protocol string    // the soak or sweep, "" for what needs none
	Repeat   int       // which soak of the protocol, from 1; 0 for what is of none
	Sensor   string    // a probe or channel, "" for what was noted without one
	Group    string    // of probes of which this is the hottest; Sensor is then the one that was
	Name     string    // as the glossary has it
	Unit     string
	Value    compute.Value
	Text     string              // of what is a word and no number
	U        compute.Uncertainty // absent with its reason where none is defined
	Worth    *Worth              // of figures that rest on a price
	At       string              // where power was measured
	AmbientC compute.Value
	FanPct   compute.Value // the step of a sweep
	N        int           // readings, samples or frames that entered, 0 where that says nothing
	Flags    []compute.Flag
	Source   string      // where it is from: run_id of the log, the plan's readings, the block that states it
	Over     series.Span // of what comes from a log: the stretch on the soak's clock that it is of; zero for the whole log
	Note     string
}

// gatherBench fills Bench.
func (r *Review) gatherBench() {
	for _, s := range r.Soaks {
		r.Bench = append(r.Bench, s.figures()...)
	}
	r.gatherSweeps()
	r.gatherLevels()
	r.gatherFacts()
}

// figures lists what a soak comes to, in the order of its probes and channels.
func (s Soak) figures() (out []BenchFigure) {
	if s.State == SoakAbsent {
		return nil
	}
	add := func(f BenchFigure) {
		f.Of, f.Protocol, f.Repeat, f.AmbientC = s.Mode, s.SoakRun.Soak, s.Repeat, s.RoomC
		s.follow(&f)
		if !f.U.Standard.OK && f.U.Standard.Why == "" {
			f.U = compute.NoUncertainty("calibration not stated")
		}
		out = append(out, f)
	}
	for _, p := range s.Probes {
		p.each(add)
	}
	for _, p := range s.Powers {
		p.each(s.Frames, add)
	}
	for _, c := range s.Clocks {
		for _, x := range []BenchFigure{
			{Name: "clock_median_mhz", Unit: "MHz", Value: c.MedianMHz}, {Name: "clock_mean_mhz", Unit: "MHz", Value: c.MeanMHz},
			{Name: "clock_drift_pct", Unit: "%", Value: c.DriftPct}, {Name: "power_limited_share", Unit: "share", Value: c.Limit.Share},
		} {
			x.Sensor, x.Flags = c.Channel, flagsOf(c.Notes, c.Limit.Notes)
			add(x)
		}
	}
	for _, f := range s.Fans {
		add(BenchFigure{Sensor: f.Channel, Name: "fan_typical_rpm", Unit: "rpm", Value: f.TypicalRPM, Flags: flagsOf(f.Notes)})
		add(BenchFigure{Sensor: cmp.Or(f.Probe, f.Channel), Name: "fan_start_c", Unit: "°C", Value: f.Start.MedianC, N: f.Start.Crossings})
		add(BenchFigure{Sensor: cmp.Or(f.Probe, f.Channel), Name: "fan_stop_c", Unit: "°C", Value: f.Stop.MedianC, N: f.Stop.Crossings})
	}
	if s.Frames > 0 {
		for _, x := range []BenchFigure{
			{Name: "frame_rate_start_fps", Unit: "fps", Value: s.Rate.StartFPS}, {Name: "frame_rate_end_fps", Unit: "fps", Value: s.Rate.EndFPS},
			{Name: "frame_rate_change_pct", Unit: "%", Value: s.Rate.ChangePct}, {Name: "frame_rate_drift_pct", Unit: "%", Value: s.Rate.DriftPct},
		} {
			x.Flags, x.U = flagsOf(s.Rate.Notes), compute.NoUncertainty("one stretch of a scene says nothing of how others would scatter")
			add(x)
		}
	}
	for _, l := range s.Sounds {
		for _, x := range []BenchFigure{
			{Name: "sound_level_db", Value: l.DB, U: l.Uncertainty},
			{Name: "sound_treatment", Text: string(l.Treatment), Value: compute.Absent("a word and no number")},
			{Name: "sound_at_reference_db", Value: l.AtReference}, {Name: "background_correction_db", Value: l.K1},
		} {
			if x.Sensor = l.Channel; x.Text == "" {
				x.Unit = "dB"
			}
			add(x)
		}
	}
	return out
}

func (p SoakProbe) each(add func(BenchFigure)) {
	final := BenchFigure{Name: "final_c", Unit: "°C", Value: p.Heating.FinalC}
	if p.Heating.OverAmbient {
		final.Name, final.Unit = "final_rise_k", "K"
	}
	for _, x := range []BenchFigure{
		{Name: "peak_c", Unit: "°C", Value: p.PeakC.Value, U: p.PeakU}, {Name: "sustained_peak_c", Unit: "°C", Value: p.SustainedC.Value, U: p.SustainedU},
		{Name: "end_c", Unit: "°C", Value: p.EndC, U: p.EndU}, {Name: "rise_k", Unit: "K", Value: p.RiseK, U: p.RiseU},
		{Name: "normalised_c", Unit: "°C", Value: p.NormalisedC, U: p.NormalisedU}, final, {Name: "time_constant_s", Unit: "s", Value: p.Heating.TauS},
		{Name: "settling", Text: string(p.Settling.State), Note: p.Settling.Why, Value: compute.Absent("a word and no number")},
		{Name: "cooling_drop_k", Unit: "K", Value: p.Cooling.DropK},
	} {
		if x.Name == "settling" && p.Noted {
			continue
		}
		x.Sensor, x.Flags = p.Name, flagsOf(p.Notes)
		if p.Group {
			x.Sensor, x.Group = p.Hottest, p.Name
		}
		add(x)
	}
}

// each hands on the figures of a power, under which so many frames were counted.
func (p SoakPower) each(frames int, add func(BenchFigure)) {
	for _, x := range []BenchFigure{
		{Name: "mean_power_w", Unit: "W", Value: p.MeanW}, {Name: "peak_power_w", Unit: "W", Value: p.PeakW.Value},
		{Name: "peak_1s_power_w", Unit: "W", Value: p.SecondW.Value}, {Name: "energy_j", Unit: "J", Value: p.EnergyJ},
		{Name: "energy_per_frame_j", Unit: "J", Value: p.EnergyPerFrameJ}, {Name: "frames_per_joule", Unit: "frames/J", Value: p.FramesPerJ},
	} {
		x.Sensor, x.At, x.Flags = p.Channel, p.At, flagsOf(p.Notes)
		if strings.Contains(x.Name, "frame") {
			x.N = frames
		}
		add(x)
	}
}

// flagsOf are the flags of some notes, each once.
func flagsOf(notes ...[]series.Note) (out []compute.Flag) {
	for _, ns := range notes {
		for _, n := range ns {
			out = append(out, n.Flag)
		}
	}
	return distinct(out)
}

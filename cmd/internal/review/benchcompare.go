package review

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/compute/thermocouple"
	"github.com/rigslate/rigslate/plan"
)

// BenchComparison is a figure of one card and mode in a soak against another's. Measured is the uncertainty that measuring brings to the
// difference, what both sides have in common left out.
type BenchComparison struct {
	compute.Comparison
	Of, Base plan.Mode
	Soak     string
	Sensor   // which is compared
	Metric   compute.Metric
	Measured compute.Uncertainty
	Holds    bool // all soaks of both sides are ready
	Notes    []string
}

// Sensor picks one of the sensors that give a figure. Of Probe and Group one is meant; At is of power.
type Sensor struct{ Probe, Group, At, Channel string }

// Name is how a screen calls it.
func (s Sensor) Name() string {
	for _, name := range []string{s.Group, s.Probe, s.Channel, s.At} {
		if name != "" {
			return name
		}
	}
	return ""
}

// gives reports whether a figure is of the sensor.
func (s Sensor) gives(f BenchFigure) bool {
	switch {
	case s.Group != "" || f.Group != "":
		return s.Group == f.Group
	case s.Probe != "":
		return s.Probe == f.Sensor
	case f.At != "":
		return s.At == f.At
	}
	return s.Channel == "" || s.Channel == f.Sensor || f.Name == "fan_start_c" || f.Name == "fan_stop_c"
}

// sensorOf picks the sensor of a figure.
func sensorOf(f BenchFigure, m compute.Metric) Sensor {
	switch {
	case f.Group != "":
		return Sensor{Group: f.Group}
	case f.At != "":
		return Sensor{At: f.At}
	case m.Unit == "°C" || m.Unit == "K":
		return Sensor{Probe: f.Sensor}
	case m.Unit == "dB":
		return Sensor{}
	}
	return Sensor{Channel: f.Sensor}
}

// soakSide is what the soaks of one card and mode say of one figure, soak by soak.
type soakSide struct {
	figures []BenchFigure
	soaks   []Soak
	stat    compute.CellStat
	holds   bool
}

// soakSideOf gathers a figure over the soaks of a protocol. Of two that were measured at one place the logged one counts, which comes first.
func (r *Review) soakSideOf(mode plan.Mode, soak string, m compute.Metric, sensor Sensor) (s soakSide) {
	var values []compute.Value
	s.holds = true
	for _, x := range r.Soaks {
		if x.Mode != mode || x.Soak != soak {
			continue
		}
		s.holds = s.holds && x.State == SoakReady
		i := slices.IndexFunc(r.Bench, func(f BenchFigure) bool {
			return f.Of == mode && f.Protocol == soak && f.Repeat == x.Repeat && f.Name == m.Name && sensor.gives(f) && !f.FanPct.OK
		})
		if i >= 0 {
			s.figures, s.soaks, values = append(s.figures, r.Bench[i]), append(s.soaks, x), append(values, r.Bench[i].Value)
		}
	}
	protocol, _ := r.Plan.Soak(soak)
	s.stat = compute.OfSoaks(m, values, repeatability(protocol.Repeatability, m))
	return s
}

// SoakMean is the mean of a figure over the soaks of a card and mode, with the largest uncertainty of any: instruments do not get better by soaking
// again.
func (r *Review) SoakMean(mode plan.Mode, soak, figure string, sensor Sensor) (compute.Value, compute.Uncertainty) {
	m, _ := compute.SoakMetric(figure)
	s := r.soakSideOf(mode, soak, m, sensor)
	return known(s.stat.Mean, cmp.Or(s.stat.Mean.Why, s.stat.Why, "not measured")), leastCertain(s)
}

// repeatability is the declared one of a figure: in percent, or in its unit; 0 where none is.
func repeatability(d plan.Repeatability, m compute.Metric) float64 {
	switch {
	case m.Unit == "rpm":
		return d.FanPct
	case m.Unit == "MHz":
		return d.ClockPct
	case m.Name == "energy_per_frame_j" || m.Name == "frames_per_joule":
		return d.EnergyPct
	case m.Unit == "%":
		return 0
	}
	return compute.Kinds{Percent: d.PowerPct, K: d.TemperatureK, DB: d.NoiseDB}.Of(m)
}

// soakMargin and soakSpread are the plan's margin and session spread for a figure of a soak.
func (r *Review) soakMargin(m compute.Metric) compute.Margin {
	s := r.Plan.Statistics
	x := compute.Kinds{Percent: s.MarginPct, K: s.MarginK, DB: s.MarginDB}.Of(m)
	return compute.Margin{Percent: x, Points: x}
}

func (r *Review) soakSpread(m compute.Metric) compute.SessionSpread {
	s := r.Plan.Statistics
	x := compute.Kinds{Percent: s.SpreadPct, K: s.SpreadK, DB: s.SpreadDB}.Of(m)
	return compute.PlanSessionSpread(m, x, x)
}

// compareBench sets every mode's soaks against the baseline's, and the pairs that claims name against each other.
func (r *Review) compareBench() {
	for _, p := range r.Plan.Soaks {
		for _, pair := range r.soakPairs(p) {
			r.compareSoaks(p, pair[0], pair[1])
		}
	}
}

func (r *Review) soakPairs(p plan.Soak) (out [][2]plan.Mode) {
	add := func(of, base plan.Mode) {
		if pair := [2]plan.Mode{of, base}; of != base && !slices.Contains(out, pair) {
			out = append(out, pair)
		}
	}
	for _, m := range p.Modes {
		if slices.Contains(p.Modes, r.Plan.Review.Baseline) {
			add(m, r.Plan.Review.Baseline)
		}
	}
	for _, c := range r.Plan.Claims {
		if c.Kind == plan.OfSoak && c.Soak == p.Name && c.Against != nil {
			add(c.Of, *c.Against)
		}
	}
	return out
}

func (r *Review) compareSoaks(p plan.Soak, of, base plan.Mode) {
	var done []string
	for _, f := range r.Bench {
		m, compared := compute.SoakMetric(f.Name)
		if f.Of != of || f.Protocol != p.Name || !compared || f.FanPct.OK {
			continue
		}
		sensor := sensorOf(f, m)
		key := fmt.Sprint(m.Name, sensor)
		if slices.Contains(done, key) {
			continue
		}
		done = append(done, key)
		if d, ok := r.soakDifference(p, of, base, m, sensor); ok {
			r.BenchDiffs = append(r.BenchDiffs, d)
		}
	}
}

// soakDifference sets one figure of two modes side by side; ok is false where neither has it or the other has no like and no unlike sensor.
func (r *Review) soakDifference(p plan.Soak, of, base plan.Mode, m compute.Metric, sensor Sensor) (d BenchComparison, ok bool) {
	a, b := r.soakSideOf(of, p.Name, m, sensor), r.soakSideOf(base, p.Name, m, sensor)
	d = BenchComparison{Of: of, Base: base, Soak: p.Name, Sensor: sensor, Metric: m, Holds: a.holds && b.holds}
	if len(b.figures) == 0 {
		why := r.unlike(p, of, base, sensor)
		if why == "" {
			return d, false
		}
		d.Comparison, d.Measured = compute.NotCompared(m, why), compute.NoUncertainty(why)
		d.Flags = []compute.Flag{flagNotComparable}
		return d, true
	}
	if !a.stat.Centre.OK && !b.stat.Centre.OK {
		return d, false
	}
	var refused string
	d.Measured, refused = measuredApart(a, b, m)
	if refused != "" {
		d.Comparison = compute.NotCompared(m, refused)
		return d, true
	}
	d.Comparison = compute.CompareSoaks(m, a.stat, b.stat, r.soakSpread(m).Instruments(m, d.Measured, false), r.soakMargin(m))
	if why := d.Measured.Standard.Why; why != "" && why != uncalibrated && d.Verdict != "" {
		d.Verdict, d.Why = "", "its uncertainty cannot be had: "+why
	}
	d.Notes = r.benchNotes(a, b, m, d.Measured)
	if !d.Holds && d.Difference.OK {
		d.Flags = append(d.Flags, flagNotReady)
	}
	return d, true
}

// unlike says that the base has the quantity of a sensor by another kind only: such are never compared. It is "" where it has none.
func (r *Review) unlike(p plan.Soak, of, base plan.Mode, s Sensor) string {
	if s.At != "" {
		for _, f := range r.Bench {
			if f.Of == base && f.Protocol == p.Name && f.At != "" {
				return fmt.Sprintf("power of %s is measured %s, of %s %s; unlike places are never compared", of, s.At, base, f.At)
			}
		}
	}
	probe, known := p.Probe(s.Probe)
	if !known || probe.OnDie == "" {
		return ""
	}
	for _, other := range p.Probes {
		if other.OnDie != "" && other.OnDie != probe.OnDie && slices.Contains(other.Modes, base) {
			return fmt.Sprintf("%s is of the sensor %q, that of %s is %q; unlike sensors are never compared", s.Probe, probe.OnDie, base, other.OnDie)
		}
	}
	return ""
}

const uncalibrated = "calibration not stated"

// measuredApart is what measuring brings to the difference of two sides: of all pairs of their soaks the largest, since instruments do not get
// better by soaking again. refused says why the sides may not be compared.
func measuredApart(a, b soakSide, m compute.Metric) (u compute.Uncertainty, refused string) {
	u = compute.NoUncertainty(uncalibrated)
	for i := range a.soaks {
		for j := range b.soaks {
			x := u
			switch {
			case m.Unit == "dB":
				var d compute.Value
				if d, x = soundApart(a.soaks[i], b.soaks[j]); !d.OK {
					return x, d.Why
				}
			case m.Unit == "°C" || m.Unit == "K":
				x = temperaturesApart(a, b, i, j, m)
			}
			if !u.Standard.OK || !x.Standard.OK || x.Standard.X > u.Standard.X {
				u = x
			}
			if !x.Standard.OK && x.Standard.Why != uncalibrated {
				return x, ""
			}
		}
	}
	return u, ""
}

func soundApart(a, b Soak) (compute.Value, compute.Uncertainty) {
	if len(a.Sounds) == 0 || len(b.Sounds) == 0 {
		return compute.Absent("no level"), compute.NoUncertainty("no level")
	}
	return sound.Difference(a.Sounds[0].Level, b.Sounds[0].Level, true)
}

// temperaturesApart is of two thermocouples; those of the card say nothing of their calibration. A probe that is moved from card to card
// is off by nearly the same on both.
func temperaturesApart(a, b soakSide, i, j int, m compute.Metric) compute.Uncertainty {
	p, q := a.soaks[i].probe(a.figures[i]), b.soaks[j].probe(b.figures[j])
	if p == nil || q == nil || p.wire == nil || q.wire == nil {
		return compute.NoUncertainty(uncalibrated)
	}
	of, by := p.hot(m), q.hot(m)
	if p.wire.probe == q.wire.probe && !p.wire.perCard && !q.wire.perCard {
		return p.wire.DifferenceUncertainty(of, by)
	}
	return compute.Combine(slices.Concat(p.wire.Uncertainty(of).Budget, q.wire.Uncertainty(by).Budget)...)
}

// probe finds the probe or group that a figure is of.
func (s Soak) probe(f BenchFigure) *SoakProbe {
	for i, p := range s.Probes {
		if p.Group == (f.Group != "") && (p.Name == f.Group || !p.Group && p.Name == f.Sensor) {
			return &s.Probes[i]
		}
	}
	return nil
}

// hot is the temperature in °C that a thermocouple's figure rests on, with its samples.
func (p *SoakProbe) hot(m compute.Metric) thermocouple.Mean {
	switch m.Name {
	case "peak_c":
		return thermocouple.Mean{Celsius: p.PeakC.X, Samples: p.wire.samples}
	case "sustained_peak_c":
		return thermocouple.Mean{Celsius: p.SustainedC.X, Samples: p.wire.peak}
	}
	return thermocouple.Mean{Celsius: p.EndC.X, Samples: p.wire.samples}
}

// atTheEnd are the figures of a temperature at the end of a soak.
var atTheEnd = map[string]bool{"end_c": true, "rise_k": true, "normalised_c": true}

// benchNotes says what must be known of a comparison beside its figures.
func (r *Review) benchNotes(a, b soakSide, m compute.Metric, u compute.Uncertainty) (notes []string) {
	if u.Standard.Why == uncalibrated && (m.Unit == "°C" || m.Unit == "K" || m.Unit == "W" || m.Unit == "J") {
		notes = append(notes, "as the sensors report it: their calibration is not stated")
	}
	for _, side := range []soakSide{a, b} {
		for i, soak := range side.soaks {
			p := soak.probe(side.figures[i])
			if says := fmt.Sprintf("%s was not settled: its temperature was still changing", soak.Mode); atTheEnd[m.Name] && p != nil && !p.Noted &&
				p.Settling.State == thermal.NotSettled && !slices.Contains(notes, says) {
				notes = append(notes, says)
			}
		}
	}
	if m.Unit != "°C" || m.Name == "normalised_c" {
		return notes
	}
	apart := 0.0
	for _, x := range a.soaks {
		for _, y := range b.soaks {
			if x.RoomC.OK && y.RoomC.OK {
				apart = max(apart, math.Abs(x.RoomC.X-y.RoomC.X))
			}
		}
	}
	if apart > r.Plan.Statistics.MarginK {
		notes = append(notes, fmt.Sprintf("the rooms were up to %.1f K apart; compare the rises", apart))
	}
	return notes
}

package review

import (
	"math"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/plan"
)

// figure works out a soak from what was read of it and what was noted.
func (b *soakBench) figure(p *plan.Plan) Soak {
	s := Soak{SoakRun: b.run, Files: b.files, Load: b.load(), Frames: b.counted, Rate: b.rate}
	noted := slices.DeleteFunc(slices.Clone(p.Readings), func(r plan.Reading) bool {
		return r.Soak != b.run.Soak || r.Mode != b.run.Mode || r.Repeat != b.run.Repeat
	})
	s.noted, s.end = noted, s.Load.Last(b.soak.Settle.Nanoseconds())
	there := slices.ContainsFunc(b.files, func(f SoakFile) bool { return f.There })
	if !there && (len(b.files) > 0 || len(noted) == 0) {
		s.State, s.Why = SoakAbsent, []string{"no file of it is there"}
		if len(b.files) == 0 {
			s.Why = []string{"nothing of it is noted"}
		}
		return s
	}
	if len(b.channels) > 0 && s.Load.ToNS <= s.Load.FromNS {
		b.doubt("the log ends before the load begins")
	}
	room := b.room(noted)
	if s.RoomC = room.MeanC(s.Load); len(b.channels) == 0 {
		s.RoomC = known(room.ReadingC, "no room temperature was recorded")
	}
	b.roomSays = room.Check(s.Load)
	b.sort("", b.roomSays)
	s.Probes = b.probes(room, s.Load, noted)
	s.Powers = b.powers(s.Load, noted)
	s.Clocks = b.clocks(s.Load, noted)
	s.Fans = b.fans(s.Load, noted)
	s.Sounds = b.sounds(s.Load, noted)
	b.sort("", s.Rate.Notes)
	s.State, s.Why, s.Notes, s.Flags = SoakReady, texts(b.doubts), texts(b.notes), b.flags
	if len(s.Why) > 0 {
		s.State = SoakDoubtful
	}
	return s
}

func known(v compute.Value, why string) compute.Value {
	if v.OK {
		return v
	}
	return compute.Absent(why)
}

func all(noted []plan.Reading, of func(plan.Reading) []float64) (out []float64) {
	for _, r := range noted {
		out = append(out, of(r)...)
	}
	return out
}

// mean is that of readings, absent for a reason of its own.
func mean(values []float64, why string) compute.Value {
	return known(compute.MeanOfReadings(values), why)
}

func (b *soakBench) room(noted []plan.Reading) thermal.Ambient {
	a := b.soak.Ambient
	room := thermal.Ambient{}
	if a.From != plan.AmbientNone {
		room.Log = b.channels[a.From]
		room.ReadingC = mean(all(noted, func(r plan.Reading) []float64 { return r.AmbientC }), "")
	}
	if a.Stated {
		room.TargetC, room.ToleranceK, room.ReferenceC = compute.Known(a.TargetC), compute.Known(a.ToleranceC), compute.Known(a.ReferenceC)
	}
	if a.AccuracyC > 0 {
		room.AccuracyK = compute.Known(a.AccuracyC)
	}
	return room
}

func (b *soakBench) probes(room thermal.Ambient, load series.Span, noted []plan.Reading) (out []SoakProbe) {
	protocol := thermal.Protocol{SettleNS: b.soak.Settle.Nanoseconds(), LengthNS: b.soak.Length.Nanoseconds(), Ambient: room}
	watts := b.firstOf(plan.Power)
	one := func(p plan.Probe, log *series.Series) SoakProbe {
		f := SoakProbe{Name: p.Name, Probe: thermal.OfProbe(log, load, protocol), Cooling: thermal.OfCooling(log, load, room.Log)}
		end := log.Values(load.Last(b.soak.Settle.Nanoseconds()))
		f.wire = b.wire(p, end, log.Values(f.SustainedWindow()))
		b.uncertain(&f, p, room, end)
		return f
	}
	var groups []string
	for _, p := range b.soak.Probes {
		if !slices.Contains(p.Modes, b.run.Mode) {
			continue
		}
		if p.Thermocouple != nil && p.Thermocouple.Group != "" && !slices.Contains(groups, p.Thermocouple.Group) {
			groups = append(groups, p.Thermocouple.Group)
		}
		log := b.channels[p.Name]
		if log == nil {
			out = append(out, b.notedProbe(p, room, noted))
			continue
		}
		f := one(p, log)
		if watts != nil {
			f.Notes = append(f.Notes, thermal.Stuck(log, watts)...)
		}
		b.sort(p.Name, f.Notes)
		f.Notes = append(f.Notes, b.roomSays...)
		out = append(out, f)
	}
	for _, name := range groups {
		members := slices.DeleteFunc(b.soak.Group(name, b.run.Mode), func(p plan.Probe) bool { return b.channels[p.Name] == nil })
		if len(members) < 2 {
			continue // it would be that probe again
		}
		logs := make([]*series.Series, len(members))
		for i, p := range members {
			logs[i] = b.channels[p.Name]
		}
		g := thermal.OfGroup(logs, load)
		if g.Log == nil || g.Hottest < 0 {
			b.notes = remarked(b.notes, "group "+name, g.Why)
			continue
		}
		f := one(members[g.Hottest], g.Log)
		f.Name, f.Group, f.Hottest = name, true, members[g.Hottest].Name
		f.Notes = append(f.Notes, b.roomSays...)
		out = append(out, f)
	}
	return out
}

// notedProbe is a probe that was not logged: its temperature is what a person wrote down, if anyone did.
func (b *soakBench) notedProbe(p plan.Probe, room thermal.Ambient, noted []plan.Reading) SoakProbe {
	values := all(noted, func(r plan.Reading) []float64 {
		if r.Probe != p.Name {
			return nil
		}
		return r.Get("temperature_c")
	})
	const why = "it was not logged"
	none := compute.Absent(why)
	f := SoakProbe{Name: p.Name, Noted: len(values) > 0}
	f.Coverage, f.PeakC.Value, f.SustainedC.Value, f.NormalisedC = none, none, none, none
	f.Heating.FinalC, f.Heating.TauS = none, none
	f.Cooling = thermal.Cooling{StartC: none, EndC: none, DropK: none, Model: thermal.Model{UFinal: math.Inf(1), FinalC: none, TauS: none}}
	f.EndC, f.AmbientC = mean(values, why), known(room.ReadingC, "no room temperature was recorded")
	f.wire = b.wire(p, values, nil)
	switch f.RiseK = f.AmbientC; {
	case !f.EndC.OK:
		f.RiseK = f.EndC
	case f.AmbientC.OK:
		f.RiseK = compute.Known(f.EndC.X - f.AmbientC.X)
	}
	b.uncertain(&f, p, room, values)
	return f
}

// each calls a function for every channel of a quantity that was read.
func (b *soakBench) each(q plan.Quantity, do func(plan.Channel, *series.Series)) {
	for _, c := range b.soak.Channels(b.run.Mode) {
		if s := b.channels[c.Key]; s != nil && c.Quantity() == q {
			do(c, s)
		}
	}
}

func (b *soakBench) firstOf(q plan.Quantity) (first *series.Series) {
	b.each(q, func(_ plan.Channel, s *series.Series) {
		if first == nil {
			first = s
		}
	})
	return first
}

func (b *soakBench) powers(load series.Span, noted []plan.Reading) (out []SoakPower) {
	b.each(plan.Power, func(c plan.Channel, s *series.Series) {
		f := SoakPower{Channel: c.Key, At: c.At, Power: power.OfPower(s, load, b.counted)}
		b.sort(c.Key, f.Notes)
		out = append(out, f)
	})
	for _, r := range noted {
		if w := r.Get("power_w"); w != nil {
			none := compute.Absent("it was noted, not logged")
			out = append(out, SoakPower{At: r.At, Noted: true, Power: power.Power{Coverage: none, MeanW: mean(w, ""), EnergyJ: none,
				PeakW: series.Peak{Value: none}, SecondW: series.Peak{Value: none}, EnergyPerFrameJ: none, FramesPerJ: none}})
		}
	}
	return out
}

func (b *soakBench) clocks(load series.Span, noted []plan.Reading) (out []SoakClock) {
	watts := b.firstOf(plan.Power)
	b.each(plan.Clock, func(c plan.Channel, s *series.Series) {
		f := SoakClock{Channel: c.Key, Clock: power.OfClock(s, load), Limit: power.Limit{Share: compute.Absent("no power was logged")}}
		switch {
		case len(out) > 0:
			f.Limit.Share = compute.Absent("it is looked for in the first clock")
		case watts != nil:
			f.Limit = power.OfLimit(watts, s, load)
		}
		b.sort(c.Key, slices.Concat(f.Notes, f.Limit.Notes))
		out = append(out, f)
	})
	if mhz := all(noted, func(r plan.Reading) []float64 { return r.Get("clock_mhz") }); mhz != nil && len(out) == 0 {
		none := compute.Absent("it was noted, not logged")
		out = []SoakClock{{Noted: true, Clock: power.Clock{MedianMHz: mean(mhz, ""), MeanMHz: none, DriftPct: none, DriftP: none}, Limit: power.Limit{Share: none}}}
	}
	return out
}

// fanProbe is the temperature that a fan is held against: the hottest spot of the chip, else the first sensor of the card.
func (b *soakBench) fanProbe() (name string, log *series.Series) {
	for _, p := range b.soak.Probes {
		s := b.channels[p.Name]
		if s != nil && p.OnDie != "" && (log == nil || p.OnDie == "hottest") {
			name, log = p.Name, s
		}
	}
	if log == nil {
		return "", &series.Series{}
	}
	return name, log
}

func (b *soakBench) fans(load series.Span, noted []plan.Reading) (out []SoakFan) {
	probe, temperature := b.fanProbe()
	b.each(plan.FanSpeed, func(c plan.Channel, s *series.Series) {
		f := SoakFan{Channel: c.Key, Probe: probe, Fan: power.OfFan(s, temperature, load)}
		b.sort(c.Key, f.Notes)
		out = append(out, f)
	})
	if len(out) > 0 {
		return out
	}
	get := func(key string) []float64 { return all(noted, func(r plan.Reading) []float64 { return r.Get(key) }) }
	threshold := func(values []float64) power.Threshold {
		t := power.Threshold{MedianC: mean(values, "it was not noted"), Crossings: len(values)}
		if t.LowC, t.HighC = t.MedianC, t.MedianC; len(values) > 0 {
			t.LowC, t.HighC = compute.Known(slices.Min(values)), compute.Known(slices.Max(values))
			t.MedianC = compute.Quantile(slices.Sorted(slices.Values(values)), 0.5, compute.DefaultQuantileType)
		}
		return t
	}
	rpm, start, stop := get("rpm"), get("fan_start_c"), get("fan_stop_c")
	if rpm == nil && start == nil && stop == nil {
		return nil
	}
	return []SoakFan{{Noted: true, Fan: power.Fan{TypicalRPM: mean(rpm, "it was not noted"), Start: threshold(start), Stop: threshold(stop)}}}
}

// soundBlocks is how many means a logged level is cut into, so that neighbouring samples, which resemble each other, do not count as
// readings of their own.
const soundBlocks = 10

func (b *soakBench) sounds(load series.Span, noted []plan.Reading) (out []SoakSound) {
	n := b.soak.Noise
	if n == nil {
		return nil
	}
	background := n.BackgroundDB
	if own := all(noted, func(r plan.Reading) []float64 { return r.BackgroundDB }); own != nil {
		background = own
	}
	add := func(channel string, readings []float64) {
		f := SoakSound{Channel: channel, Level: sound.Measure(readings, background,
			sound.Setup{Distance: n.DistanceM, Weighting: n.Weighting, MeterClass: n.MeterClass, FreeField: n.FreeField})}
		switch {
		case !f.DB.OK:
			f.AtReference = f.DB
		case n.ReferenceM == 0:
			f.AtReference = compute.Absent("no distance to convert to is declared")
		default:
			f.AtReference = sound.Move(f.DB.X, n.DistanceM, n.ReferenceM, n.FreeField)
		}
		out = append(out, f)
	}
	b.each(plan.Sound, func(c plan.Channel, s *series.Series) {
		var means []float64
		for _, w := range load.Last(b.soak.Settle.Nanoseconds()).Blocks(soundBlocks) {
			if m := sound.Mean(s.Values(w)); m.OK {
				means = append(means, m.X)
			}
		}
		b.sort(c.Key, s.GapNotes(load))
		if len(means) == 0 {
			b.notes = remarked(b.notes, c.Key, "nothing was logged at the end of the soak")
			return
		}
		add(c.Key, means)
	})
	if db := all(noted, func(r plan.Reading) []float64 { return r.Get("db") }); db != nil {
		add("", db)
	}
	return out
}

package compute

// PassOptions are what the figures of a pass depend on besides its frames: choices of a plan, and what sensors say. The zero value is quantile
// type 7, no display and no sensors.
type PassOptions struct {
	QuantileType int     // 1 to 9; 0 is DefaultQuantileType
	DisplayHz    float64 // refresh rate of the rig's display; 0 where none is named
	Sensed       Sensed
}

// Pass holds the figures of the kept frames of one capture (definitions, section 1); those of the registry are read by Metric.Of. A
// field of its own has only what others rest on: MeanFPS is in fps, Low1 and Low01 are indexed by LowKind.
type Pass struct {
	Frames     int
	DurationNS int64
	StartNS    int64 // of the first kept frame, from the start of the capture: what Profile and SecondRates begin at

	MeanFPS     Value
	Low1, Low01 [lowKinds]Low
	Profile     [profileBlocks]float64 // fps in each tenth of the kept time; zeros where Why is set
	SecondRates []float64              // fps in each whole second from the first kept frame; nil over a day
	Cap         CapFinding
	Why         string // why there is no figure at all, else empty

	figures []Value // in the registry's order
}

// nsPerMS turns ns into ms.
const nsPerMS = 1e6

// inMS turns a figure in ns into one in ms.
func inMS(ns Value) Value {
	ns.X /= nsPerMS
	return ns
}

// Figure works out every figure of a pass from its kept frames in ns, the first of which starts startNS into the capture. It
// never fails: what cannot be had is absent with its reason. s may be nil; with a Scratch that has seen a pass as long, only the
// result is allocated.
func Figure(kept []int64, startNS int64, o PassOptions, s *Scratch) *Pass {
	if s == nil {
		s = new(Scratch)
	}
	return workOut(kept, startNS, o, s).Pass
}

// workOut is Figure with what the figures were worked out from, which is good until s is used again.
func workOut(kept []int64, startNS int64, o PassOptions, s *Scratch) Worked {
	if o.QuantileType == 0 {
		o.QuantileType = DefaultQuantileType
	}
	total, why := checkFrames(kept)
	if why != "" {
		return Worked{Pass: absentPass(len(kept), startNS, why), PassOptions: o, Kept: kept}
	}
	sorted := s.sortFrames(kept)
	p := &Pass{Frames: len(kept), DurationNS: total, StartNS: startNS}
	w := Worked{Pass: p, PassOptions: o, Kept: kept, Sorted: sorted, spread: spread(kept, total), hitches: s.findHitches(kept, sorted)}

	p.MeanFPS = Known(nsPerSecond * float64(p.Frames) / float64(total))
	p.Low1 = lows(sorted, total, 100, o.QuantileType)
	p.Low01 = lows(sorted, total, 1000, o.QuantileType)
	blockRates(p.Profile[:], kept, total)
	p.lookAtSeconds(kept, o, s)

	p.figures = make([]Value, len(metrics))
	for i := range metrics {
		p.figures[i] = metrics[i].From(w)
	}
	return w
}

// lookAtSeconds fills what rests on the whole seconds of the pass; a part-second at its end is left out.
func (p *Pass) lookAtSeconds(kept []int64, o PassOptions, s *Scratch) {
	seconds := p.DurationNS / nsPerSecond
	if seconds > maxSeconds {
		p.Cap.Why = "longer than a day"
		return
	}
	p.SecondRates = make([]float64, seconds)
	blockRates(p.SecondRates, kept, secondTenths)
	s.rates = grow(s.rates, len(p.SecondRates))
	p.Cap = findCap(p.SecondRates, s.rates, o.DisplayHz)
}

// absentPass is a pass without any figure.
func absentPass(frames int, startNS int64, why string) *Pass {
	none := Absent(why)
	p := &Pass{Frames: frames, StartNS: startNS, Why: why, Cap: CapFinding{Why: why}, MeanFPS: none}
	for k := range lowKinds {
		p.Low1[k].Value, p.Low01[k].Value = none, none
	}
	p.figures = make([]Value, len(metrics))
	for i := range p.figures {
		p.figures[i] = none
	}
	return p
}

// Take sets a figure that rests on a sensor to what an archive has of it, where the frames are at hand and the sensor's log is not.
func (p *Pass) Take(m Metric, v Value) {
	if m.Needs != "" && m.place > 0 && m.place <= len(p.figures) {
		p.figures[m.place-1] = v
	}
}

// Without takes back what rests on sensors of a quantity: they turned out to be of another pass.
func (p *Pass) Without(q Quantity, why string) {
	for i, m := range metrics {
		if m.Needs == q && i < len(p.figures) {
			p.figures[i] = Absent(why)
		}
	}
}

package compute

// PassOptions are the choices of a plan that the figures of a pass depend on. The zero value is quantile type 7 and no display.
type PassOptions struct {
	QuantileType int     // 1 to 9; 0 is DefaultQuantileType
	DisplayHz    float64 // refresh rate of the rig's display; 0 where none is named
}

// Pass holds the figures of the kept frames of one capture (definitions, section 1). Times are in ms and rates in fps as named;
// shares are 0 to 1 of the kept time. Low1 and Low01 are indexed by LowKind.
type Pass struct {
	Frames     int
	DurationNS int64
	StartNS    int64 // of the first kept frame, from the start of the capture: what Profile and SecondRates begin at

	MeanFPS                      Value
	MeanMS, SDMS                 Value
	P50MS, P95MS, P99MS, P999MS  Value
	MaxMS                        Value
	Low1, Low01                  [lowKinds]Low
	RMSSDMS, Lag1                Value
	Over60, Over120, OverDisplay Value
	HitchFrames, HitchEvents     Value
	HitchTimeShare               Value
	Profile                      [profileBlocks]float64 // fps in each tenth of the kept time; zeros where Why is set
	SecondRates                  []float64              // fps in each whole second from the first kept frame; nil over a day
	Cap                          CapFinding
	Why                          string // why there is no figure at all, else empty
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
	total, why := checkFrames(kept)
	if why != "" {
		return absentPass(len(kept), startNS, why)
	}
	if s == nil {
		s = new(Scratch)
	}
	if o.QuantileType == 0 {
		o.QuantileType = DefaultQuantileType
	}
	n := len(kept)
	sorted := s.sortFrames(kept)
	p := &Pass{Frames: n, DurationNS: total, StartNS: startNS}

	p.MeanFPS = Known(nsPerSecond * float64(n) / float64(total))
	p.MeanMS = inMS(Known(float64(total) / float64(n)))
	p.P50MS = inMS(Quantile(sorted, 0.5, o.QuantileType))
	p.P95MS = inMS(Quantile(sorted, 0.95, o.QuantileType))
	p.P99MS = inMS(Quantile(sorted, 0.99, o.QuantileType))
	p.P999MS = inMS(Quantile(sorted, 0.999, o.QuantileType))
	p.MaxMS = inMS(Known(float64(sorted[n-1])))
	p.Low1 = lows(sorted, total, 100, o.QuantileType)
	p.Low01 = lows(sorted, total, 1000, o.QuantileType)

	series := spread(kept, total)
	p.SDMS, p.RMSSDMS, p.Lag1 = inMS(series.sd), inMS(series.rmssd), series.lag1

	p.Over60 = overLimit(sorted, total, 60)
	p.Over120 = overLimit(sorted, total, 120)
	p.OverDisplay = Absent("no display rate is named")
	if o.DisplayHz > 0 {
		p.OverDisplay = overLimit(sorted, total, o.DisplayHz)
	}

	h := s.findHitches(kept, sorted)
	p.HitchFrames = Known(float64(h.frames))
	p.HitchEvents = Known(float64(h.events))
	p.HitchTimeShare = Known(float64(h.lost2) / float64(2*total))

	blockRates(p.Profile[:], kept, total)
	p.lookAtSeconds(kept, o, s)
	return p
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
	p := &Pass{Frames: frames, StartNS: startNS, Why: why, Cap: CapFinding{Why: why}}
	for _, v := range []*Value{
		&p.MeanFPS, &p.MeanMS, &p.SDMS, &p.P50MS, &p.P95MS, &p.P99MS, &p.P999MS, &p.MaxMS, &p.RMSSDMS, &p.Lag1,
		&p.Over60, &p.Over120, &p.OverDisplay, &p.HitchFrames, &p.HitchEvents, &p.HitchTimeShare,
	} {
		*v = none
	}
	for k := range lowKinds {
		p.Low1[k].Value, p.Low01[k].Value = none, none
	}
	return p
}

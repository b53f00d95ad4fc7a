package review

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/apache/arrow/go/v15/arrow/array"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/ingest"
	"github.com/rigslate/rigslate/plan"
)

// Two units of work make the tables of an edition, and open no file: the first makes the figures of passes from their frames, the second
// (unitedition.go) all that follows from these. What reads captures hands the first one capture after another; what has an edition hands it a
// file of frames whole. Any engine that moves bytes and rows may run them.

// framesWork is the first unit of work: one card's frames of an edition.
type framesWork struct {
	plan    *plan.Plan
	card    string
	frames  []byte     // the content of the card's file of frames
	sensors []byte     // and of sensors, nil where it has none
	passes  []recorded // of the card, in the order in which they were read
}

// recorded is a pass without figures, with the row that it has in the edition.
type recorded struct {
	Pass
	row *archive.RunRow
}

// work gives the passes with their figures, in the order of the file. The error is archive.ErrDamaged, or errAgain where this release would keep
// other frames, so that the edition's own cannot serve.
func (w framesWork) work() (out []Pass, err error) {
	logs := map[[2]string]archive.PassLog{}
	if w.sensors != nil {
		all, err := archive.ReadPassLogs(w.sensors)
		if err != nil {
			return nil, fmt.Errorf("sensors of %s: %w", w.card, err)
		}
		for _, l := range all {
			logs[[2]string{l.RunID, l.FramesRunID}] = l
		}
	}
	pending := map[string][]recorded{} // one content may stand in two passes of which one is void
	for _, p := range w.passes {
		pending[p.row.RunID] = append(pending[p.row.RunID], p)
	}
	var scratch compute.Scratch
	err = archive.ReadFrames(w.frames, w.card, sensedColumns(w.plan.Files), func(b archive.FramesBack) error {
		next := pending[b.RunID]
		if len(next) == 0 {
			return fmt.Errorf("%w: run %s stands in no row of runs.parquet", archive.ErrDamaged, b.RunID)
		}
		p := next[0]
		pending[b.RunID] = next[1:]
		lo, hi := figurePass(w.plan, &p.Pass, archivedPass{b, p, logs}, &scratch)
		if hi-lo != b.KeptHi-b.KeptLo || hi > lo && lo != b.KeptLo {
			return fmt.Errorf("%w: of %s this release keeps frames %d to %d, and the edition %d to %d: run the plan on the captures instead",
				errAgain, p.File.Path, lo, hi, b.KeptLo, b.KeptHi)
		}
		out = append(out, p.Pass)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("frames of %s: %w", w.card, err)
	}
	return out, nil
}

// sensedColumns are the extra columns of frames that figures rest on.
func sensedColumns(files []plan.Files) (names []string) {
	for _, f := range files {
		for _, x := range SensorsOf(&f) {
			if x.inFile == ownFile {
				names = append(names, extraColumn(f.Extra[x.ordinal]))
			}
		}
	}
	return names
}

// measured is what was measured of a pass, wherever it was read from.
type measured interface {
	times() []int64                                           // of all frames, in ns
	clock(lo, hi int) keptTime                                // the kept frames on the clock of what lies beside the pass; there is one at least
	own(x Sensing) []any                                      // a column of the pass itself: a float64 for each frame, nil for none
	beside(x Sensing) (at []int64, values []float64, ok bool) // a channel of a file beside it
}

// figurePass works out all figures of a pass, and says which frames are kept: lo ≤ i < hi.
func figurePass(pl *plan.Plan, p *Pass, m measured, scratch *compute.Scratch) (lo, hi int) {
	game, _ := pl.Game(p.Key.Game)
	rig, _ := pl.Rig()
	frames := m.times()
	lo, hi = compute.Keep(frames, window(game.Keep))
	p.Frames, p.Cut = len(frames), len(frames)-(hi-lo)
	o := compute.PassOptions{QuantileType: pl.Statistics.Quantile, DisplayHz: rig.DisplayHz}
	if p.File.Files.HasSensors() {
		p.sense(m, lo, hi)
		o.Sensed = p.Sensors.Sensed
	}
	p.Figures = compute.Figure(frames[lo:hi], compute.Duration(frames[:lo]), o, scratch)
	return lo, hi
}

// sense works out what all sensors of a pass say of the kept time.
func (p *Pass) sense(m measured, lo, hi int) {
	files, s := p.File.Files, &p.Sensors
	s.By = SensorsOf(files)
	ends := slices.Clone(m.times()) // since the capture's start
	for i := 1; i < len(ends); i++ {
		ends[i] += ends[i-1]
	}
	own := keptTime{why: "no frame is kept"}
	if lo < hi {
		own = keptTime{Span: series.Span{ToNS: ends[hi-1]}}
		if lo > 0 {
			own.FromNS = ends[lo-1]
		}
	}
	beside := own
	if len(files.Sensors) > 0 {
		if files.Timestamp != nil && lo < hi {
			beside = m.clock(lo, hi)
		}
		s.Kept = beside.Span
	}
	for i := range s.By {
		x := &s.By[i]
		window, readings := beside, (*series.Series)(nil)
		if x.inFile == ownFile {
			x.Path, window = p.File.Path, own
			readings = x.column(m.own(*x), ends)
		} else {
			x.Path = s.Files[x.inFile].Path
			if at, values, ok := m.beside(*x); ok {
				readings = x.series(at, values)
			} else {
				x.Why = s.Files[x.inFile].Why
			}
		}
		x.Why = cmp.Or(x.Why, window.why)
		s.figure(x, readings, window.Span, hi-lo)
	}
}

// column takes a sensor from a column of the capture: a reading at the end of each frame.
func (x *Sensing) column(cells []any, ends []int64) *series.Series {
	var at []int64
	var values []float64
	for i, v := range cells {
		if v, ok := v.(float64); ok {
			at, values = append(at, ends[i]), append(values, v)
		}
	}
	return x.series(at, values)
}

func (x *Sensing) series(at []int64, values []float64) *series.Series {
	log, err := series.New(at, values)
	if err != nil {
		x.Why = fmt.Sprintf("%s of %s cannot be used: %v", x.Key, x.Path, err)
		return nil
	}
	return log
}

// figure works out what one sensor says of the kept time.
func (s *PassSensors) figure(x *Sensing, log *series.Series, kept series.Span, frames int) {
	out := &s.Sensed
	mean, energy, first, covered := compute.Absent(x.Why), compute.Absent(x.Why), compute.Absent(x.Why), compute.Absent(x.Why)
	if log != nil {
		_, start := log.Sample(0)
		first = compute.Known(start)
	}
	if x.Why == "" {
		p := power.OfPower(log, kept, frames)
		mean, energy = p.MeanW, p.EnergyJ
		if p.Coverage.OK {
			covered = compute.Known(p.Coverage.X * kept.Seconds())
		}
		for _, n := range p.Notes {
			s.Notes = append(s.Notes, x.Key+": "+n.Says)
		}
	}
	switch x.Of {
	case compute.OfPower:
		out.MeanPowerW, out.EnergyJ, out.PowerS = mean, energy, covered
	case compute.OfClock:
		out.ClockMHz = mean
	case compute.OfTemperature:
		out.TempC, out.StartTempC = mean, first
		if log != nil {
			out.TempSamples = log.Len()
		}
	}
}

// capturedPass is a pass as its capture and what lies beside it have it.
type capturedPass struct {
	*ingest.Capture
	logs []*ingest.Log
}

func (c capturedPass) times() []int64 { return c.FrameNS() }

func (c capturedPass) clock(lo, hi int) keptTime { return stamped(c.Capture, lo, hi) }

func (c capturedPass) own(x Sensing) []any {
	column := c.Record.Column(1 + x.ordinal).(*array.Float64)
	out := make([]any, column.Len())
	for i := range out {
		if !column.IsNull(i) {
			out[i] = column.Value(i)
		}
	}
	return out
}

func (c capturedPass) beside(x Sensing) (at []int64, values []float64, ok bool) {
	log := c.logs[x.inFile]
	if log == nil {
		return nil, nil, false
	}
	at, values = readings(log, log.Channels[x.ordinal], 0)
	return at, values, true
}

// archivedPass is a pass as an edition has it.
type archivedPass struct {
	archive.FramesBack
	recorded
	logs map[[2]string]archive.PassLog // by their run_id and the pass's
}

func (a archivedPass) times() []int64 { return a.FrameNS }

func (a archivedPass) clock(_, _ int) keptTime {
	if a.row.SensedFromNS == nil || a.row.SensedToNS == nil {
		return keptTime{why: noStamp}
	}
	return keptTime{Span: series.Span{FromNS: *a.row.SensedFromNS, ToNS: *a.row.SensedToNS}}
}

func (a archivedPass) own(x Sensing) []any {
	return a.Extra(extraColumn(a.File.Files.Extra[x.ordinal]))
}

func (a archivedPass) beside(x Sensing) (at []int64, values []float64, ok bool) {
	f := a.Sensors.Files[x.inFile]
	if !f.There || f.Err != nil {
		return nil, nil, false
	}
	for _, c := range a.logs[[2]string{fmt.Sprintf("%x", f.SHA256[:8]), a.RunID}].Channels {
		if c.Channel == x.Key {
			return c.TimesNS, c.Values, true
		}
	}
	return nil, nil, true // it said nothing
}

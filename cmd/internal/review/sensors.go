package review

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"

	"github.com/apache/arrow/go/v15/arrow/array"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/ingest"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// PassSensors is what sensors logged of a pass, in its own file and in those beside it. A pass whose sensors are lacking is as good as any:
// only what rests on them is absent.
type PassSensors struct {
	Files  []SensorFile // as Files.Sensors
	By     []Sensing    // what the figures are of: one of power, clock and temperature each, as far as the plan names one
	Kept   series.Span  // the kept time, in ns on the clock of the files beside the pass; zero where it has none or that is not known
	Sensed compute.Sensed
	Notes  []string // what was not logged of the kept time
	logs   []*ingest.Log
}

// SensorFile is one file that should lie beside a pass.
type SensorFile struct {
	Path   string // "" where none was found
	There  bool
	SHA256 [32]byte
	Bytes  int64
	Why    string // it cannot be used
	Err    error
}

// Sensing is the sensor that a pass's figures of one quantity are of: of several the first that the plan names, a column of the pass's own
// file before those beside it.
type Sensing struct {
	Of       compute.Quantity
	Key      string
	At       string // of power, where it was measured
	Path     string // the file it stands in
	Why      string // nothing of it could be had
	inFile   int    // index of the file beside the pass, ownFile for its own
	ordinal  int    // of the channel, or of the extra
	readings *series.Series
}

const ownFile = -1

// of is the sensor of a quantity; ok is false where none is named or nothing of it could be had.
func (s PassSensors) of(q compute.Quantity) (x Sensing, ok bool) {
	for _, x := range s.By {
		if x.Of == q {
			return x, x.Why == ""
		}
	}
	return Sensing{}, false
}

// quantities are those that figures of passes rest on.
var quantities = []struct {
	of   compute.Quantity
	plan plan.Quantity
}{{compute.OfPower, plan.Power}, {compute.OfClock, plan.Clock}, {compute.OfTemperature, plan.Temperature}}

// SensorsOf lists which sensor each quantity of a block's passes is read from.
func SensorsOf(f *plan.Files) (by []Sensing) {
	for _, q := range quantities {
		if x, ok := firstSensor(f, q.plan); ok {
			x.Of = q.of
			by = append(by, x)
		}
	}
	return by
}

func firstSensor(f *plan.Files, q plan.Quantity) (Sensing, bool) {
	for i, e := range f.Extra {
		if e.Senses() == q {
			return Sensing{Key: e.Key, At: e.At, inFile: ownFile, ordinal: i}, true
		}
	}
	for i, s := range f.Sensors {
		for j, c := range s.Channels {
			if c.Quantity() == q {
				return Sensing{Key: c.Key, At: c.At, inFile: i, ordinal: j}, true
			}
		}
	}
	return Sensing{}, false
}

// Senses reports whether the plan names a sensor that a figure rests on; every figure of frame times rests on none.
func (r *Review) Senses(m compute.Metric) bool {
	if m.Needs == "" {
		return true
	}
	for i := range r.Plan.Files {
		for _, x := range SensorsOf(&r.Plan.Files[i]) {
			if x.Of == m.Needs {
				return true
			}
		}
	}
	return false
}

// sensorReader reads what sensors logged of one pass, whose frames are read.
type sensorReader struct {
	ctx    context.Context
	worker *worker
	root   *os.Root
	keeper *keeper
	*reading
}

// frameEnd carries the end of each frame along with its time. No key of a plan has a blank.
const frameEnd = "frame end"

// read reads every file beside the pass and works out what all its sensors say of the kept time.
func (s *sensorReader) read() {
	files, p := s.pass.File.Files, &s.pass.Sensors
	p.By = SensorsOf(files)
	p.Files, p.logs = make([]SensorFile, len(files.Sensors)), make([]*ingest.Log, len(files.Sensors))
	s.beside = make([]rawCopy, len(files.Sensors))
	for i := range files.Sensors {
		if p.logs[i] = s.file(i); s.stop != nil {
			return
		}
	}
	frames := s.capture.FrameNS()
	ends := make([]int64, len(frames)) // since the capture's start
	for i, x := range frames {
		ends[i] = x
		if i > 0 {
			ends[i] += ends[i-1]
		}
	}
	own := s.kept(ends)
	beside := own
	if len(files.Sensors) > 0 && files.Timestamp != nil {
		beside = s.stamped(frames)
	}
	if len(files.Sensors) > 0 {
		p.Kept = beside.Span
	}
	for i := range p.By {
		x := &p.By[i]
		window := beside
		if x.inFile == ownFile {
			x.Path, window = s.pass.File.Path, own
			s.ownSeries(x, ends)
		} else {
			s.besideSeries(x)
		}
		if x.Why == "" {
			x.Why = window.why
		}
		s.figure(&p.Sensed, x, window.Span)
		x.readings = nil
	}
	if s.keeper.staging == nil {
		p.logs = nil
	}
}

// keptTime is the kept time on one clock, or why it is not known.
type keptTime struct {
	series.Span
	why string
}

// kept is the kept time by the ends of the frames.
func (s *sensorReader) kept(ends []int64) keptTime {
	if s.lo >= s.hi {
		return keptTime{why: "no frame is kept"}
	}
	w := keptTime{Span: series.Span{ToNS: ends[s.hi-1]}}
	if s.lo > 0 {
		w.FromNS = ends[s.lo-1]
	}
	return w
}

// stamped is the kept time by the timestamps of the capture, which are on the clock of what lies beside it.
func (s *sensorReader) stamped(frames []int64) keptTime {
	if s.lo >= s.hi {
		return keptTime{why: "no frame is kept"}
	}
	ends := s.capture.Record.Column(int(s.capture.Record.NumCols()) - 1).(*array.Int64)
	if ends.IsNull(s.lo) || ends.IsNull(s.hi-1) {
		return keptTime{why: "the first or the last kept frame has no timestamp"}
	}
	return keptTime{Span: series.Span{FromNS: ends.Value(s.lo) - frames[s.lo], ToNS: ends.Value(s.hi - 1)}}
}

// file reads one file beside the pass; it gives nil where that cannot be used, and says why on the pass.
func (s *sensorReader) file(i int) *ingest.Log {
	f := &s.pass.Sensors.Files[i]
	beside := s.pass.File.Beside[i]
	if f.Path, f.Why = beside.Path, beside.Why; f.Path == "" {
		return nil
	}
	file, err := s.root.Open(f.Path)
	if err != nil {
		return s.refuse(f, err)
	}
	defer file.Close()
	f.There = true
	if s.beside[i], err = s.keeper.raw(file); err != nil {
		s.stop = err
		return nil
	}
	declared := s.pass.File.Files.Sensors[i]
	log, err := s.worker.reader.ReadLog(s.ctx, file, f.Path, logLayout(plan.Log{SoakFile: plan.SoakFile{Text: declared.Text}, Time: declared.Time,
		Channels: declared.Channels}, declared.Offset), s.beside[i].writer())
	f.SHA256, f.Bytes = log.SHA256, log.Bytes
	switch {
	case s.ctx.Err() != nil:
		s.stop = context.Cause(s.ctx)
		return nil
	case errors.Is(err, ingest.ErrCopy):
		s.stop = fmt.Errorf("%w: %w", ErrDisk, err)
		return nil
	}
	for _, x := range log.Findings {
		x.Severity = max(x.Severity, finding.Warning) // the pass is used all the same
		s.findings = append(s.findings, x)
	}
	if err != nil {
		return s.refuse(f, err)
	}
	return log
}

func (s *sensorReader) refuse(f *SensorFile, err error) *ingest.Log {
	f.Err, f.Why = err, f.Path+" cannot be used"
	for _, x := range s.findings {
		if x.Place.File == f.Path {
			return nil // said already
		}
	}
	s.findings.Add(finding.Warning, finding.Place{File: f.Path}, "A sensor file cannot be used", err.Error(), "")
	return nil
}

// ownSeries takes a sensor from a column of the capture: a reading at the end of each frame.
func (s *sensorReader) ownSeries(x *Sensing, ends []int64) {
	column := s.capture.Record.Column(1 + x.ordinal).(*array.Float64)
	var at []int64
	var values []float64
	for i := range ends {
		if !column.IsNull(i) {
			at, values = append(at, ends[i]), append(values, column.Value(i))
		}
	}
	x.take(series.New(at, values))
}

func (s *sensorReader) besideSeries(x *Sensing) {
	f := s.pass.Sensors.Files[x.inFile]
	x.Path = f.Path
	log := s.pass.Sensors.logs[x.inFile]
	if log == nil {
		x.Why = f.Why
		return
	}
	x.take(seriesOf(log, log.Channels[x.ordinal], 0))
}

func (x *Sensing) take(log *series.Series, err error) {
	if err != nil {
		x.Why = fmt.Sprintf("%s of %s cannot be used: %v", x.Key, x.Path, err)
		return
	}
	x.readings = log
}

// figure works out what one sensor says of the kept time.
func (s *sensorReader) figure(out *compute.Sensed, x *Sensing, kept series.Span) {
	mean, energy, first, covered := compute.Absent(x.Why), compute.Absent(x.Why), compute.Absent(x.Why), compute.Absent(x.Why)
	if log := x.readings; log != nil {
		_, start := log.Sample(0)
		first = compute.Known(start)
	}
	if x.Why == "" {
		p := power.OfPower(x.readings, kept, s.hi-s.lo)
		mean, energy = p.MeanW, p.EnergyJ
		if p.Coverage.OK {
			covered = compute.Known(p.Coverage.X * kept.Seconds())
		}
		for _, n := range p.Notes {
			s.pass.Sensors.Notes = append(s.pass.Sensors.Notes, x.Key+": "+n.Says)
		}
	}
	switch x.Of {
	case compute.OfPower:
		out.MeanPowerW, out.EnergyJ, out.PowerS = mean, energy, covered
	case compute.OfClock:
		out.ClockMHz = mean
	case compute.OfTemperature:
		out.TempC, out.StartTempC = mean, first
		if x.readings != nil {
			out.TempSamples = x.readings.Len()
		}
	}
}

// Holds reports whether a file is one that the pass is read from.
func (p Pass) Holds(path string) bool {
	return p.File.Path == path || path != "" && slices.ContainsFunc(p.Sensors.Files, func(f SensorFile) bool { return f.Path == path })
}

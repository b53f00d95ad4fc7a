package review

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"

	"github.com/apache/arrow/go/v15/arrow/array"

	"github.com/rigslate/rigslate/compute"
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
	Of      compute.Quantity
	Key     string
	At      string // of power, where it was measured
	Path    string // the file it stands in
	Why     string // nothing of it could be had
	inFile  int    // index of the file beside the pass, ownFile for its own
	ordinal int    // of the channel, or of the extra
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

// read reads every file beside the pass.
func (s *sensorReader) read() {
	files, p := s.pass.File.Files, &s.pass.Sensors
	p.Files, p.logs = make([]SensorFile, len(files.Sensors)), make([]*ingest.Log, len(files.Sensors))
	s.beside = make([]rawCopy, len(files.Sensors))
	for i := range files.Sensors {
		if p.logs[i] = s.file(i); s.stop != nil {
			return
		}
	}
}

// keptTime is the kept time on one clock, or why it is not known.
type keptTime struct {
	series.Span
	why string
}

// stamped is the kept time by the timestamps of the capture, which are on the clock of what lies beside it.
func stamped(c *ingest.Capture, lo, hi int) keptTime {
	frames, ends := c.FrameNS(), c.Record.Column(int(c.Record.NumCols())-1).(*array.Int64)
	if ends.IsNull(lo) || ends.IsNull(hi-1) {
		return keptTime{why: noStamp}
	}
	return keptTime{Span: series.Span{FromNS: ends.Value(lo) - frames[lo], ToNS: ends.Value(hi - 1)}}
}

const noStamp = "the first or the last kept frame has no timestamp"

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

// Holds reports whether a file is one that the pass is read from.
func (p Pass) Holds(path string) bool {
	return p.File.Path == path || path != "" && slices.ContainsFunc(p.Sensors.Files, func(f SensorFile) bool { return f.Path == path })
}

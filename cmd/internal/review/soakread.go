package review

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/apache/arrow/go/v15/arrow/array"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/thermocouple"
	"github.com/rigslate/rigslate/ingest"
	"github.com/rigslate/rigslate/ingest/text"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// soakBench is one soak on its way from its files to its figures.
type soakBench struct {
	ctx      context.Context
	from     fs.FS
	reader   *ingest.Reader
	keeper   *keeper
	copies   map[string]soakCopy // by path
	stop     error               // ends the run: the archive cannot be written
	run      plan.SoakRun
	soak     plan.Soak
	files    []SoakFile
	channels map[string]*series.Series
	first    series.Span // of the first log that could be read
	last     int64       // ns of the last sample of all
	frames   series.Span
	counted  int // frames
	rate     power.Rate
	doubts   []remark
	notes    []remark
	roomSays []series.Note
	flags    []Flag
	findings finding.List
}

func (b *soakBench) doubt(format string, args ...any) {
	b.doubts = remarked(b.doubts, "", fmt.Sprintf(format, args...))
}

// read reads every file of the soak and lays their channels on one clock: that of elapsed times, and for logs with dates the
// first of them in the plan. What a clock is off by the plan states.
func (b *soakBench) read(logs []plan.SoakLog) {
	b.channels, b.copies = map[string]*series.Series{}, map[string]soakCopy{}
	var epoch time.Time
	for _, l := range logs {
		file, err := b.from.Open(l.Path)
		if errors.Is(err, fs.ErrNotExist) {
			b.files = append(b.files, SoakFile{Path: l.Path})
			b.doubt("%s is not there", l.Path)
			continue
		}
		f := SoakFile{Path: l.Path, There: true, Err: err, log: l.Log}
		if err == nil {
			if info, err := file.Stat(); err == nil {
				f.modified = info.ModTime()
			}
			if l.Log == plan.FramesLog {
				b.readFrames(&f, file, l)
			} else {
				b.readLog(&f, file, l, &epoch)
			}
			file.Close() // only read from
		}
		if f.Err != nil {
			b.doubt("%s cannot be used", l.Path)
			if !b.findings.HasErrors() {
				b.findings.Add(finding.Error, finding.Place{File: l.Path}, "Log of a soak cannot be used", f.Err.Error(), "")
			}
		}
		b.files = append(b.files, f)
	}
}

// channelUnit is a plan's unit in ingest's words.
func channelUnit(unit string) ingest.ChannelUnit {
	if unit == "pct" {
		return ingest.Percent
	}
	u, _ := ingest.ChannelUnitNamed(unit)
	return u
}

// logLayout tells ingest how a logger's file is read.
func logLayout(log plan.Log, offset time.Duration) ingest.LogLayout {
	l := ingest.LogLayout{Text: layout(&plan.Files{Text: log.Text}), Offset: offset, Thermocouple: junction}
	clock := column(&log.Time.Column)
	if log.Time.Column.Unit == "min" {
		clock.Unit = text.Minutes
	}
	l.Text.Sample = &text.Sample{Column: *clock, Form: log.Time.Layout}
	for _, c := range log.Channels {
		l.Channels = append(l.Channels, ingest.Channel{Key: c.Key, Column: text.Column{Name: c.Column.Name, Index: c.Column.Index},
			Unit: channelUnit(c.Column.Unit), Cold: c.ColdJunction})
	}
	return l
}

func junction(millivolts, cold float64) (float64, string) {
	v := thermocouple.Compensated(millivolts, cold)
	return v.X, v.Why
}

func (b *soakBench) readLog(f *SoakFile, file fs.File, l plan.SoakLog, epoch *time.Time) {
	raw, err := b.copyOf(file)
	if err != nil {
		b.stop = err
		return
	}
	log, err := b.reader.ReadLog(b.ctx, file, l.Path, logLayout(b.soak.Logs[l.Log], l.Offset), raw.writer())
	f.SHA256, f.Bytes, f.Err = log.SHA256, log.Bytes, err
	b.tell(log.Findings, err)
	if err != nil {
		b.drop(raw, err)
		return
	}
	shift := int64(0)
	if !log.Start.IsZero() {
		if epoch.IsZero() {
			*epoch = log.Start
		}
		shift = log.Start.Sub(*epoch).Nanoseconds()
	}
	for _, c := range log.Channels {
		s, err := seriesOf(log, c, shift)
		if err != nil {
			b.doubt("%s of %s cannot be used: %v", c.Key, l.Path, err)
			continue
		}
		b.channels[c.Key] = s
		f.channels = append(f.channels, c.Key)
	}
	if b.keeper.keeps() {
		b.copies[l.Path] = soakCopy{raw, b.archived(log, shift, l)}
	}
	whole := series.Span{FromNS: log.TimesNS[0] + shift, ToNS: log.TimesNS[len(log.TimesNS)-1] + shift}
	if b.first == (series.Span{}) {
		b.first, b.last = whole, whole.ToNS
	}
	b.last = max(b.last, whole.ToNS)
}

// seriesOf is one channel of a log as a series; shift in ns is added to the log's times.
func seriesOf(log *ingest.Log, c ingest.Readings, shift int64) (*series.Series, error) {
	return series.New(readings(log, c, shift))
}

func readings(log *ingest.Log, c ingest.Readings, shift int64) (at []int64, values []float64) {
	for i, ok := range c.Valid {
		if ok {
			at, values = append(at, log.TimesNS[i]+shift), append(values, c.Values[i])
		}
	}
	return at, values
}

// drop throws away the copy of a file that cannot be used, and ends the run where it is the copy that failed.
func (b *soakBench) drop(raw rawCopy, err error) {
	raw.discard()
	if errors.Is(err, ingest.ErrCopy) {
		b.stop = fmt.Errorf("%w: %w", ErrDisk, err)
	}
}

// tell hands on what was found in a file; where the file is used all the same, an error in it is a warning.
func (b *soakBench) tell(fs finding.List, err error) {
	for _, f := range fs {
		if err == nil && f.Severity == finding.Error {
			f.Severity = finding.Warning
		}
		b.findings = append(b.findings, f)
	}
}

// endKey carries the end of each frame along with its time.
const endKey = "end"

// readFrames finds out from when to when frames were drawn, and how many.
func (b *soakBench) readFrames(f *SoakFile, file fs.File, log plan.SoakLog) {
	p := b.soak.Frames
	l := layout(&plan.Files{Text: p.Text, FrameTime: p.FrameTime, Timestamp: p.Timestamp, KeepRows: p.KeepRows})
	if p.Timestamp != nil {
		l.Extra = []text.Extra{{Key: endKey, Column: *column(p.Timestamp), Time: true}}
	}
	raw, err := b.copyOf(file)
	if err != nil {
		b.stop = err
		return
	}
	c, err := b.reader.Read(b.ctx, file, log.Path, l, raw.writer())
	defer c.Release()
	f.SHA256, f.Bytes, f.Err = c.SHA256, c.Bytes, err
	b.tell(c.Findings, err)
	if err != nil {
		b.drop(raw, err)
	} else if b.keeper.keeps() {
		b.copies[log.Path] = soakCopy{raw: raw}
	}
	frames := c.FrameNS()
	if err != nil || len(frames) == 0 {
		return
	}
	b.counted, b.rate = len(frames), power.OfRate(frames, b.soak.Settle.Nanoseconds())
	b.frames = series.Span{ToNS: compute.Duration(frames)}
	if p.Timestamp != nil {
		ends := c.Record.Column(1).(*array.Int64)
		last := len(frames) - 1
		if ends.IsNull(0) || ends.IsNull(last) {
			f.Err = fmt.Errorf("the first or last frame of %s has no time", log.Path)
			b.frames, b.counted = series.Span{}, 0
			return
		}
		b.frames = series.Span{FromNS: ends.Value(0) - frames[0], ToNS: ends.Value(last)}
	}
	b.frames.FromNS += log.Offset.Nanoseconds()
	b.frames.ToNS += log.Offset.Nanoseconds()
}

// load is the stretch under load: that of the frames, else the declared length from where the first log begins and the lead-in
// ends, as far as anything was logged.
func (b *soakBench) load() series.Span {
	if b.frames.ToNS > b.frames.FromNS {
		return b.frames
	}
	if b.first == (series.Span{}) {
		return series.Span{}
	}
	from := b.first.FromNS + b.soak.LeadIn.Nanoseconds()
	return series.Span{FromNS: from, ToNS: max(from, min(from+b.soak.Length.Nanoseconds(), b.last))}
}

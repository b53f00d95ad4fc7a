package review

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/ingest"
	"github.com/rigslate/rigslate/ingest/text"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/match"
)

// worker holds what one goroutine reuses from file to file.
type worker struct {
	reader  *ingest.Reader
	scratch compute.Scratch
}

// reading is one file on its way from a worker to the keeper.
type reading struct {
	pass     Pass
	capture  *ingest.Capture // nil where the file cannot be used; let go by the consumer
	lo, hi   int             // kept frames
	raw      rawCopy
	beside   []rawCopy // as the pass's sensor files
	findings finding.List
	stop     error // ends the run: cancelled, or the archive cannot be written
}

// read takes every matched file through ingest and compute, and hands the frames on to the keeper in plan order.
func (r *Review) read(ctx context.Context, o Options, root *os.Root, files []match.File, k *keeper) error {
	n := several(o.Workers)
	idle := make(chan *worker, n)
	for range n {
		idle <- &worker{reader: ingest.NewReader(memory.DefaultAllocator)}
	}
	return ordered(ctx, len(files), n, func(ctx context.Context, i int) reading {
		w := <-idle
		defer func() { idle <- w }()
		return r.readOne(ctx, w, root, files[i], k)
	}, func(i int, v reading) error {
		if o.Progress != nil {
			o.Progress(i+1, len(files), files[i].Path)
		}
		err := r.take(v, k)
		if err == nil {
			r.recall(ctx, o.Record)
		}
		return err
	})
}

// sayEncodings logs what was inferred rather than declared.
func (r *Review) sayEncodings(log zerolog.Logger) {
	inferred := map[string]int{}
	for _, p := range r.Passes {
		if p.Err == nil && p.File.Files.Text.Encoding == plan.DefaultEncoding {
			inferred[p.Encoding]++
		}
	}
	for _, name := range slices.Sorted(maps.Keys(inferred)) {
		log.Info().Str("encoding", name).Int("captures", inferred[name]).Msg("encoding inferred")
	}
}

// readOne reads one file and works out its figures. It is called from several goroutines and only reads r.
func (r *Review) readOne(ctx context.Context, w *worker, root *os.Root, f match.File, k *keeper) (v reading) {
	v.pass = Pass{Key: f.Key, Repeat: f.Repeat, File: f}
	file, err := root.Open(f.Path)
	if err != nil {
		v.unusable(f, err)
		return v
	}
	defer file.Close()
	if v.raw, err = k.raw(file); err != nil {
		v.stop = err
		return v
	}
	c, err := w.reader.Read(ctx, file, f.Path, passLayout(f.Files), v.raw.writer())
	if ctx.Err() != nil {
		v.stop = context.Cause(ctx)
		c.Release()
		return v
	}
	v.findings = c.Findings
	v.pass.SHA256, v.pass.Bytes = c.SHA256, c.Bytes
	v.pass.BadLines, v.pass.OtherRows, v.pass.FramesLost, v.pass.Encoding = c.BadLines, c.FilteredRows, c.FramesLost, c.Encoding
	if err != nil {
		c.Release()
		if errors.Is(err, ingest.ErrCopy) {
			v.stop = fmt.Errorf("%w: %w", ErrDisk, err)
		}
		v.unusable(f, err)
		return v
	}
	v.capture = c
	if f.Files.HasSensors() {
		s := sensorReader{ctx: ctx, worker: w, root: root, keeper: k, reading: &v}
		if s.read(); v.stop != nil {
			return v
		}
	}
	v.lo, v.hi = figurePass(r.Plan, &v.pass, capturedPass{c, v.pass.Sensors.logs}, &w.scratch)
	if !k.keeps() {
		v.pass.Sensors.logs = nil
	}
	return v
}

// passLayout is layout for the captures of a pass: where files lie beside them, the end of each frame tells what of those is of the kept time.
func passLayout(f *plan.Files) text.Layout {
	l := layout(f)
	if len(f.Sensors) > 0 && f.Timestamp != nil {
		l.Extra = append(l.Extra, text.Extra{Key: frameEnd, Column: *column(f.Timestamp), Time: true})
	}
	return l
}

// unusable records that a file cannot be used, as a finding and on the pass.
func (v *reading) unusable(f match.File, err error) {
	v.pass.Status, v.pass.Err = Unusable, err
	if !v.findings.HasErrors() {
		next := ""
		switch {
		case errors.Is(err, fs.ErrPermission):
			next = "Allow reading it."
		case errors.Is(err, fs.ErrNotExist):
			next = "It was there a moment ago. Put it back, or run again without it."
		}
		v.findings.Add(finding.Error, finding.Place{File: f.Path}, "Capture cannot be used", err.Error(), next)
	}
}

func (v *reading) discard() {
	v.raw.discard()
	for _, c := range v.beside {
		c.discard()
	}
}

// take stores one reading and lets go of its frames. It is called in plan order, one at a time.
func (r *Review) take(v reading, k *keeper) error {
	if v.capture != nil {
		defer v.capture.Release()
	}
	for _, f := range v.findings {
		if v.pass.Err == nil && f.Severity == finding.Error {
			f.Severity = finding.Warning // the capture is used; whether it counts is for the checks to say
		}
		r.Findings = append(r.Findings, f)
	}
	err := v.stop
	if err == nil {
		err = k.take(&v, v.pass.File.Files)
	} else {
		v.discard()
	}
	r.Passes = append(r.Passes, v.pass)
	return err
}

// layout tells ingest how a block's files are read.
func layout(f *plan.Files) text.Layout {
	l := text.Layout{
		Delimiter: f.Text.Delimiter,
		Encoding:  f.Text.Encoding,
		Comment:   f.Text.Comment,
		SkipLines: f.Text.SkipLines,
		FrameTime: column(f.FrameTime),
		Timestamp: column(f.Timestamp),
	}
	if f.Text.Decimal != "" {
		l.Decimal = f.Text.Decimal[0]
	}
	if f.KeepRows != nil {
		l.KeepRows = &text.Filter{Column: *column(&f.KeepRows.Column), Equals: f.KeepRows.Equals}
	}
	for _, e := range f.Extra {
		c := column(&e.Column)
		l.Extra = append(l.Extra, text.Extra{Key: e.Key, Column: *c, Time: isTime(e.Column.Unit)})
	}
	return l
}

func isTime(unit string) bool { _, ok := text.UnitNamed(unit); return ok }

func column(c *plan.Column) *text.Column {
	if c == nil {
		return nil
	}
	unit, _ := text.UnitNamed(c.Unit) // no time: carried along as it is
	return &text.Column{Name: c.Name, Index: c.Index, Unit: unit}
}

func window(k plan.Keep) compute.Window {
	return compute.Window{WarmupNS: k.Warmup.Nanoseconds(), LengthNS: k.Length.Nanoseconds(), All: k.All}
}

// Beyond these rates a unit is wrong rather than a card fast or slow: ms read as us or as s are off by a thousand. Common
// practice, no source.
const (
	mostFPS  = 5000
	leastFPS = 0.5
)

// passDoubts checks one readable pass against what the game accepts.
func passDoubts(g plan.Game, p Pass) (out []coverage.Reason) {
	add := func(kind coverage.Kind, format string, args ...any) {
		out = append(out, coverage.Reason{Kind: kind, Pass: p.Repeat, Text: fmt.Sprintf(format, args...)})
	}
	kept := float64(p.Figures.DurationNS) / 1e9
	switch need := g.MinKept().Seconds(); {
	case p.Figures.Frames > 0 && p.Figures.Why != "":
		add(kindNoFigures, "no figure can be had: %s", p.Figures.Why)
	case p.Figures.Frames == 0:
		add(kindLength, "nothing is left after the warm-up of %s", g.Keep.Warmup)
	case kept < need:
		add(kindLength, "%.1f s kept, at least %.1f s needed", kept, need)
	}
	if fps := p.Figures.MeanFPS; fps.OK && (fps.X > mostFPS || fps.X < leastFPS) {
		rate := screen.Number(fps.X, 0)
		if fps.X < leastFPS {
			rate = fmt.Sprintf("%.2g", fps.X)
		}
		add(kindImplausible, "%s fps is no frame rate of a game; look at the unit that the plan states", rate)
	}
	if p.FramesLost {
		add(kindFramesLost, "frame times and timestamps disagree, so frames were lost")
	}
	if p.BadLines > g.Accept.MaxBadLines {
		add(kindBadLines, "%d bad lines, at most %d accepted", p.BadLines, g.Accept.MaxBadLines)
	}
	return out
}

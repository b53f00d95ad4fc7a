// Package review joins the stages into one run: load → find → read → figure → judge → keep. Each stage returns its value and its
// findings and knows nothing of the others; what belongs to which is decided here and nowhere else. Everything is worked out
// from the raw files each time: a cache of figures was rejected, since a stale one is the very thing this tool is there to catch.
package review

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/chart"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// Kinds of failure that a command's exit code tells apart.
var (
	ErrPlan  = errors.New("plan")
	ErrInput = errors.New("input")
	ErrDisk  = errors.New("disk")
)

// Options is what a command hands over.
type Options struct {
	Plans    []string // plan files and folders
	Captures string   // folder of the raw files, "" for the plan's
	Now      time.Time
	Workers  int
	Record   bool // write first sights into the ledger
	Keep     bool // write the draft, and an edition when ready
	Partial  bool // publish an edition although the review is not ready
	Tool     string
	Charts   report.Charts
	Log      zerolog.Logger
	Progress func(done, total int, what string) // may be nil
	Hide     func(*discreet.Veil)               // told what is withheld as soon as the plan is read, nil for nothing; may be nil

	again *again // an edition that is worked out again
}

// Review is one review as it stands: what was declared, what is there, what follows from it.
type Review struct {
	Plan        *plan.Plan
	Findings    finding.List
	Passes      []Pass // plan order: cell by cell, by repeat
	Cells       []Cell // plan order
	Comparisons []Comparison
	Summaries   []Summary
	Claims      []Claim
	Strays      []match.Stray
	Other       match.Other // files of the captures' folder that no pattern asks for
	Todo        []Todo
	Soaks       []Soak // every soak that the plan asks for, in its order
	SoakTodo    []SoakTodo
	SweepTodo   []SweepTodo
	Bench       []BenchFigure // of soaks, sweeps, prices and builds, in plan order
	BenchDiffs  []BenchComparison
	Ready       bool
	Kept        Kept
	Elsewhere   []Elsewhere    // taken from other reviews of the archive
	Veil        *discreet.Veil // what was withheld, see Do; nil for nothing

	reportWords  report.Words
	fonts        []report.Font // of the look, as the plan names them; without a hash where the built-in ones stand in
	look         chart.Look
	planFindings int // of Findings, those that the plan had before anything was read

	base       string // folder of the captures
	framesFrom string // the edition that holds the frames, where the figures are recomputed from those
	refused    string // why no edition may be published, even in part
	ledger     *ledger.Ledger
	soakFiles  map[[32]byte]string // paths, by content
	lookups    lookups
	sessions   map[string]compute.SessionSpread // by metric
	prior      compute.Prior                    // of the headline's spread
	controls   map[string][]controlled          // by session
	at         map[plan.Key]int                 // index into Cells
	outcomes   []match.Outcome
	archived   archived
	reach      *reach

	lent       map[plan.Key]lent // passes of other reviews
	lentPasses []Pass
	notLent    map[plan.Key]string // why
}

// Pass is one capture of one cell.
type Pass struct {
	Key             plan.Key
	Repeat          int
	File            match.File
	Status          Status
	StatusReason    string
	SHA256          [32]byte
	Bytes           int64
	Frames          int // in the file
	Cut             int // of these, outside the kept time
	BadLines        int
	OtherRows       int           // left out by keep_rows
	FramesLost      bool          // frame times and timestamps disagree
	Encoding        string        // as found
	Facts           ledger.Facts  // as recorded at first sight
	Seen            time.Time     // file's time at first sight
	When            time.Time     // what orders the passes of its cell, zero where only the names do
	Launch, Session string        // told apart over the whole review; empty where nobody stated them
	Figures         *compute.Pass // nil where the file cannot be used
	Sensors         PassSensors
	DriftPct        compute.Value    // against the other passes of the cell
	Disturbed       *compute.Stretch // the longest stretch slower than in the other passes
	StartApartK     compute.Value    // above the median of the others' start temperatures
	Off             string           // why the pass was not laid beside the others, "" if it was
	Doubts, Stale   []coverage.Reason
	Err             error   // why the file cannot be used
	Reused          *Reused // nil for a pass of this review
}

// Cell is one planned cell with what is known of it.
type Cell struct {
	coverage.Judgement
	Passes []int // indexes into Review.Passes, by repeat, void and superseded ones too
	Stats  []compute.CellStat
	Flags  []Flag

	NotReused string // why a reuse block that names its card lends it nothing
}

// Flag is a short word with what it means here, shown wherever the cell's numbers are.
type Flag struct {
	Word compute.Flag `json:"flag"`
	Text string       `json:"text"`
	With []string     `json:"with,omitempty"` // the other cards and modes it concerns
}

// Comparison is one cell against another of the same game, variant and resolution in one metric.
type Comparison struct {
	compute.Comparison
	Of, Base plan.Key
	Metric   compute.Metric
	Firm     bool            // stands although many were looked at
	Holds    bool            // both cells are ready or vouched
	Needed   compute.Repeats // launches a side to show the margin, where unresolved
}

// Do carries out a run. The error says why it stopped or failed; the Review holds whatever was reached, and is nil only if
// there is no plan to speak of. Both are as they may be shown at the time: see shown.
func Do(ctx context.Context, o Options) (*Review, error) {
	r, err := carryOut(ctx, o)
	return r.shown(o, err)
}

func carryOut(ctx context.Context, o Options) (*Review, error) {
	stage := stages(o.Log)
	r, err := load(o)
	stage("load")
	if err != nil {
		return r, err
	}
	if o.Hide != nil {
		o.Hide(r.Plan.Discretion().At(o.Now))
	}
	o.again.give(r)
	root, err := os.OpenRoot(r.base)
	if err != nil {
		return r, fmt.Errorf("%w: opening the captures' folder: %w", ErrInput, err)
	}
	defer root.Close()
	found, findings, err := match.Find(ctx, r.Plan, root)
	r.Findings = append(r.Findings, findings...)
	stage("find")
	switch {
	case ctx.Err() != nil:
		return r, ctx.Err()
	case err != nil:
		return r, fmt.Errorf("%w: %w", ErrInput, err)
	}
	files := r.find(found)
	o.Log.Debug().Int("captures", len(files)).Int("strays", len(r.Strays)).Int("other", r.Other.Count).Str("folder", r.base).Msg("files found")
	if err := r.lend(o, files); err != nil {
		return r, err
	}
	k := r.openKeeper(o, files)
	defer k.abandon(o)
	l, err := ledger.Open(r.inPlan("ledger"))
	if err != nil {
		return r, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	if o.Record {
		l.Sweep()
	}
	r.openLedger(l, len(files))
	defer r.lookups.at.Wait() // nothing writes to the ledger once this has returned
	err = r.read(ctx, o, root, files, k)
	stage("read and figure")
	if err != nil {
		return r, err
	}
	if err := r.workOut(ctx, o, match.Folder{Root: root}, k, stage); err != nil {
		return r, err
	}
	r.sayEncodings(o.Log)
	err = k.keep(ctx, r, o, root)
	stage("keep")
	err = errors.Join(err, r.writeReport(ctx, o)) // a full archive is no reason to go without a page
	stage("report")
	if err != nil {
		return r, err
	}
	return r, r.failure()
}

// stages logs how long each stage took.
func stages(log zerolog.Logger) func(name string) {
	last := time.Now()
	return func(name string) {
		now := time.Now()
		log.Debug().Str("stage", name).Dur("ms", now.Sub(last)).Msg("done")
		last = now
	}
}

// Load reads and checks the plan alone. Without errors it is as it may be shown at the time.
func Load(o Options) (*Review, error) {
	r, err := load(o)
	if err == nil && r.Plan.Discretion().At(o.Now) != nil {
		r.Reach() // finds cards of earlier editions by their names
	}
	return r.shown(o, err)
}

func load(o Options) (*Review, error) {
	p, findings, err := plan.Load(o.Plans, o.Now)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrPlan, err)
	}
	r := &Review{Plan: p, Findings: findings, planFindings: len(findings)}
	if findings.HasErrors() {
		return r, ErrPlan
	}
	r.readLook()
	r.planFindings = len(r.Findings)
	r.base = o.Captures
	if r.base == "" {
		r.base = p.Dir
	}
	return r, nil
}

// failure turns what was found into the error that the exit code follows from: a file that should have been a pass and is none.
func (r *Review) failure() error {
	if r.Findings.HasErrors() {
		return ErrInput
	}
	return nil
}

// Finished reports whether the run got as far as a judgement, so that there is something to show.
func (r *Review) Finished() bool { return r.Cells != nil }

// inPlan gives a path that the plan states relative to itself.
func (r *Review) inPlan(path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(r.Plan.Dir, filepath.FromSlash(path))
}

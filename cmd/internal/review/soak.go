package review

import (
	"cmp"
	"context"
	"io/fs"
	"slices"
	"time"

	"github.com/apache/arrow/go/v15/arrow/memory"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/compute/thermocouple"
	"github.com/rigslate/rigslate/ingest"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/schedule"
)

// SoakState says whether a soak is there and may be shown. A soak that is not settled may: what it says is in its figures.
type SoakState string

// The states of a soak.
const (
	SoakReady    SoakState = "ready"
	SoakDoubtful SoakState = "doubtful"
	SoakAbsent   SoakState = "absent"
)

// Soak is one soak that the plan asks for, with what its files and readings say. Times are in ns on the clock that all its logs are laid on.
type Soak struct {
	plan.SoakRun
	State  SoakState
	Why    []string // what stands against it; empty only when ready
	Notes  []string // what must be known of it and is no doubt
	Flags  []Flag   // the words for both, each with what it means here
	Files  []SoakFile
	Load   series.Span // zero where nothing was logged
	Frames int         // under the load, 0 where none were logged
	Rate   power.Rate  // of the frames, at both ends; only where Frames is not 0
	RoomC  compute.Value
	Probes []SoakProbe // in the plan's order, then the groups
	Powers []SoakPower
	Clocks []SoakClock
	Fans   []SoakFan
	Sounds []SoakSound
	end    series.Span    // of Load
	noted  []plan.Reading // that are of it
}

// SoakFile is one file that a soak should leave.
type SoakFile struct {
	Path   string
	There  bool
	SHA256 [32]byte
	Bytes  int64
	Err    error        // why it cannot be used
	Facts  ledger.Facts // as recorded at first sight

	log      int      // which of the soak's logs, plan.FramesLog for its frames
	channels []string // that could be read from it
	modified time.Time
}

// SoakProbe is one probe, or the hottest of a group. Noted is a temperature that a person wrote down; then only EndC and what follows from
// it is there.
type SoakProbe struct {
	Name    string
	Group   bool
	Hottest string // of a group, the probe with its peak
	Noted   bool
	thermal.Probe
	Cooling thermal.Cooling
	// In K, of the figures that they are named after.
	PeakU, SustainedU, EndU, RiseU, NormalisedU compute.Uncertainty
	wire                                        *wire // nil for a sensor of the card
}

// wire is a thermocouple with its logger, the samples of the soak's end and those of its sustained peak, from which the uncertainty of a
// difference is made.
type wire struct {
	probe   string
	perCard bool
	thermocouple.Chain
	samples, peak []float64
}

// SoakPower is the power at one place. Noted figures have a mean and nothing else.
type SoakPower struct {
	Channel, At string
	Noted       bool
	power.Power
}

// SoakClock is one clock, and whether a power limit held it; Limit is absent but for the first clock, which is held against the first power.
type SoakClock struct {
	Channel string
	Noted   bool // by hand: only MedianMHz is there, the mean of what was noted
	power.Clock
	Limit power.Limit
}

// SoakFan is one fan. Probe names the temperature its thresholds are of.
type SoakFan struct {
	Channel, Probe string
	Noted          bool
	power.Fan
}

// SoakSound is one level. AtReference is it at the distance that the plan converts to.
type SoakSound struct {
	Channel string // empty where readings were noted
	sound.Level
	AtReference compute.Value
}

// SoakTodo is one soak to make.
type SoakTodo struct {
	plan.SoakRun
	Why  []string
	Time time.Duration
	Swap time.Duration // on the first of each card: what mounting it adds, where no pass to run does

	Probes time.Duration // on the first of each card: fixing thermocouples to it and taking them off
}

// readSoaks reads the files of every soak and works out its figures, several soaks at a time.
func (r *Review) readSoaks(ctx context.Context, o Options, files fs.FS, k *keeper) error {
	runs := r.Plan.SoakRuns()
	if len(runs) == 0 {
		return nil
	}
	logs := map[plan.SoakRun][]plan.SoakLog{}
	for _, l := range r.Plan.SoakLogs() {
		logs[l.SoakRun] = append(logs[l.SoakRun], l)
	}
	n := several(o.Workers)
	idle := make(chan *ingest.Reader, n)
	for range n {
		idle <- ingest.NewReader(memory.DefaultAllocator)
	}
	var failed error
	r.soakFiles = map[[32]byte]string{}
	return ordered(ctx, len(runs), n, func(ctx context.Context, i int) (v soakRead) {
		reader := <-idle
		defer func() { idle <- reader }()
		b := soakBench{ctx: ctx, from: files, reader: reader, keeper: k, run: runs[i]}
		b.soak, _ = r.Plan.Soak(runs[i].Soak)
		b.read(logs[runs[i]])
		v.soak, v.findings, v.copies, v.stop = b.figure(r.Plan), b.findings, b.copies, b.stop
		return v
	}, func(_ int, v soakRead) error {
		if failed == nil {
			failed = cmp.Or(v.stop, ctx.Err())
		}
		if failed != nil { // what was read meanwhile was broken off, and says nothing
			for _, c := range v.copies {
				c.raw.discard()
			}
			return failed
		}
		failed = r.takeRead(v, k, o.Record)
		return failed
	})
}

// soakRead is one soak on its way from a worker to the keeper.
type soakRead struct {
	soak     Soak
	copies   map[string]soakCopy // by path
	findings finding.List
	stop     error // ends the run
}

// takeRead enters one soak in the review, the ledger and the archive. It is called in the plan's order, one at a time.
func (r *Review) takeRead(v soakRead, k *keeper, record bool) error {
	r.Findings = append(r.Findings, v.findings...)
	if err := r.rememberSoak(&v.soak, record); err != nil {
		return err
	}
	if err := k.takeSoak(v.soak, v.copies); err != nil {
		return err
	}
	r.Soaks = append(r.Soaks, v.soak)
	return nil
}

// planSoaks lists the soaks still to make, card by card in the order of the passes to run. What mounting a card and fixing its probes takes
// stands on its first.
func (r *Review) planSoaks() {
	for _, s := range r.Soaks {
		if s.State != SoakReady {
			r.SoakTodo = append(r.SoakTodo, SoakTodo{SoakRun: s.SoakRun, Why: s.Why, Time: schedule.SoakCost(r.Plan, s.SoakRun)})
		}
	}
	passed, order := map[string]bool{}, map[string]int{}
	mounted := ""
	rank := func(card string) {
		if _, ok := order[card]; !ok {
			order[card] = len(order)
		}
	}
	for _, t := range r.Todo {
		passed[t.Cell.Card], mounted = true, t.Cell.Card
		rank(t.Cell.Card)
	}
	for _, t := range r.SoakTodo {
		rank(t.Mode.Card)
	}
	slices.SortStableFunc(r.SoakTodo, func(a, b SoakTodo) int { return order[a.Mode.Card] - order[b.Mode.Card] })
	for i := range r.SoakTodo {
		card := r.SoakTodo[i].Mode.Card
		if i > 0 && r.SoakTodo[i-1].Mode.Card == card {
			continue
		}
		var runs []plan.SoakRun
		for _, t := range r.SoakTodo {
			if t.Mode.Card == card {
				runs = append(runs, t.SoakRun)
			}
		}
		r.SoakTodo[i].Probes = schedule.ProbesCost(r.Plan, runs)
		if !passed[card] {
			r.SoakTodo[i].Swap = schedule.MountCost(r.Plan, mounted, loads(r.Plan, runs))
			mounted = card
		}
	}
}

// loads are the games of some soaks of a card, as the cells that mounting it is priced by.
func loads(p *plan.Plan, runs []plan.SoakRun) (keys []plan.Key) {
	for _, run := range runs {
		protocol, _ := p.Soak(run.Soak)
		keys = append(keys, plan.Key{Card: run.Mode.Card, Mode: run.Mode.Mode, Game: protocol.Game.Game, Variant: protocol.Game.Variant})
	}
	return keys
}

// SoakTimeLeft is the bench time of all soaks still to make.
func (r *Review) SoakTimeLeft() (d time.Duration) {
	for _, t := range r.SoakTodo {
		d += t.Time + t.Swap + t.Probes
	}
	return d
}

// Hottest is the probe or group with the highest end of the soak; a group before its own probe, from which rounding may take it a hair.
func (s Soak) Hottest() (h SoakProbe, ok bool) {
	const hair = 1e-9 // K
	for _, p := range s.Probes {
		if p.EndC.OK && (!ok || p.EndC.X >= h.EndC.X-hair) {
			h, ok = p, true
		}
	}
	return h, ok
}

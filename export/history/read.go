package history

import (
	"encoding/json"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// passRow is what of runs.parquet says under which circumstances a pass was made.
type passRow struct {
	RunID      string   `parquet:"run_id"`
	Card       string   `parquet:"card"`
	Mode       string   `parquet:"mode"`
	Game       string   `parquet:"game"`
	Variant    string   `parquet:"variant"`
	Resolution string   `parquet:"resolution"`
	Width      *int32   `parquet:"width"`
	Height     *int32   `parquet:"height"`
	Launch     *string  `parquet:"launch"`
	Session    *string  `parquet:"session"`
	StartedAt  *int64   `parquet:"started_at,timestamp(microsecond)"`
	Rig        *string  `parquet:"rig"`
	Driver     *string  `parquet:"driver"`
	Firmware   *string  `parquet:"firmware"`
	Sample     *string  `parquet:"sample"`
	Build      *string  `parquet:"build"`
	Preset     *string  `parquet:"preset"`
	API        *string  `parquet:"api"`
	Scene      *string  `parquet:"scene"`
	Drive      *string  `parquet:"drive"`
	WarmupS    *float64 `parquet:"warmup_s"`
	LengthS    *float64 `parquet:"length_s"`
	MeasuredAt *string  `parquet:"measured_at"`
	Status     string   `parquet:"status"`
}

func (r passRow) key() Key { return Key{r.Card, r.Mode, r.Game, r.Variant, r.Resolution} }

// cellRow is what of cells.parquet its figures are.
type cellRow struct {
	Card       string   `parquet:"card"`
	Mode       string   `parquet:"mode"`
	Game       string   `parquet:"game"`
	Variant    string   `parquet:"variant"`
	Resolution string   `parquet:"resolution"`
	Metric     string   `parquet:"metric"`
	N          int32    `parquet:"n"`
	Launches   int32    `parquet:"launches"`
	Sessions   int32    `parquet:"sessions"`
	Mean       *float64 `parquet:"mean"`
	SD         *float64 `parquet:"sd"`
	CILow      *float64 `parquet:"ci_low"`
	CIHigh     *float64 `parquet:"ci_high"`
	OwnCILow   *float64 `parquet:"own_ci_low"`
	OwnCIHigh  *float64 `parquet:"own_ci_high"`
	DF         *float64 `parquet:"df"`
	Method     *string  `parquet:"method"`
	State      string   `parquet:"state"`
	Flags      *string  `parquet:"flags"`
}

func (r cellRow) key() Key { return Key{r.Card, r.Mode, r.Game, r.Variant, r.Resolution} }

// spreadRow is what of comparisons.parquet the session spread is.
type spreadRow struct {
	Metric        string   `parquet:"metric"`
	SessionSpread *float64 `parquet:"session_spread"`
	SessionSource *string  `parquet:"session_source"`
}

// writtenPlan is what of plan.json the tables do not have.
type writtenPlan struct {
	Review map[string]struct {
		Rig string `json:"rig"`
	} `json:"review"`
	Rig map[string]struct {
		Fixed map[string]any `json:"fixed"`
	} `json:"rig"`
	Card map[string]struct {
		Mode map[string]map[string]any `json:"mode"`
	} `json:"card"`
	Game map[string]struct {
		Variant map[string]struct {
			Settings map[string]any `json:"settings"`
		} `json:"variant"`
	} `json:"game"`
	Statistics struct {
		Quantile int    `json:"quantile"`
		Margin   string `json:"margin"`
	} `json:"statistics"`
}

// stored is an edition with the parts of its tables that were asked for.
type stored struct {
	archive.Edition
	plan   writtenPlan
	passes map[Key][]passRow // that count
	cells  map[Key]cellRow   // in the metric asked for
	spread compute.SessionSpread
	prior  float64 // degrees of freedom that borrowed spreads lean on
}

// mayHold reports whether an edition may have cells of the cards: its frames are in a file a card, and an edition without any may have
// them elsewhere. An empty list is any card.
func mayHold(e archive.Edition, cards []string) bool {
	if len(cards) == 0 {
		return true
	}
	frames := false
	for _, path := range e.Measured() {
		if card, ok := strings.CutPrefix(path, "frames-"); ok {
			frames = true
			if slices.Contains(cards, strings.TrimSuffix(card, ".parquet")) {
				return true
			}
		}
	}
	return !frames
}

// read reads the parts of the editions' tables that a look at one metric needs, on all cores. Editions that cannot be read come apart.
func read(editions []archive.Edition, m compute.Metric) (out []stored, unreadable []archive.Unreadable) {
	all := make([]stored, len(editions))
	errs := make([]error, len(editions))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, e := range editions {
		g.Go(func() error {
			all[i], errs[i] = readOne(e, m)
			return nil
		})
	}
	_ = g.Wait() // none of them fails
	for i, err := range errs {
		if err != nil {
			e := editions[i]
			unreadable = append(unreadable, archive.Unreadable{Review: e.Review, Edition: e.Edition, Dir: e.Dir, Err: err})
			continue
		}
		out = append(out, all[i])
	}
	return out, unreadable
}

func readOne(e archive.Edition, m compute.Metric) (stored, error) {
	s := stored{Edition: e, passes: map[Key][]passRow{}, cells: map[Key]cellRow{}}
	text, err := e.File("plan/plan.json")
	if err != nil {
		return s, err
	}
	if err := json.Unmarshal(text, &s.plan); err != nil {
		return s, fmt.Errorf("%w: %s/plan/plan.json: %w", archive.ErrDamaged, e.Dir, err)
	}
	passes, err := archive.ReadTable[passRow](e, "runs.parquet")
	if err != nil {
		return s, err
	}
	for _, p := range passes {
		if p.Status == "used" {
			s.passes[p.key()] = append(s.passes[p.key()], p)
		}
	}
	cells, err := archive.ReadTable[cellRow](e, "cells.parquet")
	if err != nil {
		return s, err
	}
	for _, c := range cells {
		if c.Metric != m.Name {
			continue
		}
		s.cells[c.key()] = c
		if c.Launches > 1 && c.SD != nil && *c.SD > 0 {
			s.prior += float64(c.Launches - 1)
		}
	}
	return s, s.readSpread(m)
}

// leastSpreadDF is what a spread estimated from sessions has at least (definitions, section 3). How many more it has is not archived.
const leastSpreadDF = 3

// readSpread finds the session spread that the edition's comparisons rest on, else it is the default.
func (s *stored) readSpread(m compute.Metric) error {
	s.spread = compute.PlanSessionSpread(m, defaultSpread, defaultSpread)
	s.spread.Source = "default"
	rows, err := archive.ReadTable[spreadRow](s.Edition, "comparisons.parquet")
	if err != nil {
		return err
	}
	for _, r := range rows {
		if r.Metric != m.Name || r.SessionSpread == nil || r.SessionSource == nil || *r.SessionSource == "one session" {
			continue
		}
		s.spread = compute.PlanSessionSpread(m, *r.SessionSpread, *r.SessionSpread)
		s.spread.Source = *r.SessionSource
		if !slices.Contains([]string{"plan", "default"}, s.spread.Source) {
			s.spread.DF = leastSpreadDF
		}
		return nil
	}
	return nil
}

// defaultSpread is the session spread where nothing is known, in percent or points (definitions, section 3).
const defaultSpread = 0.2

// measured is when a cell's passes were made, as recorded; zero where no pass says.
func measured(passes []passRow) (from, to time.Time) {
	for _, p := range passes {
		if p.StartedAt == nil {
			continue
		}
		at := time.UnixMicro(*p.StartedAt).UTC()
		if from.IsZero() || at.Before(from) {
			from = at
		}
		if at.After(to) {
			to = at
		}
	}
	return from, to
}

// stat is the archived cell in the form that compute compares. What the archive does not have of it, it does not need: the shown spread is that
// of the shown interval.
func (s stored) stat(k Key, m compute.Metric) compute.CellStat {
	row := s.cells[k]
	none := compute.Absent("not in the archive")
	c := compute.CellStat{Metric: m.Name, N: int(row.N), Launches: int(row.Launches), Sessions: int(row.Sessions), Mean: none, Centre: none, SD: none,
		Low: value(row.CILow), High: value(row.CIHigh), OwnLow: value(row.OwnCILow), OwnHigh: value(row.OwnCIHigh),
		Variance: none, ShownVariance: none, Expected: none, DF: value(row.DF), PerSession: perSession(s.passes[k]), PriorDF: s.prior}
	for _, word := range strings.Fields(text(row.Flags)) {
		c.Flags = append(c.Flags, compute.Flag(word))
	}
	if row.Mean == nil {
		c.Why = "no figure"
		return c
	}
	c.Mean = compute.Known(*row.Mean)
	onScale := func(x float64) float64 { return x }
	unit := 1.0
	if m.Scale == compute.Ratio {
		onScale, unit = math.Log, 100
	}
	c.Centre = compute.Known(onScale(*row.Mean))
	if row.SD != nil {
		c.SD = compute.Known(*row.SD)
		own := *row.SD / unit
		c.Variance = compute.Known(own * own)
	}
	if row.Method != nil {
		c.Method = *row.Method
		c.Borrowed = strings.Contains(c.Method, "borrowed")
	}
	if row.CILow != nil && row.CIHigh != nil {
		df := math.Inf(1)
		if row.DF != nil {
			df = *row.DF
		}
		se := (onScale(*row.CIHigh) - onScale(*row.CILow)) / 2 / compute.TQuantile(0.975, df)
		c.ShownVariance = compute.Known(float64(se*se) * float64(c.Launches))
	}
	return c
}

func value(x *float64) compute.Value {
	if x == nil {
		return compute.Absent("not in the archive")
	}
	return compute.Known(*x)
}

// perSession is what the mean of a cell's launches keeps of a session's variance: Σ(k_s/k)² over its sessions, 1 where not all are recorded.
func perSession(passes []passRow) float64 {
	type launch struct{ session, name string }
	of := map[launch]bool{}
	bySession := map[string]int{}
	for i, p := range passes {
		if p.Session == nil {
			return 1
		}
		l := launch{*p.Session, text(p.Launch)}
		if p.Launch == nil {
			l.name = "pass " + strconv.Itoa(i)
		}
		if !of[l] {
			of[l] = true
			bySession[*p.Session]++
		}
	}
	if len(of) == 0 {
		return 1
	}
	squares := 0
	for _, n := range bySession {
		squares += n * n
	}
	return float64(squares) / float64(len(of)*len(of))
}

package main

import (
	"encoding/hex"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/match"
)

// The documents of --json: the same content as the screens, units in the names, what cannot be had null with its reason.

type coverageReason = coverage.Reason

type keyJSON struct {
	Card       string `json:"card"`
	Mode       string `json:"mode"`
	Game       string `json:"game"`
	Variant    string `json:"variant"`
	Resolution string `json:"resolution"`
}

func keyOf(k plan.Key) keyJSON { return keyJSON(k) }

type cellJSON struct {
	keyJSON
	State   coverage.State    `json:"state"`
	Passes  int               `json:"passes"`
	Repeats int               `json:"repeats"` // with looks those of the look in force
	Looks   []int             `json:"looks,omitempty"`
	Why     []coverage.Reason `json:"why,omitempty"`
	Again   []int             `json:"run_again,omitempty"`
	Flags   []review.Flag     `json:"flags,omitempty"`
	Not     string            `json:"not_reused,omitempty"`
}

func cellOf(c review.Cell) cellJSON {
	return cellJSON{keyOf(c.Cell.Key), c.State, c.Judgement.Passes, c.Cell.Repeats, c.Cell.Looks, c.Why, c.Again, c.Flags, c.NotReused}
}

type todoJSON struct {
	keyJSON
	Again   []int             `json:"run_again"`
	Why     []coverage.Reason `json:"why,omitempty"`
	Not     string            `json:"not_reused,omitempty"`
	Minutes float64           `json:"minutes"`
	Swap    float64           `json:"swap_minutes,omitempty"`
	Leaves  *time.Time        `json:"card_leaves,omitempty"`
}

type asideJSON struct {
	keyJSON
	Path   string        `json:"path"`
	Repeat int           `json:"repeat"`
	Status review.Status `json:"status"`
	Reason string        `json:"reason,omitempty"`
}

type missingJSON struct {
	Review      string          `json:"review"`
	Ready       bool            `json:"ready"`
	PassesLeft  int             `json:"passes_left"`
	MinutesLeft float64         `json:"minutes_left"`
	Due         *time.Time      `json:"due,omitempty"`
	Cells       []cellJSON      `json:"cells"`
	Todo        []todoJSON      `json:"do_next"`
	Soaks       []soakJSON      `json:"soaks,omitempty"`
	SoakTodo    []soakTodoJSON  `json:"soaks_do_next,omitempty"`
	Cautions    []string        `json:"cautions,omitempty"`
	SweepTodo   []sweepTodoJSON `json:"sweeps_do_next,omitempty"`
	Bench       []benchJSON     `json:"bench,omitempty"`
	EqualNoise  []atLevelJSON   `json:"equal_noise,omitempty"`
	SoakDiffs   []soakDiffJSON  `json:"soak_differences,omitempty"`
	Together    []togetherJSON  `json:"all_together,omitempty"`
	Claims      []claimJSON     `json:"claims"`
	Aside       []asideJSON     `json:"aside,omitempty"`
	Strays      []match.Stray   `json:"strays,omitempty"`
	Other       match.Other     `json:"other_files"`
	Findings    finding.List    `json:"findings,omitempty"`
}

func missingDocument(r *review.Review) missingJSON {
	d := missingJSON{
		Review: r.Plan.Review.Name, Ready: r.Ready, PassesLeft: r.PassesLeft(), MinutesLeft: r.TimeLeft().Minutes(),
		Due: stated(r.Plan.Review.Due), Strays: r.Strays, Other: r.Other, Findings: r.Findings.Tidy(),
		Cells: []cellJSON{}, Todo: []todoJSON{}, Claims: []claimJSON{},
	}
	d.Soaks, d.SoakTodo = soaksOf(r)
	if len(r.Todo)+len(r.SoakTodo)+len(r.SweepTodo) > 0 && len(r.Plan.Hazards()) > 0 {
		d.Cautions = screen.Cautions
	}
	d.SoakDiffs = soakDiffsOf(r)
	d.Bench, d.SweepTodo, d.EqualNoise = benchOf(r), sweepTodoOf(r), atLevelsOf(r)
	for _, p := range r.Plan.Soaks {
		d.Together = append(d.Together, togetherOf(r, p)...)
	}
	for _, c := range r.Cells {
		d.Cells = append(d.Cells, cellOf(c))
	}
	for _, t := range r.Todo {
		d.Todo = append(d.Todo, todoJSON{keyOf(t.Cell), t.Again, t.Why, t.Not, t.Time.Minutes(), t.Swap.Minutes(), stated(t.Leaves)})
	}
	for _, c := range r.Claims {
		d.Claims = append(d.Claims, claimOf(r, c))
	}
	for _, p := range r.Passes {
		if p.Status != review.Used {
			d.Aside = append(d.Aside, asideJSON{keyOf(p.Key), p.File.Path, p.Repeat, p.Status, reasonOf(p)})
		}
	}
	return d
}

func stated(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

type passJSON struct {
	keyJSON
	Repeat   int                 `json:"repeat"`
	Path     string              `json:"path"`
	SHA256   string              `json:"sha256"`
	Status   review.Status       `json:"status"`
	Reason   string              `json:"reason,omitempty"`
	Frames   int                 `json:"frames_kept"`
	Cut      int                 `json:"frames_cut"`
	BadLines int                 `json:"bad_lines"`
	Launch   string              `json:"launch,omitempty"`
	Session  string              `json:"session,omitempty"`
	Figures  map[string]*float64 `json:"figures"`
	Sensors  []sensingJSON       `json:"sensors,omitempty"`
	Reused   *reusedJSON         `json:"reused,omitempty"`
}

// reusedJSON says which edition a pass is of.
type reusedJSON struct {
	Review  string    `json:"review"`
	Edition string    `json:"edition"`
	Made    time.Time `json:"made"`
}

func passOf(p review.Pass) passJSON {
	d := passJSON{keyOf(p.Key), p.Repeat, p.File.Path, hex.EncodeToString(p.SHA256[:]), p.Status, reasonOf(p), p.Frames - p.Cut, p.Cut,
		p.BadLines, p.Facts.Launch, p.Facts.Session, map[string]*float64{}, sensingsOf(p.Sensors.By), nil}
	if u := p.Reused; u != nil {
		d.Reused = &reusedJSON{u.Review, u.Edition, u.Made}
	}
	if p.Figures == nil {
		return d
	}
	for _, m := range compute.Metrics() {
		d.Figures[m.Name] = optional(m.Of(p.Figures))
	}
	return d
}

// reasonOf says why a pass does not count, "" if it does.
func reasonOf(p review.Pass) string {
	if p.StatusReason == "" && p.Err != nil {
		return p.Err.Error()
	}
	return p.StatusReason
}

func optional(v compute.Value) *float64 {
	if !v.OK {
		return nil
	}
	return &v.X
}

type statJSON struct {
	Metric    string         `json:"metric"`
	Unit      string         `json:"unit"`
	N         int            `json:"n"`
	Launches  int            `json:"launches"`
	Mean      *float64       `json:"mean"`
	SD        *float64       `json:"sd"` // in percent for what is compared in percent
	Low       *float64       `json:"ci_low"`
	High      *float64       `json:"ci_high"`
	OwnLow    *float64       `json:"own_ci_low"`
	OwnHigh   *float64       `json:"own_ci_high"`
	Method    string         `json:"method,omitempty"`
	SpreadPct *float64       `json:"spread_pct"`
	Flags     []compute.Flag `json:"flags,omitempty"`
	Why       string         `json:"why,omitempty"`
}

type comparisonJSON struct {
	keyJSON
	BaseCard      string          `json:"base_card"`
	BaseMode      string          `json:"base_mode"`
	Metric        string          `json:"metric"`
	Unit          string          `json:"unit"`
	Difference    *float64        `json:"difference"`
	Percent       *float64        `json:"percent"`
	Low           *float64        `json:"ci_low"`
	High          *float64        `json:"ci_high"`
	OwnLow        *float64        `json:"own_ci_low"`
	OwnHigh       *float64        `json:"own_ci_high"`
	DF            *float64        `json:"df"`
	P             *float64        `json:"p"`
	SessionSpread *float64        `json:"session_spread"` // in percent for what is compared in percent, else in the unit
	SessionSource string          `json:"session_source,omitempty"`
	Verdict       compute.Verdict `json:"verdict,omitempty"`
	Looks         int             `json:"looks,omitempty"` // over which the error is split: intervals are at 1 − 0.05/looks
	Firm          bool            `json:"firm"`
	Needed        int             `json:"repeats_needed,omitempty"`
	NeededWhy     string          `json:"repeats_needed_why,omitempty"`
	Flags         []compute.Flag  `json:"flags,omitempty"`
	Why           string          `json:"why,omitempty"`
}

// comparisonOf gives no verdict where a side does not hold, as on the screens.
func comparisonOf(d review.Comparison) comparisonJSON {
	if !d.Holds {
		d.Verdict = ""
	}
	return comparisonJSON{keyOf(d.Of), d.Base.Card, d.Base.Mode, d.Metric.Name, d.Metric.MeanUnit(), optional(d.Difference), optional(d.Percent),
		optional(d.Low), optional(d.High), optional(d.OwnLow), optional(d.OwnHigh), optional(d.DF), optional(d.P),
		spreadOfSessions(d.Metric, d.SessionSpread), d.SessionSpread.Source,
		d.Verdict, several(d.Looks), d.Firm, d.Needed.K, d.Needed.Why, d.Flags, d.Why}
}

// spreadOfSessions is null where none entered: counts are compared exactly.
func spreadOfSessions(m compute.Metric, u compute.SessionSpread) *float64 {
	if u.Source == "" {
		return nil
	}
	x := u.Shown(m)
	return &x
}

// several leaves out one, which is none to speak of.
func several(looks int) int {
	if looks < 2 {
		return 0
	}
	return looks
}

func statsOf(c review.Cell) (out []statJSON) {
	for _, s := range c.Stats {
		m, _ := compute.MetricByName(s.Metric)
		out = append(out, statJSON{s.Metric, m.MeanUnit(), s.N, s.Launches, optional(s.Mean), optional(s.SD), optional(s.Low), optional(s.High),
			optional(s.OwnLow), optional(s.OwnHigh), s.Method, optional(s.SpreadPct), s.Flags, s.Why})
	}
	return out
}

type runJSON struct {
	missingJSON
	Figures     []cellFiguresJSON `json:"figures"`
	Comparisons []comparisonJSON  `json:"comparisons"`
	Summaries   []summaryJSON     `json:"summaries"`
	Facts       []factJSON        `json:"facts,omitempty"`
	Value       []worthJSON       `json:"value,omitempty"`
	Verdicts    tally             `json:"verdicts"`
	Kept        review.Kept       `json:"kept"`
}

type cellFiguresJSON struct {
	keyJSON
	Stats []statJSON `json:"metrics"`
}

func runDocument(r *review.Review) runJSON {
	d := runJSON{missingJSON: missingDocument(r), Verdicts: tallyOf(r), Kept: r.Kept, Figures: []cellFiguresJSON{}, Comparisons: []comparisonJSON{},
		Summaries: []summaryJSON{}}
	for _, c := range r.Cells {
		if len(c.Stats) > 0 {
			d.Figures = append(d.Figures, cellFiguresJSON{keyOf(c.Cell.Key), statsOf(c)})
		}
	}
	for _, x := range r.Comparisons {
		d.Comparisons = append(d.Comparisons, comparisonOf(x))
	}
	for _, s := range r.Summaries {
		d.Summaries = append(d.Summaries, summaryOf(s))
	}
	d.Facts, d.Value = factsAndValue(r)
	return d
}

type whyJSON struct {
	cellJSON
	PassList    []passJSON       `json:"pass_list"`
	Checks      []review.Check   `json:"checks"`
	Metrics     []statJSON       `json:"metrics"`
	Comparisons []comparisonJSON `json:"comparisons"`
	Budget      []budgetJSON     `json:"budget"`
	Findings    finding.List     `json:"findings,omitempty"`
}

func whyDocument(r *review.Review, c review.Cell) whyJSON {
	d := whyJSON{cellJSON: cellOf(c),
		PassList: []passJSON{}, Checks: r.Checks(c), Metrics: statsOf(c), Comparisons: []comparisonJSON{}, Budget: budgetDocument(r, c), Findings: findingsOf(r, c).Tidy()}
	for _, i := range c.Passes {
		d.PassList = append(d.PassList, passOf(r.Passes[i]))
	}
	for _, x := range r.Comparisons {
		if x.Of == c.Cell.Key {
			d.Comparisons = append(d.Comparisons, comparisonOf(x))
		}
	}
	return d
}

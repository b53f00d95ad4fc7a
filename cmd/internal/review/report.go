package review

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"path/filepath"
	"runtime"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/calibration"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan"
)

const (
	calibrationSeed  = 1    // any will do; the page must be the same for the same design
	calibrationCells = 7000 // simulated in all, which takes some tenths of a second
	fewestSimulated  = 40
	mostSimulated    = 400
)

// writeReport writes the report beside the plan. Files that say nothing new are not touched.
func (r *Review) writeReport(ctx context.Context, o Options) error {
	if !o.Keep || o.again != nil || ctx.Err() != nil {
		return ctx.Err()
	}
	source, err := r.reportSource(o)
	if err != nil {
		return err
	}
	source.Now = o.Now
	folder := filepath.Join(r.Plan.Dir, "report")
	w, err := report.Write(ctx, folder, source, o.Charts, cmp.Or(o.Workers, runtime.GOMAXPROCS(0)))
	r.Kept.Changed, r.Kept.Removed, r.Kept.UnknownCharts = w.Changed, w.Removed, w.Unknown
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDisk, err)
	}
	r.Kept.Report = folder
	return nil
}

// reportSource is the edition just published, or what is in memory where none was. Both give the same report but for the edition's name.
func (r *Review) reportSource(o Options) (report.Source, error) {
	if r.Kept.Edition == "" {
		return report.Source{Words: r.reportWords, Tables: r.tables(), Origin: report.Origin{Tool: o.Tool}, Look: r.look}, nil
	}
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		return report.Source{}, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	s, err := report.FromEdition(archive.Edition{Manifest: m, Dir: r.Kept.Folder})
	if err != nil {
		return s, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	return s, nil
}

// calibration simulates reviews of this one's design.
func (r *Review) calibration(o Options) (page report.Calibration) {
	d := r.design()
	if len(d.Cells) == 0 {
		page.Nothing = "no cell has a spread yet"
		return page
	}
	page.Reviews = min(max(calibrationCells/len(d.Cells), fewestSimulated), mostSimulated)
	found := calibration.Simulate(d, calibrationSeed, page.Reviews, max(1, o.Workers))
	describe(&page, d)
	for _, p := range calibration.Promises() {
		m := p.Of(found)
		line := promised(p, m)
		line.Kept, line.Missed = string(p.Kept(m)), m.OK && p.Kept(m) == calibration.No
		page.Promises = append(page.Promises, line)
	}
	for _, p := range calibration.Powers() {
		page.Powers = append(page.Powers, promised(p, p.Of(found)))
	}
	return page
}

func promised(p calibration.Promise, m calibration.Measured) report.Promised {
	return report.Promised{Name: p.Name, Means: p.Means, Least: p.Least, Most: p.Most, Percent: m.Percent, Error: m.Error, Found: m.OK}
}

// design is what a simulation must know of this review: its cells with a mean and a spread, in the headline metric. A cell's true
// spread is taken to be what launches to come are expected to have.
func (r *Review) design() calibration.Design {
	m, _ := compute.MetricByName(headline)
	d := calibration.Design{Session: r.sessions[headline], Margin: r.margin(), Claims: r.testedClaims()}
	at, cards := map[plan.Key]int{}, map[plan.Mode]int{}
	for _, c := range r.Cells {
		s, ok := c.Stat(headline)
		if !ok || !s.Centre.OK || !s.Expected.OK {
			continue
		}
		mode := c.Cell.CardMode()
		if _, known := cards[mode]; !known {
			cards[mode] = len(cards)
		}
		at[c.Cell.Key] = len(d.Cells)
		d.Cells = append(d.Cells, calibration.Cell{Card: cards[mode], Game: c.Cell.Game, Base: -1, Spread: math.Sqrt(s.Expected.X),
			Launches: launchesOf(r.samples(m, c)), Looks: s.Looks})
	}
	for key, i := range at {
		base, ok := at[other(key, r.Plan.Review.Baseline)]
		if ok && base != i {
			d.Cells[i].Base = base
		}
	}
	return d
}

// launchesOf returns the launches of a cell with their recorded sessions. All passes of one are one to a simulation, which draws the
// means of launches.
func launchesOf(samples []compute.Sample) (out []calibration.Launch) {
	seen := map[[2]string]bool{}
	for _, s := range samples {
		of := [2]string{s.Session, s.Launch}
		if !s.Value.OK || !s.LaunchAssumed && s.Launch != "" && seen[of] {
			continue
		}
		seen[of] = true
		l := calibration.Launch{Session: s.Session, Passes: 1}
		if s.SessionAssumed {
			l.Session = ""
		}
		out = append(out, l)
	}
	return out
}

// describe says on the page what is simulated.
func describe(page *report.Calibration, d calibration.Design) {
	counts := map[int]int{}
	var spreads []float64
	for _, c := range d.Cells {
		counts[len(c.Launches)]++
		spreads = append(spreads, 100*c.Spread)
		if c.Base >= 0 {
			page.Comparisons++
		}
	}
	for k, n := range counts {
		page.Launches = append(page.Launches, report.LaunchCount{Launches: k, Cells: n})
	}
	slices.SortFunc(page.Launches, func(a, b report.LaunchCount) int { return a.Launches - b.Launches })
	slices.Sort(spreads)
	page.LeastSpreadPct, page.MiddleSpreadPct, page.MostSpreadPct = spreads[0], spreads[len(spreads)/2], spreads[len(spreads)-1]
	page.Cells, page.Claims, page.MarginPct = len(d.Cells), d.Claims, d.Margin.Percent
	page.SessionPct = 100 * math.Expm1(d.Session.U)
	page.SessionSource = map[string]string{compute.OwnSessions: "from this review's own sessions", "plan": "from the plan",
		"default": "assumed, since neither sessions nor the plan tell"}[d.Session.Source]
	if page.SessionSource == "" {
		page.SessionSource = "from other reviews on this rig"
	}
}

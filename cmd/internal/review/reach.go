package review

import (
	"reflect"
	"slices"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/schedule"
)

// Reach is what the planned launches of a game can show in mean frame rate, known before a pass is made (definitions, section 5).
// What was ever observed as a difference has no part in it.
type Reach struct {
	Of             plan.GameVariant
	Cells          int // planned, those waived apart
	Launches, Most int // a side: in the cell of the fewest, for which the rest holds, and in that of the most
	Looks          int // over which the error is split, 0 for one; Launches is then the first
	Noise          compute.Noise
	Editions       []EditionName // that the spread is from; none where the plan expects it
	Shows          compute.Value // the least difference seen with 80 % chance, percent
	Lead, Level    Need          // for a difference as large as the margin, and for level within it
	LevelChance    compute.Value // with which the planned launches show equal cells to be level, 0 to 1
}

// Need is how many launches a side something takes, and what those beyond the plan come to in all cells of the game.
type Need struct {
	compute.Repeats
	Passes                     int
	HandsOn, Unattended, Total time.Duration
}

// SessionAhead is the session spread that a plan is made with, and how it is known.
type SessionAhead struct {
	compute.SessionSpread
	Own     bool // from this review's last edition
	Reviews int  // the other reviews that it is from
}

// Reach tells for each game and variant what the plan can show, from the spread that earlier editions had in the same scene, else
// from the spread that the plan expects. It reads the archive, once, and changes nothing.
func (r *Review) Reach() ([]Reach, SessionAhead) {
	if r.reach == nil {
		games, session := r.ahead()
		r.reach = &reach{games, session}
	}
	return r.reach.games, r.reach.session
}

type reach struct {
	games   []Reach
	session SessionAhead
}

func (r *Review) ahead() (games []Reach, session SessionAhead) {
	m, _ := compute.MetricByName(headline)
	session = r.sessionAhead(m)
	base := schedule.Estimate(r.Plan)
	for _, g := range r.Plan.Games {
		for _, v := range g.Variants {
			x := Reach{Of: plan.GameVariant{Game: g.Name, Variant: v.Name}}
			for _, c := range r.Plan.Cells {
				if c.GameVariant() != x.Of || c.Waived != "" {
					continue
				}
				if x.Cells == 0 || c.Launches < x.Launches {
					x.Launches = c.Launches
				}
				x.Most = max(x.Most, c.Launches)
				x.Looks = max(x.Looks, len(c.Looks))
				x.Cells++
			}
			if x.Cells == 0 {
				continue
			}
			x.Noise, x.Editions = r.noiseOf(m, x.Of)
			x.Noise.Looks = x.Looks
			x.Shows = compute.ResolvableAt(m, x.Launches, x.Noise, session.SessionSpread)
			x.Lead = r.need(base, x.Of, compute.RepeatsToDiffer(m, r.margin().Percent, r.margin(), x.Noise, session.SessionSpread))
			x.Level = r.need(base, x.Of, compute.RepeatsToLevel(m, r.margin(), x.Noise, session.SessionSpread))
			x.LevelChance = compute.ChanceOfLevel(m, x.Launches, r.margin(), x.Noise, session.SessionSpread)
			games = append(games, x)
		}
	}
	return games, session
}

// need prices the launches that a game's cells lack: the estimate with them against the one without. Passes a launch stay as planned.
func (r *Review) need(base schedule.Schedule, of plan.GameVariant, k compute.Repeats) Need {
	n := Need{Repeats: k}
	if !k.OK {
		return n
	}
	more := *r.Plan
	more.Cells = slices.Clone(r.Plan.Cells)
	for i := range more.Cells {
		if c := &more.Cells[i]; c.GameVariant() == of && c.Waived == "" && c.Launches < k.K {
			c.Repeats, c.Launches = (c.Repeats*k.K+c.Launches-1)/c.Launches, k.K
		}
	}
	s := schedule.Estimate(&more)
	n.Passes, n.Total = s.Passes-base.Passes, s.Total-base.Total
	n.HandsOn, n.Unattended = s.HandsOn-base.HandsOn, s.Unattended-base.Unattended
	return n
}

// noiseOf pools the spread of launches over the cells of a game and variant in the newest edition of each review, this one's too,
// on whatever rig: those of the same scene, driven alike and kept alike. Each edition lends its cells the spread of all of them, as
// it did for its own intervals. Without such a cell it is the spread that the plan expects.
func (r *Review) noiseOf(m compute.Metric, of plan.GameVariant) (compute.Noise, []EditionName) {
	mine := r.written().Game[of.Game]
	var cells []compute.CellStat
	var from []EditionName
	seen := map[string]bool{}
	for _, x := range r.newest() {
		theirs, there := x.plan.Game[of.Game]
		if !there || !reflect.DeepEqual(mine, theirs) {
			continue
		}
		before := len(cells)
		var stats []compute.CellStat
		held := unseen(r.holding(x), seen)
		for _, c := range held {
			stats = append(stats, compute.Cell(m, c.samples(m)))
		}
		_, stats = compute.Borrow(m, stats)
		for i, c := range held {
			if c.GameVariant() == of && stats[i].ShownVariance.OK {
				cells = append(cells, stats[i])
			}
		}
		if len(cells) > before {
			from = append(from, EditionName{x.Review, x.Edition.Edition})
		}
	}
	if n, ok := compute.PooledNoise(cells); ok {
		return n, from
	}
	return compute.ExpectedNoise(m, r.Plan.Statistics.ExpectedSpreadPct, 0), nil
}

// sessionAhead is the session spread to plan with, in the order in which a run takes it: this review's own sessions, here those of
// its last edition on this rig; other reviews on the rig; the plan; the default.
func (r *Review) sessionAhead(m compute.Metric) SessionAhead {
	for _, x := range r.onThisRig() {
		if x.Review != r.Plan.Review.Name {
			continue
		}
		var all [][][]compute.Sample
		for _, cells := range byCardMode(r.holding(x)) {
			var samples [][]compute.Sample
			for _, c := range cells {
				samples = append(samples, c.samples(m))
			}
			all = append(all, samples)
		}
		if u, why := compute.SpreadOfSessions(m, all); why == "" {
			u.Source = fromArchive
			return SessionAhead{SessionSpread: u, Own: true}
		}
	}
	if e, ok := r.sessionsElsewhere(m); ok {
		return SessionAhead{SessionSpread: e.Spread, Reviews: len(e.Editions)}
	}
	return SessionAhead{SessionSpread: r.statedSpread(m)}
}

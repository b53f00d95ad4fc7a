package review

import (
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// statistics works out every metric over the passes that count, cell by cell, then lends each cell the spread of all of them, and
// learns from cells passed in several sessions what a session alone moves.
func (r *Review) statistics() {
	r.sessions = map[string]compute.SessionSpread{}
	for _, m := range compute.Metrics() {
		if m.Scale == compute.None {
			continue
		}
		var stats []compute.CellStat
		var of []int // the cells that stats are of
		var cardModes [][][]compute.Sample
		var mode plan.Mode
		for i, c := range r.Cells {
			if c.Cell.Waived != "" {
				continue
			}
			samples := r.samples(m, c)
			stat := compute.Cell(m, samples)
			stat.Looks = len(c.Cell.Looks)
			stats, of = append(stats, stat), append(of, i)
			if c.Cell.CardMode() != mode {
				cardModes, mode = append(cardModes, nil), c.Cell.CardMode()
			}
			last := len(cardModes) - 1
			cardModes[last] = append(cardModes[last], samples)
		}
		prior, stats := compute.Borrow(m, stats)
		if m.Name == headline {
			r.prior = prior
		}
		for j, i := range of {
			r.Cells[i].Stats = append(r.Cells[i].Stats, stats[j])
		}
		r.sessions[m.Name] = r.sessionSpread(m, cardModes)
	}
}

// samples are what the passes of a cell that count contribute to one metric.
func (r *Review) samples(m compute.Metric, c Cell) []compute.Sample {
	used := r.PassesOf(c, Used)
	out := make([]compute.Sample, len(used))
	for i, p := range used {
		s := m.Sample(p.Figures)
		s.Launch, s.LaunchAssumed = p.launch()
		s.Session, s.SessionAssumed = p.session()
		out[i] = s
	}
	if why := unlikeWithin(used, m.Needs); why != "" {
		for i := range out {
			out[i].Value = compute.Absent(why)
		}
	}
	return out
}

// sessionSpread is what a session alone moves a metric by: from this review's own sessions if they tell, else from other reviews on
// this rig, else from the plan, else the default.
func (r *Review) sessionSpread(m compute.Metric, cardModes [][][]compute.Sample) compute.SessionSpread {
	if m.Scale == compute.Count {
		return compute.SessionSpread{}
	}
	if u, why := compute.SpreadOfSessions(m, cardModes); why == "" {
		return u
	}
	if e, ok := r.sessionsElsewhere(m); ok {
		r.Elsewhere = append(r.Elsewhere, e)
		return e.Spread
	}
	return r.statedSpread(m)
}

// statedSpread is what the plan says that a session alone moves a metric by, or the default.
func (r *Review) statedSpread(m compute.Metric) compute.SessionSpread {
	s := r.Plan.Statistics
	u := compute.PlanSessionSpread(m, s.SpreadPct, s.SpreadPct)
	if !s.SessionSpreadWritten {
		u.Source = "default"
	}
	return u
}

package review

import (
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/schedule"
)

// ReuseAhead is what a reuse block would lend today, were no capture there.
type ReuseAhead struct {
	Block          plan.Reuse
	Cells, Lent    int // planned of its cards, and of these those that are lent passes
	Passes         int // planned in the cells that are lent theirs
	HandsOn, Total time.Duration
	NotCell        plan.Key // the first that is lent nothing
	Not            string   // why
}

// ReuseAhead tells for each reuse block what it would spare. It reads the archive and changes nothing.
func (r *Review) ReuseAhead(now time.Time) (out []ReuseAhead) {
	if len(r.Plan.Reuses) == 0 {
		return nil
	}
	l, err := r.openLender(now)
	base := schedule.Estimate(r.Plan)
	for _, b := range r.Plan.Reuses {
		x := ReuseAhead{Block: b}
		left := *r.Plan
		left.Cells = slices.Clone(r.Plan.Cells)
		for i, c := range r.Plan.Cells {
			if c.Waived != "" || !slices.Contains(b.Modes, c.CardMode()) {
				continue
			}
			x.Cells++
			why := archiveUnread
			if err == nil {
				_, why = l.cell(b, c)
			}
			if why == "" {
				x.Lent++
				x.Passes += c.Repeats
				left.Cells[i].Waived = b.Name
			} else if x.Not == "" {
				x.NotCell, x.Not = c.Key, why
			}
		}
		s := schedule.Estimate(&left)
		x.HandsOn, x.Total = base.HandsOn-s.HandsOn, base.Total-s.Total
		out = append(out, x)
	}
	return out
}

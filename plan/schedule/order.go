package schedule

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// order gives the cards with cells to pass or soaks to do: those of one vendor and driver together, the group that must be done first on top,
// in it the card that leaves first. Cards without a date come last, equals as declared.
func order(p *plan.Plan, has func(card string) bool) []plan.Card {
	type group struct {
		cards []plan.Card
		first time.Time
	}
	var groups []group
	for _, c := range p.Cards {
		if !has(c.Name) {
			continue
		}
		i := slices.IndexFunc(groups, func(g group) bool { return sameDriver(g.cards[0], c) })
		if i < 0 {
			i = len(groups)
			groups = append(groups, group{})
		}
		g := &groups[i]
		if len(g.cards) == 0 || byLeaving(c.Sample.Leaves, g.first) < 0 {
			g.first = c.Sample.Leaves
		}
		g.cards = append(g.cards, c)
	}
	slices.SortStableFunc(groups, func(a, b group) int { return byLeaving(a.first, b.first) })
	var cards []plan.Card
	for _, g := range groups {
		slices.SortStableFunc(g.cards, func(a, b plan.Card) int { return byLeaving(a.Sample.Leaves, b.Sample.Leaves) })
		cards = append(cards, g.cards...)
	}
	return cards
}

// byLeaving compares two times of leaving, never being last.
func byLeaving(a, b time.Time) int {
	switch {
	case a.IsZero() || b.IsZero():
		return cmp.Compare(btoi(a.IsZero()), btoi(b.IsZero()))
	default:
		return a.Compare(b)
	}
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Check holds the schedule against the calendar: a day has Review.BenchDay hours, part of a day its part. A card that needs more
// than is left of its stay is an error, as is a review that needs more than is left until due; what has passed already is a
// warning only, so that an old review can still be worked out.
func (s Schedule) Check(p *plan.Plan, now time.Time) finding.List {
	var fs finding.List
	var done time.Duration
	for _, m := range s.Order {
		done = plus(done, m.Total)
		if card, ok := p.Card(m.Card); ok && !card.Sample.Leaves.IsZero() {
			fs = append(fs, checkStay(p.Review, card, m, done, now)...)
		}
	}
	r := p.Review
	if f, late := r.Late(now); late {
		fs = append(fs, f)
	} else if left := hours(now, r.Due, r.BenchDay); !r.Due.IsZero() && s.Total > left {
		fs.Add(finding.Error, r.DuePlace, "Review needs more hours than are left",
			fmt.Sprintf("%s at the bench; %s are left until %s at %s a day.", hm(s.Total), hm(left), stamp(r.Due), hm(r.BenchDay)),
			"Plan fewer cells or passes, move due, or state a longer bench_day.")
	}
	return fs.Tidy()
}

func checkStay(r plan.Review, c plan.Card, m Mounting, done time.Duration, now time.Time) (fs finding.List) {
	sample := c.Sample
	if !sample.Leaves.After(now) {
		fs.Add(finding.Warning, sample.LeavesPlace, "Card has left",
			fmt.Sprintf("%s left %s; now it is %s.", c.Name, stamp(sample.Leaves), stamp(now)), "Mend the date if it stays longer.")
		return fs
	}
	from := now
	if sample.HereFrom.After(now) {
		from = sample.HereFrom
	}
	stay := hours(from, sample.Leaves, r.BenchDay)
	if m.Total > stay {
		fs.Add(finding.Error, sample.LeavesPlace, "Card needs more hours than its stay has",
			fmt.Sprintf("%s needs %s at the bench; from %s to %s there are %s at %s a day.", c.Name, hm(m.Total), stamp(from), stamp(sample.Leaves), hm(stay), hm(r.BenchDay)),
			"Plan fewer cells or passes for it, or have it longer.")
		return fs
	}
	if until := hours(now, sample.Leaves, r.BenchDay); done > until {
		fs.Add(finding.Warning, sample.LeavesPlace, "Card leaves before its turn is over",
			fmt.Sprintf("In the order given %s is done after %s at the bench; until %s there are %s at %s a day.", c.Name, hm(done), stamp(sample.Leaves), hm(until), hm(r.BenchDay)),
			"Take it earlier, at the price of more driver changes.")
	}
	return fs
}

// hours is the bench time between two times.
func hours(from, to time.Time, day time.Duration) time.Duration {
	if !to.After(from) {
		return 0
	}
	return scale(to.Sub(from), day.Hours()/24)
}

func stamp(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }

// hm shows hours and minutes, cut to whole minutes.
func hm(d time.Duration) string {
	m := int64(d / time.Minute)
	switch {
	case m >= 60 && m%60 > 0:
		return strconv.FormatInt(m/60, 10) + " h " + strconv.FormatInt(m%60, 10) + " min"
	case m >= 60:
		return strconv.FormatInt(m/60, 10) + " h"
	}
	return strconv.FormatInt(m, 10) + " min"
}

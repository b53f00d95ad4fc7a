package match

import (
	"cmp"
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan"
)

// Status says what a pass counts for.
type Status string

const (
	Used       Status = "used"
	Void       Status = "void"       // taken out by the plan, with a reason
	Superseded Status = "superseded" // more passes than repeats: the newest are used
	Failed     Status = "failed"     // its bench-log row says that it did not end well; its numbers are not of a whole pass
)

// Pass is a file with its final number within its cell.
type Pass struct {
	File
	Number int
	Status Status
	When   time.Time // what orders the passes of its cell; zero where only the names do
}

// Number numbers the passes within each cell and says which are used. Named numbers stand; the others follow from 1 in order of
// time, skipping those taken. Time is {time} of the name if every pass of the cell has it, else the log's `started` on the same
// condition, else what when gives (the ledger's time), else nothing but the path: one clock for a cell, since {time} may be local
// and mixing it with another would put passes out of order. Void and failed passes are numbered too, so that voiding one does not
// rename the rest, but do not count towards repeats, which is the most passes that a cell can use. Of more than those the newest
// are used, by the same time and then by number. The result is in order of cell (card, mode, game, variant, resolution by name),
// number and path.
func Number(files []File, when func(File) time.Time, repeats func(plan.Key) int) []Pass {
	cells := map[plan.Key][]Pass{}
	for _, f := range files {
		cells[f.Key] = append(cells[f.Key], Pass{File: f, Number: f.Repeat})
	}
	out := make([]Pass, 0, len(files))
	for k, ps := range cells {
		clock(ps, when)
		number(ps)
		use(ps, repeats(k))
		out = append(out, ps...)
	}
	slices.SortFunc(out, func(a, b Pass) int {
		return cmp.Or(compareKeys(a.Key, b.Key), cmp.Compare(a.Number, b.Number), cmp.Compare(a.Path, b.Path))
	})
	return out
}

// clock sets When from the best source that all passes of a cell have.
func clock(ps []Pass, when func(File) time.Time) {
	sources := []func(File) time.Time{
		func(f File) time.Time { return f.Time },
		func(f File) time.Time {
			if f.Row == nil {
				return time.Time{}
			}
			return f.Row.Started
		},
		when,
	}
	for _, of := range sources {
		all := of != nil
		for i := range ps {
			if !all {
				break
			}
			ps[i].When = of(ps[i].File)
			all = !ps[i].When.IsZero()
		}
		if all {
			return
		}
	}
	for i := range ps {
		ps[i].When = time.Time{}
	}
}

func number(ps []Pass) {
	slices.SortFunc(ps, func(a, b Pass) int { return cmp.Or(a.When.Compare(b.When), cmp.Compare(a.Path, b.Path)) })
	taken := map[int]bool{}
	for _, p := range ps {
		taken[p.Number] = true
	}
	next := 1
	for i := range ps {
		if ps[i].Number != 0 {
			continue
		}
		for taken[next] {
			next++
		}
		ps[i].Number = next
		next++
	}
}

// use marks what counts: the newest passes, up to repeats.
func use(ps []Pass, repeats int) {
	slices.SortFunc(ps, func(a, b Pass) int {
		return cmp.Or(b.When.Compare(a.When), cmp.Compare(b.Number, a.Number), cmp.Compare(b.Path, a.Path))
	})
	for i := range ps {
		p := &ps[i]
		switch {
		case p.Void != "":
			p.Status = Void
		case p.failed():
			p.Status = Failed
		case repeats > 0:
			p.Status = Used
			repeats--
		default:
			p.Status = Superseded
		}
	}
}

func compareKeys(a, b plan.Key) int {
	return cmp.Or(cmp.Compare(a.Card, b.Card), cmp.Compare(a.Mode, b.Mode), cmp.Compare(a.Game, b.Game),
		cmp.Compare(a.Variant, b.Variant), cmp.Compare(a.Resolution, b.Resolution))
}

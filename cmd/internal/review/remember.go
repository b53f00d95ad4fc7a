package review

import (
	"cmp"
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// lookups looks passes up in the ledger while others are still being read: each first sight waits for the disk.
type lookups struct {
	at      errgroup.Group
	damaged []*ledger.Damaged // by place in Review.Passes
}

// ledgerWriters is how many entries are written at once: a disk takes many at a time.
const ledgerWriters = 16

// openLedger begins to look n passes up in the ledger.
func (r *Review) openLedger(l *ledger.Ledger, n int) {
	r.ledger = l
	r.Passes = make([]Pass, 0, n) // lookUp holds pointers into it, so it must not move
	r.lookups.damaged = make([]*ledger.Damaged, n)
	r.lookups.at.SetLimit(ledgerWriters)
}

// recall begins the look-up of the pass last read.
func (r *Review) recall(ctx context.Context, record bool) {
	i := len(r.Passes) - 1
	p := &r.Passes[i]
	r.lookups.at.Go(func() (err error) {
		if err := ctx.Err(); err != nil {
			return err
		}
		r.lookups.damaged[i], err = r.lookUp(p, record)
		return err
	})
}

// remember waits for the ledger, which has recorded on first sight what was then stated, and numbers the passes.
func (r *Review) remember(ctx context.Context) error {
	if err := r.lookups.at.Wait(); err != nil {
		return disk(ctx, err)
	}
	for _, d := range r.lookups.damaged {
		if d != nil {
			r.Findings = append(r.Findings, d.Finding())
			r.refused = "an entry of the ledger is damaged"
		}
	}
	r.number()
	r.Passes = append(r.Passes, r.lentPasses...)
	r.inPlanOrder()
	r.sameContent()
	return nil
}

// lookUp tells what the ledger says of one pass, and what of it is not what is stated now. An entry that is damaged makes the
// pass unusable, since nothing tells any more under which circumstances it was made.
func (r *Review) lookUp(p *Pass, record bool) (*ledger.Damaged, error) {
	if p.Err != nil {
		return nil, nil
	}
	entry, changed, err := r.ledger.See(hex.EncodeToString(p.SHA256[:]), p.File.Modified, r.stated(p.File), record)
	var damaged *ledger.Damaged
	if errors.As(err, &damaged) {
		p.Status, p.Err = Unusable, err
		return damaged, nil
	}
	if err != nil {
		return nil, err
	}
	p.Facts, p.Seen = entry.Facts, entry.FileTime
	for _, c := range changed {
		p.Stale = append(p.Stale, coverage.Reason{Kind: coverage.Kind(c.Field), Text: changedText(c)})
	}
	p.Stale = append(p.Stale, r.outdated(*p)...)
	return nil, nil
}

// changedText says what was recorded and what is stated now; of settings only those that differ.
func changedText(c ledger.Mismatch) string {
	was, now := c.Recorded, c.Now
	if c.Field == "settings" {
		a, b := strings.Split(was, "; "), strings.Split(now, "; ")
		was = strings.Join(without(a, b), "; ")
		now = strings.Join(without(b, a), "; ")
	}
	return fmt.Sprintf("%s %s when captured, %s now", c.Field, cmp.Or(was, "(none)"), cmp.Or(now, "(none)"))
}

// without returns what a has and b has not.
func without(a, b []string) (out []string) {
	for _, x := range a {
		if !slices.Contains(b, x) {
			out = append(out, x)
		}
	}
	return out
}

// stated is what plan and bench log say of a file today; the bench log wins.
func (r *Review) stated(f match.File) ledger.Facts {
	facts := r.planned(f.Key)
	if row := f.Row; row != nil {
		for _, s := range []struct {
			to   *string
			from string
		}{
			{&facts.Driver, row.Driver}, {&facts.Build, row.Build}, {&facts.Firmware, row.Firmware},
			{&facts.Launch, row.Launch}, {&facts.Session, row.Session},
		} {
			if s.from != "" {
				*s.to = s.from
			}
		}
	}
	return facts
}

// planned is what the plan alone says of a cell.
func (r *Review) planned(k plan.Key) ledger.Facts {
	c, _ := r.Plan.Card(k.Card)
	m, _ := c.Mode(k.Mode)
	g, _ := r.Plan.Game(k.Game)
	v, _ := g.Variant(k.Variant)
	return ledger.Facts{Driver: c.Driver, Build: g.Build, Firmware: m.Firmware, Settings: ledger.Settings(m, v)}
}

// outdated compares what was recorded with what the plan states: a bench log may say that a pass ran on another driver.
func (r *Review) outdated(p Pass) (out []coverage.Reason) {
	want := r.planned(p.Key)
	for _, f := range []struct{ name, was, now string }{
		{"driver", p.Facts.Driver, want.Driver},
		{"build", p.Facts.Build, want.Build},
		{"firmware", p.Facts.Firmware, want.Firmware},
	} {
		already := slices.ContainsFunc(p.Stale, func(r coverage.Reason) bool { return string(r.Kind) == f.name })
		if f.was != "" && f.now != "" && f.was != f.now && !already {
			out = append(out, coverage.Reason{Kind: coverage.Kind(f.name), Text: fmt.Sprintf("%s %s when captured, %s in the plan", f.name, f.was, f.now)})
		}
	}
	return out
}

// launch names the launch that a pass was made in, told apart over the whole review; a pass of which nobody said counts as a
// launch of its own.
func (p *Pass) launch() (name string, assumed bool) {
	if p.Facts.Launch == "" {
		return p.lentName(p.File.Path), true
	}
	session, _ := p.session()
	return strings.Join([]string{session, p.Key.CardMode().String(), p.Key.GameVariant().String(), p.Facts.Launch}, "/"), false
}

// session names the mounting of the card that a pass was made in. Labels count within the card; where nobody stated any, all
// passes of a card's mode are taken for one.
func (p *Pass) session() (name string, assumed bool) {
	if p.Facts.Session == "" {
		return p.lentName(p.Key.CardMode().String()), true
	}
	return p.lentName(p.Key.Card + "/" + p.Facts.Session), false
}

// number gives the passes of each cell their numbers and sets aside what does not count.
func (r *Review) number() {
	seen := map[string]*Pass{}
	var files []match.File
	for i := range r.Passes {
		p := &r.Passes[i]
		seen[p.File.Path] = p
		f := p.File
		if p.Status == Unusable && f.Void == "" {
			f.Void = "cannot be used" // numbered, but it takes no other pass's place
		}
		files = append(files, f)
	}
	when := func(f match.File) time.Time { return seen[f.Path].Seen }
	repeats := func(k plan.Key) int { c, _ := r.Plan.Cell(k); return c.Most() }
	for _, n := range match.Number(files, when, repeats) {
		p := seen[n.Path]
		p.Repeat, p.When = n.Number, n.When
		switch {
		case p.File.Void != "":
			p.Status, p.StatusReason = Void, p.File.Void
			r.lower(p)
		case p.File.Row != nil && p.File.Row.Outcome != match.OK:
			p.Status, p.StatusReason = Void, "on record as "+p.File.Row.Outcome
			r.lower(p)
		case p.Status == Unusable:
		case n.Status == match.Superseded:
			p.Status, p.StatusReason = Superseded, "newer passes are used"
		default:
			p.Status = Used
		}
	}
	r.inPlanOrder()
	for i := range r.Passes {
		p := &r.Passes[i]
		for j := range p.Stale {
			p.Stale[j].Pass = p.Repeat
		}
	}
}

func (r *Review) inPlanOrder() {
	order := map[plan.Key]int{}
	for i, c := range r.Plan.Cells {
		order[c.Key] = i
	}
	slices.SortStableFunc(r.Passes, func(a, b Pass) int {
		return cmp.Or(cmp.Compare(order[a.Key], order[b.Key]), cmp.Compare(a.Repeat, b.Repeat), cmp.Compare(a.File.Path, b.File.Path))
	})
}

// lower turns what is wrong with a file that counts for nothing anyway into warnings.
func (r *Review) lower(p *Pass) {
	for i := range r.Findings {
		if f := &r.Findings[i]; p.Err != nil && f.Place.File == p.File.Path && f.Severity == finding.Error {
			f.Severity = finding.Warning
		}
	}
}

// sameContent finds captures that are byte for byte the same: one of them was saved under a wrong name.
func (r *Review) sameContent() {
	first := map[[32]byte]*Pass{}
	for i := range r.Passes {
		p := &r.Passes[i]
		if p.Status != Used {
			continue
		}
		q, twice := first[p.SHA256]
		if !twice {
			first[p.SHA256] = p
			continue
		}
		r.refused = "one content stands in two passes"
		where := "two passes"
		if p.Key != q.Key {
			where = "two cells"
		}
		r.Findings.Add(finding.Error, finding.Place{File: p.File.Path}, "The same content in "+where,
			fmt.Sprintf("%s pass %d and %s pass %d (%s) are byte for byte the same.", p.Key, p.Repeat, q.Key, q.Repeat, q.File.Path),
			"Find out which capture was saved under a wrong name; the other one is lost.")
		for _, x := range []*Pass{p, q} {
			x.Doubts = append(x.Doubts, coverage.Reason{Kind: kindSameContent, Pass: x.Repeat, Text: "the same content stands in " + where})
		}
	}
}

package review

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/match"
)

// A cell without a capture of its own may be lent the passes that an earlier review of the archive has published. It is lent all of them or none,
// and one capture of its own is enough that it is lent none: passes of two times would be averaged over whatever changed in between, which is
// what the look at one cell over time is for. Their edition is referred to and its frames are never copied.

// lent is what a cell is lent.
type lent struct {
	edition archive.Edition // that has the frames
	passes  []lentPass
	differ  []history.Difference // put up with
}

type lentPass struct {
	row  archive.RunRow
	made time.Time
}

// days are when the first and the last of the passes were made.
func (l lent) days() (from, to string) {
	made := func(a, b lentPass) int { return a.made.Compare(b.made) }
	return slices.MinFunc(l.passes, made).made.Format(time.DateOnly), slices.MaxFunc(l.passes, made).made.Format(time.DateOnly)
}

// words are what stands beside the numbers of the cell.
func (l lent) words() string {
	from, to := l.days()
	if from != to {
		from += " to " + to
	}
	return fmt.Sprintf("reused from %s, %s", l.edition.Review, from)
}

// ReusedFrom says of the whole review from where passes are reused, "" if none is.
func (r *Review) ReusedFrom() string {
	of := map[string]*lent{}
	var order []string
	for _, c := range r.Cells {
		x, ok := r.lent[c.Cell.Key]
		if !ok {
			continue
		}
		name := x.edition.Review
		if of[name] == nil {
			of[name], order = &lent{edition: x.edition}, append(order, name)
		}
		of[name].passes = append(of[name].passes, x.passes...)
	}
	for i, name := range order {
		order[i] = of[name].words()
	}
	return strings.Join(order, "; ")
}

// lend decides which cells are lent passes. What is lent to an edition that is worked out again is what it was lent.
func (r *Review) lend(o Options, files []match.File) error {
	if o.again != nil {
		r.lent = o.again.lent
		return r.readLent(true)
	}
	r.lent, r.notLent = map[plan.Key]lent{}, map[plan.Key]string{}
	if len(r.Plan.Reuses) == 0 {
		return nil
	}
	own := r.ownWork(files)
	l, err := r.openLender(o.Now)
	for _, c := range r.Plan.Cells {
		block, ok := r.Plan.ReuseOf(c.CardMode())
		if !ok || c.Waived != "" || own[c.Key] {
			continue
		}
		why := archiveUnread
		if err == nil {
			var x lent
			if x, why = l.cell(block, c); why == "" {
				r.lent[c.Key] = x
				continue
			}
		}
		r.notLent[c.Key] = why
	}
	return r.readLent(false)
}

const archiveUnread = "the archive cannot be read"

// ownWork are the cells that have a capture which is not void, or a failure on record.
func (r *Review) ownWork(files []match.File) map[plan.Key]bool {
	own := map[plan.Key]bool{}
	for _, f := range files {
		own[f.Key] = own[f.Key] || f.Void == ""
	}
	for _, o := range r.outcomes {
		own[o.Key] = true
	}
	return own
}

// lender finds passes that may be reused. What it has read of an edition it keeps.
type lender struct {
	*Review
	now      time.Time
	editions []archive.Edition // by review, then when they were published
	shelf    map[string]*shelved
}

// shelved is an edition with its cells.
type shelved struct {
	archive.Edition
	plan  []byte
	cells map[plan.Key]string // their states
	runs  map[plan.Key][]archive.RunRow
	err   error
}

func (r *Review) openLender(now time.Time) (*lender, error) {
	l := &lender{Review: r, now: now, shelf: map[string]*shelved{}}
	dir := r.inPlan(r.Plan.Review.Archive)
	a, err := archive.Look(dir)
	if err == nil {
		l.editions, _, err = a.Editions()
	}
	if err != nil {
		r.unreadable(dir, err)
	}
	return l, err
}

// open reads an edition's cells and the passes that count.
func (l *lender) open(e archive.Edition) *shelved {
	if s := l.shelf[e.Dir]; s != nil {
		return s
	}
	s := &shelved{Edition: e, cells: map[plan.Key]string{}, runs: map[plan.Key][]archive.RunRow{}}
	l.shelf[e.Dir] = s
	if s.err = s.readCells(); s.err != nil {
		l.unreadable(e.Dir, s.err)
	}
	return s
}

func (s *shelved) readCells() (err error) {
	if s.plan, err = s.File("plan/plan.json"); err != nil {
		return err
	}
	states, err := archive.ReadTable[cellState](s.Edition, "cells.parquet")
	if err != nil {
		return err
	}
	for _, c := range states {
		if c.Metric == headline {
			s.cells[c.key()] = c.State
		}
	}
	runs, err := archive.ReadTable[archive.RunRow](s.Edition, "runs.parquet")
	for _, row := range runs {
		if row.Status == string(Used) {
			s.runs[rowKey(row)] = append(s.runs[rowKey(row)], row)
		}
	}
	return err
}

func rowKey(r archive.RunRow) plan.Key {
	return plan.Key{Card: r.Card, Mode: r.Mode, Game: r.Game, Variant: r.Variant, Resolution: r.Resolution}
}

// cell says what a block lends a cell, or why it lends nothing.
func (l *lender) cell(block plan.Reuse, c plan.Cell) (out lent, why string) {
	s, why := l.named(block)
	if why != "" {
		return out, why
	}
	switch state := s.cells[c.Key]; {
	case state == "" || len(s.runs[c.Key]) == 0:
		return out, fmt.Sprintf("%s has no pass of this cell", block.Review)
	case !slices.Contains([]string{coverage.Ready.String(), coverage.Reused.String(), coverage.Vouched.String()}, state):
		return out, fmt.Sprintf("the cell is %s in %s", state, block.Review)
	}
	if s, why = l.first(block, s, c.Key); why != "" {
		return out, why
	}
	runs := s.runs[c.Key]
	if n := len(runs); n < c.At(n).Repeats {
		return out, fmt.Sprintf("%s has %s of it, %d are planned", block.Review, screen.Count(n, "pass", "passes"), c.At(n).Repeats)
	}
	out.edition = s.Edition
	for _, row := range runs {
		out.passes = append(out.passes, lentPass{row, s.madeAt(row)})
	}
	if why = l.tooOld(block, out); why != "" {
		return out, why
	}
	if out.differ, why = l.differ(block, s, c.Key); why != "" {
		return out, why
	}
	return out, ""
}

// named is the edition that a block names, else the review's newest.
func (l *lender) named(block plan.Reuse) (s *shelved, why string) {
	for _, e := range slices.Backward(l.editions) {
		if e.Review == block.Review && (block.Edition == "" || e.Edition == block.Edition) {
			if s := l.open(e); s.err == nil {
				return s, ""
			}
			return nil, fmt.Sprintf("edition %s of %s cannot be read", e.Edition, e.Review)
		}
	}
	if block.Edition != "" {
		return nil, fmt.Sprintf("the archive has no edition %s of a review %s that can be read", block.Edition, block.Review)
	}
	return nil, fmt.Sprintf("the archive has no edition of a review %s that can be read", block.Review)
}

// first is the edition that first had a cell's passes, under the same circumstances: what was lent on leads to where the frames are, and a new
// edition of the same passes, for a new price or claim, is no reason to refer to another one. One that the plan names is taken as it is.
func (l *lender) first(block plan.Reuse, s *shelved, k plan.Key) (*shelved, string) {
	if id := s.runs[k][0].FramesEdition; id != nil {
		i := slices.IndexFunc(l.editions, func(e archive.Edition) bool { return e.Edition == *id })
		if i < 0 || !l.holdsSame(l.open(l.editions[i]), s, k) {
			return nil, fmt.Sprintf("%s has reused it from edition %s, which has these passes no more or cannot be read", block.Review, *id)
		}
		return l.open(l.editions[i]), ""
	}
	if block.Edition != "" {
		return s, ""
	}
	for _, e := range l.editions {
		if e.Review == s.Review && e.Edition != s.Edition.Edition {
			if x := l.open(e); l.holdsSame(x, s, k) && x.runs[k][0].FramesEdition == nil && x.cells[k] == s.cells[k] {
				return x, ""
			}
		}
	}
	return s, ""
}

// holdsSame reports whether another edition has the passes of a cell, made under the same circumstances as far as both tell.
func (l *lender) holdsSame(x, s *shelved, k plan.Key) bool {
	if x.err != nil || len(x.runs[k]) != len(s.runs[k]) {
		return false
	}
	for i, row := range x.runs[k] {
		if row.RunID != s.runs[k][i].RunID {
			return false
		}
	}
	a, errA := x.facts(k)
	b, errB := s.facts(k)
	return errA == nil && errB == nil && (reflect.DeepEqual(a, b) || s.runs[k][0].FramesEdition != nil)
}

func (s *shelved) facts(k plan.Key) (history.Facts, error) {
	return history.FactsOf(s.plan, history.Key(k), s.runs[k])
}

// madeAt is when a pass was made: as recorded, else by the file's time when it was first seen, else it was at the latest when it was published.
func (s *shelved) madeAt(row archive.RunRow) time.Time {
	if row.StartedAt != nil {
		return time.UnixMicro(*row.StartedAt).UTC()
	}
	var seen struct {
		FileTime time.Time `json:"file_time"`
	}
	if text, err := s.File("plan/ledger/" + row.SourceSHA256 + ".json"); err == nil && json.Unmarshal(text, &seen) == nil && !seen.FileTime.IsZero() {
		return seen.FileTime.UTC()
	}
	return s.Published
}

// tooOld says that the oldest pass is older than the block allows. Its age counts from when it was made, however often it was reused since.
func (l *lender) tooOld(block plan.Reuse, x lent) string {
	for _, p := range x.passes {
		if l.now.Sub(p.made) > block.MaxAge {
			age := l.now.UTC().Truncate(plan.Day).Sub(p.made.Truncate(plan.Day)) // by the calendar, so that one day's passes say the same
			return fmt.Sprintf("pass %d is of %s, %s old; at most %s are accepted", p.row.Repeat, p.made.Format(time.DateOnly),
				screen.Count(int(age/plan.Day), "day", "days"), screen.Count(int(block.MaxAge/plan.Day), "day", "days"))
		}
	}
	return ""
}

// differ lists what differs and is put up with, or says what is not.
func (l *lender) differ(block plan.Reuse, s *shelved, k plan.Key) (allowed []history.Difference, why string) {
	was, err := s.facts(k)
	if err != nil {
		return nil, err.Error()
	}
	now, err := l.planFacts(k, s.runs[k])
	if err != nil {
		return nil, err.Error()
	}
	var refused []string
	_, all := history.Compare(was, now)
	for _, d := range all {
		if d.Grave || !slices.Contains(block.Despite, despiteOf(d)) {
			refused = append(refused, fmt.Sprintf("%s %s in the plan, %s then", d.What, d.Later, d.Earlier))
			continue
		}
		allowed = append(allowed, d)
	}
	return allowed, strings.Join(refused, "; ")
}

// despiteOf is the word of a plan that puts up with a difference.
func despiteOf(d history.Difference) string {
	for _, side := range []string{d.Earlier, d.Later} {
		if strings.Contains(side, history.NotRecorded) {
			return plan.DespiteUnknown
		}
	}
	return strings.ToLower(d.What)
}

// planFacts are the circumstances that the plan states of a cell, in which it would be passed today. Where several blocks read files, passes
// may be measured wherever one of them says.
func (r *Review) planFacts(k plan.Key, like []archive.RunRow) (history.Facts, error) {
	at := ""
	for i, f := range r.Plan.Files {
		if i == 0 || like[0].MeasuredAt != nil && f.MeasuredAt == *like[0].MeasuredAt {
			at = f.MeasuredAt
		}
	}
	row := r.circumstances(Pass{Key: k, File: match.File{Files: &plan.Files{MeasuredAt: at}}, Facts: r.planned(k)})
	return history.FactsOf(r.Plan.JSON, history.Key(k), []archive.RunRow{row})
}

// tooOldToFilm reports whether passes that may be reused today may not be on the day that they are needed for.
func (r *Review) tooOldToFilm(block plan.Reuse, x lent) bool {
	due := r.Plan.Review.Due
	return !due.IsZero() && slices.ContainsFunc(x.passes, func(p lentPass) bool { return due.Sub(p.made) > block.MaxAge })
}

// sayLent puts what is lent beside the numbers, and says of a block that nothing was lent by it.
func (r *Review) sayLent() {
	lends, grows := map[string]bool{}, map[string]bool{}
	for i, c := range r.Cells {
		k := c.Cell.Key
		if x, ok := r.lent[k]; ok {
			block, _ := r.Plan.ReuseOf(k.CardMode())
			lends[block.Name] = true
			if from, _ := x.days(); !grows[block.Name] && r.tooOldToFilm(block, x) {
				grows[block.Name] = true
				r.Findings.Add(finding.Warning, block.Place, "Reused passes are too old by the day of filming",
					fmt.Sprintf("%s: the first is of %s, and filming is due %s.", k, from, r.Plan.Review.Due.Format(time.DateOnly)),
					"Publish before that, pass the cells, or raise max_age.")
			}
			r.flag(i, FlagReused, "%s", x.words())
			if len(x.differ) > 0 {
				var parts []string
				for _, d := range x.differ {
					parts = append(parts, fmt.Sprintf("%s %s then, %s in the plan", d.What, d.Earlier, d.Later))
				}
				r.flag(i, flagReusedReserve, "reused with reserve: %s", strings.Join(parts, "; "))
			}
		}
		r.Cells[i].NotReused = r.notLent[k]
	}
	for _, b := range r.Plan.Reuses {
		if i := slices.IndexFunc(r.Cells, func(c Cell) bool { return slices.Contains(b.Modes, c.Cell.CardMode()) && c.NotReused != "" }); i >= 0 && !lends[b.Name] {
			r.Findings.Add(finding.Warning, b.Place, "Nothing is reused", fmt.Sprintf("%s of %s: %s.", strconv.Quote(b.Name), r.Cells[i].Cell.Key, r.Cells[i].NotReused),
				"Pass the cells, or mend the block.")
		}
	}
}

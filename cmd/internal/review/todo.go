package review

import (
	"slices"
	"strconv"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/schedule"
)

// Todo is one thing to do at the bench.
type Todo struct {
	Cell   plan.Key
	What   string            // "pass 2 again", "passes 1, 2 and 3"
	Again  []int             // repeats to run
	Why    []coverage.Reason // with the figures that failed
	Not    string            // why a reuse block that names the card lends it nothing
	Time   time.Duration     // while the card is in
	Swap   time.Duration     // what mounting the card adds, on the first item of each card
	Leaves time.Time         // when the card leaves, zero if not stated
}

// planWork lists what is still to do, in the order in which the cards are best mounted: fewest driver changes, then the card that
// leaves first. Each card is mounted once.
func (r *Review) planWork() {
	r.Ready = coverage.ReadyToFilm(r.judgements()) && r.failure() == nil && len(r.Contradicted()) == 0 &&
		!slices.ContainsFunc(r.Soaks, func(s Soak) bool { return s.State != SoakReady }) && len(r.unnoted()) == 0
	mounted := ""
	for _, m := range schedule.Estimate(r.Plan).Order {
		card, _ := r.Plan.Card(m.Card)
		for _, c := range r.Cells {
			if c.Cell.Card != m.Card || c.State.Done() {
				continue
			}
			now, _ := schedule.PassCost(r.Plan, c.Cell.Key, len(c.Again))
			t := Todo{Cell: c.Cell.Key, What: r.what(c), Again: c.Again, Why: c.Why, Not: c.NotReused, Time: now, Leaves: card.Sample.Leaves}
			if mounted != m.Card {
				t.Swap = schedule.PassCostFrom(r.Plan, mounted, c.Cell.Key, len(c.Again)) - now
				mounted = m.Card
			}
			r.Todo = append(r.Todo, t)
		}
	}
}

// what says in words which passes to run.
func (r *Review) what(c Cell) string {
	have := map[int]bool{}
	for _, i := range c.Passes {
		have[r.Passes[i].Repeat] = r.Passes[i].Status == Used
	}
	again := 0
	words := make([]string, len(c.Again))
	for i, n := range c.Again {
		words[i] = strconv.Itoa(n)
		if have[n] {
			again++
		}
	}
	s := "pass "
	if len(words) > 1 {
		s = "passes "
	}
	s += screen.List(words)
	if again == len(words) {
		s += " again"
	}
	return s
}

// TimeLeft is the bench time of every pass still to run.
func (r *Review) TimeLeft() (d time.Duration) {
	for _, t := range r.Todo {
		d += t.Time + t.Swap
	}
	return d
}

// PassesLeft is how many passes are still to run.
func (r *Review) PassesLeft() (n int) {
	for _, t := range r.Todo {
		n += len(t.Again)
	}
	return n
}

func (r *Review) judgements() []coverage.Judgement {
	out := make([]coverage.Judgement, len(r.Cells))
	for i, c := range r.Cells {
		out[i] = c.Judgement
	}
	return out
}

// PassesOf returns a cell's passes that have the status, by repeat.
func (r *Review) PassesOf(c Cell, s Status) (out []Pass) {
	for _, i := range c.Passes {
		if r.Passes[i].Status == s {
			out = append(out, r.Passes[i])
		}
	}
	slices.SortStableFunc(out, func(a, b Pass) int { return a.Repeat - b.Repeat })
	return out
}

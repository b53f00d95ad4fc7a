package review

import (
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// headline is the metric that spread, limits and pass order are judged by.
const headline = "mean_fps"

// judge makes the cells: statistics over the passes that count, checks within and between cells, and the coverage state.
func (r *Review) judge(o Options) error {
	byKey := map[plan.Key][]int{}
	for i, p := range r.Passes {
		byKey[p.Key] = append(byKey[p.Key], i)
	}
	r.Cells, r.at = make([]Cell, len(r.Plan.Cells)), map[plan.Key]int{}
	for i, c := range r.Plan.Cells {
		r.at[c.Key] = i
		r.Cells[i].Passes = byKey[c.Key]
		r.Cells[i].Cell = c.At(len(r.PassesOf(r.Cells[i], Used)))
	}
	r.statistics()
	r.compareSiblings()
	r.findSuspects()
	r.checkControls()
	facts := make([]coverage.Facts, len(r.Cells))
	for i, c := range r.Cells {
		facts[i] = r.facts(c)
	}
	r.checkCaps(facts)
	r.checkLimits()
	for i, f := range facts {
		vouch, err := r.vouch(f, r.Cells[i], o.Record)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrDisk, err)
		}
		f.Vouch = vouch
		r.Cells[i].Judgement = coverage.Judge(f)
	}
	r.checkOrder()
	r.sayLent()
	return nil
}

// Stat returns a cell's statistics of one metric.
func (c Cell) Stat(metric string) (compute.CellStat, bool) {
	for _, s := range c.Stats {
		if s.Metric == metric {
			return s, true
		}
	}
	return compute.CellStat{}, false
}

// facts gathers what coverage judges a cell by.
func (r *Review) facts(c Cell) coverage.Facts {
	f := coverage.Facts{Cell: c.Cell, Reused: r.reused(c)}
	game, _ := r.Plan.Game(c.Cell.Game)
	used := r.PassesOf(c, Used)
	for _, p := range used {
		f.Passes = append(f.Passes, coverage.Pass{Repeat: p.Repeat, Doubts: append(passDoubts(game, p), p.Doubts...), Stale: p.Stale})
	}
	for _, p := range r.PassesOf(c, Void) {
		f.Taken = append(f.Taken, p.Repeat)
	}
	for _, p := range r.PassesOf(c, Unusable) {
		if len(used) >= c.Cell.Repeats {
			break // the cell stands without it; the finding says that a file cannot be used
		}
		f.Doubts = append(f.Doubts, coverage.Reason{Kind: kindUnusable, Pass: p.Repeat, Text: fmt.Sprintf("%s cannot be used", p.File.Path)})
	}
	f.Failures = r.FailuresOf(c)
	if why, ok := r.spread(game, c, used); ok {
		f.Doubts = append(f.Doubts, why)
		for i := range f.Passes { // the same news in other words
			p := &f.Passes[i]
			p.Doubts = slices.DeleteFunc(p.Doubts, func(d coverage.Reason) bool { return d.Kind == kindSuspect && d.Pass == why.Pass })
		}
	}
	return f
}

// spread checks how far the passes lie apart in mean frame rate, and names the one that lies farthest from the rest.
func (r *Review) spread(g plan.Game, c Cell, used []Pass) (coverage.Reason, bool) {
	used = slices.DeleteFunc(slices.Clone(used), func(p Pass) bool { return !p.Figures.MeanFPS.OK })
	s, ok := c.Stat(headline)
	limit := compute.SpreadLimit(g.Accept.MaxSpread, len(used))
	if !ok || !s.SpreadPct.OK || s.SpreadPct.X <= limit {
		return coverage.Reason{}, false
	}
	tail := fmt.Sprintf("spread %.1f %%, at most %.1f %% accepted", s.SpreadPct.X, limit)
	if len(used) < 3 {
		return coverage.Reason{Kind: kindSpread, Text: "the passes lie apart: " + tail}, true
	}
	far := farthest(used)
	var rest []string
	var sum float64
	for i, p := range used {
		if i != far {
			rest = append(rest, strconv.Itoa(p.Repeat))
			sum += p.Figures.MeanFPS.X
		}
	}
	mine := used[far].Figures.MeanFPS.X
	percent := 100 * (mine/(sum/float64(len(rest))) - 1)
	side := "above"
	if percent < 0 {
		side = "below"
	}
	return coverage.Reason{Kind: kindSpread, Pass: used[far].Repeat, Text: fmt.Sprintf("%s fps is %.1f %% %s passes %s; %s",
		screen.Number(mine, 1), math.Abs(percent), side, screen.List(rest), tail)}, true
}

// farthest returns the index of the pass farthest from the median of the mean frame rates, on the ratio scale.
func farthest(ps []Pass) (at int) {
	rates := make([]float64, len(ps))
	for i, p := range ps {
		rates[i] = p.Figures.MeanFPS.X
	}
	sorted := slices.Sorted(slices.Values(rates))
	middle := compute.Quantile(sorted, 0.5, compute.DefaultQuantileType).X
	worst := -1.0
	for i, x := range rates {
		if d := math.Abs(math.Log(x / middle)); d > worst {
			worst, at = d, i
		}
	}
	return at
}

// FailuresOf lists the runs of a cell that the bench log says did not end well, with and without a file.
func (r *Review) FailuresOf(c Cell) (out []coverage.Reason) {
	add := func(row *match.LogRow) {
		text := row.Outcome
		if row.Note != "" {
			text += ": " + row.Note
		}
		out = append(out, coverage.Reason{Kind: coverage.Kind(row.Outcome), Text: text})
	}
	for _, o := range r.outcomes {
		if o.Key == c.Cell.Key {
			add(o.Row)
		}
	}
	for _, i := range c.Passes {
		if row := r.Passes[i].File.Row; row != nil && row.Outcome != match.OK {
			add(row)
		}
	}
	return out
}

// vouch returns the reason of a vouch that still covers a cell's files.
func (r *Review) vouch(f coverage.Facts, c Cell, record bool) (string, error) {
	for _, v := range r.Plan.Vouches {
		if v.Cell != f.Cell.Key || len(f.Passes) < f.Cell.Repeats {
			continue
		}
		var shas []string
		for _, p := range r.PassesOf(c, Used) {
			shas = append(shas, hex.EncodeToString(p.SHA256[:]))
		}
		ok, _, err := r.ledger.Vouch(v.Cell, shas, v.Reason, record)
		var damaged *ledger.Damaged
		switch {
		case errors.As(err, &damaged):
			r.Findings = append(r.Findings, damaged.Finding())
		case err != nil:
			return "", err
		case ok:
			return v.Reason, nil
		default:
			r.Findings.Add(finding.Warning, v.Place, "A vouch covers other files",
				fmt.Sprintf("The passes of %s are not those that were vouched for.", f.Cell.Key), "Look at them again and write the reason anew.")
		}
	}
	return "", nil
}

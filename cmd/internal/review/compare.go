package review

import (
	"cmp"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// compare sets every cell against the baseline's, and the pairs that claims name against each other, in every metric that has a
// scale.
func (r *Review) compare() {
	var needed errgroup.Group // each is an integral many times over
	needed.SetLimit(runtime.GOMAXPROCS(0))
	var open sync.Mutex
	plans := map[int]compute.Repeats{}
	for _, pair := range r.pairs() {
		if _, planned := r.at[pair[1]]; !planned {
			continue
		}
		of, base := r.cell(pair[0]), r.cell(pair[1])
		if len(of.Stats) == 0 || len(base.Stats) == 0 {
			continue
		}
		refused, differing := r.comparable(of, base)
		unlike := r.unlikeSensors(of, base)
		for _, a := range of.Stats {
			b, _ := base.Stat(a.Metric)
			m, _ := compute.MetricByName(a.Metric)
			d := Comparison{Of: pair[0], Base: pair[1], Metric: m, Holds: of.State.Holds() && base.State.Holds()}
			if why := cmp.Or(refused, unlike[m.Needs]); why != "" {
				d.Comparison = compute.Comparison{Metric: m.Name, N: a.N, BaseN: b.N, Why: why, Flags: []compute.Flag{flagNotComparable}}
			} else {
				d.Comparison = compute.Compare(m, a, b, r.sessions[m.Name].Between(a, b), r.margin())
			}
			d.Flags = slices.Concat(d.Flags, differing, reusedFlags(of, base))
			if !d.Holds && d.Difference.OK {
				d.Flags = append(d.Flags, flagNotReady)
			}
			if why := cmp.Or(of.betweenLooks(), base.betweenLooks()); why != "" && d.Verdict != "" {
				d.Verdict, d.Why = "", why
			}
			if d.Verdict == compute.Unresolved {
				i := len(r.Comparisons)
				needed.Go(func() error {
					n := r.repeatsNeeded(m, a, b, d.SessionSpread)
					open.Lock()
					defer open.Unlock()
					plans[i] = n
					return nil
				})
			}
			r.Comparisons = append(r.Comparisons, d)
		}
	}
	_ = needed.Wait() // none of them fails
	for i, n := range plans {
		r.Comparisons[i].Needed = n
	}
	r.markFirm()
	r.raisedButBehind()
}

// repeatsNeeded is how many launches a side would show, with 80 % chance, a difference as large as the margin. The difference
// that was seen plays no part: it is as uncertain as the verdict.
func (r *Review) repeatsNeeded(m compute.Metric, a, b compute.CellStat, u compute.SessionSpread) compute.Repeats {
	noise, ok := compute.PooledNoise([]compute.CellStat{a, b})
	if !ok || m.Scale == compute.Count {
		return compute.Repeats{}
	}
	claimed := r.margin().Percent
	if m.Scale == compute.Difference {
		claimed = r.margin().Points / 100
	}
	return compute.RepeatsToDiffer(m, claimed, r.margin(), noise, u)
}

// markFirm marks the leads and deficits against the baseline that stand although many were looked at.
func (r *Review) markFirm() {
	for _, m := range compute.Metrics() {
		var family []compute.Comparison
		var of []int
		for i, d := range r.Comparisons {
			if d.Metric.Name == m.Name && d.Base.CardMode() == r.Plan.Review.Baseline && d.Holds {
				family, of = append(family, d.Comparison), append(of, i)
			}
		}
		for j, firm := range compute.Firm(family) {
			r.Comparisons[of[j]].Firm = firm
		}
	}
}

// pairs lists what is compared, in plan order: each cell with the baseline's, then what claims name.
func (r *Review) pairs() (out [][2]plan.Key) {
	against := func(k plan.Key, m plan.Mode) [2]plan.Key {
		base := k
		base.Card, base.Mode = m.Card, m.Mode
		return [2]plan.Key{k, base}
	}
	for _, c := range r.Cells {
		if base := r.Plan.Review.Baseline; c.Cell.CardMode() != base {
			out = append(out, against(c.Cell.Key, base))
		}
	}
	for _, claim := range r.Plan.Claims {
		for _, c := range r.Cells {
			if claim.Against == nil || !claim.OfCells() || c.Cell.CardMode() != claim.Of {
				continue
			}
			if pair := against(c.Cell.Key, *claim.Against); !slices.Contains(out, pair) {
				out = append(out, pair)
			}
		}
	}
	return out
}

func (r *Review) margin() compute.Margin {
	s := r.Plan.Statistics
	return compute.Margin{Percent: s.MarginPct, Points: s.MarginPct}
}

// Against returns the comparison of a cell with another mode in one metric.
func (r *Review) Against(k plan.Key, base plan.Mode, metric string) (Comparison, bool) {
	for _, d := range r.Comparisons {
		if d.Of == k && d.Base.CardMode() == base && d.Metric.Name == metric {
			return d, true
		}
	}
	return Comparison{}, false
}

// comparable says why two cells must not be compared, "" if they may; what only differs is a finding and a flag. Within one plan rig,
// settings, scene and lengths are the same by form; where frames were measured, and on which build and driver, is not.
func (r *Review) comparable(a, b Cell) (refused string, flags []compute.Flag) {
	ca, _ := r.Plan.Card(a.Cell.Card)
	cb, _ := r.Plan.Card(b.Cell.Card)
	say := func(what, mend string) {
		r.Findings.Add(finding.Warning, ca.Place, "Cells that are compared differ",
			fmt.Sprintf("%s against %s: %s.", a.Cell.Key, b.Cell.CardMode(), what), mend)
	}
	if why := r.measuredApart(a, b); why != "" {
		say(why, "Frame times measured at different points are never compared: measure both alike.")
		return why + "; such frame times are never compared", nil
	}
	if d := r.differ(a, b, "build", func(p Pass) string { return p.Facts.Build }); d != "" {
		say(d, "Measure both alike, or say so beside the number.")
		flags = append(flags, flagBuildDiffers)
	}
	if d := r.differ(a, b, "driver", func(p Pass) string { return p.Facts.Driver }); d != "" && ca.Vendor == cb.Vendor {
		say(d, "Measure both alike, or say so beside the number.")
		flags = append(flags, flagDriverDiffers)
	}
	return "", flags
}

// measuredApart says that the frame times of two cells were measured at different points, "" where they were not.
func (r *Review) measuredApart(a, b Cell) string {
	return r.differ(a, b, "measured at", func(p Pass) string { return p.File.Files.MeasuredAt })
}

// differ words how a fact of the passes of two cells differs, "" where it does not or is not known.
func (r *Review) differ(a, b Cell, name string, of func(Pass) string) string {
	facts := func(c Cell) (out []string) {
		for _, p := range r.PassesOf(c, Used) {
			if s := of(p); s != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
		slices.Sort(out)
		return out
	}
	x, y := facts(a), facts(b)
	if len(x) == 0 || len(y) == 0 || slices.Equal(x, y) {
		return ""
	}
	return fmt.Sprintf("%s: %s against %s", name, strings.Join(x, " and "), strings.Join(y, " and "))
}

// raisedButBehind reports a mode that was meant to be faster than stock and is not.
func (r *Review) raisedButBehind() {
	for _, c := range r.Cells {
		card, _ := r.Plan.Card(c.Cell.Card)
		mode, _ := card.Mode(c.Cell.Mode)
		stock := c.Cell.Key
		stock.Mode = "stock"
		other, planned := r.at[stock]
		if len(mode.Raises) == 0 || c.Cell.Mode == "stock" || !planned || cmp.Or(c.betweenLooks(), r.Cells[other].betweenLooks()) != "" {
			continue
		}
		m, _ := compute.MetricByName(headline)
		a, _ := c.Stat(headline)
		b, _ := r.Cells[other].Stat(headline)
		if d := compute.Compare(m, a, b, r.sessions[m.Name].Between(a, b), r.margin()); d.Verdict == compute.Behind {
			r.Findings.Add(finding.Warning, mode.Place, "A mode with raised limits is behind stock",
				fmt.Sprintf("%s: %s %% [%s, %s] against stock.", c.Cell.Key,
					screen.Signed(d.Percent.X, 1), screen.Number(d.Low.X, 1), screen.Number(d.High.X, 1)),
				"Look for heat, a power limit, errors that are corrected, or a setting that did not take.")
		}
	}
}

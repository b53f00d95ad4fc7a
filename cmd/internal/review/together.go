package review

import (
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// Together is what a soak's protocol says of a card and mode against the baseline, beside its frame rate and its price: the one table in which
// faster, cooler, quieter, thriftier and dearer stand side by side. Fields are nil where there is nothing to compare.
type Together struct {
	Of                 plan.Mode
	Performance        *Summary // of the mean frame rate over all games, at the soak's resolution
	Power, Rise, Noise *BenchComparison
	Price              PriceApart
}

// PriceApart is by how much one price lies above another like it, in percent; exact, so it needs no verdict.
type PriceApart struct {
	Kind    string
	Percent compute.Value
}

// Together lays a soak's modes side by side, in the plan's order. It is empty where the baseline is not soaked.
func (r *Review) Together(p plan.Soak) (out []Together) {
	base := r.Plan.Review.Baseline
	if !slices.Contains(p.Modes, base) {
		return nil
	}
	size := p.Resolution
	if size == "" && len(r.Plan.Resolutions) > 0 {
		size = r.Plan.Resolutions[0].Name
	}
	for _, m := range p.Modes {
		if m == base {
			continue
		}
		t := Together{Of: m, Power: r.benchDiff(p, m, "mean_power_w", false), Noise: r.benchDiff(p, m, "sound_level_db", false), Price: r.priceApart(m, base)}
		if t.Rise = r.benchDiff(p, m, "rise_k", true); t.Rise == nil {
			t.Rise = r.benchDiff(p, m, "end_c", true)
		}
		for i, s := range r.Summaries {
			if s.Of == m && s.Group == AllGames && s.Resolution == size && s.Metric.Name == "mean_fps" {
				t.Performance = &r.Summaries[i]
			}
		}
		out = append(out, t)
	}
	return out
}

// benchDiff is the first difference of a figure from the baseline's that can be had, in the order of the soak's probes and channels; where none
// can, the first that is refused, unless whole asks for a figure.
func (r *Review) benchDiff(p plan.Soak, of plan.Mode, figure string, whole bool) (first *BenchComparison) {
	for i, d := range r.BenchDiffs {
		if d.Soak != p.Name || d.Of != of || d.Base != r.Plan.Review.Baseline || d.Metric.Name != figure {
			continue
		}
		if d.Difference.OK {
			return &r.BenchDiffs[i]
		}
		if first == nil && !whole {
			first = &r.BenchDiffs[i]
		}
	}
	return first
}

// priceApart sets the newest prices of the first kind that both cards have side by side; kinds come in the card's own order.
func (r *Review) priceApart(of, base plan.Mode) PriceApart {
	a, _ := r.Plan.Card(of.Card)
	b, _ := r.Plan.Card(base.Card)
	if a.Name == b.Name {
		return PriceApart{Percent: compute.Absent("one card")}
	}
	for _, x := range a.Prices {
		k := plan.PriceKind{Kind: x.Kind, Currency: x.Currency, Tax: &x.Tax}
		ours, theirs := a.PricesOf(k), b.PricesOf(k)
		if len(theirs) == 0 {
			continue
		}
		ratio := compute.FactRatio(compute.Known(ours[0].Amount), compute.Known(theirs[0].Amount))
		return PriceApart{x.Kind, compute.Known(100 * (ratio.X - 1))}
	}
	return PriceApart{Percent: compute.Absent("no price of one kind, currency and tax")}
}

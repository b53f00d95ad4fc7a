package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/sheets"
)

// itself is for tables whose rows are keys.
func itself(k Key) Key { return k }

// results is a row for each planned cell: what a chart shows of it, and how sure it is.
func (b *book) results() sheets.Table {
	columns := []column[Key]{
		words("state", b.state), words("against", func(k Key) string {
			if k.Mode == b.Words.Baseline {
				return "is the baseline"
			}
			return b.against(b.Words.Baseline)
		}),
		counted("passes", func(k Key) *int32 { return b.number(k, func(r archive.CellRow) int32 { return r.N }) }),
		counted("launches", func(k Key) *int32 { return b.number(k, func(r archive.CellRow) int32 { return r.Launches }) }),
	}
	columns = append(columns, b.means("mean frame rate", "mean_fps")...)
	columns = append(columns, b.versus("mean frame rate", "mean_fps")...)
	columns = append(columns, words("firm", func(k Key) string { return b.firm(b.diffs[measured{k, "mean_fps"}]) }),
		counted("launches a side that would resolve it", func(k Key) *int32 { return b.diffs[measured{k, "mean_fps"}].RepeatsNeeded }))
	for i, m := range b.lows {
		title := []string{"1 % low", "0.1 % low"}[i]
		columns = append(columns, b.means(title, m.Name)...)
		columns = append(columns, b.versus(title, m.Name)...)
	}
	columns = append(columns, words("notes", b.notes))
	return tabulate("results", "A row is a card in a mode, in a game at a resolution.", b.keys(), where(b, itself), columns, inPlan(itself))
}

func (b *book) state(k Key) string {
	if s := b.cells[k].State; s != "failed" {
		return s
	}
	return "does not run"
}

func (b *book) number(k Key, of func(archive.CellRow) int32) *int32 {
	r, ok := b.stats[measured{k, "mean_fps"}]
	if !ok {
		return nil
	}
	n := of(r)
	return &n
}

// means are the columns of a cell's figure with its interval.
func (b *book) means(title, metric string) []column[Key] {
	m, _ := compute.MetricByName(metric)
	of := func(pick func(archive.CellRow) *float64) func(Key) *float64 {
		return func(k Key) *float64 { return pick(b.stats[measured{k, metric}]) }
	}
	return []column[Key]{
		figure(title, m.MeanUnit(), m.Decimals, of(func(r archive.CellRow) *float64 { return r.Mean })),
		figure(title+", 95 % from", m.MeanUnit(), m.Decimals, of(func(r archive.CellRow) *float64 { return r.CILow })),
		figure(title+", 95 % to", m.MeanUnit(), m.Decimals, of(func(r archive.CellRow) *float64 { return r.CIHigh })),
	}
}

// versus are the columns of how far a cell's figure lies from the baseline's, in percent.
func (b *book) versus(title, metric string) []column[Key] {
	of := func(pick func(archive.ComparisonRow) *float64) func(Key) *float64 {
		return func(k Key) *float64 { return pick(b.diffs[measured{k, metric}]) }
	}
	return []column[Key]{
		figure(title+", difference", "%", 1, of(func(r archive.ComparisonRow) *float64 { return r.Percent })),
		figure(title+", difference, 95 % from", "%", 1, of(func(r archive.ComparisonRow) *float64 { return r.CILow })),
		figure(title+", difference, 95 % to", "%", 1, of(func(r archive.ComparisonRow) *float64 { return r.CIHigh })),
		words(title+", verdict", func(k Key) string { return b.verdict(b.diffs[measured{k, metric}]) }),
	}
}

// verdict is open where a side is not ready: nobody should read out one that may not hold.
func (b *book) verdict(r archive.ComparisonRow) string {
	of, base := comparedKeys(r)
	switch {
	case r.Card == "" || r.Verdict == nil:
		return ""
	case !b.holds(of) || !b.holds(base):
		return "open"
	}
	return *r.Verdict
}

func (b *book) firm(r archive.ComparisonRow) string {
	if v := b.verdict(r); deref(r.Firm) && v != "open" && v != "" {
		return "firm"
	}
	return ""
}

func comparedKeys(r archive.ComparisonRow) (of, base Key) {
	of = Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution}
	base = of
	base.Mode = Mode{r.BaseCard, r.BaseMode}
	return of, base
}

// notes are what must be known of a cell and of its difference in mean frame rate.
func (b *book) notes(k Key) string {
	c := b.cells[k]
	all := append(append([]string(nil), c.Why...), c.Notes...)
	if f := b.diffs[measured{k, "mean_fps"}]; f.Looks != nil && *f.Looks > 1 {
		all = append(all, fmt.Sprintf("the intervals of differences pay for %d looks", *f.Looks))
	}
	return strings.Join(all, "; ")
}

// figures is a row for each figure of each planned cell.
func (b *book) figures() sheets.Table {
	var rows []measured
	for _, k := range b.keys() {
		for _, m := range b.metrics {
			if r, ok := b.stats[measured{k, m.Name}]; ok && r.Mean != nil {
				rows = append(rows, measured{k, m.Name})
			}
		}
	}
	key := func(r measured) Key { return r.Key }
	metric := func(r measured) compute.Metric { m, _ := compute.MetricByName(r.metric); return m }
	stat := func(title string, decimals int, of func(archive.CellRow) *float64) column[measured] {
		return figure(title, "", decimals, func(r measured) *float64 { return inPercent(of(b.stats[r]), metric(r).Unit == "share") })
	}
	diff := func(title string, of func(archive.ComparisonRow) *float64) column[measured] {
		return figure(title, "", 1, func(r measured) *float64 { return inPercent(of(b.diffs[r]), metric(r).Unit == "share") })
	}
	return tabulate("figures", "A row is one figure of a card in a mode, in a game at a resolution.", rows, where(b, key), []column[measured]{
		words("figure", func(r measured) string { return figureTitle(r.metric) }),
		words("unit", func(r measured) string { return percentUnit(metric(r).MeanUnit()) }),
		stat("mean", 2, func(r archive.CellRow) *float64 { return r.Mean }),
		stat("95 % from", 2, func(r archive.CellRow) *float64 { return r.CILow }),
		stat("95 % to", 2, func(r archive.CellRow) *float64 { return r.CIHigh }),
		count("passes", func(r measured) int32 { return b.stats[r].N }), count("launches", func(r measured) int32 { return b.stats[r].Launches }),
		figure("spread of the passes", "%", 1, func(r measured) *float64 { return b.stats[r].SpreadPct }),
		words("against", func(r measured) string {
			d := b.diffs[r]
			return b.against(Mode{d.BaseCard, d.BaseMode})
		}),
		diff("difference", func(r archive.ComparisonRow) *float64 {
			if r.Percent != nil {
				return r.Percent
			}
			return r.Difference
		}),
		words("unit of the difference", func(r measured) string {
			switch d, m := b.diffs[r], metric(r); {
			case d.Card == "":
				return ""
			case d.Percent != nil || m.Scale == compute.Ratio:
				return "%"
			case m.Unit == "share":
				return "percentage points"
			default:
				return m.DifferenceUnit()
			}
		}),
		diff("difference, 95 % from", func(r archive.ComparisonRow) *float64 { return r.CILow }),
		diff("difference, 95 % to", func(r archive.ComparisonRow) *float64 { return r.CIHigh }),
		words("verdict", func(r measured) string { return b.verdict(b.diffs[r]) }), words("firm", func(r measured) string { return b.firm(b.diffs[r]) }),
		words("flags", func(r measured) string { return joined(b.stats[r].Flags, b.diffs[r].Flags) }),
		words("figure in the plan", func(r measured) string { return r.metric }),
	}, inPlan(key))
}

// joined are the flags of a figure and of its difference, each once.
func joined(flags ...*string) string {
	var out []string
	for _, f := range flags {
		for _, w := range strings.Fields(deref(f)) {
			if w = strings.ReplaceAll(w, "_", " "); !slices.Contains(out, w) {
				out = append(out, w)
			}
		}
	}
	return strings.Join(out, ", ")
}

// inPercent gives shares as people read them.
func inPercent(x *float64, share bool) *float64 {
	if x == nil || !share {
		return x
	}
	y := 100 * *x
	return &y
}

func percentUnit(unit string) string {
	if unit == "share" {
		return "%"
	}
	return unit
}

// coverage is a row for each planned cell: whether it is there, and what stands against it.
func (b *book) coverage() sheets.Table {
	return tabulate("coverage", "A row is a planned cell.", b.keys(), where(b, itself), []column[Key]{
		words("state", b.state), count("passes", func(k Key) int32 { return int32(b.cells[k].Passes) }),
		count("passes planned", func(k Key) int32 { return int32(b.cells[k].Of) }),
		words("reasons", func(k Key) string { return strings.Join(b.cells[k].Why, "; ") }),
		words("notes", func(k Key) string { return strings.Join(b.cells[k].Notes, "; ") }),
	}, inPlan(itself))
}

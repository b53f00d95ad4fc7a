package report

import (
	"fmt"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// summaryCharts are the headlines: a chart for each resolution and group of games, over mean frame rates.
func summaryCharts(s Source) (out []named) {
	at := map[string]int{}
	var charts []chart.Summary
	for _, row := range s.Tables.Summaries {
		if row.Metric != "mean_fps" {
			continue
		}
		name := plainName("summary-" + row.Group + "-" + row.Resolution)
		i, ok := at[name]
		if !ok {
			i = len(charts)
			at[name] = i
			charts = append(charts, chart.Summary{Head: chart.Head{Name: name, Title: groupTitle(row.Group), Settings: s.Words.size(row.Resolution),
				Notes: s.Words.reusedNote(func(k Key) bool { return k.Resolution == row.Resolution })},
				Unit: "mean frame rate against " + s.Words.title(s.Words.Baseline) + ", percent", Better: chart.More, Mark: "mean over the games, geometric"})
		}
		charts[i].Rows = append(charts[i].Rows, s.summaryRow(row))
	}
	for _, c := range charts {
		out = append(out, named{c.Head.Name, func(f chart.Format) chart.Picture { return c.Picture(f, s.Look) }})
	}
	return out
}

func (s Source) summaryRow(row archive.SummaryRow) chart.SummaryRow {
	r := chart.SummaryRow{Percent: interval(row.Percent, row.TheseLow, row.TheseHigh), Standing: standing(row.Verdict),
		Leads: int(row.Leads), Levels: int(row.Levels), Trails: int(row.Trails)}
	for _, m := range s.Words.Modes {
		if m.Card == row.Card && m.Mode.Mode == row.Mode {
			r.Row = s.Words.row(m)
		}
	}
	if row.LikeLow != nil && row.LikeHigh != nil {
		r.Wider = interval(row.Percent, row.LikeLow, row.LikeHigh)
	}
	if row.Percent == nil {
		r.Absent = "no game on both sides"
	}
	return r
}

func groupTitle(group string) string {
	if group == "all" {
		return "All games"
	}
	return "Games: " + group
}

// size is a resolution as a chart's settings have it.
func (w Words) size(name string) string {
	for _, r := range w.Resolutions {
		if r.Name == name {
			return fmt.Sprintf("%d×%d", r.Width, r.Height)
		}
	}
	return name
}

// valueCharts are the price of a frame a second, for each kind of price, over all that is rated of a card.
func valueCharts(s Source) (out []named) {
	at := map[string]int{}
	var charts []chart.Rails
	for _, r := range s.Tables.Readings {
		if r.Figure != "price_per_fps" || r.BaseCard != nil || r.Resolution != nil || r.Value == nil || r.PriceKind == nil {
			continue
		}
		name := plainName("value-" + *r.PriceKind)
		i, ok := at[name]
		if !ok {
			i = len(charts)
			at[name] = i
			charts = append(charts, chart.Rails{Head: chart.Head{Name: name, Title: "Value at " + *r.PriceKind + " price", Settings: "mean frame rate of all games rated, geometric",
				Notes: s.Words.reusedNote(anyKey)}, Unit: r.Unit, Better: chart.Less, Decimals: 2, Mark: "cost of a frame a second", Against: "against " + s.Words.title(s.Words.Baseline), Note: "price"})
		}
		rail := s.valueRail(r)
		if r.LeftOut != nil && *r.LeftOut > 0 {
			rail.Note += " *"
			charts[i].Head.Notes = "* rated over fewer games, and set against the baseline over those only"
			if note := s.Words.reusedNote(anyKey); note != "" {
				charts[i].Head.Notes += ". " + note
			}
		}
		charts[i].Rails = append(charts[i].Rails, rail)
	}
	for _, c := range charts {
		if len(c.Rails) > 1 {
			out = append(out, named{c.Head.Name, func(f chart.Format) chart.Picture { return c.Picture(f, s.Look) }})
		}
	}
	return out
}

func (s Source) valueRail(r archive.ReadingRow) chart.Rail {
	rail := chart.Rail{Figure: interval(r.Value, r.CILow, r.CIHigh)}
	if r.Price != nil && r.PriceCurrency != nil {
		rail.Note = fmt.Sprintf("%.0f %s", *r.Price, *r.PriceCurrency)
	}
	for _, m := range s.Words.Modes {
		if m.Card != r.Card || r.Mode == nil || m.Mode.Mode != *r.Mode {
			continue
		}
		rail.Row = s.Words.row(m)
		if m.Mode == s.Words.Baseline {
			rail.Standing = chart.Base
		}
	}
	for _, d := range s.Tables.Readings {
		if d.Figure == r.Figure && d.Card == r.Card && d.Mode != nil && r.Mode != nil && *d.Mode == *r.Mode && d.BaseCard != nil && d.Resolution == nil &&
			d.PriceKind != nil && *d.PriceKind == *r.PriceKind && (Mode{*d.BaseCard, *d.BaseMode}) == s.Words.Baseline {
			rail.Percent, rail.Standing = interval(d.Value, d.CILow, d.CIHigh), standing(d.Verdict)
		}
	}
	return rail
}

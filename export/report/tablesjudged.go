package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/sheets"
)

// summaries is a row for each headline: a card and mode against the baseline over the games of a group, in each figure, the mean frame rate
// first.
func (b *book) summaries() sheets.Table {
	type row = archive.SummaryRow
	rows := slices.Clone(b.Tables.Summaries)
	slices.SortStableFunc(rows, func(x, y row) int { return b.rank(x.Metric) - b.rank(y.Metric) })
	metric := func(r row) compute.Metric { m, _ := compute.MetricByName(r.Metric); return m }
	percent := func(title string, of func(row) *float64) column[row] {
		return figure(title, "", 1, func(r row) *float64 { return inPercent(of(r), r.Unit == "share") })
	}
	game := func(name *string) string { return b.Words.gameTitle(deref(name)) }
	return tabulate("summaries", "A row is a card in a mode against the baseline, over the games of a group at a resolution.", rows, []column[row]{
		words("games of", func(r row) string { return r.Group }), words("resolution", func(r row) string { return r.Resolution }),
		words("figure", func(r row) string { return figureTitle(r.Metric) }),
	}, who(b, func(r row) Mode { return Mode{r.Card, r.Mode} }), []column[row]{
		words("against", func(r row) string { return b.against(Mode{r.BaseCard, r.BaseMode}) }), count("games", func(r row) int32 { return r.Games }),
		percent("difference", func(r row) *float64 {
			if r.Percent != nil {
				return r.Percent
			}
			return r.Difference
		}),
		words("unit", func(r row) string {
			switch {
			case metric(r).Scale != compute.Difference:
				return "%"
			case r.Unit == "share":
				return "percentage points"
			}
			return metric(r).DifferenceUnit()
		}),
		percent("for these games, 95 % from", func(r row) *float64 { return r.TheseLow }),
		percent("for these games, 95 % to", func(r row) *float64 { return r.TheseHigh }),
		percent("for games like these, 95 % from", func(r row) *float64 { return r.LikeLow }),
		percent("for games like these, 95 % to", func(r row) *float64 { return r.LikeHigh }),
		word("verdict", func(r row) *string { return r.Verdict }),
		count("games led", func(r row) int32 { return r.Leads }), count("games level", func(r row) int32 { return r.Levels }),
		count("games trailed", func(r row) int32 { return r.Trails }),
		words("most in", func(r row) string { return game(r.MostGame) }), percent("most", func(r row) *float64 { return r.Most }),
		words("least in", func(r row) string { return game(r.LeastGame) }), percent("least", func(r row) *float64 { return r.Least }),
		count("cells left out", func(r row) int32 { return r.LeftOut }), words("left out", b.leftOut),
		words("flags", func(r row) string { return spaced(r.Flags) }),
		words("figure in the plan", func(r row) string { return r.Metric }),
	}, cardInPlan(func(r row) Mode { return Mode{r.Card, r.Mode} }))
}

// rank puts the mean frame rate and the lows before other figures, and these in the registry's order.
func (b *book) rank(metric string) int {
	switch metric {
	case "mean_fps":
		return -3
	case b.lows[0].Name:
		return -2
	case b.lows[1].Name:
		return -1
	}
	return slices.IndexFunc(b.metrics, func(m compute.Metric) bool { return m.Name == metric })
}

// leftOut says which cells have no part in a headline, and why.
func (b *book) leftOut(r archive.SummaryRow) string {
	var out []string
	for _, x := range b.Words.LeftOut {
		if x.Mode == (Mode{r.Card, r.Mode}) && x.Group == r.Group && x.Resolution == r.Resolution && x.Metric == r.Metric {
			out = append(out, b.games[[2]string{x.Game, x.Variant}].title()+": "+x.Why)
		}
	}
	return strings.Join(out, "; ")
}

// claims is a row for each claim: what was hoped, what was found, and what may be said.
func (b *book) claims() sheets.Table {
	type row = archive.ClaimRow
	beside := map[string]ClaimWords{}
	for _, c := range b.Words.Claims {
		beside[c.Claim] = c
	}
	estimate := func(title string, of func(row) *float64) column[row] {
		return figure(title, "", 1, func(r row) *float64 { return inPercent(of(r), r.Unit == "share") })
	}
	return tabulate("claims", "A row is a claim of the plan beside its data.", b.Tables.Claims, []column[row]{
		words("claim", func(r row) string { return r.Says }), words("verdict", func(r row) string { return r.Verdict }),
		word("leaning", func(r row) *string { return r.Leaning }), word("the data say", func(r row) *string { return r.Said }),
		words("hoped", func(r row) string { return beside[r.Claim].Hoped }),
		estimate("estimate", func(r row) *float64 { return r.Estimate }), estimate("95 % from", func(r row) *float64 { return r.CILow }),
		estimate("95 % to", func(r row) *float64 { return r.CIHigh }), words("unit", func(r row) string { return claimUnit(r) }),
	}, who(b, func(r row) Mode { return Mode{r.Card, r.Mode} }), []column[row]{
		words("against", func(r row) string { return b.against(Mode{deref(r.BaseCard), deref(r.BaseMode)}) }),
		words("figure", func(r row) string { return figureTitle(r.Metric) }),
		count("cells", func(r row) int32 { return r.Cells }), count("games", func(r row) int32 { return r.Games }),
		counted("launches a side that would settle it", func(r row) *int32 { return r.RepeatsNeeded }),
		figure("p for", "", 4, func(r row) *float64 { return r.PFor }), figure("p of the sign", "", 4, func(r row) *float64 { return r.PSign }),
		figure("p against", "", 4, func(r row) *float64 { return r.PAgainst }),
		words("flags", func(r row) string { return strings.Join(b.Words.minds(r), "; ") }),
		words("notes", func(r row) string { return strings.Join(beside[r.Claim].Notes, "; ") }),
		words("claim in the plan", func(r row) string { return r.Claim }),
	}, cardInPlan(func(r row) Mode { return Mode{r.Card, r.Mode} }))
}

func claimUnit(r archive.ClaimRow) string {
	switch {
	case r.Unit != "share":
		return strings.ReplaceAll(r.Unit, "_", " ")
	case r.BaseCard == nil:
		return "%"
	}
	return "percentage points"
}

// passes is a row for each capture, with every figure of it.
func (b *book) passes() sheets.Table {
	type row = archive.RunRow
	key := func(r row) Key { return Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution} }
	figures := []column[row]{}
	for _, m := range b.metrics {
		share := m.Unit == "share"
		unit := percentUnit(m.Unit)
		if m.Scale == compute.Count || strings.HasSuffix(m.Title, unit) {
			unit = "" // counted in itself
		}
		c := figure(figureTitle(m.Name), unit, m.Decimals, func(r row) *float64 {
			x, ok := archive.Figure(&r, m.Name)
			if !ok {
				return nil
			}
			return inPercent(&x, share)
		})
		if slices.ContainsFunc(b.Tables.Runs, func(r row) bool { _, ok := archive.Figure(&r, m.Name); return ok }) {
			figures = append(figures, c)
		}
	}
	return tabulate("passes", "A row is a pass, or a capture that does not count.", b.Tables.Runs, where(b, key), []column[row]{
		count("pass", func(r row) int32 { return r.Repeat }), words("status", func(r row) string { return r.Status }),
		word("launch", func(r row) *string { return r.Launch }), word("session", func(r row) *string { return r.Session }),
		word("driver", func(r row) *string { return r.Driver }), word("build", func(r row) *string { return r.Build }),
		counted("frames", func(r row) *int32 { return r.Frames }), counted("frames cut", func(r row) *int32 { return r.FramesCut }),
		counted("bad lines", func(r row) *int32 { return r.BadLines }), figure("duration", "s", 1, func(r row) *float64 { return r.DurationS }),
		figure("room", "°C", 1, func(r row) *float64 { return r.AmbientC }),
	}, figures, []column[row]{
		figure("drift against its siblings", "%", 1, func(r row) *float64 { return r.DriftPct }),
		words("disturbed", func(r row) string {
			if r.DisturbedFromS == nil || r.DisturbedToS == nil {
				return ""
			}
			return fmt.Sprintf("%.0f to %.0f s", *r.DisturbedFromS, *r.DisturbedToS)
		}),
		words("flags", func(r row) string { return spaced(r.Flags) }), word("reason", func(r row) *string { return r.VoidReason }),
		word("frames in edition", func(r row) *string { return r.FramesEdition }), words("file", func(r row) string { return r.SourcePath }), words("SHA-256", func(r row) string { return r.SourceSHA256 }),
	})
}

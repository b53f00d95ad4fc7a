package review

import (
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
)

func summaryRow(s Summary) archive.SummaryRow {
	return archive.SummaryRow{
		Group: s.Group, Resolution: s.Resolution, Metric: s.Metric.Name, Card: s.Of.Card, Mode: s.Of.Mode,
		BaseCard: s.Base.Card, BaseMode: s.Base.Mode, Games: int32(s.Games), LeftOut: int32(len(s.LeftOut)),
		Ratio: figure(s.Ratio), Percent: figure(s.Percent),
		TheseLow: figure(s.TheseLow), TheseHigh: figure(s.TheseHigh), LikeLow: figure(s.LikeLow), LikeHigh: figure(s.LikeHigh),
		Verdict: some(string(s.Verdict)), Leads: int32(s.Leads), Levels: int32(s.Levels), Trails: int32(s.Trails),
		Unit: s.Metric.MeanUnit(), Difference: figure(s.Difference), DF: figure(s.DF), P: figure(s.P),
		SessionSpread: sessionSpread(s.Metric, s.SessionSpread), SessionSource: some(s.SessionSpread.Source),
		MostGame: some(s.Most.Game), Most: figure(s.Most.By), LeastGame: some(s.Least.Game), Least: figure(s.Least.By),
		Flags: some(strings.Join(words(s.Flags), " ")),
	}
}

func claimRow(c Claim) archive.ClaimRow {
	row := archive.ClaimRow{
		Claim: c.Name, Says: c.Says, Metric: c.Claim.Metric, Unit: c.Unit(), Estimate: figure(c.Estimate), CILow: figure(c.Low), CIHigh: figure(c.High),
		PFor: figure(c.PFor), PSign: figure(c.PSign), PAgainst: figure(c.PAgainst),
		Verdict: string(c.Verdict), Leaning: some(c.Leaning()), Card: c.Of.Card, Mode: c.Of.Mode,
		BaseCard: some(c.Base.Card), BaseMode: some(c.Base.Mode), Cells: int32(c.ClaimFigures.Cells), Games: int32(c.ClaimFigures.Games),
		DF: figure(c.DF), SessionSpread: sessionSpread(c.Figure, c.SessionSpread), SessionSource: some(c.SessionSpread.Source),
		Why: some(c.Why), Said: some(c.Said), Flags: some(strings.Join(words(c.Flags()), " ")),
	}
	if c.Needed.OK {
		row.RepeatsNeeded = present(int32(c.Needed.K))
	}
	return row
}

// Unit is that of a claim's estimate: percent for a difference that is one, else the metric's.
func (c Claim) Unit() string {
	if c.Kind == plan.OfFact || c.Kind == plan.OfValue {
		return c.unitOfFact()
	}
	if c.Against != nil && c.Figure.Scale != compute.Difference {
		return "%"
	}
	if c.Against != nil {
		return c.Figure.DifferenceUnit()
	}
	return c.Figure.MeanUnit()
}

// Flags are what must be known of a claim's figures, a word each.
func (c Claim) Flags() (out []compute.Flag) {
	if c.Thin {
		out = append(out, compute.FlagThin)
	}
	if c.Looks > 1 {
		out = append(out, compute.FlagLooks)
	}
	if c.Marked {
		out = append(out, flagCalculator)
	}
	for _, m := range c.Mind {
		out = append(out, m.Word)
	}
	return distinct(out)
}

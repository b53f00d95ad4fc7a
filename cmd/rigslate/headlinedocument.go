package main

import (
	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

type modeJSON struct {
	Card string `json:"card"`
	Mode string `json:"mode"`
}

func modeOf(m plan.Mode) modeJSON { return modeJSON{m.Card, m.Mode} }

type summaryJSON struct {
	Group      string          `json:"group"`
	Resolution string          `json:"resolution"`
	Metric     string          `json:"metric"`
	Unit       string          `json:"unit"`
	Of         modeJSON        `json:"of"`
	Base       modeJSON        `json:"base"`
	Games      int             `json:"games"`
	Difference *float64        `json:"difference"`
	Ratio      *float64        `json:"ratio"`
	Percent    *float64        `json:"percent"`
	TheseLow   *float64        `json:"these_low"`
	TheseHigh  *float64        `json:"these_high"`
	LikeLow    *float64        `json:"like_low"`
	LikeHigh   *float64        `json:"like_high"`
	DF         *float64        `json:"df"`
	P          *float64        `json:"p"`
	Verdict    compute.Verdict `json:"verdict,omitempty"`
	Leads      int             `json:"leads"`
	Levels     int             `json:"levels"`
	Trails     int             `json:"trails"`
	Most       extremeJSON     `json:"largest_difference"`
	Least      extremeJSON     `json:"smallest_difference"`
	LeftOut    []leftOutJSON   `json:"left_out,omitempty"`
	Flags      []compute.Flag  `json:"flags,omitempty"`
	Why        string          `json:"why,omitempty"`
}

type extremeJSON struct {
	Game string   `json:"game"`
	By   *float64 `json:"by"`
}

type leftOutJSON struct {
	keyJSON
	Why string   `json:"why"`
	By  *float64 `json:"percent"`
}

func summaryOf(s review.Summary) summaryJSON {
	d := summaryJSON{Group: s.Group, Resolution: s.Resolution, Metric: s.Metric.Name, Unit: s.Metric.MeanUnit(), Of: modeOf(s.Of), Base: modeOf(s.Base),
		Games: s.Games, Difference: optional(s.Difference), Ratio: optional(s.Ratio), Percent: optional(s.Percent),
		TheseLow: optional(s.TheseLow), TheseHigh: optional(s.TheseHigh), LikeLow: optional(s.LikeLow), LikeHigh: optional(s.LikeHigh),
		DF: optional(s.DF), P: optional(s.P), Verdict: s.Verdict, Leads: s.Leads, Levels: s.Levels, Trails: s.Trails,
		Most: extremeJSON{s.Most.Game, optional(s.Most.By)}, Least: extremeJSON{s.Least.Game, optional(s.Least.By)}, Flags: s.Flags, Why: s.Why}
	for _, x := range s.LeftOut {
		d.LeftOut = append(d.LeftOut, leftOutJSON{keyOf(x.Cell), x.Why, optional(x.By)})
	}
	return d
}

type claimJSON struct {
	Claim     string         `json:"claim"`
	Says      string         `json:"says"`
	Metric    string         `json:"metric"`
	Unit      string         `json:"unit"`
	Of        modeJSON       `json:"of"`
	Against   *modeJSON      `json:"against"`
	Hope      string         `json:"expected"`
	Cells     []keyJSON      `json:"cells"`
	Games     int            `json:"games"`
	Estimate  *float64       `json:"estimate"`
	Low       *float64       `json:"ci_low"`
	High      *float64       `json:"ci_high"`
	PFor      *float64       `json:"p_for"`
	PSign     *float64       `json:"p_sign"`
	PAgainst  *float64       `json:"p_against"`
	Verdict   compute.Judged `json:"verdict"`
	Leaning   string         `json:"leaning,omitempty"`
	Needed    int            `json:"repeats_needed,omitempty"`
	NeededWhy string         `json:"repeats_needed_why,omitempty"`
	Budget    *budgetJSON    `json:"budget,omitempty"`
	Said      string         `json:"may_be_said,omitempty"`
	Rounded   int            `json:"whole_percent_found,omitempty"`
	Flags     []compute.Flag `json:"flags,omitempty"`
	Mind      []mindJSON     `json:"mind,omitempty"`
	Notes     []string       `json:"notes,omitempty"`
	Why       string         `json:"why,omitempty"`
}

// mindJSON is a flag with the cells of a claim that have it.
type mindJSON struct {
	Flag  compute.Flag `json:"flag"`
	Cells []keyJSON    `json:"cells"`
}

func claimOf(r *review.Review, c review.Claim) claimJSON {
	d := claimJSON{Claim: c.Name, Says: c.Says, Metric: c.Claim.Metric, Unit: c.Unit(), Of: modeOf(c.Of), Hope: c.Hoped(), Cells: []keyJSON{}, Games: c.ClaimFigures.Games,
		Estimate: optional(c.Estimate), Low: optional(c.Low), High: optional(c.High), PFor: optional(c.PFor), PSign: optional(c.PSign),
		PAgainst: optional(c.PAgainst), Verdict: c.Verdict, Leaning: c.Leaning(), Needed: c.Needed.K, NeededWhy: c.Needed.Why,
		Said: c.Said, Rounded: c.Rounded, Flags: c.Flags(), Notes: c.Notes, Why: c.Why}
	for _, k := range c.Cells {
		d.Cells = append(d.Cells, keyOf(k))
	}
	for _, m := range c.Mind {
		mind := mindJSON{Flag: m.Word}
		for _, k := range m.Cells {
			mind.Cells = append(mind.Cells, keyOf(k))
		}
		d.Mind = append(d.Mind, mind)
	}
	b := cellBudget{metric: c.Figure, Budget: r.ClaimBudget(c)}
	if c.Against != nil {
		d.Against = &modeJSON{c.Against.Card, c.Against.Mode}
		b.base.Card, b.base.Mode = c.Against.Card, c.Against.Mode
	}
	if b.Why == "" {
		document := b.document()
		d.Budget = &document
	}
	return d
}

package compute

import (
	"math"
	"slices"
)

// Judged is what the data say to a claim (definitions, section 4).
type Judged string

const (
	NoData       Judged = "no data"
	Contradicted Judged = "contradicted" // outside the region, and not by chance
	Supported    Judged = "supported"    // inside, and not by chance
	Fits         Judged = "fits"         // inside, of the right sign, and tight enough to be said with "about"
	Open         Judged = "open"         // may not be said
)

// ClaimFigures is a claim beside its data. Estimate, Low and High are in percent for a relative claim on the ratio scale, else in the
// metric's MeanUnit. PFor, PSign and PAgainst are absent where the claim has none; they are adjusted for the plan's other claims once
// JudgeClaims has seen them all. Compared is the verdict that the data carry whatever was claimed, empty for an absolute claim, and
// SaidLow and SaidHigh the interval that a bound may be said by: both are at 5 % over all claims together (Bonferroni), so that no
// sentence offered in a claim's place is one that would be open as a claim.
type ClaimFigures struct {
	Metric                string
	Cells, Games          int
	Estimate, Low, High   Value
	DF                    Value
	PFor, PSign, PAgainst Value
	Inside                bool
	HalfWidth             Value
	Verdict               Judged
	Compared              Verdict
	SaidLow, SaidHigh     Value
	Needed                Repeats // launches a side that settle it, for an open claim
	Why                   string  // there is no spread, or no data
	Thin                  bool
	SessionSpread         SessionSpread
	Looks                 int

	hope     Hope
	absolute bool
	exact    bool                              // of facts, which have no uncertainty
	offer    func(c *ClaimFigures, claims int) // fills Compared, SaidLow and SaidHigh
}

// Leaning says whether the estimate lies inside what is claimed: "for" or "against" for an open claim with an estimate, else empty.
func (c ClaimFigures) Leaning() string {
	switch {
	case c.Verdict != Open || !c.Estimate.OK:
		return ""
	case c.Inside:
		return "for"
	}
	return "against"
}

// evidence is the estimate on the scale and how it is tested: above and below are one-sided p against values up to, and from, an edge.
type evidence struct {
	d            float64
	above, below func(edge float64) float64
	interval     func(tail float64) (low, high float64)
	verdict      func(looks int) Verdict // of the difference, whatever is claimed
}

// Claim sets a hope beside the cells it names: a difference where absolute is false, else the figure of Of alone. Pairs without a
// figure on a side must not be among them; without any there are no data.
func Claim(m Metric, h Hope, absolute bool, pairs []Pair, u SessionSpread, margin Margin) ClaimFigures {
	c := ClaimFigures{Metric: m.Name, Cells: len(pairs), SessionSpread: u, Looks: 1, hope: h, absolute: absolute, Verdict: Open}
	if len(pairs) == 0 {
		c.absent("no cell has a figure")
		return c
	}
	for _, p := range pairs {
		c.Looks = max(c.Looks, looksAt(p.Of, p.Base))
		c.Thin = c.Thin || slices.Contains(p.Of.Flags, FlagThin) || slices.Contains(p.Base.Flags, FlagThin)
	}
	var e evidence
	switch {
	case m.Scale == Count:
		e = c.counted(m, pairs)
	case m.Scale == Ratio || m.Scale == Difference:
		e = c.measured(m, pairs, margin)
	default:
		c.absent(m.Name + " is not averaged over passes")
		return c
	}
	r := m.region(h, absolute, margin)
	c.Inside = r.holds(e.d)
	if c.Why != "" {
		c.noTest(c.Why)
		return c
	}
	low, high := e.interval(0.025 / float64(c.Looks))
	c.Low, c.High = c.shown(m, low), c.shown(m, high)
	switch {
	case !c.Low.OK:
		c.HalfWidth = c.Low
	case !c.High.OK:
		c.HalfWidth = c.High
	default:
		c.HalfWidth = Known(c.High.X/2 - c.Low.X/2)
	}
	c.test(r, e)
	c.offer = func(c *ClaimFigures, claims int) {
		low, high := e.interval(0.025 / float64(c.Looks*claims))
		c.SaidLow, c.SaidHigh = c.shown(m, low), c.shown(m, high)
		if !c.absolute {
			c.Compared = e.verdict(c.Looks * claims)
		}
	}
	return c
}

func (c *ClaimFigures) absent(why string) {
	none := Absent(why)
	c.Verdict, c.Why, c.Estimate = NoData, why, none
	c.noTest(why)
}

func (c *ClaimFigures) noTest(why string) {
	none := Absent(why)
	c.Low, c.High, c.SaidLow, c.SaidHigh, c.HalfWidth, c.DF, c.PFor, c.PSign, c.PAgainst = none, none, none, none, none, none, none, none, none
}

// shown returns a value on the scale as the claim states it.
func (c *ClaimFigures) shown(m Metric, y float64) Value {
	switch {
	case math.IsNaN(y):
		return Absent("no events on either side")
	case m.Scale == Difference:
		return Known(y)
	case math.IsInf(y, 1):
		return Absent("no upper limit: no events on the other side")
	case c.absolute:
		return Known(math.Exp(y))
	}
	return Known(100 * math.Expm1(y))
}

// measured is the evidence of means: the difference, or the figure, averaged over games.
func (c *ClaimFigures) measured(m Metric, pairs []Pair, margin Margin) evidence {
	var parts []part
	for _, p := range pairs {
		sides := []CellStat{p.Of, p.Base}
		if c.absolute {
			sides = sides[:1]
			parts = append(parts, partOf(p.Game, p.Of))
		} else {
			parts = append(parts, partBetween(p.Game, p.Of, p.Base))
		}
		if i := slices.IndexFunc(sides, func(s CellStat) bool { return !s.ShownVariance.OK }); i >= 0 && c.Why == "" {
			c.Why = p.Game + ": " + sides[i].ShownVariance.Why
		}
	}
	o := meanOverGames(parts)
	c.Games = len(o.games)
	c.Estimate = c.shown(m, o.d)
	e := total(append(o.errs, c.SessionSpread.term(o.sessions...))...)
	if c.Why == "" {
		c.DF, _ = e.figures(o.d, 1)
	}
	return evidence{o.d,
		func(edge float64) float64 { return above(o.d, edge, e) },
		func(edge float64) float64 { return below(o.d, edge, e) },
		func(tail float64) (float64, float64) { return o.d - e.half(tail), o.d + e.half(tail) },
		func(looks int) Verdict { return e.verdict(m, o.d, m.step(margin.Percent, margin.Points), looks) }}
}

// test fills the p values. A region with one or two edges is entered or left through the nearest; to lie between two, both must be
// tested, and each at the full level (the larger p). The looks that the error is split over multiply every p.
func (c *ClaimFigures) test(r region, e evidence) {
	looks := float64(c.Looks)
	between := max(e.above(r.low), e.below(r.high))
	switch {
	case c.hope.IsNear || c.hope.Same:
		c.PFor = Known(min(1, looks*between))
	case !math.IsInf(r.low, -1) && r.nearest(e.d) == r.low: // at most none has both edges at ln 0, and only the upper one to pass
		c.PFor = Known(min(1, 2*looks*e.above(r.low)))
	default:
		c.PFor = Known(min(1, 2*looks*e.below(r.high)))
	}
	c.PSign = Absent("the claim has no sign")
	if c.hope.IsNear && c.hope.Near != 0 && !c.absolute {
		wrong := e.above(0)
		if c.hope.Near < 0 {
			wrong = e.below(0)
		}
		c.PSign = Known(min(1, 2*looks*wrong))
	}
	c.PAgainst = Known(1)
	switch {
	case e.d < r.low:
		c.PAgainst = Known(min(1, 2*looks*e.below(r.low)))
	case e.d > r.high:
		c.PAgainst = Known(min(1, 2*looks*e.above(r.high)))
	}
}

// JudgeClaims gives the plan's claims their verdicts. Each kind of p is adjusted over the claims that have it by S. Holm's procedure
// (Scandinavian Journal of Statistics 6(2), 1979), so that one false word among all of them is as rare as 5 %.
func JudgeClaims(claims []ClaimFigures) {
	for _, of := range []func(*ClaimFigures) *Value{
		func(c *ClaimFigures) *Value { return &c.PFor },
		func(c *ClaimFigures) *Value { return &c.PSign },
		func(c *ClaimFigures) *Value { return &c.PAgainst },
	} {
		var ps []float64
		var at []*Value
		for i := range claims {
			if v := of(&claims[i]); v.OK {
				ps, at = append(ps, v.X), append(at, v)
			}
		}
		for i, p := range holm(ps) {
			at[i].X = p
		}
	}
	tested := 0
	for _, c := range claims {
		if c.PFor.OK {
			tested++
		}
	}
	for i := range claims {
		claims[i].judge()
		if claims[i].offer != nil {
			claims[i].offer(&claims[i], tested)
		}
	}
}

// holm returns adjusted p values in the same order: the i-th smallest of n times n − i + 1, never falling, at most 1.
func holm(ps []float64) []float64 {
	order := make([]int, len(ps))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case ps[a] < ps[b]:
			return -1
		case ps[a] > ps[b]:
			return 1
		}
		return 0
	})
	out := make([]float64, len(ps))
	last := 0.0
	for rank, i := range order {
		last = max(last, min(1, float64(len(ps)-rank)*ps[i]))
		out[i] = last
	}
	return out
}

const claimChance = 0.05

func (c *ClaimFigures) judge() {
	likely := func(v Value) bool { return v.OK && v.X <= claimChance }
	switch {
	case c.Verdict == NoData:
	case c.exact && c.Inside:
		c.Verdict = Supported
	case c.exact:
		c.Verdict = Contradicted
	case c.Thin:
		c.Verdict, c.Why = Open, "a low rests on fewer than 5 frames"
	case !c.Inside && likely(c.PAgainst):
		c.Verdict = Contradicted
	case c.Inside && likely(c.PFor):
		c.Verdict = Supported
	case c.Inside && c.hope.IsNear && c.HalfWidth.OK && c.tightEnough() && (c.absolute || likely(c.PSign)):
		c.Verdict = Fits
	default:
		c.Verdict = Open
	}
}

// tightEnough reports whether the interval is narrow enough for "about".
func (c *ClaimFigures) tightEnough() bool {
	if c.absolute {
		return c.HalfWidth.X <= c.hope.Within
	}
	return c.HalfWidth.X <= max(c.hope.Within, math.Abs(c.hope.Near)/2) && c.hope.Near != 0
}

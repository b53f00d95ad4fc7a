package compute

import (
	"math"
	"testing"
)

// Facts of the trade, common practice, no source: what a reviewer would say of these figures, from the passes to the sentence. The
// decimals are arithmetic: 344/323 = 1.0650, 357/344 = 1.0378, 1850/1730 = 1.0694.

// threeOf is a cell of k launches about a figure that spread by a percentage of it, from the least to the most.
func threeOf(m Metric, figure, spreadPct float64, k int) CellStat {
	xs := make([]float64, k)
	for i := range xs {
		xs[i] = figure * math.Exp(spreadPct/100*(float64(i)/float64(k-1)-0.5))
	}
	return Cell(m, launchesOf(xs...))
}

func TestPowerIsSpokenInWholePercent(t *testing.T) {
	m := Metric{Name: "mean_power_w", Unit: "W", Scale: Ratio}
	for _, c := range []struct {
		of, base, percent float64
		said              string
	}{{344, 323, 6.5, "7 percent"}, {357, 344, 3.8, "4 percent"}} {
		r := Compare(m, threeOf(m, c.of, 0.2, 3), threeOf(m, c.base, 0.2, 3), PlanSessionSpread(m, 0.2, 0), DefaultMargin)
		if math.Abs(r.Percent.X-c.percent) > 0.05 || r.Verdict != Behind {
			t.Errorf("%g W on %g: %.3f %%, %s", c.of, c.base, r.Percent.X, r.Verdict)
		}
		s := Speak(r.Verdict, r.Percent, r.Low, r.High)
		if s.Size() != c.said || !s.Higher || CalculatorDiffers(s, c.of, c.base, 0, 1) {
			t.Errorf("%g W on %g: %q, %+v", c.of, c.base, s.Size(), s)
		}
	}
}

func TestAClockIsNotFivePercentHigher(t *testing.T) {
	m := Metric{Name: "clock_mhz", Unit: "MHz", Scale: Ratio, HigherBetter: true}
	five, seven := Hope{Near: 5, Within: 1, IsNear: true}, Hope{Near: 7, Within: 1, IsNear: true}
	for _, k := range []int{2, 3, 10} {
		pairs := []Pair{{"fjord", threeOf(m, 1850, 0.2, k), threeOf(m, 1730, 0.2, k)}}
		for _, u := range []SessionSpread{noSessionSpread, PlanSessionSpread(m, 0.2, 0)} {
			claims := []ClaimFigures{Claim(m, five, false, pairs, u, DefaultMargin), Claim(m, seven, false, pairs, u, DefaultMargin)}
			JudgeClaims(claims)
			if c := claims[0]; c.Verdict != Contradicted || math.Abs(c.Estimate.X-6.936) > 0.001 {
				t.Errorf("%d launches, session spread %g: %s at %.3f %%, p against %v", k, u.U, c.Verdict, c.Estimate.X, c.PAgainst)
			}
			if c := claims[1]; c.Verdict != Supported && c.Verdict != Fits {
				t.Errorf("%d launches, session spread %g: 7 %% is %s", k, u.U, c.Verdict)
			}
		}
	}
}

// A card six percent ahead in one game and one frame ahead in another is not six percent faster, however it is put, and however
// often it was measured.
func TestOneGameIsNotAllGames(t *testing.T) {
	m := metric(t, "mean_fps")
	for _, k := range []int{3, 8} {
		pairs := []Pair{{"fjord", threeOf(m, 106, 0.2, k), threeOf(m, 100, 0.2, k)}, {"bazaar", threeOf(m, 158, 0.2, k), threeOf(m, 157, 0.2, k)}}
		for _, h := range []Hope{{Near: 6, Within: 1, IsNear: true}, {Low: 6, High: math.Inf(1)}} {
			claims := []ClaimFigures{Claim(m, h, false, pairs, PlanSessionSpread(m, 0.2, 0), DefaultMargin)}
			JudgeClaims(claims)
			if claims[0].Verdict != Contradicted {
				t.Errorf("%s by %d launches: %s at %.2f %%", h.In("%"), k, claims[0].Verdict, claims[0].Estimate.X)
			}
		}
		s := Summarise(m, pairs, PlanSessionSpread(m, 0.2, 0), DefaultMargin)
		// √(1.06·158/157) = 1.0329.
		if said := Speak(s.Verdict, s.Percent, s.TheseLow, s.TheseHigh).Size(); said != "3 percent" || s.Most.Game != "fjord" || s.LikeLow.OK {
			t.Errorf("%s over both, most in %s", said, s.Most.Game)
		}
		one := Compare(m, pairs[1].Of, pairs[1].Base, PlanSessionSpread(m, 0.2, 0), DefaultMargin)
		if said := Speak(Ahead, one.Percent, one.Low, one.High).Size(); said != "under one percent" {
			t.Errorf("one frame of 157 is %s", said)
		}
	}
}

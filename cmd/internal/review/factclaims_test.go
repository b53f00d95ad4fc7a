package review

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// claimText writes a claim of heron_x, against the other card where the expectation is of a difference.
func claimText(name, figure, expect string, against bool) string {
	text := fmt.Sprintf("claim %q {\n  %s\n  of     = card.heron_x.stock\n", name, strings.ReplaceAll(figure, "; ", "\n  "))
	if against {
		text += "  against = card.tern_ref.stock\n"
	}
	return text + "  expect = { " + expect + " }\n}\n"
}

const (
	uhd      = "where = { resolutions = [resolution.uhd], games = [game.fjord, game.bazaar] }"
	perFPS   = `metric = "price_per_fps"; price = { kind = "list" }; ` + uhd
	evenList = `metric = "break_even_price"; price = { kind = "list" }; ` + uhd
)

// By hand, from the plan above: 318 mm against 262, 1475 g against 1180 (25 %), 20 stages against 12, 600 EUR against 693, and frame rates
// √1.21 = 1.1 apart, so that break-even is at 660 EUR and a frame costs 5 % more. What a claim on facts finds is exact.
func TestClaimsOnFactsAndValue(t *testing.T) {
	for _, x := range []struct {
		figure, expect string
		against        bool
		want           compute.Judged
		found, said    string
	}{
		{`fact = "length_mm"`, `value = 56, unit = "mm"`, true, compute.Supported, "+56 mm", "Heron X is 56 mm longer than Tern 7."},
		{`fact = "length_mm"`, `at_least = 60, unit = "mm"`, true, compute.Contradicted, "+56 mm", "Heron X is 56 mm longer than Tern 7."},
		{`fact = "mass_g"`, `percent = 25, within = 1`, true, compute.Supported, "+25 %", "Heron X is 25 percent heavier than Tern 7."},
		{`fact = "power_stages"`, `value = 20, unit = "power_stages"`, false, compute.Supported, "20 power stages", "Heron X has 20 power stages."},
		{`fact = "memory_bandwidth_gbps"`, `at_least = 25`, true, compute.Supported, "+25 %",
			"The memory bandwidth of Heron X is 25 percent higher than that of Tern 7."},
		{`fact = "heatsink_share_pct"`, `value = 60, within = 1, unit = "%"`, false, compute.Supported, "60 %", "The heatsink share of the mass of Heron X is 60 %."},
		{`fact = "limit_temperature_c"`, `value = 2, unit = "K"`, true, compute.Supported, "+2 K",
			"The temperature limit of Heron X is 2 K higher than that of Tern 7."},
		{`fact = "limit_temperature_c"`, `same = true`, true, compute.Contradicted, "+2 K",
			"The temperature limit of Heron X is 2 K higher than that of Tern 7."},
		{`metric = "price"; price = { kind = "list" }`, `value = 93, unit = "EUR"`, true, compute.Supported, "+93 EUR",
			"Heron X costs 93 EUR more than Tern 7 at list price."},
		{`metric = "price"; price = { kind = "street" }`, `at_most = 650, unit = "EUR"`, false, compute.Contradicted, "659 EUR",
			"Heron X costs 659 EUR at street price."},
		{perFPS, `at_most = 10`, true, compute.Supported, "+5.0 % [2.1, 7.9]", "Heron X costs at least 2 percent more per frame than Tern 7 at list price in "},
		{perFPS, `percent = 5, within = 2`, true, compute.Open, "+5.0 % [2.1, 7.9]", "Heron X costs about 5 percent more per frame than Tern 7 at list price in "},
		{perFPS, `value = 14.2, within = 0.3, unit = "EUR/fps"`, false, compute.Fits, "14.02 EUR/fps [13.75, 14.30]",
			"Heron X costs about 14.02 EUR for each frame a second at list price in "},
		{evenList, `at_least = 630, unit = "EUR"`, true, compute.Supported, "660 EUR [642, 678]",
			"Heron X is worth it below 642 EUR, and not above 679 EUR, beside Tern 7 at a list price of 600 EUR in "},
		{evenList, `at_least = 700, unit = "EUR"`, true, compute.Contradicted, "660 EUR [642, 678]",
			"Heron X is worth it below 642 EUR, and not above 679 EUR, beside Tern 7 at a list price of 600 EUR in "},
		{evenList, `value = 655, within = 10, unit = "EUR"`, true, compute.Open, "660 EUR [642, 678]", "Heron X is worth it below "},
	} {
		r := worthReview(t, claimText("one", x.figure, x.expect, x.against))
		c := r.Claims[0]
		if c.Verdict != x.want || c.Found() != x.found || !strings.HasPrefix(c.Said, x.said) {
			t.Errorf("%s, %s: %s, %s, %q, because %q", x.figure, x.expect, c.Verdict, c.Found(), c.Said, c.Why)
		}
		if exact := strings.HasPrefix(x.figure, "fact") || strings.Contains(x.figure, `"price"`); exact == c.PFor.OK || exact == c.Low.OK || exact == (len(c.Cells) > 0) {
			t.Errorf("%s: %+v", x.figure, c.ClaimFigures)
		}
		row := claimRow(c)
		if row.Estimate == nil || row.Unit == "" || row.CILow != nil != c.Low.OK {
			t.Errorf("%s: %+v", x.figure, row)
		}
	}
}

// Facts are no tests: of three claims two share the error, and the p of those is doubled where they are alike (Holm).
func TestFactsShareNoError(t *testing.T) {
	even := claimText("even", evenList, `at_least = 640, unit = "EUR"`, true)
	alone := worthReview(t, even).Claims[0]
	all := worthReview(t, claimText("long", `fact = "length_mm"`, `value = 56, unit = "mm"`, true)+even+
		claimText("rate", `metric = "mean_fps"; `+uhd, fmt.Sprintf("at_least = %.17g", 100*(640/600.0-1)), true)).Claims
	if len(all) != 3 || all[0].PFor.OK || math.Abs(all[1].PFor.X/alone.PFor.X-2) > 1e-9 || math.Abs(all[2].PFor.X/all[1].PFor.X-1) > 1e-9 {
		t.Errorf("alone %+v, %+v", alone.PFor, []compute.Value{all[0].PFor, all[1].PFor, all[2].PFor})
	}
}

// Nor do they make an open claim need more launches, or the simulated reviews a harder case.
func TestFactsCostNoLaunches(t *testing.T) {
	open := claimText("even", evenList, `at_least = 655, unit = "EUR"`, true)
	alone := worthReview(t, open)
	beside := worthReview(t, claimText("long", `fact = "length_mm"`, `value = 56, unit = "mm"`, true)+open)
	if a, b := alone.Claims[0].Needed, beside.Claims[1].Needed; a != b {
		t.Errorf("alone %+v, beside a fact %+v", a, b)
	}
	if n := beside.design().Claims; n != 1 {
		t.Errorf("%d claims are simulated", n)
	}
}

// An open claim says what settles it, in launches for the ratio that is tested; the prices that it rests on stand beside it.
func TestWorthClaimsSayWhatTheyNeed(t *testing.T) {
	c := worthReview(t, claimText("even", evenList, `at_least = 655, unit = "EUR"`, true)).Claims[0]
	same := worthReview(t, claimText("rate", `metric = "mean_fps"; `+uhd, fmt.Sprintf("at_least = %.17g", 100*(655/600.0-1)), true)).Claims[0]
	if c.Verdict != compute.Open || c.Needed != same.Needed || c.Needed.Why == "" && !c.Needed.OK {
		t.Errorf("%s, needs %+v, the frame rate %+v", c.Verdict, c.Needed, same.Needed)
	}
	if want := "the price of tern_ref is 600.00 EUR: list, with tax, 2027-01-10"; !slices.Contains(c.Notes, want) {
		t.Errorf("%q", c.Notes)
	}
}

// A length is the card's whatever its mode, a limit is the mode's.
func TestWhoAFactIsSaidOf(t *testing.T) {
	r := worthReview(t, claimText("long", `fact = "length_mm"`, `value = 318, unit = "mm"`, false)+
		claimText("limit", `fact = "limit_power_w"`, `value = 300, unit = "W"`, false)+
		claimText("price", `metric = "price"; price = { kind = "street" }`, `value = 659, unit = "EUR"`, false))
	for i := range r.Plan.Cards {
		r.Plan.Cards[i].Modes = append(r.Plan.Cards[i].Modes, plan.CardMode{Name: "tuned"})
	}
	var said []string
	for i := range r.Claims {
		r.say(&r.Claims[i], nil)
		said = append(said, r.Claims[i].Said)
	}
	want := []string{"The length of Heron X is 318 mm.", "The power limit of Heron X (stock) is 300 W.", "Heron X costs 659 EUR at street price."}
	if !slices.Equal(said, want) {
		t.Errorf("%q", said)
	}
}

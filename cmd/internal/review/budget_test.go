package review

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

func near(t *testing.T, what string, got compute.Value, want float64) {
	t.Helper()
	if !got.OK || math.Abs(got.X-want) > 1e-9*math.Abs(want) {
		t.Errorf("%s: %.12g (%s), want %.12g", what, got.X, got.Why, want)
	}
}

// relaunched is the demo with passes 1 and 2 of fjord·plain uhd in one launch: six cells that tell pass and launch apart, fewer than it
// takes to lean on each other.
func relaunched(t *testing.T) *Review {
	dir := copied(t, "demo")
	name := filepath.Join(dir, "bench.csv")
	log, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(log), "\n")
	last, changed := "", 0
	for i, line := range lines {
		f := strings.Split(line, ",")
		if len(f) < 8 || f[3] != "fjord" || f[4] != "plain" || f[5] != "uhd" {
			continue
		}
		if f[6] == "2" {
			f[7] = last
			changed++
		}
		last = f[7]
		lines[i] = strings.Join(f, ",")
	}
	if changed != 6 {
		t.Fatalf("%d cells changed, want 6", changed)
	}
	if err := os.WriteFile(name, []byte(strings.Join(lines, "\n")), 0o666); err != nil {
		t.Fatal(err)
	}
	o := options(dir)
	o.Record, o.Keep = false, false
	return do(t, o)
}

// The formulas of definitions, section 5, written out on the passes' figures: within launches σ² = Σ(y₁ − y₂)²/2 over the six cells, of
// which launches of two passes and one keep 3/4. A start of fjord takes 2 min, a pass 33 s and a reset 45 s; mounting a card takes swap
// 15 min, pre-heat 5 min and a first launch 6 min, and the reference has the same driver.
func TestBudgetOfTheDemo(t *testing.T) {
	long(t)
	r := relaunched(t)
	of := plan.Key{Card: "heron_x", Mode: "tuned", Game: "fjord", Variant: "plain", Resolution: "uhd"}
	base := of
	base.Card, base.Mode = "tern_ref", "stock"
	within, cells := 0.0, 0.0
	for _, c := range r.Cells {
		if c.Cell.GameVariant() == of.GameVariant() && c.Cell.Resolution == "uhd" {
			p := r.PassesOf(c, Used)
			step := math.Log(p[0].Figures.MeanFPS.X) - math.Log(p[1].Figures.MeanFPS.X)
			within, cells = within+step*step/2, cells+1
		}
	}
	within /= cells
	a, _ := r.cell(of).Stat(headline)
	b, _ := r.cell(base).Stat(headline)
	d, _ := r.Against(of, base.CardMode(), headline)
	session := 2 * d.SessionSpread.U * d.SessionSpread.U
	launches := (a.ShownVariance.X + b.ShownVariance.X) / 2
	pass := (math.Min(0.75*within, a.ShownVariance.X) + math.Min(0.75*within, b.ShownVariance.X)) / 2
	square := launches + session

	got := r.Budget(of, base, headline)
	near(t, "standard error", got.SE, 100*math.Expm1(math.Sqrt(square)))
	near(t, "pass", got.Pass, pass/square)
	near(t, "launch", got.Launch, (launches-pass)/square)
	near(t, "session", got.Session, session/square)
	if got.From != 6 {
		t.Errorf("passes told by %d cells, want 6", got.From)
	}
	h := got.Cheapest
	k, n, s := float64(h.Launches), float64(h.Passes), float64(h.Sessions)
	price := 2 * ((k-2)*2 + math.Max(0, k*n-3)*1.3 + (s-1)*26)
	if !h.OK || math.Abs(h.Minutes-price) > 1e-9 {
		t.Errorf("%+v, want %g min", h, price)
	}

	near(t, "absolute", r.Budget(base, plan.Key{}, headline).SE, 100*math.Expm1(math.Sqrt(b.ShownVariance.X/2+session/2)))
	over := r.BudgetOver(headline, []BudgetPart{{of, base, 0.5}, {of, base, 0.5}}, d.SessionSpread)
	near(t, "a mean over two", over.SE, 100*math.Expm1(math.Sqrt(launches/2+session)))

	for name, b := range map[string]compute.Budget{
		"no such comparison": r.Budget(of, of, headline),
		"no such metric":     r.BudgetOver("mean", []BudgetPart{{of, base, 1}}, d.SessionSpread),
		"no such cell":       r.BudgetOver(headline, []BudgetPart{{Of: plan.Key{Card: "skua"}, Weight: 1}}, d.SessionSpread),
		"nothing":            r.BudgetOver(headline, nil, d.SessionSpread),
		"a thin low":         r.Budget(of, base, "low01_tail_mean_fps"),
		"a count":            r.Budget(of, base, "hitch_events"),
	} {
		if b.Why == "" || b.SE.OK {
			t.Errorf("%s: %+v", name, b)
		}
	}
}

// Two modes of one card are mounted once for both: their second session takes one mounting.
func TestModesOfOneCardShareMountings(t *testing.T) {
	r := &Review{Plan: &plan.Plan{Review: plan.Review{Takes: plan.DefaultTakes()}, Cards: []plan.Card{{Name: "heron_x"}, {Name: "skua", Vendor: "other"}},
		Games: []plan.Game{{Name: "fjord", Takes: plan.DefaultTakes()}}}}
	key := func(card, mode string) []plan.Key { return []plan.Key{{Card: card, Mode: mode, Game: "fjord"}} }
	for _, c := range []struct {
		of, base []plan.Key
		want     []float64 // swap 15, pre-heat 5, first launch 6, driver change 25
	}{
		{key("heron_x", "tuned"), key("heron_x", "stock"), []float64{26, 0}},
		{key("heron_x", "tuned"), key("skua", "stock"), []float64{51, 51}},
		{key("heron_x", "tuned"), nil, []float64{26}},
	} {
		got := r.budgetSides(headline, c.of, c.base)
		for i, want := range c.want {
			if len(got) != len(c.want) || got[i].Mount != want {
				t.Errorf("%v against %v: %+v, want mountings of %v min", c.of, c.base, got, c.want)
			}
		}
	}
}

package compute

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func fpsCell(t interface{ Fatalf(string, ...any) }, fps ...float64) CellStat {
	m, ok := MetricByName("mean_fps")
	if !ok {
		t.Fatalf("no mean_fps")
	}
	var samples []Sample
	for _, f := range fps {
		samples = append(samples, Sample{Value: Known(f), Minutes: 1})
	}
	return Cell(m, samples)
}

var list = Price{Amount: 600, Currency: "EUR", Kind: "list", Tax: true}

// By hand: two games, of which one was run at two resolutions. √(100·25) = 50 fps in the first, 72 in the second: √(50·72) = 60 fps, and
// 600 for 60 fps is 10 an fps. A mean over the three cells would be 56.5 fps (definitions, sections 4 and 6).
func TestPricePerFrameRateByHand(t *testing.T) {
	cells := []GameCell{{"fjord", fpsCell(t, 100, 100)}, {"fjord", fpsCell(t, 25, 25)}, {"bazaar", fpsCell(t, 72, 72)}}
	fps, _ := MetricByName("mean_fps")
	given := SessionSpread{U: math.Log(1.01), DF: math.Inf(1)}
	a := AverageOver(fps, cells, given)
	wantValue(t, "frame rate", a.Mean, 60, 1e-14)
	if a.Games != 2 || a.Cells != 3 || a.Why != "" {
		t.Errorf("%+v", a)
	}
	// Passes that do not vary leave the session spread of 1 %, once: a factor of 1.01^1.96 either way.
	factor := math.Pow(1.01, 1.959963984540054)
	wantValue(t, "low", a.Low, 60/factor, 1e-12)
	wantValue(t, "high", a.High, 60*factor, 1e-12)

	for i := range cells {
		cells[i].Cell = list.PerFrame(cells[i].Cell)
	}
	wantValue(t, "of one cell", cells[2].Cell.Mean, 600.0/72, 1e-14)
	p := AverageOver(PricePerFPS, cells, given)
	wantValue(t, "price per fps", p.Mean, 10, 1e-14)
	wantValue(t, "low", p.Low, 10/factor, 1e-12)
	wantValue(t, "high", p.High, 10*factor, 1e-12)
}

func TestAveragesThatCannotBeHad(t *testing.T) {
	fps, _ := MetricByName("mean_fps")
	hitches, _ := MetricByName("hitch_events")
	one := GameCell{"fjord", fpsCell(t, 60)}
	for want, a := range map[string]Average{
		"no game to average over":                     AverageOver(fps, nil, SessionSpread{}),
		"hitch_events is not averaged over games":     AverageOver(hitches, []GameCell{one}, SessionSpread{}),
		"fjord: no pass":                              AverageOver(fps, []GameCell{{"fjord", Cell(fps, nil)}}, SessionSpread{}),
		"fjord: a price is divided by the mean frame": AverageOver(PricePerFPS, []GameCell{{"fjord", list.PerFrame(Cell(hitches, nil))}}, SessionSpread{}),
		"fjord: the card has no price":                AverageOver(PricePerFPS, []GameCell{{"fjord", Price{}.PerFrame(one.Cell)}}, SessionSpread{}),
	} {
		if a.Mean.OK || a.Low.OK || !strings.HasPrefix(a.Why, want) {
			t.Errorf("%+v, want absent: %s", a, want)
		}
	}
	single := AverageOver(fps, []GameCell{one}, SessionSpread{})
	wantValue(t, "one launch", single.Mean, 60, 1e-14)
	if single.Low.OK || !strings.Contains(single.Why, "fjord: ") {
		t.Errorf("an interval of one launch: %+v", single)
	}
}

// Two prices differ in kind, currency or tax: refused. The same but for the amount: not.
func TestUnlikePrices(t *testing.T) {
	for want, change := range map[string]func(*Price){
		"one price in EUR, the other in USD":            func(p *Price) { p.Currency = "USD" },
		"one is a list price, the other a street price": func(p *Price) { p.Kind = "street" },
		"one price is with tax, the other without":      func(p *Price) { p.Tax = false },
		"prices of 600 and 0; both must be above 0":     func(p *Price) { p.Amount = 0 },
	} {
		other := list
		change(&other)
		if got := list.Unlike(other); !strings.HasPrefix(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
	cheaper := list
	cheaper.Amount = 500
	if why := list.Unlike(cheaper); why != "" {
		t.Errorf("refused: %s", why)
	}
}

// By hand: 8 % faster over games than a base of 600 is worth 648.
func TestBreakEvenByHand(t *testing.T) {
	fps, _ := MetricByName("mean_fps")
	pairs := []Pair{{"fjord", fpsCell(t, 108, 108), fpsCell(t, 100, 100)}}
	b := list.BreakEven(Summarise(fps, pairs, SessionSpread{U: math.Log(1.01), DF: math.Inf(1)}, DefaultMargin))
	wantValue(t, "break-even", b.Amount, 648, 1e-12)
	wantValue(t, "high", b.High, 648*math.Pow(1.01, math.Sqrt2*1.959963984540054), 1e-12)
	low1, _ := MetricByName("low1_quantile_fps")
	for _, none := range []BreakEven{list.BreakEven(Summarise(low1, nil, SessionSpread{}, DefaultMargin)),
		list.BreakEven(Summarise(fps, nil, SessionSpread{}, DefaultMargin)),
		Price{}.BreakEven(Summarise(fps, pairs, SessionSpread{}, DefaultMargin))} {
		if none.Amount.OK || none.Low.OK || none.High.OK || none.Amount.Why == "" {
			t.Errorf("%+v", none)
		}
	}
}

// At its break-even price a card costs as much per frame as the base; a price is a factor, so that the ratio of two prices per frame
// is that of the prices over that of the frame rates, with the same interval the other way round and the opposite verdict where the
// prices are alike.
func TestWorthAsRules(t *testing.T) {
	fps, _ := MetricByName("mean_fps")
	rapid.Check(t, func(t *rapid.T) {
		launches := rapid.Custom(func(t *rapid.T) []float64 {
			about := rapid.Float64Range(20, 400).Draw(t, "about")
			return rapid.SliceOfN(rapid.Float64Range(0.98*about, 1.02*about), 2, 4).Draw(t, "fps")
		})
		var pairs []Pair
		for _, game := range rapid.SliceOfN(rapid.SampledFrom([]string{"fjord", "bazaar", "kelp"}), 1, 6).Draw(t, "games") {
			pairs = append(pairs, Pair{game, fpsCell(t, launches.Draw(t, "of")...), fpsCell(t, launches.Draw(t, "base")...)})
		}
		u := SessionSpread{U: rapid.Float64Range(0, 0.02).Draw(t, "u"), DF: math.Inf(1)}
		base := Price{Amount: rapid.Float64Range(50, 5000).Draw(t, "price")}
		rates := Summarise(fps, pairs, u, DefaultMargin)
		priced := func(amount float64) Summary {
			out := slices.Clone(pairs)
			for i := range out {
				out[i].Of, out[i].Base = Price{Amount: amount}.PerFrame(out[i].Of), base.PerFrame(out[i].Base)
			}
			return Summarise(PricePerFPS, out, u, DefaultMargin)
		}
		even := base.BreakEven(rates)
		if !even.Amount.OK || !even.Low.OK || even.Low.X > even.Amount.X || even.High.X < even.Amount.X {
			t.Fatalf("%+v", even)
		}
		if s := priced(even.Amount.X); !within(s.Percent.X, 0, 1e-9) {
			t.Fatalf("at %+v a frame costs %+v %% more", even.Amount, s.Percent)
		}
		amount := rapid.Float64Range(50, 5000).Draw(t, "other price")
		s := priced(amount)
		if want := amount / base.Amount / rates.Ratio.X; !agree(s.Ratio.X, want, 1e-12) ||
			!agree(1+s.TheseHigh.X/100, amount/base.Amount/(1+rates.TheseLow.X/100), 1e-9) {
			t.Fatalf("%+v of rates %+v", s, rates)
		}
		if same := priced(base.Amount); same.Verdict != rates.Verdict && same.Verdict != Level {
			t.Fatalf("a frame at the same price is %q, the frame rate %q", same.Verdict, rates.Verdict)
		}
	})
}

// JEDEC's module names, from memory, and arithmetic; exact.
func TestMemoryBandwidth(t *testing.T) {
	rows := referenceRows(t, "memory_bandwidth.csv")
	for _, r := range rows {
		if got := MemoryBandwidth(parse(t, r[0])/1000, int(parse(t, r[1]))); !got.OK || got.X != parse(t, r[3]) {
			t.Errorf("%s MT/s over %s bits: %+v, want %s GB/s", r[0], r[1], got, r[3])
		}
	}
	if len(rows) != 8 {
		t.Errorf("%d rows", len(rows))
	}
	for _, none := range []Value{MemoryBandwidth(0, 256), MemoryBandwidth(20, 0), MemoryBandwidth(math.NaN(), 256)} {
		if none.OK || !strings.Contains(none.Why, "both must be above 0") {
			t.Errorf("%+v", none)
		}
	}
}

// 8 + 6 + 4 phases of which two carry two stages make 20 stages (common practice, no source).
func TestStagesOfPhases(t *testing.T) {
	if got := Stages([]Phases{{8, 1}, {6, 1}, {2, 1}, {2, 2}}); got != Known(20) {
		t.Errorf("%+v", got)
	}
	for _, groups := range [][]Phases{nil, {{8, 0}}, {{-1, 1}}} {
		if got := Stages(groups); got.OK || got.Why == "" {
			t.Errorf("%v: %+v", groups, got)
		}
	}
}

func TestFactRatio(t *testing.T) {
	wantValue(t, "masses", FactRatio(Known(1475), Known(1180)), 1.25, 0)
	for want, got := range map[string]Value{
		"not weighed":                 FactRatio(Absent("not weighed"), Known(1)),
		"the other side: not weighed": FactRatio(Known(1), Absent("not weighed")),
		"the other side is 0; a ratio needs a value above 0": FactRatio(Known(1), Known(0)),
	} {
		if got.OK || got.Why != want {
			t.Errorf("%+v, want absent: %s", got, want)
		}
	}
}

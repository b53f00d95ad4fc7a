package review

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

const worthPlan = `review "worth" { baseline = card.tern_ref.stock }
card "tern_ref" {
  name   = "Tern 7"
  vendor = "v"
  driver = "1"
  price = [
    { amount = 600, currency = "EUR", kind = "list", tax = true, on = "2027-01-10" },
    { amount = 629, currency = "EUR", kind = "list", tax = true, on = "2026-09-10" },
    { amount = 480, currency = "EUR", kind = "street", tax = false },
  ]
  memory     = { rate_gtps = 16, bus_bits = 256 }
  body       = { length_mm = 262, slots = 2, mass_g = 1180 }
  phases     = [{ feeds = "core", count = 8 }, { feeds = "memory", count = 4 }]
  mode "stock" { limit = { power_w = 250, temperature_c = 88 } }
}
card "heron_x" {
  name   = "Heron X"
  vendor = "v"
  driver = "1"
  price = [
    { amount = 693, currency = "EUR", kind = "list", tax = true, on = "2027-01-12" },
    { amount = 659, currency = "EUR", kind = "street", place = "the quay", tax = true },
  ]
  memory     = { rate_gtps = 20, bus_bits = 256 }
  body       = { length_mm = 318, slots = 3, mass_g = 1475 }
  parts_g    = { heatsink = 885 }
  connectors = { power_8_pin = 2 }
  phases = [
    { feeds = "core", count = 6 },
    { feeds = "core", count = 2, stages_each = 2 },
    { feeds = "second rail", count = 6 },
    { feeds = "memory", count = 4 },
  ]
  mode "stock" { limit = { power_w = 300, temperature_c = 90 } }
}
resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }
matrix { repeats = 2 }
statistics { session_spread = "1%" }
files "all" {
  path       = "{card}-{game}-{resolution}-{repeat}.csv"
  text       = { comment = "#" }
  frame_time = { column = "time_ms", unit = "ms" }
}
`

// Frame times in ms of the first card and the second. The second is faster by 21 % in fjord and not at all in bazaar, and something else
// sets the pace in kelp.
var worthMS = map[string][2]float64{
	"fjord-qhd": {11.011, 9.1}, "fjord-uhd": {23.595, 19.5}, "bazaar-qhd": {13, 13}, "bazaar-uhd": {21, 21}, "kelp-qhd": {14.5, 14.5}, "kelp-uhd": {14.6, 14.6},
}

// worthReview works out the plan with more of it, on captures that do not vary at all: intervals are those of the stated session spread.
func worthReview(t *testing.T, more string) *Review {
	t.Helper()
	dir := t.TempDir()
	text := worthPlan + more
	for _, game := range []string{"fjord", "bazaar", "kelp"} {
		text += fmt.Sprintf("game %q {\n  build = \"1\"\n  scene = \"s\"\n  drive = \"built-in\"\n  keep  = \"all\"\n}\n", game)
	}
	write := func(name, content string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	write("plan.hcl", text)
	for cell, ms := range worthMS {
		for i, card := range []string{"tern_ref", "heron_x"} {
			for pass := 1; pass <= 2; pass++ {
				name := fmt.Sprintf("%s-%s-%d.csv", card, cell, pass)
				write(name, "# "+name+"\ntime_ms\n"+strings.Repeat(fmt.Sprintf("%g\n", ms[i]), 200))
			}
		}
	}
	r, err := Do(context.Background(), Options{Plans: []string{dir}, Now: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Log: zerolog.New(io.Discard)})
	if err != nil || !r.Ready && len(r.Contradicted()) == 0 {
		t.Fatalf("%v: %v", err, r.Findings)
	}
	return r
}

var heronX, ternRef = plan.Mode{Card: "heron_x", Mode: "stock"}, plan.Mode{Card: "tern_ref", Mode: "stock"}

// benchFigure finds the one figure of that name and unit which a condition holds for.
func benchFigure(t *testing.T, r *Review, of, base plan.Mode, name, unit string, is func(BenchFigure) bool) BenchFigure {
	t.Helper()
	var found []BenchFigure
	for _, f := range r.Bench {
		if f.Of == of && f.Base == base && f.Name == name && f.Unit == unit && (is == nil || is(f)) {
			found = append(found, f)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d of %v against %v: %s %s", len(found), of, base, name, unit)
	}
	return found[0]
}

// Arithmetic by hand, and facts of the trade: 8 + 6 + 4 phases of which two carry two stages make 20 stages (common practice, no source);
// a memory that moves 20 GT/s over 256 bits moves 640 GB/s.
func TestFactsByHand(t *testing.T) {
	r := worthReview(t, "")
	heron, tern := plan.Mode{Card: "heron_x"}, plan.Mode{Card: "tern_ref"}
	for _, x := range []struct {
		of, base   plan.Mode
		name, unit string
		want       float64
	}{
		{heron, plan.Mode{}, "phases", "", 18}, {heron, plan.Mode{}, "power_stages", "", 20}, {heron, plan.Mode{}, plan.Bandwidth, "GB/s", 640},
		{heron, plan.Mode{}, "heatsink_share_pct", "%", 60}, {heron, plan.Mode{}, "connector_power_8_pin", "", 2}, {heron, plan.Mode{}, "slots", "", 3},
		{heron, tern, "length_mm", "mm", 56}, {heron, tern, "mass_g_ratio", "", 1.25}, {heron, tern, plan.Bandwidth + "_ratio", "", 1.25},
		{heron, tern, "power_stages", "", 8}, {heron, tern, plan.Bandwidth, "GB/s", 128},
		{heronX, plan.Mode{}, "limit_power_w", "W", 300}, {heronX, ternRef, "limit_power_w", "W", 50}, {heronX, ternRef, "limit_power_w_ratio", "", 1.2},
		{heronX, plan.Mode{}, "limit_temperature_c", "°C", 90}, {heronX, ternRef, "limit_temperature_c", "K", 2},
		{heron, tern, "price", "EUR", 93},
	} {
		f := benchFigure(t, r, x.of, x.base, x.name, x.unit, func(f BenchFigure) bool { return f.Value.OK })
		if math.Abs(f.Value.X-x.want) > 1e-12 || f.U.Standard.OK || !strings.HasPrefix(f.U.Standard.Why, "exact") || f.Source == "" {
			t.Errorf("%v against %v: %s is %+v, want %g", x.of, x.base, x.name, f, x.want)
		}
	}
	for _, f := range r.Bench {
		if f.Name == "limit_temperature_c_ratio" || f.Of.Card == f.Base.Card || f.Base != (plan.Mode{}) && strings.HasPrefix(f.Name, "heatsink") {
			t.Errorf("%+v", f)
		}
	}
}

// Every price is there with its kind, tax, place and date; unlike ones are set against nothing, and say why.
func TestPricesAreAllThere(t *testing.T) {
	r := worthReview(t, "")
	var notes []string
	for _, f := range r.Bench {
		if f.Name == "price" && f.Base == (plan.Mode{}) {
			notes = append(notes, fmt.Sprintf("%s %g %s: %s", f.Of.Card, f.Value.X, f.Unit, f.Note))
		}
	}
	want := []string{"tern_ref 600 EUR: list, with tax, 2027-01-10", "tern_ref 629 EUR: list, with tax, 2026-09-10", "tern_ref 480 EUR: street, without tax",
		"heron_x 693 EUR: list, with tax, 2027-01-12", "heron_x 659 EUR: street, with tax, the quay"}
	if !slices.Equal(notes, want) {
		t.Errorf("%q", notes)
	}
	street := func(f BenchFigure) bool { return f.Worth.Price.Kind == "street" && f.Worth.Resolution == "uhd" }
	f := benchFigure(t, r, heronX, ternRef, "price_per_fps", "%", street)
	if f.Value.OK || f.Value.Why != "one price is with tax, the other without" || f.Worth.Verdict != "" || f.Worth.Low.OK {
		t.Errorf("%+v %+v", f, f.Worth)
	}
	if own := benchFigure(t, r, heronX, plan.Mode{}, "price_per_fps", "EUR/fps", street); !own.Value.OK {
		t.Errorf("%+v", own)
	}
	var even []string
	for _, f := range r.Bench {
		if f.Name == "break_even_price" && f.Worth.Resolution == "uhd" {
			even = append(even, f.Note)
		}
	}
	if len(even) != 2 || !strings.HasPrefix(even[1], "street, without tax; over ") {
		t.Errorf("break-even prices follow from the base's prices: %q", even)
	}
}

// By hand: 21 % ahead in one game and level in the other are √1.21 = 1.1 over both (kelp is limited elsewhere), so that a card is worth
// 1.1 times the base's 600: 660. At 693 a frame costs 693/660 − 1 = 5 % more. Passes that do not vary leave the stated session spread of
// 1 %, of both sides: a factor of 1.01^(√2·1.96) either way, of one side 1.01^1.96 (definitions, sections 4 and 6).
func TestWorthByHand(t *testing.T) {
	r := worthReview(t, "")
	list := func(size string) func(BenchFigure) bool {
		return func(f BenchFigure) bool { return f.Worth.Price.Kind == "list" && f.Worth.Resolution == size }
	}
	const z = 1.959963984540054
	both, one := math.Pow(1.01, math.Sqrt2*z), math.Pow(1.01, z)
	check := func(what string, got compute.Value, want float64) {
		t.Helper()
		if !got.OK || math.Abs(got.X/want-1) > 1e-9 {
			t.Errorf("%s: %+v, want %.12g", what, got, want)
		}
	}
	rate := math.Sqrt(1000 / 19.5 * 1000 / 21)
	own := benchFigure(t, r, heronX, plan.Mode{}, "price_per_fps", "EUR/fps", list("uhd"))
	check("per frame", own.Value, 693/rate)
	check("low", own.Worth.Low, 693/rate/one)
	check("high", own.Worth.High, 693/rate*one)
	base := benchFigure(t, r, ternRef, plan.Mode{}, "price_per_fps", "EUR/fps", list("uhd"))
	check("of the base", base.Value, 600/math.Sqrt(1000/23.595*1000/21))

	d := benchFigure(t, r, heronX, ternRef, "price_per_fps", "%", list("uhd"))
	check("percent", d.Value, 5)
	check("low", d.Worth.Low, 100*(1.05/both-1))
	check("high", d.Worth.High, 100*(1.05*both-1))
	check("of the base in the same cells", d.Worth.OfBase, base.Value.X)
	if d.Worth.Verdict != compute.Behind || d.Worth.Games != 2 || d.N != 2 || len(d.Worth.LeftOut) != 1 || d.Worth.LeftOut[0].Why != "limited elsewhere" {
		t.Errorf("%+v %+v", d, d.Worth)
	}
	if want := "list, with tax, 2027-01-12; over bazaar·plain uhd and fjord·plain uhd; without kelp·plain uhd, limited elsewhere"; !sameWords(d.Note, want) {
		t.Errorf("%q, want %q", d.Note, want)
	}

	e := benchFigure(t, r, heronX, ternRef, "break_even_price", "EUR", list("uhd"))
	check("break-even", e.Value, 660)
	check("low", e.Worth.Low, 660/both)
	check("high", e.Worth.High, 660*both)
	all := benchFigure(t, r, heronX, ternRef, "break_even_price", "EUR", list(""))
	check("over both resolutions", all.Value, 660)
	if all.N != 4 || all.Worth.Games != 2 {
		t.Errorf("%+v %+v", all, all.Worth)
	}
}

// What is archived has the price in columns of its own, with kind, tax, place and date; a fact is a row without them. Text that stands for a
// number is none here, and every row without a value says why.
func TestReadingRows(t *testing.T) {
	var got []string
	text := func(p *string) string {
		if p == nil {
			return "–"
		}
		return *p
	}
	for _, row := range worthReview(t, "").tables().Readings {
		if row.Value == nil && (row.Why == nil || *row.Why == "") {
			t.Errorf("no value, and no reason: %+v", row)
		}
		if row.Value == nil || row.Mode == nil && row.Figure != "price" && row.Figure != "mass_g_ratio" || row.Resolution != nil && *row.Resolution == "qhd" {
			continue
		}
		price := "–"
		if row.Price != nil {
			price = fmt.Sprintf("%g %s %s %t %s %s", *row.Price, *row.PriceCurrency, *row.PriceKind, *row.PriceTax, text(row.PricePlace), text(row.PriceOn))
		}
		over := "–"
		if row.Games != nil {
			over = fmt.Sprintf("%d games, %d left out at %s", *row.Games, *row.LeftOut, text(row.Resolution))
		}
		got = append(got, fmt.Sprintf("%s %s against %s: %s %.6g %s; %s; %s; %s", row.Card, text(row.Mode), text(row.BaseCard), row.Figure, *row.Value, row.Unit, price, over,
			text(row.Verdict)))
	}
	for _, want := range []string{
		"heron_x – against tern_ref: mass_g_ratio 1.25 ; –; –; –",
		"heron_x stock against tern_ref: limit_power_w 50 W; –; –; –",
		"heron_x – against –: price 659 EUR; 659 EUR street true the quay –; –; –",
		"heron_x – against tern_ref: price 93 EUR; 693 EUR list true – 2027-01-12; –; –",
		"heron_x stock against tern_ref: break_even_price 660 EUR; 600 EUR list true – 2027-01-10; 2 games, 1 left out at uhd; –",
		"heron_x stock against tern_ref: price_per_fps 5 %; 693 EUR list true – 2027-01-12; 2 games, 1 left out at uhd; behind",
		"heron_x stock against tern_ref: break_even_price 660 EUR; 600 EUR list true – 2027-01-10; 2 games, 2 left out at –; –",
	} {
		if !slices.Contains(got, want) {
			t.Errorf("no row is %q among\n%s", want, strings.Join(got, "\n"))
		}
	}
}

// sameWords compares sentences whatever the order of their words.
func sameWords(a, b string) bool {
	x, y := strings.FieldsFunc(a, notLetter), strings.FieldsFunc(b, notLetter)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}

func notLetter(r rune) bool { return strings.ContainsRune(" ,;", r) }

// The published bandwidths (JEDEC's module names, from memory, and arithmetic) through the plan and the review.
func TestBandwidthsThroughTheReview(t *testing.T) {
	raw, err := os.ReadFile("../../../testdata/reference/memory_bandwidth.csv")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(raw)), "\n")[1:]
	text, want := "", map[string]string{}
	for i, line := range lines {
		f := strings.Split(line, ",")
		name := fmt.Sprintf("card_%d", i)
		text += fmt.Sprintf("card %q {\n  vendor = \"v\"\n  driver = \"1\"\n  memory = { rate_gtps = %s / 1000, bus_bits = %s }\n}\n", name, f[0], f[1])
		want[name] = f[3]
	}
	r := soaked(t, t.TempDir(), text)
	for name, gbps := range want {
		f := benchFigure(t, r, plan.Mode{Card: name}, plan.Mode{}, plan.Bandwidth, "GB/s", nil)
		if fmt.Sprint(f.Value.X) != gbps {
			t.Errorf("%s: %v, want %s GB/s", name, f.Value, gbps)
		}
	}
	if len(want) != 8 {
		t.Errorf("%d rows", len(want))
	}
}

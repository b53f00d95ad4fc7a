package plan

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

const spring = "../testdata/plan/valid/spring"

// load reads a plan that must have no errors.
func load(t *testing.T, paths ...string) *Plan {
	t.Helper()
	p, findings, err := Load(paths, testNow)
	if err != nil || findings.HasErrors() {
		var b strings.Builder
		_ = finding.Print(&b, findings)
		t.Fatalf("error %v, findings:\n%s", err, b.String())
	}
	return p
}

// same compares a decoded part with what its text says, places apart.
func same(t *testing.T, what string, want, got any) {
	t.Helper()
	if diff := cmp.Diff(want, got, cmpopts.IgnoreTypes(finding.Place{})); diff != "" {
		t.Errorf("%s (-expected +got):\n%s", what, diff)
	}
}

// write puts plan files into a folder of their own.
func write(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// TestSpring holds the decoded example against its text, field by field. Expected values are read off the HCL by eye.
func TestSpring(t *testing.T) {
	p := load(t, spring)
	day := func(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 23, 59, 59, 0, time.UTC) } // a date means its end
	takes := DefaultTakes()
	fjordTakes := takes
	fjordTakes.Startup = 3 * time.Minute
	accept := Accept{MinLength: 55 * time.Second, MaxSpread: 3}

	same(t, "review", Review{Name: "spring-roundup", Title: "Spring round-up: two partner cards against the reference",
		Due: time.Date(2027, 3, 4, 14, 0, 0, 0, time.UTC), Rig: "bench_a", Baseline: Mode{"tern_ref", "stock"}, Archive: "archive",
		BenchDay: 8 * time.Hour, Takes: takes}, p.Review)
	same(t, "rigs", []Rig{{Name: "bench_a", DisplayHz: 144, Fixed: []Pair{{"cpu", "16 cores"}, {"memory", "64 GB"}, {"os", "11.4"},
		{"resizable_memory_access", "true"}, {"power_plan", "high"}, {"display_hz", "144"}, {"enclosure", "closed case"}},
		Notes: []Pair{{"chair", "archived, never compared"}}}}, p.Rigs)
	same(t, "cards", []Card{
		{Name: "tern_ref", Title: "Tern 7 reference", Vendor: "tern", Driver: "612.4",
			Sample: Sample{Origin: "lent by maker", HereFrom: day(2027, 2, 20), Leaves: day(2027, 3, 1)},
			Prices: []Price{{Amount: 589, Currency: "EUR", Kind: "list", Tax: true, On: day(2027, 2, 20)}},
			Memory: &Memory{RateGTps: 20, BusBits: 256},
			Body:   []Number{{"length_mm", 262}, {"slots", 2}, {"mass_g", 1180}},
			Modes: []CardMode{{Name: "stock"}, {Name: "tuned", Raises: []Number{{"core_mhz", 90}, {"memory_mhz", 700}, {"power_pct", 10}}},
				{Name: "quiet", Firmware: "quiet"}}},
		{Name: "heron_x", Title: "Heron X", Vendor: "heron", Driver: "27.2",
			Sample: Sample{Origin: "lent by maker", HereFrom: day(2027, 2, 21), Leaves: day(2027, 2, 27)},
			Modes:  []CardMode{{Name: "stock"}, {Name: "tuned", Raises: []Number{{"power_pct", 15}}}}},
	}, p.Cards)
	same(t, "games", []Game{
		{Name: "fjord", Title: "Fjord Run", Build: "1.8.2", Scene: "harbour flyover", Drive: BuiltIn,
			Keep: Keep{Warmup: 10 * time.Second, Length: time.Minute}, Takes: fjordTakes, Accept: accept,
			Variants: []Variant{
				{Name: "plain", Group: "rasterised", Settings: []Pair{{"preset", "highest"}, {"api", "third"}}},
				{Name: "rays_up", Group: "ray traced", Settings: []Pair{{"ray_tracing", "high"}, {"upscaler", "quality"}, {"generated_frames", "0"}}}}},
		{Name: "bazaar", Title: "bazaar", Drive: ByHand, Keep: Keep{Warmup: 5 * time.Second, Length: time.Minute}, Takes: takes, Accept: accept,
			Variants: []Variant{{Name: "plain", Group: "rasterised"}}},
	}, p.Games)
	same(t, "resolutions", []Resolution{{Name: "qhd", Width: 2560, Height: 1440}, {Name: "uhd", Width: 3840, Height: 2160}}, p.Resolutions)
	same(t, "matrices", []Matrix{{
		Modes:       []Mode{{"tern_ref", "stock"}, {"heron_x", "stock"}, {"heron_x", "tuned"}},
		Games:       []GameVariant{{"fjord", "plain"}, {"fjord", "rays_up"}, {"bazaar", "plain"}},
		Resolutions: []string{"qhd", "uhd"}, Repeats: 3, Launches: 3,
		Waives: []Waive{{Modes: []Mode{{"heron_x", "tuned"}}, Games: []GameVariant{{"bazaar", "plain"}}, Reason: "tuned profile is for the soak only"}},
	}}, p.Matrices)
	same(t, "files", []Files{{Name: "bench_log", Path: "captures/{card}-{mode}/{game}_{resolution}_{repeat}.csv",
		Text:      Text{Delimiter: ",", Decimal: ".", Encoding: "auto", Comment: "#"},
		FrameTime: &Column{Name: "frame_ms", Unit: "ms"}, KeepRows: &KeepRows{Column: Column{Name: "process"}, Equals: "fjord"},
		MeasuredAt: "present", Extra: []Extra{{Key: "submit", Column: Column{Name: "submit_ms", Unit: "ms"}}}}}, p.Files)
	same(t, "accept", accept, p.Accept)
	same(t, "voids", []Void{{Path: "captures/heron_x-stock/fjord_uhd_2.csv", Reason: "update started in the background"}}, p.Voids)
	same(t, "vouches", []Vouch{{Cell: Key{"heron_x", "stock", "bazaar", "plain", "qhd"}, Reason: "host-limited scene; spread is real"}}, p.Vouches)
	same(t, "controls", []Control{{Cell: Key{"tern_ref", "stock", "fjord", "plain", "qhd"}}}, p.Controls)
	same(t, "claims", []Claim{{Name: "uhd_lead", Says: "about five percent faster at 2160p", Metric: "mean_fps", Of: Mode{"heron_x", "stock"},
		Against: &Mode{"tern_ref", "stock"}, Resolutions: []string{"uhd"}, Expect: []Number{{"percent", 5}, {"within", 1}}, Unit: "%"}}, p.Claims)
	same(t, "statistics", Statistics{Quantile: 7, Lows: "quantile", MarginPct: 1, MarginK: 1, MarginDB: 1, SpreadPct: 0.2, SpreadK: 0.5, SpreadDB: 0.5,
		ExpectedSpreadPct: 0.5, QuantileWritten: true, MarginWritten: true, SessionSpreadWritten: true, LowsChosen: true}, p.Statistics)
}

func TestSpringCells(t *testing.T) {
	p := load(t, spring)
	// Three modes, three variants, two resolutions: card by card as declared, then game by game, then resolution.
	var want []Cell
	for _, m := range []Mode{{"tern_ref", "stock"}, {"heron_x", "stock"}, {"heron_x", "tuned"}} {
		for _, g := range []GameVariant{{"fjord", "plain"}, {"fjord", "rays_up"}, {"bazaar", "plain"}} {
			for _, r := range []string{"qhd", "uhd"} {
				c := Cell{Key: Key{m.Card, m.Mode, g.Game, g.Variant, r}, Repeats: 3, Launches: 3}
				if m.Mode == "tuned" && g.Game == "bazaar" {
					c.Waived = "tuned profile is for the soak only"
				}
				want = append(want, c)
			}
		}
	}
	if diff := cmp.Diff(want, p.Cells); diff != "" {
		t.Errorf("cells (-expected +got):\n%s", diff)
	}
}

func TestPlacesPointAtTheText(t *testing.T) {
	p := load(t, spring)
	for _, c := range []struct {
		what  string
		place finding.Place
		text  string // under the marks
	}{
		{"driver", p.Cards[0].DriverPlace, `"612.4"`},
		{"leaves", p.Cards[0].Sample.LeavesPlace, `"2027-03-01"`},
		{"path", p.Files[0].PathPlace, `"captures/{card}-{mode}/{game}_{resolution}_{repeat}.csv"`},
		{"void", p.Voids[0].Place, `"captures/heron_x-stock/fjord_uhd_2.csv"`},
		{"due", p.Review.DuePlace, `"2027-03-04T14:00:00Z"`},
	} {
		line := []rune(c.place.Source)
		if got := string(line[c.place.Column-1 : c.place.EndColumn-1]); got != c.text {
			t.Errorf("%s: place marks %q, want %q", c.what, got, c.text)
		}
	}
}

func TestColumnsCountCharacters(t *testing.T) {
	// Before the fault stand a byte order mark, a letter of two bytes, an ideograph of three, and an e with a combining accent,
	// which HCL counts as one column and we as two characters. Lines end with CR LF.
	dir := write(t, map[string]string{"p.hcl": "\ufeffcard \"x\" {\r\n  vendor = [\"é世e\u0301\", 7, bad.ref]\r\n}\r\n"})
	_, findings, err := Load([]string{dir}, testNow)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(findings, func(f finding.Finding) bool { return f.Summary == "Unknown kind of reference" })
	if i < 0 {
		t.Fatalf("not found in %v", findings)
	}
	// `  vendor = [` is 12 characters, `"é世é", ` 8, `7, ` 3.
	want := finding.Place{File: filepath.Join(dir, "p.hcl"), Line: 2, Column: 24, EndColumn: 27, Source: "  vendor = [\"é世e\u0301\", 7, bad.ref]"}
	if diff := cmp.Diff(want, findings[i].Place); diff != "" {
		t.Errorf("place (-expected +got):\n%s", diff)
	}
}

func TestLoadPaths(t *testing.T) {
	whole := filepath.Join(spring, "10-review.hcl")
	p := load(t, whole, spring) // the file named twice is read once
	if len(p.Sources) != 2 || p.Dir != spring {
		t.Errorf("%d sources in %s, want 2 in %s", len(p.Sources), p.Dir, spring)
	}
	if _, _, err := Load([]string{filepath.Join(t.TempDir(), "none.hcl")}, testNow); err == nil {
		t.Error("a missing file gives no error")
	}
	_, findings, err := Load([]string{t.TempDir()}, testNow)
	if err != nil || len(findings) != 1 || findings[0].Summary != "Folder holds no plan" {
		t.Errorf("an empty folder gives %v, %v", findings, err)
	}
	big := write(t, map[string]string{"p.hcl": strings.Repeat("# x\n", maxPlanBytes/4+1)})
	_, findings, err = Load([]string{big}, testNow)
	if err != nil || len(findings) != 1 || findings[0].Summary != "Plan file is too large" {
		t.Errorf("a file over the limit gives %v, %v", findings, err)
	}
	latin := write(t, map[string]string{"p.hcl": "card \"x\" {\n  vendor = \"Caf\xe9\"\n}\n"})
	_, findings, err = Load([]string{latin}, testNow)
	if err != nil || len(findings) != 1 || findings[0].Summary != "Plan is not UTF-8" || findings[0].Place.Line != 2 || findings[0].Place.Column != 16 {
		t.Errorf("Latin-1 gives %v, %v", findings, err)
	}
}

// TestChoices reads the other forms that arguments may have. Expected values are read off the HCL by eye.
func TestChoices(t *testing.T) {
	p := load(t, "../testdata/plan/valid/choices")
	takes := Takes{Startup: time.Minute, Reset: 20 * time.Second, FirstLaunch: 5 * time.Minute, Swap: 10 * time.Minute,
		DriverChange: 20 * time.Minute, Probes: 20 * time.Minute, Redo: 0.2}
	same(t, "takes", takes, p.Review.Takes)
	same(t, "bench day", 6*time.Hour+30*time.Minute, p.Review.BenchDay)
	same(t, "title and archive left out", []string{"choices", "archive"}, []string{p.Review.Title, p.Review.Archive})
	same(t, "implied mode", []CardMode{{Name: "stock", Implied: true}}, p.Cards[0].Modes)
	same(t, "modes", []CardMode{{Name: "eco", Settings: []Pair{{"power_pct", "70"}, {"fan", "auto"}, {"limit", "false"}}},
		{Name: "tuned", Raises: []Number{{"power_pct", 10}}}}, p.Cards[1].Modes)

	reactor := takes
	reactor.FirstLaunch = 30 * time.Second
	same(t, "games", []Game{
		{Name: "reactor", Title: "reactor", Drive: Replay, Keep: Keep{Warmup: 2 * time.Second, Length: 12 * time.Second}, Takes: reactor,
			Accept: Accept{MaxSpread: 1.5, MaxBadLines: 1}, Capped: true, Variants: []Variant{{Name: "plain", Implied: true}}},
		{Name: "tide", Title: "tide", Drive: ByHand, Keep: Keep{All: true}, Takes: takes,
			Accept: Accept{MinLength: 45 * time.Second, MaxSpread: DefaultMaxSpread, MaxBadLines: 2}, Variants: []Variant{{Name: "plain", Implied: true}}},
	}, p.Games)
	same(t, "modes of the matrix", []Mode{{"wren", "stock"}, {"kite", "eco"}}, p.Matrices[0].Modes)
	same(t, "counts", []int{4, 2, 4}, []int{p.Cells[0].Repeats, p.Cells[0].Launches, len(p.Cells)})
	same(t, "files", []Files{
		{Name: "numbered", Path: "{card}-{mode}/{game}.{size}.r{repeat}.txt.gz",
			Text:      Text{Delimiter: ";", Decimal: ",", Encoding: "windows-1252", SkipLines: 3},
			Timestamp: &Column{Index: 1, Unit: "us"}, FrameTime: &Column{Index: 2, Unit: "ns"},
			Extra: []Extra{{Key: "power", Column: Column{Name: "board power", Unit: "w"}},
				{Key: "chip", Column: Column{Index: 3, Unit: "W"}, At: "reported chip"}, {Key: "spot", Column: Column{Name: "hot spot", Unit: "C"}}}},
		{Name: "logged", Log: "logs/bench.csv", Text: Text{Delimiter: "\t", Decimal: ".", Encoding: "utf-16le"},
			FrameTime: &Column{Name: "ft", Unit: "s"}, Sensors: []Sensors{
				{Path: "sensors/{card}-{mode}/{game}.{resolution}.{time}.csv", Text: Text{Delimiter: ";", Decimal: ",", Encoding: "auto"},
					Time: TimeColumn{Column: Column{Name: "Time"}, Layout: "DD.MM.YYYY hh:mm:ss"}, Offset: -500 * time.Millisecond,
					Channels: []Channel{{Key: "spot", Column: Column{Name: "Hot spot", Unit: "F"}}, {Key: "clock", Column: Column{Index: 4, Unit: "MHz"}}}},
				{Path: "wall/{card}-{mode}/{game}.{resolution}.{repeat}.csv", Text: Text{Delimiter: ",", Decimal: ".", Encoding: "auto"},
					Time:     TimeColumn{Column: Column{Name: "t", Unit: "min"}},
					Channels: []Channel{{Key: "wall", Column: Column{Name: "W", Unit: "W"}, At: "wall"}}},
			}},
	}, p.Files)
	same(t, "what senses", []Quantity{"", Power, Temperature}, []Quantity{p.Files[0].Extra[0].Senses(), p.Files[0].Extra[1].Senses(), p.Files[0].Extra[2].Senses()})
	same(t, "files with sensors", []bool{true, true, false}, []bool{p.Files[0].HasSensors(), p.Files[1].HasSensors(), Files{Extra: p.Files[0].Extra[:1]}.HasSensors()})
	same(t, "statistics", Statistics{Quantile: DefaultQuantile, Lows: "time_share", MarginPct: 2, MarginK: 1.5, MarginDB: DefaultMarginDB,
		SpreadPct: DefaultSpreadPct, SpreadK: DefaultSpreadK, SpreadDB: 0.25, ExpectedSpreadPct: 0.8, MarginWritten: true, LowsChosen: true}, p.Statistics)
	wren := Mode{"wren", "stock"}
	same(t, "claims", []Claim{
		{Name: "sixty", Metric: "low1_quantile_fps", Of: wren, Games: []GameVariant{{"tide", "plain"}}, Expect: []Number{{"at_least", 60}, {"at_most", 75.5}}, Unit: "fps"},
		{Name: "cooler", Metric: "start_temp_c", Of: Mode{"kite", "eco"}, Against: &wren, Expect: []Number{{"value", -3}, {"within", 1}}, Unit: "K"},
		{Name: "level", Metric: "mean_fps", Of: Mode{"kite", "eco"}, Against: &wren, Same: true, Unit: "%"},
	}, p.Claims)
}

// Expected values are read off the text by eye: a card's own hour is before the review's, and "none" opens one.
func TestDiscretion(t *testing.T) {
	dir := write(t, map[string]string{"plan.hcl": `
review "launch" {
  baseline = card.tern_ref.stock
  embargo  = "2027-03-04T14:00:00+01:00"
  private { phone = "555 0100" }
}
rig "bench" {
  private { desk = 7 }
}
card "tern_ref" {
  vendor  = "marram"
  embargo = "none"
}
card "heron_x" {
  name     = "Heron X"
  vendor   = "ardea"
  driver   = "27.2"
  codename = "osprey"
  known_as = ["HX", "Heron Ten"]
  sample   = { origin = "lent" }
}
card "gannet" {
  vendor   = "morus"
  codename = "merlin"
  embargo  = "2027-03-01T00:00:00Z"
  private { serial = "0417" }
}
game "fjord" {
  drive = "built-in"
  keep  = "all"
}
resolution "uhd" { size = "3840x2160" }
matrix {}
files "csv" {
  path       = "{card}-{game}_{resolution}_{repeat}.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
`})
	got := load(t, dir).Discretion()
	if !slices.Contains(got.Keep, "mean_fps") {
		t.Error("the names of figures are anybody's")
	}
	got.Keep = nil
	want := &discreet.Terms{Private: []string{"555 0100", "7", "0417"}, Cards: []discreet.Card{
		{Label: "tern_ref", Names: []string{"tern_ref"}, Tells: []discreet.Tell{{What: "maker", Text: "marram"}}},
		{Label: "heron_x", Codename: "osprey", Until: time.Date(2027, 3, 4, 13, 0, 0, 0, time.UTC), Names: []string{"Heron X", "HX", "Heron Ten"},
			Tells: []discreet.Tell{{What: "maker", Text: "ardea"}, {What: "driver", Text: "27.2"}, {What: "origin", Text: "lent"}}},
		{Label: "gannet", Codename: "merlin", Until: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Names: []string{"gannet"},
			Tells: []discreet.Tell{{What: "maker", Text: "morus"}}},
	}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-expected +got):\n%s", diff)
	}
	if p := load(t, spring); p.Discretion() != nil {
		t.Error("a plan that withholds nothing has terms")
	}
}

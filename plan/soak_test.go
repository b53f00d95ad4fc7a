package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan/finding"
)

const soaks = "../testdata/plan/valid/soak"

var (
	tern  = Mode{"tern_ref", "stock"}
	heron = []Mode{{"heron_x", "stock"}, {"heron_x", "tuned"}, {"heron_x", "quiet"}}
	every = append([]Mode{tern}, heron...)
)

// TestSoaks holds the decoded example against its text. Expected values are read off the HCL by eye.
func TestSoaks(t *testing.T) {
	p := load(t, soaks)
	text := Text{Delimiter: ",", Decimal: ".", Encoding: "auto"}
	half := Soak{Name: "half_hour", Load: GameLoad, Game: GameVariant{"fjord", "plain"}, Resolution: "uhd", Modes: every,
		Length: 30 * time.Minute, Settle: 3 * time.Minute, Cooling: 5 * time.Minute, Repeats: 2,
		Ambient: Ambient{Stated: true, TargetC: 21, ToleranceC: 1.5, ReferenceC: 22, AccuracyC: 0.3, From: "room"},
		Logger:  Logger{Name: "four channels", AccuracyC: 0.5, ResolutionC: 0.1, MountC: 0.8},
		Noise: &Noise{DistanceM: 0.5, BackgroundDB: []float64{31, 31.2, 30.9}, Weighting: "A", MeterClass: 2, FreeField: true,
			ReferenceM: 1, TargetDB: 38, ToleranceDB: 1},
		Repeatability: Repeatability{TemperatureK: 0.6, NoiseDB: 0.4, PowerPct: 1, FanPct: 2, ClockPct: 0.5, EnergyPct: 1.5},
		Probes: []Probe{
			{Name: "core", OnDie: "hottest", Modes: every},
			{Name: "edge", OnDie: "edge", Modes: []Mode{tern}},
			{Name: "board", Thermocouple: &Thermocouple{Type: "K", Class: 1, Spot: "rear of the board, behind the processor"}, Modes: every},
			{Name: "stage_1", Thermocouple: &Thermocouple{Type: "K", Class: 2, Spot: "power stages, top", Group: "stages"}, Modes: every},
			{Name: "stage_2", Thermocouple: &Thermocouple{Type: "K", Spot: "power stages, bottom", Group: "stages", PerCard: true}, Modes: every},
		},
		Logs: []Log{
			{SoakFile: SoakFile{Path: "soak/{soak}/{card}-{mode}-{repeat}.csv", Text: Text{Delimiter: ";", Decimal: ",", Encoding: "auto"}, Modes: every},
				Time: TimeColumn{Column: Column{Name: "elapsed_s", Unit: "s"}},
				Channels: []Channel{
					{Key: "core", Column: Column{Name: "core_temp_c", Unit: "C"}},
					{Key: "power", Column: Column{Name: "board_power_w", Unit: "W"}, At: "reported board"},
					{Key: "fan", Column: Column{Name: "fan_rpm", Unit: "rpm"}},
					{Key: "fan_duty", Column: Column{Name: "fan_pct", Unit: "pct"}},
					{Key: "core_clock", Column: Column{Name: "core_clock_mhz", Unit: "MHz"}},
					{Key: "memory_clock", Column: Column{Name: "mem_clock_mhz", Unit: "MHz"}}}},
			{SoakFile: SoakFile{Path: "soak/{soak}/{card}-{repeat}-edge.csv", Text: text, Modes: []Mode{tern}},
				Time: TimeColumn{Column: Column{Index: 1, Unit: "ms"}}, Channels: []Channel{{Key: "edge", Column: Column{Name: "edge_f", Unit: "F"}}}},
			{SoakFile: SoakFile{Path: "soak/{soak}/probes_{card}_{mode}_{repeat}.txt", Text: text, Offset: -2500 * time.Millisecond, Modes: every,
				Except: []Exception{{Mode: Mode{"heron_x", "quiet"}, Repeat: 2, Path: "soak/half_hour/quiet again.txt"},
					{Mode: Mode{"heron_x", "tuned"}, Offset: time.Minute, OffsetStated: true}}},
				Time: TimeColumn{Column: Column{Name: "when"}, Layout: "DD.MM.YYYY hh:mm:ss"},
				Channels: []Channel{
					{Key: "board", Column: Column{Name: "ch1", Unit: "C"}},
					{Key: "stage_1", Column: Column{Name: "ch2", Unit: "mV"}, ColdJunction: "terminal"},
					{Key: "stage_2", Column: Column{Name: "ch3", Unit: "K"}},
					{Key: "terminal", Column: Column{Name: "cj", Unit: "C"}},
					{Key: "room", Column: Column{Name: "ch4", Unit: "C"}},
					{Key: "level", Column: Column{Name: "laeq", Unit: "dB"}}}},
		},
		Frames: &SoakFrames{SoakFile: SoakFile{Path: "soak/{soak}/{card}-{mode}-{repeat}.frames.csv", Text: text, Modes: every},
			FrameTime: &Column{Name: "frame_ms", Unit: "ms"}, Timestamp: &Column{Name: "elapsed_s", Unit: "s"}, MeasuredAt: "present"},
	}
	desk := Soak{Name: "desk", Load: TwoDisplays, Note: "both at 144 Hz", Modes: heron[:1], Length: 10 * time.Minute, Settle: DefaultSettle, Repeats: 1,
		Ambient: Ambient{Stated: true, TargetC: 21, ToleranceC: DefaultAmbientTolerance, ReferenceC: 21, From: AmbientNoted},
		Logger:  Logger{MountC: DefaultMount}, Noise: &Noise{DistanceM: 0.5, Weighting: "A", MeterClass: 2}}
	held := Soak{Name: "held", Load: CappedGame, Game: GameVariant{"fjord", "plain"}, Resolution: "uhd", CapFPS: 60, Modes: []Mode{tern},
		Length: 15 * time.Minute, Settle: DefaultSettle, Repeats: 1,
		Ambient: Ambient{Stated: true, TargetC: 21, ToleranceC: DefaultAmbientTolerance, ReferenceC: 21, From: AmbientNone}, Logger: Logger{MountC: DefaultMount},
		Logs: []Log{{SoakFile: SoakFile{Path: "soak/held.csv", Text: text, Modes: []Mode{tern}}, Time: TimeColumn{Column: Column{Name: "t", Unit: "s"}},
			Channels: []Channel{{Key: "power", Column: Column{Name: "w", Unit: "W"}, At: "in line"}}}}}
	batches := Soak{Name: "batches", Load: OtherLoad, Note: "matrix products", Modes: []Mode{tern}, LeadIn: 15 * time.Second, Length: 5 * time.Minute,
		Settle: DefaultSettle, Cooling: 90 * time.Second, Repeats: 1, Ambient: held.Ambient, Logger: Logger{MountC: DefaultMount},
		Logs: []Log{{SoakFile: SoakFile{Path: "{card}.{soak}.sensors.csv", Text: text, Modes: []Mode{tern}}, Time: TimeColumn{Column: Column{Name: "elapsed_s", Unit: "s"}},
			Channels: []Channel{{Key: "power", Column: Column{Name: "board_power_w", Unit: "W"}, At: "reported board"}}}},
		Frames: &SoakFrames{SoakFile: SoakFile{Path: "{card}.{soak}.frames.csv", Text: text, Modes: []Mode{tern}},
			FrameTime: &Column{Name: "frame_ms", Unit: "ms"}, Timestamp: &Column{Name: "elapsed_s", Unit: "s"}}}
	same(t, "soaks", []Soak{half, desk, held, batches}, p.Soaks)
	same(t, "sweeps", []Sweep{{Name: "fan", Soak: "half_hour", Modes: heron[:1], StepsPct: []float64{30, 45, 60}, Hold: 5 * time.Minute}}, p.Sweeps)
	same(t, "probes take", 25*time.Minute, p.Review.Takes.Probes)
	if diff := cmp.Diff([]string{"soaks", "probes", "raised limits"}, p.Hazards()); diff != "" {
		t.Errorf("hazards (-expected +got):\n%s", diff)
	}
}

func TestReadings(t *testing.T) {
	one := func(key string, x ...float64) Figure { return Figure{key, x} }
	same(t, "readings", []Reading{
		{Name: "sound_heron", Mode: heron[0], Soak: "half_hour", Repeat: 2, On: time.Date(2027, 2, 22, 15, 0, 0, 0, time.UTC), Note: "meter on the tripod",
			File: "photos/meter.jpg", Noted: Noted{Values: []Figure{one("db", 42.1, 42, 42.3)}, AmbientC: []float64{21.4}, BackgroundDB: []float64{30.8, 31}}},
		{Name: "desk_heron", Mode: heron[0], Soak: "desk", Repeat: 1, At: "wall",
			Noted: Noted{Values: []Figure{one("db", 31), one("power_w", 31.5, 31.9), one("rpm", 0), one("fan_start_c", 55), one("fan_stop_c", 46.5)}, AmbientC: []float64{20.9}}},
		{Name: "fan_heron", Mode: heron[0], Sweep: "fan", Probe: "core", Table: []Step{
			{30, Noted{Values: []Figure{one("temperature_c", 74), one("db", 34.1, 34.3), one("rpm", 900)}, AmbientC: []float64{21.2}}},
			{45, Noted{Values: []Figure{one("temperature_c", 67.5), one("db", 39.5), one("rpm", 1350)}}},
			{60, Noted{Values: []Figure{one("temperature_c", 63), one("db", 45), one("rpm", 1810)}}}}},
	}, load(t, soaks).Readings)
}

func TestFactsAndPrices(t *testing.T) {
	p := load(t, soaks)
	c := p.Cards[1]
	day := func(d int) time.Time { return time.Date(2027, 2, d, 23, 59, 59, 0, time.UTC) }
	list, newer := Price{Amount: 649, Currency: "EUR", Kind: "list", Tax: true, On: day(20)}, Price{Amount: 629, Currency: "EUR", Kind: "list", Tax: true, On: day(25)}
	street := Price{Amount: 618.9, Currency: "EUR", Kind: "street", Where: "two shops on the quay", Tax: true, On: day(24)}
	same(t, "prices", []Price{list, newer, street}, c.Prices)
	same(t, "list prices, the newest first", []Price{newer, list}, c.PricesOf(PriceKind{Kind: "list", Currency: "EUR"}))
	no := false
	same(t, "none without tax", []Price(nil), c.PricesOf(PriceKind{Kind: "list", Tax: &no}))

	// A fact of the trade (common practice, no source): 8 + 6 + 4 phases of which two carry two stages make 20 stages.
	for key, want := range map[string]float64{"phases": 18, "power_stages": 20, "length_mm": 318, "backplate_g": 88.5, "connector_display": 4,
		"memory_rate_gtps": 21, "memory_bus_bits": 256, "limit_power_w": 320} {
		if got, ok := c.Fact("tuned", key); !ok || got != want {
			t.Errorf("%s is %v, %v; want %v", key, got, ok, want)
		}
	}
	if x, ok := c.Fact("quiet", "limit_power_w"); ok {
		t.Errorf("a limit of quiet, which states none: %v", x)
	}
	for mode, want := range map[string]bool{"stock": false, "tuned": true, "quiet": false} {
		m, _ := c.Mode(mode)
		if got := c.raised(m); got != want {
			t.Errorf("%s is raised: %v, want %v", mode, got, want)
		}
	}
}

func TestBenchClaims(t *testing.T) {
	yes := true
	same(t, "claims", []Claim{
		{Name: "cooler", Says: "the board stays eight kelvins cooler", Metric: "rise_k", Kind: OfSoak, Of: heron[0], Against: &tern, Soak: "half_hour", Probe: "board",
			Expect: []Number{{"value", -8}, {"within", 1.5}}, Unit: "K"},
		{Name: "stages", Metric: "sustained_peak_c", Kind: OfSoak, Of: heron[1], Soak: "half_hour", ProbeGroup: "stages", Expect: []Number{{"at_most", 95}}, Unit: "°C"},
		{Name: "quieter", Metric: "sound_level_db", Kind: OfSoak, Of: heron[2], Against: &heron[0], Soak: "half_hour", Expect: []Number{{"at_most", -2}}, Unit: "dB"},
		{Name: "thrift", Metric: "mean_power_w", Kind: OfSoak, Of: heron[0], Against: &tern, Soak: "half_hour", At: "reported board", Expect: []Number{{"at_most", 25}}, Unit: "%"},
		{Name: "clock", Metric: "clock_median_mhz", Kind: OfSoak, Of: heron[1], Against: &heron[0], Soak: "half_hour", Channel: "core_clock", Expect: []Number{{"at_least", 2}}, Unit: "%"},
		{Name: "fan_stops", Metric: "fan_start_c", Kind: OfSoak, Of: heron[0], Soak: "desk", Expect: []Number{{"value", 55}, {"within", 1}}, Unit: "°C"},
		{Name: "longer", Metric: "length_mm", Kind: OfFact, Of: heron[0], Against: &tern, Expect: []Number{{"value", 56}, {"within", 1}}, Unit: "mm"},
		{Name: "twenty_stages", Metric: "power_stages", Kind: OfFact, Of: heron[0], Expect: []Number{{"value", 20}}, Unit: "power_stages"},
		{Name: "worth", Metric: "price_per_fps", Kind: OfValue, Of: heron[0], Against: &tern, Resolutions: []string{"uhd"}, Price: &PriceKind{Kind: "list", Currency: "EUR", Tax: &yes},
			Expect: []Number{{"at_most", 3}}, Unit: "%"},
		{Name: "fair_price", Metric: "break_even_price", Kind: OfValue, Of: heron[0], Against: &tern, Price: &PriceKind{Kind: "list", Currency: "EUR"},
			Expect: []Number{{"at_least", 600}}, Unit: "EUR"},
	}, load(t, soaks).Claims)
}

// TestSoakLogs lists by hand what the example's soaks should leave.
func TestSoakLogs(t *testing.T) {
	p := load(t, soaks)
	var want []SoakLog
	for _, m := range every {
		for n := 1; n <= 2; n++ {
			r := SoakRun{"half_hour", m, n}
			probes, offset := fmt.Sprintf("soak/half_hour/probes_%s_%s_%d.txt", m.Card, m.Mode, n), -2500*time.Millisecond
			switch {
			case m.Mode == "quiet" && n == 2:
				probes = "soak/half_hour/quiet again.txt"
			case m.Mode == "tuned":
				offset = time.Minute
			}
			want = append(want, SoakLog{r, fmt.Sprintf("soak/half_hour/%s-%s-%d.csv", m.Card, m.Mode, n), 0, 0})
			if m == tern {
				want = append(want, SoakLog{r, fmt.Sprintf("soak/half_hour/tern_ref-%d-edge.csv", n), 0, 1})
			}
			want = append(want, SoakLog{r, probes, offset, 2}, SoakLog{r, fmt.Sprintf("soak/half_hour/%s-%s-%d.frames.csv", m.Card, m.Mode, n), 0, FramesLog})
		}
	}
	want = append(want, SoakLog{SoakRun{"held", tern, 1}, "soak/held.csv", 0, 0},
		SoakLog{SoakRun{"batches", tern, 1}, "tern_ref.batches.sensors.csv", 0, 0}, SoakLog{SoakRun{"batches", tern, 1}, "tern_ref.batches.frames.csv", 0, FramesLog})
	if diff := cmp.Diff(want, p.SoakLogs()); diff != "" {
		t.Errorf("files of soaks (-expected +got):\n%s", diff)
	}
	if n := len(p.SoakRuns()); n != 11 { // four modes twice, and three soaks of one mode
		t.Errorf("%d soaks, want 11", n)
	}
}

func TestParseOffset(t *testing.T) {
	for s, want := range map[string]time.Duration{"+2.5s": 2500 * time.Millisecond, "-1m30s": -90 * time.Second, "4s": 4 * time.Second, "-0s": 0} {
		if got, err := ParseOffset(s); err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", s, got, err, want)
		}
	}
	for _, s := range []string{"", "+", "-", "--1s", "+-1s", "- 1s", "1", "−1s"} {
		if got, err := ParseOffset(s); err == nil {
			t.Errorf("%q is taken as %v", s, got)
		}
	}
}

func TestSoaksAreBounded(t *testing.T) {
	var b strings.Builder
	for i := range 600 {
		fmt.Fprintf(&b, "card \"c%d\" { vendor = \"x\" }\n", i)
	}
	b.WriteString("matrix {\n}\nsoak \"s\" {\n  load = \"idle\"\n  length = \"1h\"\n  repeats = 100\n  log {\n    path = \"x\"\n" +
		"    time = { column = 1, unit = \"s\" }\n    channels = { fan = { column = 2, unit = \"rpm\" } }\n  }\n}\n") // more than 600·100 soaks with a log each
	_, findings := loadText([]byte(bench + b.String()))
	if !slices.ContainsFunc(findings, func(f finding.Finding) bool { return f.Summary == "Soaks are too many" }) {
		t.Errorf("findings %v", findings)
	}
}

// TestSoakFilesProperties: whatever a path leaves open, either every soak has a file of its own name, or the plan is refused at it.
func TestSoakFilesProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		runs := 0
		for i := range rapid.IntRange(1, 3).Draw(t, "soaks") {
			modes := rapid.SampledFrom([]int{1, 2, 3}).Draw(t, "modes")
			cards := []string{"card.b", "card.a", "card.a, card.b"}[modes-1]
			repeats := rapid.IntRange(1, 3).Draw(t, "repeats")
			runs += modes * repeats
			path := "x"
			for _, part := range []string{"{soak}", "{card}", "{mode}", "{repeat}"} {
				if rapid.IntRange(0, 5).Draw(t, part) > 0 {
					path += "/" + part
				}
			}
			fmt.Fprintf(&text, "soak \"s%d\" {\n  load = \"idle\"\n  length = \"5m\"\n  cards = [%s]\n  repeats = %d\n  log {\n    path = %q\n"+
				"    time = { column = 1, unit = \"s\" }\n    channels = { fan = { column = 2, unit = \"rpm\" } }\n  }\n}\n", i, cards, repeats, path)
		}
		p, findings := loadText([]byte(bench + "matrix {\n}\n" + text.String()))
		logs := p.SoakLogs()
		names := map[string]bool{}
		for _, log := range logs {
			names[log.Path] = true
			if strings.ContainsAny(log.Path, "{}") {
				t.Fatalf("%q leaves something open", log.Path)
			}
		}
		if len(logs) != runs || len(p.SoakRuns()) != runs {
			t.Fatalf("%d files of %d soaks, want %d of each\n%s", len(logs), len(p.SoakRuns()), runs, text.String())
		}
		refused := slices.ContainsFunc(findings, func(f finding.Finding) bool { return f.Summary == "Path cannot tell soaks apart" })
		if refused != (len(names) < runs) || refused != findings.HasErrors() {
			t.Fatalf("%d names for %d files, findings %v\n%s", len(names), runs, findings, text.String())
		}
	})
}

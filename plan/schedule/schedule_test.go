package schedule

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// Two cards of one driver, one of another. owl leaves first, so its driver's group is on top although declared last.
const text = `
review "r" {
  baseline = card.tern
  due      = "2027-03-10"
}
card "tern" {
  vendor = "t"
  driver = "1"
  sample = { leaves = "2027-03-08" }
}
card "lark" {
  vendor = "l"
  driver = "7"
  sample = { leaves = "2027-03-05" }
}
card "owl" {
  vendor = "t"
  driver = "1"
  sample = { here_from = "2027-03-01", leaves = "2027-03-03" }
  mode "stock" {}
  mode "tuned" {}
}
game "fjord" {
  drive = "built-in"
  keep  = { warmup = "10s", length = "50s" }
  takes = { startup = "3m", reset = "30s" }
}
game "kelp" {
  drive = "by hand"
  keep  = "all"
  takes = { first_launch = "2m" }
  accept {
    min_length = "90s"
  }
}
resolution "uhd" { size = "3840x2160" }
matrix {
  cards   = [card.tern, card.lark, card.owl.stock]
  repeats = 4
  launches = 2
}
matrix {
  cards = [card.owl.tuned]
  games = [game.fjord]
  waive {
    cards  = [card.owl.tuned]
    reason = "later"
  }
}
files "csv" {
  path      = "{card}-{mode}/{game}-{repeat}.csv"
  timestamp = { column = 1, unit = "s" }
}
`

var now = time.Date(2027, 2, 28, 23, 59, 59, 0, time.UTC)

func load(t *testing.T, text string) *plan.Plan {
	t.Helper()
	file := filepath.Join(t.TempDir(), "p.hcl")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	p, findings, err := plan.Load([]string{file}, now)
	if err != nil || findings.HasErrors() {
		t.Fatal(err, findings)
	}
	return p
}

func TestEstimate(t *testing.T) {
	s := Estimate(load(t, text))
	var order []string
	for _, m := range s.Order {
		order = append(order, m.Card)
	}
	if diff := cmp.Diff([]string{"owl", "tern", "lark"}, order); diff != "" {
		t.Errorf("order (-expected +got):\n%s", diff)
	}

	// One card, worked by hand. fjord: 4 passes of 10 + 50 s in 2 launches; kelp: 4 passes of 90 s (its min_length) in 2 launches.
	// Redo is a tenth: alone 0.1·4·60 s = 24 s; by hand 0.1·(4·90 s + 4·30 s + 4·45 s) = 66 s.
	owl := []Part{
		{"card swap", 1, 15 * time.Minute, 15 * time.Minute, true},
		{"pre-heat", 1, 5 * time.Minute, 5 * time.Minute, false},
		{"first launch of a game on a card", 2, 0, 8 * time.Minute, false}, // fjord 6 min, kelp 2 min
		{"start-up", 4, 0, 10 * time.Minute, false},                        // 2·3 min, 2·2 min
		{"passes", 4, time.Minute, 4 * time.Minute, false},
		{"passes driven by hand", 4, 90 * time.Second, 6 * time.Minute, true},
		{"scene reset", 8, 0, 5 * time.Minute, true}, // 4·30 s, 4·45 s
		{"redo", 0, 0, 24 * time.Second, false},
		{"redo by hand", 0, 0, 66 * time.Second, true},
	}
	if diff := cmp.Diff(owl, s.Order[0].Parts); diff != "" {
		t.Errorf("parts of owl (-expected +got):\n%s", diff)
	}
	const one = 54*time.Minute + 30*time.Second // the sum of the above
	if s.Order[0].Total != one || s.Order[0].DriverChange || s.Order[0].Passes != 8 || s.Order[0].Launches != 4 || s.Order[0].Cells != 2 {
		t.Errorf("owl: %+v", s.Order[0])
	}
	if s.Order[1].DriverChange || s.Order[1].Total != one {
		t.Errorf("tern, same driver: %+v", s.Order[1])
	}
	if !s.Order[2].DriverChange || s.Order[2].Total != one+25*time.Minute {
		t.Errorf("lark, other driver: %+v", s.Order[2])
	}
	if s.Passes != 24 || s.Total != 3*one+25*time.Minute {
		t.Errorf("whole: %d passes, %s", s.Passes, s.Total)
	}
	// By hand: three swaps 45 min, one driver change 25, passes 18, resets 15, redo 3·66 s.
	if want := 103*time.Minute + 3*66*time.Second; s.HandsOn != want || s.Unattended != s.Total-want {
		t.Errorf("hands-on %s of %s, want %s", s.HandsOn, s.Total, want)
	}
	i := slices.IndexFunc(s.Parts, func(p Part) bool { return p.Name == "card swap" })
	if got, want := s.Parts[i], (Part{"card swap", 3, 15 * time.Minute, 45 * time.Minute, true}); got != want {
		t.Errorf("swaps of the whole: %+v, want %+v", got, want)
	}
}

func TestPassCost(t *testing.T) {
	p := load(t, text)
	k := plan.Key{Card: "lark", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd"}
	now, after := PassCost(p, k, 2)
	// Two launches of 3 min, two resets of 30 s, two passes of 1 min; a swap adds 15 min, pre-heat 5 min, first launch 6 min.
	if now != 9*time.Minute || after != 35*time.Minute {
		t.Errorf("now %s, after a swap %s; want 9m, 35m", now, after)
	}
	for mounted, want := range map[string]time.Duration{"lark": 9 * time.Minute, "owl": time.Hour, "": 35 * time.Minute} {
		if got := PassCostFrom(p, mounted, k, 2); got != want {
			t.Errorf("with %q mounted %s, want %s", mounted, got, want)
		}
	}
}

// By hand: a start takes 3 min, a pass its minute and a reset of 30 s. Mounting lark takes swap 15 min and pre-heat 5 min, with fjord's first
// launch 6 min and kelp's 2 min, and 25 min more where a card with another driver was on the rig.
func TestMountCost(t *testing.T) {
	p := load(t, text)
	k := plan.Key{Card: "lark", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd"}
	kelp := k
	kelp.Game = "kelp"
	if launch, pass := LaunchCost(p, k); launch != 3*time.Minute || pass != 90*time.Second {
		t.Errorf("a start %s, a pass %s; want 3m, 1m30s", launch, pass)
	}
	for _, c := range []struct {
		mounted string
		cells   []plan.Key
		want    time.Duration
	}{
		{"lark", []plan.Key{k}, 26 * time.Minute}, {"owl", []plan.Key{k}, 51 * time.Minute}, {"", []plan.Key{k, k}, 26 * time.Minute},
		{"lark", []plan.Key{k, kelp, k}, 28 * time.Minute}, {"lark", nil, 0},
	} {
		if got := MountCost(p, c.mounted, c.cells); got != c.want {
			t.Errorf("after %q, %d cells: %s, want %s", c.mounted, len(c.cells), got, c.want)
		}
	}
}

func TestPassLengthWithoutAny(t *testing.T) {
	if got := PassLength(plan.Game{Keep: plan.Keep{All: true}}); got != time.Minute {
		t.Errorf("keep all without min_length: %s, want 1m", got)
	}
}

func TestCheck(t *testing.T) {
	at := func(s string) time.Time {
		tm, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		return tm
	}
	p := load(t, text)
	s := Estimate(p)
	for _, c := range []struct {
		name, now string
		bench     time.Duration
		want      []string
	}{
		{"enough", "2027-02-28T23:59:59Z", 8 * time.Hour, nil},
		// owl is here two days, from the end of 1 to the end of 3 March; at 27 min a day that is 54 min, and it needs 54 min 30 s.
		// tern has its turn after 1 h 49 min, of 8 days · 27 min = 3 h 36 min. lark needs 79.5 min of 5 days · 27 min = 135 min, but is
		// done after 188.5 min only. The whole needs 188.5 of 10 days · 27 min = 270 min.
		{"one stay too short", "2027-02-28T23:59:59Z", 27 * time.Minute, []string{
			"error Card needs more hours than its stay has", "warning Card leaves before its turn is over"}},
		// At 28 min a day owl has 56 min.
		{"just enough for the stay", "2027-02-28T23:59:59Z", 28 * time.Minute, []string{"warning Card leaves before its turn is over"}},
		// Eight hours before due there are 2 h 40 min of an eight-hour day, and 3 h 8 min are needed. All cards have left.
		{"due too near", "2027-03-10T15:59:59Z", 8 * time.Hour, []string{
			"error Review needs more hours than are left", "warning Card has left", "warning Card has left", "warning Card has left"}},
		{"due passed", "2027-03-11T00:00:00Z", 8 * time.Hour, []string{
			"warning Card has left", "warning Card has left", "warning Card has left", "warning Due time has passed"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p.Review.BenchDay = c.bench
			var got []string
			for _, f := range s.Check(p, at(c.now)) {
				got = append(got, f.Severity.String()+" "+f.Summary)
				if f.Place.Line == 0 {
					t.Errorf("%s has no place", f.Summary)
				}
			}
			slices.Sort(got)
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("findings (-expected +got):\n%s", diff)
			}
		})
	}
}

func TestCheckSaysNothingWithoutDates(t *testing.T) {
	p := load(t, text)
	p.Review.Due = time.Time{}
	for i := range p.Cards {
		p.Cards[i].Sample = plan.Sample{}
	}
	p.Review.BenchDay = time.Minute
	if got := Estimate(p).Check(p, now); len(got) > 0 {
		t.Errorf("findings %v", got)
	}
}

// TestOrderProperties: every card with cells is mounted once, drivers change as seldom as can be, and the card that leaves first
// is on top of its group.
func TestOrderProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := &plan.Plan{Review: plan.Review{Takes: plan.DefaultTakes()}, Games: []plan.Game{{Name: "g", Takes: plan.DefaultTakes()}}}
		groups := map[string]bool{}
		for i := range rapid.IntRange(1, 8).Draw(t, "cards") {
			c := plan.Card{Name: string(rune('a' + i)), Vendor: rapid.SampledFrom([]string{"t", "l"}).Draw(t, "vendor"),
				Driver: rapid.SampledFrom([]string{"1", "2"}).Draw(t, "driver")}
			if day := rapid.IntRange(0, 5).Draw(t, "day"); day > 0 {
				c.Sample.Leaves = now.AddDate(0, 0, day)
			}
			p.Cards = append(p.Cards, c)
			cell := plan.Cell{Key: plan.Key{Card: c.Name, Game: "g"}, Repeats: 1, Launches: 1}
			if rapid.Bool().Draw(t, "waived") {
				cell.Waived = "x"
			} else {
				groups[c.Vendor+c.Driver] = true
			}
			p.Cells = append(p.Cells, cell)
		}
		s := Estimate(p)
		changes, seen := 0, map[string]bool{}
		var sum time.Duration
		for i, m := range s.Order {
			if seen[m.Card] {
				t.Fatalf("%s is mounted twice", m.Card)
			}
			seen[m.Card] = true
			sum += m.Total
			if m.DriverChange {
				changes++
				continue
			}
			if i > 0 {
				before, _ := p.Card(s.Order[i-1].Card)
				card, _ := p.Card(m.Card)
				if byLeaving(before.Sample.Leaves, card.Sample.Leaves) > 0 {
					t.Fatalf("%s leaves before %s and comes after it", card.Name, before.Name)
				}
			}
		}
		for _, c := range p.Cells {
			if seen[c.Card] != (c.Waived == "") {
				t.Fatalf("%s: mounted %v, waived %q", c.Card, seen[c.Card], c.Waived)
			}
		}
		if changes != max(0, len(groups)-1) || sum != s.Total || s.HandsOn+s.Unattended != s.Total {
			t.Fatalf("%d changes for %d drivers, %s of %s", changes, len(groups), sum, s.Total)
		}
	})
}

func TestSumsDoNotTurnNegative(t *testing.T) {
	p := &plan.Plan{Review: plan.Review{Takes: plan.DefaultTakes()}, Cards: []plan.Card{{Name: "a"}},
		Games: []plan.Game{{Name: "g", Keep: plan.Keep{Length: 24 * time.Hour}, Takes: plan.Takes{Redo: 1}}}}
	for range 2000 {
		p.Cells = append(p.Cells, plan.Cell{Key: plan.Key{Card: "a", Game: "g"}, Repeats: 100, Launches: 1})
	}
	if s := Estimate(p); s.Total <= 0 || s.Unattended <= 0 {
		t.Errorf("total %s", s.Total)
	}
	if fs := (Schedule{}).Check(p, now); fs.Count(finding.Error) > 0 {
		t.Errorf("an empty schedule has findings %v", fs)
	}
}

// Two cells of one card with looks at 2 and 5 passes: 4 passes to the first look, 10 to the last, each in a launch of its own. A
// pass is 60 s, a reset 30 s, a start-up 3 min; the rest is paid once. (The figures of the plan above, worked out by hand.)
func TestEveryLook(t *testing.T) {
	looked := strings.NewReplacer("  repeats = 4\n  launches = 2\n", "  games = [game.fjord]\n  looks = [2, 5]\n",
		"cards   = [card.tern, card.lark, card.owl.stock]", "cards = [card.tern, card.owl.stock]").Replace(text)
	p := load(t, looked)
	first := Estimate(p)
	every, ok := EveryLook(p)
	redo := time.Duration(float64(6*90*time.Second) * 0.1)
	if want := 6*(60+30+180)*time.Second + redo; !ok || first.Passes != 4 || every.Passes != 10 || every.Total-first.Total != want {
		t.Errorf("looks %v: %d passes to the first, %d to the last, %s more; want 4, 10, %s", ok, first.Passes, every.Passes, every.Total-first.Total, want)
	}
	if _, ok := EveryLook(load(t, text)); ok {
		t.Error("a plan without looks has some")
	}
}

// Soaks of two cards, worked out by hand. Of tern: two soaks of 30 min with 5 min of cooling in fjord, started each (3 min), which adds fjord's
// first launch (6 min) since no pass of tern is asked for; thermocouples once, 20 min. Of owl: one soak at idle without a start, and a
// sweep of three steps of 4 min in fjord with one start and its first launch, on the thermocouples of the other soak's conditions.
func TestSoaks(t *testing.T) {
	p := load(t, `
review "r" { baseline = card.lark }
card "tern" { vendor = "t" }
card "lark" { vendor = "l" }
card "owl" { vendor = "t" }
game "fjord" {
  drive = "built-in"
  keep  = { warmup = "10s", length = "50s" }
  takes = { startup = "3m", reset = "30s" }
}
resolution "uhd" { size = "3840x2160" }
matrix {
  cards   = [card.lark]
  repeats = 1
}
files "csv" {
  path      = "{card}/{game}.csv"
  timestamp = { column = 1, unit = "s" }
}
soak "half" {
  game       = game.fjord
  resolution = resolution.uhd
  cards      = [card.tern, card.owl]
  length     = "30m"
  settle     = "5m"
  cooling    = "5m"
  repeats    = 2
  probe "board" {
    thermocouple = { type = "K", place = "backplate" }
    cards        = [card.tern]
  }
  log {
    path     = "{card}-{repeat}.csv"
    time     = { column = 1, unit = "s" }
    channels = { board = { column = 2, unit = "C" } }
  }
}
soak "idle" {
  load   = "idle"
  cards   = [card.owl]
  lead_in = "4m"
  length  = "6m"
}
sweep "fan" {
  soak      = soak.half
  cards     = [card.owl]
  steps_pct = [30, 45, 60]
  hold      = "4m"
}
`)
	s := Estimate(p)
	minutes := func(name string, n int, each, total time.Duration, hands bool) Part {
		return Part{name, n, each * time.Minute, total * time.Minute, hands}
	}
	want := map[string][]Part{
		"tern": {minutes("card swap", 1, 15, 15, true), minutes("pre-heat", 1, 5, 5, false), minutes("first launch of a game on a card", 1, 6, 6, false),
			minutes("start-up", 2, 3, 6, false), minutes("probes fixed and taken off", 1, 20, 20, true), minutes("soaks", 2, 30, 60, false),
			minutes("cooling after soaks", 2, 5, 10, false)},
		"owl": {minutes("card swap", 1, 15, 15, true), minutes("pre-heat", 1, 5, 5, false), minutes("first launch of a game on a card", 1, 6, 6, false),
			minutes("start-up", 3, 3, 9, false), minutes("soaks", 3, 0, 70, false), minutes("cooling after soaks", 2, 5, 10, false),
			minutes("fan sweeps", 3, 4, 12, true)},
	}
	var order []string
	for _, m := range s.Order {
		order = append(order, m.Card)
		if m.Card == "lark" {
			continue
		}
		if diff := cmp.Diff(want[m.Card], m.Parts); diff != "" {
			t.Errorf("parts of %s (-expected +got):\n%s", m.Card, diff)
		}
	}
	// Cards with soaks only are mounted too, beside those of their driver.
	if diff := cmp.Diff([]string{"tern", "owl", "lark"}, order); diff != "" || s.Soaks != 5 || s.Order[1].Soaks != 3 {
		t.Errorf("%d soaks, %d of owl, want 5 and 3; order (-expected +got):\n%s", s.Soaks, s.Order[1].Soaks, diff)
	}
}

// A soak costs the start of its load, what is logged before, its length and its cooling; probes are fixed once a mounting, by hand 25 min here.
func TestSoaksToMake(t *testing.T) {
	p := load(t, strings.Replace(text, `due      = "2027-03-10"`, `takes = { probes = "25m" }`, 1)+`
soak "long" {
  game       = game.fjord
  resolution = resolution.uhd
  cards      = [card.tern]
  lead_in    = "1m"
  length     = "30m"
  cooling    = "5m"
  ambient    = { target_c = 21 }
  probe "core" { on_die = "hottest" }
  probe "board" { thermocouple = { type = "K", class = 1, place = "rear" } }
}
soak "idle" {
  load    = "idle"
  cards   = [card.tern, card.lark]
  length  = "10m"
  ambient = { target_c = 21 }
}
reading "long" {
  card          = card.tern
  soak          = soak.long
  probe         = "core"
  temperature_c = 70
}
reading "board" {
  card          = card.tern
  soak          = soak.long
  probe         = "board"
  temperature_c = 60
}
`)
	tern := plan.Mode{Card: "tern", Mode: "stock"}
	long, idle := plan.SoakRun{Soak: "long", Mode: tern, Repeat: 1}, plan.SoakRun{Soak: "idle", Mode: tern, Repeat: 1}
	if got := SoakCost(p, long); got != (3+1+30+5)*time.Minute {
		t.Errorf("long: %s", got)
	}
	if got := SoakCost(p, idle); got != 10*time.Minute {
		t.Errorf("idle: %s", got)
	}
	if got := ProbesCost(p, []plan.SoakRun{idle, long}); got != 25*time.Minute {
		t.Errorf("probes: %s", got)
	}
	if got := ProbesCost(p, []plan.SoakRun{idle}); got != 0 {
		t.Errorf("no probes: %s", got)
	}
}

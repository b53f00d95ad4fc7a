package report

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/export/archive"
)

func sheet(s Source) string { return string(scriptFile(s).Content) }

// partOf is what stands under a heading.
func partOf(sheet, heading string) string {
	_, after, ok := strings.Cut(sheet, "\n"+heading)
	if !ok {
		return ""
	}
	part, _, _ := strings.Cut(after, "\n## ")
	return part
}

// Sentences stand with the figures they rest on; what is unresolved stands nowhere but among what is not to be said; a sentence that the
// displayed figures contradict is marked (definitions, section 4). 9.4 and 9.94 are the trade's example: shown as 9.4 and 9.9 they make
// 5 percent, in full 6.
func TestScript(t *testing.T) {
	s := drawn()
	s.Words.Modes[1].Title = "Skua"
	diff := &s.Tables.Comparisons[0]
	diff.Firm = some(true)
	s.Tables.Claims = []archive.ClaimRow{{Claim: "c", Says: "half as fast", Verdict: "contradicted", Card: "skua", Mode: "stock"}}
	text := sheet(s)
	if want := "- Skua is 2 percent slower than Tern in Fjord at uhd. −2.0 % [−3.0, −1.0]; 60.0 against 60.0 fps"; !strings.Contains(partOf(text, "## Game by game"), want) {
		t.Errorf("%q is not in %s", want, text)
	}
	if !strings.Contains(text, "**Careful:**") { // 60.0 against 60.0 is no 2 percent
		t.Errorf("nothing is marked in %s", text)
	}
	if said := partOf(text, "## What was hoped"); !strings.Contains(said, "“half as fast”: **contradicted**") || !strings.Contains(said, "It may not be said.") {
		t.Errorf("the claim is %q", said)
	}
	if !strings.Contains(partOf(text, "## Not to be said: anything"), "Skua in Fjord at qhd, only that it does not run there: crash") {
		t.Errorf("the game that does not run is not in %s", text)
	}

	diff.Percent, diff.CILow, diff.CIHigh, diff.Verdict, diff.RepeatsNeeded = some(0.2), some(-1.0), some(1.4), some("unresolved"), some(int32(9))
	text = sheet(s)
	if strings.Contains(text, "## Game by game") {
		t.Errorf("what is unresolved is to be said: %s", text)
	}
	if part := partOf(text, "## Not to be said: which"); !strings.Contains(part, "no difference we can resolve between Skua and Tern in Fjord at uhd. +0.2 % [−1.0, 1.4]") ||
		!strings.Contains(part, "9 launches a side") {
		t.Errorf("not to be said: %q", part)
	}

	s.Words.Cells[0].State = "doubtful"
	if text = sheet(s); strings.Contains(text, "resolve between") || !strings.Contains(text, "- Nothing of Tern in Fjord at uhd, which is doubtful") {
		t.Errorf("a doubtful cell is spoken of: %s", text)
	}

	s.Words.Cells[0].State, diff.Verdict = "ready", some("ahead")
	diff.RepeatsNeeded = nil
	s.Tables.Cells[0].Mean, s.Tables.Cells[1].Mean = some(9.4), some(9.94)
	diff.Percent, diff.CILow, diff.CIHigh = some(100*(9.94/9.4-1)), some(5.5), some(6.1)
	if text = sheet(s); !strings.Contains(text, "6 percent faster") || !strings.Contains(text, "9.9 against 9.4 fps; **Careful:**") {
		t.Errorf("a calculator's 5 percent is not marked: %s", text)
	}
	_, root := pageOf(t, s)
	if read := readText(root); !strings.Contains(read, "To be said of mean frame rates Skua is 6 percent faster than Tern in Fjord at uhd. Careful:") {
		t.Errorf("the page does not say it beside the game: %s", read)
	}
}

// A flag of a claim names the cells that it comes from, at most four of them; where these are all of the claim's, it says so.
func TestClaimsNameTheCellsOfFlags(t *testing.T) {
	s := drawn()
	s.Tables.Claims = []archive.ClaimRow{{Claim: "c", Says: "half as fast", Verdict: "open", Card: "skua", Mode: "stock", Flags: some("cap single")}}
	at := func(size string) Key { return Key{s.Words.Modes[1].Mode, "fjord", "plain", size} }
	s.Words.Claims = []ClaimWords{{Claim: "c", Cells: 6, Minds: []MindWords{{Flag: "cap", Of: []Key{at("uhd"), at("qhd"), at("fhd"), at("hd"), at("sd")}},
		{Flag: "single", Of: []Key{at("uhd"), at("qhd"), at("fhd"), at("hd"), at("sd"), at("cga")}}}}}
	want := []string{"cap: Fjord at uhd, Fjord at qhd, Fjord at fhd, Fjord at hd, 1 more", "single: all of its cells"}
	if got := s.Words.minds(s.Tables.Claims[0]); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	text := sheet(s)
	_, root := pageOf(t, s)
	for _, w := range want {
		if !strings.Contains(text, "Mind: "+w+".") || !strings.Contains(readText(root), w) {
			t.Errorf("%q is not said", w)
		}
	}
	s.Words.Claims[0].Minds = nil // an edition of an earlier release
	if got := s.Words.minds(s.Tables.Claims[0]); !slices.Equal(got, []string{"cap", "single"}) {
		t.Errorf("without cells: %q", got)
	}
}

// After CommonMark, sections 2.4 and 4 to 6: a backslash takes the meaning from a sign, and no text begins a block of its own.
func TestTextStaysText(t *testing.T) {
	for text, want := range map[string]string{
		"<b>": `\<b\>`, "a_b*c*": `a\_b\*c\*`, "[x](y)": `\[x\](y)`, "`x`": "\\`x\\`", "- x": `\- x`, "+1": `\+1`, "# x": `\# x`, "12. x": `12\. x`, "3) x": `3\) x`,
		"a\n\n# b": `a \# b`, "&amp;": `\&amp;`, "=cmd()": `\=cmd()`, "x 12.5": "x 12.5", "\u202eabc": "\ufffdabc", "🚀": "🚀", "a|b": `a\|b`, `\`: `\\`,
	} {
		if got := escaped(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := drawn()
		name := func() string {
			return rapid.OneOf(rapid.SampledFrom([]string{"<script>x</script>", "\n\n# x", "\n- x", "```", "שלום", "=cmd()"}), rapid.String()).Draw(t, "name")
		}
		for i := range s.Words.Modes {
			s.Words.Modes[i].Title = name()
		}
		s.Words.Games[0].Title, s.Words.Title, s.Words.Cells[3].Why = name(), name(), []string{name()}
		s.Tables.Claims = []archive.ClaimRow{{Claim: "c", Says: name(), Said: some(name()), Verdict: "open", Card: "skua", Mode: "stock"}}
		plain := drawn()
		plain.Tables.Claims = []archive.ClaimRow{{Claim: "c", Says: "x", Said: some("x"), Verdict: "open", Card: "skua", Mode: "stock"}}
		got, want := strings.Split(sheet(s), "\n"), strings.Split(sheet(plain), "\n")
		if len(got) != len(want) {
			t.Fatalf("%d lines, and %d with plain names: %q", len(got), len(want), got)
		}
		for i := range got {
			if strings.HasPrefix(got[i], "#") != strings.HasPrefix(want[i], "#") || strings.HasPrefix(got[i], "- ") != strings.HasPrefix(want[i], "- ") {
				t.Fatalf("line %d is of another kind: %q", i, got[i])
			}
			if strings.Contains(strings.ReplaceAll(got[i], `\<`, ""), "<") {
				t.Fatalf("markup in %q", got[i])
			}
		}
	})
}

// A step of a fan sweep is said by its level with the meter's uncertainty, one that the background hides by none; what is worked out between
// two steps stands at equal noise alone. A level of 38.1 give or take 1.4 is about 38 (definitions, section 4).
func TestSweepsAndEqualNoise(t *testing.T) {
	s := drawn()
	s.Words.Modes[1].Title = "Skua"
	step := func(fan float64, figure string, x *float64, unit string) archive.ReadingRow {
		return archive.ReadingRow{Card: "skua", Mode: some(s.Words.Modes[1].Mode.Mode), Protocol: some("fan"), FanPct: some(fan), Figure: figure, Value: x, Unit: unit}
	}
	level, core, hidden, treated := step(45, "sound_level_db", some(38.06), "dB"), step(45, "rise_k", some(41.4), "K"), step(30, "sound_level_db", some(32.5), "dB"),
		step(30, "sound_treatment", nil, "")
	atTarget := step(55.8, "rise_at_target_k", some(39.3), "K")
	atTarget.Sensor = some("core")
	level.Expanded, core.Sensor, treated.Text = some(1.4), some("core"), some("upper_bound")
	s.Tables.Readings = []archive.ReadingRow{level, core, hidden, treated, atTarget}
	s.Words.Protocols = []ProtocolWords{{Soak: "half_hour", Load: "idle", LengthS: 60, SettleS: 30, TargetDB: 42, Sweeps: []string{"fan"}}}
	soaked := func(figure string, x float64, unit string) archive.ReadingRow {
		return archive.ReadingRow{Card: "tern", Mode: some(s.Words.Modes[0].Mode.Mode), Protocol: some("half_hour"), Sensor: some("core"), Figure: figure, Value: some(x), Unit: unit}
	}
	off := soaked("off_target_db", 2.1, "dB")
	off.Flags = some("off_target")
	s.Tables.Readings = append(s.Tables.Readings, off)
	text := sheet(s)
	for _, want := range []string{"- The sound level of Skua is about 38 dB in the sweep fan with the fan at 45 %. 38.1 dB ± 1.4; core 41.4 K above its room\n",
		"- No level may be said of Skua in the sweep fan with the fan at 30 %. at most 32.5 dB, the background hides more\n",
		"## At equal noise: half\\_hour at 42 dB\n", "- Skua: core 39.3 K above its room; fan at 56 %; from the sweep fan, between two of its steps on a straight line",
		"- Tern: not at that level: 2.1 dB louder as soaked\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %s", want, text)
		}
	}
	if _, root := pageOf(t, s); !strings.Contains(readText(root), "Soak half_hour at equal noise, 42 dB") || !strings.Contains(readText(root), "2.1 dB louder as soaked") {
		t.Errorf("equal noise is not on the page: %s", readText(root))
	}
	// Within the tolerance a mode stands there as soaked: the mean over its soaks, of 55.0 and 55.2 K.
	off.Flags, off.Value = nil, some(0.1)
	s.Tables.Readings = []archive.ReadingRow{atTarget, off, soaked("rise_k", 55.0, "K"), soaked("rise_k", 55.2, "K")}
	if text := sheet(s); !strings.Contains(text, "- Tern: core 55.1 K above its room; as soaked\n") {
		t.Errorf("the mode near the level is not in %s", text)
	}
	if strings.Contains(text, "at 55.8 %") {
		t.Error("what is worked out between two steps stands among the steps")
	}
}

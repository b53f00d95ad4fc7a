package changes

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history/madeup"
	"github.com/rigslate/rigslate/export/report"
)

func some[T any](x T) *T { return &x }

// What a viewer notices is a matter of what stands before him, not of the numbers behind it.
func TestJudge(t *testing.T) {
	was := report.Displayed{Title: "A against B", Value: some(5.04), Low: some(4.1), High: some(6.0), Text: "+5.0 %", Interval: "[4.1, 6.0]", Verdict: "ahead", Firm: true,
		Sentence: "A is 5 percent faster than B.", Sayable: true}
	for _, c := range []struct {
		name   string
		change func(*report.Displayed)
		want   Word
	}{
		{"nothing", func(*report.Displayed) {}, ""},
		{"the last bit, as of another architecture", func(d *report.Displayed) { d.Value = some(5.04 * (1 + 2e-16)) }, ""},
		{"beyond the digits", func(d *report.Displayed) { d.Value = some(5.041) }, Unseen},
		{"an interval that is there no more", func(d *report.Displayed) { d.Low = nil }, Unseen},
		{"the interval's digits", func(d *report.Displayed) { d.Low, d.Interval = some(4.0), "[4.0, 6.0]" }, Bracket},
		{"firm", func(d *report.Displayed) { d.Firm = false }, Bracket},
		{"the figure's digits", func(d *report.Displayed) { d.Value, d.Text = some(5.1), "+5.1 %" }, Shown},
		{"the sentence", func(d *report.Displayed) {
			d.Value, d.Text, d.Sentence = some(5.6), "+5.6 %", "A is 6 percent faster than B."
		}, Reworded},
		{"the name of a card", func(d *report.Displayed) { d.Title, d.Sentence = "C against B", "C is 5 percent faster than B." }, ""},
		{"the margin of what is level", func(d *report.Displayed) { d.Sentence = "A and B are the same, within 2 percent." }, Reworded},
		{"the verdict", func(d *report.Displayed) { d.Verdict, d.Sentence = "unresolved", "" }, Flipped},
	} {
		is := was
		c.change(&is)
		if got := Judge(was, is); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	mute := was
	mute.Sentence, mute.Sayable = "There is no difference we can resolve in 3 games.", false
	less := mute
	less.Sentence, less.Text = "There is no difference we can resolve in 2 games.", "+5.1 %"
	if got := Judge(mute, less); got != Shown {
		t.Errorf("what could not be said and cannot be: %q, want %q", got, Shown)
	}
}

// run is a pass of the one cell, whose content is told by hash.
func run(repeat int, path, hash, status, reason string) archive.RunRow {
	r := archive.RunRow{RunID: hash, Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Repeat: int32(repeat), SourcePath: path,
		SourceSHA256: hash, Status: status, Driver: some("612.4")}
	if reason != "" {
		r.VoidReason = &reason
	}
	return r
}

func TestPasses(t *testing.T) {
	was, is := Edition{}, Edition{}
	was.Source.Tables.Runs = []archive.RunRow{run(1, "a1.csv", "aa", "used", ""), run(2, "a2.csv", "ab", "used", ""), run(3, "a3.csv", "ac", "used", ""),
		run(4, "a4.csv", "ad", "void", "the wrong preset"), run(5, "a5.csv", "ae", "used", ""), run(6, "a6.csv", "af", "used", "")}
	is.Source.Tables.Runs = []archive.RunRow{run(1, "a1.csv", "aa", "used", ""), run(2, "a2.csv", "ba", "used", ""), run(3, "a3.csv", "ac", "void", "an update ran"),
		run(4, "a4.csv", "ad", "used", ""), run(5, "a5b.csv", "bb", "used", ""), run(6, "renamed.csv", "af", "superseded", ""), run(7, "a7.csv", "bc", "used", "")}
	var got []string
	for _, p := range passes(was, is) {
		got = append(got, strings.Join([]string{string(rune('0' + p.Repeat)), p.What, hash(p.Was), hash(p.Is)}, " | "))
	}
	want := []string{"2 | was made anew | ab | ba", "3 | was set aside: “an update ran” | ac | ac", "4 | counts again | ad | ad", "5 | was made anew | ae | bb",
		"6 | gave way to newer ones | af | af", "7 | is new |  | bc"}
	if !slices.Equal(got, want) {
		t.Errorf("passes\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if back := passes(is, was); len(back) != len(want) || back[5].What != "is no longer there" {
		t.Errorf("the other way round: %+v", back)
	}
	if text := together(passes(was, is)); !slices.Contains(text, "passes 2 and 5 were made anew") || !slices.Contains(text, "pass 7 is new") {
		t.Errorf("together: %q", text)
	}
}

func hash(p *Pass) string {
	if p == nil {
		return ""
	}
	return p.SHA256
}

// A new driver stands with the passes that were made on it, not with those that the plan's word alone is of.
func TestCircumstances(t *testing.T) {
	was := []archive.RunRow{run(1, "a1.csv", "aa", "used", ""), run(2, "a2.csv", "ab", "used", "")}
	is := slices.Clone(was)
	is[1].Driver, is[1].Firmware = some("650.1"), some("quiet")
	if got := circumstances(was, is); !slices.Equal(got, []string{"driver 612.4 and 650.1 instead of 612.4"}) {
		t.Errorf("one pass on another driver: %q", got)
	}
	is[1].Status = "void"
	if got := circumstances(was, is); len(got) > 0 {
		t.Errorf("a void pass on another driver: %q", got)
	}
}

func TestPlanFacts(t *testing.T) {
	was, is := Edition{plan: map[string]string{}}, Edition{plan: map[string]string{}}
	leaves(was.plan, "", map[string]any{"card": map[string]any{"heron_x": map[string]any{"driver": "612.4", "mode": map[string]any{"stock": map[string]any{}}}},
		"matrix": []any{map[string]any{"repeats": 3.0}}, "void": map[string]any{}, "private": map[string]any{"bench": "cellar"}})
	leaves(is.plan, "", map[string]any{"card": map[string]any{"heron_x": map[string]any{"driver": "650.1", "mode": map[string]any{"stock": map[string]any{}}}},
		"matrix": []any{map[string]any{"repeats": 5.0, "cards": []any{"heron_x", "skua"}}}, "void": map[string]any{"a2.csv": map[string]any{"reason": "an update ran"}}})
	want := []PlanChange{{"card.heron_x.driver", "612.4", "650.1"}, {"matrix.1.cards", "", "heron_x, skua"}, {"matrix.1.repeats", "3", "5"}}
	if got := planFacts(was, is); !slices.Equal(got, want) {
		t.Errorf("plan: %+v\nwant %+v", got, want)
	}
}

// publish makes an edition of an invented review, of the kind that was published before reports had words and files were listed, and reads it.
func publish(t *testing.T, r madeup.Review) Edition {
	t.Helper()
	dir := t.TempDir()
	id, err := r.Publish(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	a, err := archive.Look(dir)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := archive.ReadEdition(a.EditionDir(r.Name, id))
	if err != nil {
		t.Fatal(err)
	}
	e, err := Read(raw)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// A card that makes 110 frames a second and, measured again, 110 · 1.03 = 113.3; the reference stays. All is by the invented review's own numbers.
func TestOldEditions(t *testing.T) {
	old := madeup.Review{Name: "spring", At: time.Date(2026, 4, 1, 9, 0, 0, 0, time.UTC), Rig: "bench_a", OS: "1", Driver: "612.4",
		Cards: map[string]float64{"tern_ref": 100, "heron_x": 110}, Repeats: 3, Games: []string{"fjord"}, Sizes: []string{"uhd"}, Passes: "a"}
	later := old
	later.At, later.Driver, later.Cards = old.At.AddDate(0, 1, 0), "650.1", map[string]float64{"tern_ref": 100, "heron_x": 113.3}
	was, is := publish(t, old), publish(t, later)
	if !was.Bare || !is.Bare {
		t.Fatal("the invented editions have words; then this is no test of old ones")
	}
	p, err := Between(was, is, later.At)
	if err != nil {
		t.Fatal(err)
	}
	c := p.Compare()
	var seen *Figure
	for i, f := range c.Figures {
		if f.Subject.Figure == "mean_fps" && f.Subject.Kind == report.DisplayedCell {
			if seen != nil {
				t.Errorf("also %s changed: %s", f.Subject, f.Word)
			}
			seen = &c.Figures[i]
		}
	}
	if seen == nil || seen.Subject.Of.Card != "heron_x" || seen.Word != Shown || seen.Was.Text != "110.0 fps" || seen.Is.Text != "113.3 fps" {
		t.Fatalf("the changed cell: %+v", seen)
	}
	if got := c.Reasons[seen.Why[0]-1].Text; got != "driver 650.1 instead of 612.4" {
		t.Errorf("why: %q", got) // the invented passes have the same content, which no true ones would
	}
	if text := c.Erratum(); !strings.Contains(text, "- heron\\_x in fjord at uhd, mean frame rate: was 110.0 fps") || !strings.Contains(text, "is 113.3 fps") {
		t.Errorf("erratum: %s", text)
	}
	if err := p.CompareCharts(&c); err != nil || c.NoCharts == "" || len(c.Charts) > 0 {
		t.Errorf("charts of editions that do not know what theirs were: %v, %q, %v", err, c.NoCharts, c.Charts)
	}
	later.Name = "autumn"
	if _, err := Between(was, publish(t, later), later.At); !errors.Is(err, ErrUnlike) || !strings.Contains(err.Error(), "is of spring") {
		t.Errorf("two reviews: %v", err)
	}
}

// The same edition on both sides: all figures are the same, and the erratum says that there is none.
func TestNothingChanged(t *testing.T) {
	r := madeup.Review{Name: "spring", At: time.Date(2026, 4, 1, 9, 0, 0, 0, time.UTC), Rig: "bench_a", Cards: map[string]float64{"tern_ref": 100, "heron_x": 110},
		Repeats: 3, Noise: 0.01, Games: []string{"fjord", "kelp"}, Sizes: []string{"uhd"}, Passes: "a"}
	p, err := Between(publish(t, r), publish(t, r), r.At)
	if err != nil {
		t.Fatal(err)
	}
	c := p.Compare()
	if len(c.Figures)+len(c.Passes)+len(c.Plan)+len(c.Cells) > 0 || c.Same == 0 || len(c.Counts) > 0 {
		t.Errorf("%d the same; %+v", c.Same, c)
	}
	if !strings.Contains(c.Erratum(), "Nothing that could be heard or seen changed") {
		t.Error(c.Erratum())
	}
}

// A claim on a soak is behind what its soak is, not behind the games that the card ran.
func TestSoakCauses(t *testing.T) {
	heron := report.Mode{Card: "heron_x", Mode: "stock"}
	was, is := Edition{plan: map[string]string{"reading.desk.db": "31"}}, Edition{plan: map[string]string{"reading.desk.db": "33", "claim.quiet.soak": "desk"}}
	was.Source.Words.Soaks = []report.SoakWords{{Mode: heron, Soak: "desk", Repeat: 1, State: "ready"}, {Mode: heron, Soak: "gone", Repeat: 1, State: "ready"}}
	is.Source.Words.Soaks = []report.SoakWords{{Mode: heron, Soak: "desk", Repeat: 1, State: "doubtful", Why: []string{"the room was warm"}}}
	was.Source.Tables.Runs = []archive.RunRow{run(1, "a1.csv", "aa", "used", "")}
	is.Source.Tables.Runs = []archive.RunRow{run(1, "a1.csv", "ba", "used", "")}
	is.Source.Tables.Readings = []archive.ReadingRow{{Card: "heron_x", Mode: some("stock"), Protocol: some("desk"), Figure: "sound_level_db", Source: some("reading.desk")}}
	for _, e := range []*Edition{&was, &is} {
		e.Source.Tables.Cells = []archive.CellRow{{Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Metric: "mean_fps", State: "ready"}}
	}
	c := Changes{Soaks: soaks(was, is), Passes: passes(was, is), Plan: planFacts(was, is)}
	if len(c.Soaks) != 2 || c.Soaks[0].Is != "doubtful" || c.Soaks[1].Was != "ready" || c.Soaks[1].Is != "" {
		t.Errorf("soaks: %+v", c.Soaks)
	}
	b := behind(was, is, c)
	texts := func(s report.Subject) (out []string) {
		for _, x := range b.of(Figure{Is: &report.Displayed{Subject: s}}) {
			out = append(out, x.Text)
		}
		return out
	}
	want := []string{"desk: soak 1 is doubtful now, the room was warm", "desk: what was noted by hand is another"}
	if got := texts(report.Subject{Kind: report.DisplayedClaim, Claim: "quiet", Of: heron}); !slices.Equal(got, want) {
		t.Errorf("the claim on the soak: %q, want %q", got, want)
	}
	if got := texts(report.Subject{Kind: report.DisplayedReading, Protocol: "desk", Of: report.Mode{Card: "skua", Mode: "stock"}}); len(got) > 0 {
		t.Errorf("another card's soak: %q", got)
	}
	if got := texts(report.Subject{Kind: report.DisplayedCell, Of: heron, Game: "fjord", Variant: "plain", Resolution: "uhd"}); !slices.Equal(got, []string{"pass 1 was made anew"}) {
		t.Errorf("the cell: %q", got)
	}
}

// Whatever a plan calls its things, the text under the video is lines of text: no tag, no list or heading of its own, nothing that is cut or
// turned round.
func TestHostileNamesInTheErratum(t *testing.T) {
	for _, name := range []string{`<script>alert(1)</script>`, "two\nlines", "# heading", "- list", "1. list", "`code`", "\u202eright to left", "[link](x)"} {
		was := report.Displayed{Title: name, Charted: true, Text: "5.0 " + name, Value: some(5.0), Sentence: name + " is faster.", Sayable: true, Verdict: "ahead"}
		is := was
		is.Verdict, is.Sentence = "level", "The same as "+name
		seen := was
		seen.Sentence, seen.Sayable, seen.Text = "", false, "6.0 "+name
		mute := was
		mute.Sentence, mute.Sayable = "", false
		c := Changes{Title: name, Old: Side{Edition: "e1"}, New: Side{Edition: "e2"}, Reasons: []Cause{{Text: name}},
			Figures: []Figure{{Word: Flipped, Was: &was, Is: &is, Why: []int{1}}, {Word: Shown, Was: &mute, Is: &seen, Why: []int{1}}, {Word: Withdrawn, Was: &was}}}
		text := c.Erratum()
		headings, lines := 0, 0
		for line := range strings.Lines(text) {
			switch {
			case strings.HasPrefix(line, "# Correction: "), strings.HasPrefix(line, "## "):
				headings++
			case strings.HasPrefix(line, "- "):
				lines++
			case strings.TrimSpace(line) != "" && !strings.HasPrefix(line, "This video rests on"):
				t.Errorf("%q makes a line of its own: %q", name, line)
			}
		}
		if headings != 5 || lines != 4 { // title, flipped, withdrawn, on screen, why; what is withdrawn has a sentence, so no line on screen
			t.Errorf("%q: %d headings and %d lines in\n%s", name, headings, lines, text)
		}
		if bare := strings.NewReplacer(`\<`, "", `\>`, "", "\\`", "", `\[`, "").Replace(text); strings.ContainsAny(bare, "<`[\u202e") {
			t.Errorf("%q stands as it is in\n%s", name, text)
		}
		if strings.Contains(text, "- "+name) {
			t.Errorf("%q begins a line as it is: %s", name, text)
		}
	}
}

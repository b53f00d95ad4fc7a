package review

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/klauspost/compress/zstd"

	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

const controlPlan = `
review "bench" {
  baseline = card.tern_ref.stock
}
card "tern_ref" {
  vendor = "marram"
  mode "stock" {}
  mode "quiet" {}
}
card "heron_x" { vendor = "marram" }
game "fjord" {
  drive = "built-in"
  keep  = { warmup = "3s", length = "30s" }
  accept {
    min_length = "20s"
    max_spread = "5%"
  }
}
resolution "qhd" { size = "2560x1440" }
resolution "uhd" { size = "3840x2160" }
matrix { repeats = 4 }
control { cell = [card.tern_ref.stock, game.fjord, resolution.qhd] }
files "frame_times" {
  path       = "captures/{card}-{mode}_{resolution}_{repeat}.csv"
  log        = "log.csv"
  frame_time = { column = "frame_ms", unit = "ms" }
}
`

// demoFrames are the frame times of one of the demo's captures, in ms.
func demoFrames(t *testing.T) (ms []float64) {
	t.Helper()
	f, err := os.Open("../../../testdata/demo/captures/tern_ref-stock/fjord-plain_qhd_1.csv.zst")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := zstd.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Fields(string(text)) {
		if x, err := strconv.ParseFloat(line, 64); err == nil && x > 1 {
			ms = append(ms, x)
		}
	}
	return ms[1:] // the loading screen's frame
}

// paced is a bench of three card·modes, two resolutions and passes 1 to 4 in the sessions of the same place, all the same demo
// capture at another pace: 0.3 % from pass to pass, half the rate at uhd, and slow by pace(session) in ms over ms.
func paced(t *testing.T, plan, sessions string, pace func(card, session string, pass int, s float64) float64) string {
	t.Helper()
	dir := t.TempDir()
	rng := rand.New(rand.NewPCG(7, 11))
	base := demoFrames(t)
	log := "file,session\n"
	if err := os.Mkdir(filepath.Join(dir, "captures"), 0o777); err != nil {
		t.Fatal(err)
	}
	for i, card := range []string{"tern_ref-stock", "tern_ref-quiet", "heron_x-stock"} {
		for j, resolution := range []string{"qhd", "uhd"} {
			for pass := 1; pass <= 4; pass++ {
				session := strings.TrimSpace(sessions[pass-1 : pass])
				usual := (1 + 0.06*float64(i)) * float64(1+j) * math.Exp(0.003*rng.NormFloat64())
				text, at := "frame_ms\n", 0.0
				for _, x := range base {
					x *= usual * math.Exp(0.01*rng.NormFloat64()) * pace(card, session, pass, at)
					at += x / 1000
					text += fmt.Sprintf("%.3f\n", x)
				}
				name := fmt.Sprintf("captures/%s_%s_%d.csv", card, resolution, pass)
				log += name + "," + session + "\n"
				if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o666); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	for name, text := range map[string]string{"plan.hcl": plan, "log.csv": log} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func has(kind coverage.Kind) func(coverage.Reason) bool {
	return func(r coverage.Reason) bool { return r.Kind == kind }
}

// In session c tern_ref runs 3.2 % slower in everything: every pass of it in that session is doubtful, in both modes, and says so in
// the tables; the other card's session of the same label is another mounting.
func TestASessionOutOfLimitsIsDoubtful(t *testing.T) {
	r := do(t, options(paced(t, controlPlan, "abcd", func(card, session string, _ int, _ float64) float64 {
		if session == "c" && strings.HasPrefix(card, "tern_ref") {
			return 1.032
		}
		return 1
	})))
	for _, c := range r.Cells {
		want, again := coverage.Ready, []int(nil)
		if c.Cell.Card == "tern_ref" {
			want, again = coverage.Doubtful, []int{3}
		}
		if c.State != want || !slices.Equal(c.Again, again) {
			t.Errorf("%s is %s, to run %v: %v", c.Cell.Key, c.State, c.Again, c.Why)
		}
	}
	tables := r.tables()
	for _, row := range tables.Runs {
		words := []string{}
		if row.Flags != nil {
			words = strings.Fields(*row.Flags)
		}
		if want := row.Card == "tern_ref" && row.Repeat == 3; slices.Contains(words, "control") != want {
			t.Errorf("%s: flags %v", row.SourcePath, words)
		}
		if row.Mode == "stock" && row.Resolution == "qhd" && slices.Contains(words, "suspect") {
			t.Errorf("%s: the same news twice, %v", row.SourcePath, words)
		}
	}
	for _, row := range tables.Cells {
		if doubtful := row.State == "doubtful"; doubtful != (row.Flags != nil && slices.Contains(strings.Fields(*row.Flags), "control")) {
			t.Errorf("%s %s %s: state %s", row.Card, row.Mode, row.Metric, row.State)
		}
	}
}

// A control pass that something else slowed for a while is doubtful by itself and says nothing about its session.
func TestADisturbedControlBlamesNoSession(t *testing.T) {
	r := do(t, options(paced(t, controlPlan, "abcd", func(card, session string, _ int, s float64) float64 {
		if session == "c" && card == "tern_ref-stock" && s > 10 && s < 15 {
			return 1.4
		}
		return 1
	})))
	disturbed := false
	for _, p := range r.Passes {
		if slices.ContainsFunc(p.Doubts, has(kindControl)) {
			t.Errorf("%s: %v", p.File.Path, p.Doubts)
		}
		disturbed = disturbed || slices.ContainsFunc(p.Doubts, has(kindDisturbed))
	}
	if !disturbed {
		t.Error("no pass is disturbed, so this test shows nothing")
	}
}

func steady(string, string, int, float64) float64 { return 1 }

// Without recorded sessions, or with one, a control is passed in vain, and that is said; sessions that agree are all in limits.
func TestControlsThatTellNothing(t *testing.T) {
	long(t)
	for sessions, want := range map[string]string{
		"    ": "no pass of it is of a recorded session", "aaaa": "all its passes are of one session", "abcd": "", "aabb": "",
	} {
		r := do(t, options(paced(t, controlPlan, sessions, steady)))
		i := slices.IndexFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == "Control tells nothing yet" })
		if (want == "") != (i < 0) || i >= 0 && !strings.Contains(r.Findings[i].Detail, want) {
			t.Errorf("sessions %q: findings %v", sessions, r.Findings)
		}
		if !r.Ready {
			t.Errorf("sessions %q: not ready", sessions)
		}
	}
}

// Two sessions that differ: said of both in a finding and as a flag on every cell of the card, and nothing is doubtful.
func TestTwoSessionsApart(t *testing.T) {
	r := do(t, options(paced(t, controlPlan, "aabb", func(card, session string, _ int, _ float64) float64 {
		if session == "b" && strings.HasPrefix(card, "tern_ref") {
			return 1.035
		}
		return 1
	})))
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Summary == "Two sessions differ by their control" }) {
		t.Errorf("findings %v", r.Findings)
	}
	for _, c := range r.Cells {
		flagged := slices.ContainsFunc(c.Flags, func(f Flag) bool { return f.Word == flagControl })
		if flagged != (c.Cell.Card == "tern_ref") || slices.ContainsFunc(c.Why, has(kindControl)) {
			t.Errorf("%s: flags %v, %v", c.Cell.Key, c.Flags, c.Why)
		}
	}
}

// Two controls of a card are told apart by name.
func TestTwoControlsOfACard(t *testing.T) {
	plan := controlPlan + "control { cell = [card.tern_ref.quiet, game.fjord, resolution.uhd] }\n"
	r := do(t, options(paced(t, plan, "abcd", func(_, session string, _ int, _ float64) float64 {
		if session == "d" {
			return 0.965
		}
		return 1
	})))
	var texts []string
	for _, p := range r.Passes {
		for _, d := range p.Doubts {
			if d.Kind == kindControl && !slices.Contains(texts, d.Text) {
				texts = append(texts, d.Text)
			}
		}
	}
	if len(texts) != 2 || !strings.HasPrefix(texts[0], "control tern_ref·stock fjord·plain qhd of session d is 3.") ||
		!strings.HasPrefix(texts[1], "control tern_ref·quiet fjord·plain uhd of session d is 3.") || !strings.Contains(texts[0], " above those of sessions a, b and c (limit 2.5 %)") {
		t.Errorf("%q", texts)
	}
}

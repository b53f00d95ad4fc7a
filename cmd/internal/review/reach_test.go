package review

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/rigslate/rigslate/plan"
)

// reachOf loads a plan and returns the reach of its only game.
func reachOf(t *testing.T, o Options) (Reach, SessionAhead) {
	t.Helper()
	r, err := Load(o)
	if err != nil {
		t.Fatal(err, r.Findings)
	}
	games, session := r.Reach()
	if len(games) != 1 {
		t.Fatalf("%d games", len(games))
	}
	return games[0], session
}

func wantNear(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*want) {
		t.Errorf("%s is %.10g, want %.10g", what, got, want)
	}
}

// The figures are R 4.2.2's: power.t.test(n = 3, sd = log(1.005), power = 0.8) gives the difference, in percent 1.5434099739;
// power.t.test(delta = log(1.01), sd = log(1.005), power = 0.8) 5.1087 launches; the chance is Phillips's formula integrated, 0.378940490 with
// three launches, 0.781 with five and 0.882 with six. The time by hand: a launch more is 3 min of start-up; a pass more is 30 s of reset and
// 60 s of capture, a tenth of each again: 99 s, of which the 33 s of resets need hands.
func TestReachAsExpected(t *testing.T) {
	for _, tt := range []struct {
		repeats string
		passes  int // that a launch more takes, in both cells
	}{{"repeats = 3", 2}, {"repeats  = 6\n  launches = 3", 4}} {
		dir := t.TempDir()
		text := fmt.Sprintf(`
review "spring" {
  baseline = card.tern_ref.stock
  takes    = { startup = "3m", reset = "30s", redo = "10%%" }
}
card "tern_ref" { vendor = "marram" }
card "heron_x" { vendor = "marram" }
game "fjord" {
  drive = "built-in"
  keep  = { warmup = "10s", length = "50s" }
}
resolution "qhd" { size = "2560x1440" }
matrix {
  %s
}
files "log" {
  path        = "captures/{card}_{repeat}.csv"
  frame_time  = { column = "ms", unit = "ms" }
  measured_at = "present"
}
statistics { session_spread = "0%%" }
`, tt.repeats)
		if err := os.WriteFile(filepath.Join(dir, "plan.hcl"), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		before := tree(t, dir)
		x, session := reachOf(t, options(dir))
		if diff := cmp.Diff(before, tree(t, dir)); diff != "" {
			t.Errorf("something was written: %s", diff)
		}
		if x.Of != (plan.GameVariant{Game: "fjord", Variant: "plain"}) || x.Cells != 2 || x.Launches != 3 || x.Most != 3 || len(x.Editions) > 0 {
			t.Errorf("%+v", x)
		}
		if session.U != 0 || session.Source != "plan" || session.Own || session.Reviews > 0 {
			t.Errorf("session spread %+v", session)
		}
		wantNear(t, "what shows", x.Shows.X, 1.5434099739, 1e-9)
		wantNear(t, "the chance of level", x.LevelChance.X, 0.378940490, 1e-8)
		for what, n := range map[string]Need{"lead": x.Lead, "level": x.Level} {
			launches := 6 * 3 * time.Minute // six launches are needed and three planned, in two cells
			passes := time.Duration(3 * tt.passes)
			want := Need{n.Repeats, 3 * tt.passes, passes * 33 * time.Second, passes*66*time.Second + launches, passes*99*time.Second + launches}
			if n.K != 6 || n != want {
				t.Errorf("%s: %+v, want %+v", what, n, want)
			}
		}
	}
}

// By hand and by R 4.2.2: the edition's two cells have c² = 6e-6 with 3 degrees of freedom each, 6 together, so its upper limit is
// 6e-6·6/qchisq(0.2, 6) = 1.17260e-5; with u² = 6e-6 and four launches SE² is that of sd = sqrt(1.17260e-5 + 4·6e-6), for which
// power.t.test(n = 4, power = 0.8) gives 1.43318078 %. However many launches, level within 1 % keeps a chance below
// 2·pnorm(log(1.01)/sqrt(12e-6) − qnorm(0.95)) − 1 = 0.78; with four it has 0.382598.
func TestReachFromEarlierEditions(t *testing.T) {
	root := t.TempDir()
	last := do(t, winter.make(t, root))
	next := benchDay{"next", "bench_a", "sixteen cores", winter.offsets, nil}
	check := func(o Options, own bool) {
		t.Helper()
		x, session := reachOf(t, o)
		if session.Source != "archive" || session.Own != own || (session.Reviews == 1) == own {
			t.Errorf("session spread %+v", session)
		}
		if x.Noise.Cells != 2 || len(x.Editions) != 1 || x.Editions[0] != (EditionName{"winter", last.Kept.Edition}) {
			t.Errorf("from %d cells of %v", x.Noise.Cells, x.Editions)
		}
		wantNear(t, "c²", x.Noise.Variance, 6e-6, 1e-4)
		wantNear(t, "its limit", x.Noise.Planned, 1.17260e-5, 1e-4)
		wantNear(t, "what shows", x.Shows.X, 1.43318078, 1e-4)
		wantNear(t, "the chance of level", x.LevelChance.X, 0.382598, 1e-3)
		if x.Level.OK || x.Level.Why != "not reachable with this session spread" || x.Level.Total != 0 {
			t.Errorf("level: %+v", x.Level)
		}
	}
	check(next.make(t, root), false)
	check(options(filepath.Join(root, "winter")), true)

	// How noisy launches are goes with the scene, and what a session moves with the rig.
	elsewhere := next
	elsewhere.name, elsewhere.rig = "elsewhere", "bench_b"
	o := elsewhere.make(t, root)
	if x, session := reachOf(t, o); x.Noise.Cells != 2 || session.Source != "default" {
		t.Errorf("on another rig: %d cells, session spread %+v", x.Noise.Cells, session)
	}
	for from, to := range map[string]string{`drive = "built-in"`: `drive = "by hand"`, `keep  = "all"`: `keep  = { warmup = "1s", length = "1s" }`} {
		o := next.make(t, root)
		edit(t, filepath.Join(o.Plans[0], "plan.hcl"), from, to)
		x, session := reachOf(t, o)
		if len(x.Editions) > 0 || x.Noise.Cells > 0 || session.Reviews != 1 {
			t.Errorf("%s: %d cells of %v, session spread %+v", to, x.Noise.Cells, x.Editions, session)
		}
		wantNear(t, "the expected spread", math.Sqrt(x.Noise.Planned), math.Log(1.005), 1e-12)
	}
}

package review

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/finding"
)

// benchDay is a small review of two cards in one game: so many sessions of the baseline's passes, whose rates are off 83 fps by so much
// on the logarithm's scale.
type benchDay struct {
	name, rig, cpu string
	offsets        []float64 // one pass each
	sessions       []string  // of the baseline's passes; nil: nobody wrote them down
}

// make writes plan, bench log and captures below root, where all share one archive.
func (b benchDay) make(t *testing.T, root string) Options {
	t.Helper()
	dir := filepath.Join(root, b.name)
	if err := os.MkdirAll(filepath.Join(dir, "captures"), 0o777); err != nil {
		t.Fatal(err)
	}
	put := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	put("plan.hcl", fmt.Sprintf(`
review %q {
  rig      = rig.%s
  baseline = card.tern_ref.stock
  archive  = "../archive"
}
rig %q { fixed = { cpu = %q } }
card "tern_ref" { vendor = "marram" }
card "heron_x" { vendor = "marram" }
game "fjord" {
  drive = "built-in"
  keep  = "all"
  accept {
    min_length = "1s"
  }
}
resolution "qhd" { size = "2560x1440" }
matrix { repeats = %d }
files "log" {
  path        = "captures/{card}_{repeat}.csv"
  log         = "bench.csv"
  text        = { delimiter = ",", comment = "#" }
  frame_time  = { column = "ms", unit = "ms" }
  measured_at = "present"
}
`, b.name, b.rig, b.rig, b.cpu, len(b.offsets)))
	log := "file,card,mode,game,variant,resolution,repeat,session\n"
	for i, offset := range b.offsets {
		for _, card := range []string{"tern_ref", "heron_x"} {
			ms := 1000 / (83 * math.Exp(offset))
			name := fmt.Sprintf("captures/%s_%d.csv", card, i+1)
			put(name, fmt.Sprintf("# %s, %s %d\nms\n", b.name, card, i+1)+strings.Repeat(fmt.Sprintf("%.6f\n%.6f\n", 1.01*ms, 0.99*ms), 100))
			session := "only"
			if b.sessions == nil {
				session = ""
			} else if card == "tern_ref" {
				session = b.sessions[i]
			}
			log += fmt.Sprintf("%s,%s,stock,fjord,plain,qhd,%d,%s\n", name, card, i+1, session)
		}
	}
	put("bench.csv", log)
	return options(dir)
}

// By hand: session means off by 0, 3, −3 and 0 thousandths vary by (9 + 9)e-6/3 = 6e-6 with 3 degrees of freedom; 0, 6 and −6 by
// 72e-6/2 = 36e-6 with 2. Together (3·6 + 2·36)e-6/5 = 18e-6 with 5.
var (
	winter = benchDay{"winter", "bench_a", "sixteen cores", []float64{0, 3e-3, -3e-3, 0}, []string{"a", "b", "c", "d"}}
	autumn = benchDay{"autumn", "bench_a", "sixteen cores", []float64{0, 6e-3, -6e-3}, []string{"a", "b", "c"}}
	spring = benchDay{"spring", "bench_a", "sixteen cores", []float64{0, 1e-3, -1e-3}, nil}
)

func wantSpread(t *testing.T, r *Review, source string, variance, df float64) {
	t.Helper()
	u := r.sessions[headline]
	// Frame times are whole nanoseconds: a thousandth of 12 ms to about 1e-4.
	if u.Source != source || math.Abs(u.U*u.U/variance-1) > 1e-4 || math.Abs(u.DF-df) > 1e-8 {
		t.Errorf("session spread %+v, want u² = %g with %g degrees of freedom from %s", u, variance, df, source)
	}
	var of *Comparison
	for i, d := range r.Comparisons {
		if d.Metric.Name == headline {
			of = &r.Comparisons[i]
		}
	}
	if of == nil || of.SessionSpread != u {
		t.Errorf("the comparison has %+v", of)
	}
}

func isDefault(t *testing.T, r *Review) {
	t.Helper()
	wantSpread(t, r, "default", math.Pow(math.Log(1.002), 2), math.Inf(1))
	if len(r.Elsewhere) > 0 {
		t.Errorf("taken from elsewhere: %v", r.Elsewhere)
	}
}

func warnings(r *Review) (out []finding.Finding) {
	for _, f := range r.Findings {
		if f.Summary == "An earlier edition cannot be read" {
			out = append(out, f)
		}
	}
	return out
}

func TestSessionsOfOtherReviews(t *testing.T) {
	root := t.TempDir()
	alone := do(t, spring.make(t, root))
	isDefault(t, alone)
	wantSpread(t, do(t, winter.make(t, root)), "sessions", 6e-6, 3)

	one := do(t, options(filepath.Join(root, "spring")))
	wantSpread(t, one, "archive", 6e-6, 3)
	if one.Kept.Already || one.Kept.Edition == alone.Kept.Edition {
		t.Error("another session spread, and no other edition")
	}
	// Two degrees of freedom are too few by themselves, and count beside three.
	autumnAlone := do(t, autumn.make(t, root))
	wantSpread(t, autumnAlone, "archive", 6e-6, 3)
	two := do(t, options(filepath.Join(root, "spring")))
	wantSpread(t, two, "archive", 18e-6, 5)
	if n := two.ReviewsBehind(headline); n != 2 {
		t.Errorf("%d reviews behind it, want 2", n)
	}

	again := do(t, options(filepath.Join(root, "spring")))
	if !again.Kept.Already || again.Kept.Edition != two.Kept.Edition {
		t.Errorf("again: edition %s after %s", again.Kept.Edition, two.Kept.Edition)
	}
	text, err := os.ReadFile(filepath.Join(two.Kept.Folder, "elsewhere.json"))
	if err != nil {
		t.Fatal(err)
	}
	var said struct {
		Spreads []struct {
			Metric   string
			Unit     string
			Spread   float64 `json:"session_spread"`
			DF       float64
			Editions []EditionName
		} `json:"session_spread"`
	}
	if err := json.Unmarshal(text, &said); err != nil || len(said.Spreads) == 0 {
		t.Fatalf("%s: %v", text, err)
	}
	s := said.Spreads[0]
	percent := 100 * (math.Exp(math.Sqrt(18e-6)) - 1)
	if s.Metric != headline || s.Unit != "%" || math.Abs(s.Spread-percent) > 1e-5 || s.DF != 5 ||
		len(s.Editions) != 2 || s.Editions[0] != (EditionName{"autumn", autumnAlone.Kept.Edition}) {
		t.Errorf("%+v", s)
	}
}

func TestSessionsThatDoNotCount(t *testing.T) {
	long(t)
	for name, other := range map[string]benchDay{
		"another rig":               {"winter", "bench_b", winter.cpu, winter.offsets, winter.sessions},
		"another processor in it":   {"winter", winter.rig, "eight cores", winter.offsets, winter.sessions},
		"too few sessions":          autumn,
		"sessions not written down": {"winter", winter.rig, winter.cpu, winter.offsets, nil},
		"one session":               {"winter", winter.rig, winter.cpu, winter.offsets, []string{"a", "a", "a", "a"}},
	} {
		t.Run(name, func(t *testing.T) {
			root := t.TempDir()
			do(t, other.make(t, root))
			isDefault(t, do(t, spring.make(t, root)))
		})
	}
	t.Run("a cell that does not hold", func(t *testing.T) {
		root := t.TempDir()
		shaky := winter
		shaky.offsets = []float64{0, 0.2, -0.2, 0} // far beyond the spread that is accepted
		o := shaky.make(t, root)
		o.Partial = true
		if r := do(t, o); r.Kept.Edition == "" || r.Ready {
			t.Fatalf("ready %v, edition %q", r.Ready, r.Kept.Edition)
		}
		isDefault(t, do(t, spring.make(t, root)))
	})
	t.Run("its own editions", func(t *testing.T) {
		root := t.TempDir()
		o := autumn.make(t, root)
		first := do(t, o)
		isDefault(t, first)
		if again := do(t, o); !again.Kept.Already || again.Kept.Edition != first.Kept.Edition {
			t.Errorf("edition %s after %s", again.Kept.Edition, first.Kept.Edition)
		}
	})
	t.Run("its own captures under another name", func(t *testing.T) {
		root := t.TempDir()
		do(t, winter.make(t, root))
		renamed := filepath.Join(root, "renamed")
		if err := os.CopyFS(renamed, os.DirFS(filepath.Join(root, "winter"))); err != nil {
			t.Fatal(err)
		}
		edit(t, filepath.Join(renamed, "plan.hcl"), `review "winter"`, `review "renamed"`)
		edit(t, filepath.Join(renamed, "bench.csv"), ",d\n", ",c\n")
		if err := os.RemoveAll(filepath.Join(renamed, "ledger")); err != nil {
			t.Fatal(err)
		}
		isDefault(t, do(t, options(renamed)))
	})
}

func edit(t *testing.T, name, from, to string) {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	edited := strings.ReplaceAll(string(text), from, to)
	if edited == string(text) {
		t.Fatalf("%s has no %q", name, from)
	}
	if err := os.WriteFile(name, []byte(edited), 0o666); err != nil {
		t.Fatal(err)
	}
}

// A damaged edition is warned of, and nothing is taken from it; the others still count.
func TestDamagedEarlierEditions(t *testing.T) {
	long(t)
	for _, file := range []string{"manifest.json", "plan/plan.json", "cells.parquet", "runs.parquet"} {
		t.Run(file, func(t *testing.T) {
			root := t.TempDir()
			bad := do(t, winter.make(t, root))
			name := filepath.Join(bad.Kept.Folder, filepath.FromSlash(file))
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			text[len(text)/2] ^= 1
			if err := os.WriteFile(name, text, 0o666); err != nil {
				t.Fatal(err)
			}
			o := spring.make(t, root)
			r := do(t, o)
			isDefault(t, r)
			w := warnings(r)
			if len(w) != 1 || w[0].Severity != finding.Warning || w[0].Place.File != bad.Kept.Folder || !strings.Contains(w[0].Detail, "damaged") {
				t.Errorf("%v", w)
			}
			if !r.Ready || r.Kept.Edition == "" {
				t.Error("somebody else's damage stopped the review")
			}
			other := winter
			other.name = "summer"
			do(t, other.make(t, root))
			r = do(t, o)
			wantSpread(t, r, "archive", 6e-6, 3)
			if len(warnings(r)) != 1 {
				t.Errorf("%v", warnings(r))
			}
		})
	}
}

// Reviews that lean on each other settle: their ids know the numbers, not each other's ids.
func TestReviewsThatLeanOnEachOther(t *testing.T) {
	root := t.TempDir()
	var all []Options
	for _, name := range []string{"one", "two", "three"} {
		b := autumn // two degrees of freedom each: any needs the two others
		b.name = name
		all = append(all, b.make(t, root))
	}
	for round := range 4 {
		for i, o := range all {
			o.Now = o.Now.AddDate(0, 0, 3*round+i)
			r := do(t, o)
			if round > 0 {
				wantSpread(t, r, "archive", 36e-6, 4)
			}
			if round > 1 && !r.Kept.Already {
				t.Errorf("round %d: %s made another edition", round, o.Plans[0])
			}
		}
	}
}

// The demo's own sessions read from its captures, and from its edition, are one spread, in every metric.
func TestSpreadFromTheArchiveIsThatOfTheReview(t *testing.T) {
	long(t)
	dir := copied(t, "demo")
	own := do(t, options(dir))
	r, err := Load(options(dir))
	if err != nil {
		t.Fatal(err)
	}
	r.Plan.Review.Name = "another"
	mine := strings.Replace(string(r.Plan.JSON), `"demo": {`, `"another": {`, 1)
	r.Plan.JSON = []byte(mine)
	compared := 0
	for _, m := range compute.Metrics() {
		u, ok := own.sessions[m.Name]
		if !ok || u.Source != "sessions" {
			continue
		}
		e, there := r.sessionsElsewhere(m)
		if !there {
			t.Errorf("%s: nothing from the archive", m.Name)
			continue
		}
		compared++
		if math.Abs(e.Spread.U-u.U) > 5e-9*u.U || math.Abs(e.Spread.DF-u.DF) > 1e-8 {
			t.Errorf("%s: %+v from the archive, %+v from the captures", m.Name, e.Spread, u)
		}
	}
	if compared < 10 {
		t.Errorf("only %d metrics compared", compared)
	}
}

// Nothing is taken from the archive where the review's own sessions tell. (Metrics that never vary in the control tell nothing, and are
// looked for; here the other review has none that do either.)
func TestOwnSessionsComeFirst(t *testing.T) {
	root := t.TempDir()
	do(t, autumn.make(t, root))
	r := do(t, winter.make(t, root))
	if u := r.sessions[headline]; u.Source != compute.OwnSessions || len(r.Elsewhere) > 0 {
		t.Errorf("%+v, %v taken", u, r.Elsewhere)
	}
}

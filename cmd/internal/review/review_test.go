package review

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// long marks a test that runs a whole review, or several: under the race detector, which makes that ten times as slow and which
// the shorter tests feed with the same concurrency, -short leaves it out.
func long(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("runs whole reviews")
	}
}

// copied puts a review of testdata into a folder of the test's own.
func copied(tb testing.TB, name string) string {
	tb.Helper()
	dir := tb.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("../../../testdata", name))); err != nil {
		tb.Fatal(err)
	}
	return dir
}

func options(dir string) Options {
	return Options{
		Plans: []string{dir}, Now: time.Date(2027, 2, 26, 9, 0, 0, 0, time.UTC), Workers: 2, Record: true, Keep: true, Tool: "test", Log: zerolog.Nop(),
	}
}

func do(t *testing.T, o Options) *Review {
	t.Helper()
	r, err := Do(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// tree reads every file below a folder.
// A comment, a copy of the captures with other file times, and a folder that forgot its ledger are the same review.
// What a bench log says of the room stands in the tables, so it makes another edition and not damage.
// The rows stand in the order in which the plan declares; another order is another edition, not a conflict.
func TestInterruptLeavesNothingBehind(t *testing.T) {
	for _, at := range []int{1, 5, 12} {
		dir := copied(t, "real")
		o := options(dir)
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		o.Progress = func(done, _ int, _ string) {
			if done == at {
				cancel()
			}
		}
		_, err := Do(ctx, o)
		if !errors.Is(err, context.Canceled) {
			t.Errorf("after %d captures: error %v, want interrupted", at, err)
		}
		for name := range tree(t, dir) {
			if strings.HasPrefix(name, "archive/") || strings.HasPrefix(name, "draft/") || strings.Contains(name, "staging") {
				t.Errorf("after %d captures: %s is left", at, name)
			}
		}
	}
}

// The rates are an independent computation's on the same captures; that the two cards are level is what their makers' data
// say: they share a processor. Common practice, no source.
func TestRealCaptures(t *testing.T) {
	captures := "../../../../shared/captures"
	if _, err := os.Stat(captures); err != nil {
		t.Skip("needs the shared captures beside the repository")
	}
	o := options(copied(t, "real-all"))
	o.Captures = captures
	r := do(t, o)
	if !r.Ready {
		t.Error("the review is not ready")
	}
	want := map[string]float64{
		"fjord 2560x1440": 21.2072, "fjord 3840x2160": 9.51996, "reactor 2560x1440": 56.2269, "reactor 3840x2160": 24.6007, "bazaar 3840x2160": 609.632,
	}
	checked := 0
	for _, p := range r.Passes {
		size, _ := r.Plan.Resolution(p.Key.Resolution)
		fps, ok := want[p.Key.Game+" "+size.Size()]
		if p.Key.Card != "kestrel" || p.Repeat != 1 || !ok {
			continue
		}
		checked++
		if got := p.Figures.MeanFPS.X; got < fps*(1-3e-6) || got > fps*(1+3e-6) {
			t.Errorf("%s: mean %.6g fps, want %.6g", p.File.Path, got, fps)
		}
	}
	if checked != len(want) {
		t.Errorf("%d passes checked, want %d", checked, len(want))
	}
	pairs := 0
	for _, c := range r.Cells {
		if c.Cell.Card != "osprey" {
			continue
		}
		pairs++
		d, ok := r.Against(c.Cell.Key, r.Plan.Review.Baseline, headline)
		if !ok || d.Verdict != compute.Level {
			t.Errorf("%s: %s, want level", c.Cell.Key, d.Verdict)
		}
	}
	if pairs != 5 {
		t.Errorf("%d pairs, want 5", pairs)
	}
	for _, p := range r.Passes {
		if len(p.Doubts) > 0 {
			t.Errorf("%s: %v", p.File.Path, p.Doubts)
		}
	}
}

// The figures of the disturbed pass are an independent computation's.
func TestDisturbedPassIsCaught(t *testing.T) {
	dir := copied(t, "real")
	found, err := filepath.Glob(filepath.Join(dir, "disturbed", "*"))
	if err != nil || len(found) != 1 {
		t.Fatalf("disturbed captures: %v, %v", found, err)
	}
	bad, err := os.ReadFile(found[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "captures", "kestrel.reactor.2560x1440.r2.frames.csv.gz"), bad, 0o666); err != nil {
		t.Fatal(err)
	}
	r := do(t, options(dir))
	key := plan.Key{Card: "kestrel", Mode: "stock", Game: "reactor", Variant: "plain", Resolution: "qhd"}
	for _, c := range r.Cells {
		if c.Cell.Key != key {
			continue
		}
		if c.State != coverage.Doubtful || len(c.Again) != 1 || c.Again[0] != 2 {
			t.Errorf("the cell is %s, to run again: %v; want doubtful, pass 2", c.State, c.Again)
		}
		s, _ := c.Stat(headline)
		if !s.SpreadPct.OK || s.SpreadPct.X < 15 {
			t.Errorf("spread %.1f %%, want far above 3", s.SpreadPct.X)
		}
		p := r.PassesOf(c, Used)[1]
		// The other program ran from 5.5 to 9.6 s, as the captures' maker notes; whole seconds widen that by one on either side.
		if d := p.Disturbed; d == nil || d.FromS < 4.5 || d.FromS > 5.5 || d.ToS < 9.6 || d.ToS > 10.6 {
			t.Errorf("disturbed %+v, want about 5.5 to 9.6 s", d)
		}
		m := func(name string) float64 { x, _ := compute.MetricByName(name); return x.Of(p.Figures).X }
		if m("hitch_frames") != 23 || m("hitch_events") != 1 {
			t.Errorf("%g hitch frames in %g events, want 23 in 1", m("hitch_frames"), m("hitch_events"))
		}
		if x := m("hitch_time_share"); x < 0.30675 || x > 0.30685 {
			t.Errorf("hitch time share %.5f, want 0.3068", x)
		}
		if x := m("mean_fps"); x < 38.9685 || x > 38.9695 {
			t.Errorf("mean %.4f fps, want 38.969", x)
		}
		return
	}
	t.Fatal("no such cell")
}

// The demo's truth is what its generator put in: gannet's stock mode is the reference under another name, and skua is slower in
// every game that runs on it but the one that the host limits.
func TestTheDemosTruthIsFound(t *testing.T) {
	long(t)
	r := do(t, options(copied(t, "demo")))
	level, firmLies, slower := 0, 0, 0
	for _, d := range r.Comparisons {
		if d.Metric.Name != headline || d.Base.CardMode() != r.Plan.Review.Baseline {
			continue
		}
		switch d.Of.CardMode().String() {
		case "gannet·stock":
			if d.Verdict == compute.Level {
				level++
			}
			if d.Firm {
				firmLies++
			}
		case "skua·stock":
			if d.Of.Game == "fjord" && d.Verdict == compute.Behind && d.Firm {
				slower++
			}
		}
		if d.Verdict == compute.Unresolved && !d.Needed.OK && d.Needed.Why == "" {
			t.Errorf("%s is unresolved and nothing says what would resolve it", d.Of)
		}
	}
	if level < 6 || firmLies != 0 || slower != 3 {
		t.Errorf("gannet is level in %d of 12 cells and firmly different in %d; skua firmly behind in %d of 3 fjord cells", level, firmLies, slower)
	}
	borrowed := 0
	for _, c := range r.Cells {
		if s, ok := c.Stat(headline); ok && s.Borrowed && s.OwnLow.OK {
			borrowed++
		}
	}
	if borrowed < 50 {
		t.Errorf("%d cells lean on the others, want most of 66", borrowed)
	}
}

func TestAnUnusableCaptureDoesNotStopTheRest(t *testing.T) {
	dir := copied(t, "real")
	files, err := filepath.Glob(filepath.Join(dir, "captures", "*.frames.*"))
	if err != nil || len(files) != 12 {
		t.Fatalf("%d captures, %v", len(files), err)
	}
	if err := os.WriteFile(files[0], []byte("frame,frame_ms\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := Do(context.Background(), options(dir))
	if !errors.Is(err, ErrInput) {
		t.Errorf("error %v, want an input that cannot be used", err)
	}
	if r.Ready || r.Kept.Edition != "" || r.Kept.Draft == "" {
		t.Errorf("ready %v, kept %+v; want a draft only", r.Ready, r.Kept)
	}
	usable := 0
	for _, p := range r.Passes {
		if p.Figures != nil && p.Figures.MeanFPS.OK {
			usable++
		}
	}
	if usable != 11 {
		t.Errorf("%d usable passes, want 11", usable)
	}
	if r.Findings.Count(finding.Error) == 0 {
		t.Error("nothing is said of it")
	}
}

func TestTheSameContentTwiceIsAnError(t *testing.T) {
	dir := copied(t, "real")
	files, err := filepath.Glob(filepath.Join(dir, "captures", "*.frames.*"))
	if err != nil || len(files) < 2 {
		t.Fatal(files, err)
	}
	b, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(files[len(files)-1], b, 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := Do(context.Background(), options(dir))
	if !errors.Is(err, ErrInput) || r.Ready {
		t.Errorf("error %v, ready %v", err, r.Ready)
	}
	said := false
	for _, f := range r.Findings {
		said = said || f.Summary == "The same content in two cells"
	}
	if !said {
		t.Errorf("findings do not say so: %v", r.Findings)
	}
}

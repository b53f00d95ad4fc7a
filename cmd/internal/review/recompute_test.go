package review

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/archive/olden"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/export/report"
)

var recomputedAt = time.Date(2099, 4, 1, 9, 0, 0, 0, time.UTC)

func recompute(t *testing.T, dir string, reviews ...string) []Redone {
	t.Helper()
	all, err := Recompute(context.Background(), dir, RecomputeOptions{Reviews: reviews, Now: recomputedAt, Workers: 2, Tool: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func tablesOf(t *testing.T, e archive.Edition) archive.Tables {
	t.Helper()
	s, err := report.FromEdition(e)
	if err != nil {
		t.Fatal(err)
	}
	return s.Tables
}

// everyFile is the content of all files below a folder, by path.
func everyFile(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(name)
		out[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// outcomes are what came of the editions, in words.
func outcomes(all []Redone) (out []string) {
	for _, d := range all {
		out = append(out, d.Review+" "+string(d.Outcome))
	}
	return out
}

// The new edition has what the captures gave under today's definitions, and holds no frames; the old one stays as it is. What differs is told value
// by value. Whoever looks afterwards sees the new figures, and frames through the reference.
func TestRecompute(t *testing.T) {
	root := t.TempDir()
	first := do(t, winter.make(t, root))
	dir := filepath.Join(root, "archive")
	want := tablesOf(t, editionsIn(t, dir)[0])
	if err := olden.Age(first.Kept.Folder, olden.Higher); err != nil {
		t.Fatal(err)
	}
	before := everyFile(t, dir)
	all := recompute(t, dir)
	if diff := cmp.Diff([]string{"winter recomputed"}, outcomes(all)); diff != "" {
		t.Fatal(diff)
	}
	for name, text := range before {
		if now, err := os.ReadFile(name); err != nil || string(now) != text {
			t.Errorf("%s was touched: %v", name, err)
		}
	}
	editions := editionsIn(t, dir)
	if len(editions) != 2 || editions[1].Edition != all[0].New || editions[1].DefinitionsVersion != compute.DefinitionsVersion || editions[1].Edition == first.Kept.Edition {
		t.Fatalf("editions %+v", editions)
	}
	e := editions[1]
	got := tablesOf(t, e)
	for i := range got.Runs {
		if from := got.Runs[i].FramesEdition; from == nil || *from != first.Kept.Edition {
			t.Errorf("frames of %s are said to be in %v", got.Runs[i].SourcePath, from)
		}
		got.Runs[i].FramesEdition = nil
	}
	if !reflect.DeepEqual(want, got) {
		t.Errorf("(- as published, + recomputed)\n%.3000s", cmp.Diff(want, got))
	}
	wantChanges(t, want, all[0].Changes)
	if e.RecomputedFrom == nil || e.RecomputedFrom.Edition != first.Kept.Edition || len(e.Raw) != 0 ||
		slices.ContainsFunc(e.Files, func(f archive.FileEntry) bool { return strings.HasPrefix(f.Path, "frames-") }) {
		t.Errorf("%+v", e.Manifest)
	}
	wantLookedBackOn(t, dir, e, first)
	v := verifyFully(t, dir)
	if len(v.Damage) > 0 || len(v.Again) != 2 || v.Again[0].Figures || !v.Again[1].Figures || v.Again[1].Frames || !strings.HasSuffix(v.Again[1].Note, first.Kept.Edition) {
		t.Errorf("%+v, %+v", v.Damage, v.Again)
	}
	// A second time there is nothing to do.
	after := everyFile(t, dir)
	if diff := cmp.Diff([]string{"winter covered", "winter current"}, outcomes(recompute(t, dir))); diff != "" || !reflect.DeepEqual(after, everyFile(t, dir)) {
		t.Errorf("the second time: %s", diff)
	}
}

// wantChanges compares the changes with those that olden.Higher makes.
func wantChanges(t *testing.T, today archive.Tables, changes []archive.Change) {
	t.Helper()
	old := archive.Tables{Runs: slices.Clone(today.Runs), Cells: slices.Clone(today.Cells), Comparisons: slices.Clone(today.Comparisons)}
	olden.Higher(&old)
	var want, got []string
	for i, r := range old.Runs {
		want = append(want, fmt.Sprintf("runs mean_fps %s %v %v false", r.RunID, *r.MeanFPS, *today.Runs[i].MeanFPS))
	}
	for i, c := range old.Cells {
		if now := today.Cells[i]; c.Metric == headline {
			for _, x := range []struct {
				name     string
				was, now *float64
			}{{"mean", c.Mean, now.Mean}, {"ci_low", c.CILow, now.CILow}, {"ci_high", c.CIHigh, now.CIHigh}} {
				want = append(want, fmt.Sprintf("cells %s  %v %v false", x.name, *x.was, *x.now))
			}
		}
	}
	for i, c := range old.Comparisons {
		if now := today.Comparisons[i]; c.Verdict != nil && *c.Verdict != *now.Verdict {
			want = append(want, fmt.Sprintf("comparisons verdict  %v %v true", *c.Verdict, *now.Verdict))
		}
	}
	for _, c := range changes {
		got = append(got, fmt.Sprintf("%s %s %s %v %v %v", c.Table, c.Column, c.Keys["run_id"], c.Was, c.Now, c.Verdict))
	}
	slices.Sort(want)
	slices.Sort(got)
	if diff := cmp.Diff(want, got); diff != "" || len(want) < 10 {
		t.Errorf("(- want, + got)\n%s", diff)
	}
}

// wantLookedBackOn looks at a recomputed edition as history and report do.
func wantLookedBackOn(t *testing.T, dir string, e archive.Edition, first *Review) {
	t.Helper()
	m, _ := compute.MetricByName(headline)
	points, unreadable, err := history.Points(archive.At(dir), history.Asked{Cards: []string{"heron_x"}, Metric: m})
	if err != nil || unreadable != nil || len(points) != 1 || points[0].Edition != e.Edition || points[0].Other != 1 {
		t.Errorf("history: %v %v %+v", err, unreadable, points)
	}
	s, err := report.FromEdition(e)
	if err != nil {
		t.Fatal(err)
	}
	var runs []string
	for _, r := range s.Tables.Runs {
		runs = append(runs, r.RunID)
	}
	for _, card := range first.Plan.Cards {
		frames, err := s.Frames(card.Name, runs)
		for _, p := range first.Passes {
			if n := len(frames[runID(p)].NS); p.Key.Card == card.Name && n != p.Figures.Frames {
				t.Errorf("%d frames of %s, want %d: %v", n, p.File.Path, p.Figures.Frames, err)
			}
		}
	}
	if _, err := archive.At(dir).CheckEdition(e.Dir); err != nil {
		t.Error(err)
	}
}

// Figures of soaks are the same as those from the captures, though of the raw files only the logs of soaks are read again.
func TestRecomputeSoaks(t *testing.T) {
	if testing.Short() {
		t.Skip("a review with soaks is worked out four times")
	}
	dir := copied(t, "demo")
	r := do(t, options(dir))
	a := filepath.Join(dir, "archive")
	if err := olden.Age(r.Kept.Folder, olden.Higher); err != nil {
		t.Fatal(err)
	}
	all := recompute(t, a)
	again := tablesOf(t, editionsIn(t, a)[1])
	if diff := cmp.Diff(r.tables().Readings, again.Readings); diff != "" || len(again.Readings) == 0 || all[0].Outcome != Republished {
		t.Errorf("%v: (- from captures, + from frames)\n%.3000s", outcomes(all), diff)
	}
	if v := verifyFully(t, a); len(v.Damage) > 0 || len(v.Again) != 2 || !v.Again[1].Figures {
		t.Errorf("%+v, %+v", v.Damage, v.Again)
	}
}

// Where figures come to the same nothing is published; an edition of a later release is left alone.
func TestRecomputeWithoutChange(t *testing.T) {
	root := t.TempDir()
	r := do(t, spring.make(t, root))
	dir := filepath.Join(root, "archive")
	if err := olden.Age(r.Kept.Folder, nil); err != nil {
		t.Fatal(err)
	}
	before := everyFile(t, dir)
	all := recompute(t, dir)
	if len(all) != 1 || all[0].Outcome != Unchanged || all[0].Values < 100 || all[0].New != "" || !reflect.DeepEqual(before, everyFile(t, dir)) {
		t.Errorf("%+v", all)
	}
	reseal(t, r.Kept.Folder, "", func(m *archive.Manifest) { m.DefinitionsVersion = compute.DefinitionsVersion + 1 })
	if all := recompute(t, dir, "spring"); len(all) != 1 || all[0].Outcome != Later || all[0].Why == "" {
		t.Errorf("%+v", all)
	}
	if _, err := Recompute(context.Background(), dir, RecomputeOptions{Reviews: []string{"summer"}}); !errors.Is(err, ErrNoReview) {
		t.Errorf("error %v", err)
	}
	if _, err := Recompute(context.Background(), filepath.Join(root, "none"), RecomputeOptions{}); !errors.Is(err, ErrDisk) || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error %v", err)
	}
}

// Whatever file of an edition is damaged, nothing is published of its review, and the others go on.
func TestRecomputeOfDamage(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "archive")
	bad, good := do(t, spring.make(t, root)), do(t, winter.make(t, root))
	for _, r := range []*Review{bad, good} {
		if err := olden.Age(r.Kept.Folder, olden.Higher); err != nil {
			t.Fatal(err)
		}
	}
	for _, file := range []string{"frames-heron_x.parquet", "runs.parquet", "plan/plan.hcl", "plan/files.json", "manifest.json", "plan/bench.csv"} {
		name := filepath.Join(bad.Kept.Folder, file)
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text[len(text)/2] ^= 1
		write(t, name, text)
		all := recompute(t, dir)
		if diff := cmp.Diff([]string{"spring damaged", "winter recomputed"}, outcomes(all)); diff != "" || all[0].Why == "" || all[0].New != "" {
			t.Errorf("%s: %s, %+v", file, diff, all[0])
		}
		if err := os.RemoveAll(all[1].Folder); err != nil {
			t.Fatal(err)
		}
		text[len(text)/2] ^= 1
		write(t, name, text)
	}
}

// Editions whose files fit their manifest and yet do not fit together, as a forger leaves them, are not taken for other figures.
func TestRecomputeOfHostileEditions(t *testing.T) {
	root := t.TempDir()
	r := do(t, spring.make(t, root))
	if err := olden.Age(r.Kept.Folder, olden.Higher); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(r.Kept.Folder, "plan", "files.json")
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]string{
		{`"path": "captures/heron_x_2`, `"path": "../captures/heron_x_2`},
		{`"path": "captures/heron_x_2`, `"path": "/captures/heron_x_2`},
		{`"path": "captures/heron_x_2`, `"path": "captures/tern_ref_2`},
		{`"sha256": "`, `"sha256": "0`},
		{`"plan/plan.hcl"`, `"plan/none.hcl"`},
		{`"captures": [`, `"captures": 7, "x": [`},
		{`"logs": [`, `"logs": [{"name": "plan/none.csv", "path": "bench.csv"},`},
	} {
		bad := strings.Replace(string(good), c[0], c[1], 1)
		if bad == string(good) {
			t.Fatalf("no %s in it", c[0])
		}
		write(t, name, []byte(bad))
		reseal(t, r.Kept.Folder, "plan/files.json", nil)
		if all := recompute(t, filepath.Join(root, "archive")); len(all) != 1 || all[0].Outcome != Refused {
			t.Errorf("%s: %+v", c[1], all)
		}
	}
}

// An edition whose review has a damaged one is held back; put in order, both are recomputed, and the newest work stays the newest.
func TestRecomputeHoldsBack(t *testing.T) {
	root := t.TempDir()
	o := spring.make(t, root)
	older := do(t, o)
	name := filepath.Join(root, "spring", "captures", "heron_x_2.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	write(t, name, []byte("# another\n"+string(text)))
	o.Now = o.Now.AddDate(0, 1, 0)
	newer := do(t, o)
	dir := filepath.Join(root, "archive")
	for _, r := range []*Review{older, newer} {
		if err := olden.Age(r.Kept.Folder, olden.Higher); err != nil {
			t.Fatal(err)
		}
	}
	frames := filepath.Join(newer.Kept.Folder, "frames-tern_ref.parquet")
	good, err := os.ReadFile(frames)
	if err != nil {
		t.Fatal(err)
	}
	write(t, frames, good[:len(good)-1])
	if diff := cmp.Diff([]string{"spring held back", "spring damaged"}, outcomes(recompute(t, dir))); diff != "" || len(editionsIn(t, dir)) != 2 {
		t.Error(diff)
	}
	write(t, frames, good)
	all := recompute(t, dir)
	if diff := cmp.Diff([]string{"spring recomputed", "spring recomputed"}, outcomes(all)); diff != "" {
		t.Fatal(diff)
	}
	var order []string
	for _, e := range editionsIn(t, dir) {
		order = append(order, e.Edition)
	}
	if diff := cmp.Diff([]string{older.Kept.Edition, all[0].New, newer.Kept.Edition, all[1].New}, order); diff != "" {
		t.Errorf("order of age (- want, + got)\n%s", diff)
	}
}

// What refers to frames that are gone, or damaged, is told of with the edition that is to be put back.
func TestVerifyBrokenReference(t *testing.T) {
	root := t.TempDir()
	r := do(t, spring.make(t, root))
	dir := filepath.Join(root, "archive")
	if err := olden.Age(r.Kept.Folder, olden.Higher); err != nil {
		t.Fatal(err)
	}
	made := recompute(t, dir)[0]
	frames := filepath.Join(r.Kept.Folder, "frames-heron_x.parquet")
	text, err := os.ReadFile(frames)
	if err != nil {
		t.Fatal(err)
	}
	text[len(text)/3] ^= 4
	write(t, frames, text)
	v := verifyFully(t, dir)
	if len(v.Damage) != 1 || v.Damage[0].Edition != r.Kept.Edition || v.Again[1].Figures || !strings.Contains(v.Again[1].Note, "the figures of 3 passes") {
		t.Errorf("damaged frames: %+v, %+v", v.Damage, v.Again)
	}
	if err := os.RemoveAll(r.Kept.Folder); err != nil {
		t.Fatal(err)
	}
	v = verifyFully(t, dir)
	if len(v.Damage) != 2 || v.Damage[0].Edition != made.New || !strings.Contains(v.Damage[0].Next, "Put edition "+r.Kept.Edition) {
		t.Errorf("frames that are gone: %+v", v.Damage)
	}
}

// stopVariable makes this test's program one that recomputes and kills itself once so many editions are worked out: "2 /path/of/archive".
const stopVariable = "RIGSLATE_TEST_STOP_RECOMPUTE"

// TestRecomputingThatIsKilled is no test but that program.
func TestRecomputingThatIsKilled(t *testing.T) {
	at, dir, ok := strings.Cut(os.Getenv(stopVariable), " ")
	if !ok {
		t.Skip("it is run by TestRecomputeIsKilled")
	}
	self, err := os.FindProcess(os.Getpid())
	if err != nil {
		t.Fatal(err)
	}
	_, err = Recompute(context.Background(), dir, RecomputeOptions{Now: recomputedAt, Tool: "test", Progress: func(done, _ int, _ string) {
		if fmt.Sprint(done) == at && self.Kill() == nil {
			select {}
		}
	}})
	t.Fatal("it was not killed: ", err)
}

// Killed while at work, before the first of its editions or after, it leaves an archive that is whole, and the next run completes the work. Kills
// in between the steps of publishing are those of archive.TestKillSweep; an interruption leaves nothing either.
func TestRecomputeIsKilled(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "archive")
	for _, b := range []benchDay{spring, winter} {
		if err := olden.Age(do(t, b.make(t, root)).Kept.Folder, olden.Higher); err != nil {
			t.Fatal(err)
		}
	}
	for at, editions := range []int{2, 3} { // before any is published, and between the two
		cmd := exec.Command(os.Args[0], "-test.run=^TestRecomputingThatIsKilled$")
		cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%d %s", stopVariable, at+1, dir))
		if out, err := cmd.CombinedOutput(); err == nil || len(out) > 0 {
			t.Fatalf("it was not killed: %v\n%s", err, out)
		}
		if v, err := Verify(context.Background(), dir, VerifyOptions{}); err != nil || len(v.Damage) > 0 || len(v.Editions) != editions {
			t.Errorf("killed at %d: %v, %+v", at+1, err, v)
		}
		// what the first one left is done by the second, up to where that is killed
	}
	ctx, cancel := context.WithCancel(context.Background())
	_, err := Recompute(ctx, dir, RecomputeOptions{Now: recomputedAt, Tool: "test", Progress: func(done, _ int, _ string) {
		if done == 3 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) || len(editionsIn(t, dir)) != 3 {
		t.Errorf("interrupted: %v", err)
	}
	recompute(t, dir)
	if v := verifyFully(t, dir); len(v.Damage) > 0 || len(v.Editions) != 4 || v.Loose > 0 {
		t.Errorf("after the last run: %+v", v)
	}
	if left, err := os.ReadDir(filepath.Join(dir, ".staging")); err == nil && len(left) > 0 {
		t.Errorf("left in staging: %v", left)
	}
}

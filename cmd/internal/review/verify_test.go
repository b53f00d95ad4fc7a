package review

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/export/archive"
)

// verifyFully works an archive out again, and checks that the folder for temporary files is left as it was.
func verifyFully(t *testing.T, dir string) *Verified {
	t.Helper()
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	v, err := Verify(context.Background(), dir, VerifyOptions{Full: true, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	if left, err := os.ReadDir(tmp); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
	return v
}

func wantWhole(t *testing.T, dir string, editions int) {
	t.Helper()
	v := verifyFully(t, dir)
	for _, d := range v.Damage {
		t.Errorf("%s: %s", d.File, d.Found)
	}
	if len(v.Again) != editions {
		t.Errorf("%d editions worked out again, want %d", len(v.Again), editions)
	}
	for _, w := range v.Again {
		if !w.Figures || !w.Frames || w.Note != "" {
			t.Errorf("%+v", w)
		}
	}
}

// Soaks, sensors beside passes, bench logs, a plan of several files: what was published is what comes out again.
func TestVerifyFull(t *testing.T) {
	for _, name := range []string{"demo", "real"} {
		dir := copied(t, name)
		do(t, options(dir))
		wantWhole(t, filepath.Join(dir, "archive"), 1)
	}
}

// An edition keeps the session spread that it took from the archive of its day, though that has grown since.
func TestVerifyFullTakesNothingFromTodaysArchive(t *testing.T) {
	root := t.TempDir()
	do(t, spring.make(t, root))
	do(t, winter.make(t, root))
	one := do(t, options(filepath.Join(root, "spring")))
	wantSpread(t, one, "archive", 6e-6, 3)
	do(t, autumn.make(t, root))
	two := do(t, options(filepath.Join(root, "spring")))
	wantSpread(t, two, "archive", 18e-6, 5)
	wantWhole(t, filepath.Join(root, "archive"), 5)
	wantUnitsAgree(t, filepath.Join(root, "archive"))
}

// Published in part: a capture that could not be used is not archived, and its cell is doubtful again all the same. The rows stand in the
// order in which the plan's files were named, which is not that of their names; and the ledger still knows an older driver.
func TestVerifyFullOfPartialWork(t *testing.T) {
	root := t.TempDir()
	o := spring.make(t, root)
	dir := filepath.Join(root, "spring")
	do(t, o)
	text, err := os.ReadFile(filepath.Join(dir, "plan.hcl"))
	if err != nil {
		t.Fatal(err)
	}
	baseline := []byte(`card "tern_ref" { vendor = "marram" }`)
	if !bytes.Contains(text, baseline) {
		t.Fatalf("no %s in the plan", baseline)
	}
	write(t, filepath.Join(dir, "plan.hcl"), bytes.Replace(text, baseline, nil, 1))
	write(t, filepath.Join(dir, "a.hcl"), []byte("card \"tern_ref\" {\n  vendor = \"marram\"\n  driver = \"612.4\"\n}\n"))
	write(t, filepath.Join(dir, "captures", "heron_x_2.csv"), []byte("ms\nmany\n"))
	o.Plans = []string{filepath.Join(dir, "plan.hcl"), filepath.Join(dir, "a.hcl")}
	o.Partial = true
	r, err := Do(context.Background(), o)
	if err == nil || r == nil || r.Kept.Edition == "" {
		t.Fatalf("%v, want an edition and a capture that cannot be used", err)
	}
	wantWhole(t, filepath.Join(root, "archive"), 2)
	wantUnitsAgree(t, filepath.Join(root, "archive"))
}

func write(t *testing.T, name string, text []byte) {
	t.Helper()
	if err := os.WriteFile(name, text, 0o666); err != nil {
		t.Fatal(err)
	}
}

// reseal enters a file of an edition in its manifest as it is now, and lets change do more to that: what a careful forger would do, and
// what a release with a mistake does without knowing.
func reseal(t *testing.T, edition, file string, change func(*archive.Manifest)) {
	t.Helper()
	m, err := archive.ReadManifest(edition)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range m.Files {
		if f.Path == file {
			b, err := os.ReadFile(filepath.Join(edition, file))
			if err != nil {
				t.Fatal(err)
			}
			sum := sha256.Sum256(b)
			m.Files[i].Bytes, m.Files[i].SHA256 = int64(len(b)), hex.EncodeToString(sum[:])
		}
	}
	if change != nil {
		change(&m)
	}
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	text = append(text, '\n')
	sum := sha256.Sum256(text)
	write(t, filepath.Join(edition, "manifest.json"), text)
	write(t, filepath.Join(edition, "manifest.sha256"), []byte(hex.EncodeToString(sum[:])+"  manifest.json\n"))
}

// forgeMean changes the mean frame rate of one pass by a part, hashes and all.
func forgeMean(t *testing.T, edition string, row int, part float64) {
	t.Helper()
	m, err := archive.ReadManifest(edition)
	if err != nil {
		t.Fatal(err)
	}
	runs, err := archive.ReadTable[archive.RunRow](archive.Edition{Manifest: m, Dir: edition}, "runs.parquet")
	if err != nil {
		t.Fatal(err)
	}
	x := *runs[row].MeanFPS * (1 + part)
	runs[row].MeanFPS = &x
	draft := filepath.Join(t.TempDir(), "draft")
	if err := archive.WriteDraft(context.Background(), draft, archive.Draft{Tables: archive.Tables{Runs: runs}, Review: m.Review}); err != nil {
		t.Fatal(err)
	}
	table, err := os.ReadFile(filepath.Join(draft, "runs.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Join(edition, "runs.parquet"), table)
	reseal(t, edition, "runs.parquet", nil)
}

// A figure that no hash gives away is found by its captures, to the last bit on one architecture and to 1e-12 on another.
func TestVerifyFullFindsAWrongFigure(t *testing.T) {
	dir := copied(t, "real")
	r := do(t, options(dir))
	a := filepath.Join(dir, "archive")
	forgeMean(t, r.Kept.Folder, 3, 4e-16)
	if v, err := Verify(context.Background(), a, VerifyOptions{}); err != nil || len(v.Damage) > 0 {
		t.Fatalf("the quick look: %v, %+v; it cannot know", err, v.Damage)
	}
	v := verifyFully(t, a)
	p := r.Passes[3]
	if len(v.Damage) != 1 || !strings.HasSuffix(v.Damage[0].File, "/runs.parquet") || !strings.Contains(v.Damage[0].Found, "1 of ") ||
		!strings.Contains(v.Damage[0].Found, "mean_fps of "+p.Key.Card+" "+p.Key.Mode+" "+p.Key.Game) ||
		len(v.Damage[0].Passes) != 1 || v.Damage[0].Passes[0].SourcePath != p.File.Path {
		t.Errorf("%+v, want the mean of %s", v.Damage, p.File.Path)
	}
	other := func(m *archive.Manifest) { m.GOARCH = "made_up" }
	reseal(t, r.Kept.Folder, "runs.parquet", other)
	wantWhole(t, a, 1)
	forgeMean(t, r.Kept.Folder, 3, 1e-11)
	if v := verifyFully(t, a); len(v.Damage) != 1 {
		t.Errorf("a part in 1e11 on another architecture: %+v", v.Damage)
	}
}

// Where a capture is gone, the figures of all passes are worked out from the archived frames: they agree, and a wrong one is found.
func TestVerifyFullFromFrames(t *testing.T) {
	dir := copied(t, "demo")
	r := do(t, options(dir))
	a := filepath.Join(dir, "archive")
	if err := os.Remove(filepath.Join(a, "raw", hex.EncodeToString(r.Passes[7].SHA256[:])+".zst")); err != nil {
		t.Fatal(err)
	}
	v := verifyFully(t, a)
	if len(v.Damage) != 1 || v.Damage[0].Passes[0].SourcePath != r.Passes[7].File.Path || v.Again[0].Figures ||
		!strings.Contains(v.Again[0].Note, fmt.Sprintf("the figures of %d passes", len(r.Passes))) {
		t.Errorf("%+v, %+v", v.Damage, v.Again)
	}
	forgeMean(t, r.Kept.Folder, 9, 4e-16)
	v = verifyFully(t, a)
	if len(v.Damage) != 2 || len(v.Damage[1].Passes) != 1 || v.Damage[1].Passes[0].SourcePath != r.Passes[9].File.Path {
		t.Errorf("%+v", v.Damage)
	}
}

// The log of a soak is named by where it lay at the bench, as captures of passes are.
func TestVerifyNamesALostLog(t *testing.T) {
	dir := copied(t, "demo")
	r := do(t, options(dir))
	log := r.Soaks[0].Files[0]
	a := filepath.Join(dir, "archive")
	if err := os.Remove(filepath.Join(a, "raw", hex.EncodeToString(log.SHA256[:])+".zst")); err != nil {
		t.Fatal(err)
	}
	v, err := Verify(context.Background(), a, VerifyOptions{})
	if err != nil || len(v.Damage) != 1 || !strings.Contains(v.Damage[0].Next, "Copy "+log.Path+" (") {
		t.Errorf("%v, %+v", err, v.Damage)
	}
}

// Of an edition under other definitions the frames are compared, and the release is named that works out its figures.
func TestVerifyFullOfOtherDefinitions(t *testing.T) {
	dir := copied(t, "real")
	r := do(t, options(dir))
	forgeMean(t, r.Kept.Folder, 0, 0.01) // as other definitions would have it
	reseal(t, r.Kept.Folder, "", func(m *archive.Manifest) { m.DefinitionsVersion--; m.ToolVersion = "0.0.7" })
	v := verifyFully(t, filepath.Join(dir, "archive"))
	if len(v.Damage) > 0 || len(v.Again) != 1 || v.Again[0].Figures || !v.Again[0].Frames || !strings.Contains(v.Again[0].Note, "rigslate 0.0.7 works them out again") {
		t.Errorf("%+v, %+v", v.Damage, v.Again)
	}
}

// What an edition says of its own files may lead nowhere else, and what does not fit together is told of.
func TestVerifyFullOfHostileEditions(t *testing.T) {
	dir := copied(t, "real")
	r := do(t, options(dir))
	name := filepath.Join(r.Kept.Folder, "plan", "files.json")
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]string{
		{`"path": "captures/`, `"path": "../captures/`},
		{`"path": "captures/`, `"path": "/captures/`},
		{`"sha256": "`, `"sha256": "0`},
		{`"plan/plan.hcl"`, `"plan/none.hcl"`},
		{`"captures": [`, `"captures": 7, "x": [`},
	} {
		bad := strings.Replace(string(good), c[0], c[1], 1)
		if bad == string(good) {
			t.Fatalf("no %s in it", c[0])
		}
		write(t, name, []byte(bad))
		reseal(t, r.Kept.Folder, "plan/files.json", nil)
		v := verifyFully(t, filepath.Join(dir, "archive"))
		if len(v.Damage) != 1 || !strings.Contains(v.Damage[0].Found, errAgain.Error()) {
			t.Errorf("%s: %+v", c[1], v.Damage)
		}
	}
}

package match

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

func TestFind(t *testing.T) {
	const usual = "captures/{card}-{mode}/{game}_{variant}_{resolution}_{repeat}.csv"
	for _, c := range []struct {
		name     string
		files    []plan.Files
		names    []string
		found    []string
		findings []string
	}{
		{
			name: "files, strays and others", files: []plan.Files{byPath(usual)},
			names: []string{
				"README.md", "captures/notes.txt", "sensors/room.csv", ".git/HEAD", "captures/.hidden.csv",
				"captures/heron_x-stock/fjord_plain_uhd_1.csv",
				"captures/tern_ref/kelp_uhd_1.csv",
				"captures/herron_x-stock/fjord_plain_uhd_1.csv",
				"captures/heron_x-stock/fjrd_plain_uhdd_1.csv",
				"captures/heron_x-tuned/kelp_uhd_1.csv",
				"captures/heron_x-tunned/fjord_plain_uhd_1.csv",
				"captures/heron-tuned/kelp_uhd_1.csv",
				"captures/heron_x-stock/fjord_uhd_1.csv",
				"captures/heron_x-stock/fjord_plain_uhd_one.csv",
				"captures/heron_x-stock/fjord_plain_uhd_2.csv.gz",
				"captures/heron_x-stock/old/fjord_plain_uhd_2.csv",
				"captures/whatever.csv",
			},
			found: []string{
				"captures/heron_x-stock/fjord_plain_uhd_1.csv → heron_x·stock fjord·plain uhd pass 1",
				"captures/tern_ref/kelp_uhd_1.csv → tern_ref·stock kelp·plain uhd pass 1",
				`stray captures/heron-tuned/kelp_uhd_1.csv (card heron has no mode "tuned")`,
				`stray captures/heron_x-stock/fjord_plain_uhd_2.csv.gz (path does not end in .gz; did you mean ` + usual + `.gz?)`,
				`stray captures/heron_x-stock/fjord_plain_uhd_one.csv (repeat "one" is no number from 1 to 999)`,
				`stray captures/heron_x-stock/fjord_uhd_1.csv (game fjord has the variants plain, rays_up; none is named)`,
				`stray captures/heron_x-stock/fjrd_plain_uhdd_1.csv (game "fjrd" and resolution "uhdd"; did you mean fjord and uhd?)`,
				`stray captures/heron_x-stock/old/fjord_plain_uhd_2.csv (not of the form ` + usual + `)`,
				`stray captures/heron_x-tuned/kelp_uhd_1.csv (heron_x·tuned kelp·plain uhd is not in the matrix)`,
				`stray captures/heron_x-tunned/fjord_plain_uhd_1.csv (mode "tunned"; did you mean tuned?)`,
				`stray captures/herron_x-stock/fjord_plain_uhd_1.csv (card "herron_x"; did you mean heron_x?)`,
				`stray captures/whatever.csv (not of the form ` + usual + `)`,
				`other 5 [.git/ README.md captures/.hidden.csv captures/notes.txt sensors/room.csv]`,
			},
		},
		{
			name: "hidden files are no captures", files: []plan.Files{byPath("{any}{card}_{game}_{resolution}_{repeat}.csv")},
			names: []string{"._heron_kelp_qhd_1.csv", "heron_kelp_qhd_1.csv"},
			found: []string{"heron_kelp_qhd_1.csv → heron·stock kelp·plain qhd pass 1", "other 1 [._heron_kelp_qhd_1.csv]"},
		},
		{
			name: "two readings", files: []plan.Files{byPath("{card}{any}_{game}_{size}.csv")},
			names: []string{"heron_a_kelp_2560x1440.csv", "tern_ref_kelp_2_2560x1440.csv", "heron_x_kelp_2560x1440.csv"},
			found: []string{
				"heron_a_kelp_2560x1440.csv → heron·stock kelp·plain qhd",
				"tern_ref_kelp_2_2560x1440.csv → tern_ref·stock kelp_2·plain qhd",
			},
			findings: []string{"heron_x_kelp_2560x1440.csv: error: A file name can be read in more than one way: " +
				"It means heron·stock kelp·plain qhd or heron_x·stock kelp·plain qhd or heron_x·tuned kelp·plain qhd. " +
				"Rename it, say in a bench log which it is, or separate the parts of path by a character that no label has."},
		},
		{
			name: "a part that path does not name", files: []plan.Files{byPath("{card}.{game}.{size}.{repeat}.csv")},
			names: []string{"heron.kelp.2560x1440.1.csv", "heron_x.kelp.2560x1440.1.csv", "heron_x.kelp.2560x1440.2.csv", "heron.fjord.2560x1440.2.csv"},
			found: []string{"heron.kelp.2560x1440.1.csv → heron·stock kelp·plain qhd pass 1"},
			findings: []string{
				"plan.hcl:11: error: A path does not say which cell its files belong to: " +
					"It names no mode: card heron_x has stock, tuned (2 files, the first heron_x.kelp.2560x1440.1.csv). " +
					"Add the placeholder to path and the name to the files, or say it in a bench log.",
				"plan.hcl:11: error: A path does not say which cell its files belong to: " +
					"It names no variant: game fjord has plain, rays_up (heron.fjord.2560x1440.2.csv). " +
					"Add the placeholder to path and the name to the files, or say it in a bench log.",
			},
		},
		{
			name: "another case", files: []plan.Files{byPath("captures/{card}_{game}_{size}_{time}.csv")},
			names: []string{"Captures/Heron_kelp_2560X1440_20270304t140000.CSV"},
			found: []string{"stray Captures/Heron_kelp_2560X1440_20270304t140000.CSV (its name differs from a declared one only in case; " +
				"did you mean captures/heron_kelp_2560x1440_20270304T140000.csv?)"},
			findings: []string{"Captures/Heron_kelp_2560X1440_20270304t140000.CSV: warning: A file name differs from a declared one only in case: " +
				"It is not used: names are matched as they are written. Rename it to captures/heron_kelp_2560x1440_20270304T140000.csv."},
		},
		{
			name: "one pass twice", files: []plan.Files{byPath("{card}_{game}_{size}_{repeat}{any}.csv")},
			names: []string{"heron_kelp_2560x1440_1.csv", "heron_kelp_2560x1440_01b.csv"},
			found: []string{"heron_kelp_2560x1440_01b.csv → heron·stock kelp·plain qhd pass 1", "heron_kelp_2560x1440_1.csv → heron·stock kelp·plain qhd pass 1"},
			findings: []string{"heron_kelp_2560x1440_1.csv: error: Two files name the same pass: " +
				"heron_kelp_2560x1440_01b.csv and heron_kelp_2560x1440_1.csv are both pass 1 of heron·stock kelp·plain qhd. " +
				"Number one of them otherwise, or void it with a reason."},
		},
		{
			name:  "two blocks, unlike",
			files: []plan.Files{{Name: "a", Path: "{card}_{game}_{resolution}_{any}.csv"}, {Name: "b", Path: "heron_{game}_{resolution}_{repeat}.csv"}},
			names: []string{"heron_kelp_qhd_1.csv"},
			findings: []string{"heron_kelp_qhd_1.csv: error: A file name can be read in more than one way: " +
				`It means heron·stock kelp·plain qhd (files "a") or tern_ref·stock kelp·plain qhd pass 1 (files "b") or heron·stock kelp·plain qhd pass 1 (files "b")` +
				` or heron_x·stock kelp·plain qhd pass 1 (files "b") or heron_x·tuned kelp·plain qhd pass 1 (files "b"). ` +
				"Rename it, say in a bench log which it is, or separate the parts of path by a character that no label has."},
		},
		{
			name:  "two blocks, alike",
			files: []plan.Files{{Name: "a", Path: "{card}_{game}_{resolution}_{repeat}.csv"}, {Name: "b", Path: "{card}_{game}_{resolution}_{repeat}{any}.csv"}},
			names: []string{"heron_kelp_qhd_1.csv", "heron_kelp_qhd_2.csv"},
			found: []string{"heron_kelp_qhd_1.csv → heron·stock kelp·plain qhd pass 1", "heron_kelp_qhd_2.csv → heron·stock kelp·plain qhd pass 2"},
			findings: []string{`plan.hcl:21: warning: Two files blocks match the same files: files "b" matches what files "a" matches before it: ` +
				"2 files, the first heron_kelp_qhd_1.csv. The first is used. Make one of the paths narrower."},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string]string{}
			for _, n := range c.names {
				files[n] = "x"
			}
			found, findings := find(t, example(c.files...), files)
			if diff := cmp.Diff(c.found, found.lines()); diff != "" {
				t.Error(diff)
			}
			if diff := cmp.Diff(c.findings, findings); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestFileFacts(t *testing.T) {
	root := folder(t, map[string]string{"heron_kelp_qhd.csv": "12345"})
	at := time.Date(2027, 2, 21, 8, 30, 0, 0, time.UTC)
	if err := os.Chtimes(filepath.Join(root.Name(), "heron_kelp_qhd.csv"), at, at); err != nil {
		t.Fatal(err)
	}
	p := example(byPath("{card}_{game}_{resolution}.csv"))
	found, findings := findIn(t, p, root)
	want := []File{{Path: "heron_kelp_qhd.csv", Key: plan.Key{Card: "heron", Mode: "stock", Game: "kelp", Variant: "plain", Resolution: "qhd"},
		Files: &p.Files[0], Size: 5, Modified: at}}
	if len(found.Files) == 1 {
		found.Files[0].Modified = found.Files[0].Modified.UTC()
	}
	if diff := cmp.Diff(want, found.Files, cmp.AllowUnexported(LogRow{})); diff != "" || findings != nil || found.Files[0].Files != &p.Files[0] {
		t.Fatal(diff, findings)
	}
}

func TestVoids(t *testing.T) {
	p := example(byPath("captures/{card}_{game}_{resolution}_{repeat}{any}.csv"))
	at := func(line int) finding.Place { return finding.Place{File: "plan.hcl", Line: line} }
	p.Voids = []plan.Void{
		{Path: "captures/heron_kelp_qhd_1.csv", Reason: "update started", Place: at(1)},
		{Path: "captures/heron_kelp_qdh_1.csv", Reason: "misspelt", Place: at(2)},
		{Path: "heron_kelp_qhd_1.csv", Reason: "no folder", Place: at(3)},
		{Path: "captures/Heron_kelp_qhd_1.csv", Reason: "case", Place: at(4)},
		{Path: "notes.txt", Reason: "no pass", Place: at(5)},
		{Path: "../x.csv", Reason: "outside", Place: at(6)},
		{Path: "captures/gone.csv", Reason: "gone", Place: at(7)},
	}
	found, findings := find(t, p, map[string]string{"captures/heron_kelp_qhd_1.csv": "", "captures/heron_kelp_qhd_1b.csv": "", "notes.txt": ""})
	if diff := cmp.Diff([]string{
		"captures/heron_kelp_qhd_1.csv → heron·stock kelp·plain qhd pass 1, void: update started",
		"captures/heron_kelp_qhd_1b.csv → heron·stock kelp·plain qhd pass 1", // the redo may have the number of what is void
		"other 1 [notes.txt]",
	}, found.lines()); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]string{
		"plan.hcl:2: warning: A void names a file that is not there: There is no captures/heron_kelp_qdh_1.csv. Did you mean captures/heron_kelp_qhd_1.csv?",
		"plan.hcl:3: warning: A void names a file that is not there: There is no heron_kelp_qhd_1.csv. Did you mean captures/heron_kelp_qhd_1.csv?",
		"plan.hcl:4: warning: A void names a file that is not there: There is no captures/Heron_kelp_qhd_1.csv. Did you mean captures/heron_kelp_qhd_1.csv?",
		"plan.hcl:5: warning: A void names a file that is no pass: notes.txt belongs to no cell, so there is nothing to take out. Remove the void, or rename the file so that it is found.",
		"plan.hcl:6: error: A void's path cannot be used: \"../x.csv\" leaves the captures' folder. Write it without '..'; --captures says which folder that is.",
		"plan.hcl:7: warning: A void names a file that is not there: There is no captures/gone.csv. Remove the void, or correct its path: it is relative to the captures' folder.",
	}, findings); diff != "" {
		t.Error(diff)
	}
}

func TestLinks(t *testing.T) {
	root := folder(t, map[string]string{"real/heron_kelp_qhd_1.csv": "1", "inside/x": ""})
	outside := filepath.Join(t.TempDir(), "secret.csv")
	if err := os.WriteFile(outside, []byte("x"), 0o666); err != nil {
		t.Fatal(err)
	}
	for name, target := range map[string]string{
		"real/heron_kelp_qhd_2.csv": "heron_kelp_qhd_1.csv",
		"real/heron_kelp_qhd_3.csv": outside,
		"real/heron_kelp_uhd_1.csv": "../../../etc/passwd",
		"real/heron_kelp_uhd_2.csv": "gone.csv",
		"inside/circle":             "..",
	} {
		if err := os.Symlink(target, filepath.Join(root.Name(), filepath.FromSlash(name))); err != nil {
			if runtime.GOOS == "windows" {
				t.Skip("links need a privilege here:", err)
			}
			t.Fatal(err)
		}
	}
	found, list, err := Find(t.Context(), example(byPath("real/{card}_{game}_{resolution}_{repeat}.csv")), root)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{
		"real/heron_kelp_qhd_1.csv → heron·stock kelp·plain qhd pass 1",
		"real/heron_kelp_qhd_2.csv → heron·stock kelp·plain qhd pass 2",
		"other 1 [inside/x]",
	}, found.lines()); diff != "" {
		t.Error(diff)
	}
	var got []string
	for _, f := range list {
		got = append(got, f.Place.File+": "+f.Summary)
	}
	if diff := cmp.Diff([]string{
		"inside/circle: A link to a folder is not followed",
		"real/heron_kelp_qhd_3.csv: A link that leaves the captures' folder is not followed",
		"real/heron_kelp_uhd_1.csv: A link that leaves the captures' folder is not followed",
		"real/heron_kelp_uhd_2.csv: A link leads nowhere",
	}, got); diff != "" {
		t.Error(diff)
	}
}

// What the program writes beside the plan is no input of the review.
func TestOwnFoldersAreLeftOut(t *testing.T) {
	root := folder(t, map[string]string{"archive/raw/heron_kelp_qhd.csv": "", "draft/heron_kelp_qhd.csv": "", "report/heron_kelp_qhd.csv": "", "ledger/heron_kelp_qhd.csv": "",
		"a/draft/b/heron_kelp_qhd.csv": "", "cards.hcl": ""})
	p := example(byPath("{any}/{any}/{any}/{card}_{game}_{resolution}.csv"), byPath("{any}/{card}_{game}_{resolution}.csv"))
	p.Dir = root.Name()
	p.Sources = []plan.Source{{Path: filepath.Join(root.Name(), "cards.hcl")}}
	found, _ := findIn(t, p, root)
	if diff := cmp.Diff([]string{"a/draft/b/heron_kelp_qhd.csv → heron·stock kelp·plain qhd"}, found.lines()); diff != "" {
		t.Error(diff)
	}
	if found.Other.Count != 0 {
		t.Errorf("other files: %v", found.Other.Names)
	}
	p.Dir = t.TempDir() // the captures lie elsewhere: their folders mean nothing to us
	found, _ = findIn(t, p, root)
	if len(found.Files) != 4 {
		t.Error(found.lines())
	}
}

func TestCaseTwins(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("needs a file system whose names have case")
	}
	_, findings := find(t, example(byPath("{card}_{game}_{resolution}_{repeat}{any}.csv")),
		map[string]string{"heron_kelp_qhd_1a.csv": "", "heron_kelp_qhd_1A.csv": ""})
	want := "heron_kelp_qhd_1a.csv: warning: Two file names differ only in case: heron_kelp_qhd_1A.csv and heron_kelp_qhd_1a.csv " +
		"are one file on a system whose file names have no case. Rename one of them."
	if len(findings) != 2 || findings[1] != want {
		t.Errorf("got %q", findings)
	}
}

func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, _, err := Find(ctx, example(byPath("{card}.csv")), folder(t, map[string]string{"a": ""})); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

func TestWhatOnlyLooksLikeACaptureIsSaid(t *testing.T) {
	root := folder(t, map[string]string{"heron_kelp_qhd_1.csv/notes.txt": "", "heron_kelp_qhd_2.csv": ""})
	found, list := findIn(t, example(byPath("{card}_{game}_{resolution}_{repeat}.csv")), root)
	if len(found.Files) != 1 {
		t.Error(found.lines())
	}
	if len(list) != 1 || !strings.Contains(list[0], "A folder is named like a capture") || !strings.Contains(list[0], "heron_kelp_qhd_1.csv") {
		t.Errorf("findings: %v", list)
	}
}

package archive

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func verified(t *testing.T, dir string) *Verified {
	t.Helper()
	a, v := &Archive{dir: dir}, (*Verified)(nil)
	v, err := a.Verify(context.Background(), VerifyOptions{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// small is the small edition on disk, and a sound archive.
func small(t *testing.T) (dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "archive")
	mustPublish(t, opened(t, dir))
	if v := verified(t, dir); len(v.Damage) > 0 || len(v.Editions) != 1 || v.Captures != 1 || v.Loose != 0 || v.Files != len(smallArchive())-3 {
		t.Fatalf("a sound archive: %+v", v)
	}
	return dir
}

func rewrite(t *testing.T, path string, content []byte) {
	t.Helper()
	if err := os.WriteFile(path, content, 0o666); err != nil {
		t.Fatal(err)
	}
}

// Every byte of the manifests and of archive.json, flipped, is told of; so are 2 000 others anywhere, by a fixed seed. One that is not
// told of would have to leave all that is read as it was: no such byte is known but within a compressed capture.
func TestVerifyFlips(t *testing.T) {
	dir := small(t)
	random := rand.New(rand.NewPCG(6, 1))
	for _, path := range smallArchive() {
		name := filepath.Join(dir, filepath.FromSlash(path))
		good, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var at []int
		if strings.HasSuffix(path, "archive.json") || strings.Contains(path, "/manifest.") {
			for i := range good {
				at = append(at, i)
			}
		} else {
			for range 2000 / (len(smallArchive()) - 3) {
				at = append(at, random.IntN(len(good)))
			}
		}
		for _, i := range at {
			bad := bytes.Clone(good)
			bad[i] ^= 1 << random.IntN(8)
			rewrite(t, name, bad)
			a := &Archive{dir: dir}
			v, err := a.Verify(context.Background(), VerifyOptions{Workers: 2})
			switch {
			case err != nil:
				if !errors.Is(err, ErrNewer) {
					t.Fatalf("%s byte %d: %v", path, i, err)
				}
			case len(v.Damage) == 0:
				if strings.HasPrefix(path, "raw/") && a.checkRaw(v.Editions[0].Raw[0]) == nil {
					continue // it unpacks to the same bytes
				}
				t.Fatalf("%s byte %d: not told of", path, i)
			case v.Damage[0].Found == "" || v.Damage[0].Next == "":
				t.Fatalf("%s byte %d: %+v", path, i, v.Damage)
			}
		}
		rewrite(t, name, good)
	}
	if v := verified(t, dir); len(v.Damage) > 0 {
		t.Errorf("put back, and still: %+v", v.Damage)
	}
}

// Each case does one thing to the small archive, and says which file is named for it, and a word of what was found.
func TestVerifyDamage(t *testing.T) {
	e := "editions/review=spring/edition=" + editionOne + "/"
	for _, c := range []struct {
		name        string
		do          func(t *testing.T, at func(string) string)
		file, found string
	}{
		{"cut short", func(t *testing.T, at func(string) string) { truncate(t, at(e+"runs.parquet")) }, e + "runs.parquet", "cut short"},
		{"a capture cut short", func(t *testing.T, at func(string) string) { truncate(t, at(rawFile())) }, rawFile(), "does not unpack"},
		{"a manifest cut short", func(t *testing.T, at func(string) string) { truncate(t, at(e+"manifest.json")) }, e + "manifest.json", "does not match its hash"},
		{"grown", func(t *testing.T, at func(string) string) {
			b, _ := os.ReadFile(at(e + "cells.parquet"))
			rewrite(t, at(e+"cells.parquet"), append(b, 0))
		}, e + "cells.parquet", "has grown"},
		{"missing", func(t *testing.T, at func(string) string) { remove(t, at(e+"plan/spring.hcl")) }, e + "plan/spring.hcl", "missing"},
		{"missing folder", func(t *testing.T, at func(string) string) { remove(t, at(e+"plan")) }, e + "plan/plan.json", "missing"},
		{"missing capture", func(t *testing.T, at func(string) string) { remove(t, at(rawFile())) }, rawFile(), "missing"},
		{"missing manifest", func(t *testing.T, at func(string) string) { remove(t, at(e+"manifest.json")) }, e + "manifest.json", "read the manifest"},
		{"missing hash of the manifest", func(t *testing.T, at func(string) string) { remove(t, at(e+"manifest.sha256")) }, e + "manifest.json", "manifest's hash"},
		{"missing head", func(t *testing.T, at func(string) string) { remove(t, at("archive.json")) }, "archive.json", "has editions but no"},
		{"swapped", func(t *testing.T, at func(string) string) {
			swap(t, at(e+"frames-heron_x.parquet"), at(e+"frames-tern_ref.parquet"))
		}, e + "frames-heron_x.parquet", "the manifest says"},
		{"foreign", func(t *testing.T, at func(string) string) { rewrite(t, at(e+"notes.txt"), nil) }, e + "notes.txt", "nothing of the archive"},
		{"foreign among the plan", func(t *testing.T, at func(string) string) { rewrite(t, at(e+"plan/more.hcl"), nil) }, e + "plan/more.hcl", "nothing of the archive"},
		{"foreign capture", func(t *testing.T, at func(string) string) { rewrite(t, at("raw/fjord.csv"), nil) }, "raw/fjord.csv", "nothing of the archive"},
		{"copy of an edition", func(t *testing.T, at func(string) string) {
			if err := os.CopyFS(at("editions/review=spring/edition="+editionOne+" - copy"), os.DirFS(at(e))); err != nil {
				t.Fatal(err)
			}
		}, "editions/review=spring/edition=" + editionOne + " - copy", "nothing of the archive"},
		{"edition under another name", func(t *testing.T, at func(string) string) {
			if err := os.Rename(at(e), at("editions/review=spring/edition=e000000000000000")); err != nil {
				t.Fatal(err)
			}
		}, "editions/review=spring/edition=e000000000000000/manifest.json", "holds edition " + editionOne},
		{"a link in place of a file", func(t *testing.T, at func(string) string) {
			if err := os.Rename(at(e+"runs.parquet"), at("elsewhere")); err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(at("elsewhere"), at(e+"runs.parquet")); err != nil {
				t.Skip(err)
			}
		}, e + "runs.parquet", "no plain file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := small(t)
			c.do(t, func(path string) string { return filepath.Join(dir, filepath.FromSlash(path)) })
			for _, d := range verified(t, dir).Damage {
				if d.File == c.file {
					if !strings.Contains(d.Found, c.found) || d.Next == "" || strings.Contains(d.Found, dir) {
						t.Errorf("%+v, want %q in what was found", d, c.found)
					}
					return
				}
			}
			t.Errorf("%s is not among %+v", c.file, verified(t, dir).Damage)
		})
	}
}

func truncate(t *testing.T, path string) {
	t.Helper()
	info, err := os.Stat(path)
	if err == nil {
		err = os.Truncate(path, info.Size()-1)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func remove(t *testing.T, path string) {
	t.Helper()
	if err := os.RemoveAll(path); err != nil {
		t.Fatal(err)
	}
}

func swap(t *testing.T, a, b string) {
	t.Helper()
	x, err1 := os.ReadFile(a)
	y, err2 := os.ReadFile(b)
	if err1 != nil || err2 != nil || bytes.Equal(x, y) {
		t.Fatalf("%v, %v, or equal", err1, err2)
	}
	rewrite(t, a, y)
	rewrite(t, b, x)
}

// A page of one run that no longer unpacks concerns that run alone; a damaged footer concerns all of the card.
func TestDamagedFramesNameTheirPasses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "archive")
	edition := publishTwoRuns(t, dir)
	name := filepath.Join(edition, "frames-heron_x.parquet")
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for at, want := range map[int]string{20: "1", len(good) - 12: "1 2"} {
		bad := bytes.Clone(good)
		bad[at] ^= 0x55
		rewrite(t, name, bad)
		v := verified(t, dir)
		var got []string
		for _, d := range v.Damage {
			for _, p := range d.Passes {
				got = append(got, string(rune('0'+p.Repeat)))
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("byte %d: passes %v, want %s", at, got, want)
		}
	}
}

var editionTwo = EditionID(Identity{DefinitionsVersion: 1, Plan: []byte("{\"two\":{}}\n")})

// publishTwoRuns publishes an edition of two passes of one card.
func publishTwoRuns(t *testing.T, dir string) string {
	t.Helper()
	a := opened(t, dir)
	s := begin(t, a)
	w, err := s.Frames("heron_x", nil)
	if err != nil {
		t.Fatal(err)
	}
	var rows []RunRow
	for i, id := range []string{"00112233445566aa", "00112233445566bb"} {
		if err := w.Write(Run{ID: id, FrameNS: int64s(t, []int64{10e6, 11e6, 9e6}, nil), KeptHi: 3}); err != nil {
			t.Fatal(err)
		}
		rows = append(rows, RunRow{RunID: id, Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd", Repeat: int32(i + 1), Status: "used"})
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if err := s.Tables(Tables{Runs: rows}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Publish(context.Background(), editionTwo, origin); err != nil {
		t.Fatal(err)
	}
	return a.EditionDir("spring", editionTwo)
}

// Captures that no edition uses are counted, and are no damage: a publisher that was stopped leaves them, whole.
func TestLooseCaptures(t *testing.T) {
	dir := small(t)
	sum := sha256.Sum256([]byte("another"))
	rewrite(t, filepath.Join(dir, "raw", hex.EncodeToString(sum[:])+".zst"), []byte("whatever"))
	if v := verified(t, dir); v.Loose != 1 || len(v.Damage) > 0 {
		t.Errorf("%+v", v)
	}
}

// An edition of a newer format is refused with that reason, and the others are read all the same.
func TestVerifyNewerManifest(t *testing.T) {
	dir := small(t)
	edition := filepath.Join(dir, "editions", "review=spring", "edition="+editionOne)
	text, err := os.ReadFile(filepath.Join(edition, manifestName))
	if err != nil {
		t.Fatal(err)
	}
	text = bytes.Replace(text, []byte(`"format_version": 1`), []byte(`"format_version": 7`), 1)
	rewrite(t, filepath.Join(edition, manifestName), text)
	rewrite(t, filepath.Join(edition, manifestSumName), sumLine(text))
	v := verified(t, dir)
	if len(v.Damage) != 1 || !v.Damage[0].Newer || !strings.Contains(v.Damage[0].Found, "format 7") {
		t.Errorf("%+v", v.Damage)
	}
	if v.Loose != 0 {
		t.Errorf("%d captures are called loose, though they may be of the edition that cannot be read", v.Loose)
	}
}

func TestVerifyNoArchive(t *testing.T) {
	a := &Archive{dir: t.TempDir()}
	if _, err := a.Verify(context.Background(), VerifyOptions{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("an empty folder: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	a = &Archive{dir: small(t)}
	if _, err := a.Verify(ctx, VerifyOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// A capture that went missing under a published edition is stored anew by running the same work again.
func TestPublishingAgainStoresALostCaptureAnew(t *testing.T) {
	dir := small(t)
	for _, spoil := range []func(*testing.T, string){remove, truncate} {
		spoil(t, filepath.Join(dir, filepath.FromSlash(rawFile())))
		if len(verified(t, dir).Damage) == 0 {
			t.Fatal("the damage is not told of")
		}
		if got, err := publish(t, opened(t, dir)); err != nil || got != AlreadyThere {
			t.Fatalf("result %d, %v", got, err)
		}
		if v := verified(t, dir); len(v.Damage) > 0 {
			t.Errorf("%+v", v.Damage)
		}
	}
}

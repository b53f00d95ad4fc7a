package archive

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every byte of the small files that everything else hangs on is covered: a flipped bit is an error, whichever it is.
func TestByteFlips(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	edition := mustPublish(t, a)
	for _, path := range []string{filepath.Join(dir, headName), filepath.Join(edition, manifestName), filepath.Join(edition, manifestSumName)} {
		t.Run(filepath.Base(path), func(t *testing.T) {
			content, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for i := range content {
				for bit := range 8 {
					flipped := bytes.Clone(content)
					flipped[i] ^= 1 << bit
					if err := os.WriteFile(path, flipped, 0o666); err != nil {
						t.Fatal(err)
					}
					if err := readAll(dir, edition); !errors.Is(err, ErrDamaged) {
						t.Fatalf("bit %d of byte %d (%q): %v, want ErrDamaged", bit, i, content[i], err)
					}
				}
			}
			for _, cut := range []int{0, 1, len(content) / 2, len(content) - 1} {
				if err := os.WriteFile(path, content[:cut], 0o666); err != nil {
					t.Fatal(err)
				}
				if err := readAll(dir, edition); !errors.Is(err, ErrDamaged) {
					t.Errorf("cut to %d bytes: %v, want ErrDamaged", cut, err)
				}
			}
			if err := os.WriteFile(path, content, 0o666); err != nil {
				t.Fatal(err)
			}
			if err := readAll(dir, edition); err != nil {
				t.Errorf("restored: %v", err)
			}
		})
	}
}

func readAll(dir, edition string) error {
	a, err := Open(dir)
	if err != nil {
		return err
	}
	_, err = a.CheckEdition(edition)
	return err
}

func TestNewerFormats(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	edition := mustPublish(t, a)

	text, err := os.ReadFile(filepath.Join(edition, manifestName))
	if err != nil {
		t.Fatal(err)
	}
	newer := bytes.Replace(text, []byte(`"format_version": 1`), []byte(`"format_version": 2, "later": {}`), 1)
	sum := sha256.Sum256(newer)
	write(t, filepath.Join(edition, manifestName), string(newer))
	write(t, filepath.Join(edition, manifestSumName), fmt.Sprintf("%x  manifest.json\n", sum))
	if _, err := a.CheckEdition(edition); !errors.Is(err, ErrNewer) {
		t.Errorf("manifest: %v, want ErrNewer", err)
	}

	// The checksum as archive.json's description has it, put together by hand.
	sum = sha256.Sum256([]byte("format_version 2\nid 00\n"))
	write(t, filepath.Join(dir, headName), `{"format_version": 2, "id": "00", "sha256": "`+hex.EncodeToString(sum[:])+`", "later": 1}`)
	_, err = Open(dir)
	if !errors.Is(err, ErrNewer) || !strings.Contains(err.Error(), "format 2, this program knows up to 1") {
		t.Errorf("archive: %v, want ErrNewer", err)
	}
}

func write(t *testing.T, path, content string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(content), 0o666); err != nil {
		t.Fatal(err)
	}
}

// A manifest whose hash is right may still be nonsense, made by hand.
func TestStrictManifest(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	edition := mustPublish(t, a)
	text, err := os.ReadFile(filepath.Join(edition, manifestName))
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct{ name, old, new string }{
		{"unknown key", `"goarch"`, `"goarchitecture"`},
		{"path out of the edition", `"path": "cells.parquet"`, `"path": "../cells.parquet"`},
		{"order", `"path": "cells.parquet"`, `"path": "zells.parquet"`},
		{"no rows", `"rows": 2,`, ``},
		{"negative size", `"bytes": 48000`, `"bytes": -1`},
		{"short hash", `"sha256": "`, `"sha256": "0`},
		{"edition", editionOne, "e000000000000000"},
		{"stored", `"stored": "zstd"`, `"stored": "rar"`},
		{"trailing comma", "}\n  ]", "},\n  ]"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			changed := strings.Replace(string(text), tt.old, tt.new, 1)
			if changed == string(text) {
				t.Fatalf("the manifest has no %s", tt.old)
			}
			write(t, filepath.Join(edition, manifestName), changed)
			write(t, filepath.Join(edition, manifestSumName), fmt.Sprintf("%x  manifest.json\n", sha256.Sum256([]byte(changed))))
			if _, err := a.CheckEdition(edition); !errors.Is(err, ErrDamaged) {
				t.Errorf("%v, want ErrDamaged", err)
			}
		})
	}
}

func TestMissingHead(t *testing.T) {
	dir := t.TempDir()
	mustPublish(t, opened(t, dir))
	if err := os.Remove(filepath.Join(dir, headName)); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir); !errors.Is(err, ErrDamaged) {
		t.Errorf("%v, want ErrDamaged", err)
	}
}

// The id is made once and kept by every later publisher.
func TestArchiveID(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	mustPublish(t, a)
	first, err := a.head()
	if err != nil || !digestPart(first.ID) {
		t.Fatalf("id %q, %v", first.ID, err)
	}
	s := begin(t, a)
	if _, err := s.Publish(t.Context(), EditionID(Identity{}), origin); err != nil {
		t.Fatal(err)
	}
	if second, err := a.head(); err != nil || second != first {
		t.Errorf("%+v, %v; was %+v", second, err, first)
	}
	other := opened(t, t.TempDir())
	mustPublish(t, other)
	if h, err := other.head(); err != nil || h.ID == first.ID {
		t.Errorf("another archive has id %q, %v", h.ID, err)
	}
}

func digestPart(id string) bool {
	b, err := hex.DecodeString(id)
	return err == nil && len(b) == 16
}

// A manifest that is larger than one can be is not read whole.
func TestAManifestOfAGigabyte(t *testing.T) {
	dir := mustPublish(t, opened(t, t.TempDir()))
	if err := os.Truncate(filepath.Join(dir, manifestName), 1<<30); err != nil { // a hole, which takes no room
		t.Fatal(err)
	}
	var err error
	took := allocated(func() { _, err = ReadManifest(dir) })
	if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "has more than 16 MB") {
		t.Errorf("error %v", err)
	}
	if took > 128<<20 {
		t.Errorf("%d bytes allocated", took)
	}
}

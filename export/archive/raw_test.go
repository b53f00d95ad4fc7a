package archive

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"github.com/klauspost/compress/zstd"
)

func keep(t *testing.T, s *Staging, asIs bool, content []byte) error {
	t.Helper()
	c, err := s.Raw(asIs)
	if err != nil {
		return err
	}
	for part := range slices.Chunk(content, 1000) {
		if _, err := c.Write(part); err != nil {
			c.Discard()
			return err
		}
	}
	return c.Keep(sha256.Sum256(content), int64(len(content)))
}

func TestRaw(t *testing.T) {
	enc, err := zstd.NewWriter(nil)
	if err != nil {
		t.Fatal(err)
	}
	packed := enc.EncodeAll([]byte("a capture that came compressed"), nil)
	contents := map[string]bool{"": false, "one line\n": false, string(bytes.Repeat([]byte("0.1,2\n"), 1<<18)): false, string(packed): true}

	dir := t.TempDir()
	a := opened(t, dir)
	s := begin(t, a)
	var group sync.WaitGroup
	for content, asIs := range contents {
		for range 2 { // the second of one content is dropped
			group.Go(func() {
				if err := keep(t, s, asIs, []byte(content)); err != nil {
					t.Error(err)
				}
			})
		}
	}
	group.Go(func() {
		c, err := s.Raw(false)
		if err != nil {
			t.Error(err)
			return
		}
		_, _ = c.Write([]byte("not a capture"))
		c.Discard()
	})
	group.Wait()
	if _, err := s.Publish(t.Context(), editionOne, origin); err != nil {
		t.Fatal(err)
	}

	dec, err := zstd.NewReader(nil)
	if err != nil {
		t.Fatal(err)
	}
	defer dec.Close()
	var want []string
	for content, asIs := range contents {
		sum := sha256.Sum256([]byte(content))
		name := hex.EncodeToString(sum[:]) + ".zst"
		want = append(want, name)
		got, err := os.ReadFile(filepath.Join(dir, rawName, name))
		if err != nil {
			t.Fatal(err)
		}
		if !asIs {
			if got, err = dec.DecodeAll(got, nil); err != nil {
				t.Fatal(err)
			}
		}
		if string(got) != content {
			t.Errorf("%.20q…: %d bytes stored, want %d", content, len(got), len(content))
		}
	}
	slices.Sort(want)
	if got := list(t, filepath.Join(dir, rawName)); !slices.Equal(got, want) {
		t.Errorf("raw holds %q, want %q", got, want)
	}
}

// A capture that an earlier edition stored stays as it is.
func TestRawIsStoredOnce(t *testing.T) {
	dir := t.TempDir()
	a := opened(t, dir)
	mustPublish(t, a)
	before := snapshot(t, filepath.Join(dir, rawName))
	s := begin(t, a)
	if err := keep(t, s, false, capture); err != nil {
		t.Fatal(err)
	}
	if left := list(t, filepath.Join(s.owned.dir, rawName)); len(left) != 0 {
		t.Errorf("staged again: %q", left)
	}
	id := EditionID(Identity{DefinitionsVersion: 2})
	if got, err := s.Publish(t.Context(), id, origin); err != nil || got != Published {
		t.Fatalf("result %d, %v", got, err)
	}
	if after := snapshot(t, filepath.Join(dir, rawName)); fmt.Sprint(after) != fmt.Sprint(before) {
		t.Errorf("raw changed: %v, was %v", after, before)
	}
	if m, err := a.CheckEdition(a.EditionDir("spring", id)); err != nil || len(m.Raw) != 1 {
		t.Errorf("%d raw files, %v", len(m.Raw), err)
	}
}

// BenchmarkRaw compresses captures of 334 kB on one core, synced, read back and kept.
func BenchmarkRaw(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	var content []byte
	for i := range 13450 {
		content = fmt.Appendf(content, "%d,%.4f,%.4f,%.4f\n", i, 7+r.NormFloat64()/3, 6+r.NormFloat64()/3, 3+r.NormFloat64()/3)
	}
	a, err := Open(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	s, err := a.Begin("spring")
	if err != nil {
		b.Fatal(err)
	}
	defer func() {
		if err := s.Abandon(); err != nil {
			b.Error(err)
		}
	}()
	b.SetBytes(int64(len(content)))
	b.ReportAllocs()
	var stored int64
	var number uint32
	for b.Loop() {
		c, err := s.Raw(false)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := c.Write(content); err != nil {
			b.Fatal(err)
		}
		number++
		if err := c.Keep(sha256.Sum256(fmt.Append(nil, number)), int64(len(content))); err != nil {
			b.Fatal(err)
		}
		stored = c.out.bytes
	}
	b.ReportMetric(float64(stored)/float64(len(content)), "stored/byte")
}

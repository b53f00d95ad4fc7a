package archive

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"github.com/klauspost/compress/zstd"
)

// RawCopy is one capture file on its way into the archive: its bytes are written to it as they lie on disk, while they are
// read for parsing, and it is kept once their hash is known. Each belongs to one goroutine; several may be open.
type RawCopy struct {
	staging *Staging
	out     *sink
	enc     *zstd.Encoder // nil where the bytes are Zstandard already
}

// encoders are shared by all copies, one for each worker. What repeats in a capture repeats within a few lines, so a window of 256 KiB
// compresses as well as the usual 4 MiB, in less memory and time.
var encoders = sync.Pool{New: func() any {
	enc, err := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderConcurrency(1), zstd.WithWindowSize(256<<10))
	if err != nil {
		return (*zstd.Encoder)(nil) // these options are valid; Raw says so if not
	}
	return enc
}}

// Raw begins a copy. asIs says that the bytes are Zstandard already and are stored as they are.
func (s *Staging) Raw(asIs bool) (*RawCopy, error) {
	out, err := s.rawSink()
	if err != nil {
		return nil, err
	}
	c := &RawCopy{staging: s, out: out}
	if asIs {
		return c, nil
	}
	c.enc, _ = encoders.Get().(*zstd.Encoder)
	if c.enc == nil {
		out.discard()
		return nil, errors.New("no Zstandard encoder")
	}
	c.enc.Reset(out)
	return c, nil
}

func (s *Staging) rawSink() (*sink, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done {
		return nil, errClosed
	}
	s.rawNext++
	out, err := newSink(filepath.Join(s.owned.dir, rawName, fmt.Sprintf("%d.zst", s.rawNext)))
	if err != nil {
		return nil, err
	}
	s.handles = append(s.handles, out.file)
	return out, nil
}

// Write takes more of the file's bytes.
func (c *RawCopy) Write(p []byte) (int, error) {
	if c.enc != nil {
		return c.enc.Write(p)
	}
	return c.out.Write(p)
}

// Keep ends the copy and enters it in the edition under the SHA-256 and the number of bytes of the capture as it lay on disk.
// What the archive or this edition holds already is not stored twice, but it is read: one that no longer unpacks to its name is
// replaced by this copy. A disk fault may come out as late as Publish.
func (c *RawCopy) Keep(sum [32]byte, bytes int64) error {
	entry := RawEntry{SHA256: hex.EncodeToString(sum[:]), Bytes: bytes, Stored: storedAsIs}
	if c.enc != nil {
		entry.Stored = storedZstd
	}
	s := c.staging
	switch err := s.archive.checkRaw(entry); {
	case err == nil:
		c.Discard()
		return s.enterRaw(entry, "")
	case errors.Is(err, ErrDamaged):
		s.repair(entry)
	case !errors.Is(err, fs.ErrNotExist):
		c.Discard()
		return fmt.Errorf("look for a raw file: %w", err)
	}
	err := c.endStream()
	if err == nil {
		err = s.archive.step("seal raw %s", entry.SHA256)
	}
	if err != nil {
		c.out.discard()
		return fmt.Errorf("store a raw file: %w", err)
	}
	if err := c.out.flush(); err != nil {
		return fmt.Errorf("store a raw file: %w", err)
	}
	s.sealing.Go(func() error {
		if _, err := c.out.seal(); err != nil {
			return fmt.Errorf("store a raw file: %w", err)
		}
		return s.enterRaw(entry, c.out.path)
	})
	return nil
}

// Discard drops the copy: the capture could not be read, or is no part of the edition.
func (c *RawCopy) Discard() {
	_ = c.endStream() // nobody will read it
	c.out.discard()
}

func (c *RawCopy) endStream() error {
	if c.enc == nil {
		return nil
	}
	err := c.enc.Close()
	c.enc.Reset(nil)
	encoders.Put(c.enc)
	c.enc = nil
	return err
}

// mostWindow bounds what a damaged header can ask for: this program writes windows of 256 KiB.
const mostWindow = 8 << 20

// checkRaw reads a raw file of the archive and holds what it unpacks to against its name. The error is ErrDamaged, or that of a
// file that is not there or cannot be opened.
func (a *Archive) checkRaw(entry RawEntry) error { return a.Unpack(entry, io.Discard) }

// Unpack writes a capture of the archive as it lay on the bench, and then says whether it was that. Errors are those of checkRaw, and
// the writer's.
func (a *Archive) Unpack(entry RawEntry, to io.Writer) error {
	f, err := os.Open(a.rawPath(entry.SHA256))
	if err != nil {
		return err
	}
	defer f.Close()
	var content io.Reader = f
	if entry.Stored == storedZstd {
		dec, err := zstd.NewReader(f, zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true), zstd.WithDecoderMaxWindow(mostWindow))
		if err != nil {
			return fmt.Errorf("unpack a raw file: %w", err)
		}
		defer dec.Close()
		content = dec
	}
	h := sha256.New()
	out := &firstError{to: to}
	n, err := io.Copy(io.MultiWriter(h, out), io.LimitReader(content, entry.Bytes+1))
	if out.err != nil {
		return fmt.Errorf("unpack a raw file: %w", out.err)
	}
	if err != nil || n != entry.Bytes || hex.EncodeToString(h.Sum(nil)) != entry.SHA256 {
		return fmt.Errorf("%w: %s does not unpack to what its name says", ErrDamaged, a.rawPath(entry.SHA256))
	}
	return nil
}

func (s *Staging) repair(entry RawEntry) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.repaired = append(s.repaired, s.archive.rawPath(entry.SHA256))
}

// Repaired names the damaged raw files of the archive that Publish replaces by good copies, sorted.
func (s *Staging) Repaired() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Sorted(slices.Values(s.repaired))
}

func (a *Archive) rawPath(sum string) string {
	return filepath.Join(a.dir, rawName, sum+".zst")
}

// stagedRaw is a raw file of this edition and where it waits; path is empty for one that the archive has.
type stagedRaw struct {
	entry RawEntry
	path  string
}

func (s *Staging) enterRaw(entry RawEntry, path string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if other, ok := s.raw[entry.SHA256]; ok {
		if path != "" {
			if err := os.Remove(path); err != nil {
				return fmt.Errorf("store a raw file: %w", err)
			}
		}
		if other.entry != entry {
			return fmt.Errorf("store a raw file: %s is %d bytes stored %s and %d bytes stored %s", entry.SHA256, other.entry.Bytes, other.entry.Stored, entry.Bytes, entry.Stored)
		}
		return nil
	}
	s.raw[entry.SHA256] = stagedRaw{entry: entry, path: path}
	return nil
}

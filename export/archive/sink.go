package archive

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
)

// sink is a file being written: buffered, hashed on the way, and remembering its first error, because both Parquet
// libraries and the Zstandard encoder drop some. Nothing written after an error reaches the file.
type sink struct {
	path  string
	file  *os.File
	buf   *bufio.Writer
	hash  hash.Hash
	bytes int64
	err   error
}

// newSink creates the file and the folders above it; it must not exist.
func newSink(path string) (*sink, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return nil, fmt.Errorf("create a file: %w", err)
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, fmt.Errorf("create a file: %w", err)
	}
	return &sink{path: path, file: f, buf: bufio.NewWriterSize(f, 64<<10), hash: sha256.New()}, nil
}

func (s *sink) Write(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	n, err := s.buf.Write(p)
	s.hash.Write(p[:n])
	s.bytes += int64(n)
	s.err = err
	return n, err
}

// Tell is the number of bytes written, which is what arrow's page writers ask a sink for.
func (s *sink) Tell() int64 { return s.bytes }

// flush ends the writing: what was written is in the file, though not yet on disk.
func (s *sink) flush() error {
	if s.err == nil {
		s.err = s.buf.Flush()
	}
	s.buf = nil // it may wait long for its turn to be sealed
	if s.err != nil {
		s.discard()
		return s.err // the file's own, which names it
	}
	return nil
}

// seal syncs and closes a flushed file, reads it back through a handle of its own and returns the hash of what was written.
func (s *sink) seal() (string, error) {
	err := s.file.Sync()
	if cerr := s.file.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return "", err
	}
	want := hex.EncodeToString(s.hash.Sum(nil))
	got, n, err := hashFile(s.path)
	if err != nil {
		return "", fmt.Errorf("read back %s: %w", s.path, err)
	}
	if got != want || n != s.bytes {
		return "", fmt.Errorf("read back %s: the disk returns other bytes than were written", s.path)
	}
	return want, nil
}

// discard closes and removes the file; the folder it is in goes soon as well, so errors are of no use to anybody.
func (s *sink) discard() {
	_ = s.file.Close()
	_ = os.Remove(s.path)
}

func hashFile(path string) (string, int64, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.CopyBuffer(h, struct{ io.Reader }{f}, make([]byte, 128<<10))
	if err != nil {
		return "", 0, err
	}
	return hex.EncodeToString(h.Sum(nil)), n, nil
}

// writeSynced writes a small file that must be on disk before the next step.
func writeSynced(path string, content []byte) error {
	s, err := newSink(path)
	if err != nil {
		return err
	}
	_, _ = s.Write(content) // a failure is remembered, and returned by flush
	if err := s.flush(); err != nil {
		return err
	}
	_, err = s.seal()
	return err
}

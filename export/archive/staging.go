package archive

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"golang.org/x/sync/errgroup"
)

// Staging is an edition being made: everything is written here first and named at the end, since the id is known only when
// every capture has been read. Its methods may be called from several goroutines.
type Staging struct {
	archive *Archive
	review  string
	owned   *owned

	mu         sync.Mutex
	files      map[string]FileEntry // by path in the edition
	folded     map[string]string    // paths as a file system sees them that does not tell cases apart
	raw        map[string]stagedRaw // by hash
	rawNext    int
	references []Reference
	repaired   []string // damaged raw files of the archive that are stored anew
	open       int      // files of frames or samples begun and not closed without error
	handles    []*os.File
	done       bool

	// A disk takes milliseconds to sync a file and there is one for every capture, so files are sealed beside the work.
	// Publish waits for them and returns the first error.
	sealing errgroup.Group
}

// sealers is how many files may wait for the disk at once.
const sealers = 16

var errClosed = errors.New("the edition is published or abandoned")

// Begin makes a staging folder owned by this process. Whoever begins must Publish or Abandon; Abandon may be deferred.
func (a *Archive) Begin(review string) (*Staging, error) {
	if err := checkLabel(review); err != nil {
		return nil, fmt.Errorf("archive a review: %w", err)
	}
	o, err := own(filepath.Join(a.dir, stagingName), "")
	if err != nil {
		return nil, err
	}
	s := &Staging{archive: a, review: review, owned: o, files: map[string]FileEntry{}, folded: map[string]string{}, raw: map[string]stagedRaw{}}
	s.sealing.SetLimit(sealers)
	return s, nil
}

// edition is where the edition grows; it is renamed into place while the owner file beside it is still locked.
func (s *Staging) edition() string { return filepath.Join(s.owned.dir, "edition") }

// create begins a file of the edition, or says why its path cannot be one.
func (s *Staging) create(path string) (*sink, error) {
	if err := checkPath(path); err != nil {
		return nil, err
	}
	if err := s.archive.step("create %s", path); err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.done {
		return nil, errClosed
	}
	key := foldPath(path)
	if other, ok := s.folded[key]; ok {
		return nil, fmt.Errorf("%s: the edition has a file %s", path, other)
	}
	out, err := newSink(filepath.Join(s.edition(), filepath.FromSlash(path)))
	if err != nil {
		return nil, err
	}
	s.folded[key] = path
	s.handles = append(s.handles, out.file)
	return out, nil
}

// finish ends a file and enters it in the edition's list once it is on disk. rows is nil for what is not Parquet.
func (s *Staging) finish(path string, out *sink, rows *int64) error {
	if err := s.archive.step("seal %s", path); err != nil {
		out.discard()
		return err
	}
	if err := out.flush(); err != nil {
		return err
	}
	s.sealing.Go(func() error {
		sum, err := out.seal()
		if err != nil {
			return err
		}
		if rows != nil {
			if err := checkParquet(out.path, *rows); err != nil {
				return fmt.Errorf("read back %s: %w", path, err)
			}
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		s.files[path] = FileEntry{Path: path, Bytes: out.bytes, Rows: rows, SHA256: sum}
		return nil
	})
	return nil
}

// File adds a file as it is: plan/*.hcl, plan/plan.json, plan/ledger/….
func (s *Staging) File(path string, content []byte) error {
	out, err := s.create(path)
	if err != nil {
		return err
	}
	_, _ = out.Write(content) // a failure is remembered and returned by finish
	return s.finish(path, out, nil)
}

func (s *Staging) opened() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.open++
}

func (s *Staging) settled() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.open--
}

// Abandon removes the staging folder with everything in it. After Publish it does nothing. No other method may be running.
func (s *Staging) Abandon() error {
	s.mu.Lock()
	done := s.done
	s.done = true
	s.mu.Unlock()
	if done {
		return nil
	}
	_ = s.sealing.Wait() // a file that could not be sealed is removed like the others
	for _, f := range s.handles {
		_ = f.Close() // most are closed; Windows removes no file that is open
	}
	if err := s.owned.release(); err != nil {
		return fmt.Errorf("remove unfinished work: %w", err)
	}
	s.archive.tidy()
	return nil
}

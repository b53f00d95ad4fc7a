package archive

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

const (
	ownerName = "owner"
	// lockless is how old a folder without an owner file must be before it counts as left behind: a file system may have no
	// locks, and a bench may be switched off for a night in the middle of a run.
	lockless = 7 * 24 * time.Hour
)

// owned is a scratch folder whose owner file is locked by the operating system for as long as its process lives. The lock
// is held until the content has been renamed away or removed, so nobody sweeps a folder that is about to be published.
type owned struct {
	dir  string
	lock *flock.Flock // nil where the file system has no locks
}

// own makes a new scratch folder in parent, its name beginning with prefix.
func own(parent, prefix string) (*owned, error) {
	const tries = 10
	for range tries {
		var name [8]byte
		if _, err := rand.Read(name[:]); err != nil {
			return nil, fmt.Errorf("name a staging folder: %w", err)
		}
		if err := os.MkdirAll(parent, 0o777); err != nil {
			return nil, fmt.Errorf("make a staging folder: %w", err)
		}
		dir := filepath.Join(parent, prefix+hex.EncodeToString(name[:]))
		err := os.Mkdir(dir, 0o777)
		if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrExist) {
			continue // another process removed the empty parent in between
		}
		if err != nil {
			return nil, fmt.Errorf("make a staging folder: %w", err)
		}
		lock, err := lockOwner(dir)
		if errors.Is(err, errHeld) {
			continue // a sweeper took it between creation and lock, and removes it
		}
		if err != nil { // a file system without locks: other processes leave the folder alone for seven days
			if err := os.Remove(filepath.Join(dir, ownerName)); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return nil, fmt.Errorf("make a staging folder: %w", err)
			}
		}
		return &owned{dir: dir, lock: lock}, nil
	}
	return nil, fmt.Errorf("make a staging folder in %s: given up after %d tries", parent, tries)
}

var errHeld = errors.New("somebody else holds the lock")

// lockOwner takes the lock of a scratch folder, or errHeld. A file that was removed or replaced between its opening and
// its locking counts as held: that lock protects nothing.
func lockOwner(dir string) (*flock.Flock, error) {
	path := filepath.Join(dir, ownerName)
	lock := flock.New(path)
	got, err := lock.TryLock()
	if err == nil && got {
		held, err1 := lock.Stat()
		there, err2 := os.Stat(path)
		if err1 == nil && err2 == nil && os.SameFile(held, there) {
			return lock, nil
		}
	}
	_ = lock.Close()
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return nil, errHeld
}

// release removes the folder with all it holds. The owner file goes last: until then the folder is visibly owned.
func (o *owned) release() error {
	entries, err := os.ReadDir(o.dir)
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	for _, e := range entries {
		if e.Name() != ownerName {
			err = errors.Join(err, os.RemoveAll(filepath.Join(o.dir, e.Name())))
		}
	}
	if o.lock != nil {
		err = errors.Join(err, o.lock.Close())
	}
	return errors.Join(err, os.RemoveAll(o.dir))
}

// sweep removes the scratch folders in parent that nobody owns any more: those whose lock can be taken, and those without
// one that are older than seven days.
func sweep(parent, prefix string) error {
	entries, err := os.ReadDir(parent)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look for unfinished work: %w", err)
	}
	for _, e := range entries {
		if !e.IsDir() || !strings.HasPrefix(e.Name(), prefix) {
			continue
		}
		dir := filepath.Join(parent, e.Name())
		info, err := os.Stat(dir)
		if err != nil {
			continue // published or swept by its owner meanwhile
		}
		if _, err := os.Lstat(filepath.Join(dir, ownerName)); err != nil {
			if time.Since(info.ModTime()) < lockless {
				continue
			}
			if err := os.RemoveAll(dir); err != nil {
				return fmt.Errorf("remove unfinished work: %w", err)
			}
			continue
		}
		lock, err := lockOwner(dir)
		if err != nil {
			continue // alive, or not to be known
		}
		if err := (&owned{dir: dir, lock: lock}).release(); err != nil {
			return fmt.Errorf("remove unfinished work: %w", err)
		}
	}
	return nil
}

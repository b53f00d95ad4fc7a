package archive

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Edition is a published edition as its manifest describes it. Its files are held against the manifest when they are read.
type Edition struct {
	Manifest
	Dir       string
	Published time.Time
	Work      time.Time // when its work was first published: of a recomputed edition, when that was which holds its frames
}

// Unreadable is an edition's folder whose manifest cannot be trusted, and why: ErrDamaged, ErrNewer, or the disk's error.
type Unreadable struct {
	Review, Edition string // as the folders are named
	Dir             string
	Err             error
}

// Look checks the archive in dir like Open and changes nothing, so it also serves whoever may only read. A folder that does not
// exist is an empty archive.
func Look(dir string) (*Archive, error) {
	a := &Archive{dir: dir}
	if _, err := a.head(); err != nil {
		return nil, err
	}
	return a, nil
}

// Editions lists the archive's editions by review, then by age (CompareAge), then by id. Those that cannot be read
// come apart, by folder. Folders that are named like nothing of an archive are passed over.
func (a *Archive) Editions() (editions []Edition, unreadable []Unreadable, err error) {
	reviews, err := foldersOf(filepath.Join(a.dir, editionsDir), "review=")
	if err != nil {
		return nil, nil, err
	}
	for _, review := range reviews {
		dir := filepath.Join(a.dir, editionsDir, "review="+review)
		ids, err := foldersOf(dir, "edition=")
		if err != nil {
			return nil, nil, err
		}
		for _, id := range ids {
			e, err := ReadEdition(filepath.Join(dir, "edition="+id))
			if err != nil {
				unreadable = append(unreadable, Unreadable{Review: review, Edition: id, Dir: filepath.Join(dir, "edition="+id), Err: err})
				continue
			}
			editions = append(editions, e)
		}
	}
	slices.SortStableFunc(editions, func(a, b Edition) int {
		return cmp.Or(strings.Compare(a.Review, b.Review), CompareAge(a, b), strings.Compare(a.Edition, b.Edition))
	})
	return editions, unreadable, nil
}

// Edition reads the manifest of one edition. Errors are fs.ErrNotExist where the archive has no such edition, ErrDamaged, ErrNewer, or the disk's.
func (a *Archive) Edition(review, id string) (Edition, error) {
	if checkLabel(review) != nil || !editionID.MatchString(id) {
		return Edition{}, fmt.Errorf("%w: edition %q of review %q", fs.ErrNotExist, id, review)
	}
	dir := a.EditionDir(review, id)
	if _, err := os.Stat(dir); err != nil {
		return Edition{}, err
	}
	return ReadEdition(dir)
}

// Beside finds another edition of the same archive by its id, which tells it apart from those of all reviews. It is an error, fs.ErrNotExist, if
// there is none.
func (e Edition) Beside(id string) (Edition, error) {
	editions := filepath.Dir(filepath.Dir(e.Dir))
	reviews, err := foldersOf(editions, "review=")
	if err != nil {
		return Edition{}, err
	}
	for _, r := range reviews {
		other, err := (&Archive{dir: filepath.Dir(editions)}).Edition(r, id)
		if !errors.Is(err, fs.ErrNotExist) {
			return other, err
		}
	}
	return Edition{}, fmt.Errorf("edition %s, which edition %s refers to, is not beside it in the archive: %w", id, e.Manifest.Edition, fs.ErrNotExist)
}

// foldersOf lists the folders in dir whose names begin with prefix, without it, in order of name; none where dir does not exist.
func foldersOf(dir, prefix string) (names []string, err error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the archive's editions: %w", err)
	}
	for _, e := range entries {
		if name, ok := strings.CutPrefix(e.Name(), prefix); ok && e.IsDir() {
			names = append(names, name)
		}
	}
	return names, nil
}

// ReadEdition reads the manifest in an edition's folder and checks that it is that edition's. Its files are not looked at. Errors are
// ErrDamaged, ErrNewer, or the disk's.
func ReadEdition(dir string) (Edition, error) {
	m, err := ReadManifest(dir)
	if err != nil {
		return Edition{}, err
	}
	if filepath.Base(dir) != "edition="+m.Edition || filepath.Base(filepath.Dir(dir)) != "review="+m.Review {
		return Edition{}, fmt.Errorf("%w: %s holds edition %s of review %s", ErrDamaged, dir, m.Edition, m.Review)
	}
	at, err := time.Parse(time.RFC3339, m.PublishedAt)
	if err != nil {
		return Edition{}, fmt.Errorf("%w: %s: published_at %q is no time", ErrDamaged, dir, m.PublishedAt)
	}
	return Edition{Manifest: m, Dir: dir, Published: at, Work: m.work(at)}, nil
}

// mostBytes is the largest file that is read into memory whole: tables and texts of a review take some hundred kilobytes.
const mostBytes = 256 << 20

// entry finds a file that the edition holds or refers to.
func (e Edition) entry(path string) (FileEntry, error) {
	f, _, err := e.locate(path)
	return f, err
}

// File reads a file that fits in memory, by its path in the manifest, and checks it against its hash there. What the edition refers to in
// another is read there. Errors are ErrDamaged, fs.ErrNotExist for a file that the edition never had, or the disk's.
func (e Edition) File(path string) ([]byte, error) {
	f, dir, err := e.locate(path)
	if err != nil {
		return nil, err
	}
	return read(dir, f)
}

// read reads the bytes that are then used: checking a file and opening it again could be of two files.
func read(dir string, f FileEntry) ([]byte, error) {
	if f.Bytes > mostBytes {
		return nil, fmt.Errorf("%s/%s has %d bytes, more than the %d that are read at once", dir, f.Path, f.Bytes, int64(mostBytes))
	}
	name := filepath.Join(dir, filepath.FromSlash(f.Path))
	info, err := os.Lstat(name)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if !info.Mode().IsRegular() || info.Size() != f.Bytes {
		return nil, fmt.Errorf("%w: %s has %d bytes, the manifest says %d", ErrDamaged, name, info.Size(), f.Bytes)
	}
	file, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("read an edition: %w", err)
	}
	defer file.Close()
	content := make([]byte, f.Bytes)
	if _, err := io.ReadFull(file, content); err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	if sum := sha256.Sum256(content); hex.EncodeToString(sum[:]) != f.SHA256 {
		return nil, fmt.Errorf("%w: %s is not what the manifest says", ErrDamaged, name)
	}
	return content, nil
}

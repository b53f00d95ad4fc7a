package archive

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Reference is a file of another edition of the archive that an edition rests on: editions refer to frames and samples, and never copy them.
type Reference struct {
	Review  string `json:"review"`
	Edition string `json:"edition"`
	FileEntry
}

// Recomputed says of which edition's work an edition is the figures under later definitions. It names the one that holds the frames, however
// often its figures were worked out since.
type Recomputed struct {
	Edition     string `json:"edition"`
	PublishedAt string `json:"published_at"`
}

func byReference(a, b Reference) int {
	return slices.Compare([]string{a.Review, a.Edition, a.Path}, []string{b.Review, b.Edition, b.Path})
}

// checkReferences says what a reader may rely on in references, as Manifest.check does of the rest.
func (m Manifest) checkReferences() error {
	for _, r := range m.References {
		if err := checkPath(r.Path); err != nil {
			return err
		}
		if checkLabel(r.Review) != nil || !editionID.MatchString(r.Edition) || r.Review == m.Review && r.Edition == m.Edition || r.wrongEntry() {
			return fmt.Errorf("reference to %s of %s %s", r.Path, r.Review, r.Edition)
		}
	}
	if !slices.IsSortedFunc(m.References, byReference) {
		return errors.New("references out of order")
	}
	if from := m.RecomputedFrom; from != nil {
		if _, err := time.Parse(time.RFC3339, from.PublishedAt); err != nil || !editionID.MatchString(from.Edition) {
			return fmt.Errorf("recomputed from %q of %q", from.Edition, from.PublishedAt)
		}
	}
	return nil
}

// Refer enters files of an edition that this one rests on, its own or those that it refers to itself.
func (s *Staging) Refer(e Edition, paths ...string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, path := range paths {
		ref, err := e.reference(path)
		if err != nil {
			return err
		}
		s.references = append(s.references, ref)
	}
	slices.SortFunc(s.references, byReference)
	return nil
}

func (e Edition) reference(path string) (Reference, error) {
	for _, r := range e.References {
		if r.Path == path {
			return r, nil
		}
	}
	f, err := e.own(path)
	return Reference{e.Review, e.Edition, f}, err
}

// RawThere enters a raw file that the archive has. Whether it is whole is for the caller to have seen.
func (s *Staging) RawThere(entry RawEntry) error {
	if _, err := os.Lstat(s.archive.rawPath(entry.SHA256)); err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	return s.enterRaw(entry, "")
}

// Measured lists the files of frames and samples, those that the edition refers to too.
func (e Edition) Measured() (paths []string) {
	add := func(path string) {
		if strings.HasPrefix(path, "frames-") || strings.HasPrefix(path, "sensors-") {
			paths = append(paths, path)
		}
	}
	for _, f := range e.Files {
		add(f.Path)
	}
	for _, r := range e.References {
		add(r.Path)
	}
	return paths
}

// Source is the edition that holds the frames of a recomputed one, the edition itself for any other.
func (e Edition) Source() (edition, publishedAt string) {
	if e.RecomputedFrom != nil {
		return e.RecomputedFrom.Edition, e.RecomputedFrom.PublishedAt
	}
	return e.Edition, e.PublishedAt
}

// work is when the work of an edition was first published: figures that are recomputed later make it no newer.
func (m Manifest) work(published time.Time) time.Time {
	if m.RecomputedFrom == nil {
		return published
	}
	at, err := time.Parse(time.RFC3339, m.RecomputedFrom.PublishedAt)
	if err != nil {
		return published // check has seen that it is one
	}
	return at
}

// CompareAge orders editions by the age of their work, then by when they were published: the newest last.
func CompareAge(a, b Edition) int {
	return cmp.Or(a.Work.Compare(b.Work), a.Published.Compare(b.Published), strings.Compare(a.recomputed(), b.recomputed()))
}

// recomputed is empty for an edition that holds its own frames, which is the older one if two are published at once.
func (e Edition) recomputed() string {
	if e.RecomputedFrom == nil {
		return ""
	}
	return e.RecomputedFrom.Edition
}

// own finds a file that the edition holds itself.
func (e Edition) own(path string) (FileEntry, error) {
	i, ok := slices.BinarySearchFunc(e.Files, path, func(f FileEntry, p string) int { return strings.Compare(f.Path, p) })
	if !ok {
		return FileEntry{}, fmt.Errorf("%s has no %s: %w", e.Dir, path, fs.ErrNotExist)
	}
	return e.Files[i], nil
}

// locate finds a file that the edition holds, or else refers to, and the folder of the edition that holds it.
func (e Edition) locate(path string) (f FileEntry, dir string, err error) {
	if f, err = e.own(path); err == nil {
		return f, e.Dir, nil
	}
	for _, r := range e.References {
		if r.Path == path {
			return r.FileEntry, e.folderOf(r), nil
		}
	}
	return f, "", err
}

// folderOf is that of the edition which holds what is referred to.
func (e Edition) folderOf(r Reference) string {
	return filepath.Join(filepath.Dir(filepath.Dir(e.Dir)), "review="+r.Review, "edition="+r.Edition)
}

// Check holds every file that the edition holds or refers to against the manifest. Raw files are not looked at. Errors are ErrDamaged, or the
// disk's.
func (e Edition) Check() error {
	for _, f := range e.Files {
		if err := checkFile(e.Dir, f); err != nil {
			return err
		}
	}
	for _, r := range e.References {
		if err := checkFile(e.folderOf(r), r.FileEntry); err != nil {
			return err
		}
	}
	return nil
}

// broken finds references of editions to what the archive does not hold: an edition that is gone, or one whose file is another. Where the file
// itself is damaged, that is told of the edition that holds it.
func (a *Archive) broken(editions []Edition, unreadable []Unreadable) (out []Damage) {
	for _, e := range editions {
		for _, r := range e.References {
			found := ""
			i := slices.IndexFunc(editions, func(o Edition) bool { return o.Review == r.Review && o.Edition == r.Edition })
			switch {
			case i >= 0 && slices.ContainsFunc(editions[i].Files, func(f FileEntry) bool { return f.Path == r.Path && f.Bytes == r.Bytes && f.SHA256 == r.SHA256 }):
			case i >= 0:
				found = fmt.Sprintf("it rests on %s of edition %s of %s, which holds no such file, or another", r.Path, r.Edition, r.Review)
			case !slices.ContainsFunc(unreadable, func(u Unreadable) bool { return u.Review == r.Review && u.Edition == r.Edition }):
				found = fmt.Sprintf("it rests on %s of edition %s of %s, which is not in the archive", r.Path, r.Edition, r.Review)
			}
			if found != "" {
				out = append(out, Damage{Review: e.Review, Edition: e.Edition, File: a.below(filepath.Join(e.Dir, manifestName)), Found: found,
					Next: fmt.Sprintf("Put edition %s of %s back from a copy of the archive (%s has SHA-256 %s).", r.Edition, r.Review, r.Path, r.SHA256)})
			}
		}
	}
	return out
}

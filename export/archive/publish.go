package archive

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"
)

// Origin is what the manifest says of how an edition came to be.
type Origin struct {
	ToolVersion        string
	DefinitionsVersion int
	PublishedAt        time.Time
	RecomputedFrom     *Recomputed // nil for what was measured for it
}

// Result says whether publishing wrote anything.
type Result int

const (
	Published    Result = iota + 1 // the edition is new
	AlreadyThere                   // an edition of this id was there, whole and the same; nothing was written
)

// EditionDir is an edition's folder.
func (a *Archive) EditionDir(review, id string) string {
	return filepath.Join(a.dir, editionsDir, "review="+review, "edition="+id)
}

// Publish names the edition and makes it visible, all or nothing. Whatever happens the staging folder is gone afterwards. Errors
// are ErrConflict, ErrDamaged or ErrNewer about an edition that is there, the context's, or the disk's.
func (s *Staging) Publish(ctx context.Context, id string, from Origin) (result Result, err error) {
	defer func() {
		if aerr := s.Abandon(); err == nil && result != Published {
			err = aerr // once published, leftovers are the next sweep's
		}
	}()
	if err := s.sealing.Wait(); err != nil {
		return 0, fmt.Errorf("publish: %w", err)
	}
	m, err := s.manifest(id, from)
	if err != nil {
		return 0, fmt.Errorf("publish: %w", err)
	}
	target := s.archive.EditionDir(s.review, id)
	if _, err := os.Lstat(target); err == nil {
		if err := s.restoreRaw(ctx, m); err != nil {
			return 0, fmt.Errorf("publish: %w", err)
		}
		return s.agree(target, m)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return 0, fmt.Errorf("publish: %w", err)
	}
	if err := s.complete(ctx, m); err != nil {
		return 0, fmt.Errorf("publish: %w", err)
	}
	if err := s.moveRaw(ctx, m); err != nil {
		return 0, fmt.Errorf("publish: %w", err)
	}
	if err := s.appear(ctx, target); err != nil {
		if _, serr := os.Lstat(target); serr == nil && !errors.Is(err, errAfter) {
			return s.agree(target, m) // another publisher was quicker
		}
		return 0, fmt.Errorf("publish: %w", err)
	}
	return Published, nil
}

// errAfter marks a failure after the edition became visible.
var errAfter = errors.New("the edition is in place, but may not outlast a power failure")

func (s *Staging) manifest(id string, from Origin) (Manifest, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.done:
		return Manifest{}, errClosed
	case s.open > 0:
		return Manifest{}, fmt.Errorf("%d files of frames or samples were not closed, or failed", s.open)
	case len(s.files) != len(s.folded):
		return Manifest{}, errors.New("a file of the edition was begun and not finished")
	}
	m := Manifest{
		FormatVersion: FormatVersion, DefinitionsVersion: from.DefinitionsVersion, Review: s.review, Edition: id,
		ToolVersion: from.ToolVersion, GOARCH: runtime.GOARCH,
		PublishedAt: from.PublishedAt.UTC().Format("2006-01-02T15:04:05.000000Z"),
		References:  s.references, RecomputedFrom: from.RecomputedFrom,
		Files: make([]FileEntry, 0, len(s.files)), Raw: make([]RawEntry, 0, len(s.raw)),
	}
	for _, f := range s.files {
		m.Files = append(m.Files, f)
	}
	for _, r := range s.raw {
		m.Raw = append(m.Raw, r.entry)
	}
	slices.SortFunc(m.Files, byPath)
	slices.SortFunc(m.Raw, byHash)
	return m, m.check()
}

// complete writes the manifest as the last file of the edition and makes the names in its folders durable.
func (s *Staging) complete(ctx context.Context, m Manifest) error {
	if err := s.pause(ctx, "manifest"); err != nil {
		return err
	}
	content, err := m.encode()
	if err != nil {
		return err
	}
	if err := writeSynced(filepath.Join(s.edition(), manifestName), content); err != nil {
		return err
	}
	if err := s.pause(ctx, "manifest hash"); err != nil {
		return err
	}
	if err := writeSynced(filepath.Join(s.edition(), manifestSumName), sumLine(content)); err != nil {
		return err
	}
	if err := s.pause(ctx, "sync folders"); err != nil {
		return err
	}
	return filepath.WalkDir(s.edition(), func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		return syncDir(path)
	})
}

// moveRaw stores the raw files, each by its content, before the edition that needs them appears. A failure afterwards leaves
// them: they are whole, no edition is wrong for it, and the next try finds them.
func (s *Staging) moveRaw(ctx context.Context, m Manifest) error {
	if err := s.pause(ctx, "begin archive"); err != nil {
		return err
	}
	if err := s.archive.begin(s.owned.dir); err != nil {
		return err
	}
	dir := filepath.Join(s.archive.dir, rawName)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	for _, r := range m.Raw {
		if err := s.pause(ctx, "store raw "+r.SHA256); err != nil {
			return err
		}
		from, to := s.raw[r.SHA256].path, s.archive.rawPath(r.SHA256)
		if from == "" {
			if _, err := os.Lstat(to); err != nil {
				return fmt.Errorf("the raw file %s, which the archive had, is gone", r.SHA256)
			}
			continue
		}
		if err := rename(ctx, from, to); err != nil {
			return err
		}
	}
	if err := s.pause(ctx, "sync raw"); err != nil {
		return err
	}
	return syncDir(dir)
}

// restoreRaw stores what the archive lost of an edition that is there: captures that are missing, or no longer unpack to their names.
func (s *Staging) restoreRaw(ctx context.Context, m Manifest) error {
	for _, r := range s.raw {
		if r.path != "" {
			return s.moveRaw(ctx, m)
		}
	}
	return nil
}

// appear renames the edition's folder into place. The owner file beside it stays locked until that is done.
func (s *Staging) appear(ctx context.Context, target string) error {
	parent := filepath.Dir(target)
	if err := os.MkdirAll(parent, 0o777); err != nil {
		return err
	}
	for _, dir := range []string{filepath.Dir(parent), s.archive.dir} {
		if err := syncDir(dir); err != nil {
			return err
		}
	}
	if err := s.pause(ctx, "rename"); err != nil {
		return err
	}
	if err := rename(ctx, s.edition(), target); err != nil {
		return err
	}
	if err := s.archive.step("sync parent"); err != nil {
		return fmt.Errorf("%w: %w", errAfter, err)
	}
	if err := syncDir(parent); err != nil {
		return fmt.Errorf("%w: %w", errAfter, err)
	}
	return nil
}

// pause stops between two steps when the run was interrupted.
func (s *Staging) pause(ctx context.Context, step string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return s.archive.step("%s", step)
}

// tidy removes what an abandoned first edition would leave of an archive that never was: folders only, and only empty ones. The archive's
// own was made by us then; os.Remove would also take a link away, whatever it leads to.
func (a *Archive) tidy() {
	if os.Remove(filepath.Join(a.dir, stagingName)) == nil && !a.theirs {
		_ = os.Remove(a.dir)
	}
}

package archive

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// agree checks the edition that is there and compares it with the one just made.
func (s *Staging) agree(dir string, made Manifest) (Result, error) {
	there, err := s.archive.CheckEdition(dir)
	if err != nil {
		return 0, err
	}
	if what := difference(there, made); what != "" {
		return 0, fmt.Errorf("%w: %s in %s", ErrConflict, what, dir)
	}
	return AlreadyThere, nil
}

// CheckEdition reads an edition whole and holds every file against its manifest. Of the raw files it only looks whether they
// are there: Keep reads those that it meets.
func (a *Archive) CheckEdition(dir string) (Manifest, error) {
	e, err := ReadEdition(dir)
	if err != nil {
		return Manifest{}, err
	}
	m := e.Manifest
	if err := e.Check(); err != nil {
		return Manifest{}, err
	}
	for _, r := range m.Raw {
		if _, err := os.Lstat(a.rawPath(r.SHA256)); err != nil {
			return Manifest{}, fmt.Errorf("%w: %w", ErrDamaged, err)
		}
	}
	return m, nil
}

// checkFile holds a file of an edition's folder against its entry.
func checkFile(dir string, f FileEntry) error {
	name := filepath.Join(dir, filepath.FromSlash(f.Path))
	info, err := os.Lstat(name)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDamaged, err)
	}
	if !info.Mode().IsRegular() || info.Size() != f.Bytes {
		return fmt.Errorf("%w: %s/%s has %d bytes, the manifest says %d", ErrDamaged, dir, f.Path, info.Size(), f.Bytes)
	}
	sum, _, err := hashFile(name)
	if err != nil {
		return fmt.Errorf("check an edition: %w", err)
	}
	if sum != f.SHA256 {
		return fmt.Errorf("%w: %s/%s is not what the manifest says", ErrDamaged, dir, f.Path)
	}
	return nil
}

// difference names the first thing in which two editions of one id differ that they may not. When and by which release they
// were made may differ. So may the plan's text, of which the id knows only the meaning, and the ledger's entries, of which it
// leaves out the files' times: a comment was mended, or the captures were copied to another bench. Where release or
// architecture differ, so may the bytes of Parquet files: another compressor, a last digit. A table without rows may be missing from
// one of the two then: the earlier release did not have it.
func difference(a, b Manifest) string {
	if a.FormatVersion != b.FormatVersion || a.DefinitionsVersion != b.DefinitionsVersion || a.Review != b.Review || a.Edition != b.Edition {
		return "the versions or names"
	}
	if !slices.Equal(a.Raw, b.Raw) {
		return "the list of raw files"
	}
	if !slices.EqualFunc(a.References, b.References, func(x, y Reference) bool { return byReference(x, y) == 0 && x.SHA256 == y.SHA256 }) {
		return "what it refers to"
	}
	sameMaker := a.ToolVersion == b.ToolVersion && a.GOARCH == b.GOARCH
	mine, theirs := decided(a.Files), decided(b.Files)
	if a.ToolVersion != b.ToolVersion {
		mine, theirs = withoutEmptyNews(mine, theirs), withoutEmptyNews(theirs, mine)
	}
	if len(mine) != len(theirs) {
		return "the number of files"
	}
	for i, f := range mine {
		g := theirs[i]
		if f.Path != g.Path || (f.Rows == nil) != (g.Rows == nil) || (f.Rows != nil && *f.Rows != *g.Rows) {
			return f.Path
		}
		mayVary := !sameMaker && strings.HasSuffix(f.Path, ".parquet")
		if f.SHA256 != g.SHA256 && !mayVary {
			return f.Path
		}
	}
	return ""
}

// withoutEmptyNews leaves out the tables without rows that others do not have.
func withoutEmptyNews(files, others []FileEntry) []FileEntry {
	return slices.DeleteFunc(slices.Clone(files), func(f FileEntry) bool {
		has := slices.ContainsFunc(others, func(o FileEntry) bool { return o.Path == f.Path })
		return !has && f.Rows != nil && *f.Rows == 0
	})
}

// ElsewhereName is the file of an edition that says which other editions its numbers from elsewhere were worked out from. The id
// knows the numbers and not those editions: the same numbers may come from a newer one.
const ElsewhereName = "elsewhere.json"

// WordsName is the file of an edition that says what its report says beside the tables. Its words are the release's, and an edition of an
// earlier one has none.
const WordsName = "report.json"

// LookFolder is where an edition keeps the fonts that its report is drawn with. An edition without them is drawn with the built-in ones.
const LookFolder = "plan/look/"

// decided leaves out the files whose bytes the id does not decide.
func decided(files []FileEntry) []FileEntry {
	return slices.DeleteFunc(slices.Clone(files), func(f FileEntry) bool {
		return f.Path == ElsewhereName || f.Path == WordsName || strings.HasPrefix(f.Path, "plan/") && f.Path != "plan/plan.json"
	})
}

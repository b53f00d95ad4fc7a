package archive

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// checkFile holds a file of an edition against its manifest.
func (a *Archive) checkFile(e Edition, f FileEntry) (*Damage, error) {
	name := filepath.Join(e.Dir, filepath.FromSlash(f.Path))
	found, err := wrong(name, f)
	if err != nil || found == "" {
		return nil, err
	}
	d := &Damage{Review: e.Review, Edition: e.Edition, File: a.below(name), Found: found,
		Next: fmt.Sprintf("Put it back from a copy of the archive (SHA-256 %s). %s", f.SHA256, anew)}
	if strings.HasPrefix(f.Path, "frames-") {
		d.Passes = e.spoiled(f)
	}
	return d, nil
}

// wrong says how a file differs from its entry, "" if it does not. The error is a disk's that says nothing of the file.
func wrong(name string, f FileEntry) (string, error) {
	info, err := os.Lstat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "it is missing", nil
	case err != nil:
		return "it cannot be read: " + reason(err), nil
	case !info.Mode().IsRegular():
		return "it is no plain file", nil
	case info.Size() < f.Bytes:
		return fmt.Sprintf("it is cut short: %d bytes, the manifest says %d", info.Size(), f.Bytes), nil
	case info.Size() > f.Bytes:
		return fmt.Sprintf("it has grown: %d bytes, the manifest says %d", info.Size(), f.Bytes), nil
	}
	sum, _, err := hashFile(name)
	if err != nil {
		return "it cannot be read: " + reason(err), nil
	}
	if sum != f.SHA256 {
		return "its bytes are not those that were published: their SHA-256 is " + sum, nil
	}
	if f.Rows != nil {
		if err := checkParquet(name, *f.Rows); err != nil {
			return "its footer is wrong: " + err.Error(), nil
		}
	}
	return "", nil
}

// reason is an error of the file system without the path, which stands beside it.
func reason(err error) string {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err.Error()
	}
	return err.Error()
}

// checkCapture unpacks a raw file and holds it against its name. users are the editions that rest on it, the newest of a review last.
func (a *Archive) checkCapture(r RawEntry, users []Edition) (*Damage, error) {
	path := a.rawPath(r.SHA256)
	found := ""
	switch info, err := os.Lstat(path); {
	case errors.Is(err, fs.ErrNotExist):
		found = "it is missing"
	case err != nil:
		found = "it cannot be read: " + reason(err)
	case !info.Mode().IsRegular():
		found = "it is no plain file"
	default:
		switch err := a.checkRaw(r); {
		case errors.Is(err, ErrDamaged):
			found = fmt.Sprintf("it does not unpack to the capture that its name says (%d bytes)", r.Bytes)
		case err != nil:
			found = "it cannot be read: " + reason(err)
		}
	}
	if found == "" {
		return nil, nil
	}
	e := users[len(users)-1]
	d := &Damage{Review: e.Review, Edition: e.Edition, File: a.below(path), Found: found}
	for _, p := range e.Passes() {
		if p.SourceSHA256 == r.SHA256 {
			d.Passes = append(d.Passes, p)
		}
	}
	what := "the capture or log"
	if len(d.Passes) > 0 {
		what = d.Passes[0].SourcePath
	} else if path := e.sourceOf(r.SHA256); path != "" {
		what = path
	}
	d.Next = fmt.Sprintf("Copy %s (%d bytes, SHA-256 %s) back into the captures' folder and run the review's plan again, which stores it anew; "+
		"or put the file back from a copy of the archive.", what, r.Bytes, r.SHA256)
	if n := len(users); n > 1 {
		d.Next += fmt.Sprintf(" %d editions rest on it.", n)
	}
	return d, nil
}

// FilesName is the file of an edition that says where at the bench each of its raw files lay: sensor logs stand in no row of runs.
const FilesName = "plan/files.json"

// sourceOf tells where a raw file of the edition lay at the bench; "" where the edition does not say.
func (e Edition) sourceOf(sum string) string {
	var said struct {
		Captures []struct {
			Path   string `json:"path"`
			SHA256 string `json:"sha256"`
		} `json:"captures"`
	}
	text, err := e.File(FilesName)
	if err != nil || json.Unmarshal(text, &said) != nil {
		return ""
	}
	for _, c := range said.Captures {
		if c.SHA256 == sum {
			return c.Path
		}
	}
	return ""
}

// Passes names the passes of an edition, in the order of its table; none where that is damaged itself.
func (e Edition) Passes() []Passed {
	rows, err := ReadTable[Passed](e, "runs.parquet")
	if err != nil {
		return nil
	}
	return rows
}

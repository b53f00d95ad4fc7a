package archive

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

const (
	draftMark   = "draft.json"
	draftPrefix = ".rigslate-staging-"
)

// Draft is what a run leaves beside the plan whether or not the review is ready: the tables, without frames and raw files.
type Draft struct {
	Tables Tables
	Review string
	Files  map[string][]byte // further files by path
}

// WriteDraft replaces the draft in dir, all or nothing: it is written beside and swapped in. A folder of that name that holds
// something else is left alone, and is an error.
func WriteDraft(ctx context.Context, dir string, d Draft) (err error) {
	parent := filepath.Dir(dir)
	if err := ours(dir); err != nil {
		return err
	}
	if err := sweep(parent, draftPrefix); err != nil {
		return err
	}
	o, err := own(parent, draftPrefix)
	if err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	defer func() { err = errors.Join(err, o.release()) }()
	next, last := filepath.Join(o.dir, "next"), filepath.Join(o.dir, "last")
	if err := d.write(next); err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	had := true
	if err := rename(ctx, dir, last); errors.Is(err, fs.ErrNotExist) {
		had = false
	} else if err != nil {
		return fmt.Errorf("put the old draft aside: %w", err)
	}
	if err := rename(ctx, next, dir); err != nil {
		if had {
			err = errors.Join(err, os.Rename(last, dir))
		}
		return fmt.Errorf("put the draft in place: %w", err)
	}
	return syncDir(parent)
}

// ours says whether dir may be replaced: it is absent, empty, or a draft.
func ours(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) || (err == nil && len(entries) == 0) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("write the draft: %w", err)
	}
	if _, err := os.Lstat(filepath.Join(dir, draftMark)); err != nil {
		return fmt.Errorf("%s is not a draft of this program (it has no %s): move it away", dir, draftMark)
	}
	return nil
}

func (d Draft) write(dir string) error {
	mark, err := json.MarshalIndent(struct {
		FormatVersion int    `json:"format_version"`
		Review        string `json:"review"`
	}{FormatVersion, d.Review}, "", "  ")
	if err != nil {
		return err
	}
	if err := writeSynced(filepath.Join(dir, draftMark), append(mark, '\n')); err != nil {
		return err
	}
	for _, t := range d.Tables.files() {
		if err := draftTable(dir, t); err != nil {
			return err
		}
	}
	for path, content := range d.Files {
		if err := checkPath(path); err != nil {
			return err
		}
		if err := writeSynced(filepath.Join(dir, filepath.FromSlash(path)), content); err != nil {
			return err
		}
	}
	return nil
}

func draftTable(dir string, t namedTable) error {
	out, err := newSink(filepath.Join(dir, t.path))
	if err != nil {
		return err
	}
	if err := t.write(out); err != nil {
		out.discard()
		return fmt.Errorf("%s: %w", t.path, err)
	}
	if err := out.flush(); err != nil {
		return err
	}
	_, err = out.seal()
	return err
}

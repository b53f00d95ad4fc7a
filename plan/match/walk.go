package match

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// entry is one file below the root. An odd one is no capture by what it is, yet has to be counted: a hidden file (a leading dot),
// a hidden folder with all that lies in it, something that is no regular file.
type entry struct {
	path     string
	size     int64
	modified time.Time
	odd      bool
}

// maxDepth ends the descent into folders that something nests without end.
const maxDepth = 64

type walker struct {
	ctx     context.Context
	root    fs.FS
	skip    []string
	entries []entry
	folders []string
	list    *finding.List
}

// walk lists the files below root, and the folders, each sorted by path. What is named in skip is left out. A link to a file
// within the root counts as that file; a link to a folder is not followed, since folders may then go in circles; a link that
// leaves the root, or leads nowhere, is a finding.
func walk(ctx context.Context, root fs.FS, skip []string, l *finding.List) (files []entry, folders []string, err error) {
	w := &walker{ctx: ctx, root: root, skip: skip, list: l}
	if err := w.folder(".", 0); err != nil {
		return nil, nil, err
	}
	slices.SortFunc(w.entries, func(a, b entry) int { return strings.Compare(a.path, b.path) })
	slices.Sort(w.folders)
	return w.entries, w.folders, nil
}

func (w *walker) folder(dir string, depth int) error {
	if err := w.ctx.Err(); err != nil {
		return err
	}
	var files []fs.DirEntry
	d, err := w.root.Open(dir)
	if err == nil {
		if all, ok := d.(fs.ReadDirFile); ok {
			files, err = all.ReadDir(-1)
		}
		d.Close() // only read from
	}
	if err != nil {
		if depth == 0 {
			return err
		}
		w.list.Add(finding.Error, finding.Place{File: dir}, "A folder cannot be read", err.Error(),
			"Its captures are not counted. Allow reading it, or move it out of the captures' folder.")
		return nil
	}
	for _, e := range files {
		name := path.Join(dir, e.Name())
		switch {
		case e.IsDir() && strings.HasPrefix(e.Name(), "."):
			w.entries = append(w.entries, entry{path: name + "/", odd: true})
		case slices.Contains(w.skip, name):
		case e.IsDir() && depth == maxDepth:
			w.list.Add(finding.Error, finding.Place{File: name}, "A folder lies too deep", "Below it nothing was looked at.", "Move it up.")
		case e.IsDir():
			w.folders = append(w.folders, name)
			if err := w.folder(name, depth+1); err != nil {
				return err
			}
		case e.Type()&fs.ModeSymlink != 0:
			w.link(name)
		case e.Type().IsRegular():
			w.file(name, e.Info)
		default:
			w.entries = append(w.entries, entry{path: name, odd: true})
		}
	}
	return nil
}

// file takes a file's size and time; one that was removed since its folder was read is not there.
func (w *walker) file(name string, info func() (fs.FileInfo, error)) {
	i, err := info()
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		w.list.Add(finding.Error, finding.Place{File: name}, "A file cannot be looked at", err.Error(), "Allow reading it, or move it away.")
	default:
		w.take(name, i)
	}
}

func (w *walker) take(name string, i fs.FileInfo) {
	w.entries = append(w.entries, entry{name, i.Size(), i.ModTime(), strings.HasPrefix(path.Base(name), ".")})
}

func (w *walker) link(name string) {
	at := finding.Place{File: name}
	i, err := fs.Stat(w.root, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		w.list.Add(finding.Warning, at, "A link leads nowhere", "What it points at is not there.", "Remove it, or put the file in its place.")
	case err != nil:
		w.list.Add(finding.Warning, at, "A link that leaves the captures' folder is not followed", "Nothing behind it is read.",
			"Put the files themselves in its place, or name the folder that holds them with --captures.")
	case i.IsDir():
		w.list.Add(finding.Note, at, "A link to a folder is not followed", "What lies behind it is not read under this name.",
			"Name the folder itself with --captures.")
	case i.Mode().IsRegular():
		w.take(name, i)
	default:
		w.entries = append(w.entries, entry{path: name, odd: true})
	}
}

// skipped gives what is known not to be captures: the plan's own files, and the folders that the program writes beside them.
func skipped(p *plan.Plan, root *os.Root) []string {
	archive := p.Review.Archive
	if archive == "" {
		archive = plan.DefaultArchive
	}
	base, err := filepath.Abs(root.Name())
	if err != nil {
		return nil
	}
	var known, out []string
	for _, dir := range []string{archive, "draft", "report", "ledger"} {
		if !filepath.IsAbs(dir) {
			dir = filepath.Join(p.Dir, dir)
		}
		known = append(known, dir)
	}
	for _, s := range p.Sources {
		known = append(known, s.Path)
	}
	for _, name := range known {
		name, err := filepath.Abs(name)
		if err != nil {
			continue
		}
		if rel, err := filepath.Rel(base, name); err == nil && filepath.IsLocal(rel) && rel != "." {
			out = append(out, filepath.ToSlash(rel))
		}
	}
	return out
}

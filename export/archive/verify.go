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
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"
)

// At is the archive in dir, of which nothing is checked yet: for Verify, which tells of all damage and not of the first.
func At(dir string) *Archive { return &Archive{dir: filepath.Clean(dir)} }

// Damage is one file of an archive that is not what it should be.
type Damage struct {
	Review  string   `json:"review,omitempty"` // "" for what belongs to no edition
	Edition string   `json:"edition,omitempty"`
	File    string   `json:"file"`             // below the archive, with forward slashes
	Passes  []Passed `json:"passes,omitempty"` // whose data are concerned, as far as the edition's runs still tell
	Found   string   `json:"found"`            // what is wrong, with what was expected
	Next    string   `json:"next"`             // what to do
	Newer   bool     `json:"newer,omitempty"`  // not damaged: written by a newer release
}

// Passed names a pass of an edition and its capture.
type Passed struct {
	RunID        string `parquet:"run_id" json:"run_id"`
	Card         string `parquet:"card" json:"card"`
	Mode         string `parquet:"mode" json:"mode"`
	Game         string `parquet:"game" json:"game"`
	Variant      string `parquet:"variant" json:"variant"`
	Resolution   string `parquet:"resolution" json:"resolution"`
	Repeat       int32  `parquet:"repeat" json:"pass"`
	SourcePath   string `parquet:"source_path" json:"source_path"`
	SourceSHA256 string `parquet:"source_sha256" json:"source_sha256"`
}

// Verified is what an archive was found to be.
type Verified struct {
	Editions []Edition // whose manifests can be trusted; by review, then by when they were published
	Files    int       // read whole and hashed: of editions, and captures
	Captures int
	Bytes    int64 // of these files, captures as they lay on the bench
	Loose    int   // captures that no edition uses: whole ones may be left by a publisher that was stopped
	Damage   []Damage
}

// VerifyOptions say how an archive is looked through.
type VerifyOptions struct {
	Workers  int                                // files read at once; 0 is one a core
	Progress func(done, total int, what string) // may be nil; called by one goroutine at a time
}

// Verify reads the whole archive and lists everything that is not as it was published: manifests, sizes, hashes, footers, raw files,
// and files that nothing of the archive accounts for. Captures are unpacked and hashed too: a look at their sizes would pass over the
// one thing that cannot be worked out again. Each is read once, whatever number of editions use it. Nothing is changed. Errors are
// fs.ErrNotExist for a folder that is no archive, ErrNewer for one of a newer format, the context's, or the disk's.
func (a *Archive) Verify(ctx context.Context, o VerifyOptions) (*Verified, error) {
	v := &Verified{}
	switch h, err := a.head(); {
	case errors.Is(err, ErrDamaged):
		v.Damage = append(v.Damage, Damage{File: headName, Found: a.without(err), Next: "Put it back from a copy of the archive; nothing is published to this one until then."})
	case err != nil:
		return nil, err
	case h.ID == "":
		return nil, fmt.Errorf("%s is no archive, it has no %s: %w", a.dir, headName, fs.ErrNotExist)
	}
	editions, unreadable, err := a.Editions()
	if err != nil {
		return nil, err
	}
	v.Editions = editions
	strays, err := a.strays()
	if err != nil {
		return nil, err
	}
	for _, u := range unreadable {
		v.Damage = append(v.Damage, a.unreadable(u))
	}
	jobs, loose, err := a.jobs(editions)
	if err != nil {
		return nil, err
	}
	v.Damage = append(v.Damage, a.broken(editions, unreadable)...)
	found, err := inspect(ctx, jobs, o)
	if err != nil {
		return nil, err
	}
	if len(unreadable) == 0 { // else nobody knows whose they are
		v.Loose = loose
	}
	v.Damage = append(append(v.Damage, strays...), found...)
	for _, j := range jobs {
		if j.foreign {
			continue
		}
		v.Bytes += j.bytes
		if v.Files++; j.raw {
			v.Captures++
		}
	}
	slices.SortStableFunc(v.Damage, func(a, b Damage) int {
		return slices.Compare([]string{a.Review, a.Edition, a.File}, []string{b.Review, b.Edition, b.File})
	})
	return v, nil
}

// job is one file to be read.
type job struct {
	path         string // below the archive
	bytes        int64
	raw, foreign bool
	check        func() (*Damage, error)
}

// jobs lists all files that the manifests name, and those that lie beside them. loose counts captures that no edition uses.
func (a *Archive) jobs(editions []Edition) (jobs []job, loose int, err error) {
	used := map[RawEntry][]Edition{}
	var order []RawEntry
	for _, e := range editions {
		for _, f := range e.Files {
			jobs = append(jobs, job{a.below(filepath.Join(e.Dir, filepath.FromSlash(f.Path))), f.Bytes, false, false, func() (*Damage, error) { return a.checkFile(e, f) }})
		}
		for _, r := range e.Raw {
			if used[r] == nil {
				order = append(order, r)
			}
			used[r] = append(used[r], e)
		}
		jobs = append(jobs, a.foreign(e)...)
	}
	named := map[string]bool{}
	for _, r := range order {
		named[r.SHA256+".zst"] = true
		jobs = append(jobs, job{rawName + "/" + r.SHA256 + ".zst", r.Bytes, true, false, func() (*Damage, error) { return a.checkCapture(r, used[r]) }})
	}
	entries, err := os.ReadDir(filepath.Join(a.dir, rawName))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, 0, fmt.Errorf("list the raw files: %w", err)
	}
	for _, e := range entries {
		sum, ok := strings.CutSuffix(e.Name(), ".zst")
		switch {
		case named[e.Name()]:
		case ok && digest.MatchString(sum) && e.Type().IsRegular():
			loose++
		default:
			jobs = append(jobs, stranger(rawName+"/"+e.Name(), "", ""))
		}
	}
	return jobs, loose, nil
}

// inspect carries the jobs out, several at a time. What they find comes back in their order.
func inspect(ctx context.Context, jobs []job, o VerifyOptions) ([]Damage, error) {
	found := make([]*Damage, len(jobs))
	var mu sync.Mutex
	done := 0
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(workers(o.Workers))
	for i, j := range jobs {
		g.Go(func() (err error) {
			if err := ctx.Err(); err != nil {
				return err
			}
			if found[i], err = j.check(); err != nil {
				return err
			}
			mu.Lock()
			defer mu.Unlock()
			if done++; o.Progress != nil {
				o.Progress(done, len(jobs), j.path)
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	var damage []Damage
	for _, d := range found {
		if d != nil {
			damage = append(damage, *d)
		}
	}
	return damage, nil
}

func workers(n int) int {
	if n <= 0 {
		return runtime.GOMAXPROCS(0)
	}
	return n
}

// below gives a file's path below the archive, with forward slashes.
func (a *Archive) below(path string) string {
	rel, err := filepath.Rel(a.dir, path)
	if err != nil {
		return filepath.ToSlash(path)
	}
	return filepath.ToSlash(rel)
}

// without words an error without what its place in a list of damage says already.
func (a *Archive) without(err error) string {
	text := strings.TrimPrefix(err.Error(), ErrDamaged.Error()+": ")
	return strings.ReplaceAll(strings.ReplaceAll(text, a.dir+string(filepath.Separator), ""), a.dir, "the archive")
}

// unreadable words what is wrong with an edition whose manifest cannot be trusted.
func (a *Archive) unreadable(u Unreadable) Damage {
	d := Damage{Review: u.Review, Edition: u.Edition, File: a.below(filepath.Join(u.Dir, manifestName)), Found: a.without(u.Err),
		Next: "Put the edition's folder back from a copy of the archive. " + anew}
	if errors.Is(u.Err, ErrNewer) {
		d.Newer, d.Next = true, "Verify it with that release of rigslate; this one can say nothing of it."
	}
	return d
}

// anew is what is left where there is no copy.
const anew = "Without a copy: move the edition's folder out of the archive and run the review's plan again; the same captures give the same edition."

// strays finds what lies among the editions and is none. Readers that take editions/*/*/ would take it for one.
func (a *Archive) strays() (out []Damage, err error) {
	look := func(dir, prefix string, named func(string) bool, each func(name string) error) error {
		entries, err := os.ReadDir(dir)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("list the archive's editions: %w", err)
		}
		for _, e := range entries {
			name, ok := strings.CutPrefix(e.Name(), prefix)
			if !ok || !e.IsDir() || !named(name) {
				d, _ := stranger(a.below(filepath.Join(dir, e.Name())), "", "").check()
				out = append(out, *d)
				continue
			}
			if err := each(e.Name()); err != nil {
				return err
			}
		}
		return nil
	}
	root := filepath.Join(a.dir, editionsDir)
	err = look(root, "review=", func(n string) bool { return checkLabel(n) == nil }, func(review string) error {
		return look(filepath.Join(root, review), "edition=", editionID.MatchString, func(string) error { return nil })
	})
	return out, err
}

// stranger is a file or folder that nothing of the archive accounts for.
func stranger(path, review, edition string) job {
	return job{path: path, foreign: true, check: func() (*Damage, error) {
		return &Damage{Review: review, Edition: edition, File: path, Found: "nothing of the archive accounts for it",
			Next: "Move it out of the archive: readers that take whole folders would take it for a part. What was published is not harmed by it."}, nil
	}}
}

// foreign lists the files in an edition's folder that its manifest does not name. A folder that cannot be listed is damage too.
func (a *Archive) foreign(e Edition) (jobs []job) {
	known := map[string]bool{manifestName: true, manifestSumName: true}
	for _, f := range e.Files {
		known[f.Path] = true
		for i, c := range f.Path {
			if c == '/' {
				known[f.Path[:i]] = true
			}
		}
	}
	_ = filepath.WalkDir(e.Dir, func(path string, d fs.DirEntry, err error) error {
		rel, rerr := filepath.Rel(e.Dir, path)
		switch {
		case rerr != nil || rel == ".":
			return nil
		case err != nil:
			return fs.SkipDir // its files are told of one by one
		case known[filepath.ToSlash(rel)]:
			return nil
		}
		jobs = append(jobs, stranger(a.below(path), e.Review, e.Edition))
		if d.IsDir() {
			return fs.SkipDir
		}
		return nil
	})
	return jobs
}

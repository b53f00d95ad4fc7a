// Package match says what each file of the captures' folder is: which cell and which pass of it. Two sources tell, a path
// pattern and a bench log, and both speak in declared labels only. A name is never guessed at: all its readings are found, since
// labels may hold the very characters that separate them, and a name with two is an error that names both; a name with none is a
// stray that says which part failed. One regular expression per cell was rejected: it finds the first reading and hides the
// second, and its number grows with the matrix.
package match

import (
	"cmp"
	"context"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
)

// Found is what the captures' folder holds. Every file in it is in exactly one of Files, Strays and Other, is named or counted in
// one of the findings, is a bench log or a soak's, or is named by one of Files as lying beside it; only the program's own folders
// beside the plan are not looked into.
type Found struct {
	Files    []File    // sorted by path
	Outcomes []Outcome // bench-log rows with nothing saved, in the log's order
	Strays   []Stray   // sorted by path
	Other    Other
}

// File is one capture with its place in the matrix.
type File struct {
	Path     string // relative to the captures' folder, with slashes
	Key      plan.Key
	Repeat   int         // as named, 1 to 999; 0 if nothing names it
	Time     time.Time   // {time} of the name, read as UTC; zero if not named
	Files    *plan.Files // the block that says how to read it
	Size     int64       // bytes
	Modified time.Time   // the file's own time, for the ledger's first sight and for nothing else
	Row      *LogRow     // nil without a bench-log row
	Void     string      // the reason of its void, "" if it counts
	Beside   []Beside    // what lies beside it, as its block's Sensors
}

// Outcome is a pass of which nothing was saved.
type Outcome struct {
	Key    plan.Key
	Repeat int // 0 if not stated
	Row    *LogRow
}

// Stray is a file that `files` seems to mean but that belongs to no cell. Suggest is what to write for the part that Why names.
type Stray struct {
	Path    string        `json:"path"`
	Why     string        `json:"why"`
	Suggest string        `json:"suggest,omitempty"`
	Place   finding.Place `json:"place,omitzero"` // of the bench-log row that names the file; else the file as a whole
}

// String gives `a/herron_x_1.csv (card "herron_x"; did you mean heron_x?)`.
func (s Stray) String() string {
	if s.Suggest == "" {
		return fmt.Sprintf("%s (%s)", s.Path, s.Why)
	}
	return fmt.Sprintf("%s (%s; did you mean %s?)", s.Path, s.Why, s.Suggest)
}

// Other counts the files that no `files` block means: notes, sensor logs, pictures, hidden files. A hidden folder is not looked
// into and counts as one, named with a slash. Names are the first few, sorted.
type Other struct {
	Count int      `json:"count"`
	Names []string `json:"names,omitempty"`
}

const otherNames = 5

// Check compiles the path patterns of a plan and reports what is wrong with them; it reads nothing.
func Check(p *plan.Plan) finding.List {
	var l finding.List
	ix := newIndex(p)
	for i := range p.Files {
		compile(ix, &p.Files[i], &l)
		compileSensors(ix, &p.Files[i], &l)
	}
	return l.Tidy()
}

// Find walks the captures' folder once and says what each file is. Matching never leaves root. Findings whose place is a capture
// or a bench log name it relative to root. The error is that of ctx, or of a root that cannot be read at all.
func Find(ctx context.Context, p *plan.Plan, root *os.Root) (*Found, finding.List, error) {
	found, list, err := among(ctx, p, Folder{root}, skipped(p, root))
	if err != nil {
		err = fmt.Errorf("read the captures' folder %s: %w", root.Name(), err)
	}
	return found, list, err
}

// Among is Find over files that are at hand, which need not lie in any folder: all of them are taken for captures, logs or what lies beside.
func Among(ctx context.Context, p *plan.Plan, files fs.FS) (*Found, finding.List, error) {
	return among(ctx, p, files, nil)
}

// Folder is a folder as a file system out of which nothing leads. Unlike the root's own it takes names as plans and bench logs write them.
type Folder struct{ *os.Root }

// Open opens a file or folder below it.
func (f Folder) Open(name string) (fs.File, error) {
	file, err := f.Root.Open(name)
	if err != nil {
		return nil, err
	}
	return file, nil
}

func among(ctx context.Context, p *plan.Plan, root fs.FS, skip []string) (*Found, finding.List, error) {
	f := &finder{plan: p, ix: newIndex(p), root: root, taken: map[string]bool{}, logged: map[string]string{}, lines: map[string]*LogRow{},
		unnamed: map[gap]*tally{}, doubly: map[[2]int]*tally{}}
	for i := range p.Files {
		f.patterns = append(f.patterns, compile(f.ix, &p.Files[i], &f.list))
		f.sensors = append(f.sensors, compileSensors(f.ix, &p.Files[i], &f.list))
	}
	var err error
	var folders []string
	if f.entries, folders, err = walk(ctx, root, skip, &f.list); err != nil {
		return nil, f.list, err
	}
	f.byPath = make(map[string]*entry, len(f.entries))
	for i := range f.entries {
		f.byPath[f.entries[i].path] = &f.entries[i]
	}
	for _, log := range p.SoakLogs() { // they have exact names, and are read as what they are
		f.taken[log.Path] = true
	}
	f.logs()
	for i := range f.entries {
		if i%1024 == 0 && ctx.Err() != nil {
			return nil, f.list, ctx.Err()
		}
		if e := &f.entries[i]; !f.taken[e.path] {
			f.byPattern(e)
		}
	}
	f.disguised(folders)
	f.sayTallies()
	f.voids()
	f.pair()
	f.found.sort()
	f.doubles()
	f.caseTwins()
	return &f.found, f.list.Tidy(), nil
}

// finder is the state of one Find.
type finder struct {
	plan     *plan.Plan
	ix       *index
	root     fs.FS
	patterns []*pattern   // as plan.Files; nil where the block has none or a broken one
	sensors  [][]*pattern // of what lies beside, as plan.Files and their Sensors
	beside   []besideFrames
	entries  []entry // sorted by path
	byPath   map[string]*entry
	byFold   map[string]string // lower-case path → path; built when first needed
	taken    map[string]bool   // paths a bench log has spoken for, and the logs themselves
	logged   map[string]string // folder and extension of files that only a bench log names → that log
	unnamed  map[gap]*tally
	doubly   map[[2]int]*tally  // blocks that read a name alike
	lines    map[string]*LogRow // file → the row that names it
	found    Found
	list     finding.List
	looked   int // strays looked at closely
	searched int // file names searched for a suggestion
}

// tally counts files that share one problem, so that a thousand of them make one finding.
type tally struct {
	n     int
	first string
}

func (t *tally) String() string {
	if t.n == 1 {
		return t.first
	}
	return fmt.Sprintf("%d files, the first %s", t.n, t.first)
}

func (f *Found) sort() {
	slices.SortFunc(f.Files, func(a, b File) int { return cmp.Compare(a.Path, b.Path) })
	slices.SortFunc(f.Strays, func(a, b Stray) int { return cmp.Compare(a.Path, b.Path) })
}

// doubles reports two files that name the same pass of a cell. A void file, or one whose pass did not end well, may share its
// number with the pass that was made in its place.
func (f *finder) doubles() {
	type pass struct {
		key    plan.Key
		repeat int
	}
	first := map[pass]string{}
	for _, file := range f.found.Files {
		if file.Repeat == 0 || file.Void != "" || file.failed() {
			continue
		}
		p := pass{file.Key, file.Repeat}
		if other, ok := first[p]; ok {
			f.list.Add(finding.Error, finding.Place{File: file.Path}, "Two files name the same pass",
				fmt.Sprintf("%s and %s are both pass %d of %s.", other, file.Path, file.Repeat, file.Key),
				"Number one of them otherwise, or void it with a reason.")
			continue
		}
		first[p] = file.Path
	}
}

// caseTwins warns of names that would be one file where file names have no case.
func (f *finder) caseTwins() {
	first := map[string]string{}
	note := func(path string) {
		low := strings.ToLower(path)
		if other, ok := first[low]; ok {
			f.list.Add(finding.Warning, finding.Place{File: path}, "Two file names differ only in case",
				fmt.Sprintf("%s and %s are one file on a system whose file names have no case.", other, path), "Rename one of them.")
			return
		}
		first[low] = path
	}
	for _, file := range f.found.Files {
		note(file.Path)
	}
	for _, s := range f.found.Strays {
		note(s.Path)
	}
}

// failed reports a pass that its bench-log row says did not end well.
func (f File) failed() bool { return f.Row != nil && f.Row.Outcome != OK }

func (f *finder) other(path string) {
	f.found.Other.Count++
	if len(f.found.Other.Names) < otherNames {
		f.found.Other.Names = append(f.found.Other.Names, path)
	}
}

// Package ledger remembers under which circumstances each capture was first seen. A plan is edited while the work goes on: a driver
// is raised, a preset changed, and captures made before keep lying in the folder. The first sight of a file's content records what
// plan and bench log then stated; no later edit changes that record, so a difference shows that the capture is stale. A fact that
// nobody stated stays open and is recorded, in a further file, when it is first stated. The files' own times were rejected as
// evidence: copying changes them, so the ledger's count from the first sight on.
//
// The ledger is a folder of small JSON files beside the plan, one for each content, meant to be kept with it and shared. Files are
// only ever added, whole or not at all, and carry a checksum. Several programs may write into one folder: who comes second reads
// what the first has written.
package ledger

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"regexp"
	"strconv"
	"sync"
	"time"
)

// Ledger is an open ledger. Its methods may be called by several goroutines.
type Ledger struct {
	dir   string
	files fs.FS // the same, for reading

	mu      sync.Mutex
	further map[string]int     // SHA-256 → highest number of a further file seen when the ledger was opened
	records map[string]*record // SHA-256 → what was read of it
	vouches map[string]*vouched
	used    map[string][]byte
}

// record is what the ledger holds of one content: the first sight and the files that add to it.
type record struct {
	mu    sync.Mutex
	read  bool
	first *sight // nil while nothing is recorded
	facts Facts  // of all files; what was stated first counts
	files int    // how many there are
}

// Entry is what counts for a capture: recorded facts where there are any, else what is stated now.
type Entry struct {
	SHA256   string
	FileTime time.Time // of the file at its first sight, UTC, microseconds
	Facts
	Recorded bool // on disk; false where nothing was recorded yet and writing was not asked for
}

var entryName = regexp.MustCompile(`^([0-9a-f]{64})(?:\.([1-9][0-9]{0,5}))?\.json$`)

// Open opens the ledger in a folder, which need not be there yet. Entries are read when they are asked for.
func Open(dir string) (*Ledger, error) {
	l := &Ledger{dir: dir, files: os.DirFS(dir)}
	return l, l.list()
}

// Among is a ledger of files that are at hand, to be read only.
func Among(files fs.FS) (*Ledger, error) {
	l := &Ledger{files: files}
	return l, l.list()
}

func (l *Ledger) list() error {
	l.further, l.records = map[string]int{}, map[string]*record{}
	l.vouches, l.used = map[string]*vouched{}, map[string][]byte{}
	files, err := fs.ReadDir(l.files, ".")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("open the ledger: %w", err)
	}
	for _, f := range files {
		if m := entryName.FindStringSubmatch(f.Name()); m != nil {
			n, _ := strconv.Atoi(m[2]) // "" is the first file, 0
			l.further[m[1]] = max(n, l.further[m[1]])
		}
	}
	return nil
}

// See tells what counts for the content with that SHA-256 (64 lower-case hex digits), and where that is not what is stated now.
// With write, the first sight is recorded, and so is a fact that was open until now; without, the ledger is only read. The time is
// the file's own; it counts only if this is the first sight. A damaged file gives a *Damaged and an Entry of no use.
func (l *Ledger) See(sha string, fileTime time.Time, now Facts, write bool) (Entry, []Mismatch, error) {
	if m := entryName.FindStringSubmatch(sha + ".json"); m == nil || m[2] != "" {
		return Entry{}, nil, fmt.Errorf("ledger: %q is no SHA-256", sha)
	}
	now = now.valid()
	r := l.record(sha)
	r.mu.Lock()
	defer r.mu.Unlock()
	if err := l.load(sha, r); err != nil {
		return Entry{}, nil, err
	}
	for write && (r.first == nil || r.facts.open(now) != (Facts{})) {
		if err := l.add(sha, r, fileTime, now); err != nil {
			return Entry{}, nil, err
		}
	}
	if r.first == nil {
		return Entry{SHA256: sha, FileTime: stamp(fileTime), Facts: now}, nil, nil
	}
	e := Entry{SHA256: sha, FileTime: r.first.FileTime, Facts: r.facts.with(now), Recorded: true}
	return e, r.facts.against(now), nil
}

// Used gives the ledger's files that were asked for so far, by name, in their canonical form: they are archived with the edition.
func (l *Ledger) Used() map[string][]byte {
	l.mu.Lock()
	defer l.mu.Unlock()
	return maps.Clone(l.used)
}

func (l *Ledger) record(sha string) *record {
	l.mu.Lock()
	defer l.mu.Unlock()
	r := l.records[sha]
	if r == nil {
		r = &record{}
		l.records[sha] = r
	}
	return r
}

// load reads all there is of one content. A first file without its further ones is complete; a gap is damage.
func (l *Ledger) load(sha string, r *record) error {
	if r.read {
		return nil
	}
	l.mu.Lock()
	last, listed := l.further[sha]
	l.mu.Unlock()
	for {
		found, err := l.next(sha, r)
		if err != nil {
			return err
		}
		if !found {
			break
		}
	}
	if listed && r.files <= last {
		return &Damaged{File: l.path(fileName(sha, r.files)), Why: "it is missing, though there was one of that name or a later one"}
	}
	r.read = true
	return nil
}

// next takes in the next file of a content, if it is there.
func (l *Ledger) next(sha string, r *record) (found bool, err error) {
	name := fileName(sha, r.files)
	var s sight
	bytes, err := l.readFile(name, &s)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if s.SHA256 != sha || s.Number != r.files {
		return false, &Damaged{File: l.path(name), Why: "it is the entry of another file name"}
	}
	l.take(r, s, name, bytes)
	return true, nil
}

func (l *Ledger) take(r *record, s sight, name string, bytes []byte) {
	if r.first == nil {
		r.first = &s
	}
	r.facts = r.facts.with(s.Facts)
	r.files++
	l.mu.Lock()
	l.used[name] = bytes
	l.mu.Unlock()
}

// add writes what is open as the next file; where another writer was faster, that one's is read instead, and the caller looks
// again at what is still open.
func (l *Ledger) add(sha string, r *record, fileTime time.Time, now Facts) error {
	s := sight{SHA256: sha, Number: r.files, FileTime: stamp(fileTime), Facts: r.facts.open(now)}
	name := fileName(sha, r.files)
	bytes, err := l.writeFile(name, &s)
	if errors.Is(err, fs.ErrExist) {
		found, err := l.next(sha, r)
		if err == nil && !found {
			err = fmt.Errorf("ledger: %s came and went while it was read", name)
		}
		return err
	}
	if err != nil {
		return err
	}
	l.take(r, s, name, bytes)
	return nil
}

func fileName(sha string, n int) string {
	if n == 0 {
		return sha + ".json"
	}
	return sha + "." + strconv.Itoa(n) + ".json"
}

// stamp is a time as the ledger keeps it.
func stamp(t time.Time) time.Time { return t.UTC().Truncate(time.Microsecond) }

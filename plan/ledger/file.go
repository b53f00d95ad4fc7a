package ledger

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/rigslate/rigslate/plan/finding"
)

// format is the version of the ledger's files.
const format = 1

const maxFile = 4 << 20 // bytes; a vouch names the files of one cell, an entry a few texts

// sight is one file of the ledger: the first sight of a content (number 0), or facts stated later.
type sight struct {
	head
	SHA256   string    `json:"sha256"`
	Number   int       `json:"number"`
	FileTime time.Time `json:"file_time"` // of the file when this was written; only number 0 counts
	Facts    Facts     `json:"facts"`
}

// head begins every file of the ledger. Checksum is the SHA-256 of the file's canonical form with this field empty.
type head struct {
	Format   int    `json:"format"`
	Checksum string `json:"checksum"`
}

func (h *head) top() *head { return h }

// sealed is a file of the ledger.
type sealed interface{ top() *head }

// Damaged is a file of the ledger that cannot be relied on.
type Damaged struct {
	File string
	Why  string
}

func (d *Damaged) Error() string { return fmt.Sprintf("ledger file %s is damaged: %s", d.File, d.Why) }

// Finding says the same as a finding.
func (d *Damaged) Finding() finding.Finding {
	return finding.Finding{
		Severity: finding.Error, Summary: "A ledger file is damaged", Detail: "Not usable: " + d.Why + ".", Place: finding.Place{File: d.File},
		Mend: "Take it from a copy of the ledger. If there is none, remove it: the capture then counts as seen for the first time.",
	}
}

// canonical gives the one form in which a file is written and archived: JSON, indented, fields in fixed order, a line end.
func canonical(s sealed) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(s); err != nil {
		return nil, fmt.Errorf("ledger: encode: %w", err)
	}
	return b.Bytes(), nil
}

// seal puts the checksum in and gives the file's bytes.
func seal(s sealed) ([]byte, error) {
	h := s.top()
	h.Format, h.Checksum = format, ""
	plain, err := canonical(s)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(plain)
	h.Checksum = hex.EncodeToString(sum[:])
	return canonical(s)
}

// unseal reads a file's bytes into s; why says what is wrong with them. Line ends and blanks may have been changed on the way.
func unseal(data []byte, s sealed) (exact []byte, why string) {
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(s); err != nil {
		return nil, "it is not JSON of the expected form (" + err.Error() + ")"
	}
	if d.More() {
		return nil, "something follows its end"
	}
	if f := s.top().Format; f != format {
		return nil, fmt.Sprintf("its format is %d, this program reads %d", f, format)
	}
	was := s.top().Checksum
	exact, err := seal(s)
	if err != nil {
		return nil, err.Error()
	}
	if s.top().Checksum != was {
		return nil, "its checksum does not fit its content"
	}
	return exact, ""
}

func (l *Ledger) path(name string) string { return filepath.Join(l.dir, name) }

// readFile reads one file of the ledger into s. A file that another program is just writing on a file system without links can
// be seen unfinished, so what is no whole JSON is read again before it is called damaged.
func (l *Ledger) readFile(name string, s sealed) ([]byte, error) {
	const tries = 5
	for try := 1; ; try++ {
		data, err := l.readBounded(name)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		if err != nil {
			return nil, fmt.Errorf("ledger: read %s: %w", l.path(name), err)
		}
		if !json.Valid(data) && try < tries {
			time.Sleep(time.Duration(try) * 5 * time.Millisecond)
			continue
		}
		exact, why := unseal(data, s)
		if why != "" {
			return nil, &Damaged{File: l.path(name), Why: why}
		}
		return exact, nil
	}
}

func (l *Ledger) readBounded(name string) ([]byte, error) {
	f, err := l.files.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err == nil && len(data) > maxFile {
		err = fmt.Errorf("it has more than %d bytes", maxFile)
	}
	return data, err
}

// writeFile adds a file that was not there, whole or not at all; fs.ErrExist means that another writer was faster. The bytes
// are written beside and linked to their name, which fails if it is taken. Without links (some removable and network file
// systems) the name is created exclusively, and a write cut short is taken back, or found by its checksum.
func (l *Ledger) writeFile(name string, s sealed) ([]byte, error) {
	data, err := seal(s)
	if err != nil {
		return nil, err
	}
	if l.dir == "" {
		return nil, l.cannotWrite(name, errors.New("it is only read"))
	}
	if err := os.MkdirAll(l.dir, 0o777); err != nil {
		return nil, l.cannotWrite(name, err)
	}
	switch _, err := os.Lstat(l.path(name)); {
	case err == nil:
		return nil, fs.ErrExist
	case !errors.Is(err, fs.ErrNotExist):
		return nil, l.cannotWrite(name, err)
	}
	temp := tempBegin + rand.Text() + tempEnd
	if err := l.create(temp, data); err != nil {
		return nil, l.cannotWrite(name, err)
	}
	defer os.Remove(l.path(temp))
	err = link(l.path(temp), l.path(name))
	if err != nil && !errors.Is(err, fs.ErrExist) {
		err = l.create(name, data)
	}
	switch {
	case errors.Is(err, fs.ErrExist):
		return nil, fs.ErrExist
	case err != nil:
		return nil, l.cannotWrite(name, err)
	}
	return data, nil
}

const (
	tempBegin, tempEnd = ".new-", ".tmp"
	// tempAge is how old a file must be that waits for its name before its writer counts as dead: writing takes milliseconds. A live
	// writer whose file is taken away by a clock that is wrong finds that it cannot link it and writes without links.
	tempAge = 10 * time.Minute
)

// Sweep removes what writers left that were killed before they could give it its name. What cannot be removed does no harm and stays.
func (l *Ledger) Sweep() {
	files, _ := os.ReadDir(l.dir) // Open has read it, or it is not there yet
	for _, f := range files {
		if !strings.HasPrefix(f.Name(), tempBegin) || !strings.HasSuffix(f.Name(), tempEnd) {
			continue
		}
		if info, err := f.Info(); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > tempAge {
			_ = os.Remove(l.path(f.Name()))
		}
	}
}

// link is os.Link, but for the test of file systems that have none.
var link = os.Link

// create writes a file that must not be there yet, and takes it back if it cannot be written whole.
func (l *Ledger) create(name string, data []byte) error {
	f, err := os.OpenFile(l.path(name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(l.path(name)) // ours alone: it was created exclusively a moment ago
	}
	return err
}

func (l *Ledger) cannotWrite(name string, err error) error {
	return fmt.Errorf("the first sight of a capture cannot be recorded in %s: %w; make room there, or the folder writable (check and why record nothing)",
		l.path(name), err)
}

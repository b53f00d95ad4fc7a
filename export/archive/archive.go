// Package archive keeps a review: plain Parquet tables, every frame, every sample of every sensor, the capture files themselves,
// the plan, and a manifest with the hash of each, in a folder that any reader opens without this tool.
//
// The model is a folder of immutable editions. An edition is written whole under .staging, read back, hashed and then
// appears by one folder rename, so that a reader never sees half of one and a kill at any point leaves the old state. Its
// id is a hash of everything that decided its content: publishing the same work twice finds the folder there, checks its
// manifest and writes nothing. Capture files are stored once by content, whatever number of editions use them.
//
// The rejected alternative is one growing database file. It is smaller and quicker to query, but one bad write costs every
// review in it, two benches cannot share it on a plain file share, and in ten years it needs its own program to be read.
package archive

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// FormatVersion numbers the layout, the column names and their types. Within a version columns are only added.
const FormatVersion = 1

// What can be wrong with an archive. All three are faults of archive or disk, not of the review.
var (
	ErrNewer    = errors.New("written by a newer version of this tool")
	ErrDamaged  = errors.New("the archive is damaged")
	ErrConflict = errors.New("an edition with this id holds other content")
)

const (
	headName    = "archive.json"
	stagingName = ".staging"
	rawName     = "raw"
	editionsDir = "editions"
)

// Archive is a folder of editions. It holds no handle and no lock: any number of processes may use one folder.
type Archive struct {
	dir    string
	theirs bool // the folder, or a link to one, was there before this program used it, and stays

	fault func(step string) error // tests fail or stop the process between two steps; nil otherwise
}

// Open checks the archive in dir and sweeps what dead processes left unfinished. A folder that does not exist yet is an
// empty archive; it is created by what is first published to it. Errors are ErrNewer, ErrDamaged or those of the disk.
func Open(dir string) (*Archive, error) {
	a := &Archive{dir: dir}
	if _, err := a.head(); err != nil {
		return nil, err
	}
	if err := sweep(filepath.Join(dir, stagingName), ""); err != nil {
		return nil, err
	}
	_, err := os.Lstat(dir)
	a.theirs = err == nil
	return a, nil
}

// head is archive.json: what a reader looks at first. The checksum is that of the other two, so that a flipped digit in
// the version is damage and not a newer format.
type head struct {
	FormatVersion int    `json:"format_version"`
	ID            string `json:"id"`
	SHA256        string `json:"sha256"`
}

func (h head) checksum() string {
	sum := sha256.Sum256(fmt.Appendf(nil, "format_version %d\nid %s\n", h.FormatVersion, h.ID))
	return hex.EncodeToString(sum[:])
}

func (h head) encode() []byte {
	text, err := json.MarshalIndent(h, "", "  ")
	if err != nil {
		return nil // two strings and an int always encode
	}
	return append(text, '\n')
}

// head reads archive.json. An absent file in a folder without editions is an archive not begun: a zero head, no error.
func (a *Archive) head() (head, error) {
	path := filepath.Join(a.dir, headName)
	text, err := readSmall(path)
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Lstat(filepath.Join(a.dir, editionsDir)); err == nil {
			return head{}, fmt.Errorf("%w: %s has editions but no %s", ErrDamaged, a.dir, headName)
		}
		return head{}, nil
	}
	if err != nil {
		return head{}, fmt.Errorf("read the archive's description: %w", err)
	}
	var h head
	if err := json.Unmarshal(text, &h); err != nil {
		return head{}, fmt.Errorf("%w: %s: %w", ErrDamaged, path, err)
	}
	if h.SHA256 != h.checksum() {
		return head{}, fmt.Errorf("%w: %s does not match its own checksum", ErrDamaged, path)
	}
	if h.FormatVersion > FormatVersion {
		return head{}, fmt.Errorf("%s is an archive of format %d, this program knows up to %d: %w", a.dir, h.FormatVersion, FormatVersion, ErrNewer)
	}
	if !bytes.Equal(text, h.encode()) {
		return head{}, fmt.Errorf("%w: %s is not as it was written", ErrDamaged, path)
	}
	return h, nil
}

// begin writes archive.json where there is none. It is linked into place from the staging folder, which fails where the
// file exists, so of two first publishers one id wins and both go on with it.
func (a *Archive) begin(staged string) error {
	h, err := a.head()
	if err != nil || h.ID != "" {
		return err
	}
	var id [16]byte
	if _, err := rand.Read(id[:]); err != nil {
		return fmt.Errorf("make an archive id: %w", err)
	}
	h = head{FormatVersion: FormatVersion, ID: hex.EncodeToString(id[:])}
	h.SHA256 = h.checksum()
	from, to := filepath.Join(staged, headName), filepath.Join(a.dir, headName)
	if err := writeSynced(from, h.encode()); err != nil {
		return err
	}
	if err := os.Link(from, to); err != nil && !errors.Is(err, fs.ErrExist) {
		// File systems without links: a rename may replace another first publisher's file, whose id nobody has used yet.
		if err := os.Rename(from, to); err != nil {
			return fmt.Errorf("create the archive: %w", err)
		}
	}
	if err := syncDir(a.dir); err != nil {
		return err
	}
	_, err = a.head()
	return err
}

// step is where tests interfere.
func (a *Archive) step(format string, args ...any) error {
	if a.fault == nil {
		return nil
	}
	return a.fault(fmt.Sprintf(format, args...))
}

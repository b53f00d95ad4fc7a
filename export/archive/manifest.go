package archive

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

const (
	manifestName    = "manifest.json"
	manifestSumName = "manifest.sha256"
)

// Manifest lists what an edition consists of. It is written last; manifest.sha256 beside it holds its hash, in the form
// that sha256sum -c reads.
type Manifest struct {
	FormatVersion      int         `json:"format_version"`
	DefinitionsVersion int         `json:"definitions_version"`
	Review             string      `json:"review"`
	Edition            string      `json:"edition"`
	ToolVersion        string      `json:"tool_version"`
	GOARCH             string      `json:"goarch"`
	PublishedAt        string      `json:"published_at"` // RFC 3339, UTC, microseconds
	Files              []FileEntry `json:"files"`        // by path
	Raw                []RawEntry  `json:"raw"`          // by hash

	References     []Reference `json:"references,omitempty"` // by review, edition and path
	RecomputedFrom *Recomputed `json:"recomputed_from,omitempty"`
}

// FileEntry is one file of the edition besides the manifest and its hash.
type FileEntry struct {
	Path   string `json:"path"` // below the edition, with forward slashes
	Bytes  int64  `json:"bytes"`
	Rows   *int64 `json:"rows,omitempty"` // of a Parquet file
	SHA256 string `json:"sha256"`
}

// RawEntry is one capture file the edition rests on, in raw/<sha256>.zst. Stored says what that file is: "as is" (the
// capture came as Zstandard) or "zstd" (it unpacks to the capture).
type RawEntry struct {
	SHA256 string `json:"sha256"` // of the capture file as it lay on disk
	Bytes  int64  `json:"bytes"`  // of the same
	Stored string `json:"stored"`
}

const (
	storedAsIs = "as is"
	storedZstd = "zstd"
)

func (m Manifest) encode() ([]byte, error) {
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the manifest: %w", err)
	}
	return append(text, '\n'), nil
}

func sumLine(text []byte) []byte {
	sum := sha256.Sum256(text)
	return fmt.Appendf(nil, "%s  %s\n", hex.EncodeToString(sum[:]), manifestName)
}

// ReadManifest reads and checks the manifest in an edition's folder against its hash. It does not look at the files listed.
func ReadManifest(dir string) (Manifest, error) {
	text, err := readSmall(filepath.Join(dir, manifestName))
	if err != nil {
		return Manifest{}, fmt.Errorf("%w: read the manifest: %w", ErrDamaged, err)
	}
	sum, err := readSmall(filepath.Join(dir, manifestSumName))
	if err != nil {
		return Manifest{}, fmt.Errorf("%w: read the manifest's hash: %w", ErrDamaged, err)
	}
	if !bytes.Equal(sum, sumLine(text)) {
		return Manifest{}, fmt.Errorf("%w: %s: the manifest does not match its hash", ErrDamaged, dir)
	}
	return parseManifest(dir, text)
}

// mostSmall is the largest manifest that is read: a review of 50 000 captures has one of 12 MB.
const mostSmall = 16 << 20

// readSmall reads a file whole that is no larger than a manifest can be.
func readSmall(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostSmall+1))
	if err == nil && len(text) > mostSmall {
		err = fmt.Errorf("%s has more than %d MB", path, mostSmall>>20)
	}
	return text, err
}

// parseManifest reads and checks the text of the manifest in dir.
func parseManifest(dir string, text []byte) (Manifest, error) {
	var version struct {
		FormatVersion int `json:"format_version"`
	}
	if err := json.Unmarshal(text, &version); err != nil {
		return Manifest{}, fmt.Errorf("%w: %s: manifest: %w", ErrDamaged, dir, err)
	}
	if version.FormatVersion > FormatVersion {
		return Manifest{}, fmt.Errorf("%s is of format %d, this program knows up to %d: %w", dir, version.FormatVersion, FormatVersion, ErrNewer)
	}
	var m Manifest
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&m); err != nil {
		return Manifest{}, fmt.Errorf("%w: %s: manifest: %w", ErrDamaged, dir, err)
	}
	if err := m.check(); err != nil {
		return Manifest{}, fmt.Errorf("%w: %s: manifest: %w", ErrDamaged, dir, err)
	}
	return m, nil
}

// check says what a reader may rely on: names that are paths below the edition, hashes that are hashes, both sorted.
func (m Manifest) check() error {
	if m.FormatVersion < 1 || !editionID.MatchString(m.Edition) || checkLabel(m.Review) != nil {
		return fmt.Errorf("format %d, review %q, edition %q", m.FormatVersion, m.Review, m.Edition)
	}
	for _, f := range m.Files {
		if err := checkPath(f.Path); err != nil {
			return err
		}
		if f.wrongEntry() {
			return fmt.Errorf("entry of %s", f.Path)
		}
	}
	for _, r := range m.Raw {
		if !digest.MatchString(r.SHA256) || r.Bytes < 0 || (r.Stored != storedAsIs && r.Stored != storedZstd) {
			return fmt.Errorf("entry of the raw file %q", r.SHA256)
		}
	}
	if !slices.IsSortedFunc(m.Files, byPath) || !slices.IsSortedFunc(m.Raw, byHash) {
		return fmt.Errorf("entries out of order")
	}
	return m.checkReferences()
}

func (f FileEntry) wrongEntry() bool {
	return !digest.MatchString(f.SHA256) || f.Bytes < 0 || (f.Rows != nil) != strings.HasSuffix(f.Path, ".parquet")
}

func byPath(a, b FileEntry) int { return strings.Compare(a.Path, b.Path) }
func byHash(a, b RawEntry) int  { return strings.Compare(a.SHA256, b.SHA256) }

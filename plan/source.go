package plan

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/hashicorp/hcl/v2"

	"github.com/rigslate/rigslate/plan/finding"
)

// maxPlanBytes is the largest plan file that is read, and maxPlanBytesInAll what all may have. A long review takes a few dozen KiB; what is
// larger is something else, and parsed it takes two hundred times its size.
const (
	maxPlanBytes      = 512 << 10
	maxPlanBytesInAll = 1 << 20
)

// tooLarge says that a file is not read.
func (l *loader) tooLarge(file string) {
	l.partial = true
	l.findings.Add(finding.Error, finding.Place{File: file}, "Plan file is too large",
		fmt.Sprintf("A plan file may have %d KiB, and all of a plan %d.", maxPlanBytes>>10, maxPlanBytesInAll>>10), "Split the review, or name the right file.")
}

// cannotRead says in our words what is wrong with a path that was given.
func cannotRead(path string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no file or folder %s: %w", path, fs.ErrNotExist)
	}
	return fmt.Errorf("read plan: %w", err)
}

// planFiles turns the paths given into the files to read: a file stands for itself, a folder for all *.hcl directly in it, by
// name. A file named twice is read once.
func planFiles(paths []string) (files []string, dir string, empty []string, err error) {
	if len(paths) == 0 {
		return nil, "", nil, errors.New("read plan: no file or folder given")
	}
	seen := map[string]bool{}
	for i, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, "", nil, cannotRead(path, err)
		}
		found := []string{path}
		if info.IsDir() {
			if found, err = hclIn(path); err != nil {
				return nil, "", nil, fmt.Errorf("read plan: %w", err)
			}
			if len(found) == 0 {
				empty = append(empty, path)
			}
		}
		if i == 0 {
			dir = path
			if !info.IsDir() {
				dir = filepath.Dir(path)
			}
		}
		for _, f := range found {
			abs, err := filepath.Abs(f)
			if err != nil {
				return nil, "", nil, fmt.Errorf("read plan %s: %w", f, err)
			}
			if !seen[abs] {
				seen[abs] = true
				files = append(files, f)
			}
		}
	}
	return files, dir, empty, nil
}

func hclIn(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var files []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ".hcl") && !strings.HasPrefix(e.Name(), ".") {
			files = append(files, filepath.Join(dir, e.Name()))
		}
	}
	slices.Sort(files)
	return files, nil
}

// readBounded reads a plan file; ok is false, without an error, where it is larger than a plan may be.
func readBounded(path string) (data []byte, ok bool, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, false, fmt.Errorf("read plan: %w", err)
	}
	defer f.Close()
	data, err = io.ReadAll(io.LimitReader(f, maxPlanBytes+1))
	if err != nil {
		return nil, false, fmt.Errorf("read plan %s: %w", path, err)
	}
	return data, len(data) <= maxPlanBytes, nil
}

// lines finds lines and columns in one source. HCL's columns count grapheme clusters; ours count characters, as the printer does.
type lines struct {
	data  string // without a byte order mark
	ends  []int  // the byte after each line's last, its line end apart
	runes []int  // runes[i]: characters before byte i·runeStep, so that a column costs the same on any length of line
}

const runeStep = 256

const byteOrderMark = "\ufeff"

func newLines(data []byte) *lines {
	t := &lines{data: strings.TrimPrefix(string(data), byteOrderMark)}
	for i := 0; i <= len(t.data); i += runeStep {
		n := 0
		if i > 0 {
			n = t.runes[len(t.runes)-1] + starts(t.data[i-runeStep:i])
		}
		t.runes = append(t.runes, n)
	}
	for at := 0; ; {
		n := strings.IndexByte(t.data[at:], '\n')
		if n < 0 {
			break
		}
		at += n + 1
		t.ends = append(t.ends, at-1)
	}
	t.ends = append(t.ends, len(t.data))
	return t
}

// starts counts the bytes that begin a character.
func starts(s string) (n int) {
	for i := range len(s) {
		if utf8.RuneStart(s[i]) {
			n++
		}
	}
	return n
}

func (t *lines) before(at int) int {
	i := at / runeStep
	return t.runes[i] + starts(t.data[i*runeStep:at])
}

// place turns a range of HCL into ours. A range over several lines is cut at the end of its first.
func (t *lines) place(r hcl.Range) finding.Place {
	from := min(max(r.Start.Byte, 0), len(t.data))
	to := min(max(r.End.Byte, from), len(t.data))
	line, _ := slices.BinarySearch(t.ends, from)
	lo, hi := 0, t.ends[line]
	if line > 0 {
		lo = t.ends[line-1] + 1
	}
	if hi > lo && t.data[hi-1] == '\r' {
		hi--
	}
	first := t.before(lo)
	col := t.before(min(from, hi)) - first + 1
	return finding.Place{File: r.Filename, Line: line + 1, Column: col,
		EndColumn: max(t.before(min(to, hi))-first+1, col+1), Source: t.data[lo:hi]}
}

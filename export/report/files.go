package report

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/sync/errgroup"
)

// File is one file of a report, by its path below the report's folder, with forward slashes. Make is there where Content is not: what takes its time,
// or its memory. After says that it is made when all others are; Holds tells of what is on disk whether it is this file already, which then is not made.
type File struct {
	Path    string
	Content []byte
	Make    func() ([]byte, error)
	After   bool
	Holds   func(old []byte) bool
}

// Files makes all files of a report, in a fixed order. This is where names that are withheld end: what makes a file sees a discreet source.
func Files(s Source, which Charts) (files []File, err error) {
	s = s.Discreet()
	page := s.Words.Calibration
	page.Head = Head{Review: s.Words.Review, Title: s.Words.Title, Tool: s.Origin.Tool, Look: s.Look}
	calibration, err := page.File()
	if err != nil {
		return nil, err
	}
	if s, err = s.withPasses(); err != nil {
		return nil, err
	}
	drawings, err := pictures(s)
	if err != nil {
		return nil, err
	}
	index, err := s.Page(drawings)
	if err != nil {
		return nil, err
	}
	files = append(files, index, calibration)
	tables, err := tableFiles(s)
	if err != nil {
		return nil, err
	}
	files = append(append(files, tables...), scriptFile(s))
	drawn, err := chartFiles(s, which)
	return append(files, drawn...), err
}

// WriteFiles puts files into the report's folder, each whole or not at all, and says which of them changed, in their order. One that says what it said is
// not touched, so that an editor's timeline that links to it has nothing to read again. Up to workers files are made at a time.
func WriteFiles(ctx context.Context, folder string, files []File, workers int) (changed []string, err error) {
	new := make([]bool, len(files))
	for _, after := range []bool{false, true} {
		g, ctx := errgroup.WithContext(ctx)
		g.SetLimit(max(1, workers))
		for i, f := range files {
			if f.After == after {
				g.Go(func() (err error) {
					new[i], err = f.write(ctx, folder)
					return err
				})
			}
		}
		if err = g.Wait(); err != nil {
			break
		}
	}
	for i, f := range files {
		if new[i] {
			changed = append(changed, f.Path)
		}
	}
	return changed, err
}

func (f File) write(ctx context.Context, folder string) (changed bool, err error) {
	if err := ctx.Err(); err != nil {
		return false, err
	}
	if f.Holds != nil {
		if old, err := os.ReadFile(filepath.Join(folder, filepath.FromSlash(f.Path))); err == nil && f.Holds(old) {
			return false, nil
		}
	}
	if f.Make != nil {
		if f.Content, err = f.Make(); err != nil {
			return false, fmt.Errorf("%s: %w", f.Path, err)
		}
	}
	return write(folder, f.Path, f.Content)
}

func there(folder, path string) bool {
	info, err := os.Stat(filepath.Join(folder, filepath.FromSlash(path)))
	return err == nil && info.Mode().IsRegular()
}

// plainName makes a chart's name out of words of the plan: no separator, nothing that turns text around.
func plainName(name string) string {
	return strings.Map(func(r rune) rune {
		if r < 0x80 && !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '.' || unicode.Is(unicode.Cf, r) {
			return '_'
		}
		return r
	}, name)
}

// fileName is a chart's name as every file system takes it, with room for what stands behind it.
func fileName(name string) string {
	name = plainName(name)
	if len(name) <= longestName {
		return name
	}
	end := longestName - 9
	for !utf8.RuneStart(name[end]) {
		end--
	}
	sum := sha256.Sum256([]byte(name))
	return name[:end] + "-" + hex.EncodeToString(sum[:4])
}

// longestName is how many bytes of a chart's name stand in the names of its files; file systems take 255 in all.
const longestName = 200

package report

import (
	"errors"
	"fmt"
	"io/fs"

	"github.com/rigslate/rigslate/export/archive"
)

// Source is all that a report is made of. It comes from an edition, or for a review that is not ready from memory, and the same review gives
// the same report either way.
type Source struct {
	Words  Words
	Tables archive.Tables
	Origin Origin
}

// Origin says which edition a report is of. All but Tool is empty for a draft.
type Origin struct {
	Edition   string
	Published string // RFC 3339, UTC
	Tool      string
	GOARCH    string
	Raw       int // capture and log files that the edition rests on
}

// FromEdition reads what a report needs from an edition. It is an error, fs.ErrNotExist, if the edition was written before reports had words.
func FromEdition(e archive.Edition) (s Source, err error) {
	s.Origin = Origin{Edition: e.Edition, Published: e.PublishedAt, Tool: e.ToolVersion, GOARCH: e.GOARCH, Raw: len(e.Raw)}
	text, err := e.File(archive.WordsName)
	if errors.Is(err, fs.ErrNotExist) {
		return s, fmt.Errorf("edition %s was published before reports could be made from the archive alone: %w", e.Edition, err)
	}
	if err != nil {
		return s, err
	}
	if s.Words, err = ReadWords(text); err != nil {
		return s, fmt.Errorf("%w: %w", archive.ErrDamaged, err)
	}
	t := &s.Tables
	return s, errors.Join(table(e, "runs", &t.Runs), table(e, "cells", &t.Cells), table(e, "comparisons", &t.Comparisons),
		table(e, "summaries", &t.Summaries), table(e, "claims", &t.Claims), table(e, "readings", &t.Readings))
}

func table[Row any](e archive.Edition, name string, rows *[]Row) (err error) {
	*rows, err = archive.ReadTable[Row](e, name+".parquet")
	return err
}

// File is one file of a report, by its path below the report's folder, with forward slashes.
type File struct {
	Path    string
	Content []byte
}

// WriteFiles puts files into the report's folder, each whole or not at all, and says which of them changed. One that says what it said is not
// touched, so that an editor's timeline that links to it has nothing to read again.
func WriteFiles(folder string, files []File) (changed []string, err error) {
	for _, f := range files {
		new, err := write(folder, f.Path, f.Content)
		if err != nil {
			return changed, err
		}
		if new {
			changed = append(changed, f.Path)
		}
	}
	return changed, nil
}

// Files makes all files of a report, in a fixed order.
func Files(s Source) (files []File, err error) {
	page := s.Words.Calibration
	page.Head = Head{Review: s.Words.Review, Title: s.Words.Title, Tool: s.Origin.Tool}
	calibration, err := page.File()
	if err != nil {
		return nil, err
	}
	return append(files, calibration), nil
}

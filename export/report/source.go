package report

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"time"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
	"github.com/rigslate/rigslate/plan/discreet"
)

// Source is all that a report is made of. It comes from an edition, or for a review that is not ready from memory, and the same review gives
// the same report either way.
type Source struct {
	Words  Words
	Tables archive.Tables
	Origin Origin
	Look   chart.Look
	Now    time.Time // embargoes after it hold: all of them for the zero time

	Frames func(card string, runs []string) (map[string]archive.KeptRun, error) // kept frame times by run_id; nil where none are kept
	Soaks  func(card string) ([]archive.SoakSeries, error)                      // what was logged in a card's soaks; nil likewise

	passes map[Key]cellPass // of the cells with frames; nil until they were read
}

// Origin says which edition a report is of. All but Tool is empty for a draft.
type Origin struct {
	Edition   string
	Published string // RFC 3339, UTC
	Tool      string
	GOARCH    string

	Definitions int // version of the definitions that the figures follow
	Raw         int // capture and log files that the edition rests on
}

// Discreet is the source as it may be shown at its time: cards under an embargo by their codenames, private words struck, in every text and name.
// Whatever is made of a source is made of this one.
func (s Source) Discreet() Source {
	terms := s.Words.Discretion
	s.Words.Discretion = nil
	veil := terms.At(s.Now)
	if veil == nil {
		return s
	}
	shown := discreet.Copy(veil, s)
	if frames := s.Frames; frames != nil {
		shown.Frames = func(card string, runs []string) (map[string]archive.KeptRun, error) {
			return frames(terms.Label(card, s.Now), runs)
		}
	}
	if soaks := s.Soaks; soaks != nil {
		shown.Soaks = func(card string) ([]archive.SoakSeries, error) {
			logs, err := soaks(terms.Label(card, s.Now))
			return discreet.Copy(veil, logs), err
		}
	}
	return shown
}

// FromEdition reads what a report needs from an edition. It is an error, fs.ErrNotExist, if the edition was written before reports had words.
func FromEdition(e archive.Edition) (s Source, err error) {
	s.Origin = Origin{Edition: e.Edition, Published: e.PublishedAt, Tool: e.ToolVersion, GOARCH: e.GOARCH, Raw: len(e.Raw), Definitions: e.DefinitionsVersion}
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
	if s.Look, err = s.Words.Look.ParseLook(func(f FontWords) ([]byte, error) { return e.File(f.Kept()) }); err != nil {
		return s, err
	}
	s.Frames = func(card string, runs []string) (map[string]archive.KeptRun, error) {
		return framesOf(e, s.Tables.Runs, card, runs)
	}
	s.Soaks = func(card string) ([]archive.SoakSeries, error) {
		logs, err := archive.SoakLogs(e, card)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil // nothing was logged of it
		}
		return logs, err
	}
	s.Tables, err = TablesOf(e)
	return s, err
}

// TablesOf reads the tables of an edition that a report shows.
func TablesOf(e archive.Edition) (t archive.Tables, err error) {
	return t, errors.Join(table(e, "runs", &t.Runs), table(e, "cells", &t.Cells), table(e, "comparisons", &t.Comparisons),
		table(e, "summaries", &t.Summaries), table(e, "claims", &t.Claims), table(e, "readings", &t.Readings))
}

// framesOf reads kept frame times from the edition, and those of reused passes from the editions that they are of.
func framesOf(e archive.Edition, rows []archive.RunRow, card string, runs []string) (map[string]archive.KeptRun, error) {
	from := map[string][]string{}
	for _, r := range rows {
		if slices.Contains(runs, r.RunID) {
			from[text(r.FramesEdition)] = append(from[text(r.FramesEdition)], r.RunID)
		}
	}
	out := map[string]archive.KeptRun{}
	for id, some := range from {
		of := e
		if id != "" {
			var err error
			if of, err = e.Beside(id); err != nil {
				return nil, err
			}
		}
		read, err := archive.KeptFrames(of, card, some)
		if err != nil {
			return nil, err
		}
		maps.Copy(out, read)
	}
	return out, nil
}

func table[Row any](e archive.Edition, name string, rows *[]Row) (err error) {
	*rows, err = archive.ReadTable[Row](e, name+".parquet")
	return err
}

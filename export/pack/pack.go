// Package pack makes the data set that a publication's readers may have: the tables of an edition as CSV and Parquet, with a README that says
// what every column means and a licence. It leaves out what is of the bench alone, and is discreet as a report is. Handing the edition itself
// out was rejected: it holds the plan, the ledger and the captures' paths, and names that are withheld.
package pack

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"time"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/export/sheets"
)

// table is a table of the pack.
type table struct {
	name, row string // row says what one is
	archive.Part
}

// frame is one kept frame of a pass.
type frame struct {
	RunID   string `parquet:"run_id"`
	Frame   int32  `parquet:"frame"`
	FrameNS int64  `parquet:"frame_ns"`
}

// Files makes the files of a pack in a fixed order, with the kept frame times of each card where frames is set. The same edition, on the same
// side of its embargo, gives the same bytes.
func Files(s report.Source, frames bool) (files []report.File, err error) {
	s = s.Discreet()
	all, err := tables(s)
	if err != nil {
		return nil, err
	}
	if frames {
		more, err := frameTables(s)
		if err != nil {
			return nil, err
		}
		all = append(all, more...)
	}
	files = []report.File{{Path: "README.md", Content: readme(s, all)}, {Path: "LICENCE.txt", Content: []byte(licence(s) + "\n")}}
	for _, t := range all {
		var out bytes.Buffer
		if err := t.WriteParquet(&out); err != nil {
			return nil, fmt.Errorf("pack table %s: %w", t.name, err)
		}
		files = append(files, report.File{Path: t.name + ".parquet", Content: out.Bytes()})
		if t.row == frameRow {
			continue // no spreadsheet takes so many rows
		}
		text, err := t.sheet().CSV()
		if err != nil {
			return nil, fmt.Errorf("pack table %s: %w", t.name, err)
		}
		files = append(files, report.File{Path: t.name + ".csv", Content: text})
	}
	return files, nil
}

// tables are those of the edition without what is of the bench alone: paths and hashes of its files, notes, where a card came from, and what
// sessions and launches are called there.
func tables(s report.Source) (all []table, err error) {
	runs := numbered(s.Tables.Runs)
	t := s.Tables
	return all, errors.Join(
		add(&all, "runs", "A row is a pass: one recording of one scene.", runs, "source_path", "source_sha256", "source_bytes", "sample", "void_reason",
			"frames_edition", "sensed_from_ns", "sensed_to_ns"),
		add(&all, "cells", "A row is a card in a mode, in a game at a resolution, over all its passes, in one figure.", t.Cells),
		add(&all, "comparisons", "A row is such a cell against the baseline's, in one figure.", t.Comparisons),
		add(&all, "summaries", "A row is a card in a mode against the baseline over all games of a group, in one figure.", t.Summaries),
		add(&all, "claims", "A row is a sentence that the reviewer hoped to say, with what the data say of it.", t.Claims),
		add(&all, "readings", "A row is a figure of the bench: of a soak, a fan sweep, a price or a card's build.", t.Readings, "source", "note",
			"sensed_from_ns", "sensed_to_ns"))
}

func add[Row any](all *[]table, name, row string, rows []Row, without ...string) error {
	p, err := archive.PartOf(rows, without...)
	*all = append(*all, table{name, row, p})
	return err
}

// numbered gives sessions and launches numbers in place of the names that the bench has for them: what matters is which passes share one.
func numbered(rows []archive.RunRow) []archive.RunRow {
	rows = slices.Clone(rows)
	numbers := map[string]map[string]int{"session": {}, "launch": {}}
	number := func(kind string, name *string) *string {
		if name == nil {
			return nil
		}
		known := numbers[kind]
		if known[*name] == 0 {
			known[*name] = len(known) + 1
		}
		n := strconv.Itoa(known[*name])
		return &n
	}
	for i := range rows {
		rows[i].Session, rows[i].Launch = number("session", rows[i].Session), number("launch", rows[i].Launch)
	}
	return rows
}

const frameRow = "A row is a frame that counts: those outside the kept time are left out."

// frameTables has a table of frames for each card, in the order of the plan, its passes in that of runs.
func frameTables(s report.Source) (all []table, err error) {
	if s.Frames == nil {
		return nil, errors.New("no frames are kept")
	}
	var cards []string
	runs := map[string][]string{}
	for _, r := range s.Tables.Runs {
		if runs[r.Card] == nil {
			cards = append(cards, r.Card)
		}
		runs[r.Card] = append(runs[r.Card], r.RunID)
	}
	for _, card := range cards {
		times, err := s.Frames(card, runs[card])
		if err != nil {
			return nil, err
		}
		var rows []frame
		for _, id := range runs[card] {
			for i, ns := range times[id].NS {
				rows = append(rows, frame{id, int32(i), ns})
			}
		}
		if err := add(&all, "frames-"+card, frameRow, rows); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// sheet is the table for a spreadsheet, under the same headings.
func (t table) sheet() sheets.Table {
	out := sheets.Table{Name: t.name, Title: t.row}
	for _, c := range t.Columns {
		out.Columns = append(out.Columns, sheets.Column{Title: c.Name})
	}
	for _, row := range t.Rows {
		line := make([]sheets.Cell, len(row))
		for i, v := range row {
			line[i] = cell(v)
		}
		out.Rows = append(out.Rows, line)
	}
	return out
}

func cell(v any) sheets.Cell {
	switch v := v.(type) {
	case nil:
		return sheets.Cell{}
	case float64:
		return sheets.Number(v)
	case int32:
		return sheets.Number(float64(v))
	case time.Time:
		return sheets.Text(v.Format(time.RFC3339Nano))
	}
	return sheets.Text(fmt.Sprint(v))
}

// Zip writes the files as an archive that names no day, in a folder of that name within.
func Zip(w io.Writer, folder string, files []report.File) error {
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(out io.Writer) (io.WriteCloser, error) { return flate.NewWriter(out, flate.BestCompression) })
	for _, f := range files {
		h := &zip.FileHeader{Name: path.Join(folder, f.Path), Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)}
		if path.Ext(f.Path) == ".parquet" {
			h.Method = zip.Store // it is packed already
		}
		out, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := out.Write(f.Content); err != nil {
			return err
		}
	}
	return z.Close()
}

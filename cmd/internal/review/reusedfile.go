package review

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"time"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/plan"
)

// reusedName is the file of an edition that says which passes of other editions it refers to. It is as they were chosen when it was published: what
// may be chosen changes with the day and with what the archive holds by then.
const reusedName = "plan/reused.json"

type reusedFile struct {
	Editions []reusedEdition `json:"editions"`
	Cells    []reusedCell    `json:"cells"`
}

type reusedEdition struct {
	EditionName
	Frames []reusedFrames `json:"frames"`
}

type reusedFrames struct {
	File   string `json:"file"`
	SHA256 string `json:"sha256"`
}

type reusedCell struct {
	EditionName
	Card       string               `json:"card"`
	Mode       string               `json:"mode"`
	Game       string               `json:"game"`
	Variant    string               `json:"variant"`
	Resolution string               `json:"resolution"`
	Differ     []history.Difference `json:"differ,omitempty"` // and was put up with
	Passes     []reusedPass         `json:"passes"`
}

func (c reusedCell) key() plan.Key {
	return plan.Key{Card: c.Card, Mode: c.Mode, Game: c.Game, Variant: c.Variant, Resolution: c.Resolution}
}

type reusedPass struct {
	RunID        string    `json:"run_id"`
	SourceSHA256 string    `json:"source_sha256"`
	Made         time.Time `json:"made"`
}

// reusedText is the content of reusedName, nil where nothing is reused.
func (r *Review) reusedText() ([]byte, error) {
	if len(r.lent) == 0 {
		return nil, nil
	}
	var out reusedFile
	for _, c := range r.Plan.Cells {
		x, ok := r.lent[c.Key]
		if !ok {
			continue
		}
		of := EditionName{x.edition.Review, x.edition.Edition}
		cell := reusedCell{EditionName: of, Card: c.Card, Mode: c.Mode, Game: c.Game, Variant: c.Variant, Resolution: c.Resolution, Differ: x.differ}
		for _, p := range x.passes {
			cell.Passes = append(cell.Passes, reusedPass{p.row.RunID, p.row.SourceSHA256, p.made})
		}
		out.Cells = append(out.Cells, cell)
		at := slices.IndexFunc(out.Editions, func(e reusedEdition) bool { return e.EditionName == of })
		if at < 0 {
			at, out.Editions = len(out.Editions), append(out.Editions, reusedEdition{EditionName: of})
		}
		frames := &out.Editions[at].Frames
		for _, f := range x.edition.Files {
			if f.Path == "frames-"+c.Card+".parquet" && !slices.ContainsFunc(*frames, func(g reusedFrames) bool { return g.File == f.Path }) {
				*frames = append(*frames, reusedFrames{f.Path, f.SHA256})
			}
		}
	}
	text, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing which passes are reused: %w", err)
	}
	return append(text, '\n'), nil
}

// has reports whether a run is reused.
func (f reusedFile) has(run string) bool {
	return slices.ContainsFunc(f.Cells, func(c reusedCell) bool {
		return slices.ContainsFunc(c.Passes, func(p reusedPass) bool { return p.RunID == run })
	})
}

// readReused reads which passes an edition refers to; none where it has no such file.
func readReused(e archive.Edition) (out reusedFile, err error) {
	text, err := e.File(reusedName)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return out, nil
	case err != nil:
		return out, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	if err := json.Unmarshal(text, &out); err != nil {
		return out, fmt.Errorf("%w: %s: %w", errAgain, reusedName, err)
	}
	return out, nil
}

// lentTo finds in the archive what an edition was lent.
func lentTo(e archive.Edition, a *archive.Archive) (map[plan.Key]lent, error) {
	file, err := readReused(e)
	if err != nil {
		return nil, err
	}
	out := map[plan.Key]lent{}
	for _, of := range file.Editions {
		s, why := refer(a, of)
		if why != "" {
			return nil, fmt.Errorf("%w: it reuses passes of edition %s of %s, %s", errAgain, of.Edition, of.Review, why)
		}
		for _, c := range file.Cells {
			if c.EditionName != of.EditionName {
				continue
			}
			x := lent{edition: s.Edition, differ: c.Differ}
			for _, p := range c.Passes {
				i := slices.IndexFunc(s.runs[c.key()], func(row archive.RunRow) bool { return row.RunID == p.RunID && row.SourceSHA256 == p.SourceSHA256 })
				if i < 0 {
					return nil, fmt.Errorf("%w: edition %s of %s has no run %s of %s, which it reuses", errAgain, of.Edition, of.Review, p.RunID, c.key())
				}
				x.passes = append(x.passes, lentPass{s.runs[c.key()][i], p.Made})
			}
			out[c.key()] = x
		}
	}
	return out, nil
}

// refer opens an edition that another one refers to, or says why it cannot be relied on.
func refer(a *archive.Archive, of reusedEdition) (s *shelved, why string) {
	e, err := a.Edition(of.Review, of.Edition)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, "which is not in the archive"
	case err != nil:
		return nil, "whose manifest cannot be trusted"
	}
	for _, f := range of.Frames {
		i := slices.IndexFunc(e.Files, func(g archive.FileEntry) bool { return g.Path == f.File })
		if i < 0 || e.Files[i].SHA256 != f.SHA256 {
			return nil, fmt.Sprintf("whose %s is not the file that was referred to", f.File)
		}
	}
	s = &shelved{Edition: e, cells: map[plan.Key]string{}, runs: map[plan.Key][]archive.RunRow{}}
	if err := s.readCells(); err != nil {
		return nil, "whose tables are damaged"
	}
	return s, ""
}

// checkReferences looks whether the editions that others refer to are there and whole.
func (v *Verified) checkReferences(a *archive.Archive) {
	known := slices.Clone(v.Damage)
	for _, e := range v.Editions {
		file, err := readReused(e)
		if err != nil {
			continue // which is told of already
		}
		for _, of := range file.Editions {
			_, why := refer(a, of)
			if why == "" && slices.ContainsFunc(known, func(d archive.Damage) bool { return d.Review == of.Review && d.Edition == of.Edition }) {
				why = "of which files are damaged"
			}
			if why != "" {
				v.Damage = append(v.Damage, unreferred(e, file, of, why))
			}
		}
	}
}

func unreferred(e archive.Edition, file reusedFile, of reusedEdition, why string) archive.Damage {
	d := archive.Damage{Review: e.Review, Edition: e.Edition, File: inArchive(e, reusedName),
		Next: fmt.Sprintf("Put editions/review=%s/edition=%s back from a copy of the archive. This edition's figures stand as they were published, and "+
			"what they rest on cannot be shown until then.", of.Review, of.Edition)}
	passes := e.Passes()
	n := 0
	for _, c := range file.Cells {
		if c.EditionName != of.EditionName {
			continue
		}
		n += len(c.Passes)
		for _, p := range c.Passes {
			if i := slices.IndexFunc(passes, func(q archive.Passed) bool { return q.RunID == p.RunID }); i >= 0 {
				d.Passes = append(d.Passes, passes[i])
			}
		}
	}
	d.Found = fmt.Sprintf("it reuses %s of edition %s of %s, %s", screen.Count(n, "pass", "passes"), of.Edition, of.Review, why)
	return d
}

package review

import (
	"fmt"
	"math"
	"path"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/match"
)

// fromFrames works the figures of every pass out from the archived frames, where the captures are gone or cannot be laid out: all that follow
// from frame times. whole says which files of the edition are as published. It returns how many passes were compared.
func fromFrames(e archive.Edition, tolerance float64, whole func(file string) bool) (passes int, wrong []archive.Unlike, err error) {
	if !whole("runs.parquet") {
		return 0, nil, fmt.Errorf("%w: runs.parquet is damaged", errAgain)
	}
	p, err := planOf(e, whole)
	if err != nil {
		return 0, nil, err
	}
	rows, err := archive.ReadTable[archive.RunRow](e, "runs.parquet")
	if err != nil {
		return 0, nil, fmt.Errorf("%w: %w", errAgain, err)
	}
	reused, err := readReused(e)
	if err != nil {
		return 0, nil, err
	}
	byCard, byPath := map[string][]recorded{}, map[string]*archive.RunRow{}
	for i, row := range rows {
		if reused.has(row.RunID) {
			continue // its frames are another edition's
		}
		f := match.File{Path: row.SourcePath, Files: &plan.Files{},
			Key: plan.Key{Card: row.Card, Mode: row.Mode, Game: row.Game, Variant: row.Variant, Resolution: row.Resolution}}
		byCard[row.Card] = append(byCard[row.Card], recorded{Pass{Key: f.Key, File: f}, &rows[i]})
		byPath[f.Path] = &rows[i]
	}
	u := archive.Unlike{File: "runs.parquet"}
	for _, file := range e.Measured() {
		card, isOf := strings.CutPrefix(strings.TrimSuffix(file, ".parquet"), "frames-")
		if !isOf || !whole(file) {
			continue
		}
		var done []Pass
		content, err := e.File(file)
		if err == nil {
			done, err = framesWork{plan: p, card: card, frames: content, passes: byCard[card]}.work()
		}
		if err != nil {
			wrong = append(wrong, archive.Unlike{File: file, First: []string{strings.ReplaceAll(err.Error(), archive.ErrDamaged.Error()+": ", "")}})
		}
		for _, x := range done {
			passes++
			compareFigures(&u, byPath[x.File.Path], x, tolerance)
		}
	}
	if u.Differ > 0 {
		wrong = append(wrong, u)
	}
	return passes, wrong, nil
}

// compareFigures compares a row of runs with what its frames give.
func compareFigures(u *archive.Unlike, row *archive.RunRow, got Pass, tolerance float64) {
	differs := func(name, here, again string) {
		if u.Differ++; len(u.First) < 5 {
			u.First = append(u.First, fmt.Sprintf("%s of %s %s %s %s %s %d is %s in the archive and %s from its frames", name,
				row.Card, row.Mode, row.Game, row.Variant, row.Resolution, row.Repeat, here, again))
		}
		u.Runs = append(u.Runs, row.RunID)
	}
	kept, cut := int32(got.Frames-got.Cut), int32(got.Cut)
	u.Values++
	if row.Frames == nil || row.FramesCut == nil || *row.Frames != kept || *row.FramesCut != cut {
		differs("frames", "another number", fmt.Sprintf("%d kept and %d cut", kept, cut))
	}
	for _, m := range compute.Metrics() {
		if m.Needs != "" {
			continue // it rests on sensors too
		}
		here, there := archive.Figure(row, m.Name)
		v := m.Of(got.Figures)
		u.Values++
		switch {
		case !there && !v.OK, there && v.OK && equalWithin(here, v.X, tolerance):
		case !there:
			differs(m.Name, "absent", fmt.Sprint(v.X))
		case !v.OK:
			differs(m.Name, fmt.Sprint(here), "absent")
		default:
			differs(m.Name, fmt.Sprint(here), fmt.Sprint(v.X))
		}
	}
}

func equalWithin(a, b, tolerance float64) bool {
	return a == b || math.Abs(a-b) <= tolerance*max(math.Abs(a), math.Abs(b))
}

// planOf reads an edition's plan in the order in which it was read, by name where that was not noted.
func planOf(e archive.Edition, whole func(file string) bool) (*plan.Plan, error) {
	names := []string{}
	if files, err := filesOf(e); err == nil {
		names = files.Plan
	} else {
		for _, f := range e.Files {
			if path.Dir(f.Path) == "plan" && strings.HasSuffix(f.Path, ".hcl") {
				names = append(names, f.Path)
			}
		}
	}
	for _, name := range names {
		if !whole(name) {
			return nil, fmt.Errorf("%w: %s is damaged", errAgain, name)
		}
	}
	sources, err := sourcesOf(e, names)
	if err != nil {
		return nil, err
	}
	p, found := plan.Read(sources, "", e.Published)
	if found.HasErrors() {
		return nil, fmt.Errorf("%w: its plan has mistakes by this release", errAgain)
	}
	return p, nil
}

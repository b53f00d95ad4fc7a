package review

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path"
	"path/filepath"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
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
	byID := map[string]*archive.RunRow{}
	for i := range rows {
		byID[rows[i].RunID] = &rows[i]
	}
	rig, _ := p.Rig()
	o := compute.PassOptions{QuantileType: p.Statistics.Quantile, DisplayHz: rig.DisplayHz}
	u := archive.Unlike{File: "runs.parquet"}
	var scratch compute.Scratch
	for _, f := range e.Files {
		if !isFrames(f.Path) || !whole(f.Path) {
			continue
		}
		err := e.FramesBack(f.Path, func(b archive.FramesBack) error {
			row := byID[b.RunID]
			if row == nil {
				wrong = append(wrong, archive.Unlike{File: f.Path, First: []string{"run " + b.RunID + " stands in no row of runs.parquet"}})
				return nil
			}
			passes++
			got := compute.Figure(b.FrameNS[b.KeptLo:b.KeptHi], compute.Duration(b.FrameNS[:b.KeptLo]), o, &scratch)
			compareFigures(&u, row, got, b, tolerance)
			return nil
		})
		if err != nil {
			wrong = append(wrong, archive.Unlike{File: f.Path, First: []string{strings.TrimPrefix(err.Error(), archive.ErrDamaged.Error()+": ")}})
		}
	}
	if u.Differ > 0 {
		wrong = append(wrong, u)
	}
	return passes, wrong, nil
}

// compareFigures compares a row of runs with what its frames give.
func compareFigures(u *archive.Unlike, row *archive.RunRow, got *compute.Pass, b archive.FramesBack, tolerance float64) {
	differs := func(name, here, again string) {
		if u.Differ++; len(u.First) < 5 {
			u.First = append(u.First, fmt.Sprintf("%s of %s %s %s %s %s %d is %s in the archive and %s from its frames", name,
				row.Card, row.Mode, row.Game, row.Variant, row.Resolution, row.Repeat, here, again))
		}
		u.Runs = append(u.Runs, row.RunID)
	}
	kept, cut := int32(b.KeptHi-b.KeptLo), int32(len(b.FrameNS)-(b.KeptHi-b.KeptLo))
	u.Values++
	if row.Frames == nil || row.FramesCut == nil || *row.Frames != kept || *row.FramesCut != cut {
		differs("frames", "another number", fmt.Sprintf("%d kept and %d cut", kept, cut))
	}
	for _, m := range compute.Metrics() {
		if m.Needs != "" {
			continue // it rests on sensors too
		}
		here, there := archive.Figure(row, m.Name)
		v := m.Of(got)
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
	dir, err := os.MkdirTemp("", "rigslate-verify-")
	if err != nil {
		return nil, fmt.Errorf("%w: make a temporary folder: %w", ErrDisk, err)
	}
	defer os.RemoveAll(dir)
	a := &again{edition: e, dir: dir}
	if err := a.know(); err != nil {
		a.files.Plan = nil
		for _, f := range e.Files {
			if path.Dir(f.Path) == "plan" && strings.HasSuffix(f.Path, ".hcl") {
				a.files.Plan = append(a.files.Plan, f.Path)
			}
		}
	}
	var files []string
	for _, name := range a.files.Plan {
		if !whole(name) {
			return nil, fmt.Errorf("%w: %s is damaged", errAgain, name)
		}
		to := filepath.Join(dir, path.Base(name))
		if err := a.copy(name, to); err != nil {
			return nil, err
		}
		files = append(files, to)
	}
	p, found, err := plan.Load(files, e.Published)
	if err != nil || found.HasErrors() {
		return nil, fmt.Errorf("%w: %w", errAgain, errors.Join(err, errors.New("its plan has mistakes by this release")))
	}
	return p, nil
}

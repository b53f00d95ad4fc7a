package review

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// VerifyOptions say how an archive is verified.
type VerifyOptions struct {
	Full     bool // work every edition out again
	Workers  int
	Progress func(done, total int, what string) // may be nil
}

// Verified is what an archive was found to be.
type Verified struct {
	*archive.Verified
	Full  bool
	Again []Reworked // by edition, as Editions, where that was asked for
}

// Reworked says what came of working an edition out again.
type Reworked struct {
	Review  string `json:"review"`
	Edition string `json:"edition"`
	Figures bool   `json:"figures"` // every table was compared, and every frame
	Frames  bool   `json:"frames"`  // every frame was compared
	Note    string `json:"note,omitempty"`
}

// Verify reads the archive in dir and lists all that is damaged; with Full it also works every edition out again from the captures and the
// plan in it. The error says why it could not be looked through: ErrDisk, with fs.ErrNotExist where there is no archive, or the context's.
func Verify(ctx context.Context, dir string, o VerifyOptions) (*Verified, error) {
	a := archive.At(dir)
	found, err := a.Verify(ctx, archive.VerifyOptions{Workers: o.Workers, Progress: o.Progress})
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrDisk, err)
	}
	v := &Verified{Verified: found, Full: o.Full}
	v.checkReferences(a)
	if !o.Full {
		return v, nil
	}
	for _, e := range v.Editions {
		if err := v.again(ctx, a, e, o); err != nil {
			return nil, err
		}
	}
	return v, nil
}

// again works one edition out again and adds what comes out otherwise to the damage.
func (v *Verified) again(ctx context.Context, a *archive.Archive, e archive.Edition, o VerifyOptions) error {
	w := Reworked{Review: e.Review, Edition: e.Edition}
	take, figures := anyFile, e.DefinitionsVersion == compute.DefinitionsVersion
	if !figures {
		take = isFrames
		w.Note = fmt.Sprintf("its figures follow version %d of the definitions, this release version %d: rigslate %s works them out again, and rigslate recompute under version %d",
			e.DefinitionsVersion, compute.DefinitionsVersion, e.ToolVersion, compute.DefinitionsVersion)
	}
	tolerance := float64(sameMachine)
	if e.GOARCH != runtime.GOARCH {
		tolerance = otherMachine
	}
	var err error
	switch {
	case v.damaged(e):
		err = fmt.Errorf("%w: files of it are damaged", errAgain)
	case e.RecomputedFrom != nil:
		if figures {
			err = v.recomputed(ctx, a, e, tolerance, o.Workers)
		}
	default:
		err = workAgain(ctx, a, e, o, func(made archive.Edition) error {
			unlike, err := e.Unlike(made, tolerance, take)
			if err != nil {
				return fmt.Errorf("%w: %w", errAgain, err)
			}
			v.add(e, unlike)
			return nil
		})
	}
	switch {
	case err == nil:
		w.Figures, w.Frames = figures, e.RecomputedFrom == nil
		if figures && !w.Frames {
			w.Note = "it has no frames; its figures were worked out again from those of edition " + e.RecomputedFrom.Edition
		}
	case !errors.Is(err, errAgain):
		return err
	case figures:
		w.Note = v.byFrames(e, tolerance, err)
	default:
		w.Note += "; " + err.Error()
	}
	v.Again = append(v.Again, w)
	return nil
}

// recomputed works the figures of an edition out again from the frames that it refers to, as they were before. The frames themselves are compared
// with the captures where the edition that holds them is worked out again.
func (v *Verified) recomputed(ctx context.Context, a *archive.Archive, e archive.Edition, tolerance float64, workers int) error {
	source, _ := e.Source()
	r, err := workUnits(ctx, a, e, source, workers)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return fmt.Errorf("%w: %w", errAgain, err)
	}
	changes, values, err := e.Changes(r.tables(), tolerance)
	if err != nil {
		return fmt.Errorf("%w: %w", errAgain, err)
	}
	byTable := map[string]*archive.Unlike{}
	for _, c := range changes {
		u := byTable[c.Table]
		if u == nil {
			u = &archive.Unlike{File: c.Table + ".parquet", Values: values}
			byTable[c.Table] = u
		}
		u.Differ++
		if id := c.Keys["run_id"]; id != "" && !slices.Contains(u.Runs, id) {
			u.Runs = append(u.Runs, id)
		}
		if len(u.First) < mostTold {
			u.First = append(u.First, fmt.Sprintf("%s is %s in the archive and %s worked out again", c.Name(), told(c.Was), told(c.Now)))
		}
	}
	for _, table := range slices.Sorted(maps.Keys(byTable)) {
		v.add(e, []archive.Unlike{*byTable[table]})
	}
	return nil
}

// mostTold is how many values that differ are told of in words.
const mostTold = 5

func told(x any) string {
	if x == nil {
		return "absent"
	}
	return fmt.Sprint(x)
}

// byFrames works out the figures of the passes from the archived frames, since more cannot be had for the reason given. An edition that nothing
// is known to be wrong with counts as damaged all the same: it promised more.
func (v *Verified) byFrames(e archive.Edition, tolerance float64, why error) (note string) {
	known := v.damaged(e)
	passes, wrong, err := fromFrames(e, tolerance, func(file string) bool {
		return !slices.ContainsFunc(v.Damage, func(d archive.Damage) bool {
			return d.File == inArchive(e, file) || refersTo(e, d.File, file) || d.File == inArchive(e, "manifest.json")
		})
	})
	v.add(e, wrong)
	note = why.Error()
	if err == nil {
		note += fmt.Sprintf("; the figures of %d passes were worked out from the archived frames instead", passes)
	}
	if !known {
		v.Damage = append(v.Damage, archive.Damage{Review: e.Review, Edition: e.Edition, File: inArchive(e, "plan/plan.json"), Found: note,
			Next: fmt.Sprintf("Every file is as it was published. Verify it with the release that wrote it, rigslate %s.", e.ToolVersion)})
	}
	return note
}

// add enters what came out otherwise.
func (v *Verified) add(e archive.Edition, unlike []archive.Unlike) {
	for _, u := range unlike {
		v.Damage = append(v.Damage, otherwise(e, u))
	}
}

// damaged reports whether files of an edition, or captures that it rests on, are not as published.
func (v *Verified) damaged(e archive.Edition) bool {
	return slices.ContainsFunc(v.Damage, func(d archive.Damage) bool {
		if raw, ok := strings.CutPrefix(d.File, "raw/"); ok {
			return slices.ContainsFunc(e.Raw, func(r archive.RawEntry) bool { return r.SHA256+".zst" == raw })
		}
		return d.Edition == e.Edition && d.Review == e.Review || refersTo(e, d.File, "")
	})
}

// refersTo reports whether an edition rests on a file of another: on any if file is empty, else as that file of its own.
func refersTo(e archive.Edition, damaged, file string) bool {
	return slices.ContainsFunc(e.References, func(r archive.Reference) bool {
		return (file == "" || r.Path == file) && damaged == fmt.Sprintf("editions/review=%s/edition=%s/%s", r.Review, r.Edition, r.Path)
	})
}

func inArchive(e archive.Edition, file string) string {
	return fmt.Sprintf("editions/review=%s/edition=%s/%s", e.Review, e.Edition, filepath.ToSlash(file))
}

// otherwise words what came out otherwise.
func otherwise(e archive.Edition, u archive.Unlike) archive.Damage {
	d := archive.Damage{Review: e.Review, Edition: e.Edition, File: inArchive(e, u.File)}
	if u.Differ == 0 {
		d.Found = u.First[0]
	} else {
		d.Found = fmt.Sprintf("%d of %d values are not what the captures and frames give: %s", u.Differ, u.Values, strings.Join(u.First, "; "))
		if more := u.Differ - len(u.First); more > 0 {
			d.Found += fmt.Sprintf("; and %d more", more)
		}
	}
	for _, p := range e.Passes() {
		if slices.Contains(u.Runs, p.RunID) {
			d.Passes = append(d.Passes, p)
		}
	}
	d.Next = fmt.Sprintf("The file is as it was published by rigslate %s, so either that release or this one works it out wrongly. Compare with `rigslate run` on "+
		"the same captures, and do not quote these figures until it is known which.", e.ToolVersion)
	return d
}

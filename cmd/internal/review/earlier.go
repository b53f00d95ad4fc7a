package review

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/finding"
)

// earlier is the newest edition of a review in the archive, with what its plan says; its tables are read when they are asked for.
type earlier struct {
	archive.Edition
	plan writtenPlan

	read  bool
	cells []earlierCell
}

// earlierCell is a cell of an earlier edition that holds, with its passes that count.
type earlierCell struct {
	plan.Key
	runs []archive.RunRow
}

// writtenPlan is what of a plan.json bears on whether an edition's figures say something about this review.
type writtenPlan struct {
	Review map[string]struct {
		Rig string `json:"rig"`
	} `json:"review"`
	Rig map[string]struct {
		Fixed map[string]any `json:"fixed"`
	} `json:"rig"`
	Game map[string]writtenGame `json:"game"`
}

// writtenGame is what the spread of a game's launches depends on besides its settings.
type writtenGame struct {
	Scene string `json:"scene"`
	Drive string `json:"drive"`
	Keep  any    `json:"keep"`
}

// sameRig reports whether two reviews were done on one rig: both name it, by one name, and `fixed` says the same of it. Reviews
// that name none may have been done anywhere.
func sameRig(a writtenPlan, reviewA string, b writtenPlan, reviewB string) bool {
	name := a.Review[reviewA].Rig
	return name != "" && name == b.Review[reviewB].Rig && reflect.DeepEqual(a.Rig[name].Fixed, b.Rig[name].Fixed)
}

// written reads this review's own plan in the form that the archive keeps, so that like is compared with like.
func (r *Review) written() (p writtenPlan) {
	_ = json.Unmarshal(r.Plan.JSON, &p) // the plan's own JSON always decodes
	return p
}

// newest lists the newest edition of each review in the archive, by name of the review, this one's too. Editions that cannot be
// read are warned of and left out, as are those under other definitions, whose figures may mean something else.
func (r *Review) newest() []*earlier {
	if r.archived.looked {
		return r.archived.editions
	}
	r.archived.looked = true
	dir := r.inPlan(r.Plan.Review.Archive)
	a, err := archive.Look(dir)
	if err != nil {
		r.unreadable(dir, err)
		return nil
	}
	all, damaged, err := a.Editions()
	if err != nil {
		r.unreadable(dir, err)
		return nil
	}
	for _, d := range damaged {
		r.unreadable(d.Dir, d.Err)
	}
	for i, e := range all {
		if i+1 < len(all) && all[i+1].Review == e.Review {
			continue // a newer one follows
		}
		if e.DefinitionsVersion != compute.DefinitionsVersion {
			if e.Review != r.Plan.Review.Name {
				r.Findings.Add(finding.Note, finding.Place{File: e.Dir}, "An earlier edition is of other definitions",
					fmt.Sprintf("It follows version %d of the definitions, this release version %d, so nothing is taken from it.",
						e.DefinitionsVersion, compute.DefinitionsVersion), "Let rigslate recompute work the archive's figures out under this release's.")
			}
			continue
		}
		x := &earlier{Edition: e}
		text, err := e.File("plan/plan.json")
		if err == nil {
			err = json.Unmarshal(text, &x.plan)
		}
		if err != nil {
			r.unreadable(e.Dir, err)
			continue
		}
		r.archived.editions = append(r.archived.editions, x)
	}
	return r.archived.editions
}

// archived is what was looked up in the archive so far: only what is asked for is read, and that once.
type archived struct {
	looked, sorted bool
	editions       []*earlier
	sessions       []otherSessions
	given          map[string]Elsewhere // by metric: as an edition has it that is worked out again; nil otherwise
}

// unreadable warns of an edition that nothing is taken from.
func (r *Review) unreadable(dir string, err error) {
	mend := "Nothing is taken from it. Put it back from a copy, or move it out of the archive."
	if errors.Is(err, archive.ErrNewer) {
		mend = "Nothing is taken from it. Use the newer release of this tool."
	}
	r.Findings.Add(finding.Warning, finding.Place{File: dir}, "An earlier edition cannot be read", err.Error()+".", mend)
}

// cellState is a part of cells.parquet.
type cellState struct {
	Card       string `parquet:"card"`
	Mode       string `parquet:"mode"`
	Game       string `parquet:"game"`
	Variant    string `parquet:"variant"`
	Resolution string `parquet:"resolution"`
	Metric     string `parquet:"metric"`
	State      string `parquet:"state"`
}

func (c cellState) key() plan.Key {
	return plan.Key{Card: c.Card, Mode: c.Mode, Game: c.Game, Variant: c.Variant, Resolution: c.Resolution}
}

// holding reads the tables of an earlier edition: its cells that hold, in the order of the table, with their passes that count.
func (r *Review) holding(e *earlier) []earlierCell {
	if e.read {
		return e.cells
	}
	e.read = true
	states, err := archive.ReadTable[cellState](e.Edition, "cells.parquet")
	var runs []archive.RunRow
	if err == nil {
		runs, err = archive.ReadTable[archive.RunRow](e.Edition, "runs.parquet")
	}
	if err != nil {
		r.unreadable(e.Dir, err)
		return nil
	}
	at := map[plan.Key]int{}
	for _, s := range states {
		if s.Metric == headline && (s.State == coverage.Ready.String() || s.State == coverage.Vouched.String()) {
			k := s.key()
			at[k] = len(e.cells)
			e.cells = append(e.cells, earlierCell{Key: k})
		}
	}
	for _, run := range runs {
		if i, ok := at[rowKey(run)]; ok && run.Status == string(Used) {
			e.cells[i].runs = append(e.cells[i].runs, run)
		}
	}
	return e.cells
}

// samples are what the passes of a cell of an earlier edition contribute to one metric. A session's name counts within its card,
// and passes of one cell are of one card.
func (c earlierCell) samples(m compute.Metric) []compute.Sample {
	out := make([]compute.Sample, len(c.runs))
	for i, run := range c.runs {
		s := compute.Sample{Value: compute.Absent("not in the archive")}
		if x, ok := archive.Figure(&run, m.Name); ok {
			s.Value = compute.Known(x)
		}
		if run.Launch != nil {
			s.Launch = *run.Launch
		}
		if run.Session != nil {
			s.Session = *run.Session
		}
		out[i] = s
	}
	return out
}

// unseen leaves out the passes whose capture is in seen, by its hash, and adds the others to it: what two reviews share counts once.
func unseen(cells []earlierCell, seen map[string]bool) (out []earlierCell) {
	for _, c := range cells {
		var runs []archive.RunRow
		for _, run := range c.runs {
			if !seen[run.SourceSHA256] {
				seen[run.SourceSHA256] = true
				runs = append(runs, run)
			}
		}
		if len(runs) > 0 {
			out = append(out, earlierCell{c.Key, runs})
		}
	}
	return out
}

// byCardMode sorts cells by card and mode, in order of appearance.
func byCardMode(cells []earlierCell) (groups [][]earlierCell) {
	for _, c := range cells {
		i := slices.IndexFunc(groups, func(g []earlierCell) bool { return g[0].CardMode() == c.CardMode() })
		if i < 0 {
			i = len(groups)
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], c)
	}
	return groups
}

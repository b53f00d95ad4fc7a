package review

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/finding"
	"github.com/rigslate/rigslate/plan/match"
)

// find takes what was found in the captures' folder. The files come back in plan order as far as names tell; those without a number in
// their name are numbered later, when the ledger has told their time.
func (r *Review) find(found *match.Found) []match.File {
	r.Strays, r.Other, r.outcomes = found.Strays, found.Other, found.Outcomes
	files := r.unwaived(found.Files)
	order := map[plan.Key]int{}
	for i, c := range r.Plan.Cells {
		order[c.Key] = i
	}
	slices.SortStableFunc(files, func(a, b match.File) int {
		return cmp.Or(cmp.Compare(order[a.Key], order[b.Key]), cmp.Compare(a.Repeat, b.Repeat), a.Time.Compare(b.Time),
			started(a).Compare(started(b)), cmp.Compare(a.Path, b.Path))
	})
	return files
}

// unwaived leaves out the files of cells that are left out on purpose, and says so.
func (r *Review) unwaived(files []match.File) (out []match.File) {
	for _, f := range files {
		if c, _ := r.Plan.Cell(f.Key); c.Waived != "" {
			r.Findings.Add(finding.Note, finding.Place{File: f.Path}, "A capture of a waived cell is not read",
				fmt.Sprintf("%s is waived: %s.", f.Key, c.Waived), "")
			continue
		}
		out = append(out, f)
	}
	return out
}

func started(f match.File) (t time.Time) {
	if f.Row != nil {
		t = f.Row.Started
	}
	return t
}

// couldBeReady reports whether every planned cell has enough files, or a failure on record, so that it is worth archiving while
// reading. Whether the review is ready is known only when every capture has been read.
func (r *Review) couldBeReady(files []match.File) bool {
	have, failed := map[plan.Key]int{}, map[plan.Key]bool{}
	for _, f := range files {
		switch {
		case f.Row != nil && f.Row.Outcome != match.OK:
			failed[f.Key] = true
		case f.Void == "":
			have[f.Key]++
		}
	}
	for _, o := range r.outcomes {
		failed[o.Key] = true
	}
	for _, c := range r.Plan.Cells {
		if _, lent := r.lent[c.Key]; c.Waived == "" && !lent && have[c.Key] < c.At(have[c.Key]).Repeats && !(have[c.Key] == 0 && failed[c.Key]) {
			return false
		}
	}
	return len(r.Plan.Cells) > 0 && r.soaksAreThere()
}

// soaksAreThere reports whether every soak left its files.
func (r *Review) soaksAreThere() bool {
	for _, l := range r.Plan.SoakLogs() {
		if info, err := os.Stat(filepath.Join(r.base, filepath.FromSlash(l.Path))); err != nil || info.IsDir() {
			return false
		}
	}
	return true
}

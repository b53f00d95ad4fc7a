package changes

import (
	"slices"

	"github.com/rigslate/rigslate/export/report"
)

// PassChange is a capture that counts otherwise, came or went. Was or Is is nil where that edition does not have it.
type PassChange struct {
	Cell   report.Key `json:"cell"`
	Repeat int        `json:"repeat"`
	What   string     `json:"what"` // "was made anew", as it follows "pass 2"
	Was    *Pass      `json:"was"`
	Is     *Pass      `json:"is"`
}

// Pass is a capture as an edition has it.
type Pass struct {
	Path    string   `json:"path"`
	SHA256  string   `json:"sha256"`
	Status  string   `json:"status"`
	Reason  string   `json:"reason,omitempty"` // of a void
	MeanFPS *float64 `json:"mean_fps,omitempty"`

	repeat int
}

// FileChange is a log of a soak, or of the sensors beside a pass, that is another. A hash is "" where that edition has no such file.
type FileChange struct {
	Path string `json:"path"`
	Was  string `json:"was_sha256,omitempty"`
	Is   string `json:"is_sha256,omitempty"`
}

// CellChange is a cell whose state is another. A state is "" where that edition's plan has no such cell.
type CellChange struct {
	Cell report.Key `json:"cell"`
	Was  string     `json:"was,omitempty"`
	Is   string     `json:"is,omitempty"`
	Why  []string   `json:"why,omitempty"` // of the new state
}

func cells(was, is Edition) []CellChange {
	out := []CellChange{}
	before, now := states(was), states(is)
	for _, k := range now.order {
		if before.of[k] != now.of[k] {
			out = append(out, CellChange{Cell: k, Was: before.of[k], Is: now.of[k], Why: reasons(is, k)})
		}
	}
	for _, k := range before.order {
		if _, ok := now.of[k]; !ok {
			out = append(out, CellChange{Cell: k, Was: before.of[k]})
		}
	}
	return out
}

// SoakChange is a soak whose state is another. A state is "" where that edition has no such soak.
type SoakChange struct {
	Of     report.Mode `json:"of"`
	Soak   string      `json:"soak"`
	Repeat int         `json:"repeat"`
	Was    string      `json:"was,omitempty"`
	Is     string      `json:"is,omitempty"`
	Why    []string    `json:"why,omitempty"` // of the new state
}

// soaks lists soaks whose state is another. Editions without words for reports do not say what theirs was.
func soaks(was, is Edition) []SoakChange {
	out := []SoakChange{}
	if was.Bare || is.Bare {
		return out
	}
	type soak struct {
		report.Mode
		name   string
		repeat int
	}
	before := map[soak]report.SoakWords{}
	for _, s := range was.Source.Words.Soaks {
		before[soak{s.Mode, s.Soak, s.Repeat}] = s
	}
	for _, s := range is.Source.Words.Soaks {
		k := soak{s.Mode, s.Soak, s.Repeat}
		if before[k].State != s.State {
			out = append(out, SoakChange{s.Mode, s.Soak, s.Repeat, before[k].State, s.State, s.Why})
		}
		delete(before, k)
	}
	for _, s := range was.Source.Words.Soaks {
		if _, gone := before[soak{s.Mode, s.Soak, s.Repeat}]; gone {
			out = append(out, SoakChange{Of: s.Mode, Soak: s.Soak, Repeat: s.Repeat, Was: s.State})
		}
	}
	return out
}

type stateList struct {
	order []report.Key
	of    map[report.Key]string
}

// states are those of the cells of an edition, in the order of its table.
func states(e Edition) stateList {
	s := stateList{of: map[report.Key]string{}}
	for _, c := range e.Source.Tables.Cells {
		k := cellOf(c)
		if _, seen := s.of[k]; !seen {
			s.order, s.of[k] = append(s.order, k), c.State
		}
	}
	return s
}

func reasons(e Edition, k report.Key) []string {
	for _, c := range e.Source.Words.Cells {
		if c.Key == k {
			return c.Why
		}
	}
	return nil
}

// passes lists the captures that count otherwise, came or went, cell by cell. A capture is known by its content: one of the same name or
// number with another content was made anew.
func passes(was, is Edition) []PassChange {
	out := []PassChange{}
	before, now := passesOf(was), passesOf(is)
	for _, k := range append(now.order, before.order...) {
		if _, done := before.of[k]; !done {
			before.of[k] = nil
		}
		out = append(out, passesOfCell(k, before.of[k], now.of[k])...)
		before.of[k], now.of[k] = nil, nil
	}
	return out
}

type passList struct {
	order []report.Key
	of    map[report.Key][]Pass
}

func passesOf(e Edition) passList {
	l := passList{of: map[report.Key][]Pass{}}
	for _, r := range e.Source.Tables.Runs {
		k := key(r)
		if _, seen := l.of[k]; !seen {
			l.order = append(l.order, k)
		}
		p := Pass{Path: r.SourcePath, SHA256: r.SourceSHA256, Status: r.Status, MeanFPS: r.MeanFPS, repeat: int(r.Repeat)}
		if r.VoidReason != nil {
			p.Reason = *r.VoidReason
		}
		l.of[k] = append(l.of[k], p)
	}
	return l
}

func passesOfCell(k report.Key, was, is []Pass) (out []PassChange) {
	take := func(from *[]Pass, like func(Pass) bool) *Pass {
		i := slices.IndexFunc(*from, like)
		if i < 0 {
			return nil
		}
		p := (*from)[i]
		*from = slices.Delete(slices.Clone(*from), i, i+1)
		return &p
	}
	var fresh []Pass
	for _, p := range is {
		if old := take(&was, func(o Pass) bool { return o.SHA256 == p.SHA256 }); old == nil {
			fresh = append(fresh, p)
		} else if what := counts(*old, p); what != "" {
			out = append(out, PassChange{k, p.repeat, what, old, &p})
		}
	}
	for _, p := range fresh {
		old := take(&was, func(o Pass) bool { return o.Path == p.Path })
		if old == nil {
			old = take(&was, func(o Pass) bool { return o.repeat == p.repeat })
		}
		what := "was made anew"
		if old == nil {
			what = "is new"
		}
		if p.Status != used {
			what += ", and does not count"
		}
		out = append(out, PassChange{k, p.repeat, what, old, &p})
	}
	for _, o := range was {
		out = append(out, PassChange{k, o.repeat, "is no longer there", &o, nil})
	}
	slices.SortStableFunc(out, func(a, b PassChange) int { return a.Repeat - b.Repeat })
	return out
}

// used is the status of a pass that counts.
const used = "used"

// counts says how a capture counts otherwise than before, "" where it does not.
func counts(was, is Pass) string {
	switch {
	case was.Status == is.Status:
		return ""
	case is.Status == used:
		return "counts again"
	case is.Status == "superseded":
		return "gave way to newer ones"
	case is.Reason != "":
		return "was set aside: “" + is.Reason + "”"
	}
	return "was set aside"
}

// files lists the files of the bench that are no passes and have another content. Editions that do not say where their files lay have none.
func files(was, is Edition) []FileChange {
	out := []FileChange{}
	if was.files == nil || is.files == nil {
		return out
	}
	pass := map[string]bool{}
	for _, e := range []Edition{was, is} {
		for _, r := range e.Source.Tables.Runs {
			pass[r.SourcePath] = true
		}
	}
	for _, path := range sortedKeys(was.files, is.files) {
		if !pass[path] && was.files[path] != is.files[path] {
			out = append(out, FileChange{path, was.files[path], is.files[path]})
		}
	}
	return out
}

package changes

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/report"
)

// Edition is an edition read for a comparison.
type Edition struct {
	archive.Edition
	Source report.Source
	Bare   bool // it has no words for reports

	plan  map[string]string // what plan.json states, by where it stands there
	files map[string]string // the SHA-256 of each capture and log, by its path; nil where the edition does not say
}

// Read reads of an edition what a comparison needs, from its tables and texts alone. Errors are archive.ErrDamaged or the disk's.
func Read(e archive.Edition) (out Edition, err error) {
	out = Edition{Edition: e}
	text, err := e.File("plan/plan.json")
	if err != nil {
		return out, err
	}
	var tree any
	if err := json.Unmarshal(text, &tree); err != nil {
		return out, fmt.Errorf("%w: %s/plan/plan.json: %w", archive.ErrDamaged, e.Dir, err)
	}
	out.plan = map[string]string{}
	leaves(out.plan, "", tree)
	if out.files, err = filesOf(e); err != nil {
		return out, err
	}
	out.Source, err = report.FromEdition(e)
	if errors.Is(err, fs.ErrNotExist) {
		out.Bare = true
		if out.Source.Tables, err = report.TablesOf(e); err == nil {
			out.Source.Words = out.words()
		}
	}
	return out, err
}

// filesOf is where at the bench each capture and log lay, nil in an edition that does not say.
func filesOf(e archive.Edition) (map[string]string, error) {
	text, err := e.File(archive.FilesName)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var list struct {
		Captures []struct{ Path, SHA256 string } `json:"captures"`
	}
	if err := json.Unmarshal(text, &list); err != nil {
		return nil, fmt.Errorf("%w: %s/%s: %w", archive.ErrDamaged, e.Dir, archive.FilesName, err)
	}
	out := map[string]string{}
	for _, c := range list.Captures {
		out[c.Path] = c.SHA256
	}
	return out, nil
}

// leaves lays a tree of JSON out: "card.heron_x.driver" → "612.4". Lists of plain values are one leaf.
func leaves(out map[string]string, at string, tree any) {
	below := func(name string) string { return strings.TrimPrefix(at+"."+name, ".") }
	switch t := tree.(type) {
	case map[string]any:
		if len(t) == 0 {
			out[at] = "{}"
		}
		for name, v := range t {
			leaves(out, below(name), v)
		}
	case []any:
		if nested := slices.ContainsFunc(t, func(v any) bool { _, plain := plainly(v); return !plain }); nested {
			for i, v := range t {
				leaves(out, below(strconv.Itoa(i+1)), v)
			}
			return
		}
		var all []string
		for _, v := range t {
			s, _ := plainly(v)
			all = append(all, s)
		}
		out[at] = strings.Join(all, ", ")
	default:
		out[at], _ = plainly(t)
	}
}

// plainly words a value that is neither list nor object.
func plainly(v any) (s string, plain bool) {
	switch v := v.(type) {
	case map[string]any, []any:
		return "", false
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64), true
	case string:
		return v, true
	}
	return fmt.Sprint(v), true
}

// words are what a report of an edition without words would call things, by its plan and tables: their order is the plan's.
func (e Edition) words() (w report.Words) {
	w.Review, w.Title = e.Review, e.plan["review."+e.Review+".title"]
	w.Baseline.Card, w.Baseline.Mode, _ = strings.Cut(e.plan["review."+e.Review+".baseline"], ".")
	w.Statistics = report.StatisticsWords{Lows: cmp.Or(e.plan["statistics.lows"], compute.LowQuantile.String()), MarginPct: 1, MarginK: 1, MarginDB: 1}
	for name, to := range map[string]*float64{"margin": &w.Statistics.MarginPct, "margin_k": &w.Statistics.MarginK, "margin_db": &w.Statistics.MarginDB} {
		written := strings.TrimRight(e.plan["statistics."+name], " %KdB")
		if x, err := strconv.ParseFloat(written, 64); err == nil {
			*to = x
		}
	}
	for _, c := range e.Source.Tables.Cells {
		k := cellOf(c)
		if slices.ContainsFunc(w.Cells, func(x report.CellWords) bool { return x.Key == k }) {
			continue
		}
		w.Cells = append(w.Cells, report.CellWords{Key: k, State: c.State, Passes: int(c.N)})
		if !slices.ContainsFunc(w.Modes, func(m report.ModeWords) bool { return m.Mode == k.Mode }) {
			w.Modes = append(w.Modes, report.ModeWords{Mode: k.Mode, Title: cmp.Or(e.plan["card."+c.Card+".name"], c.Card), Alone: e.only("card."+c.Card+".mode.", c.Mode)})
		}
		if !slices.ContainsFunc(w.Games, func(g report.GameWords) bool { return g.Game == c.Game && g.Variant == c.Variant }) {
			w.Games = append(w.Games, report.GameWords{Game: c.Game, Variant: c.Variant, Title: cmp.Or(e.plan["game."+c.Game+".name"], c.Game),
				Alone: e.only("game."+c.Game+".variant.", c.Variant)})
		}
		if !slices.ContainsFunc(w.Resolutions, func(s report.SizeWords) bool { return s.Name == c.Resolution }) {
			w.Resolutions = append(w.Resolutions, report.SizeWords{Name: c.Resolution})
		}
	}
	return w
}

// only reports whether the plan has nothing below prefix but what is called name.
func (e Edition) only(prefix, name string) bool {
	for at := range e.plan {
		if rest, ok := strings.CutPrefix(at, prefix); ok && rest != name && !strings.HasPrefix(rest, name+".") {
			return false
		}
	}
	return true
}

// lend gives an edition without words what it cannot know of its soaks, so that sentences on the same one name it alike.
func (e *Edition) lend(other Edition) {
	if e.Bare && !other.Bare {
		e.Source.Words.Protocols = other.Source.Words.Protocols
	}
}

func cellOf(c archive.CellRow) report.Key {
	return report.Key{Mode: report.Mode{Card: c.Card, Mode: c.Mode}, Game: c.Game, Variant: c.Variant, Resolution: c.Resolution}
}

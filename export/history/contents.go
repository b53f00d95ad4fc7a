package history

import (
	"runtime"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"github.com/rigslate/rigslate/export/archive"
)

// Held is what an edition holds. From and To are when its passes were made, zero where none says. Lists are sorted. Newer says that
// a later edition of the review has all its passes.
type Held struct {
	Review, Edition string
	Published       time.Time
	Definitions     int
	Tool            string
	From, To        time.Time
	Passes          int
	Cells           int
	Cards           []string // with their modes
	Games           []string
	Resolutions     []string
	Drivers         []string
	Builds          []string
	Rigs            []string
	Newer           bool

	runs map[string]bool
}

// contentRow is what of runs.parquet the list of contents needs.
type contentRow struct {
	RunID      string  `parquet:"run_id"`
	Card       string  `parquet:"card"`
	Mode       string  `parquet:"mode"`
	Game       string  `parquet:"game"`
	Variant    string  `parquet:"variant"`
	Resolution string  `parquet:"resolution"`
	StartedAt  *int64  `parquet:"started_at,timestamp(microsecond)"`
	Rig        *string `parquet:"rig"`
	Driver     *string `parquet:"driver"`
	Build      *string `parquet:"build"`
	Status     string  `parquet:"status"`
}

// Contents lists what the archive's editions hold of what is asked for, by review and then as they were published. Editions that hold none of it
// are left out; those that cannot be read come apart.
func Contents(a *archive.Archive, asked Asked) ([]Held, []archive.Unreadable, error) {
	editions, unreadable, err := a.Editions()
	if err != nil {
		return nil, nil, err
	}
	editions = slices.DeleteFunc(editions, func(e archive.Edition) bool {
		return !mayHold(e, asked.cards()) || len(asked.Reviews) > 0 && !slices.Contains(asked.Reviews, e.Review)
	})
	all := make([]Held, len(editions))
	errs := make([]error, len(editions))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, e := range editions {
		g.Go(func() error {
			all[i], errs[i] = contents(e, asked)
			return nil
		})
	}
	_ = g.Wait() // none of them fails
	var out []Held
	for i, h := range all {
		switch {
		case errs[i] != nil:
			e := editions[i]
			unreadable = append(unreadable, archive.Unreadable{Review: e.Review, Edition: e.Edition, Dir: e.Dir, Err: errs[i]})
		case h.Passes > 0:
			out = append(out, h)
		}
	}
	for i := range out {
		out[i].Newer = slices.ContainsFunc(out[i+1:], func(later Held) bool { return later.Review == out[i].Review && later.has(out[i]) })
	}
	return out, unreadable, nil
}

// has reports whether an edition has all passes of another.
func (h Held) has(other Held) bool {
	for id := range other.runs {
		if !h.runs[id] {
			return false
		}
	}
	return true
}

func contents(e archive.Edition, asked Asked) (Held, error) {
	h := Held{Review: e.Review, Edition: e.Edition, Published: e.Published, Definitions: e.DefinitionsVersion, Tool: e.ToolVersion, runs: map[string]bool{}}
	rows, err := archive.ReadTable[contentRow](e, "runs.parquet")
	if err != nil {
		return h, err
	}
	cells := map[Key]bool{}
	for _, r := range rows {
		k := Key{r.Card, r.Mode, r.Game, r.Variant, r.Resolution}
		p := Point{edition: e, Facts: Facts{Driver: []string{text(r.Driver)}, Rig: []string{text(r.Rig)}}}
		if r.StartedAt != nil {
			p.From = time.UnixMicro(*r.StartedAt).UTC()
			p.To = p.From
		}
		if r.Status != "used" || !asked.wants(k) || !asked.when(p) {
			continue
		}
		h.Passes++
		h.runs[r.RunID], cells[k] = true, true
		if !p.From.IsZero() && (h.From.IsZero() || p.From.Before(h.From)) {
			h.From = p.From
		}
		if p.To.After(h.To) {
			h.To = p.To
		}
		note(&h.Cards, k.CardMode())
		note(&h.Games, k.Game)
		note(&h.Resolutions, k.Resolution)
		for _, f := range []struct {
			to *[]string
			is *string
		}{{&h.Drivers, r.Driver}, {&h.Builds, r.Build}, {&h.Rigs, r.Rig}} {
			if f.is != nil {
				note(f.to, *f.is)
			}
		}
	}
	h.Cells = len(cells)
	return h, nil
}

// Names are the values of a list over all of held, sorted.
func Names(held []Held, of func(Held) []string) (out []string) {
	for _, h := range held {
		for _, name := range of(h) {
			note(&out, name)
		}
	}
	return out
}

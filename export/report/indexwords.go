package report

import (
	"cmp"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/compute/thermocouple"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/plan/coverage"
	"github.com/rigslate/rigslate/plan/glossary"
	"github.com/rigslate/rigslate/plan/ledger"
	"github.com/rigslate/rigslate/plan/match"
)

// Claim is a claim with its verdict and what may be said instead of it.
type Claim struct {
	Name, Says, Figure, Hoped, Found, Leaning, Said string
	Verdict                                         Field
	Ps                                              string
	Notes                                           []string
}

func (v view) claims() (out []Claim) {
	for _, r := range v.Tables.Claims {
		c := Claim{Name: r.Claim, Says: r.Says, Figure: r.Metric, Leaning: text(r.Leaning), Said: text(r.Said),
			Verdict: Field{Text: r.Verdict, Class: "verdict claim-" + strings.ReplaceAll(r.Verdict, " ", "-"), Sign: claimSigns[r.Verdict]}}
		if m, ok := metricOf(r.Metric); ok {
			c.Figure = m.Title
		}
		for _, w := range v.Words.Claims {
			if w.Claim == r.Claim {
				c.Hoped, c.Found, c.Notes = w.Hoped, w.Found, w.Notes
			}
		}
		var ps []string
		for _, p := range []struct {
			name string
			x    *float64
		}{{"for", r.PFor}, {"sign", r.PSign}, {"against", r.PAgainst}} {
			if p.x != nil {
				ps = append(ps, p.name+" "+pValue(*p.x))
			}
		}
		c.Ps = strings.Join(ps, ", ")
		c.Notes = append(slices.Clone(c.Notes), v.Words.minds(r)...)
		out = append(out, c)
	}
	return out
}

// mostMinds is how many cells a note names.
const mostMinds = 4

// minds are the flags of a claim, each with the cells that it comes from as far as the edition knows them.
func (w Words) minds(r archive.ClaimRow) (out []string) {
	for _, f := range strings.Fields(text(r.Flags)) {
		note := strings.ReplaceAll(f, "_", " ")
		for _, c := range w.Claims {
			i := slices.IndexFunc(c.Minds, func(m MindWords) bool { return m.Flag == f })
			switch {
			case c.Claim != r.Claim || i < 0:
				continue
			case len(c.Minds[i].Of) == c.Cells && c.Cells > 1:
				note += ": all of its cells"
				continue
			}
			var cells []string
			for _, k := range c.Minds[i].Of {
				cells = append(cells, w.gameCalled(k.Game, k.Variant)+" at "+k.Resolution)
			}
			if more := len(cells) - mostMinds; more > 0 {
				cells = append(cells[:mostMinds], number(float64(more), 0)+" more")
			}
			note += ": " + strings.Join(cells, ", ")
		}
		out = append(out, note)
	}
	return out
}

var claimSigns = map[string]string{"supported": "✓", "fits": "≈", "open": "◌", "contradicted": "✗", "no data": "○"}

// pValue gives a p with two digits that count.
func pValue(p float64) string {
	switch {
	case p < 0.0001:
		return "< 0.0001"
	case p < 0.01:
		return number(p, 4)
	case p < 0.1:
		return number(p, 3)
	}
	return number(p, 2)
}

// Reason is why a cell is not simply ready.
type Reason struct {
	State, Sign string
	Cells       []ReasonCell
}

// ReasonCell is one such cell.
type ReasonCell struct {
	Name  Name
	Where string
	Why   string
}

// coverage is the grid of states, a table a resolution.
func (v view) coverage() (out []Grid) {
	for i, w := range v.Words.Resolutions {
		g := Grid{ID: "c" + number(float64(i), 0), Caption: "State of each cell at " + w.String(), Heads: []Column{{Text: "card"}}}
		var games []GameWords
		for _, x := range v.Words.Games {
			if slices.ContainsFunc(v.Words.Cells, func(c CellWords) bool { return c.Game == x.Game && c.Variant == x.Variant && c.Resolution == w.Name }) {
				games = append(games, x)
				g.Heads = append(g.Heads, Column{Text: x.String()})
			}
		}
		for _, m := range v.Words.Modes {
			line := Line{Name: v.name(m.Mode), Base: m.Mode == v.Words.Baseline}
			any := false
			for _, x := range games {
				c, ok := v.states[Key{m.Mode, x.Game, x.Variant, w.Name}]
				f := Field{Text: "not planned", Class: "state"}
				if ok {
					any = true
					f = Field{Text: stateShown(c.State), Sign: stateSigns[c.State], Class: "state"}
					if c.Passes != c.Of {
						f.Beside = number(float64(c.Passes), 0) + " of " + number(float64(c.Of), 0)
					}
				}
				line.Cells = append(line.Cells, f)
			}
			if any {
				g.Rows = append(g.Rows, line)
			}
		}
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
	}
	return out
}

// reasons are all cells that are not simply ready, by state, worst first.
func (v view) reasons() (out []Reason) {
	for _, e := range coverage.Entries() {
		if e.Name == coverage.Ready.String() {
			continue
		}
		r := Reason{State: e.Shown(), Sign: stateSigns[e.Name]}
		for _, c := range v.Words.Cells {
			if c.State == e.Name {
				why := strings.Join(c.Why, "; ")
				if c.Reused != nil {
					why = "from " + c.Reused.String()
				}
				r.Cells = append(r.Cells, ReasonCell{v.name(c.Mode), v.Words.gameCalled(c.Game, c.Variant) + " at " + c.Resolution,
					cmp.Or(why, "no reason on record")})
			}
		}
		if len(r.Cells) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// Definitions are entries under a heading.
type Definitions struct {
	Title   string
	Entries []glossary.Entry
}

// benchEntries are all definitions of the bench and of words, as the packages that work them out state them.
func benchEntries() []glossary.Entry {
	return slices.Concat(compute.BenchEntries(), thermal.Entries(), thermocouple.Entries(), sound.Entries(), power.Entries(), series.Entries())
}

// Definitions are those of the figures and words that a report of the source uses.
func (s Source) Definitions() []Definitions { return viewOf(s, Pictures{}).definitions() }

// definitions are those of every figure and word that the page uses.
func (v view) definitions() (out []Definitions) {
	used := v.usedWords()
	var all []glossary.Entry
	for _, m := range compute.Metrics() {
		all = append(all, m.Entry())
	}
	all = append(all, slices.Concat(compute.Entries(), benchEntries(), coverage.Entries(), match.Entries(), ledger.Entries(), v.Words.Entries)...)
	seen := map[string]bool{}
	for _, group := range glossary.Groups {
		d := Definitions{Title: string(group)}
		for _, e := range all {
			if e.Group == group && used[e.Name] && !seen[string(group)+e.Name] {
				seen[string(group)+e.Name] = true
				d.Entries = append(d.Entries, e)
			}
		}
		if len(d.Entries) > 0 {
			out = append(out, d)
		}
	}
	return out
}

// usedWords are the names of the figures, verdicts, states and flags that stand in the page's tables.
func (v view) usedWords() map[string]bool {
	used := map[string]bool{}
	flags := func(s *string) {
		for _, f := range strings.Fields(text(s)) {
			used[f] = true
		}
	}
	for _, m := range v.metrics() {
		used[m.Name] = true
	}
	for _, c := range v.Words.Cells {
		used[c.State] = true
	}
	for _, c := range v.Tables.Cells {
		if used[c.Metric] {
			flags(c.Flags)
		}
	}
	for _, d := range v.Tables.Comparisons {
		if used[d.Metric] {
			flags(d.Flags)
			used[text(d.Verdict)] = true
			if d.Firm != nil && *d.Firm {
				used["firm"] = true
			}
		}
	}
	for _, s := range v.Tables.Summaries {
		if s.Metric == headline {
			flags(s.Flags)
			used[text(s.Verdict)] = true
		}
	}
	for _, c := range v.Tables.Claims {
		flags(c.Flags)
		used[c.Verdict], used[c.Metric] = true, true
	}
	for _, r := range v.Tables.Readings {
		flags(r.Flags)
		used[r.Figure], used[text(r.Verdict)], used[text(r.Text)] = true, true, true
	}
	for _, a := range v.Words.Aside {
		used[a.Status] = true
	}
	delete(used, "")
	return used
}

package explain

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/plan"
)

// Parameter is an attribute of the plan that a figure depends on: its value in force and where it stands.
type Parameter struct {
	Name  string `json:"parameter"`
	Value string `json:"value"`
	From  string `json:"from"`   // plan, default or, without a plan where there is no default, empty
	SetIn string `json:"set_in"` // the block it is written in
}

// Where a parameter is from.
const (
	FromPlan = "plan"
	Standing = "default"
)

// attribute says what the plan states of one parameter, and whether that is written there. Without a plan its standard holds; ""
// has none.
type attribute struct {
	name, block, standard string
	stated                func(*plan.Plan) (value string, written bool)
}

// Parameters are those that an entry names, by a plan or, for nil, as they stand where a plan says nothing.
func Parameters(names []string, p *plan.Plan) (out []Parameter) {
	for _, name := range names {
		for _, a := range slices.Concat(attributes, soakAttributes, cardAttributes) {
			if a.name != name {
				continue
			}
			x := Parameter{Name: name, Value: a.standard, SetIn: a.block}
			if a.standard != "" {
				x.From = Standing
			}
			if p != nil {
				value, written := a.stated(p)
				x.Value, x.From = value, Standing
				if written {
					x.From = FromPlan
				}
			}
			out = append(out, x)
		}
	}
	return out
}

func percent(x float64) string { return fmt.Sprintf("%g %%", x) }

var attributes = []attribute{
	{"keep", "game", "", func(p *plan.Plan) (string, bool) {
		return byGame(p, func(g plan.Game) string {
			if g.Keep.All {
				return "all frames kept"
			}
			return fmt.Sprintf("%g s warm-up, then %g s kept", g.Keep.Warmup.Seconds(), g.Keep.Length.Seconds())
		}), true
	}},
	{"quantile", "statistics", "type " + strconv.Itoa(plan.DefaultQuantile), func(p *plan.Plan) (string, bool) {
		return "type " + strconv.Itoa(p.Statistics.Quantile), p.Statistics.QuantileWritten
	}},
	{"lows", "statistics", plan.DefaultLows + " is shown in tables", func(p *plan.Plan) (string, bool) {
		return p.Statistics.Lows + " is shown in tables", p.Statistics.LowsChosen
	}},
	{"margin", "statistics", percent(plan.DefaultMarginPct), func(p *plan.Plan) (string, bool) {
		return percent(p.Statistics.MarginPct), p.Statistics.MarginWritten
	}},
	{"session_spread", "statistics", percent(plan.DefaultSpreadPct) + " where the review's own sessions do not tell", func(p *plan.Plan) (string, bool) {
		return percent(p.Statistics.SpreadPct) + " where the review's own sessions do not tell", p.Statistics.SessionSpreadWritten
	}},
	{"expected_spread", "statistics", percent(plan.DefaultCellSpread), func(p *plan.Plan) (string, bool) {
		return percent(p.Statistics.ExpectedSpreadPct), p.Statistics.ExpectedSpreadPct != plan.DefaultCellSpread
	}},
	{"repeats", "matrix", screen.Count(plan.DefaultRepeats, "pass", "passes"), func(p *plan.Plan) (string, bool) {
		return byMatrix(p, func(m plan.Matrix) string {
			text := screen.Count(m.Repeats, "pass", "passes")
			if m.Launches != m.Repeats {
				text += " in " + screen.Count(m.Launches, "launch", "launches")
			}
			return text
		}), true
	}},
	{"looks", "matrix", "one", func(p *plan.Plan) (string, bool) {
		written := false
		text := byMatrix(p, func(m plan.Matrix) string {
			if len(m.Looks) == 0 {
				return "one"
			}
			written = true
			var at []string
			for _, n := range m.Looks {
				at = append(at, strconv.Itoa(n))
			}
			return "at " + screen.List(at) + " passes"
		})
		return text, written
	}},
	{"max_spread", "accept", percent(plan.DefaultMaxSpread) + " for three passes", func(p *plan.Plan) (string, bool) {
		return byGame(p, func(g plan.Game) string { return percent(g.Accept.MaxSpread) }) + " for three passes",
			anyGame(p, func(g plan.Game) bool { return g.Accept.MaxSpread != plan.DefaultMaxSpread })
	}},
	{"min_length", "accept", "nine tenths of the length to keep", func(p *plan.Plan) (string, bool) {
		return byGame(p, func(g plan.Game) string { return fmt.Sprintf("%.3g s", g.MinKept().Seconds()) }),
			anyGame(p, func(g plan.Game) bool { return g.Accept.MinLength > 0 })
	}},
	{"max_bad_lines", "accept", "0 lines", func(p *plan.Plan) (string, bool) {
		return byGame(p, func(g plan.Game) string { return screen.Count(g.Accept.MaxBadLines, "line", "lines") }),
			anyGame(p, func(g plan.Game) bool { return g.Accept.MaxBadLines > 0 })
	}},
	{"capped", "game", "no game is", func(p *plan.Plan) (string, bool) {
		return someGames(p, func(g plan.Game) bool { return g.Capped }), anyGame(p, func(g plan.Game) bool { return g.Capped })
	}},
	{"display_hz", "rig, in fixed", "none", func(p *plan.Plan) (string, bool) {
		for _, r := range p.Rigs {
			if r.Name == p.Review.Rig && r.DisplayHz > 0 {
				return fmt.Sprintf("%g Hz", r.DisplayHz), true
			}
		}
		return "none", false
	}},
	{"baseline", "review", "", func(p *plan.Plan) (string, bool) { return p.Review.Baseline.String(), true }},
	{"log", "files", "none", func(p *plan.Plan) (string, bool) {
		return byFiles(p, func(f plan.Files) string { return f.Log })
	}},
	{"measured_at", "files", "not stated", func(p *plan.Plan) (string, bool) {
		return byFiles(p, func(f plan.Files) string { return f.MeasuredAt })
	}},
	{"sensors", "files", "none", func(p *plan.Plan) (string, bool) {
		return byFiles(p, func(f plan.Files) string {
			var keys []string
			for _, e := range f.Extra {
				if e.Senses() != "" {
					keys = append(keys, e.Key)
				}
			}
			for _, s := range f.Sensors {
				for _, c := range s.Channels {
					keys = append(keys, c.Key)
				}
			}
			return strings.Join(keys, ", ")
		})
	}},
	{"frame_time", "files", "", func(p *plan.Plan) (string, bool) {
		return byFiles(p, func(f plan.Files) string {
			switch {
			case f.FrameTime != nil:
				return "in " + f.FrameTime.Unit
			case f.Timestamp != nil:
				return "from timestamps in " + f.Timestamp.Unit
			}
			return ""
		})
	}},
	{"control", "control", "none", func(p *plan.Plan) (string, bool) { return counted(len(p.Controls), "cell", "cells") }},
	{"reuse", "reuse", "none", func(p *plan.Plan) (string, bool) {
		return byReuse(p, func(r plan.Reuse) string { return strings.TrimSpace("review " + r.Review + " " + r.Edition) })
	}},
	{"max_age", "reuse", "none", func(p *plan.Plan) (string, bool) {
		return byReuse(p, func(r plan.Reuse) string { return screen.Count(int(r.MaxAge/plan.Day), "day", "days") })
	}},
	{"despite", "reuse", "nothing", func(p *plan.Plan) (string, bool) {
		text, written := byReuse(p, func(r plan.Reuse) string { return cmp.Or(screen.List(r.Despite), "nothing") })
		return text, written && text != "nothing"
	}},
	{"claim", "claim", "none", func(p *plan.Plan) (string, bool) { return counted(len(p.Claims), "claim", "claims") }},
	{"vouch", "vouch", "none", func(p *plan.Plan) (string, bool) { return counted(len(p.Vouches), "cell", "cells") }},
	{"void", "void", "none", func(p *plan.Plan) (string, bool) { return counted(len(p.Voids), "file", "files") }},
	{"waive", "matrix", "none", func(p *plan.Plan) (string, bool) {
		n := 0
		for _, c := range p.Cells {
			if c.Waived != "" {
				n++
			}
		}
		return counted(n, "cell", "cells")
	}},
	{"takes", "review and game", "a launch " + minutes(plan.DefaultTakes()), func(p *plan.Plan) (string, bool) {
		return "a launch " + minutes(p.Review.Takes), p.Review.Takes != plan.DefaultTakes()
	}},
}

func minutes(t plan.Takes) string {
	return screen.Duration(t.Startup) + ", a swap " + screen.Duration(t.Swap)
}

func counted(n int, one, many string) (string, bool) {
	if n == 0 {
		return "none", false
	}
	return screen.Count(n, one, many), true
}

func anyGame(p *plan.Plan, is func(plan.Game) bool) bool {
	for _, g := range p.Games {
		if is(g) {
			return true
		}
	}
	return false
}

func someGames(p *plan.Plan, are func(plan.Game) bool) string {
	var names []string
	for _, g := range p.Games {
		if are(g) {
			names = append(names, g.Name)
		}
	}
	if names == nil {
		return "no game is"
	}
	return screen.List(names)
}

// byGame says what holds for all games, or for which games what holds.
func byGame(p *plan.Plan, of func(plan.Game) string) string {
	var names, texts []string
	for _, g := range p.Games {
		names, texts = append(names, g.Name), append(texts, of(g))
	}
	return grouped(names, texts)
}

func byMatrix(p *plan.Plan, of func(plan.Matrix) string) string {
	var names, texts []string
	for i, m := range p.Matrices {
		names, texts = append(names, "matrix "+strconv.Itoa(i+1)), append(texts, of(m))
	}
	return grouped(names, texts)
}

// byReuse says what holds for all cards that are reused, or for which blocks what holds.
func byReuse(p *plan.Plan, of func(plan.Reuse) string) (text string, written bool) {
	if len(p.Reuses) == 0 {
		return "none", false
	}
	var names, texts []string
	for _, r := range p.Reuses {
		names, texts = append(names, r.Name), append(texts, of(r))
	}
	return grouped(names, texts), true
}

func byFiles(p *plan.Plan, of func(plan.Files) string) (text string, written bool) {
	var names, texts []string
	for _, f := range p.Files {
		s := of(f)
		written = written || s != ""
		if s == "" {
			s = "none"
		}
		names, texts = append(names, f.Name), append(texts, s)
	}
	return grouped(names, texts), written
}

// grouped gives the one text if all are the same, else each with the names it is of.
func grouped(names, texts []string) string {
	of := map[string][]string{}
	var order []string
	for i, t := range texts {
		if of[t] == nil {
			order = append(order, t)
		}
		of[t] = append(of[t], names[i])
	}
	if len(order) == 1 {
		return order[0]
	}
	var parts []string
	for _, t := range order {
		parts = append(parts, t+" ("+screen.List(of[t])+")")
	}
	return strings.Join(parts, ", ")
}

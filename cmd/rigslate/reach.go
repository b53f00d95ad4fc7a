package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan"
)

// printReach says before any pass is made what the planned launches can show, game by game, and what more would take.
func printReach(w io.Writer, p *plan.Plan, games []review.Reach, session review.SessionAhead) {
	if len(games) == 0 {
		return
	}
	margin := fmt.Sprintf("%g %%", p.Statistics.MarginPct)
	fmt.Fprintln(w, "\nReach: what the planned launches show in mean frame rate, and what more would take")
	rows := [][]string{{"", "launches", "spread", "", "shows", "a lead of " + margin, "level within " + margin, "chance"}}
	for _, x := range games {
		launches := strconv.Itoa(x.Launches)
		if x.Most > x.Launches {
			launches += " to " + strconv.Itoa(x.Most)
		}
		shows := "–"
		if x.Shows.OK {
			shows = screen.Number(x.Shows.X, 1) + " %"
		}
		rows = append(rows, []string{screen.Shorten(reachName(p, x.Of), 18), launches, number(spreadOf(x.Noise), 2) + " %", spreadFrom(x), shows,
			moreNeeded(x.Launches, x.Lead), moreNeeded(x.Launches, x.Level), percentOf(x.LevelChance)})
	}
	printRows(w, rows, screen.Left, screen.Left, screen.Right, screen.Left, screen.Right, screen.Left, screen.Left, screen.Right)
	for _, line := range reachNotes(p, games, session) {
		fmt.Fprintln(w, "  "+screen.Wrap(line, screen.Width-2, "    "))
	}
}

// reachName is a game, with its variant where it has several.
func reachName(p *plan.Plan, of plan.GameVariant) string {
	if g, _ := p.Game(of.Game); len(g.Variants) > 1 {
		return of.String()
	}
	return of.Game
}

// spreadOf gives the spread of launches that is planned with, in percent.
func spreadOf(n compute.Noise) compute.Value {
	return compute.Known(100 * math.Expm1(math.Sqrt(n.Planned)))
}

func spreadFrom(x review.Reach) string {
	if len(x.Editions) == 0 {
		return "expected"
	}
	return screen.Count(x.Noise.Cells, "cell", "cells")
}

// percentOf gives a share in whole percent; one that is not quite all is not shown as 100.
func percentOf(v compute.Value) string {
	if !v.OK {
		return "–"
	}
	return screen.Number(min(100*v.X, 99), 0) + " %"
}

// moreNeeded gives the launches beyond the plan and what they take.
func moreNeeded(planned int, n review.Need) string {
	switch {
	case !n.OK:
		return "not reachable"
	case n.K <= planned:
		return "as planned"
	}
	return fmt.Sprintf("+%d, %s", n.K-planned, screen.Duration(n.Total))
}

// reachNotes says under the table what holds for all of it, and in words where the plan cannot show that cards are level.
func reachNotes(p *plan.Plan, games []review.Reach, session review.SessionAhead) (notes []string) {
	m, _ := compute.MetricByName("mean_fps")
	notes = append(notes, fmt.Sprintf("What shows, and the launches more a cell with their bench time, are for a chance of 80 %%; the chance shown is that of level within %g %% "+
		"as planned, between equal cards.", p.Statistics.MarginPct))
	notes = append(notes, fmt.Sprintf("Session spread %.2g %%, %s; more launches do not lessen it.", session.Shown(m), sessionFrom(session)))
	notes = append(notes, earlierNote(games)...)
	notes = append(notes, tooFew(p, games)...)
	unreachable := map[string][]string{}
	var whys []string
	for _, x := range games {
		if x.Level.OK {
			continue
		}
		if unreachable[x.Level.Why] == nil {
			whys = append(whys, x.Level.Why)
		}
		unreachable[x.Level.Why] = append(unreachable[x.Level.Why], reachName(p, x.Of))
	}
	for _, why := range whys {
		notes = append(notes, fmt.Sprintf("Level within %g %% is %s: %s.", p.Statistics.MarginPct, why, screen.List(unreachable[why])))
	}
	for _, x := range games {
		switch {
		case x.Looks > 1:
			notes = append(notes, fmt.Sprintf("%s is for the first of %d looks, each with its share of the error.", reachName(p, x.Of), x.Looks))
		case x.Most > x.Launches:
			notes = append(notes, fmt.Sprintf("%s is for its cells of %d launches.", reachName(p, x.Of), x.Launches))
		}
	}
	return notes
}

// earlierNote says where spreads that are not the plan's expectation come from.
func earlierNote(games []review.Reach) []string {
	var from []string
	for _, x := range games {
		for _, e := range x.Editions {
			if name := e.Review + " " + e.Edition; !slices.Contains(from, name) {
				from = append(from, name)
			}
		}
	}
	switch {
	case len(from) == 0:
		return nil
	case len(from) > 3:
		from = append(from[:3], fmt.Sprintf("%d more", len(from)-3))
	}
	return []string{"Cells: passed before in the same scene, in " + screen.List(from) + "; few cells count with the upper end of their spread."}
}

// tooFew names the games in which the planned launches will not tell, or cannot be counted on to tell, that two equal cards are level;
// a sentence for each number of launches.
func tooFew(p *plan.Plan, games []review.Reach) (notes []string) {
	type kind struct {
		launches int
		words    string
	}
	names := map[kind][]string{}
	var kinds []kind
	for _, x := range games {
		if x.Level.OK && x.Level.K <= x.Launches {
			continue
		}
		k := kind{x.Launches, "cannot be counted on to show"}
		if !x.LevelChance.OK || x.LevelChance.X < 0.05 {
			k.words = "cannot show"
		}
		if names[k] == nil {
			kinds = append(kinds, k)
		}
		names[k] = append(names[k], reachName(p, x.Of))
	}
	for _, k := range kinds {
		where := "any game"
		if len(names[k]) < len(games) {
			where = screen.List(names[k])
		}
		notes = append(notes, fmt.Sprintf("At this spread %s %s level within %g %% in %s.",
			screen.Count(k.launches, "launch a side", "launches a side"), k.words, p.Statistics.MarginPct, where))
	}
	return notes
}

// sessionFrom says how the session spread is known before a pass is made.
func sessionFrom(s review.SessionAhead) string {
	switch {
	case s.Own:
		return "from this review's last edition"
	case s.Reviews > 0:
		return "from " + screen.Count(s.Reviews, "earlier review", "earlier reviews") + " on this rig"
	case s.Source == "plan":
		return "from the plan"
	}
	return "the default, since the plan states none"
}

// reachJSON is Reach as JSON; percentages and minutes.
type reachJSON struct {
	Game       string               `json:"game"`
	Variant    string               `json:"variant"`
	Cells      int                  `json:"cells"`
	Launches   int                  `json:"launches"`
	Most       int                  `json:"launches_at_most"`
	Looks      int                  `json:"looks,omitempty"`
	SpreadPct  float64              `json:"spread_pct"`
	SpreadFrom string               `json:"spread_from"` // expected or archive
	FromCells  int                  `json:"spread_cells,omitempty"`
	Editions   []review.EditionName `json:"spread_editions,omitempty"`
	ShowsPct   *float64             `json:"shows_pct"`
	Chance     *float64             `json:"level_chance"` // with the planned launches
	Lead       needJSON             `json:"lead"`
	Level      needJSON             `json:"level"`
}

type needJSON struct {
	MarginPct  float64 `json:"margin_pct"`
	Launches   int     `json:"launches,omitempty"` // a side
	MorePasses int     `json:"more_passes"`
	MoreMin    float64 `json:"more_min"`
	HandsOnMin float64 `json:"more_hands_on_min"`
	AloneMin   float64 `json:"more_unattended_min"`
	Why        string  `json:"why,omitempty"`
}

type sessionJSON struct {
	SpreadPct float64 `json:"spread_pct"`
	Source    string  `json:"source"`
	From      string  `json:"from"`
}

func reachDocument(p *plan.Plan, games []review.Reach, s review.SessionAhead) (out []reachJSON, session sessionJSON) {
	m, _ := compute.MetricByName("mean_fps")
	need := func(n review.Need) needJSON {
		return needJSON{p.Statistics.MarginPct, n.K, n.Passes, n.Total.Minutes(), n.HandsOn.Minutes(), n.Unattended.Minutes(), n.Why}
	}
	out = []reachJSON{}
	for _, x := range games {
		from := "expected"
		if len(x.Editions) > 0 {
			from = "archive"
		}
		out = append(out, reachJSON{x.Of.Game, x.Of.Variant, x.Cells, x.Launches, x.Most, several(x.Looks), spreadOf(x.Noise).X, from, x.Noise.Cells, x.Editions,
			optional(x.Shows), optional(x.LevelChance), need(x.Lead), need(x.Level)})
	}
	return out, sessionJSON{s.Shown(m), s.Source, sessionFrom(s)}
}

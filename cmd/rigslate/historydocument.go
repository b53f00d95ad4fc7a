package main

import (
	"encoding/csv"
	"strconv"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/history"
)

// heldJSON is an edition and what it holds.
type heldJSON struct {
	Review      string     `json:"review"`
	Edition     string     `json:"edition"`
	Published   time.Time  `json:"published_at"`
	Tool        string     `json:"tool_version"`
	Definitions int        `json:"definitions_version"`
	From        *time.Time `json:"measured_from,omitempty"`
	To          *time.Time `json:"measured_to,omitempty"`
	Cells       int        `json:"cells"`
	Passes      int        `json:"passes"`
	Cards       []string   `json:"cards"`
	Games       []string   `json:"games"`
	Resolutions []string   `json:"resolutions"`
	Drivers     []string   `json:"drivers,omitempty"`
	Builds      []string   `json:"builds,omitempty"`
	Rigs        []string   `json:"rigs,omitempty"`
	Newer       bool       `json:"a_later_edition_has_all_passes"`
}

func contentsDocument(held []history.Held) any {
	out := []heldJSON{}
	for _, h := range held {
		out = append(out, heldJSON{h.Review, h.Edition, h.Published, h.Tool, h.Definitions, moment(h.From), moment(h.To), h.Cells, h.Passes, h.Cards, h.Games,
			h.Resolutions, h.Drivers, h.Builds, h.Rigs, h.Newer})
	}
	return struct {
		Editions []heldJSON `json:"editions"`
	}{out}
}

func moment(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// pointJSON is a cell in an edition, and its change.
type pointJSON struct {
	Review     string      `json:"review"`
	Edition    string      `json:"edition"`
	Published  time.Time   `json:"published_at"`
	From       *time.Time  `json:"measured_from,omitempty"`
	To         *time.Time  `json:"measured_to,omitempty"`
	State      string      `json:"state"`
	Rig        []string    `json:"rig"`
	Driver     []string    `json:"driver"`
	Build      []string    `json:"build"`
	N          int         `json:"n"`
	Launches   int         `json:"launches"`
	Mean       *float64    `json:"mean"`
	Low        *float64    `json:"ci_low"`
	High       *float64    `json:"ci_high"`
	Method     string      `json:"method,omitempty"`
	Flags      []string    `json:"flags,omitempty"`
	OtherCells int         `json:"earlier_editions_with_the_same_passes"`
	Change     *changeJSON `json:"change,omitempty"`
}

type changeJSON struct {
	Against       int                  `json:"against"` // which point of the line, from 0
	Comparability string               `json:"comparability"`
	Differ        []history.Difference `json:"differ,omitempty"`
	Mixed         bool                 `json:"not_comparable_and_compared_as_asked,omitempty"`
	Difference    *float64             `json:"difference"`
	Percent       *float64             `json:"percent"`
	Low           *float64             `json:"ci_low"`
	High          *float64             `json:"ci_high"`
	SessionSpread *float64             `json:"session_spread"`
	SessionSource string               `json:"session_source,omitempty"`
	Word          string               `json:"change,omitempty"`
	Why           string               `json:"why,omitempty"`
}

type lineJSON struct {
	Card       string      `json:"card"`
	Mode       string      `json:"mode"`
	Game       string      `json:"game"`
	Variant    string      `json:"variant"`
	Resolution string      `json:"resolution"`
	Points     []pointJSON `json:"points"`
}

func linesDocument(m compute.Metric, lines []history.Line) any {
	out := []lineJSON{}
	for _, l := range lines {
		j := lineJSON{l.Card, l.Mode, l.Game, l.Variant, l.Resolution, nil}
		for i, p := range l.Points {
			q := pointJSON{p.Review, p.Edition, p.Published, moment(p.From), moment(p.To), p.State, p.Facts.Rig, p.Facts.Driver, p.Facts.Build, p.Stat.N,
				p.Stat.Launches, optional(p.Stat.Mean), optional(p.Stat.Low), optional(p.Stat.High), p.Stat.Method, nil, p.Other, nil}
			for _, f := range p.Stat.Flags {
				q.Flags = append(q.Flags, string(f))
			}
			if s := l.Steps[i]; s != nil {
				q.Change = changeDocument(m, *s)
			}
			j.Points = append(j.Points, q)
		}
		out = append(out, j)
	}
	return struct {
		Metric string     `json:"metric"`
		Unit   string     `json:"unit"`
		Cells  []lineJSON `json:"cells"`
	}{m.Name, m.MeanUnit(), out}
}

func changeDocument(m compute.Metric, s history.Step) *changeJSON {
	c := s.Comparison
	j := changeJSON{Against: s.Against, Comparability: string(s.Word), Differ: s.Differ, Mixed: s.Mixed, Difference: optional(c.Difference), Percent: optional(c.Percent),
		Low: optional(c.Low), High: optional(c.High), SessionSource: c.SessionSpread.Source, Word: string(s.Change), Why: s.Why}
	if c.SessionSpread.Source != "" {
		u := c.SessionSpread.Shown(m)
		j.SessionSpread = &u
	}
	return &j
}

// table is rows of text and numbers for a spreadsheet.
type table struct {
	head []string
	rows [][]any
}

func contentsTable(held []history.Held) table {
	t := table{head: []string{"review", "edition", "published_at", "measured_from", "measured_to", "definitions_version", "cells", "passes", "cards", "games",
		"resolutions", "drivers", "builds", "rigs", "a_later_edition_has_all_passes"}}
	for _, h := range held {
		t.rows = append(t.rows, []any{h.Review, h.Edition, h.Published, h.From, h.To, h.Definitions, h.Cells, h.Passes, h.Cards, h.Games, h.Resolutions, h.Drivers,
			h.Builds, h.Rigs, h.Newer})
	}
	return t
}

func linesTable(m compute.Metric, lines []history.Line) table {
	t := table{head: []string{"card", "mode", "game", "variant", "resolution", "metric", "unit", "review", "edition", "published_at", "measured_from", "measured_to",
		"state", "rig", "driver", "build", "n", "launches", "mean", "ci_low", "ci_high", "change_against", "comparability", "differ", "mixed", "percent",
		"difference", "change_low", "change_high", "change", "why"}}
	for _, l := range lines {
		for i, p := range l.Points {
			row := []any{l.Card, l.Mode, l.Game, l.Variant, l.Resolution, m.Name, m.MeanUnit(), p.Review, p.Edition, p.Published, p.From, p.To, p.State,
				p.Facts.Rig, p.Facts.Driver, p.Facts.Build, p.Stat.N, p.Stat.Launches, p.Stat.Mean, p.Stat.Low, p.Stat.High}
			if s := l.Steps[i]; s != nil {
				var differ []string
				for _, d := range s.Differ {
					differ = append(differ, d.String())
				}
				c := s.Comparison
				row = append(row, l.Points[s.Against].Edition, string(s.Word), differ, s.Mixed, c.Percent, c.Difference, c.Low, c.High, string(s.Change), s.Why)
			}
			t.rows = append(t.rows, row)
		}
	}
	return t
}

// printCSV writes a table as RFC 4180 has it. Absent figures are empty. Text that a spreadsheet would take for a formula gets a quote in
// front, as it does by hand; numbers are left as they are, whatever they begin with.
func (a *app) printCSV(t table) error {
	w := csv.NewWriter(a.stdout)
	w.UseCRLF = true
	if err := w.Write(t.head); err != nil {
		return err
	}
	for _, row := range t.rows {
		line := make([]string, len(t.head))
		for i, x := range row {
			line[i] = csvField(x)
		}
		if err := w.Write(line); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

func csvField(x any) string {
	switch x := x.(type) {
	case string:
		return harmless(x)
	case []string:
		return harmless(strings.Join(x, "; "))
	case int:
		return strconv.Itoa(x)
	case bool:
		return strconv.FormatBool(x)
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64)
	case compute.Value:
		if x.OK {
			return strconv.FormatFloat(x.X, 'g', -1, 64)
		}
	case time.Time:
		if !x.IsZero() {
			return x.Format(time.RFC3339)
		}
	}
	return ""
}

// harmless is text that no spreadsheet takes for a formula.
func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
		return "'" + s
	}
	return s
}

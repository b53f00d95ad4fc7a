package main

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/cmd/internal/review"
	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/bridge"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/history"
	"github.com/rigslate/rigslate/plan/discreet"
	"github.com/rigslate/rigslate/plan/finding"
)

// bridge sets two cards that never shared a bench side by side.
func (a *app) bridge(store *archive.Archive, asked history.Asked, l lookBack) ([]archive.Unreadable, error) {
	for _, name := range []string{l.bridge, l.to} {
		if card, mode, _ := strings.Cut(name, "."); card == "" || mode == "" {
			return nil, fmt.Errorf("%w: %q is no card with its mode, like heron_x.stock", errUsage, name)
		}
	}
	asked.Cards = nil // any card may join them
	points, unreadable, err := history.Points(store, asked)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", review.ErrDisk, err)
	}
	for _, name := range []string{l.bridge, l.to} {
		if !slices.ContainsFunc(points, func(p history.Point) bool { return p.CardMode() == name }) {
			return nil, nothing(store, l)
		}
	}
	b, err := history.Bridge(points, l.bridge, l.to, asked.Metric, compute.DefaultMargin)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errUsage, err)
	}
	b = discreet.Copy(a.veil, b)
	switch {
	case a.json:
		return unreadable, a.printJSON(bridgeDocument(b))
	case l.csv:
		return unreadable, a.printCSV(bridgeTable(b))
	}
	printBridge(a.stdout, b)
	return unreadable, nil
}

// scaled gives a difference on the metric's scale as screens show it: percent for ratios, else the unit.
func scaled(m compute.Metric, d float64) float64 {
	if m.Scale == compute.Ratio {
		return 100 * math.Expm1(d)
	}
	return d
}

func scaledValue(m compute.Metric, v compute.Value) compute.Value {
	if !v.OK {
		return v
	}
	return compute.Known(scaled(m, v.X))
}

func dotted(cardMode string) string { return strings.Replace(cardMode, ".", "·", 1) }

func printBridge(w io.Writer, b history.Bridged) {
	m, unit := b.Metric, spreadUnit(b.Metric)
	low, high := scaledValue(m, b.Low), scaledValue(m, b.High)
	head := fmt.Sprintf("%s against %s, %s in %s over %s: %s %s %s", dotted(b.Of), dotted(b.Base), m.Title, m.MeanUnit(), screen.Count(len(b.Games), "game", "games"),
		screen.Signed(scaled(m, b.D), 1), unit, resolvedInterval(low, high, b.Verdict))
	if b.Verdict != "" {
		head = strings.TrimSpace(head) + ", " + string(b.Verdict)
	}
	say := func(text string) { fmt.Fprintln(w, screen.Wrap(finding.Printable(text), screen.Width, "  ")) }
	say(head)
	if b.Why != "" {
		say("No interval: " + b.Why + ".")
	}
	if len(b.Joins) == 0 {
		say(fmt.Sprintf("Measured side by side in %s; nothing is bridged.", b.Editions[0]))
	} else {
		printChain(w, b, say)
	}
	printGames(w, b)
	if len(b.LeftOut) > 0 {
		var parts []string
		for _, why := range slices.Sorted(maps.Keys(b.LeftOut)) {
			parts = append(parts, fmt.Sprintf("%d %s", b.LeftOut[why], why))
		}
		fmt.Fprintln(w)
		say("Cells of the archive left out: " + strings.Join(parts, ", ") + ".")
	}
}

// printChain says by what way the two were joined, and with what reserve.
func printChain(w io.Writer, b history.Bridged, say func(string)) {
	m, unit := b.Metric, spreadUnit(b.Metric)
	if b.Wider.OK {
		say(fmt.Sprintf("They never shared a bench. The interval is %s times as wide as that of a test of the two side by side.", screen.Number(b.Wider.X, 1)))
	}
	fmt.Fprintln(w)
	say(fmt.Sprintf("%s was measured in %s, %s in %s.", dotted(b.Of), b.Editions[0], dotted(b.Base), b.Editions[len(b.Editions)-1]))
	for i, j := range b.Joins {
		cards := screen.List(spoken(j.Cards))
		moved := fmt.Sprintf("%s, in both %s and %s, moved by %s %s", cards, j.From, j.To, screen.Signed(scaled(m, j.Mean), 1), unit)
		if j.SD.OK {
			moved += fmt.Sprintf(", sd %s %s over the games; launches alone would bring %s %s", screen.Number(scaled(m, j.SD.X), 1), unit,
				screen.Number(scaled(m, j.Noise), 1), unit)
		}
		say(moved + ".")
		var differ []string
		for _, d := range b.Differ[i] {
			differ = append(differ, d.String())
		}
		if len(differ) > 0 {
			say("What moved all cards alike is taken out by that: " + strings.Join(differ, "; ") + ".")
		}
		if j.Uneven {
			p := ""
			if j.P.OK {
				p = ", p = " + screen.P(j.P.X)
			}
			say(fmt.Sprintf("Not sound: %s moved unevenly over the games%s. Others need not have moved as it did, so measure the two side by side.", cards, p))
		}
	}
	if slices.Contains(b.Reserves, bridge.FewGames) {
		say(fmt.Sprintf("With reserve: %s. From 3 on the games show how unevenly cards move.", screen.Count(len(b.Games), "game", "games")))
	}
	if b.Alternatives > 0 {
		say(fmt.Sprintf("%s there; this one has the least planned variance.", screen.Count(b.Alternatives, "other chain is", "other chains are")))
	}
}

// printGames is the table of games.
func printGames(w io.Writer, b history.Bridged) {
	unit := spreadUnit(b.Metric)
	head := []string{"game", "difference"}
	aligns := []screen.Align{screen.Left, screen.Right}
	for _, j := range b.Joins {
		head, aligns = append(head, screen.Shorten(screen.List(spoken(j.Cards)), 40)+" moved"), append(aligns, screen.Right)
	}
	rows := [][]string{head}
	for g, name := range b.Games {
		row := []string{screen.Shorten(name, 30), screen.Signed(scaled(b.Metric, b.Differences[g]), 1) + " " + unit}
		for _, j := range b.Joins {
			row = append(row, screen.Signed(scaled(b.Metric, j.Moved[g]), 1)+" "+unit)
		}
		rows = append(rows, row)
	}
	fmt.Fprintln(w)
	printRows(w, rows, aligns...)
}

type joinJSON struct {
	From   string               `json:"from"`
	To     string               `json:"to"`
	Cards  []string             `json:"cards"`
	Moved  float64              `json:"moved"`
	SD     *float64             `json:"moved_sd"`
	Noise  float64              `json:"launches_sd"`
	P      *float64             `json:"p"`
	Uneven bool                 `json:"moved_unevenly"`
	Differ []history.Difference `json:"differ"`
}

type bridgedGameJSON struct {
	Game       string    `json:"game"`
	Difference float64   `json:"difference"`
	Moved      []float64 `json:"moved"` // of each join
}

// bridgeDocument gives all differences in percent for ratios, else in the unit.
func bridgeDocument(b history.Bridged) any {
	m := b.Metric
	joins, games := []joinJSON{}, []bridgedGameJSON{}
	for i, j := range b.Joins {
		joins = append(joins, joinJSON{j.From, j.To, j.Cards, scaled(m, j.Mean), optional(scaledValue(m, j.SD)), scaled(m, j.Noise), optional(j.P), j.Uneven,
			append([]history.Difference{}, b.Differ[i]...)})
	}
	for g, name := range b.Games {
		q := bridgedGameJSON{name, scaled(m, b.Differences[g]), []float64{}}
		for _, j := range b.Joins {
			q.Moved = append(q.Moved, scaled(m, j.Moved[g]))
		}
		games = append(games, q)
	}
	df := compute.Known(b.Error.DF)
	if !b.Error.Standard.OK {
		df = compute.Absent(b.Why)
	}
	reserves := []string{}
	for _, r := range b.Reserves {
		reserves = append(reserves, string(r))
	}
	return struct {
		Of       string            `json:"of"`
		Base     string            `json:"base"`
		Metric   string            `json:"metric"`
		Unit     string            `json:"unit"`
		Diff     float64           `json:"difference"`
		Low      *float64          `json:"ci_low"`
		High     *float64          `json:"ci_high"`
		DF       *float64          `json:"df"`
		Verdict  string            `json:"verdict,omitempty"`
		Why      string            `json:"why,omitempty"`
		Wider    *float64          `json:"times_as_wide_as_a_direct_test"`
		Sound    bool              `json:"sound"`
		Reserves []string          `json:"reserves"`
		Editions []string          `json:"editions"`
		Joins    []joinJSON        `json:"joins"`
		Games    []bridgedGameJSON `json:"games"`
		LeftOut  map[string]int    `json:"cells_left_out"`
		Other    int               `json:"other_chains"`
	}{b.Of, b.Base, m.Name, spreadUnit(m), scaled(m, b.D), optional(scaledValue(m, b.Low)), optional(scaledValue(m, b.High)), optional(df), string(b.Verdict), b.Why, optional(b.Wider),
		b.Sound(), reserves, b.Editions, joins, games, b.LeftOut, b.Alternatives}
}

func bridgeTable(b history.Bridged) table {
	t := table{head: []string{"of", "base", "metric", "unit", "game", "difference", "ci_low", "ci_high", "verdict", "times_as_wide", "reserves", "editions", "cards"}}
	var cards, reserves []string
	for _, j := range b.Joins {
		cards = append(cards, j.Cards...)
	}
	for _, r := range b.Reserves {
		reserves = append(reserves, string(r))
	}
	m := b.Metric
	for g, name := range b.Games {
		t.rows = append(t.rows, []any{b.Of, b.Base, m.Name, spreadUnit(m), name, scaled(m, b.Differences[g])})
	}
	t.rows = append(t.rows, []any{b.Of, b.Base, m.Name, spreadUnit(m), "all", scaled(m, b.D), scaledValue(m, b.Low), scaledValue(m, b.High), string(b.Verdict), b.Wider,
		reserves, b.Editions, cards})
	return t
}

package report

import (
	"strings"

	"github.com/rigslate/rigslate/compute"
)

// method is what the figures were worked out with.
func (v view) method() []Part {
	s := v.Words.Statistics
	out := []Part{
		{"baseline", v.Words.Called(v.Words.Baseline)},
		{"intervals", "95 %; a cell's spread is borrowed from the others of the review where there are enough, since a few passes cannot tell how noisy one cell is"},
		{"quantiles", "type " + number(float64(s.Quantile), 0) + " (Hyndman & Fan 1996)"},
		{"1 % low of the plan", strings.ReplaceAll(s.Lows, "_", " ")},
		{"margins", short(s.MarginPct) + " %, " + short(s.MarginK) + " K, " + short(s.MarginDB) + " dB: less is level"},
	}
	for _, d := range v.Tables.Comparisons {
		if d.Metric == headline && d.SessionSpread != nil {
			out = append(out, Part{"session spread", number(*d.SessionSpread, 2) + " %, source: " + text(d.SessionSource) + "; what mounting a card again moves"})
			break
		}
	}
	if note := v.Words.reusedNote(anyKey); note != "" {
		out = append(out, Part{"reused", note + " What changed since they were made and nobody recorded is in no interval."})
	}
	for _, e := range v.Words.Elsewhere {
		out = append(out, Part{"from elsewhere: " + e.Name, short(e.Value)})
	}
	return out
}

// provenance is what the page was made of, and by what.
func (v view) provenance() []Part {
	o := v.Origin
	out := []Part{{"review", v.Words.Review}}
	if o.Edition == "" {
		out = append(out, Part{"edition", "none: this is a draft, nothing of it is published"})
	} else {
		out = append(out, Part{"edition", o.Edition}, Part{"published", o.Published}, Part{"raw files", number(float64(o.Raw), 0) + ", kept in the archive with their SHA-256"})
	}
	out = append(out, Part{"made by", "rigslate " + o.Tool}, Part{"definitions", "version " + number(compute.DefinitionsVersion, 0)})
	if o.GOARCH != "" {
		out = append(out, Part{"worked out on", o.GOARCH})
	}
	if fonts := v.fontsUsed(); fonts != "" {
		out = append(out, Part{"fonts", fonts})
	}
	return append(out, Part{"passes", several(len(v.Tables.Runs), "pass", "passes")})
}

// cardsRun is the table of cards and modes.
func (v view) cardsRun() Grid {
	g := Grid{ID: "cards", Caption: "Cards and modes", Heads: []Column{{Text: "card"}, {Text: "vendor"}, {Text: "driver"}, {Text: "limits"}, {Text: "in the plan"}}}
	for _, m := range v.Words.Modes {
		limits := "as shipped"
		if m.Raised {
			limits = "raised by hand"
		}
		g.Rows = append(g.Rows, Line{Name: v.name(m.Mode), Base: m.Mode == v.Words.Baseline,
			Cells: []Field{plainly(m.Vendor), plainly(m.Driver), plainly(limits), plainly(m.Card + "·" + m.Mode.Mode)}})
	}
	return g
}

// gamesRun is the table of games with their settings.
func (v view) gamesRun() Grid {
	g := Grid{ID: "games", Caption: "Games, variants and settings", Heads: []Column{{Text: "game"}, {Text: "group"}, {Text: "build, scene and settings"}, {Text: "in the plan"}}}
	for _, x := range v.Words.Games {
		n := Name{Title: x.Title}
		if !x.Alone {
			n.Mode = x.Variant
		}
		g.Rows = append(g.Rows, Line{Name: n, Cells: []Field{plainly(x.Group), plainly(settings(x)), plainly(x.Game + "·" + x.Variant)}})
	}
	return g
}

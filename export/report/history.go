package report

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"time"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
	"github.com/rigslate/rigslate/export/history"
)

// LookBack is all that the page of an archive's past is made of: history.html, a time line for each cell asked for. It says nothing of the day on
// which it is made, so that it changes only with the archive.
type LookBack struct {
	Metric     compute.Metric
	Margin     compute.Margin
	Mixed      bool // also what is not comparable was compared
	Lines      []history.Line
	Held       []history.Held
	Unreadable []archive.Unreadable
	Asked      []Part // of the provenance: what was looked for
	Tool       string
	Look       chart.Look
}

// HistoryMark stands in every such page, so that a page that somebody else wrote is told from it.
const HistoryMark = `<main class="rigslate-history">`

// mostLines is of how many cells the page has charts; of more it has the tables alone, or it could not be opened.
const mostLines = 400

// historyPage is the page as its template takes it.
type historyPage struct {
	Head
	Archive    string
	Metric     string
	Margin     string
	Mixed      bool
	Cards      []historyCard
	Once       Grid
	Held       Grid
	Unreadable []string
	Notes      []string
	Provenance []Part
}

type historyCard struct {
	ID, Title string
	Lines     []historyLine
}

type historyLine struct {
	ID, Title, Short string
	Charts           []template.HTML
	Grid             Grid
}

// Files are the page and its charts.
func (l LookBack) Files(which Charts) ([]File, error) {
	p := historyPage{Head: Head{Tool: l.Tool, Look: l.Look}, Metric: l.figure(), Mixed: l.Mixed, Margin: l.margin(), Once: l.once(), Held: l.held(),
		Archive: fmt.Sprintf("%s and %s of an archive", several(len(history.Names(l.Held, func(h history.Held) []string { return []string{h.Review} })), "review", "reviews"),
			several(len(l.Held), "edition", "editions")),
		Notes: l.notes(), Provenance: l.provenance()}
	for _, u := range l.Unreadable {
		p.Unreadable = append(p.Unreadable, fmt.Sprintf("review %s, edition %s", u.Review, u.Edition))
	}
	var all []named
	for _, line := range l.Lines {
		if len(line.Points) < 2 {
			continue
		}
		card := line.Card + "·" + line.Mode
		if n := len(p.Cards); n == 0 || p.Cards[n-1].Title != card {
			p.Cards = append(p.Cards, historyCard{ID: "card." + line.CardMode(), Title: card})
		}
		c := l.timeline(line)
		x := historyLine{ID: c.Head.Name, Title: line.Key.String(), Short: line.Game + "·" + line.Variant + " " + line.Resolution, Grid: l.grid(line)}
		pic := func(f chart.Format) chart.Picture { return c.Picture(f, l.Look) }
		if all = append(all, named{c.Head.Name, pic}); len(all) <= mostLines {
			var svg bytes.Buffer
			if err := pic(chart.Wide).WriteSVG(&svg, chart.Page); err != nil {
				return nil, fmt.Errorf("chart %s: %w", c.Head.Name, err)
			}
			x.Charts = append(x.Charts, template.HTML(svg.String())) // by the encoder of XML, as for the report's page
		}
		last := &p.Cards[len(p.Cards)-1]
		last.Lines = append(last.Lines, x)
	}
	page, err := render("history", l.Look, p)
	if err != nil {
		return nil, err
	}
	return append([]File{{Path: "history.html", Content: page}}, asFiles(all, shapes, which, l.Look)...), nil
}

// name is a line's on the page and of its files; labels have no dot.
func lineName(k history.Key) string {
	return fileName(strings.Join([]string{"line", k.Card, k.Mode, k.Game, k.Variant, k.Resolution}, "."))
}

// timeline is the chart of one cell.
func (l LookBack) timeline(line history.Line) chart.Timeline {
	c := chart.Timeline{Head: chart.Head{Name: lineName(line.Key), Title: line.Card + "·" + line.Mode + ": " + line.Game + "·" + line.Variant, Settings: l.settings(line)},
		Row:  chart.Row{ID: line.CardMode(), Card: line.Card, Order: l.order(line.Card), Name: line.Card, Mode: line.Mode},
		Unit: l.unit(), Better: chart.Less, Decimals: l.Metric.Decimals, Margin: "within " + l.margin(), Facts: []string{"measured", "driver", "build"}}
	if l.Metric.HigherBetter {
		c.Better = chart.More
	}
	rigs := severalRigs(line)
	if rigs {
		c.Facts = append(c.Facts, "rig")
	}
	for i, p := range line.Points {
		s := chart.Stop{Day: float64(p.At().Unix()) / (24 * 60 * 60), Open: !p.Holds(), Facts: []string{measuredOn(p), known(p.Facts.Driver), known(p.Facts.Build)}}
		if rigs {
			s.Facts = append(s.Facts, known(p.Facts.Rig))
		}
		if p.Stat.Mean.OK {
			s.Figure = interval(number64(p.Stat.Mean), number64(p.Stat.Low), number64(p.Stat.High))
		}
		if step := line.Steps[i]; step != nil {
			s.Link, s.Change, s.Under, s.Against = l.link(line, i, *step)
		}
		c.Stops = append(c.Stops, s)
	}
	return c
}

// settings is the line under a chart's title.
func (l LookBack) settings(line history.Line) string {
	parts := []string{line.Resolution}
	last := line.Points[len(line.Points)-1].Facts
	for _, of := range [][]string{last.Size, {l.figure()}, last.Preset, last.Scene} {
		if s := known(of); s != absent {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " · ")
}

func severalRigs(line history.Line) bool {
	return slices.ContainsFunc(line.Points, func(p history.Point) bool { return !slices.Equal(p.Facts.Rig, line.Points[0].Facts.Rig) })
}

// order is the place of a card among those of the page, so that it has one colour on all of its charts.
func (l LookBack) order(card string) int {
	var cards []string
	for _, x := range l.Lines {
		if !slices.Contains(cards, x.Card) {
			cards = append(cards, x.Card)
		}
	}
	return slices.Index(cards, card)
}

// figure is what the figure is called where it stands alone.
func (l LookBack) figure() string {
	if l.Metric.Name == headline {
		return "mean frame rate"
	}
	return l.Metric.Title
}

func (l LookBack) unit() string {
	if u := l.Metric.MeanUnit(); u != "fps" {
		return l.figure() + ", " + u
	}
	return "frames per second"
}

func (l LookBack) margin() string {
	if l.Metric.Scale == compute.Ratio {
		return short(l.Margin.Percent) + " %"
	}
	return short(l.Margin.Points) + " " + l.Metric.DifferenceUnit()
}

// link is what the chart shows of a step: its form, the difference, and under it the interval or why there is none.
func (l LookBack) link(line history.Line, i int, s history.Step) (link chart.Link, change, under string, against int) {
	d := l.difference(s)
	under = d.Beside
	switch {
	case s.Word == history.NotComparable && !s.Mixed:
		return chart.BrokenLink, "", grave(s.Differ), s.Against
	case s.Change == "":
		link, change, under = chart.OpenLink, "no verdict", s.Why
	case s.Change == history.Changed:
		link, change = chart.ChangedLink, d.Text
	case s.Change == history.Same:
		link = chart.LevelLink
	default:
		link = chart.OpenLink
	}
	switch {
	case s.Mixed:
		under = "not comparable: " + grave(s.Differ)
	case s.Against != i-1:
		under += " to " + measuredOn(line.Points[s.Against])
	}
	return link, change, under, s.Against
}

// grave lists what makes two cells not comparable.
func grave(differ []history.Difference) string {
	var names []string
	for _, d := range differ {
		if d.Grave {
			names = append(names, d.What)
		}
	}
	return strings.Join(names, ", ")
}

// measuredOn is a point's day; the day of publishing, with a star, where no pass says when it was made.
func measuredOn(p history.Point) string {
	day := p.At().UTC().Format(time.DateOnly)
	if p.From.IsZero() {
		day += "*"
	}
	return day
}

// known joins what passes record.
func known(values []string) string {
	values = slices.DeleteFunc(slices.Clone(values), func(s string) bool { return s == "" })
	if len(values) == 0 {
		return absent
	}
	return strings.Join(values, " and ")
}

func number64(v compute.Value) *float64 {
	if !v.OK {
		return nil
	}
	return &v.X
}

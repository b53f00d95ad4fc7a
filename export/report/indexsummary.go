package report

import (
	"cmp"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/speech"
)

// allGames is the group of every game in the summaries.
const allGames = "all"

func groupCalled(group string) string {
	if group == allGames {
		return "all games"
	}
	return group
}

// glance is the first table: every card and mode against the baseline over all games, a column a resolution.
func (v view) glance() Grid {
	g := Grid{ID: "glance", Caption: "Mean frame rate over all games against " + v.Words.Called(v.Words.Baseline) + ", with the 95 % interval for these games",
		Heads: []Column{{Text: "card"}}}
	for _, w := range v.Words.Resolutions {
		g.Heads = append(g.Heads, Column{Text: w.String(), Figure: true}, Column{Text: "verdict at " + w.Name})
	}
	for _, m := range v.Words.Modes {
		line := Line{Name: v.name(m.Mode), Base: m.Mode == v.Words.Baseline}
		any := line.Base
		for _, w := range v.Words.Resolutions {
			s, ok := v.summary(m.Mode, allGames, w.Name)
			difference, verdict := summaryFields(s)
			if line.Base {
				difference, verdict = plainly(""), verdictField("baseline", false)
			} else if !ok {
				difference, verdict = plainly(absent), Field{Text: "not compared", Class: "verdict open"}
			}
			any = any || ok
			line.Cells = append(line.Cells, difference, verdict)
		}
		if any {
			g.Rows = append(g.Rows, line)
		}
	}
	return g
}

func (v view) summary(m Mode, group, size string) (archive.SummaryRow, bool) {
	for _, s := range v.Tables.Summaries {
		if s.Card == m.Card && s.Mode == m.Mode && s.Group == group && s.Resolution == size && s.Metric == headline {
			return s, true
		}
	}
	return archive.SummaryRow{}, false
}

func summaryFields(s archive.SummaryRow) (difference, verdict Field) {
	return differenceField(s.Percent, s.TheseLow, s.TheseHigh, "%", text(s.Verdict)), verdictField(text(s.Verdict), false)
}

// summaries are the tables of one resolution, a group each.
func (v view) summaries(i int, w SizeWords) (out []Chapter) {
	var groups []string
	for _, s := range v.Tables.Summaries {
		if s.Metric == headline && s.Resolution == w.Name {
			groups = append(groups, s.Group)
		}
	}
	for j, group := range unique(groups) {
		var rows []archive.SummaryRow
		for _, s := range v.Tables.Summaries {
			if s.Metric == headline && s.Resolution == w.Name && s.Group == group {
				rows = append(rows, s)
			}
		}
		slices.SortStableFunc(rows, func(a, b archive.SummaryRow) int { return cmp.Compare(value(b.Ratio).X, value(a.Ratio).X) })
		title := groupCalled(group) + " at " + w.Name
		g := Grid{ID: "s" + number(float64(i), 0) + "-" + number(float64(j), 0), Caption: title + ": geometric mean of the ratios of mean frame rates",
			Heads: []Column{{Text: "card"}, {Text: "games", Figure: true}, {Text: "for these games", Figure: true}, {Text: "for games like these", Figure: true},
				{Text: "verdict"}, {Text: "led", Figure: true}, {Text: "level", Figure: true}, {Text: "trailed", Figure: true}, {Text: "left out", Figure: true},
				{Text: "what to know"}}}
		for _, s := range rows {
			g.Rows = append(g.Rows, v.summaryLine(s))
		}
		g.trim(len(g.Heads) - 1)
		out = append(out, Chapter{Title: title, Grid: g, Charts: v.charts.of(plainName("summary-" + group + "-" + w.Name))})
	}
	return out
}

func (v view) summaryLine(s archive.SummaryRow) Line {
	number := func(n int32) Field { x := float64(n); return numeral(&x, 0) }
	difference, verdict := summaryFields(s)
	like := Field{Text: cmp.Or(bracketed(s.LikeLow, s.LikeHigh, 1), absent), Sort: sortable(s.LikeLow), Figure: true}
	return Line{Name: v.name(Mode{s.Card, s.Mode}), Cells: []Field{number(s.Games), difference, like, verdict, number(s.Leads), number(s.Levels),
		number(s.Trails), number(s.LeftOut), know(v.summaryNotes(s))}}
}

// summaryNotes says between which games a headline lies and what was left out of it.
func (v view) summaryNotes(s archive.SummaryRow) (out []string) {
	if s.Games > 1 && s.Most != nil && s.Least != nil {
		out = append(out, "from "+signed(*s.Least, 1)+" % in "+v.Words.gameTitle(text(s.LeastGame))+" to "+signed(*s.Most, 1)+" % in "+v.Words.gameTitle(text(s.MostGame)))
	}
	why := map[string][]string{}
	var order []string
	for _, x := range v.Words.LeftOut {
		if (Mode{s.Card, s.Mode}) != x.Mode || x.Group != s.Group || x.Metric != s.Metric || x.Resolution != s.Resolution {
			continue
		}
		name := v.Words.gameCalled(x.Game, x.Variant)
		if x.By != nil {
			name += " (" + signed(*x.By, 1) + " %)"
		}
		order, why[x.Why] = append(order, x.Why), append(why[x.Why], name)
	}
	for _, reason := range unique(order) {
		out = append(out, "left out, "+reason+": "+strings.Join(why[reason], ", "))
	}
	for _, f := range strings.Fields(text(s.Flags)) {
		out = append(out, strings.ReplaceAll(f, "_", " "))
	}
	return out
}

// sentences are what may be said of frame rates over all games, resolution by resolution, and of what was claimed.
func (v view) sentences() (out []Sentences) {
	metric, _ := compute.MetricByName(headline)
	for _, w := range v.Words.Resolutions {
		list := Sentences{Title: "At " + w.String()}
		for _, m := range v.Words.Modes {
			s, ok := v.summary(m.Mode, allGames, w.Name)
			if !ok || m.Mode == v.Words.Baseline {
				continue
			}
			subject := speech.Subject{Metric: metric, Of: v.Words.Called(m.Mode), Base: v.Words.Called(v.Words.Baseline), MarginPct: v.Words.Statistics.MarginPct,
				Where: several(int(s.Games), "game", "games") + " at " + w.Name}
			spoken := compute.Speak(compute.Verdict(text(s.Verdict)), value(s.Percent), value(s.TheseLow), value(s.TheseHigh))
			if said := subject.Difference(spoken); said != "" {
				list.Said = append(list.Said, said)
			}
		}
		if len(list.Said) > 0 {
			out = append(out, list)
		}
	}
	var said []string
	for _, c := range v.Tables.Claims {
		if text(c.Said) != "" {
			said = append(said, *c.Said)
		}
	}
	if said = unique(said); len(said) > 0 {
		out = append(out, Sentences{"Of what was claimed", said})
	}
	return out
}

// chance says how many of the verdicts on cells may be there by luck.
func (v view) chance() string {
	var all []compute.Comparison
	firm := 0
	for _, d := range v.Tables.Comparisons {
		if d.Metric != headline || (Mode{d.BaseCard, d.BaseMode}) != v.Words.Baseline {
			continue
		}
		c := CellWords{Key: Key{Mode{d.Card, d.Mode}, d.Game, d.Variant, d.Resolution}}
		if !holds(v.states[c.Key].State) || !v.baseHolds(c) {
			continue
		}
		all = append(all, compute.Comparison{Verdict: compute.Verdict(text(d.Verdict)), P: value(d.P)})
		if d.Firm != nil && *d.Firm {
			firm++
		}
	}
	n, luck := compute.ByChance(all)
	if n == 0 {
		return ""
	}
	return several(n, "verdict", "verdicts") + " on mean frame rates; at most about " + number(luck, 1) + " of them may be chance. Firm marks the " +
		several(firm, "lead or deficit that stands", "leads and deficits that stand") + " although so many cells were looked at."
}

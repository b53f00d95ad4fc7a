package report

import (
	"fmt"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/speech"
	"github.com/rigslate/rigslate/plan/finding"
)

// script is the sheet for the script, as Markdown: each sentence that may be said with the figures it rests on beside it, in the order of a
// video, and at the end what may not be said.
type script struct {
	*book
	text   strings.Builder
	unsaid []string
}

// scriptFile is script.md.
func scriptFile(s Source) File {
	c := &script{book: bookOf(s)}
	c.line("# %s: what may be said", escaped(orElse(s.Words.Title, s.Words.Review)))
	c.line("")
	c.line("Each sentence is as strong as the data carry. Behind it stand the figures it rests on, with the 95 %% interval in brackets. Whole percents are")
	c.line("said. **Careful** stands where a viewer who works the percentage out from the figures on screen gets another one: show one more decimal of")
	c.line("both, or say no percentage. “Not firm” is a difference that may be chance among so many: say it of that game, and build nothing on it.")
	if note := c.Words.reusedNote(anyKey); note != "" {
		c.line("\n%s Say the day with the figure: what changed since and nobody recorded is in no interval.", escaped(note))
	}
	c.headlines()
	c.gameByGame()
	c.pacing()
	c.atTheBench()
	c.sweeps()
	c.equalNoise()
	c.worth()
	c.exact()
	c.hopes()
	c.notToBeSaid()
	return File{Path: "script.md", Content: []byte(c.text.String())}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func (c *script) line(format string, args ...any) { fmt.Fprintf(&c.text, format+"\n", args...) }

// section writes a heading with its lines, and nothing where there is none.
func (c *script) section(heading string, lines []string) {
	if len(lines) == 0 {
		return
	}
	c.line("\n%s\n", heading)
	for _, l := range lines {
		c.line("- %s", l)
	}
}

// escaped is a text on one line that Markdown takes for nothing but text, also at the beginning of a line.
func escaped(s string) string {
	s = strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' || r == '\v' || r == '\f' || r == '\u0085' || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))), " ")
	var b strings.Builder
	digits := true // nothing but digits so far: "1." and "1)" begin a list
	for i, r := range finding.Printable(s) {
		if strings.ContainsRune("\\`*_[]<>&|~#$", r) || i == 0 && strings.ContainsRune("-+=", r) || digits && i > 0 && (r == '.' || r == ')') {
			b.WriteByte('\\')
		}
		digits = digits && r >= '0' && r <= '9'
		b.WriteRune(r)
	}
	return b.String()
}

// within is an escaped text with something before it on its line.
func within(s string) string { return strings.TrimPrefix(escaped("x"+s), "x") }

// withInterval gives a difference with its interval.
func withInterval(x, low, high *float64, unit string) string {
	switch {
	case x == nil:
		return ""
	case low == nil || high == nil:
		return signed(*x, 1) + " " + unit + ", no interval"
	}
	return signed(*x, 1) + " " + unit + " " + differenceInterval(low, high, string(compute.Ahead))
}

// said is one comparison: its sentence, or "" where nothing may be said, with the figures behind it.
type said struct {
	subject           speech.Subject
	sentence, figures string
	verdict           compute.Verdict
	spoken            compute.Spoken
}

// compared words a difference of two sides in a metric.
func compared(s speech.Subject, verdict *string, d, low, high *float64, percent bool) said {
	out := said{subject: s, verdict: compute.Verdict(deref(verdict))}
	if percent {
		out.spoken = compute.Speak(out.verdict, value(d), value(low), value(high))
		out.sentence, out.figures = s.Difference(out.spoken), withInterval(d, low, high, "%")
		return out
	}
	share := s.Metric.Unit == "share"
	unit := s.Metric.DifferenceUnit()
	if share || unit == "pp" {
		unit = "percentage points"
	}
	out.sentence = s.Points(out.verdict, value(d), value(low), value(high))
	out.figures = withInterval(inPercent(d, share), inPercent(low, share), inPercent(high, share), unit)
	return out
}

// put is a line of the sheet; what is unresolved goes to the list of what is not to be said, and is "" here.
func (c *script) put(s said, notes ...string) (line string) {
	notes = slices.DeleteFunc(notes, func(n string) bool { return n == "" })
	line = escaped(s.sentence) + " " + s.figures
	for _, n := range notes {
		line += "; " + n
	}
	switch {
	case s.sentence == "":
		return ""
	case s.verdict == compute.Unresolved:
		c.unsaid = append(c.unsaid, line)
		return ""
	}
	return line
}

const careful = "**Careful:** the figures on screen give another percentage"

func (c *script) headlines() {
	for _, size := range c.Words.Resolutions {
		var lines []string
		for _, r := range c.Tables.Summaries {
			if r.Metric == "mean_fps" && r.Resolution == size.Name {
				lines = append(lines, c.headline(r)...)
			}
		}
		c.section(fmt.Sprintf("## Over the games at %s", escaped(size.Name)), lines)
	}
}

// ofSummary words a summary; ok is false where its figure has no sentence.
func (b *book) ofSummary(r archive.SummaryRow) (x said, ok bool) {
	m, _ := compute.MetricByName(r.Metric)
	if m.Scale != compute.Ratio {
		return x, false
	}
	where := fmt.Sprintf("%d games", r.Games)
	if r.Games == 1 {
		where = b.Words.gameTitle(orElse(deref(r.MostGame), "1 game"))
	}
	if r.Group != "all" {
		where += ", " + r.Group + ","
	}
	s := speech.Subject{Metric: m, Of: b.Words.Called(Mode{r.Card, r.Mode}), Base: b.Words.Called(Mode{r.BaseCard, r.BaseMode}), Where: where + " at " + r.Resolution,
		MarginPct: b.Words.Statistics.MarginPct}
	return compared(s, r.Verdict, r.Percent, r.TheseLow, r.TheseHigh, true), true
}

// headline is a line on a summary, none where nothing may be said.
func (c *script) headline(r archive.SummaryRow) []string {
	x, ok := c.ofSummary(r)
	if !ok {
		return nil
	}
	like := ""
	if r.LikeLow != nil && r.LikeHigh != nil {
		like = "for games like these " + bracketed(r.LikeLow, r.LikeHigh, 1)
	}
	left := ""
	if r.LeftOut > 0 {
		left = "without " + escaped(strings.ReplaceAll(c.leftOut(r), "; ", ", "))
	}
	record := ""
	if r.Games > 1 {
		record = fmt.Sprintf("leads %d, level %d, trails %d", r.Leads, r.Levels, r.Trails)
	}
	if line := c.put(x, like, record, left); line != "" {
		return []string{line}
	}
	return nil
}

// ofCells words a difference of two cells in percent.
func (b *book) ofCells(r archive.ComparisonRow) said {
	m, _ := compute.MetricByName(r.Metric)
	s := speech.Subject{Metric: m, Of: b.Words.Called(Mode{r.Card, r.Mode}), Base: b.Words.Called(Mode{r.BaseCard, r.BaseMode}),
		Where: b.Words.gameCalled(r.Game, r.Variant) + " at " + r.Resolution, MarginPct: b.Words.Statistics.MarginPct}
	return compared(s, r.Verdict, r.Percent, r.CILow, r.CIHigh, true)
}

// sides are the means of both sides of a difference.
func (b *book) sides(r archive.ComparisonRow) (of, against float64, ok bool) {
	k, base := comparedKeys(r)
	x, y := b.stats[measured{k, r.Metric}].Mean, b.stats[measured{base, r.Metric}].Mean
	if x == nil || y == nil {
		return 0, 0, false
	}
	return *x, *y, true
}

// contradicted reports whether a viewer who works a percentage out from both means as displayed gets another than is said.
func (b *book) contradicted(r archive.ComparisonRow, x said) bool {
	of, against, ok := b.sides(r)
	return ok && compute.CalculatorDiffers(x.spoken, of, against, x.subject.Metric.Decimals, x.subject.MarginPct)
}

// cellLine is a line on a cell against the baseline in a metric.
func (c *script) cellLine(k Key, metric string) string {
	r, ok := c.diffs[measured{k, metric}]
	if !ok || c.verdict(r) == "open" {
		return ""
	}
	x := c.ofCells(r)
	m := x.subject.Metric
	figures, warn, chance, needs := "", "", "", ""
	if of, against, ok := c.sides(r); ok {
		figures = fmt.Sprintf("%s against %s %s", number(of, m.Decimals), number(against, m.Decimals), m.MeanUnit())
	}
	if c.contradicted(r, x) {
		warn = careful
	}
	if v := x.verdict; (v == compute.Ahead || v == compute.Behind) && !deref(r.Firm) {
		chance = "not firm"
	}
	if r.RepeatsNeeded != nil {
		needs = fmt.Sprintf("%d launches a side would show a difference of %s %%", *r.RepeatsNeeded, short(x.subject.MarginPct))
	}
	notes := []string{figures, chance, needs, warn}
	if base := c.cells[Key{c.Words.Baseline, k.Game, k.Variant, k.Resolution}].Reused; base != nil {
		notes = append(notes, "against passes reused from "+escaped(base.String()))
	}
	for _, n := range append(slices.Clone(c.cells[k].Notes), c.cells[k].Why...) {
		if metric == "mean_fps" {
			notes = append(notes, escaped(n))
		}
	}
	return c.put(x, notes...)
}

func (c *script) gameByGame() {
	c.byGame("## Game by game", func(k Key) []string { return []string{c.cellLine(k, "mean_fps")} })
}

// byGame writes a heading and under it one for each game and resolution of which something may be said.
func (c *script) byGame(heading string, of func(Key) []string) {
	keys := c.keys()
	for i := 0; i < len(keys); {
		first := keys[i]
		var lines []string
		for ; i < len(keys) && keys[i].Game == first.Game && keys[i].Variant == first.Variant && keys[i].Resolution == first.Resolution; i++ {
			lines = append(lines, of(keys[i])...)
		}
		lines = slices.DeleteFunc(lines, func(l string) bool { return l == "" })
		if len(lines) > 0 && heading != "" {
			c.line("\n%s", heading)
			heading = ""
		}
		c.section(fmt.Sprintf("### %s at %s", escaped(c.Words.gameCalled(first.Game, first.Variant)), escaped(first.Resolution)), lines)
	}
}

// pacing is what may be said of the lows: over the games, then of each.
func (c *script) pacing() {
	var lines []string
	for _, r := range c.Tables.Summaries {
		if r.Metric == c.lows[0].Name && r.Group == "all" {
			lines = append(lines, c.headline(r)...)
		}
	}
	c.section("## Pacing: the lows over the games", lines)
	c.byGame("## Pacing: the lows game by game", func(k Key) []string { return []string{c.cellLine(k, c.lows[0].Name), c.cellLine(k, c.lows[1].Name)} })
}

// notToBeSaid lists what is unresolved with the most that may be said of it, and cells that must not be spoken of.
func (c *script) notToBeSaid() {
	var lines []string
	for _, k := range c.keys() {
		w := c.cells[k]
		name := c.Words.CellCalled(k)
		switch {
		case w.State == "failed":
			lines = append(lines, "No figure of "+escaped(name)+", only that it does not run there: "+escaped(strings.Join(w.Why, "; ")))
		case w.State == "waived":
			lines = append(lines, "Nothing of "+escaped(name)+", left out on purpose: "+escaped(strings.Join(w.Why, "; ")))
		case !c.holds(k):
			lines = append(lines, "Nothing of "+escaped(name)+", which is "+escaped(strings.Join(append([]string{w.State}, w.Why...), "; ")))
		}
	}
	c.section("## Not to be said: which of these is ahead\n\nBehind each stands the most that may be said.", c.unsaid)
	c.section("## Not to be said: anything else of these", lines)
}

package pack

import (
	"fmt"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/report"
	"github.com/rigslate/rigslate/plan/glossary"
)

// NoLicence is what a pack says whose plan states no licence. Whoever says nothing keeps all rights.
const NoLicence = "No licence is stated for these data: all rights are reserved. Ask the author of the review before you copy or publish them."

func licence(s report.Source) string {
	if s.Words.Licence == "" {
		return NoLicence
	}
	return "These data are free to use under " + s.Words.Licence + "."
}

// text gathers Markdown.
type text struct{ strings.Builder }

func (t *text) line(format string, args ...any) { fmt.Fprintf(t, format+"\n", args...) }

// readme says what is in the pack, column by column, and what its figures and words mean.
func readme(s report.Source, all []table) []byte {
	var t text
	title := s.Words.Title
	if title == "" {
		title = s.Words.Review
	}
	t.line("# %s: the data\n", plainly(title))
	t.line("Measurements of graphics cards, as tables. Each is there as CSV for a spreadsheet and as Parquet for programs, with the same columns.\n")
	t.line("| | |\n|---|---|")
	t.line("| review | %s |", plainly(s.Words.Review))
	t.line("| edition | %s, published %s |", s.Origin.Edition, s.Origin.Published)
	t.line("| made by | rigslate %s, definitions version %d |", plainly(s.Origin.Tool), s.Origin.Definitions)
	t.line("| baseline | %s, %s |", plainly(s.Words.Baseline.Card), plainly(s.Words.Baseline.Mode))
	t.line("| licence | %s |", plainly(licence(s)))
	t.line("\nName the edition when you quote a figure: a correction has another one.\n")
	t.line("Units stand in the columns' names or beside them in `unit`. An empty field is a value that could not be had, never zero. Numbers have a point as")
	t.line("the decimal sign and all their digits. CSV is UTF-8 with a byte order mark; a text that a spreadsheet would run begins with an apostrophe there.")
	t.line("Left out are the recordings themselves, their paths and whatever else is of the test bench alone.")
	t.cards(s.Words)
	t.line("\n## Tables")
	for _, x := range all {
		t.line("\n### %s\n\n%s %d rows.\n", x.name, x.row, len(x.Rows))
		t.line("| column | holds | meaning |\n|---|---|---|")
		for _, c := range x.Columns {
			t.line("| `%s` | %s | %s |", c.Name, c.Holds, plainly(x.means(c.Name)))
		}
	}
	t.definitions(s)
	return []byte(t.String())
}

// cards says which names the tables have for what.
func (t *text) cards(w report.Words) {
	t.line("\n## Names\n\n| in the tables | is |\n|---|---|")
	for _, m := range w.Modes {
		t.line("| %s, %s | %s |", plainly(m.Card), plainly(m.Mode.Mode), plainly(m.Title))
	}
	for _, g := range w.Games {
		t.line("| %s, %s | %s |", plainly(g.Game), plainly(g.Variant), plainly(g.Title))
	}
	for _, r := range w.Resolutions {
		t.line("| %s | %d × %d |", plainly(r.Name), r.Width, r.Height)
	}
}

// definitions are those of all figures of a pass, and of the other figures and the words that stand in the tables.
func (t *text) definitions(s report.Source) {
	if s.Origin.Definitions != compute.DefinitionsVersion {
		t.line("\nWhat follows is version %d of the definitions; the figures were worked out by version %d.", compute.DefinitionsVersion, s.Origin.Definitions)
	}
	t.line("\n## %s\n", glossary.PassFigure)
	for _, m := range compute.Metrics() {
		t.entry(m.Entry())
	}
	for _, d := range s.Definitions() {
		if d.Title == string(glossary.PassFigure) {
			continue
		}
		t.line("\n## %s\n", d.Title)
		for _, e := range d.Entries {
			t.entry(e)
		}
	}
}

func (t *text) entry(e glossary.Entry) {
	t.line("- `%s`, %s. %s How: %s. Source: %s.", e.Name, plainly(e.Unit), plainly(e.Means), plainly(strings.TrimSuffix(e.Formula, ".")),
		plainly(strings.TrimSuffix(e.Source, ".")))
}

// plainly keeps Markdown from taking a text for anything but text, also within a table.
func plainly(s string) string {
	var b strings.Builder
	for _, r := range strings.Join(strings.Fields(s), " ") {
		if strings.ContainsRune("\\`*_[]<>#|~", r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

package report

import (
	"slices"
	"strconv"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/coverage"
)

// Grid is one table of a page. Every table is laid out by one template, so that all are sorted, scrolled, printed and read aloud alike.
type Grid struct {
	ID      string // of the page, unique
	Caption string
	Heads   []Column
	Rows    []Line
	Notes   []string
}

// Column is the head of a column.
type Column struct {
	Text   string
	Figure bool   // numbers, to the right
	Low    string // the column is of this kind of low, which a switch shows or hides
}

// Line is a row; a base one is the baseline's.
type Line struct {
	Name  Name
	Base  bool
	Cells []Field
}

// Name is who a row is of. What the plan calls it may be anything in any script, so it stands apart from the words around it.
type Name struct{ Title, Mode, Extra string }

// Field is one place of a table.
type Field struct {
	Text   string
	Beside string // an interval
	Sort   string // the number to sort by, "" for the text
	Figure bool
	Low    string
	Sign   string // a shape beside a verdict, so that it is told by more than colour and words
	Class  string
}

// sortable gives a number to sort by, with more digits than are shown.
func sortable(x *float64) string {
	if x == nil {
		return ""
	}
	return strconv.FormatFloat(*x, 'g', 7, 64)
}

// A review as large as they come has a hundred thousand fields, so what a browser can do without is left out.

// Classes are what the style and the script know a field by.
func (f Field) Classes() string {
	if f.Figure {
		return strings.TrimSpace("figure " + f.Class)
	}
	return f.Class
}

// SortBy is the number to sort by where it is not what stands there.
func (f Field) SortBy() string {
	if f.Sort == f.Text {
		return ""
	}
	return f.Sort
}

// Plain reports whether a text need not be kept apart from those around it: it is the program's own, or none.
func (f Field) Plain() bool {
	unresolved := f.Class == string(compute.Unresolved) || f.Class == string(compute.Single) // which the style marks
	return f.Text == "" || f.Figure && !unresolved || strings.HasPrefix(f.Class, "verdict ")
}

func numeral(x *float64, decimals int) Field {
	return Field{Text: shown(x, decimals), Sort: sortable(x), Figure: true}
}

func plainly(s string) Field { return Field{Text: s} }

// know is a field of what must be known beside a figure, in sentences.
func know(all []string) Field { return Field{Text: strings.Join(all, "; "), Class: "know"} }

// signs are the shapes of verdicts.
var signs = map[string]string{string(compute.Ahead): "▲", string(compute.Behind): "▼", string(compute.Level): "=", string(compute.Unresolved): "◌",
	string(compute.Single): "◌", "baseline": "┊"}

// verdictField words a verdict. What is not resolved looks so.
func verdictField(verdict string, firm bool) Field {
	f := Field{Text: verdict, Class: "verdict " + verdict, Sign: signs[verdict]}
	switch {
	case verdict == "":
		return Field{Text: "no verdict", Class: "verdict open"}
	case firm:
		f.Text += ", firm"
	}
	return f
}

// differenceField words a difference with its interval.
func differenceField(x, low, high *float64, unit, verdict string) Field {
	f := Field{Text: absent, Sort: sortable(x), Figure: true, Class: verdict}
	if x == nil {
		return f
	}
	f.Text, f.Beside = signed(*x, 1)+" "+unit, differenceInterval(low, high, verdict)
	return f
}

// holds reports whether verdicts stand on a cell in such a state.
func holds(state string) bool {
	return state == coverage.Ready.String() || state == coverage.Reused.String() || state == coverage.Vouched.String()
}

// stateShown is a state in the words of screens.
func stateShown(state string) string {
	for _, e := range coverage.Entries() {
		if e.Name == state {
			return e.Shown()
		}
	}
	return state
}

// stateSigns are those of the coverage grid on screens.
var stateSigns = map[string]string{"ready": "●", "reused": "◆", "short": "◐", "absent": "○", "doubtful": "▲", "stale": "≠", "failed": "×", "vouched": "◎", "waived": "–"}

// trim leaves out the columns from the nth on that no row fills; the first holds the names.
func (g *Grid) trim(n int) {
	if len(g.Rows) == 0 {
		return
	}
	for c := len(g.Heads) - 1; c >= n; c-- {
		if slices.ContainsFunc(g.Rows, func(l Line) bool { return l.Cells[c-1].Text != "" && l.Cells[c-1].Text != absent }) {
			continue
		}
		g.Heads = slices.Delete(g.Heads, c, c+1)
		for i := range g.Rows {
			g.Rows[i].Cells = slices.Delete(g.Rows[i].Cells, c-1, c)
		}
	}
}

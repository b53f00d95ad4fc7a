package report

import (
	"crypto/sha256"
	"encoding/base64"
	"html/template"
	"slices"
	"strings"
	"unicode"

	"github.com/rigslate/rigslate/export/archive"
)

// Index is the page of a whole review, index.html: every figure of it that is shown anywhere, with what may be said and what it rests on.
// It needs no script. The one it has sorts tables and hides what is not asked for, on the screen alone: on paper nothing is missing.
type Index struct {
	Head
	Draft       bool // nothing is published
	Edition     string
	Baseline    Name
	Glance      Grid
	Sentences   []Sentences
	Sizes       []Size
	Metrics     []MetricChoice
	Lows        []string
	Low         string // the plan's
	Together    []Grid
	Benches     []Bench
	Worth       []Chapter
	Facts       Grid
	Claims      []Claim
	Coverage    []Grid
	Reasons     []Reason
	Aside       []AsideWords
	Warnings    []string
	Rig         string
	RigParts    []Part
	Method      []Part
	GamesRun    Grid
	CardsRun    Grid
	Definitions []Definitions
	Provenance  []Part
	Cautions    []string
	Chance      string
	Plots       string // what plots over time show, or why there are none
}

// Chapter is a table with the picture above it.
type Chapter struct {
	Title  string
	Charts []template.HTML
	Grid   Grid
}

// Sentences are what may be said, under a heading.
type Sentences struct {
	Title string
	Said  []string
}

// MetricChoice is one figure that the switch offers.
type MetricChoice struct{ Name, Title string }

// view is a source with what is looked up in it.
type view struct {
	Source
	book    *book
	charts  Pictures
	modes   map[Mode]ModeWords
	states  map[Key]CellWords
	cells   map[cellKey]archive.CellRow
	against map[cellKey]archive.ComparisonRow
}

type cellKey struct {
	Key
	metric string
}

func viewOf(s Source, charts Pictures) view {
	s.Words.Modes, s.Words.Games = slices.Clone(s.Words.Modes), slices.Clone(s.Words.Games)
	for i := range s.Words.Modes {
		s.Words.Modes[i].Title = isolated(s.Words.Modes[i].Title)
	}
	for i := range s.Words.Games {
		s.Words.Games[i].Title = isolated(s.Words.Games[i].Title)
	}
	v := view{Source: s, book: bookOf(s), charts: charts, modes: map[Mode]ModeWords{}, states: map[Key]CellWords{}, cells: map[cellKey]archive.CellRow{},
		against: map[cellKey]archive.ComparisonRow{}}
	for _, m := range s.Words.Modes {
		v.modes[m.Mode] = m
	}
	for _, c := range s.Words.Cells {
		v.states[c.Key] = c
	}
	for _, r := range s.Tables.Cells {
		v.cells[cellKey{Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution}, r.Metric}] = r
	}
	for _, r := range s.Tables.Comparisons {
		if (Mode{r.BaseCard, r.BaseMode}) == s.Words.Baseline {
			v.against[cellKey{Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution}, r.Metric}] = r
		}
	}
	return v
}

// Page makes the page of a review, without charts where there are none.
func (s Source) Page(charts Pictures) (File, error) {
	v := viewOf(s, charts)
	p := Index{Head: Head{Review: s.Words.Review, Title: s.Words.Title, Tool: s.Origin.Tool, Look: s.Look}, Draft: s.Origin.Edition == "",
		Edition: s.Origin.Edition, Baseline: v.name(s.Words.Baseline),
		Rig: s.Words.Rig, RigParts: s.Words.RigParts, Warnings: s.Words.Warnings, Cautions: s.Words.Cautions, Aside: s.Words.Aside,
		Lows: lowKinds(), Low: s.Words.Statistics.Lows, Glance: v.glance(), Sizes: v.sizes(), Together: v.together(), Benches: v.benches(),
		Worth: v.worth(), Facts: v.facts(), Claims: v.claims(), Coverage: v.coverage(), Reasons: v.reasons(), Method: v.method(),
		GamesRun: v.gamesRun(), CardsRun: v.cardsRun(), Provenance: v.provenance(), Chance: v.chance(), Metrics: v.metrics(), Plots: v.plots()}
	p.Sentences = v.sentences()
	p.Definitions = v.definitions()
	page, err := render("index", s.Look, p)
	return File{Path: "index.html", Content: page}, err
}

// isolated keeps a name that says which way text runs from turning round the words of a sentence that it stands in (Unicode Standard Annex 9: an
// isolate ends what began in it).
func isolated(name string) string {
	if strings.IndexFunc(name, func(r rune) bool { return unicode.Is(unicode.Bidi_Control, r) }) < 0 {
		return name
	}
	return "\u2068" + name + "\u2069"
}

// name is how a card and mode is called on the page.
func (v view) name(m Mode) Name {
	w, ok := v.modes[m]
	if !ok {
		return Name{Title: m.Card, Mode: m.Mode}
	}
	if w.Alone {
		return Name{Title: w.Title}
	}
	return Name{Title: w.Title, Mode: w.Mode.Mode}
}

// scriptHash is what a browser holds the page's one script against: no other runs.
func scriptHash(script []byte) string {
	sum := sha256.Sum256(script)
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

// unique leaves the first of equal texts.
func unique(all []string) (out []string) {
	for _, s := range all {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

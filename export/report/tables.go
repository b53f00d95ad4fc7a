package report

import (
	"fmt"
	"strings"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/sheets"
)

// tableFiles are the tables as files, tables/NAME.csv, and all in one, tables/review.xlsx.
func tableFiles(s Source) (files []File, err error) {
	all := tables(s)
	for _, t := range all {
		text, err := t.CSV()
		if err != nil {
			return nil, fmt.Errorf("table %s: %w", t.Name, err)
		}
		files = append(files, File{Path: "tables/" + t.Name + ".csv", Content: text})
	}
	return append(files, File{Path: "tables/review.xlsx", Make: func() ([]byte, error) { return sheets.Workbook(orElse(s.Words.Title, s.Words.Review), all) }}), nil
}

// tables are those a reader of the review asks for first, then those that these rest on.
func tables(s Source) []sheets.Table {
	b := bookOf(s)
	return []sheets.Table{b.results(), b.summaries(), b.claims(), b.value(), b.facts(), b.bench(), b.soaks(), b.coverage(), b.figures(), b.passes()}
}

// column is a column of a table whose rows come from rows of another kind.
type column[Row any] struct {
	sheets.Column
	of func(Row) sheets.Cell
}

// words is a column without a unit, figure one of numbers.
func words[Row any](title string, of func(Row) string) column[Row] {
	return column[Row]{sheets.Column{Title: title}, func(r Row) sheets.Cell { return sheets.Text(of(r)) }}
}

func word[Row any](title string, of func(Row) *string) column[Row] {
	return words(title, func(r Row) string { return deref(of(r)) })
}

func figure[Row any](title, unit string, decimals int, of func(Row) *float64) column[Row] {
	return column[Row]{sheets.Column{Title: title, Unit: unit, Decimals: decimals}, func(r Row) sheets.Cell { return maybe(of(r)) }}
}

func count[Row any](title string, of func(Row) int32) column[Row] {
	return column[Row]{sheets.Column{Title: title}, func(r Row) sheets.Cell { return sheets.Number(float64(of(r))) }}
}

func counted[Row any](title string, of func(Row) *int32) column[Row] {
	return column[Row]{sheets.Column{Title: title}, func(r Row) sheets.Cell {
		if n := of(r); n != nil {
			return sheets.Number(float64(*n))
		}
		return sheets.Cell{}
	}}
}

func tabulate[Row any](name, title string, rows []Row, columns ...[]column[Row]) sheets.Table {
	t := sheets.Table{Name: name, Title: title}
	for _, part := range columns {
		for _, c := range part {
			t.Columns = append(t.Columns, c.Column)
		}
	}
	for _, r := range rows {
		var line []sheets.Cell
		for _, part := range columns {
			for _, c := range part {
				line = append(line, c.of(r))
			}
		}
		t.Rows = append(t.Rows, line)
	}
	return t
}

func maybe(x *float64) sheets.Cell {
	if x == nil {
		return sheets.Cell{}
	}
	return sheets.Number(*x)
}

func deref[T any](x *T) (zero T) {
	if x == nil {
		return zero
	}
	return *x
}

// spaced gives flags and words of the archive as a reader's list.
func spaced(flags *string) string {
	return strings.ReplaceAll(strings.ReplaceAll(deref(flags), " ", ", "), "_", " ")
}

// measured names a figure of a cell.
type measured struct {
	Key
	metric string
}

// book is a source with what its tables look up in it.
type book struct {
	Source
	stats   map[measured]archive.CellRow
	diffs   map[measured]archive.ComparisonRow // against the baseline
	cells   map[Key]CellWords
	modes   map[Mode]ModeWords
	games   map[[2]string]GameWords
	lows    [2]compute.Metric
	metrics []compute.Metric
}

func bookOf(s Source) *book {
	b := &book{Source: s, stats: map[measured]archive.CellRow{}, diffs: map[measured]archive.ComparisonRow{}, cells: map[Key]CellWords{},
		modes: map[Mode]ModeWords{}, games: map[[2]string]GameWords{}, metrics: compute.Metrics()}
	for _, r := range s.Tables.Cells {
		b.stats[measured{Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution}, r.Metric}] = r
	}
	for _, r := range s.Tables.Comparisons {
		if (Mode{r.BaseCard, r.BaseMode}) == s.Words.Baseline {
			b.diffs[measured{Key{Mode{r.Card, r.Mode}, r.Game, r.Variant, r.Resolution}, r.Metric}] = r
		}
	}
	for _, c := range s.Words.Cells {
		b.cells[c.Key] = c
	}
	for _, m := range s.Words.Modes {
		b.modes[m.Mode] = m
	}
	for _, g := range s.Words.Games {
		b.games[[2]string{g.Game, g.Variant}] = g
	}
	for i, share := range []string{"low1_", "low01_"} {
		b.lows[i], _ = compute.MetricByName(share + s.Words.Statistics.Lows + "_fps")
	}
	return b
}

// holds says whether the figures of a cell may be used.
func (b *book) holds(k Key) bool {
	return holds(b.cells[k].State)
}

// keys are the planned cells as a video goes through them: game by game, at each resolution, every card.
func (b *book) keys() (out []Key) {
	for _, g := range b.Words.Games {
		for _, size := range b.Words.Resolutions {
			for _, m := range b.Words.Modes {
				k := Key{m.Mode, g.Game, g.Variant, size.Name}
				if _, ok := b.cells[k]; ok {
					out = append(out, k)
				}
			}
		}
	}
	return out
}

// who names a card and its mode as people do.
func who[Row any](b *book, of func(Row) Mode) []column[Row] {
	return []column[Row]{
		words("card", func(r Row) string { return b.Words.cardTitle(of(r).Card) }),
		words("mode", func(r Row) string { return of(r).Mode }),
	}
}

// against names what a row is compared with, "" for nothing.
func (b *book) against(m Mode) string {
	switch _, known := b.modes[m]; {
	case m.Card == "":
		return ""
	case known:
		return b.Words.title(m)
	}
	return b.Words.cardTitle(m.Card)
}

func where[Row any](b *book, of func(Row) Key) []column[Row] {
	return append([]column[Row]{
		words("game", func(r Row) string {
			k := of(r)
			if g, ok := b.games[[2]string{k.Game, k.Variant}]; ok {
				return g.Title
			}
			return k.Game
		}),
		words("variant", func(r Row) string { return of(r).Variant }),
		words("resolution", func(r Row) string { return of(r).Resolution }),
	}, who(b, func(r Row) Mode { return of(r).Mode })...)
}

// inPlan is the name of a cell that the plan and the command line know it by.
func inPlan[Row any](of func(Row) Key) []column[Row] {
	return []column[Row]{words("name in the plan", func(r Row) string {
		k := of(r)
		return fmt.Sprintf("%s.%s %s.%s %s", k.Card, k.Mode.Mode, k.Game, k.Variant, k.Resolution)
	})}
}

// cardInPlan is the name of a card, or of it in a mode, that the plan knows it by.
func cardInPlan[Row any](of func(Row) Mode) []column[Row] {
	return []column[Row]{words("card in the plan", func(r Row) string {
		if m := of(r); m.Mode != "" {
			return m.Card + "." + m.Mode
		}
		return of(r).Card
	})}
}

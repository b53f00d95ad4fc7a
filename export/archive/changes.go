package archive

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
)

// Change is a value of an edition's tables that its work has otherwise by now. Keys are those columns of its row that say which row it is.
type Change struct {
	Table   string            `json:"table"`
	Keys    map[string]string `json:"row"`
	Column  string            `json:"column"` // "" where the whole row is on one side alone
	Was     any               `json:"was"`    // nil where it is absent
	Now     any               `json:"now"`
	Verdict bool              `json:"verdict,omitempty"` // it is one, or what is said beside one
}

// Changes lists what tables have otherwise than those of an edition, row by row, and counts the values that were compared. A column that the
// edition's tables do not have is of a later release and no change. Numbers may differ by tolerance, relative to the larger.
func (e Edition) Changes(now Tables, tolerance float64) (out []Change, values int, err error) {
	c := changes{edition: e, tolerance: tolerance}
	cell := []string{"card", "mode", "game", "variant", "resolution"}
	base := []string{"base_card", "base_mode"}
	for _, err := range []error{
		changesOf(&c, "runs", now.Runs, append(slices.Clone(cell), "repeat", "run_id", "source_path")),
		changesOf(&c, "cells", now.Cells, append(slices.Clone(cell), "metric")),
		changesOf(&c, "comparisons", now.Comparisons, slices.Concat(cell, []string{"metric"}, base)),
		changesOf(&c, "summaries", now.Summaries, slices.Concat([]string{"group", "resolution", "metric", "card", "mode"}, base)),
		changesOf(&c, "claims", now.Claims, []string{"claim"}),
		changesOf(&c, "readings", now.Readings, slices.Concat([]string{"card", "mode", "protocol", "repeat", "probe_group", "sensor", "fan_pct", "figure", "measured_at",
			"resolution", "price_currency", "price_kind", "price_place", "price_on"}, base)),
	} {
		if err != nil {
			return nil, 0, err
		}
	}
	return c.found, c.values, nil
}

type changes struct {
	edition   Edition
	tolerance float64
	found     []Change
	values    int
}

// verdictColumns have what is said, rather than the figures it rests on.
var verdictColumns = []string{"verdict", "firm", "leaning", "said", "state", "status"}

func changesOf[Row any](c *changes, table string, now []Row, keys []string) error {
	was, err := ReadTable[Row](c.edition, table+".parquet")
	if err != nil {
		return err
	}
	known, err := c.edition.columnNames(table + ".parquet")
	if err != nil {
		return err
	}
	a, err := widened(was)
	if err != nil {
		return err
	}
	b, err := widened(now)
	if err != nil {
		return err
	}
	columns, err := columnsOf(b.Type().Elem())
	if err != nil {
		return err
	}
	t := keyedRows{table, columns, keys}
	there, met := map[string][]int{}, make([]bool, a.Len()) // rows alike in all keys are told apart by their order
	for i := range a.Len() {
		key := t.key(a.Index(i))
		there[key] = append(there[key], i)
	}
	for i := range b.Len() {
		row := b.Index(i)
		key := t.key(row)
		if len(there[key]) == 0 {
			c.found = append(c.found, Change{Table: table, Keys: t.keysOf(row), Now: "a row"})
			continue
		}
		old := there[key][0]
		there[key], met[old] = there[key][1:], true
		c.row(t, known, a.Index(old), row)
	}
	for i := range met {
		if !met[i] {
			c.found = append(c.found, Change{Table: table, Keys: t.keysOf(a.Index(i)), Was: "a row"})
		}
	}
	return nil
}

// keyedRows are the rows of a table, and the columns that say which is which.
type keyedRows struct {
	table   string
	columns []column
	keys    []string
}

func (t keyedRows) key(row reflect.Value) string {
	keys := t.keysOf(row)
	words := make([]string, len(t.keys))
	for i, k := range t.keys {
		words[i] = fmt.Sprintf("%q", keys[k])
	}
	return strings.Join(words, " ")
}

func (t keyedRows) keysOf(row reflect.Value) map[string]string {
	out := map[string]string{}
	for i, c := range t.columns {
		if v := held(row.Field(i)); v != nil && slices.Contains(t.keys, c.name) {
			out[c.name] = fmt.Sprint(v)
		}
	}
	return out
}

// row compares two rows that are of one thing.
func (c *changes) row(t keyedRows, known []string, was, now reflect.Value) {
	for i, col := range t.columns {
		// Where the frames lie is no figure.
		if !slices.Contains(known, col.name) || slices.Contains(t.keys, col.name) || col.name == "frames_edition" {
			continue
		}
		c.values++
		a, b := held(was.Field(i)), held(now.Field(i))
		x, isX := a.(float64)
		y, isY := b.(float64)
		same := a == b
		if isX && isY {
			same = math.Float64bits(x) == math.Float64bits(y) || c.tolerance > 0 && math.Abs(x-y) <= c.tolerance*max(math.Abs(x), math.Abs(y))
		}
		if !same {
			c.found = append(c.found, Change{t.table, t.keysOf(now), col.name, a, b, slices.Contains(verdictColumns, col.name)})
		}
	}
}

// held is what a field holds, nil for null.
func held(f reflect.Value) any {
	if f.Kind() == reflect.Pointer {
		if f.IsNil() {
			return nil
		}
		f = f.Elem()
	}
	return f.Interface()
}

// columnNames are the columns of a table as the edition has it.
func (e Edition) columnNames(table string) (names []string, err error) {
	content, err := e.File(table)
	if err != nil {
		return nil, err
	}
	footer, _, err := readFooter(content)
	if err != nil {
		return nil, fmt.Errorf("%w: %s/%s: %w", ErrDamaged, e.Dir, table, err)
	}
	for _, s := range footer.Schema[min(1, len(footer.Schema)):] {
		names = append(names, s.Name)
	}
	return names, nil
}

// Name says of what the value is: "frame_ms_p99 of heron_x stock fjord plain uhd 2".
func (c Change) Name() string {
	var words []string
	for _, k := range keyColumns {
		if w := c.Keys[k]; w != "" {
			words = append(words, w)
		}
	}
	return cmp.Or(c.Column, "the row") + " of " + strings.Join(words, " ")
}

// Relative is by how much a number changed, in parts of the larger; 1 for what is no number, or was absent.
func (c Change) Relative() float64 {
	x, isX := c.Was.(float64)
	y, isY := c.Now.(float64)
	if !isX || !isY {
		return 1
	}
	return math.Abs(x-y) / cmp.Or(max(math.Abs(x), math.Abs(y)), 1)
}

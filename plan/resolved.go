package plan

import (
	"bytes"
	"cmp"
	"encoding/json"
	"slices"
)

// resolved is the plan as one JSON document, from which an edition's id follows. It holds exactly what was written and nothing
// that has a default: blocks by kind and label, arguments by name. Values are in one form each: durations in seconds ("90s"),
// percents without needless digits, times in UTC, let and functions worked out, references as the names they stand for
// ("heron_x.stock"; a whole card as all its modes). Keys and lists of references are sorted, and so are blocks without a label
// by what they say. So comments, blanks, the order and number of files, the order of blocks and the use of let do not show, and
// whatever changes the meaning does. Order of declaration counts for presentation only and is not part of it.
func (l *loader) resolved() []byte {
	sortLists(l.written)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(l.written); err != nil {
		// Only strings, finite numbers, booleans, lists and maps are ever recorded.
		return nil
	}
	return b.Bytes()
}

// sortLists orders the unlabelled blocks by their own JSON. Lists of names are sorted already, and sorting them again is harmless.
func sortLists(m map[string]any) {
	for _, v := range m {
		switch v := v.(type) {
		case map[string]any:
			sortLists(v)
		case []any:
			for _, e := range v {
				if inner, ok := e.(map[string]any); ok {
					sortLists(inner)
				}
			}
			if len(v) > 0 {
				if _, blocks := v[0].(map[string]any); blocks {
					slices.SortFunc(v, func(a, b any) int { return cmp.Compare(asJSON(a), asJSON(b)) })
				}
			}
		}
	}
}

func asJSON(v any) string {
	b, _ := json.Marshal(v)
	return string(b)
}

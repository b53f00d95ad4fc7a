// Package glossary is the one form in which every package says what its figures and words mean, and how an entry is found by the
// name a reader remembers. It knows no figure itself: an entry stands beside the code that works the figure out or gives the word,
// so that the two are changed together. A page of definitions written by hand was rejected, since nothing would fail when it and
// the program part ways.
package glossary

import (
	"slices"
	"strings"
	"unicode"

	"github.com/agext/levenshtein"
)

// Group is a heading of the list of entries.
type Group string

// The groups, in the order of the list.
const (
	PassFigure Group = "Figures of a pass"
	Statistic  Group = "Over passes, between cells, over games"
	Bench      Group = "Bench measurements, prices and facts of a card"
	Verdict    Group = "Verdicts on a difference"
	Claim      Group = "Verdicts on a claim"
	State      Group = "States of a cell"
	Against    Group = "What stands against a pass or a cell"
	Flag       Group = "What must be known beside a figure"
	Status     Group = "Whether a pass counts"
	Back       Group = "Looking back over an archive"
)

// Groups lists all groups in order.
var Groups = []Group{PassFigure, Statistic, Bench, Verdict, Claim, State, Against, Flag, Status, Back}

// IsNumber reports whether entries of the group are, or rest on, a number with a unit and a direction.
func (g Group) IsNumber() bool { return g == PassFigure || g == Statistic || g == Bench }

// Entry is all there is to say of a figure or a word, save for its example, which is worked out from the demo review. Every part
// must be there, but Title, Also and Parameters; Better and Averaged are for numbers.
type Entry struct {
	Name       string   // as the archive and --json have it
	Title      string   // as screens have it, where that is another
	Also       []string // other names it may be asked by: columns that rest on it, words of the trade
	Group      Group
	Means      string   // in plain words; the first sentence, up to 70 characters, stands in the list
	Say        string   // what may be said with it on camera
	Formula    string   // of a word: when it is given
	Unit       string   // of a word: what it is a property of
	Better     string   // higher, lower, or why neither
	Averaged   string   // how passes become a cell's figure
	Source     string   // author and year, or the section of the definitions
	Parameters []string // attributes of the plan that it depends on
}

// Gist is the first sentence of what the entry means, without its stop.
func (e Entry) Gist() string {
	first, _, _ := strings.Cut(e.Means, ". ")
	return strings.TrimSuffix(first, ".")
}

// Shown is the name as screens have it.
func (e Entry) Shown() string {
	if e.Title != "" {
		return e.Title
	}
	return strings.ReplaceAll(e.Name, "_", " ")
}

// Lacks names the parts of an entry that are missing.
func (e Entry) Lacks() (parts []string) {
	for _, p := range []struct {
		name, text string
		needed     bool
	}{
		{"name", e.Name, true}, {"group", string(e.Group), true}, {"meaning", e.Means, true}, {"what may be said", e.Say, true},
		{"formula", e.Formula, true}, {"unit", e.Unit, true}, {"better direction", e.Better, e.Group.IsNumber()},
		{"averaging", e.Averaged, e.Group.IsNumber()}, {"source", e.Source, true},
	} {
		if p.needed && strings.TrimSpace(p.text) == "" {
			parts = append(parts, p.name)
		}
	}
	return parts
}

// Find returns the entries of that name, loosely: case, blanks, underscores and signs do not count. A name goes before a title, a
// title before the other names; several come back where a word of the trade has several definitions.
func Find(entries []Entry, name string) (found []Entry) {
	want := plain(name)
	if want == "" {
		return nil
	}
	for _, names := range []func(Entry) []string{
		func(e Entry) []string { return []string{e.Name} },
		func(e Entry) []string { return []string{e.Title} },
		func(e Entry) []string { return e.Also },
	} {
		for _, e := range entries {
			if slices.ContainsFunc(names(e), func(s string) bool { return plain(s) == want }) {
				found = append(found, e)
			}
		}
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

// Nearest returns the name that a misspelt one was most likely meant for, "" if none is near.
func Nearest(entries []Entry, name string) (best string) {
	want := plain(name)
	limit := min(3, len([]rune(want))/3)
	at := limit + 1
	for _, e := range entries {
		for _, s := range slices.Concat([]string{e.Name, e.Title}, e.Also) {
			if d := levenshtein.Distance(plain(s), want, nil); s != "" && d < at {
				best, at = s, d
			}
		}
	}
	return best
}

// plain is a name without what does not tell names apart.
func plain(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), r == '_', r == '-', r == '–', r == '·', r == ',', r == '%':
			return -1
		}
		return unicode.ToLower(r)
	}, name)
}

package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/rigslate/rigslate/plan/discreet"
)

// checkGiveaways warns of texts that hold a part of a withheld name, which nothing hides: "the Heron" of a card that is called Heron X.
func (l *loader) checkGiveaways() {
	veil := l.plan.Discretion().At(l.now)
	if veil == nil {
		return
	}
	said := textsOf(l.written, nil)
	for _, c := range l.plan.Cards {
		if !l.now.Before(c.Embargo) {
			continue
		}
		for _, part := range telltales(append([]string{c.Title}, c.KnownAs...)) {
			alone := (&discreet.Terms{Cards: []discreet.Card{{Label: part, Until: l.now.Add(time.Hour)}}}).At(l.now)
			i := slices.IndexFunc(said, func(s string) bool { return alone.Hides(veil.String(s)) })
			if i >= 0 {
				l.warningAt(c.Place, "Text may give a name away", fmt.Sprintf("%s holds %s, a part of the names of card %s, which is withheld.",
					quote(said[i]), quote(part), quote(c.Name)), fmt.Sprintf("Add %s to known_as of the card, or write it otherwise.", quote(part)))
			}
		}
	}
}

// telltales are the words of names that tell: those with a capital or a digit, of three characters or more.
func telltales(names []string) (words []string) {
	for _, name := range names {
		parts := strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		for _, w := range parts {
			tells := strings.ContainsFunc(w, func(r rune) bool { return unicode.IsUpper(r) || unicode.IsDigit(r) })
			if tells && len([]rune(w)) >= 3 && !slices.Contains(words, w) {
				words = append(words, w)
			}
		}
	}
	return words
}

// textsOf lists names and texts of what is written, sorted by their keys; private ones, which nothing shows, are not among them.
func textsOf(v any, out []string) []string {
	switch v := v.(type) {
	case string:
		return append(out, v)
	case []any:
		for _, e := range v {
			out = textsOf(e, out)
		}
	case map[string]any:
		var keys []string
		for k := range v {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			if k != "private" {
				out = textsOf(v[k], append(out, k))
			}
		}
	}
	return out
}

// Package discreet keeps names and private words from whoever must not read them yet, or ever. Terms say what that is; a Veil is what
// holds of them at one time, and rewrites text; Copy rewrites every string of a value at once, whatever its type.
//
// There is one boundary for each way out: a review before it is shown, a report's source before any page, chart or table is made of it.
// Rewriting what the writers have written was rejected, since a picture cannot be rewritten and a column would no longer fit; a rule in each
// writer was rejected, since the next writer would lack it.
package discreet

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/rigslate/rigslate/plan/finding"
)

// Terms are what a review withholds, as the plan states it. They hold the names themselves: they stay at the bench and in the archive.
type Terms struct {
	Cards   []Card   `json:"cards"`             // all of the plan, since those that are open keep their names
	Private []string `json:"private,omitempty"` // withheld whatever the time
	Keep    []string `json:"keep,omitempty"`    // the program's own words, which are nobody's name
}

// Card is one card with all that tells which it is.
type Card struct {
	Label    string    `json:"label"`
	Codename string    `json:"codename,omitempty"`
	Until    time.Time `json:"until,omitzero"`  // zero: not withheld
	Names    []string  `json:"names,omitempty"` // beside the label: the codename stands for them
	Tells    []Tell    `json:"tells,omitempty"` // struck unless an open card has the same
}

// Tell is a text by which those who know could tell the card: its maker, its driver, where it came from.
type Tell struct {
	What string `json:"what"`
	Text string `json:"text"`
}

// Add enters a tell that is not among the card's yet.
func (c *Card) Add(what, text string) {
	if t := (Tell{what, text}); text != "" && !slices.Contains(c.Tells, t) {
		c.Tells = append(c.Tells, t)
	}
}

// Withheld reports whether the card goes by its codename at a time.
func (c Card) Withheld(now time.Time) bool { return now.Before(c.Until) }

// Merge is what several reviews withhold together: what one of them does, nothing of them all says.
func Merge(all ...*Terms) *Terms {
	m := &Terms{}
	for _, t := range all {
		if t != nil {
			m.Cards, m.Private, m.Keep = append(m.Cards, t.Cards...), append(m.Private, t.Private...), append(m.Keep, t.Keep...)
		}
	}
	return m
}

// Withheld are the cards that go by their codenames at a time, in plan order.
func (t *Terms) Withheld(now time.Time) (cards []Card) {
	if t == nil {
		return nil
	}
	for _, c := range t.Cards {
		if c.Withheld(now) {
			cards = append(cards, c)
		}
	}
	return cards
}

// Label is the label of the card that goes by a name at a time.
func (t *Terms) Label(name string, now time.Time) string {
	for _, c := range t.Cards {
		if c.Codename == name && c.Withheld(now) {
			return c.Label
		}
	}
	return name
}

// Struck stands for what nothing else stands for.
const Struck = "withheld"

// shortest is how long a private text must be to be looked for elsewhere. Shorter ones are parts of too many words; they stay out all the
// same, since nothing reads a private block.
const shortest = 4

// Veil rewrites text. The nil Veil lets everything pass.
type Veil struct {
	words  []word // longest first, so that a name within a name is not mistaken for it
	begins map[rune][]int
}

// word is what is looked for, as folded runes, and what is put in its place.
type word struct {
	runes []rune
	put   string
	keep  bool
	alone bool // only as the whole of a text, in quotes, or behind the word "driver": it could be any number or unit elsewhere
}

// At is what the terms withhold at a time, nil for nothing.
func (t *Terms) At(now time.Time) *Veil {
	if t == nil {
		return nil
	}
	put := map[string]word{}
	for _, s := range t.Private {
		if long(s) {
			put[s] = word{put: Struck}
		}
	}
	open := t.open(now)
	for _, c := range t.Cards {
		for _, x := range c.Tells {
			if _, seen := put[x.Text]; !seen && !open[x.Text] && c.Withheld(now) {
				put[x.Text] = word{put: x.What + " of " + c.Codename, alone: !telling(x.Text)}
			}
		}
	}
	for _, c := range t.Cards {
		for _, s := range append([]string{c.Label}, c.Names...) {
			if c.Withheld(now) {
				put[s] = word{put: c.Codename}
			}
		}
	}
	if len(put) == 0 {
		return nil
	}
	v := &Veil{begins: map[rune][]int{}}
	for s, w := range put {
		for _, form := range forms(s) {
			v.add(form, w)
		}
	}
	for _, s := range t.Keep {
		v.add(s, word{keep: true})
	}
	v.order()
	return v
}

// open are the texts that tell of cards which are not withheld.
func (t *Terms) open(now time.Time) map[string]bool {
	open := map[string]bool{}
	for _, c := range t.Cards {
		if c.Withheld(now) {
			continue
		}
		for _, x := range c.Tells {
			open[x.Text] = true
		}
	}
	return open
}

func (v *Veil) add(s string, w word) {
	if strings.TrimSpace(s) != "" {
		w.runes = folded(s)
		v.words = append(v.words, w)
	}
}

// order sorts the words, and notes which of them begin with a rune.
func (v *Veil) order() {
	slices.SortFunc(v.words, func(a, b word) int {
		if n := len(b.runes) - len(a.runes); n != 0 {
			return n
		}
		if n := slices.Compare(a.runes, b.runes); n != 0 {
			return n
		}
		return strings.Compare(a.put, b.put)
	})
	for i, w := range v.words {
		v.begins[w.runes[0]] = append(v.begins[w.runes[0]], i)
	}
}

// long reports whether a private text is long enough to be looked for: four characters with a letter among them, or six.
func long(s string) bool {
	n := len([]rune(s))
	return n >= shortest && strings.ContainsFunc(s, unicode.IsLetter) || n >= shortest+2
}

// telling reports whether a text is enough of a word to be looked for within others.
func telling(s string) bool {
	return len([]rune(s)) >= shortest-1 && strings.ContainsFunc(s, unicode.IsLetter)
}

// forms are the ways in which messages and documents write a text: as it is, without what separates its parts, on one line, in quotes, and cut.
func forms(s string) (out []string) {
	all := []string{s, strings.Join(strings.Fields(s), " "), unquoted(s), finding.Printable(s)}
	if text, err := json.Marshal(s); err == nil {
		all = append(all, string(text[1:len(text)-1]))
	}
	if joined := strings.Map(func(r rune) rune {
		if separates(r) {
			return -1
		}
		return r
	}, s); len([]rune(joined)) >= shortest {
		all = append(all, joined)
	}
	const cut = 60 // where messages about the plan end a text
	if r := []rune(s); len(r) > cut {
		all = append(all, string(r[:cut]), unquoted(string(r[:cut])))
	}
	for _, f := range all {
		if !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	return out
}

func unquoted(s string) string {
	q := strconv.Quote(s)
	return q[1 : len(q)-1]
}

// String rewrites one text.
func (v *Veil) String(s string) string {
	if v == nil || s == "" {
		return s
	}
	text := []rune(s)
	fold := folded(s)
	if len(text) != len(fold) {
		return s // cannot be: folding goes rune by rune
	}
	var out strings.Builder
	done := 0
	for at := 0; at < len(fold); at++ {
		w, ok := v.find(fold, at)
		if !ok {
			continue
		}
		if !w.keep {
			out.WriteString(string(text[done:at]))
			out.WriteString(w.put)
			done = at + len(w.runes)
		}
		at += len(w.runes) - 1
	}
	if done == 0 {
		return s
	}
	out.WriteString(string(text[done:]))
	return out.String()
}

// find is the longest word that stands at a place, as a word of its own.
func (v *Veil) find(text []rune, at int) (word, bool) {
	for _, i := range v.begins[text[at]] {
		w := v.words[i]
		end := at + len(w.runes)
		if end > len(text) || !slices.Equal(text[at:end], w.runes) {
			continue
		}
		before := at > 0 && wordy(text[at-1]) && wordy(w.runes[0])
		after := end < len(text) && wordy(text[end]) && wordy(w.runes[len(w.runes)-1])
		if !before && !after && (!w.alone || alone(text, at, end)) {
			return w, true
		}
	}
	return word{}, false
}

func alone(text []rune, at, end int) bool {
	before := string(text[:at])
	return at == 0 && end == len(text) || strings.HasSuffix(before, `"`) || strings.HasSuffix(before, "driver ")
}

func wordy(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// separates reports whether a rune parts the words of a name. All such are alike: "heron_x", "Heron-X" and "heron x" are one name.
func separates(r rune) bool { return r == '_' || r == '-' || r == '\u00a0' || r == ' ' }

// folded is a text as it is compared.
func folded(s string) []rune {
	out := []rune(s)
	for i, r := range out {
		if separates(r) {
			out[i] = ' '
		} else {
			out[i] = unicode.ToLower(unicode.ToUpper(r))
		}
	}
	return out
}

// Error is an error that says what may be said and is what it was; err itself where that says nothing else.
func (v *Veil) Error(err error) error {
	if err == nil || !v.Hides(err.Error()) {
		return err
	}
	return veiled{v, err}
}

type veiled struct {
	veil *Veil
	err  error
}

func (e veiled) Error() string { return e.veil.String(e.err.Error()) }
func (e veiled) Unwrap() error { return e.err }

// Hides reports whether a text says what is withheld.
func (v *Veil) Hides(s string) bool { return v.String(s) != s }

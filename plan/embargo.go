package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/rigslate/rigslate/plan/discreet"
)

// Open is what a card's embargo says where the review has one and this card is known already.
const Open = "none"

// discretion reads by what a card goes before its embargo. Where it states none itself the review's holds, so that a card which nobody
// thought of is withheld and not shown.
func (l *loader) discretion(b *block, c *Card) {
	c.Embargo, c.Private = l.plan.Review.Embargo, b.private("card")
	if e, ok := b.by["embargo"]; ok {
		c.Embargo = time.Time{}
		if v, ok := l.value(e.node); ok && describe(v) == "the text "+quote(Open) {
			b.out["embargo"] = Open
		} else if ok {
			c.Embargo = b.embargo()
		}
	}
	c.KnownAs = b.texts("known_as")
	if c.Codename = b.text("codename"); c.Codename != "" && !l.label(c.Codename, b.rangeOf("codename")) {
		c.Codename = ""
		return
	}
	switch {
	case c.Codename == "" && !c.Embargo.IsZero():
		l.error(b.rangeOf("embargo"), "Codename is missing", fmt.Sprintf("%s is withheld until %s, and nothing stands for it till then.", b.what,
			c.Embargo.Format(time.RFC3339)), fmt.Sprintf(`Add codename = "…" to the card, or embargo = %q if it is known already.`, Open))
	case c.Codename != "" && c.Embargo.IsZero():
		l.warning(b.rangeOf("codename"), "Codename is not used", b.what+" is not withheld: neither it nor the review has an embargo.",
			`Add embargo = "2027-03-04T14:00:00Z", or leave the codename out.`)
	case c.Codename != "":
		l.checkCodename(b, *c)
	}
	if name := c.Name; slices.Contains(programWords(), name) && !c.Embargo.IsZero() {
		l.error(b.nameAt, "Name cannot be withheld", fmt.Sprintf("%s is a word of this program, which stands in every table.", quote(name)), "Give the card another label.")
	}
}

// checkCodename looks whether a codename stands for this card alone and does not say which.
func (l *loader) checkCodename(b *block, c Card) {
	at := b.rangeOf("codename")
	for _, o := range l.plan.Cards {
		if o.Codename == c.Codename && o.Name != c.Name {
			l.error(at, "Codename used twice", fmt.Sprintf("It is that of card %s too.", quote(o.Name)), "Give one of them another.")
			return
		}
	}
	if c.Codename != c.Name && slices.Contains(l.scope.names["card"], c.Codename) {
		l.error(at, "Codename is taken", fmt.Sprintf("A card of the plan has the label %s.", quote(c.Codename)), "Choose another.")
		return
	}
	for _, name := range slices.Concat([]string{c.Name, c.Title, c.Vendor}, c.KnownAs) {
		if part := givenAway(c.Codename, name); part != "" {
			l.error(at, "Codename gives the name away", fmt.Sprintf("%s shares %s with %s.", quote(c.Codename), quote(part), quote(name)),
				"Choose a word that has nothing to do with the card.")
			return
		}
	}
}

// givenAway is what a codename shares with a name, "" for nothing: the whole of one, or a word that is not a short common one.
func givenAway(codename, name string) string {
	plain := func(s string) string { return strings.Join(wordsOf(s), "") }
	for _, pair := range [][2]string{{codename, name}, {name, codename}} {
		within := plain(pair[0])
		for _, w := range append(wordsOf(pair[1]), plain(pair[1])) {
			telling := len([]rune(w)) >= 4 || len(w) >= 3 && strings.ContainsFunc(w, unicode.IsDigit) || w == plain(pair[1])
			if w != "" && telling && strings.Contains(within, w) {
				return w
			}
		}
	}
	return ""
}

func wordsOf(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// embargo reads until when something is withheld. A day alone is refused: it ends at another hour in each zone, and some of them are too early.
func (f *fields) embargo() time.Time {
	t := f.date("embargo")
	if s, _ := f.out["embargo"].(string); s != "" {
		if written, _ := f.form("embargo", "Not a date", errDate); !strings.Contains(written, "T") {
			f.l.error(f.rangeOf("embargo"), "Embargo has no hour", fmt.Sprintf("%s is %s, a day without an hour and a zone.", f.of("embargo"), quote(written)),
				fmt.Sprintf("Write the hour with its zone, such as %q.", written+"T14:00:00Z"))
			return time.Time{}
		}
	}
	return t
}

// private reads what never leaves the bench.
func (b *block) private(path string) (ps []Pair) {
	b.members(path, "private", func(m *block) { ps = m.ownPairs() })
	return ps
}

// Discretion is what the review withholds, nil for nothing.
func (p *Plan) Discretion() *discreet.Terms {
	t := &discreet.Terms{Keep: programWords()}
	withheld := false
	add := func(ps []Pair) {
		for _, x := range ps {
			t.Private = append(t.Private, x.Value)
		}
	}
	add(p.Review.Private)
	for _, r := range p.Rigs {
		add(r.Private)
	}
	for _, c := range p.Cards {
		add(c.Private)
		withheld = withheld || !c.Embargo.IsZero()
		card := discreet.Card{Label: c.Name, Codename: c.Codename, Until: c.Embargo, Names: append([]string{c.Title}, c.KnownAs...)}
		card.Add("maker", c.Vendor)
		card.Add("driver", c.Driver)
		card.Add("origin", c.Sample.Origin)
		t.Cards = append(t.Cards, card)
	}
	if !withheld && len(t.Private) == 0 {
		return nil
	}
	return t
}

// programWords are names of figures and of what goes without a name, which a card's name may be a part of.
func programWords() (out []string) {
	out = slices.Concat(Metrics, ValueMetrics)
	for _, m := range SoakMetrics {
		out = append(out, m.Name)
	}
	for _, name := range implied {
		out = append(out, name)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

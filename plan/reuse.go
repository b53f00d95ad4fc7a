package plan

import (
	"fmt"
	"regexp"
	"slices"
)

// What a reuse may put up with. Everything else makes another test of it, which nothing reuses.
const (
	DespiteDriver   = "driver"
	DespiteOS       = "os"
	DespiteFirmware = "firmware"
	DespiteSample   = "sample"
	DespiteUnknown  = "not recorded" // a circumstance that one side or neither recorded
)

// Despites lists them.
var Despites = []string{DespiteDriver, DespiteOS, DespiteFirmware, DespiteSample, DespiteUnknown}

var editionForm = regexp.MustCompile(`^e[0-9a-f]{15}$`)

func (l *loader) reuse(b *block) {
	r := Reuse{Name: b.name, Review: b.text("review"), Edition: b.text("edition"), Modes: b.modes("cards"), Despite: b.words("despite", Despites), Place: b.at()}
	r.MaxAge, _ = b.age("max_age")
	switch {
	case r.Review == "":
	case !labelForm.MatchString(r.Review):
		l.error(b.rangeOf("review"), "Not the name of a review", fmt.Sprintf("%s is %s.", b.of("review"), quote(r.Review)),
			"Write the label of that review's block, as `rigslate history` lists it.")
	case r.Review == l.plan.Review.Name:
		l.error(b.rangeOf("review"), "Review reuses its own passes", fmt.Sprintf("%s is this review.", quote(r.Review)),
			"Its own captures count anyway. Name an earlier review of the archive.")
	}
	if r.Edition != "" && !editionForm.MatchString(r.Edition) {
		l.error(b.rangeOf("edition"), "Not an edition", fmt.Sprintf("%s is %s.", b.of("edition"), quote(r.Edition)),
			`Write an edition's id, such as "e0123456789abcde", or leave it out for the newest.`)
	}
	for _, m := range r.Modes {
		if l.cellsKnown && !l.inMatrix(m, nil, nil, nil) {
			l.error(b.rangeOf("cards"), "Reuse is not in the matrix", fmt.Sprintf("No cell asks for %s.", m), "Name a mode that the matrix asks for, or add it there.")
		}
		for _, other := range l.plan.Reuses {
			if slices.Contains(other.Modes, m) {
				l.error(b.rangeOf("cards"), "Reused from two places", fmt.Sprintf("%s is reused by %s at %s.", m, quote(other.Name), other.Place),
					"Name it in one of the two.")
			}
		}
	}
	if !b.again {
		l.plan.Reuses = append(l.plan.Reuses, r)
	}
}

// words reads a list of some of a few words; a word alone is a list of one.
func (b *block) words(key string, known []string) []string {
	ss := b.texts(key)
	for _, s := range ss {
		if !slices.Contains(known, s) {
			b.l.error(b.rangeOf(key), "Unknown choice", fmt.Sprintf("%s is %s.", b.of(key), quote(s)), oneOf(quoted(known)))
		}
	}
	return slices.Compact(slices.Sorted(slices.Values(ss)))
}

// ReuseOf returns the block that lends to a card's mode; ok is false if none does.
func (p *Plan) ReuseOf(m Mode) (r Reuse, ok bool) {
	for _, r := range p.Reuses {
		if slices.Contains(r.Modes, m) {
			return r, true
		}
	}
	return Reuse{}, false
}

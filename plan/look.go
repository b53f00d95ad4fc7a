package plan

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/zclconf/go-cty/cty"

	"github.com/rigslate/rigslate/plan/finding"
)

// Look is what the reviewer chooses for all pictures and pages. It changes no figure.
type Look struct {
	Fonts  []string // files below the plan's folder, with forward slashes: the regular weight, and the bold one where there is another
	Accent string   // #rrggbb in lower case, "" if not stated
	Footer string
	Size   float64 // of text on charts, in percent of the least that can be read; 100 unless stated

	FontsPlace, AccentPlace, FooterPlace finding.Place
}

const (
	leastSize, mostSize = 100, 150
	longestFooter       = 60 // characters
)

var (
	colourForm = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)
	fontForms  = []string{".ttf", ".otf"}
)

func (l *loader) look(b *block) {
	look := Look{Size: leastSize, FontsPlace: b.place("fonts"), AccentPlace: b.place("accent"), FooterPlace: b.place("footer")}
	if s, ok := b.raw("accent"); ok {
		if colourForm.MatchString(s) {
			look.Accent = strings.ToLower(s)
			b.out["accent"] = look.Accent
		} else {
			l.error(b.rangeOf("accent"), "Not a colour", fmt.Sprintf("%s is %s.", b.of("accent"), quote(s)), "Write # and six hexadecimal digits, such as \"#1c7a4d\".")
		}
	}
	look.Footer = b.text("footer")
	if n := len([]rune(look.Footer)); n > longestFooter {
		l.error(b.rangeOf("footer"), "Text is too long", fmt.Sprintf("%s has %d characters.", b.of("footer"), n),
			fmt.Sprintf("It stands on one line of every chart: keep it to %d.", longestFooter))
	}
	if p, ok := b.percent("size", mostSize); ok {
		look.Size = p
		if p < leastSize {
			l.error(b.rangeOf("size"), "Number out of range", fmt.Sprintf("%s is %s.", b.of("size"), formatPercent(p)),
				"Write 100% or more: text of less than 2.2 % of a picture's height cannot be read on a phone.")
		}
	}
	look.Fonts = b.fonts()
	l.plan.Look = &look
}

// fonts reads the list of font files; one alone needs no list.
func (b *block) fonts() (fonts []string) {
	e, written := b.by["fonts"]
	if !written {
		return nil
	}
	nodes, ok := b.l.elements(e.node)
	if !ok {
		return nil
	}
	switch {
	case len(nodes) == 0:
		b.l.error(e.at, "List is empty", b.of("fonts")+" names nothing.", "Name a font file, or leave it out for the built-in fonts.")
		return nil
	case len(nodes) > 2:
		b.l.error(e.at, "Too many fonts", fmt.Sprintf("%s names %d files.", b.of("fonts"), len(nodes)),
			"Charts have two weights: name the regular one, then the bold one.")
		return nil
	}
	out := []any{}
	for _, n := range nodes {
		v, ok := b.l.typed(n, b.of("fonts"), cty.String, "Not text", "Write the name of a font file in quotes.")
		if !ok {
			return nil
		}
		file, why := v.AsString(), badPath(v.AsString())
		if why == "" && !slices.Contains(fontForms, strings.ToLower(path.Ext(file))) {
			why = quote(file) + " is no font."
		}
		if why != "" {
			b.l.error(n.at, "Path is refused", why, "Write a .ttf or .otf file relative to the plan's folder, with /.")
			return nil
		}
		fonts, out = append(fonts, path.Clean(file)), append(out, path.Clean(file))
	}
	b.out["fonts"] = out
	return fonts
}

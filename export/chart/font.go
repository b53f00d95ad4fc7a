package chart

import (
	"crypto/sha256"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"unicode"

	shapable "github.com/go-text/typesetting/font"
	"github.com/mattn/go-runewidth"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Fonts are two weights of one typeface. The built-in ones are the Go fonts (Bigelow & Holmes; BSD licence, embedded from
// golang.org/x/image): made for telling 0 from O and 1 from l (DIN 1450), and with figures of one width, so columns of numbers stand.
type Fonts struct {
	family        string
	regular, bold *sfnt.Font
	sum           [sha256.Size]byte // of the files
	shapes        []*shapable.Face  // the same files, for text that needs shaping: regular, bold
	spare         *Fonts            // the built-in ones, for characters that these lack; nil for those themselves
	lock          sync.Mutex        // sfnt's buffer, the faces and the widths are shared
	buf           sfnt.Buffer
	widths        map[glyphKey]float64
}

// everywhere measures characters alike on every machine; the package's own condition follows the locale.
var everywhere = &runewidth.Condition{StrictEmojiNeutral: true}

type glyphKey struct {
	bold bool
	r    rune
}

// emUnits is the size at which glyphs are measured; large, so that rounding to 1/64 does not matter.
const emUnits = 2048

var builtIn = sync.OnceValues(func() (*Fonts, error) { return parseFonts("Go", goregular.TTF, gobold.TTF) })

// ParseFonts reads two weights of a typeface from TrueType or OpenType files; family is its name for viewers that have it, "" for the one
// that the regular weight bears.
func ParseFonts(family string, regular, bold []byte) (*Fonts, error) {
	f, err := parseFonts(family, regular, bold)
	if err != nil {
		return nil, err
	}
	if f.spare, err = builtIn(); err != nil {
		return nil, err
	}
	for c := '!'; c <= '~'; c++ { // a broken outline is told of here, and not by the first chart that needs it
		for _, bold := range []bool{false, true} {
			if face, g := f.glyph(c, bold, &f.buf); g != 0 {
				if _, err := face.LoadGlyph(&f.buf, g, fixed.I(emUnits), nil); err != nil {
					return nil, fmt.Errorf("font %s: the outline of %q: %w", family, c, err)
				}
			}
		}
	}
	return f, nil
}

func parseFonts(family string, regular, bold []byte) (*Fonts, error) {
	r, err := sfnt.Parse(regular)
	if err != nil {
		return nil, fmt.Errorf("font %s, regular weight: %w (a TrueType or OpenType file is expected)", family, err)
	}
	b, err := sfnt.Parse(bold)
	if err != nil {
		return nil, fmt.Errorf("font %s, bold weight: %w (a TrueType or OpenType file is expected)", family, err)
	}
	shapes, err := parseShapes(regular, bold)
	if err != nil {
		return nil, fmt.Errorf("font %s: %w (a TrueType or OpenType file is expected)", family, err)
	}
	f := &Fonts{shapes: shapes, family: familyName(family), regular: r, bold: b, sum: sha256.Sum256(slices.Concat(regular, bold)), widths: map[glyphKey]float64{}}
	for _, id := range []sfnt.NameID{sfnt.NameIDTypographicFamily, sfnt.NameIDFamily} {
		if f.family == "" {
			name, _ := r.Name(&f.buf, id) // a font without a name is drawn all the same
			f.family = familyName(name)
		}
	}
	return f, nil
}

// familyName keeps of a name what needs no quoting in a style: it is from a file that anybody may have made.
func familyName(name string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, clean(name)))
}

// fonts gives the look's fonts, or the built-in ones. Those are part of the program: that they can be read is tested.
func (l Look) fonts() *Fonts {
	if l.Fonts != nil {
		return l.Fonts
	}
	f, err := builtIn()
	if err != nil {
		panic(err)
	}
	return f
}

// The height of a line of text over and under its baseline, in ems: what the Go fonts state, and more than most text fonts reach.
const (
	ascent  = 0.945
	descent = 0.211
)

// Width is the length of a text in ems of the weight.
func (f *Fonts) Width(s string, bold bool) float64 {
	f.lock.Lock()
	defer f.lock.Unlock()
	if isComplex(s) {
		_, w := f.lay(s, bold)
		return w
	}
	var w float64
	for _, r := range s {
		w += f.advance(r, bold)
	}
	return w
}

// glyph is what draws a character: of these fonts, or of the built-in ones where they have none. 0 is the empty box.
func (f *Fonts) glyph(r rune, bold bool, buf *sfnt.Buffer) (*sfnt.Font, sfnt.GlyphIndex) {
	face := f.face(bold)
	g, err := face.GlyphIndex(buf, r)
	if err == nil && g != 0 {
		return face, g
	}
	if f.spare != nil {
		if spare, g := f.spare.glyph(r, bold, buf); g != 0 {
			return spare, g
		}
	}
	return face, 0
}

// advance is the width of one character in ems. What the fonts lack is an em wide if it is wide on a terminal (an emoji, an ideograph), else
// as wide as letters are in the middle; marks that join the character before take no room.
func (f *Fonts) advance(r rune, bold bool) float64 {
	key := glyphKey{bold, r}
	if w, ok := f.widths[key]; ok {
		return w
	}
	w := 1.0
	face, g := f.glyph(r, bold, &f.buf)
	switch {
	case g != 0:
		if a, err := face.GlyphAdvance(&f.buf, g, fixed.I(emUnits), font.HintingNone); err == nil {
			w = float64(a) / 64 / emUnits
		}
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		w = 0
	case everywhere.RuneWidth(r) < 2:
		w = 0.6
	}
	f.widths[key] = w
	return w
}

func (f *Fonts) face(bold bool) *sfnt.Font {
	if bold {
		return f.bold
	}
	return f.regular
}

// Lacks lists the characters of a text for which neither these fonts nor the built-in ones have a glyph, each once: a PNG shows an empty box for
// them, an SVG what the viewer's machine has.
func (f *Fonts) Lacks(s string) []rune {
	return f.without(s, func(r rune) bool { _, g := f.glyph(r, false, &f.buf); return g == 0 })
}

// Borrows lists the characters of a text that are drawn with the built-in fonts, since these have none.
func (f *Fonts) Borrows(s string) []rune {
	return f.without(s, func(r rune) bool { face, g := f.glyph(r, false, &f.buf); return g != 0 && face != f.regular })
}

func (f *Fonts) without(s string, lacks func(rune) bool) []rune {
	f.lock.Lock()
	defer f.lock.Unlock()
	var out []rune
	seen := map[rune]bool{}
	for _, r := range clean(s) {
		if !seen[r] && lacks(r) && !unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
			out = append(out, r)
		}
		seen[r] = true
	}
	return out
}

// Lacks lists the characters of a text that the look's fonts do not have.
func (l Look) Lacks(s string) []rune { return l.fonts().Lacks(s) }

// clean makes one line of a text from outside: control characters, line breaks and what XML forbids become spaces, characters that turn
// the direction of the text around them are left out (a name must not reorder its neighbours).
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\u202f': // narrow no-break space: few fonts have it
			return '\u00a0'
		case r == '\u2011': // no-break hyphen, likewise
			return '-'
		case r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069, r == 0x200e, r == 0x200f, r == 0x061c, r == 0xfeff:
			return -1
		case unicode.IsControl(r), r == '\u2028', r == '\u2029', r == 0xfffe, r == 0xffff:
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
}

// fit shortens a text in its middle until it is at most so many ems wide: names of cards differ at their ends.
func (f *Fonts) fit(s string, bold bool, ems float64) string { return f.shorten(s, bold, ems, 0.5) }

// cut shortens a text at its end, as a sentence is: where it has parts between points, at one of those.
func (f *Fonts) cut(s string, bold bool, ems float64) string {
	for short := s; ; {
		if f.Width(short, bold) <= ems+1e-6 {
			return short
		}
		at := strings.LastIndex(short, " · ")
		if at < 0 {
			short = f.shorten(short, bold, ems, 1)
			if at := strings.LastIndexByte(short, ' '); at > len(short)/2 { // rather between words
				short = short[:at] + " …"
			}
			return short
		}
		short = short[:at]
	}
}

// reason shortens a state and its reason, "does not run: crash": the state alone where little of the reason would be left.
func (f *Fonts) reason(s string, ems float64) string {
	short := f.cut(s, false, ems)
	state, _, ok := strings.Cut(s, ": ")
	if short != s && ok && len(short) < len(state)+12 {
		return f.cut(state, false, ems)
	}
	return short
}

// shorten leaves out of a text what does not fit into so many ems; of what stays, the given share stands before the gap.
func (f *Fonts) shorten(s string, bold bool, ems, share float64) string {
	ems += 1e-6 // a text fits the column that was made for it
	if f.Width(s, bold) <= ems {
		return s
	}
	runes := []rune(s)
	upTo := make([]float64, len(runes)+1) // width of the first so many
	for i, r := range runes {
		upTo[i+1] = upTo[i] + f.Width(string(r), bold)
	}
	all, dots := upTo[len(runes)], f.Width("…", bold)
	for keep := len(runes) - 1; keep > 0; keep-- {
		head := int(math.Ceil(float64(keep) * share))
		tail := len(runes) - (keep - head)
		if upTo[head]+dots+all-upTo[tail] > ems {
			continue
		}
		short := strings.TrimRight(string(runes[:head]), " ") + "…" + strings.TrimLeft(string(runes[tail:]), " ")
		if !isComplex(s) || f.Width(short, bold) <= ems { // letters that join are not as wide as they are alone
			return short
		}
	}
	return "…"
}

// units stand on the line of their number.
var units = []string{"%", "s", "ms", "min", "h", "m", "K", "°C", "dB", "fps", "Hz", "MHz", "W", "rpm", "GB"}

// withUnits joins the words of a text that no line break may part.
func withUnits(words []string) (out []string) {
	for _, w := range words {
		n := len(out)
		if n > 0 && slices.Contains(units, strings.TrimRight(w, ".,;:)")) && strings.ContainsAny(out[n-1][len(out[n-1])-1:], "0123456789") {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

// wrap breaks a text at spaces into at most so many lines; what does not fit is shortened.
func (f *Fonts) wrap(s string, bold bool, ems float64, most int) []string {
	var lines []string
	ems += 1e-6
	words := withUnits(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }))
	for len(words) > 0 {
		n := 1
		for n < len(words) && f.Width(strings.Join(words[:n+1], " "), bold) <= ems {
			n++
		}
		if len(lines) == most-1 {
			n = len(words)
		}
		lines = append(lines, f.cut(strings.Join(words[:n], " "), bold, ems))
		words = words[n:]
	}
	return lines
}

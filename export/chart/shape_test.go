package chart

import (
	"io"
	"os"
	"slices"
	"testing"
)

// dejaVu is a font of Debian that has Hebrew and Arabic, with the forms of letters that join by the numbers that Unicode gives them.
func dejaVu(t *testing.T) *Fonts {
	t.Helper()
	const path = "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf"
	b, err := os.ReadFile(path)
	if err != nil {
		t.Skipf("%s is not here: install fonts-dejavu-core", path)
	}
	f, err := ParseFonts("", b, b)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Letters stand in the order that the Unicode Bidirectional Algorithm gives them in a line from left to right, and Arabic ones are joined: expected are the
// code points as they stand from the left, by rules W7, N1, I1 and L2 of Unicode Standard Annex 9 and, for Arabic, the presentation forms of chapter 9.2 of
// the standard (seen at a beginning, lam with alef at an end, meem alone, which is the letter itself), worked out by hand.
func TestLettersStandAsUnicodeSays(t *testing.T) {
	f := dejaVu(t)
	for s, want := range map[string]string{
		"Skua 12 GB":      "Skua 12 GB",
		"אבג":             "גבא",
		"Gannet אבג 12":   "Gannet 12 גבא",
		"אבג 12 דה, Skua": "הד 12 גבא, Skua",
		"Skua (אב)":       "Skua (בא)",
		"سلام":            "\u0645\uFEFC\uFEB3",
		"Skua سلام X":     "Skua \u0645\uFEFC\uFEB3 X",
	} {
		var got, expected []int
		laid, width := f.lay(s, false)
		for i, g := range laid {
			got = append(got, int(g.glyph))
			if i > 0 && g.X < laid[i-1].X {
				t.Errorf("%q: a glyph stands before the one at its left", s)
			}
		}
		for _, r := range want {
			g, err := f.regular.GlyphIndex(&f.buf, r)
			if err != nil || g == 0 {
				t.Fatalf("the font has no %U: %v", r, err)
			}
			expected = append(expected, int(g))
		}
		if !slices.Equal(got, expected) {
			t.Errorf("%q stands as glyphs %v, want %v", s, got, expected)
		}
		if w := f.Width(s, false); w != width {
			t.Errorf("%q is measured as %v ems and laid as %v", s, w, width)
		}
	}
}

// Names from the right are shortened within their room, and drawn.
func TestNamesFromTheRightKeepToTheirRoom(t *testing.T) {
	f := dejaVu(t)
	const name = "Skua بطاقة الرسومات الكبيرة 12 גיגה"
	for ems := 2.0; ems < f.Width(name, false)+1; ems += 0.7 {
		if short := f.fit(name, false, ems); f.Width(short, false) > ems+1e-5 {
			t.Errorf("%q is %v ems wide, of %v", short, f.Width(short, false), ems)
		}
	}
	c := Rails{Head: Head{Title: name}, Unit: "fps", Mark: "mean", Rails: []Rail{{Row: Row{ID: "a", Name: name}, Figure: Known(60)}, {Row: Row{ID: "b", Name: name + name}, Figure: Known(50)}}}
	p := c.Picture(Tall, Look{Fonts: f})
	checkLayout(t, p)
	if err := p.WritePNG(io.Discard, Clear, 270); err != nil {
		t.Error(err)
	}
}

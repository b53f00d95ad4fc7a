package chart

import (
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"
)

// Ink is the role of a colour; a theme says which colour it is.
type Ink int

// The roles. From InkHue on they are the hues of cards, by their place in the plan.
const (
	InkNone Ink = iota
	InkText
	InkSoft
	InkGrid
	InkBase // the baseline's line
	InkWarn
	InkHalo // around marks on a theme without a background
	InkAccent
	InkHue
)

// Theme is a set of colours.
type Theme int

// The themes. Clear has no background: it lies over footage, and a halo keeps it legible on any. Page takes its colours from the style of
// the page around it (PageStyle), light or dark as the reader has it; it is for SVG only.
const (
	Light Theme = iota
	Dark
	Clear
	Page
)

// String is the theme's name, as file names carry it.
func (t Theme) String() string { return [...]string{"light", "dark", "clear", "page"}[t] }

// shapesOfMarks is how many forms a mean mark has. With the hues they tell 28 cards apart.
const shapesOfMarks = 4

type palette struct {
	paper, text, soft, grid, base, warn string
	hues                                [7]string
}

// Hues are those of Okabe & Ito (2008, "Color Universal Design", jfly.uni-koeln.de/color, from memory) without black; on light paper
// each is darkened until it stands 3:1 or better against it (WCAG 2.2, success criterion 1.4.11), as little as keeps all of them apart
// for viewers who lack a cone.
var (
	onDark = palette{paper: "#11151a", text: "#eef1f4", soft: "#a9b4bf", grid: "#4a5561", base: "#e3e8ed", warn: "#f0c24b",
		hues: [7]string{"#56b4e9", "#e69f00", "#009e73", "#cc79a7", "#f0e442", "#d55e00", "#0072b2"}}
	onLight = palette{paper: "#fbfaf7", text: "#1b2026", soft: "#56616c", grid: "#b3bac1", base: "#2d353c", warn: "#8a6100",
		hues: [7]string{"#1c95d9", "#bd8200", "#009e73", "#c86fa0", "#7b730a", "#8a3d00", "#0076b8"}}
)

func (t Theme) palette() palette {
	if t == Light {
		return onLight
	}
	return onDark
}

// colour gives a role's colour as #rrggbb, "" for none.
func (t Theme) colour(ink Ink, look Look) string {
	p := t.palette()
	switch ink {
	case InkText:
		return p.text
	case InkSoft:
		return p.soft
	case InkGrid:
		if t == Clear { // quiet is unseen over footage
			return p.soft
		}
		return p.grid
	case InkBase:
		return p.base
	case InkWarn:
		return p.warn
	case InkHalo:
		return p.paper
	case InkAccent:
		if c, err := contrast(look.Accent, p.paper); err == nil && c >= 3 {
			return strings.ToLower(look.Accent)
		}
		return p.soft
	}
	if ink >= InkHue {
		return p.hues[int(ink-InkHue)%len(p.hues)]
	}
	return ""
}

// background is the colour of the paper; "" where there is none.
func (t Theme) background() string {
	if t == Clear || t == Page {
		return ""
	}
	return t.palette().paper
}

// hueOf gives the colour of a card by its place in the plan.
func hueOf(order int) Ink { return InkHue + Ink(max(order, 0)%len(onDark.hues)) }

// formOf gives the form of its mean mark: the second seven cards have another one than the first seven.
func formOf(order int) int { return max(order, 0) / len(onDark.hues) % shapesOfMarks }

// inkName is what a role is called in the style of a page.
func inkName(ink Ink) string {
	if ink >= InkHue {
		return "hue" + strconv.Itoa(int(ink-InkHue)%len(onDark.hues))
	}
	return [...]string{"none", "text", "soft", "grid", "base", "warn", "halo", "accent"}[ink]
}

// PageStyle gives the rules that colour every SVG of the theme Page, light or dark as the reader's system is. They stand once in a page. What the look
// says of the page itself is in --look-accent and --look-font, which are not there where it says nothing.
func PageStyle(look Look) string {
	rules := func(t Theme) string {
		var b strings.Builder
		for ink := InkText; ink < InkHue+Ink(len(onDark.hues)); ink++ {
			fmt.Fprintf(&b, "--chart-%s:%s;", inkName(ink), t.colour(ink, look))
		}
		if look.Accent != "" {
			fmt.Fprintf(&b, "--look-accent:%s;", t.colour(InkAccent, look))
		}
		return b.String()
	}
	style := ":root{" + rules(Light) + "}\n@media (prefers-color-scheme:dark){:root{" + rules(Dark) + "}}\n@media print{:root{" + rules(Light) + "}}\n"
	if look.Fonts != nil {
		style += ":root{--look-font:" + look.family() + "system-ui;}\n"
	}
	return style
}

// parseColour reads #rrggbb.
func parseColour(s string) (color.NRGBA, error) {
	n, err := strconv.ParseUint(strings.TrimPrefix(s, "#"), 16, 32)
	if err != nil || len(s) != 7 || s[0] != '#' {
		return color.NRGBA{}, fmt.Errorf("colour %q: a colour is # and six hexadecimal digits, such as #e69f00", s)
	}
	return color.NRGBA{R: uint8(n >> 16), G: uint8(n >> 8), B: uint8(n), A: 255}, nil
}

// luminance is WCAG 2.2's relative luminance, 0 to 1.
func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// contrast is WCAG 2.2's contrast ratio of two colours, 1 to 21.
func contrast(a, b string) (float64, error) {
	x, err := parseColour(a)
	if err != nil {
		return 0, err
	}
	y, err := parseColour(b)
	if err != nil {
		return 0, err
	}
	high, low := max(luminance(x), luminance(y)), min(luminance(x), luminance(y))
	return (high + 0.05) / (low + 0.05), nil
}

// CheckAccent tells whether an accent can be seen on every theme, and what is wrong with it where it cannot. On such a theme it is left out.
func CheckAccent(accent string) error {
	for _, t := range []Theme{Light, Dark} {
		c, err := contrast(accent, t.palette().paper)
		if err != nil {
			return err
		}
		if c < 3 {
			return fmt.Errorf("accent %s has a contrast of %.1f to 1 on the %s background; it needs 3 to 1, so take a %s one",
				accent, c, t, map[Theme]string{Light: "darker", Dark: "lighter"}[t])
		}
	}
	return nil
}

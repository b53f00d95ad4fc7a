package chart

import (
	"image/color"
	"math"
	"testing"
)

// The published ends and middle of WCAG 2's contrast ratio: black on white is 21:1, a colour on itself 1:1; #767676 is the lightest
// grey that reaches 4.5:1 on white, #777777 does not, and #949494 the lightest that reaches 3:1, #959595 does not (facts of the trade, from
// memory).
func TestContrastIsWCAG(t *testing.T) {
	for _, c := range []struct {
		a, b      string
		low, high float64
	}{{"#000000", "#ffffff", 21, 21}, {"#ffffff", "#ffffff", 1, 1}, {"#767676", "#ffffff", 4.5, 4.55}, {"#777777", "#ffffff", 4.4, 4.4999},
		{"#949494", "#ffffff", 3, 3.05}, {"#959595", "#ffffff", 2.95, 2.9999}} {
		got, err := contrast(c.a, c.b)
		if err != nil || got < c.low-1e-12 || got > c.high+1e-12 {
			t.Errorf("%s on %s: %v (%v), published is %v to %v", c.a, c.b, got, err, c.low, c.high)
		}
	}
}

// Marks stand 3:1 against their background (WCAG 2.2, 1.4.11), text 4.5:1 (1.4.3).
func TestThemesCanBeSeen(t *testing.T) {
	for _, theme := range []Theme{Light, Dark, Clear} {
		paper := theme.palette().paper
		check := func(ink Ink, least float64) {
			got, err := contrast(theme.colour(ink, Look{}), paper)
			if err != nil || got < least {
				t.Errorf("%s: %s has %.2f to 1 on %s, needs %v (%v)", theme, inkName(ink), got, paper, least, err)
			}
		}
		for _, ink := range []Ink{InkText, InkSoft, InkWarn} {
			check(ink, 4.5)
		}
		check(InkBase, 3)
		check(InkAccent, 3)
		for i := range onDark.hues {
			check(InkHue+Ink(i), 3)
		}
	}
}

// The hues on dark are those that Okabe & Ito published (2008; the values from memory), as 0 to 255.
func TestHuesAreOkabeAndIto(t *testing.T) {
	published := []color.NRGBA{{230, 159, 0, 255}, {86, 180, 233, 255}, {0, 158, 115, 255}, {240, 228, 66, 255}, {0, 114, 178, 255}, {213, 94, 0, 255}, {204, 121, 167, 255}}
	for _, want := range published {
		found := false
		for _, h := range onDark.hues {
			c, err := parseColour(h)
			found = found || err == nil && c == want
		}
		if !found {
			t.Errorf("%v is not among the hues", want)
		}
	}
}

// seen is a colour as a person without the red or green cones sees it, in linear light: Viénot, Brettel & Mollon (1999), "Digital video
// colourmaps for checking the legibility of displays by dichromats", Color Research and Application 24(4); the matrices from memory.
func seen(c color.NRGBA, kind string) [3]float64 {
	linear := func(v uint8) float64 { return math.Pow(float64(v)/255, 2.2) }
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	switch kind {
	case "protanope":
		return [3]float64{0.11238*r + 0.88762*g, 0.11238*r + 0.88762*g, 0.00401*r - 0.00401*g + b}
	case "deuteranope":
		return [3]float64{0.29275*r + 0.70725*g, 0.29275*r + 0.70725*g, -0.02234*r + 0.02234*g + b}
	}
	return [3]float64{r, g, b}
}

// lab turns linear light into CIE L*a*b* (D65; IEC 61966-2-1 and CIE 15), whose distance of 2.3 is just noticeable (Mahy 1994, from memory).
func lab(c [3]float64) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505)
	y := f(0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2])
	z := f((0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.089)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// No two hues become one for a viewer who lacks a cone: each pair stays four just noticeable differences apart.
func TestHuesForColourBlindViewers(t *testing.T) {
	for _, p := range []palette{onDark, onLight} {
		for _, kind := range []string{"all cones", "protanope", "deuteranope"} {
			for i := range p.hues {
				for j := i + 1; j < len(p.hues); j++ {
					a, _ := parseColour(p.hues[i])
					b, _ := parseColour(p.hues[j])
					x, y := lab(seen(a, kind)), lab(seen(b, kind))
					if d := math.Sqrt(math.Pow(x[0]-y[0], 2) + math.Pow(x[1]-y[1], 2) + math.Pow(x[2]-y[2], 2)); d < 4*2.3 {
						t.Errorf("%s: %s and %s are %.1f apart", kind, p.hues[i], p.hues[j], d)
					}
				}
			}
		}
	}
}

// Hue and form follow from a card's place in the plan alone, and 24 cards have 24 looks.
func TestCardsKeepTheirLook(t *testing.T) {
	type look struct {
		hue  Ink
		form int
	}
	seen := map[look]int{}
	for order := range 24 {
		l := look{hueOf(order), formOf(order)}
		if other, ok := seen[l]; ok {
			t.Errorf("cards %d and %d look the same", other, order)
		}
		seen[l] = order
	}
	c := stress(5)
	c.Rails = []Rail{c.Rails[4], c.Rails[1]}
	for _, l := range c.Picture(Tall, Look{}).Layers {
		want := map[string]Ink{"card-c4": hueOf(4), "card-c1": hueOf(1)}[l.ID]
		for _, s := range l.Shapes {
			if want != 0 && s.Fill >= InkHue && s.Fill != want {
				t.Errorf("%s is drawn in %v, the plan gives it %v", l.ID, s.Fill, want)
			}
		}
	}
}

func TestAccent(t *testing.T) {
	if err := CheckAccent("#767676"); err != nil {
		t.Errorf("a middle grey can be seen on both: %v", err)
	}
	for _, bad := range []string{"#ffffff", "#000000", "orange", "#12", ""} {
		if CheckAccent(bad) == nil {
			t.Errorf("accent %q passes", bad)
		}
	}
}

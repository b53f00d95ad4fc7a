package chart

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// WriteSVG writes a picture as SVG with real text, a title, a description, and a group for each layer. Each text carries its length, so that
// it keeps to its box where a viewer has another font.
func (p Picture) WriteSVG(w io.Writer, theme Theme) error {
	buf := bufio.NewWriter(w)
	s := svgWriter{enc: xml.NewEncoder(buf), p: p, theme: theme}
	s.document()
	if s.err == nil {
		s.err = s.enc.Close()
	}
	if s.err == nil {
		s.err = buf.Flush()
	}
	if s.err != nil {
		return fmt.Errorf("chart %q as SVG: %w", p.Title, s.err)
	}
	return nil
}

// svgWriter keeps the first error, after which it writes nothing.
type svgWriter struct {
	enc   *xml.Encoder
	p     Picture
	theme Theme
	err   error
}

func (s *svgWriter) token(t xml.Token) {
	if s.err == nil {
		s.err = s.enc.EncodeToken(t)
	}
}

// open begins an element; its attributes come in pairs, and a pair with an empty value is left out.
func (s *svgWriter) open(name string, pairs ...string) {
	start := xml.StartElement{Name: xml.Name{Local: name}}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			start.Attr = append(start.Attr, xml.Attr{Name: xml.Name{Local: pairs[i]}, Value: pairs[i+1]})
		}
	}
	s.token(start)
}

func (s *svgWriter) end(name string) { s.token(xml.EndElement{Name: xml.Name{Local: name}}) }

func (s *svgWriter) element(name, content string, pairs ...string) {
	s.open(name, pairs...)
	if content != "" {
		s.token(xml.CharData(content))
	}
	s.end(name)
}

func (s *svgWriter) document() {
	p := s.p
	title, desc := idOf(p.ID, "title"), idOf(p.ID, "desc")
	pairs := []string{"xmlns", "http://www.w3.org/2000/svg", "viewBox", "0 0 " + coordinate(p.Width) + " " + coordinate(p.Height),
		"role", "img", "aria-labelledby", title + " " + desc, "font-family", s.family()}
	if s.theme == Page { // its style gives the size, and what all lines have stands here once
		pairs = append(pairs, "fill", "none", "stroke-linejoin", "round")
	} else {
		pairs = append(pairs, "width", coordinate(p.Width), "height", coordinate(p.Height))
	}
	s.open("svg", pairs...)
	s.element("title", clean(p.Title), "id", title)
	s.element("desc", clean(p.Desc), "id", desc)
	if c := s.theme.background(); c != "" {
		s.element("rect", "", "id", idOf(p.ID, "background"), "width", coordinate(p.Width), "height", coordinate(p.Height), "fill", c)
	}
	for _, l := range p.Layers {
		s.layer(l)
	}
	s.end("svg")
}

// family lists what a viewer is to try: the font that was measured, then fonts of nearly the widths of the built-in one. Fonts are named and not
// put into the file: their licences are for machines or sites, and programs that cut videos pass over them.
func (s *svgWriter) family() string {
	return s.p.look.family() + "'Liberation Sans', Arial, Helvetica, sans-serif"
}

// family is the look's typeface at the head of a list, "" where its file bears no name.
func (l Look) family() string {
	if f := l.fonts().family; f != "" {
		return "'" + f + "', "
	}
	return ""
}

func (s *svgWriter) layer(l Layer) {
	pairs := []string{"id", idOf(s.p.ID, l.ID)}
	if s.theme == Page {
		pairs = append(pairs, "data-plot", l.Plot.attribute())
		l.Shapes = joined(l.Shapes)
	}
	s.open("g", pairs...)
	if l.Title != "" {
		s.element("title", clean(l.Title))
	}
	if s.theme == Clear {
		for _, shape := range l.Shapes {
			s.shape(shape.halo())
		}
	}
	for _, shape := range l.Shapes {
		s.shape(shape)
	}
	for _, t := range l.Texts {
		s.text(t)
	}
	for _, inner := range l.Layers {
		s.layer(inner)
	}
	s.end("g")
}

// paint gives a colour as an attribute's value: of the theme, or by its name in the page's style.
func (s *svgWriter) paint(ink Ink) string {
	if ink == InkNone {
		return "none"
	}
	if s.theme == Page {
		return "var(--chart-" + inkName(ink) + ")"
	}
	return s.theme.colour(ink, s.p.look)
}

func (s *svgWriter) shape(shape Shape) {
	if len(shape.Path) == 0 {
		return
	}
	data, part := s.pathData, Part("")
	if s.theme == Page {
		part = shape.Part
	}
	scale := ""
	if part == Trace {
		data, scale = traceData, "scale(.1)"
		shape = shape.tenfold()
	}
	fill, join := s.paint(shape.Fill), "round"
	if s.theme == Page {
		fill, join = strings.TrimPrefix(fill, "none"), ""
	}
	pairs := []string{"d", data(shape.Path), "class", string(part), "transform", scale, "fill", fill}
	if shape.Alpha > 0 {
		pairs = append(pairs, "fill-opacity", coordinate(shape.Alpha))
	}
	if shape.Stroke != InkNone {
		pairs = append(pairs, "stroke", s.paint(shape.Stroke), "stroke-width", coordinate(shape.Width), "stroke-linejoin", join)
		if len(shape.Dash) > 0 {
			dashes := make([]string, len(shape.Dash))
			for i, d := range shape.Dash {
				dashes[i] = coordinate(d)
			}
			pairs = append(pairs, "stroke-dasharray", strings.Join(dashes, " "))
		}
	}
	s.element("path", "", pairs...)
}

func (s *svgWriter) text(t Text) {
	pairs := []string{"x", coordinate(t.X), "y", coordinate(t.Y), "font-size", coordinate(t.Size), "fill", s.paint(t.Ink),
		"text-anchor", [...]string{"", "middle", "end"}[t.Anchor], "textLength", coordinate(t.Width)}
	if s.theme == Page { // which has too many texts to say how each keeps its length
		pairs = append(pairs, "class", string(t.Part))
	} else {
		pairs = append(pairs, "lengthAdjust", "spacingAndGlyphs")
	}
	if t.Bold {
		pairs = append(pairs, "font-weight", "700")
	}
	if s.theme == Clear {
		pairs = append(pairs, "stroke", s.paint(InkHalo), "stroke-width", coordinate(haloWidth(t.Size)), "stroke-linejoin", "round",
			"paint-order", "stroke")
	}
	s.element("text", t.S, pairs...)
}

// coordinate writes a number with at most two decimals: a fiftieth of a pixel at the largest size.
func coordinate(x float64) string {
	s := strconv.FormatFloat(x, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// pathData writes a path. Long ones (frame times) and those of a page have one decimal, a tenth of a unit being less than a screen shows.
func (s *svgWriter) pathData(path []Segment) string {
	var b strings.Builder
	decimals := 2
	if len(path) > 200 || s.theme == Page {
		decimals = 1
	}
	number := func(x float64) {
		s := strconv.FormatFloat(x, 'f', decimals, 64)
		b.WriteString(strings.TrimRight(strings.TrimRight(s, "0"), "."))
	}
	for _, seg := range path {
		b.WriteByte(seg.Op)
		points := 1
		switch seg.Op {
		case 'Z':
			points = 0
		case 'C':
			points = 3
		}
		for i := range points {
			if i > 0 {
				b.WriteByte(' ')
			}
			number(seg.P[i].X)
			b.WriteByte(' ')
			number(seg.P[i].Y)
		}
	}
	return b.String()
}

// idOf joins the chart's name and a layer's into an id that needs no escaping in a style or an address. What cannot stand in it is
// written by its number, so that two names never become one.
func idOf(chart, layer string) string {
	var b strings.Builder
	for _, r := range strings.TrimPrefix(chart+"-"+layer, "-") {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
			b.WriteRune(r)
		case r == '.':
			b.WriteByte('-')
		default:
			fmt.Fprintf(&b, "u%X_", r)
		}
	}
	return b.String()
}

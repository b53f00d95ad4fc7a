package chart

import (
	"math"
)

// Picture is a chart laid out: what is drawn, where, in which role of colour.
type Picture struct {
	Format
	ID          string // begins the ids of its layers
	Title, Desc string // for who cannot see it
	Layers      []Layer
	look        Look
}

// Layer is a named part that an editor can show by itself. Its shapes lie under its texts, and both under its layers.
type Layer struct {
	ID     string // unique within a picture
	Title  string // in full, where the picture may show it shortened
	Shapes []Shape
	Texts  []Text
	Layers []Layer
	Plot   *Plot // nil: nothing is read off it
}

// Shape is a path, filled or stroked or both.
type Shape struct {
	Path   []Segment
	Fill   Ink
	Stroke Ink
	Width  float64
	Dash   []float64
	Alpha  float64 // of the fill; 0 is opaque
	Part   Part
}

// Segment is one step of a path: M and L have a point, C two control points and a point, Z none.
type Segment struct {
	Op byte
	P  [3]Point
}

// Point is a place on a picture, from its top left.
type Point struct{ X, Y float64 }

// Anchor says which part of a text stands at its place.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text; its place is on the line it stands on.
type Text struct {
	X, Y   float64
	Anchor Anchor
	Size   float64 // the em
	Bold   bool
	Ink    Ink
	S      string
	Width  float64 // of S as drawn
	Part   Part
}

// Box is a rectangle on a picture.
type Box struct{ Left, Top, Right, Bottom float64 }

// Box gives the room that a text takes.
func (t Text) Box() Box {
	left := t.X
	switch t.Anchor {
	case Middle:
		left -= t.Width / 2
	case End:
		left -= t.Width
	}
	return Box{left, t.Y - ascent*t.Size, left + t.Width, t.Y + descent*t.Size}
}

// Meets tells whether two boxes have more than an edge in common.
func (b Box) Meets(o Box) bool {
	const hair = 0.01
	return b.Left < o.Right-hair && o.Left < b.Right-hair && b.Top < o.Bottom-hair && o.Top < b.Bottom-hair
}

// Texts lists every text of a picture, in the order in which they are drawn.
func (p Picture) Texts() []Text {
	var out []Text
	var walk func([]Layer)
	walk = func(layers []Layer) {
		for _, l := range layers {
			out = append(out, l.Texts...)
			walk(l.Layers)
		}
	}
	walk(p.Layers)
	return out
}

// Part gives a picture of the same size with one of the layers alone, for a reveal in an editor that takes no SVG: the parts of all layers,
// laid over one another in their order in the theme Clear, are the whole picture.
func (p Picture) Part(id string) (Picture, bool) {
	for _, l := range p.Layers {
		if l.ID == id {
			p.Layers = []Layer{l}
			p.Title, p.Desc = joinWith(p.Title, ": ", clean(l.Title)), ""
			return p, true
		}
	}
	return Picture{}, false
}

// safe is the part of a format in which everything is drawn.
func (f Format) safe() Box {
	x, y := f.Width*(1-titleSafe)/2, f.Height*(1-titleSafe)/2
	return Box{x, y, f.Width - x, f.Height - y}
}

// small is the size of the smallest text.
func (f Format) small() float64 {
	if f.Text > 0 {
		return f.Text
	}
	return math.Ceil(f.Height * leastText)
}

func line(points ...Point) []Segment {
	out := make([]Segment, len(points))
	for i, p := range points {
		out[i] = Segment{Op: 'L', P: [3]Point{p}}
	}
	if len(out) > 0 {
		out[0].Op = 'M'
	}
	return out
}

func polygon(points ...Point) []Segment { return append(line(points...), Segment{Op: 'Z'}) }

func rect(b Box) []Segment {
	return polygon(Point{b.Left, b.Top}, Point{b.Right, b.Top}, Point{b.Right, b.Bottom}, Point{b.Left, b.Bottom})
}

// circle draws with four cubic curves; 0.5523 keeps them within 0.03 % of the radius (a fact of the trade).
func circle(x, y, r float64) []Segment {
	k := 0.5523 * r
	c := func(x1, y1, x2, y2, x3, y3 float64) Segment {
		return Segment{Op: 'C', P: [3]Point{{x + x1, y + y1}, {x + x2, y + y2}, {x + x3, y + y3}}}
	}
	return []Segment{{Op: 'M', P: [3]Point{{x + r, y}}},
		c(r, k, k, r, 0, r), c(-k, r, -r, k, -r, 0), c(-r, -k, -k, -r, 0, -r), c(k, -r, r, -k, r, 0), {Op: 'Z'}}
}

// regular draws a polygon of n corners, the first one turned by so many degrees from the right, clockwise.
func regular(x, y, r float64, n int, turn float64) []Segment {
	points := make([]Point, n)
	for i := range points {
		a := (turn + 360*float64(i)/float64(n)) * math.Pi / 180
		points[i] = Point{x + r*math.Cos(a), y + r*math.Sin(a)}
	}
	// It begins in the middle of an edge: a rasteriser joins corners on the way, and none where the ring closes.
	first, last := points[0], points[n-1]
	return polygon(append([]Point{{(first.X + last.X) / 2, (first.Y + last.Y) / 2}}, points...)...)
}

// meanMark is the form that a card's mean has: disc, square, triangle, hexagon, of about the same area.
func meanMark(form int, x, y, r float64) []Segment {
	switch form {
	case 1:
		return rect(Box{x - 0.89*r, y - 0.89*r, x + 0.89*r, y + 0.89*r})
	case 2:
		return regular(x, y+0.2*r, 1.4*r, 3, -90)
	case 3:
		return regular(x, y, 1.12*r, 6, 0)
	}
	return circle(x, y, r)
}

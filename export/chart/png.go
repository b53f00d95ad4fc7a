package chart

import (
	"bufio"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"io"
	"slices"
	"sync"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// WritePNG writes a picture as PNG of so many pixels in width: 1920 or 3840 of a wide one. Text is drawn from the outlines of the fonts that
// measured it, so no machine's fonts matter. The theme Page has no colours of its own and is refused.
func (p Picture) WritePNG(w io.Writer, theme Theme, width int) error {
	if theme == Page {
		return fmt.Errorf("chart %q as PNG: the theme of a page takes its colours from the page; choose light, dark or clear", p.Title)
	}
	if width < 1 || p.Width <= 0 {
		return fmt.Errorf("chart %q as PNG: %d pixels wide; a width of 1 or more is needed", p.Title, width)
	}
	r := rasteriser{p: p, theme: theme, scale: float64(width) / p.Width}
	var background color.Color = color.Transparent
	if c := theme.background(); c != "" {
		background = r.colour(c, 1)
	}
	size := image.Pt(width, int(p.Height*r.scale+0.5))
	r.to = canvas(size, background)
	defer surfaces(size).Put(r.to)
	for _, l := range p.Layers {
		if err := r.layer(l); err != nil {
			return fmt.Errorf("chart %q as PNG: %w", p.Title, err)
		}
	}
	buf := bufio.NewWriter(w)
	im, ok := r.to.Image().(*image.RGBA)
	if !ok {
		return fmt.Errorf("chart %q as PNG: the drawing surface holds a %T, an *image.RGBA is expected", p.Title, r.to.Image())
	}
	if err := encodePNG(buf, im, theme.background() != ""); err != nil {
		return fmt.Errorf("chart %q as PNG: %w", p.Title, err)
	}
	return buf.Flush()
}

// kept are drawing surfaces that wait for the next picture of their size: one in 4K has 33 MB, and a report has hundreds.
var kept sync.Map // by image.Point, a *sync.Pool of *vgimg.Canvas

func surfaces(size image.Point) *sync.Pool {
	pool, _ := kept.LoadOrStore(size, new(sync.Pool))
	return pool.(*sync.Pool)
}

// canvas is a surface of so many pixels with nothing on it. 72 dots an inch make a dot a point, so lengths are pixels.
func canvas(size image.Point, background color.Color) *vgimg.Canvas {
	if c, ok := surfaces(size).Get().(*vgimg.Canvas); ok {
		draw.Draw(c.Image(), c.Image().Bounds(), image.NewUniform(background), image.Point{}, draw.Src)
		return c
	}
	return vgimg.NewWith(vgimg.UseDPI(72), vgimg.UseWH(vg.Length(size.X), vg.Length(size.Y)), vgimg.UseBackgroundColor(background))
}

type rasteriser struct {
	p     Picture
	theme Theme
	scale float64
	to    *vgimg.Canvas
	buf   sfnt.Buffer
}

func (r *rasteriser) layer(l Layer) error {
	if r.theme == Clear {
		for _, s := range l.Shapes {
			if err := r.shape(s.halo()); err != nil {
				return err
			}
		}
	}
	for _, s := range l.Shapes {
		if err := r.shape(s); err != nil {
			return err
		}
	}
	for _, t := range l.Texts {
		if err := r.text(t); err != nil {
			return err
		}
	}
	for _, inner := range l.Layers {
		if err := r.layer(inner); err != nil {
			return err
		}
	}
	return nil
}

// haloWidth is the stroke under a text of a size: half of it shows around the letters.
func haloWidth(size float64) float64 { return max(4, 0.15*size) }

// halo is a shape's outline, drawn under it where there is no background. Under a broken line it is whole, so that the line is light and
// dark by turns; dots far apart have each their own.
func (s Shape) halo() Shape {
	h := Shape{Path: s.Path, Stroke: InkHalo, Width: 4}
	switch {
	case s.Stroke == InkGrid: // quiet
		h.Width = s.Width + 2
	case s.Stroke != InkNone:
		h.Width += s.Width
	}
	if len(s.Dash) == 2 && s.Dash[1] > 3*s.Dash[0] {
		h.Dash = s.Dash
	}
	return h
}

func (r *rasteriser) colour(hex string, alpha float64) color.Color {
	c, err := parseColour(hex)
	if err != nil { // the palettes are constants, and an accent that cannot be read is not used
		return color.Transparent
	}
	c.A = uint8(255*alpha + 0.5)
	return c
}

func (r *rasteriser) shape(s Shape) error {
	if s.Fill != InkNone {
		path, err := r.path(s.Path)
		if err != nil {
			return err
		}
		alpha := 1.0
		if s.Alpha > 0 {
			alpha = s.Alpha
		}
		r.to.SetColor(r.colour(r.theme.colour(s.Fill, r.p.look), alpha))
		r.to.Fill(path)
	}
	if s.Stroke == InkNone {
		return nil
	}
	dashes := make([]vg.Length, len(s.Dash))
	for i, d := range s.Dash {
		dashes[i] = vg.Length(d * r.scale)
	}
	r.to.SetColor(r.colour(r.theme.colour(s.Stroke, r.p.look), 1))
	r.to.SetLineWidth(vg.Length(s.Width * r.scale))
	r.to.SetLineDash(dashes, 0)
	for _, piece := range pieces(s) {
		path, err := r.path(piece)
		if err != nil {
			return err
		}
		r.to.Stroke(path)
	}
	return nil
}

// path is a path in pixels from the bottom left.
func (r *rasteriser) path(segments []Segment) (path vg.Path, err error) {
	at := func(p Point) vg.Point {
		return vg.Point{X: vg.Length(p.X * r.scale), Y: vg.Length((r.p.Height - p.Y) * r.scale)}
	}
	for _, seg := range segments {
		switch seg.Op {
		case 'M':
			path.Move(at(seg.P[0]))
		case 'L':
			path.Line(at(seg.P[0]))
		case 'C':
			path.CubeTo(at(seg.P[0]), at(seg.P[1]), at(seg.P[2]))
		case 'Z':
			path.Close()
		default:
			return nil, fmt.Errorf("a path with a step %q; M, L, C and Z are known", seg.Op)
		}
	}
	return path, nil
}

// pieceSteps is how many steps of a long line are stroked at a time. The rasteriser keeps the edges of a row of pixels in a list that it walks for each
// new one, so a line of thousands of steps at once takes a hundred times as long as in pieces.
const pieceSteps = 24

// pieces cuts a long line of straight steps, such as frame times. Each begins one step before the last one's end, so that the corner between them
// is joined. A broken line is left whole: its gaps count from where it begins.
func pieces(s Shape) [][]Segment {
	path := s.Path
	if len(path) <= 2*pieceSteps || len(s.Dash) > 0 || slices.ContainsFunc(path, func(seg Segment) bool { return seg.Op != 'M' && seg.Op != 'L' }) {
		return [][]Segment{path}
	}
	var out [][]Segment
	for from := 0; from < len(path)-1; from += pieceSteps {
		piece := slices.Clone(path[max(0, from-1):min(from+pieceSteps+1, len(path))])
		piece[0].Op = 'M'
		out = append(out, piece)
	}
	return out
}

// text draws the outlines of a text's glyphs; what the font lacks is its empty box.
func (r *rasteriser) text(t Text) error {
	f := r.p.look.fonts()
	f.lock.Lock()
	defer f.lock.Unlock()
	left := t.Box().Left
	var glyphs [][]Segment // each by itself, since a row of pixels through a whole line of text has many edges
	laid, _ := f.lay(t.S, t.Bold)
	for _, g := range laid {
		outline, err := g.face.LoadGlyph(&r.buf, g.glyph, fixed.I(emUnits), nil)
		if err != nil {
			return fmt.Errorf("the outline of a letter of %q: %w", t.S, err)
		}
		if path := appendOutline(nil, outline, left+g.X*t.Size, t.Y-g.Y*t.Size, t.Size); len(path) > 0 {
			glyphs = append(glyphs, path)
		}
	}
	if r.theme == Clear { // under all of them: a halo does not cover the letter before
		for _, path := range glyphs {
			if err := r.shape(Shape{Path: path, Stroke: InkHalo, Width: haloWidth(t.Size)}); err != nil {
				return err
			}
		}
	}
	for _, path := range glyphs {
		if err := r.shape(Shape{Path: path, Fill: t.Ink}); err != nil {
			return err
		}
	}
	return nil
}

// appendOutline adds a glyph to a path, each of its rings closed; quadratic curves become cubic ones.
func appendOutline(path []Segment, outline sfnt.Segments, x, y, size float64) []Segment {
	at := func(p fixed.Point26_6) Point {
		return Point{x + float64(p.X)/64/emUnits*size, y + float64(p.Y)/64/emUnits*size}
	}
	open := false
	var last Point
	for _, seg := range outline {
		p := at(seg.Args[0])
		switch seg.Op {
		case sfnt.SegmentOpMoveTo:
			if open {
				path = append(path, Segment{Op: 'Z'})
			}
			path, open = append(path, Segment{Op: 'M', P: [3]Point{p}}), true
		case sfnt.SegmentOpLineTo:
			path = append(path, Segment{Op: 'L', P: [3]Point{p}})
		case sfnt.SegmentOpQuadTo:
			e := at(seg.Args[1])
			a := Point{last.X + (p.X-last.X)*2/3, last.Y + (p.Y-last.Y)*2/3}
			b := Point{e.X + (p.X-e.X)*2/3, e.Y + (p.Y-e.Y)*2/3}
			path, p = append(path, Segment{Op: 'C', P: [3]Point{a, b, e}}), e
		case sfnt.SegmentOpCubeTo:
			e := at(seg.Args[2])
			path, p = append(path, Segment{Op: 'C', P: [3]Point{p, at(seg.Args[1]), e}}), e
		}
		last = p
	}
	if open {
		path = append(path, Segment{Op: 'Z'})
	}
	return path
}

package chart

import (
	"bufio"
	"fmt"
	"image"
	"image/color"
	"io"

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
	// 72 dots an inch make a dot a point, so lengths are pixels.
	r.to = vgimg.NewWith(vgimg.UseDPI(72), vgimg.UseWH(vg.Length(width), vg.Length(p.Height*r.scale)), vgimg.UseBackgroundColor(background))
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
	if err := encodePNG(buf, im); err != nil {
		return fmt.Errorf("chart %q as PNG: %w", p.Title, err)
	}
	return buf.Flush()
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
	if s.Stroke != InkNone {
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
	var path vg.Path
	at := func(p Point) vg.Point {
		return vg.Point{X: vg.Length(p.X * r.scale), Y: vg.Length((r.p.Height - p.Y) * r.scale)}
	}
	for _, seg := range s.Path {
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
			return fmt.Errorf("a path with a step %q; M, L, C and Z are known", seg.Op)
		}
	}
	if s.Fill != InkNone {
		alpha := 1.0
		if s.Alpha > 0 {
			alpha = s.Alpha
		}
		r.to.SetColor(r.colour(r.theme.colour(s.Fill, r.p.look), alpha))
		r.to.Fill(path)
	}
	if s.Stroke != InkNone {
		dashes := make([]vg.Length, len(s.Dash))
		for i, d := range s.Dash {
			dashes[i] = vg.Length(d * r.scale)
		}
		r.to.SetColor(r.colour(r.theme.colour(s.Stroke, r.p.look), 1))
		r.to.SetLineWidth(vg.Length(s.Width * r.scale))
		r.to.SetLineDash(dashes, 0)
		r.to.Stroke(path)
	}
	return nil
}

// text draws the outlines of a text's glyphs; what the font lacks is its empty box.
func (r *rasteriser) text(t Text) error {
	f := r.p.look.fonts()
	f.lock.Lock()
	defer f.lock.Unlock()
	x, face := t.Box().Left, f.face(t.Bold)
	var path []Segment
	for _, c := range t.S {
		wide := f.advance(c, t.Bold)
		if wide > 0 {
			g, err := face.GlyphIndex(&r.buf, c)
			if err != nil {
				return fmt.Errorf("the glyph of %q: %w", c, err)
			}
			outline, err := face.LoadGlyph(&r.buf, g, fixed.I(emUnits), nil)
			if err != nil {
				return fmt.Errorf("the outline of %q: %w", c, err)
			}
			path = appendOutline(path, outline, x, t.Y, t.Size)
		}
		x += wide * t.Size
	}
	if r.theme == Clear {
		if err := r.shape(Shape{Path: path, Stroke: InkHalo, Width: haloWidth(t.Size)}); err != nil {
			return err
		}
	}
	return r.shape(Shape{Path: path, Fill: t.Ink})
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

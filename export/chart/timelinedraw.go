package chart

import "math"

// frame draws the unit, the scale and the heads of the foot.
func (p *linePlan) frame() {
	s, small := p.s, p.s.small()
	room := (s.body.Right-s.body.Left)/small - 1.5
	words := better(clean(p.c.Unit), p.c.Better)
	if begins := words + "; the scale begins at " + short(p.y.low); p.y.low > 0 && s.fonts.Width(begins, false) <= room {
		words = begins
	}
	s.upright(words, p.c.Better, p.x, p.y)
	for r, head := range p.heads {
		s.put(&s.back, Text{X: s.body.Left, Y: p.rowY(r), Size: small, Ink: InkSoft, S: head})
	}
}

// rowY is the line that a row of the foot stands on.
func (p *linePlan) rowY(r int) float64 {
	return p.plotLow + (1.1+float64(r))*lineHeight*p.s.small() + ascent*p.s.small()
}

// stops draws links, then marks over them, then words.
func (p *linePlan) stops() {
	l := p.s.layer(p.c.Row)
	for i, s := range p.c.Stops {
		p.link(l, i, s)
	}
	for i, s := range p.c.Stops {
		p.mark(l, i, s)
	}
	for k, i := range p.shown {
		p.footOf(l, i, p.foot[k])
	}
	for k, i := range p.labels {
		p.label(l, i, p.above[k])
	}
	p.s.add(p.c.Row, *l)
}

func (p *linePlan) point(i int) Point { return Point{p.at[i], p.y.at(p.c.Stops[i].Figure.X)} }

// link draws the line that leads to a stop. What is set against an earlier one than its neighbour has a broken line from that one, too.
func (p *linePlan) link(l *Layer, i int, s Stop) {
	if i == 0 || s.Link == NoLink || !s.Figure.Known || s.Against < 0 || s.Against >= i {
		return
	}
	ink, gap := hueOf(p.c.Order), min(0.62*p.s.small(), 0.3*p.least())
	if s.Link != BrokenLink && p.c.Stops[s.Against].Figure.Known {
		l.Shapes = append(l.Shapes, linkShapes(s.Link, p.point(s.Against), p.point(i), gap, gap, ink)...)
	}
	if before := p.c.Stops[i-1]; (s.Link == BrokenLink || s.Against != i-1) && before.Figure.Known {
		l.Shapes = append(l.Shapes, linkShapes(BrokenLink, p.point(i-1), p.point(i), gap, gap, ink)...)
	}
}

// linkShapes are the line between two points, which begins and ends a gap away from them.
func linkShapes(link Link, a, b Point, gap, size float64, ink Ink) []Shape {
	length := math.Hypot(b.X-a.X, b.Y-a.Y)
	if length <= 2*gap || length == 0 {
		return nil
	}
	along, across := Point{(b.X - a.X) / length, (b.Y - a.Y) / length}, Point{-(b.Y - a.Y) / length, (b.X - a.X) / length}
	on := func(at, aside float64) Point {
		return Point{a.X + at*along.X + aside*across.X, a.Y + at*along.Y + aside*across.Y}
	}
	stroke := func(width float64, dash []float64, points ...Point) Shape {
		return Shape{Path: line(points...), Stroke: ink, Width: width, Dash: dash}
	}
	from, to := gap, length-gap
	switch link {
	case ChangedLink:
		return []Shape{stroke(6, nil, on(from, 0), on(to, 0))}
	case LevelLink:
		return []Shape{stroke(2.5, nil, on(from, -4), on(to, -4)), stroke(2.5, nil, on(from, 4), on(to, 4))}
	case OpenLink:
		return []Shape{stroke(5, []float64{4, 10}, on(from, 0), on(to, 0))}
	}
	// A quarter of the way from each side, and a stroke across where it ends.
	part := (to - from) / 4
	half := min(0.5*size, part)
	return []Shape{stroke(3, nil, on(from, 0), on(from+part, 0)), stroke(3, nil, on(to-part, 0), on(to, 0)),
		stroke(3, nil, on(from+part-half/2, half), on(from+part+half/2, -half)), stroke(3, nil, on(to-part-half/2, half), on(to-part+half/2, -half))}
}

// standing is an interval around a mark, as on rails but upright.
func standing(high, low float64, middle Point, mark, half float64) []Shape {
	shapes := bracketMark(high, low, Point{middle.Y, middle.X}, mark, half)
	for _, s := range shapes {
		for i, seg := range s.Path {
			s.Path[i].P[0] = Point{seg.P[0].Y, seg.P[0].X}
		}
	}
	return shapes
}

func (p *linePlan) mark(l *Layer, i int, s Stop) {
	x, small := p.at[i], p.s.small()
	p.s.back.Shapes = append(p.s.back.Shapes, Shape{Path: line(Point{x, p.plotLow}, Point{x, p.plotLow + 0.3*small}), Stroke: InkSoft, Width: 2})
	if !s.Figure.Known {
		return
	}
	size, at := min(0.36*small, 0.22*p.least()), p.point(i)
	if s.Figure.Interval {
		for _, end := range []float64{p.y.at(s.Figure.High), p.y.at(s.Figure.Low)} { // a bracket far off hangs on its mark by a thread
			if far := end - at.Y; math.Abs(far) > 2*size {
				from := at.Y + math.Copysign(1.3*size, far)
				l.Shapes = append(l.Shapes, Shape{Path: line(Point{x, from}, Point{x, end}), Stroke: InkText, Width: 2})
			}
		}
		l.Shapes = append(l.Shapes, standing(p.y.at(s.Figure.High), p.y.at(s.Figure.Low), at, size, min(0.6*small, 0.45*p.least()))...)
	}
	if s.Open {
		l.Shapes = append(l.Shapes, openMark(formOf(p.c.Order), x, at.Y, size, hueOf(p.c.Order)))
		return
	}
	l.Shapes = append(l.Shapes, Shape{Path: meanMark(formOf(p.c.Order), x, at.Y, size), Fill: hueOf(p.c.Order)})
}

// least is how near the nearest marks are. Where editions are many, marks give way so that the lines between them can be told.
func (p *linePlan) least() float64 {
	d := math.Inf(1)
	for i := 1; i < len(p.at); i++ {
		d = min(d, p.at[i]-p.at[i-1])
	}
	return d
}

// footOf sets the words under a stop, and the thread that leads to them.
func (p *linePlan) footOf(l *Layer, i int, x float64) {
	small := p.s.small()
	thread := []Point{{p.at[i], p.plotLow + 0.3*small}, {x, p.plotLow + 1.05*lineHeight*small}}
	l.Shapes = append(l.Shapes, Shape{Path: line(thread...), Stroke: InkSoft, Width: 2})
	row := 0
	for r := range len(p.c.Facts) + 2 {
		if r == 1 && len(p.rows) == len(p.c.Facts)+1 { // no room for intervals
			continue
		}
		bold := p.bold(i, r)
		ink := InkSoft
		if bold {
			ink = InkText
		}
		p.s.put(l, Text{X: x, Y: p.rowY(row), Anchor: Middle, Size: small, Bold: bold, Ink: ink, S: p.rows[row][i]})
		row++
	}
}

// label sets the words over a link, and a thread to the middle of its line.
func (p *linePlan) label(l *Layer, i int, x float64) {
	small := p.s.small()
	for row, text := range p.linkWords(i) {
		ink := InkText
		if row == 1 {
			ink = InkSoft
		}
		p.s.put(l, Text{X: x, Y: p.s.body.Top + (1.15+float64(row))*lineHeight*small + ascent*small, Anchor: Middle, Size: small, Bold: row == 0, Ink: ink, S: text})
	}
	top := p.s.body.Top + 3.25*lineHeight*small
	l.Shapes = append(l.Shapes, Shape{Path: line(Point{x, top}, Point{p.middle(i), p.plotHigh - 0.05*small}), Stroke: InkSoft, Width: 2})
}

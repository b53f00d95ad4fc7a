package chart

import "math"

// frame draws the unit, the grid and the figures of both axes.
func (p *soakPlan) frame() {
	s, small := p.s, p.s.small()
	s.upright(better(clean(p.c.Unit), p.c.Better), p.c.Better, p.x, p.y)
	for _, v := range p.times() {
		s.put(&s.back, Text{X: p.timeX(v), Y: p.y.from + (0.42*lineHeight+ascent+0.1)*small, Anchor: Middle, Size: small, Ink: InkSoft, S: p.time(v), Part: Tick})
	}
}

// upright draws what a scale counts, which way is better, and its grid and figures at the left of the plot between x and y.
func (s *sheet) upright(words string, d Direction, x, y scale) {
	small := s.small()
	t := s.put(&s.back, Text{X: s.body.Left, Y: s.body.Top + ascent*small, Size: small, Ink: InkSoft, S: s.fonts.fit(words, false, (s.body.Right-s.body.Left)/small-1.5)})
	switch d {
	case Less:
		s.back.Shapes = append(s.back.Shapes, arrowDown(t.X+t.Width+0.7*small, t.Y-0.3*small, small)...)
	case More:
		s.back.Shapes = append(s.back.Shapes, arrowUp(t.X+t.Width+0.7*small, t.Y-0.3*small, small)...)
	}
	for most := 8; most > 0; most-- {
		list := ticks(y.low, y.high, most)
		if len(list) > 1 && y.at(list[0])-y.at(list[1]) < 1.6*lineHeight*small && most > 1 {
			continue
		}
		for _, v := range list {
			at := y.at(v)
			s.back.Shapes = append(s.back.Shapes, Shape{Path: line(Point{x.from, at}, Point{x.to, at}), Stroke: InkGrid, Width: 1})
			s.put(&s.back, Text{X: x.from - 0.4*small, Y: at + lift*small - 0.1*small, Anchor: End, Size: small, Ink: InkSoft, S: short(v)})
		}
		break
	}
}

func arrowUp(x, y, size float64) []Shape {
	return []Shape{
		{Path: line(Point{x, y + 0.5*size}, Point{x, y - 0.1*size}), Stroke: InkText, Width: 0.13 * size},
		{Path: polygon(Point{x, y - 0.5*size}, Point{x - 0.26*size, y - 0.08*size}, Point{x + 0.26*size, y - 0.08*size}), Fill: InkText},
	}
}

// time writes a time of the axis; v counts in the axis' unit.
func (p *soakPlan) time(v float64) string {
	switch {
	case p.c.Across != "":
		return short(v) + " " + clean(p.c.Across)
	case p.minutes:
		return short(v) + " min"
	}
	return short(v) + " s"
}

func (p *soakPlan) timeX(v float64) float64 {
	at := v
	if p.minutes {
		at = 60 * v
	}
	half := p.s.width(p.time(v), p.s.small(), false) / 2
	return min(max(p.x.at(at), p.s.body.Left+half), p.s.body.Right-half)
}

func (p *soakPlan) times() []float64 {
	low, high := p.x.low, p.x.high
	if p.minutes {
		low, high = low/60, high/60
	}
	for most := 8; most > 0; most-- {
		list := ticks(low, high, most)
		free := true
		for i := 1; i < len(list); i++ {
			wide := p.s.width(p.time(list[i-1])+p.time(list[i]), p.s.small(), false) / 2
			free = free && p.timeX(list[i])-p.timeX(list[i-1]) > wide+0.8*p.s.small()
		}
		if free {
			return list
		}
	}
	return nil
}

// moments are upright lines with words over the plot; words that would meet those of the moment before are left to the description.
func (p *soakPlan) moments() {
	s, small := p.s, p.s.small()
	y := s.body.Top + (lineHeight+ascent)*small
	free := s.body.Left
	for _, m := range p.c.Marks {
		if !(m.Seconds >= p.x.low && m.Seconds <= p.x.high) {
			continue
		}
		x := p.x.at(m.Seconds)
		s.back.Shapes = append(s.back.Shapes, Shape{Path: line(Point{x, p.y.to}, Point{x, p.y.from}), Stroke: InkSoft, Width: 2, Dash: []float64{3, 8}, Part: Timed})
		words := s.fonts.fit(clean(m.Words), false, (p.x.to-p.x.from)/small)
		half := s.width(words, small, false) / 2
		middle := min(max(x, p.x.from+half), p.x.to-half)
		if middle-half < free {
			continue
		}
		s.put(&s.back, Text{X: middle, Y: y, Anchor: Middle, Size: small, Ink: InkSoft, S: words, Part: Timed})
		free = middle + half + small
	}
}

// curve draws the readings, reduced so that no peak is lost, the model over them, and the words at the end with a thread to the curve where
// they had to move.
func (p *soakPlan) curve(c Curve, words []string, at label) {
	s, small := p.s, p.s.small()
	l := s.layer(c.Row)
	if p.c.Across == "" {
		l.Plot = &Plot{Box: Box{p.x.from, p.y.to, p.x.to, p.y.from}, From: p.x.low, To: p.x.high, Low: p.y.low, High: p.y.high, Minutes: p.minutes, Unit: p.c.Sign}
	}
	ink, width := hueOf(c.Order), 4.0
	if c.Quiet {
		ink, width = InkSoft, 3
	}
	if path := p.path(c.Points); len(path) > 0 {
		l.Shapes = append(l.Shapes, Shape{Path: path, Stroke: ink, Width: width, Part: Trace})
	}
	if path := p.path(c.Model); len(path) > 0 {
		l.Shapes = append(l.Shapes, Shape{Path: path, Stroke: InkText, Width: 2, Dash: []float64{9, 7}, Part: Trace})
	}
	left := p.x.to + 1.2*small
	thread := Shape{Path: line(at.end, Point{p.x.to + 0.3*small, at.end.Y}, Point{left, at.y}, Point{left + 0.3*small, at.y}), Stroke: ink, Width: 2, Part: Whole}
	if p.x.to-at.end.X > small { // it goes on where nothing was measured
		thread.Stroke, thread.Dash = InkGrid, []float64{2, 8}
	}
	l.Shapes = append(l.Shapes, thread)
	if c.Steps {
		for _, r := range c.Points {
			if r.finite() {
				l.Shapes = append(l.Shapes, Shape{Path: meanMark(formOf(c.Order), p.x.at(r.Seconds), p.y.at(r.X), 0.3*small), Fill: ink})
			}
		}
	}
	if !c.Quiet { // at the curve's end and before its words
		form := formOf(c.Order)
		l.Shapes = append(l.Shapes, Shape{Path: meanMark(form, at.end.X, at.end.Y, 0.24*small), Fill: ink, Part: Whole},
			Shape{Path: meanMark(form, left+0.35*small, at.y, 0.3*small), Fill: ink})
	}
	left += 0.9 * small
	for k, text := range words {
		down := (float64(k) - float64(len(words)-1)/2) * lineHeight * small
		s.put(l, Text{X: left, Y: at.y + down + lift*small, Size: small, Ink: InkText, S: text})
	}
	s.add(c.Row, *l)
}

// path joins readings. More than two a unit are reduced to the first, least, most and last of each unit of the picture.
func (p *soakPlan) path(list []Reading) []Segment {
	var points []Point
	for _, r := range list {
		if r.finite() {
			points = append(points, Point{p.x.at(r.Seconds), p.y.at(r.X)})
		}
	}
	if float64(len(points)) > 2*(p.x.to-p.x.from) {
		points = thin(points)
	}
	return line(points...)
}

// thin keeps of the points within one unit of the picture the first, the highest, the lowest and the last.
func thin(points []Point) []Point {
	var out []Point
	for i := 0; i < len(points); {
		j, high, low := i, i, i
		for ; j < len(points) && math.Floor(points[j].X) == math.Floor(points[i].X); j++ {
			if points[j].Y < points[high].Y {
				high = j
			}
			if points[j].Y > points[low].Y {
				low = j
			}
		}
		last := -1
		for _, k := range []int{i, min(high, low), max(high, low), j - 1} {
			if k > last {
				out, last = append(out, points[k]), k
			}
		}
		i = j
	}
	return out
}

package chart

import "sort"

// headings draws the axis' words with the arrow, its figures under the rails, and the columns' headings.
func (p *rowPlan) headings() {
	s, small := p.s, p.s.small()
	back := &s.back
	last := p.top - 0.55*small
	words := better(clean(p.c.Unit), p.c.Better)
	arrowRoom := 0.0
	if p.c.Better != Neither {
		arrowRoom = 2.0
	}
	left, room, at := p.axis.from, (p.axis.to-p.axis.from)/small-arrowRoom, last
	lines := s.fonts.wrap(words, false, room, p.head)
	if p.deck {
		left, room = s.body.Left, (s.body.Right-s.body.Left)/small-arrowRoom
		lines = s.fonts.wrap(words, false, room, p.head)
	}
	if p.apart {
		left, room, at = s.body.Left, (s.body.Right-s.body.Left)/small-arrowRoom, last-lineHeight*small*float64(p.head-1)
		if s.fonts.Width(words, false) > room {
			words = clean(p.c.Unit) // the arrow says the rest
		}
		lines = []string{s.fonts.cut(words, false, room)}
	}
	for i, l := range lines {
		t := s.put(back, Text{X: left, Y: at - float64(len(lines)-1-i)*lineHeight*small, Size: small, Ink: InkSoft, S: l})
		if i == len(lines)-1 {
			back.Shapes = append(back.Shapes, arrow(p.c.Better, t.X+t.Width+0.4*small, t.Y-0.3*small, small)...)
		}
	}
	for _, c := range p.columns {
		for i, l := range c.heading {
			s.put(back, Text{X: c.right, Y: last - float64(len(c.heading)-1-i)*lineHeight*small, Anchor: End, Size: small, Ink: InkSoft, S: l})
		}
	}
	foot := p.top + p.pitch*float64(len(p.c.Rails))
	for _, v := range p.axisTicks() {
		s.put(back, Text{X: p.tickX(v), Y: foot + (ascent+0.1)*small, Anchor: Middle, Size: small, Ink: InkSoft, S: p.tick(v)})
	}
}

// axisTicks are as many as have room for their figures.
func (p *rowPlan) axisTicks() []float64 {
	small := p.s.small()
	for most := 6; most > 0; most-- {
		list := ticks(p.axis.low, p.axis.high, most)
		free := true
		for i := 1; i < len(list); i++ {
			wide := (p.s.width(p.tick(list[i-1]), small, false) + p.s.width(p.tick(list[i]), small, false)) / 2
			free = free && p.tickX(list[i])-p.tickX(list[i-1]) > wide+0.8*small
		}
		if free && len(list) > 1 {
			return list
		}
	}
	return nil
}

// tick writes a figure of the axis.
func (p *rowPlan) tick(v float64) string {
	if p.c.signed && v > 0 {
		return "+" + short(v)
	}
	return short(v)
}

// tickX is the middle of an axis figure: under its place, or as near to it as the picture's edge lets it.
func (p *rowPlan) tickX(v float64) float64 {
	half := p.s.width(p.tick(v), p.s.small(), false) / 2
	return min(max(p.axis.at(v), p.s.body.Left+half), p.s.body.Right-half)
}

// railY is the height of a row's rail, and the half of the room around it.
func (p *rowPlan) railY(i int) (y, half float64) {
	top, small := p.top+float64(i)*p.pitch, p.s.small()
	if !p.deck {
		return top + p.pitch/2, p.pitch / 2
	}
	half = lineHeight * small / 2
	return top + lineHeight*p.mean + half, half
}

// row draws one card's rail, words and figures into its layer.
func (p *rowPlan) row(i int, r Rail) {
	l := p.s.layer(r.Row)
	y, half := p.railY(i)
	p.names(l, i, r)
	if !r.Figure.Known {
		p.absentRail(l, y, r)
	} else {
		p.rail(l, y, half, r)
	}
	for _, c := range p.columns {
		p.figure(l, i, c, r)
	}
	if p.third {
		p.thirdLine(l, i, r)
	}
	p.s.add(r.Row, *l)
}

// lift moves a text from the middle of its box to the line it stands on; that is also about half of a capital's height.
const lift = (ascent - descent) / 2

func (p *rowPlan) names(l *Layer, i int, r Rail) {
	s, small := p.s, p.s.small()
	left, top := s.body.Left, p.top+float64(i)*p.pitch
	room := p.nameRoom(r)
	bold := r.Standing == Base
	if p.deck {
		s.put(l, Text{X: left, Y: top + ascent*p.mean, Size: p.name, Bold: bold, Ink: InkText, S: p.oneLine(r, bold, room/p.name)})
		return
	}
	y := top + p.pitch/2
	name, mode := clean(r.Name), clean(r.Mode)
	if !p.two {
		s.put(l, Text{X: left, Y: y + lift*p.name, Size: p.name, Bold: bold, Ink: InkText, S: p.oneLine(r, bold, room/p.name)})
		return
	}
	if mode == "" {
		lines := s.fonts.wrap(name, bold, room/p.name, 2)
		if len(lines) == 2 && 2*lineHeight*p.name > p.pitch {
			lines = []string{s.fonts.fit(name, bold, room/p.name)}
		}
		for k, text := range lines {
			at := y + lift*p.name + (float64(k)-float64(len(lines)-1)/2)*lineHeight*p.name
			s.put(l, Text{X: left, Y: at, Size: p.name, Bold: bold, Ink: InkText, S: text})
		}
		return
	}
	block := lineHeight * (p.name + small)
	s.put(l, Text{X: left, Y: y - block/2 + ascent*p.name, Size: p.name, Bold: bold, Ink: InkText, S: s.fonts.shorten(name, bold, room/p.name, p.share)})
	s.put(l, Text{X: left, Y: y + block/2 - descent*small, Size: small, Ink: InkSoft, S: s.fonts.fit(mode, false, room/small)})
}

// oneLine is what a row with one line for names says: name and mode where they fit or the mode tells rows apart, else the name.
func (p *rowPlan) oneLine(r Rail, bold bool, ems float64) string {
	if p.third { // which says the mode
		r.Mode = ""
	}
	return p.s.fonts.oneName(r.Row, p.tells(r), bold, ems, p.share)
}

// tells is whether another row has the same name.
func (p *rowPlan) tells(r Rail) bool {
	n := 0
	for _, o := range p.c.Rails {
		if o.Name == r.Name {
			n++
		}
	}
	return n > 1
}

func (p *rowPlan) figure(l *Layer, i int, c column, r Rail) {
	s, small := p.s, p.s.small()
	t, under := p.cell(r, c.kind)
	if t.S == "" {
		return
	}
	t.S = s.fonts.fit(t.S, t.Bold, (c.right-c.left)/t.Size)
	t.X, t.Anchor = c.right, End
	top := p.top + float64(i)*p.pitch
	if p.deck {
		t.Y = top + ascent*p.mean
		s.put(l, t)
		return
	}
	t.Y = top + p.pitch/2 + lift*t.Size
	if under != "" {
		block := lineHeight * (t.Size + small)
		t.Y = top + p.pitch/2 - block/2 + ascent*t.Size
		s.put(l, Text{X: c.right, Y: top + p.pitch/2 + block/2 - descent*small, Anchor: End, Size: small, Ink: InkSoft,
			S: s.fonts.fit(under, false, (c.right-c.left)/small)})
	}
	s.put(l, t)
}

// thirdLine stands under the rail of a deck: the second figure at the left, the note or the interval at the right.
func (p *rowPlan) thirdLine(l *Layer, i int, r Rail) {
	s, small := p.s, p.s.small()
	y, half := p.railY(i)
	base := y + half + ascent*small
	left := clean(r.Mode)
	if r.Second.Known && r.Figure.Known && p.c.Second != "" {
		left = joinWith(left, " · ", clean(p.c.Second)+" "+number(r.Second.X, p.c.Decimals))
	}
	if r.long != "" {
		left = joinWith(left, " · ", r.long)
	} else if r.Note != "" {
		left = joinWith(left, " · ", clean(r.Note))
	}
	interval := p.interval(r)
	if r.verdict() == "" { // it stands over the rail already
		interval = ""
	}
	right := s.put(l, Text{X: s.body.Right, Y: base, Anchor: End, Size: small, Ink: InkSoft, S: interval})
	room := (s.body.Right - s.body.Left - right.Width - small) / small
	s.put(l, Text{X: s.body.Left, Y: base, Size: small, Ink: InkSoft, S: s.fonts.cut(left, false, room)})
}

func joinWith(a, sep, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + sep + b
}

func (p *rowPlan) absentRail(l *Layer, y float64, r Rail) {
	s, small := p.s, p.s.small()
	x := p.axis.from
	l.Shapes = append(l.Shapes, Shape{Path: line(Point{x, y - 0.3*small}, Point{x, y + 0.3*small}), Stroke: InkGrid, Width: 3})
	t := s.put(l, Text{X: x + 0.6*small, Y: y + lift*small, Size: small, Ink: InkWarn, S: s.fonts.reason(clean(r.absent()), (p.axis.to-x-0.6*small)/small)})
	if from := t.X + t.Width + 0.5*small; from < p.axis.to-small {
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{from, y}, Point{p.axis.to, y}), Stroke: InkGrid, Width: 2, Dash: []float64{2, 12}})
	}
}

// rail draws the rail with its sleepers at the axis' figures, the stretch between the marks, the marks and the bracket.
func (p *rowPlan) rail(l *Layer, y, half float64, r Rail) {
	ink, form := hueOf(r.Order), formOf(r.Order)
	size := min(max(0.17*2*half, 0.34*p.s.small()), 0.62*p.s.small())
	x := p.axis.at(r.Figure.X)
	var gaps [][2]float64
	open := !r.Standing.resolved()
	if open {
		gaps = append(gaps, [2]float64{x - size, x + size})
	}
	second := r.Second.Known && p.c.Second != ""
	at := p.axis.at(r.Second.X)
	if second {
		gaps = append(gaps, [2]float64{at - 0.95*size, at + 0.95*size})
	}
	for _, part := range lessGaps(p.axis.from, p.axis.to, gaps) {
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{part[0], y}, Point{part[1], y}), Stroke: InkGrid, Width: 2})
	}
	for _, v := range p.axisTicks() {
		if len(lessGaps(p.axis.at(v)-0.5, p.axis.at(v)+0.5, gaps)) == 0 { // not inside a hollow mark
			continue
		}
		h := 0.16 * p.s.small()
		if v == 0 {
			h *= 2
		}
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{p.axis.at(v), y - h}, Point{p.axis.at(v), y + h}), Stroke: InkGrid, Width: 2})
	}
	if second {
		for _, part := range lessGaps(min(at, x), max(at, x), gaps) {
			l.Shapes = append(l.Shapes, Shape{Path: line(Point{part[0], y}, Point{part[1], y}), Stroke: ink, Width: 0.62 * size})
		}
		l.Shapes = append(l.Shapes, secondMark(at, y, size*1.05, ink))
	} else if !open {
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{p.axis.at(0), y}, Point{x, y}), Stroke: ink, Width: 0.4 * size})
	}
	if open {
		l.Shapes = append(l.Shapes, openMark(form, x, y, size, ink))
	} else {
		l.Shapes = append(l.Shapes, Shape{Path: meanMark(form, x, y, size), Fill: ink})
	}
	if r.wider.Known && r.wider.Interval {
		l.Shapes = append(l.Shapes, widerMark(p.axis.at(r.wider.Low), p.axis.at(r.wider.High), y, 0.6*size)...)
	}
	if r.Figure.Interval {
		low, high := max(p.axis.at(r.Figure.Low), p.axis.from), min(p.axis.at(r.Figure.High), p.axis.to)
		l.Shapes = append(l.Shapes, bracketMark(low, high, Point{x, y}, size, max(1.25*size, min(1.7*size, 0.78*half)))...)
	}
}

// lessGaps gives what is left of a stretch without the gaps.
func lessGaps(from, to float64, gaps [][2]float64) [][2]float64 {
	sort.Slice(gaps, func(i, j int) bool { return gaps[i][0] < gaps[j][0] })
	var out [][2]float64
	for _, g := range gaps {
		if g[0] > from && min(g[0], to) > from {
			out = append(out, [2]float64{from, min(g[0], to)})
		}
		from = max(from, g[1])
	}
	if from < to {
		out = append(out, [2]float64{from, to})
	}
	return out
}

// baseline is a broken line through all rails, with a foot that points at its figure; it leaves rows alone whose rail is words.
func (p *rowPlan) baseline(v float64) {
	x, small := p.axis.at(v), p.s.small()
	l := Layer{ID: "baseline", Title: "baseline"}
	for i, r := range p.c.Rails {
		if !r.Figure.Known {
			continue
		}
		y, half := p.railY(i)
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{x, y - half}, Point{x, y + half}), Stroke: InkBase, Width: 3, Dash: []float64{5, 7}})
	}
	top := p.top
	if p.deck {
		y, half := p.railY(0)
		top = y - half
	}
	if !p.deck {
		l.Shapes = append(l.Shapes, Shape{Path: polygon(Point{x, top}, Point{x - 0.2*small, top - 0.28*small}, Point{x + 0.2*small, top - 0.28*small}), Fill: InkBase})
	}
	p.s.under = append(p.s.under, l)
}

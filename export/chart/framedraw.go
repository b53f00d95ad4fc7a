package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// strconv6 writes a number with six significant figures: a thousandth of a unit after an hour.
func strconv6(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// seconds3 writes a time to the millisecond.
func seconds3(x float64) string { return short(math.Round(x*1000) / 1000) }

// frame draws the words of the scale and the figures of time under the last lane.
func (p *lanePlan) frame() {
	s, small := p.s, p.s.small()
	words := "frame time in ms"
	switch {
	case p.y.log && !p.above:
		words += ", each lane logarithmic from " + number(p.y.low, 0) + " to " + number(p.y.high, 0)
	case p.y.log:
		words += " on a logarithmic scale"
	case !p.above:
		words += ", each lane from 0 to " + number(p.y.high, 0)
	}
	room := (s.body.Right-s.body.Left)/small - 1.5
	t := s.put(&s.back, Text{X: s.body.Left, Y: s.body.Top + ascent*small, Size: small, Ink: InkSoft, S: s.fonts.cut(words+", less is better", false, room)})
	s.back.Shapes = append(s.back.Shapes, arrowDown(t.X+t.Width+0.7*small, t.Y-0.3*small, small)...)
	y := p.top + p.pitch*float64(len(p.c.Lanes)) + (ascent+0.1)*small
	for _, v := range p.times() {
		s.put(&s.back, Text{X: p.timeX(v), Y: y, Anchor: Middle, Size: small, Ink: InkSoft, S: short(v) + " s", Part: Tick})
	}
}

// arrowDown points to the better side of a scale that rises.
func arrowDown(x, y, size float64) []Shape {
	return []Shape{
		{Path: line(Point{x, y - 0.5*size}, Point{x, y + 0.1*size}), Stroke: InkText, Width: 0.13 * size},
		{Path: polygon(Point{x, y + 0.5*size}, Point{x - 0.26*size, y + 0.08*size}, Point{x + 0.26*size, y + 0.08*size}), Fill: InkText},
	}
}

func (p *lanePlan) timeX(v float64) float64 {
	half := p.s.width(short(v)+" s", p.s.small(), false) / 2
	return min(max(p.x.at(v), p.s.body.Left+half), p.s.body.Right-half)
}

// times are the figures under the lanes.
func (p *lanePlan) times() []float64 {
	for most := 12; most > 0; most-- {
		list := ticks(p.x.low, p.x.high, most)
		free := true
		for i := 1; i < len(list); i++ {
			wide := p.s.width(short(list[i-1])+" s"+short(list[i])+" s", p.s.small(), false) / 2
			free = free && p.timeX(list[i])-p.timeX(list[i-1]) > wide+p.s.small()
		}
		if free {
			return list
		}
	}
	return nil
}

// lane draws one pass into its layer.
func (p *lanePlan) lane(i int, c Lane) {
	l := p.s.layer(c.Row)
	b := p.box(i)
	y := p.y
	y.from, y.to = b.Bottom, b.Top
	l.Plot = &Plot{Box: b, From: p.x.low, To: p.x.high, Low: y.low, High: y.high, Log: y.log, Unit: "ms"}
	p.grid(l, b, y)
	columns := p.c.Columns
	if columns < 1 {
		columns = int(b.Right - b.Left)
	}
	wide := (b.Right - b.Left) / float64(columns)
	path := trace(reduce(c.MS, p.x.low-c.Start, p.x.high-c.Start, columns), func(k int) float64 { return b.Left + (float64(k)+0.5)*wide }, y.at)
	if len(path) > 0 {
		l.Shapes = append(l.Shapes, Shape{Path: path, Stroke: hueOf(c.Order), Width: 2, Part: Trace})
	}
	if p.c.Limit > 0 && p.c.Limit >= y.low {
		at := y.at(p.c.Limit)
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{b.Left, at}, Point{b.Right, at}), Stroke: InkBase, Width: 2, Dash: []float64{6, 6}})
	}
	p.words(l, i, c)
	p.strip(l, b, c)
	p.s.add(c.Row, *l)
}

func (p *lanePlan) grid(l *Layer, b Box, y scale) {
	small := p.s.small()
	for _, v := range p.ticks() {
		at := y.at(v)
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{b.Left, at}, Point{b.Right, at}), Stroke: InkGrid, Width: 1})
		if p.above {
			p.s.put(l, Text{X: b.Left - 0.4*small, Y: p.tickY(b, v) + lift*small, Anchor: End, Size: small, Ink: InkSoft, S: short(v)})
		}
	}
	l.Shapes = append(l.Shapes, Shape{Path: line(Point{b.Left, b.Bottom}, Point{b.Right, b.Bottom}), Stroke: InkGrid, Width: 2})
}

// words are a lane's name with the mark of its card, and its note.
func (p *lanePlan) words(l *Layer, i int, c Lane) {
	s, small := p.s, p.s.small()
	name, note, ink := clean(c.label()), clean(c.Note), InkSoft
	if c.Doubt {
		ink = InkWarn
	}
	if !p.above {
		middle := p.top + (float64(i)+0.5)*p.pitch
		s.put(l, Text{X: s.body.Left, Y: middle + lift*small, Size: small, Ink: InkText, S: p.names[i]})
		return
	}
	y := p.top + float64(i)*p.pitch + ascent*small
	r := 0.36 * small
	l.Shapes = append(l.Shapes, Shape{Path: meanMark(formOf(c.Order), p.x.from+r, y-0.34*small, r), Fill: hueOf(c.Order)})
	room := (p.x.to - p.x.from - 3*r) / small
	if c.Doubt {
		note = s.fonts.cut(note, false, 0.55*room)
	} else if note = p.quietNote(c, room); !p.notes {
		note = ""
	}
	t := s.put(l, Text{X: p.x.to, Y: y, Anchor: End, Size: small, Ink: ink, S: note})
	s.put(l, Text{X: p.x.from + 3*r, Y: y, Size: small, Bold: true, Ink: InkText, S: s.fonts.fit(name, true, room-t.Width/small-1)})
}

// quietNote is a note that is no warning, in the room that a lane's name leaves: as many of its parts as fit.
func (p *lanePlan) quietNote(c Lane, room float64) string {
	f := p.s.fonts
	return f.cut(clean(c.Note), false, max(room-f.Width(clean(c.label()), true)-1, 0.3*room))
}

// allNotes tells whether every lane can say its quiet note; they are left out of all where one would be shortened.
func (p *lanePlan) allNotes() bool {
	small := p.s.small()
	return !slices.ContainsFunc(p.c.Lanes, func(c Lane) bool {
		return !c.Doubt && strings.HasSuffix(p.quietNote(c, (p.x.to-p.x.from)/small-1.08), "…")
	})
}

// strip draws each second against the others; where a second differs by 5 % or more and there is room, the percentage stands in it.
func (p *lanePlan) strip(l *Layer, b Box, c Lane) {
	if !p.strips {
		return
	}
	top := b.Bottom + 0.12*p.s.small()
	for k, f := range c.Seconds {
		from := c.Start + float64(k)
		left, right := p.x.at(max(from, p.x.low)), p.x.at(min(from+1, p.x.high))
		if right-left < 0.5 || !f.Known {
			continue
		}
		gap := min(1.5, (right-left)/6)
		for _, cell := range secondCell(Box{left + gap, top, right - gap, top + p.stripH}, f.X) {
			cell.Part = Whole
			l.Shapes = append(l.Shapes, cell)
		}
	}
}

// secondCell is one second of a strip: as high as it differs, and below or above the middle as it is slower or faster, so that it is told
// without colour. Under 5 % it is a quiet line.
func secondCell(b Box, percent float64) []Shape {
	middle := (b.Top + b.Bottom) / 2
	if math.Abs(percent) < 5 {
		return []Shape{{Path: rect(Box{b.Left, middle - 1.5, b.Right, middle + 1.5}), Fill: InkGrid}}
	}
	reach := (b.Bottom - b.Top) / 2 * min(1, 0.35+math.Abs(percent)/60)
	if percent < 0 {
		return []Shape{{Path: rect(Box{b.Left, middle, b.Right, middle + reach}), Fill: InkWarn}}
	}
	return []Shape{{Path: rect(Box{b.Left, middle - reach, b.Right, middle}), Fill: InkSoft}}
}

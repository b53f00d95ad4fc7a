package chart

import (
	"fmt"
	"math"
)

// Distribution is the chart of how frame times spread: a lane a card, over each frame time as high as it is common, each lane as high as its own
// commonest time. A single frame still shows, so a rare long one is not smoothed away.
type Distribution struct {
	Head
	Lanes []Distributed
	Marks []string // what the marks on a lane are, up to three: "half of the frames are within"
}

// Distributed is one card or pass.
type Distributed struct {
	Row
	MS   []float64
	At   []Figure // ms, as Marks names them
	Note string   // "half within 8.3 ms, 99 % within 14.2 ms"
}

// distribution draws on the lanes of a FrameTimes, whose time is now the frame time.
type distribution struct {
	*lanePlan
	d Distribution
}

// Picture lays the chart out.
func (d Distribution) Picture(f Format, look Look) Picture {
	c := FrameTimes{Head: d.Head}
	var lists [][]float64
	for _, l := range d.Lanes {
		c.Lanes = append(c.Lanes, Lane{Row: l.Row, Note: l.Note})
		lists = append(lists, l.MS)
	}
	s := look.enlarged(f, func(f Format) *sheet {
		line := lineHeight * f.small()
		return newSheet(d.Head, f, look, d.keys(), c.wish()*line, c.need()*line)
	})
	p := distribution{planLanes(s, c), d}
	from, to := p.x.from, p.x.to
	if p.above { // no figures stand at the left of a lane
		from = s.body.Left
	}
	p.x = d.beginning(reachOf(lists, d.most()))
	p.x.from, p.x.to = from+0.3*s.small(), to-0.3*s.small() // marks at the ends stay inside
	p.frame()
	for i, l := range d.Lanes {
		p.lane(i, l)
	}
	return s.picture(d.describe())
}

// beginning lets a linear scale begin at a round figure under the shortest frame, where nothing is nearer to zero: no length is compared here, so the
// width is for where the frames are.
func (d Distribution) beginning(x scale) scale {
	least := math.Inf(1)
	for _, l := range d.Lanes {
		for _, v := range l.MS {
			if v > 0 {
				least = min(least, v)
			}
		}
		for _, f := range l.At {
			if f.Known {
				least = min(least, f.X)
			}
		}
	}
	if x.log || !(least < x.high) {
		return x
	}
	step := roundStep((x.high - least) / 8)
	if low := math.Floor(least/step) * step; low > x.high/5 {
		x.low = low
	}
	return x
}

// most is the largest mark.
func (d Distribution) most() float64 {
	var m float64
	for _, l := range d.Lanes {
		for _, f := range l.At {
			if f.Known && !math.IsInf(f.X, 0) {
				m = max(m, f.X)
			}
		}
	}
	return m
}

// markOf is the form of a lane's marks in their order: a disc, a diamond, a bar.
func markOf(i int, x, y, r float64, ink Ink) Shape {
	switch i {
	case 0:
		return Shape{Path: circle(x, y, r), Fill: ink}
	case 1:
		return secondMark(x, y, 1.1*r, ink)
	}
	return Shape{Path: rect(Box{x - 0.3*r, y - 1.2*r, x + 0.3*r, y + 1.2*r}), Fill: ink}
}

func (d Distribution) keys() []key {
	var keys []key
	for i, words := range d.Marks[:min(3, len(d.Marks))] {
		keys = append(keys, key{width: 0.9, words: words, draw: func(x, y, size float64) []Shape {
			return []Shape{markOf(i, x+0.45*size, y, 0.36*size, InkText)}
		}})
	}
	return keys
}

func (p distribution) frame() {
	s, small := p.s, p.s.small()
	words := "how common each frame time is"
	if p.x.log {
		words += ", logarithmic"
	}
	s.put(&s.back, Text{X: s.body.Left, Y: s.body.Top + ascent*small, Size: small, Ink: InkSoft, S: s.fonts.cut(words, false, (s.body.Right-s.body.Left)/small)})
	y := p.top + p.pitch*float64(len(p.c.Lanes)) + (ascent+0.1)*small
	for _, v := range p.figures() {
		s.put(&s.back, Text{X: p.figureX(v), Y: y, Anchor: Middle, Size: small, Ink: InkSoft, S: short(v) + " ms"})
	}
}

func (p distribution) figureX(v float64) float64 {
	half := p.s.width(short(v)+" ms", p.s.small(), false) / 2
	return min(max(p.x.at(v), p.s.body.Left+half), p.s.body.Right-half)
}

// figures are those of the axis, as many as have room.
func (p distribution) figures() []float64 {
	free := func(list []float64) bool {
		for i := 1; i < len(list); i++ {
			wide := p.s.width(short(list[i-1])+" ms"+short(list[i])+" ms", p.s.small(), false) / 2
			if p.figureX(list[i])-p.figureX(list[i-1]) < wide+0.8*p.s.small() {
				return false
			}
		}
		return true
	}
	if p.x.log {
		return logTicks(p.x.low, p.x.high, free)
	}
	for most := 10; most > 0; most-- {
		if list := ticks(p.x.low, p.x.high, most); free(list) {
			return list
		}
	}
	return nil
}

// counts lays frames into so many equal steps of the axis.
func counts(ms []float64, axis scale, steps int) []int {
	out := make([]int, steps)
	for _, x := range ms {
		if x > 0 && !math.IsInf(x, 0) {
			at := (axis.at(x) - axis.from) / (axis.to - axis.from) * float64(steps)
			out[min(max(int(at), 0), steps-1)]++
		}
	}
	return out
}

func (p distribution) lane(i int, d Distributed) {
	l := p.s.layer(d.Row)
	small, ink := p.s.small(), hueOf(d.Order)
	b := p.box(i)
	b.Left, b.Bottom = p.x.from, b.Bottom-0.5*small // the marks stand under the lane's foot
	for _, v := range p.figures() {
		x := p.x.at(v)
		l.Shapes = append(l.Shapes, Shape{Path: line(Point{x, b.Bottom}, Point{x, b.Bottom + 0.25*small}), Stroke: InkGrid, Width: 2})
	}
	steps := int((b.Right - b.Left) / 6)
	n := counts(d.MS, p.x, steps)
	most := 0
	for _, k := range n {
		most = max(most, k)
	}
	wide := (b.Right - b.Left) / float64(steps)
	high := max(b.Bottom-b.Top, 4)
	for from := 0; from < steps; from++ {
		if n[from] == 0 {
			continue
		}
		to := from
		path := []Point{{b.Left + float64(from)*wide, b.Bottom}}
		for ; to < steps && n[to] > 0; to++ {
			y := b.Bottom - max(3, high*float64(n[to])/float64(most)) // one frame in a million shows
			path = append(path, Point{b.Left + float64(to)*wide, y}, Point{b.Left + float64(to+1)*wide, y})
		}
		path = append(path, Point{b.Left + float64(to)*wide, b.Bottom})
		l.Shapes = append(l.Shapes, Shape{Path: polygon(path...), Fill: ink})
		from = to
	}
	l.Shapes = append(l.Shapes, Shape{Path: line(Point{b.Left, b.Bottom}, Point{b.Right, b.Bottom}), Stroke: InkGrid, Width: 2})
	for k, f := range d.At[:min(3, len(d.At))] {
		if f.Known && f.X > 0 && !math.IsInf(f.X, 0) {
			l.Shapes = append(l.Shapes, markOf(k, p.x.at(f.X), b.Bottom+0.27*small, 0.24*small, InkText))
		}
	}
	p.words(l, i, Lane{Row: d.Row, Note: d.Note})
	p.s.add(d.Row, *l)
}

func (d Distribution) describe() []string {
	var out []string
	for _, l := range d.Lanes {
		said := fmt.Sprintf("%s: %d frames", clean(l.label()), len(l.MS))
		for i, f := range l.At {
			if i < len(d.Marks) && f.Known {
				said += ", " + clean(d.Marks[i]) + " " + number(f.X, 1) + " ms"
			}
		}
		out = append(out, said)
	}
	return out
}

package chart

import (
	"fmt"
	"math"
	"slices"
)

// FrameTimes shows passes beside each other over time, each in a lane of its own on one scale: laid over one another they would hide what they
// are compared for. Under a lane may stand a strip that says of each second how the pass ran against its siblings.
type FrameTimes struct {
	Head
	Lanes      []Lane
	From, To   float64 // seconds of the captures shown; both 0: all
	Limit      float64 // ms; a broken line through every lane; 0: none
	LimitWords string  // "a 60 Hz screen"
	Against    string  // what a strip compares with: "the median of all passes"
	Columns    int     // to which frame times are reduced; 0: one a unit of the format
}

// Lane is one pass.
type Lane struct {
	Row
	Start   float64   // second of the capture that the first frame starts at
	MS      []float64 // frame times in order
	Note    string    // "slow from 3 to 8 s"
	Doubt   bool      // the note is a warning
	Seconds []Figure  // percent against the others, second by second from Start on; none: no strip
}

// lanePlan is where lanes go.
type lanePlan struct {
	s      *sheet
	c      FrameTimes
	above  bool // names stand over the lanes and figures at their left; else names at the left
	strips bool
	notes  bool // lanes say their notes
	names  []string
	top    float64
	pitch  float64
	x, y   scale // y for a lane from 0 down to its height
	stripH float64
}

// Picture lays the chart out.
func (c FrameTimes) Picture(f Format, look Look) Picture {
	p := c.plan(f, look)
	p.frame()
	for i, l := range c.Lanes {
		p.lane(i, l)
	}
	return p.s.picture(c.describe(p))
}

func (c FrameTimes) plan(f Format, look Look) *lanePlan {
	s := look.enlarged(f, func(f Format) *sheet {
		line := lineHeight * f.small()
		return newSheet(c.Head, f, look, c.keys(), c.wish()*line, c.need()*line)
	})
	return planLanes(s, c)
}

// wish is the height in lines for lanes under their names: five a lane while they are few, two in any case.
func (c FrameTimes) wish() float64 {
	n := float64(len(c.Lanes))
	return 3 + max(2*n, min(5*n, 14))
}

// need is the least height in lines: one a lane, its name at the left.
func (c FrameTimes) need() float64 {
	n := float64(len(c.Lanes))
	return 3 + max(1.05*n, min(5*n, 14))
}

func (c FrameTimes) keys() []key {
	var keys []key
	if c.Limit > 0 {
		words := number(c.Limit, 1) + " ms"
		if c.LimitWords != "" {
			words += ": " + c.LimitWords
		}
		keys = append(keys, key{width: 1.2, words: words, draw: func(x, y, size float64) []Shape {
			return []Shape{{Path: line(Point{x, y}, Point{x + 1.2*size, y}), Stroke: InkBase, Width: 2, Dash: []float64{6, 6}}}
		}})
	}
	if c.strips() {
		keys = append(keys, key{width: 0.7, words: "a second as fast as " + c.against(), draw: func(x, y, size float64) []Shape {
			return secondCell(Box{x, y - 0.25*size, x + 0.7*size, y + 0.25*size}, 0)
		}}, key{width: 0.7, words: "slower", draw: func(x, y, size float64) []Shape {
			return secondCell(Box{x, y - 0.25*size, x + 0.7*size, y + 0.25*size}, -100)
		}}, key{width: 0.7, words: "faster", draw: func(x, y, size float64) []Shape {
			return secondCell(Box{x, y - 0.25*size, x + 0.7*size, y + 0.25*size}, 100)
		}})
	}
	return keys
}

func (c FrameTimes) against() string {
	if c.Against != "" {
		return clean(c.Against)
	}
	return "the median of all passes"
}

func (c FrameTimes) strips() bool {
	return slices.ContainsFunc(c.Lanes, func(l Lane) bool { return len(l.Seconds) > 0 })
}

// span is the time shown.
func (c FrameTimes) span() (from, to float64) {
	if c.To > c.From {
		return c.From, c.To
	}
	from = math.Inf(1)
	for _, l := range c.Lanes {
		from, to = min(from, l.Start), max(to, l.Start+max(seconds(l.MS), float64(len(l.Seconds))))
	}
	if math.IsInf(from, 1) {
		from = 0
	}
	return from, max(to, from+1e-3)
}

// reach is the scale of the lanes' frame times.
func (c FrameTimes) reach() scale {
	var lists [][]float64
	for _, l := range c.Lanes {
		lists = append(lists, l.MS)
	}
	return reachOf(lists, c.Limit)
}

// reachOf is a scale of frame times that shows a limit too: from zero, but logarithmic where the longest frame is more than six times the middle one,
// which would press everything else into a corner. Then it begins at a quarter of the middle frame of the fastest list; what is shorter stands at
// its end.
func reachOf(lists [][]float64, limit float64) scale {
	var all []float64
	least := math.Inf(1)
	for _, list := range lists {
		var some []float64
		for _, x := range list {
			if x > 0 && !math.IsInf(x, 0) {
				some = append(some, x)
			}
		}
		if len(some) > 0 {
			slices.Sort(some)
			least = min(least, some[len(some)/2]/4)
			all = append(all, some...)
		}
	}
	if len(all) == 0 {
		return scale{high: max(1, 1.05*limit)}
	}
	slices.Sort(all)
	most, middle := max(all[len(all)-1], 1.05*limit), all[len(all)/2]
	if most <= 6*middle {
		return scale{high: 1.05 * most}
	}
	return scale{low: least, high: 1.1 * most, log: true}
}

// planLanes shares the body among the lanes.
func planLanes(s *sheet, c FrameTimes) *lanePlan {
	p := &lanePlan{s: s, c: c, strips: c.strips(), y: c.reach()}
	small := s.small()
	n := float64(max(len(c.Lanes), 1))
	p.top = s.body.Top + lineHeight*small
	room := s.body.Bottom - lineHeight*small*1.15 - p.top
	p.pitch = room / n
	p.above = p.pitch >= (2*lineHeight+0.9)*small
	if p.strips {
		p.stripH = min(0.9*small, 0.2*p.pitch)
	}
	gutter := 0.0
	for _, v := range p.ticks() {
		gutter = max(gutter, s.width(short(v), small, false))
	}
	if !p.above {
		gutter = 0
		for _, l := range c.Lanes {
			gutter = max(gutter, s.width(clean(l.label()), small, false))
		}
		gutter = min(gutter, 0.28*(s.body.Right-s.body.Left))
	}
	var rows []Row
	for _, l := range c.Lanes {
		rows = append(rows, l.Row)
	}
	p.x.low, p.x.high = c.span()
	p.x.from, p.x.to = s.body.Left+gutter+0.5*small, s.body.Right
	p.names = s.fonts.namesOf(rows, false, (p.x.from-s.body.Left-0.5*small)/small)
	p.notes = p.allNotes()
	return p
}

// box is the plot of a lane, without its words and its strip.
func (p *lanePlan) box(i int) Box {
	small := p.s.small()
	top := p.top + float64(i)*p.pitch
	bottom := top + p.pitch - p.stripH - 0.12*small
	if p.strips {
		bottom -= 0.12 * small
	}
	if p.above {
		top += lineHeight * small
	}
	return Box{p.x.from, top, p.x.to, bottom}
}

// ticks are the figures of the lanes' scale, as many as stand over one another in a lane.
func (p *lanePlan) ticks() []float64 {
	b := p.box(0)
	if p.y.log {
		return logTicks(p.y.low, p.y.high, func(list []float64) bool { return p.free(b, list) })
	}
	for most := int((b.Bottom - b.Top) / (lineHeight * p.s.small())); most > 0; most-- {
		if list := ticks(p.y.low, p.y.high, most); p.free(b, list) {
			return list
		}
	}
	return []float64{0}
}

// free tells whether the figures of a scale stand clear of one another.
func (p *lanePlan) free(b Box, list []float64) bool {
	for i := 1; i < len(list); i++ {
		if p.tickY(b, list[i-1])-p.tickY(b, list[i]) < lineHeight*p.s.small() {
			return false
		}
	}
	return true
}

// tickY is the middle of a scale's figure: at its line, but not so low that it would reach the figures of time.
func (p *lanePlan) tickY(b Box, v float64) float64 {
	y, small := p.y, p.s.small()
	y.from, y.to = b.Bottom, b.Top
	return min(y.at(v), b.Bottom-lineHeight*small/2+0.1*small)
}

// describe says the lanes in words, and where time stands on the picture: for an editor who moves a mark over it.
func (c FrameTimes) describe(p *lanePlan) []string {
	var out []string
	for _, l := range c.Lanes {
		said := fmt.Sprintf("%s: %d frames in %s s", clean(l.label()), len(l.MS), number(seconds(l.MS), 1))
		if l.Note != "" {
			said += ", " + clean(l.Note)
		}
		out = append(out, said)
	}
	return append(out, fmt.Sprintf("time base: seconds of the capture at its own speed; second %s stands %s units from the left of %s, each second is %s wide, and second %s is the last",
		seconds3(p.x.low), coordinate(p.x.from), coordinate(p.s.Width), strconv6((p.x.to-p.x.from)/(p.x.high-p.x.low)), seconds3(p.x.high)))
}

// TimeBase says where time stands on a picture of frame times.
type TimeBase struct {
	FromS, ToS float64 // seconds of the capture at the plot's left and right
	Left       float64 // of the plot, in units from the left of the picture
	PerSecond  float64 // units
}

// TimeBase lays the chart out and tells where time stands on it.
func (c FrameTimes) TimeBase(f Format, look Look) TimeBase {
	x := c.plan(f, look).x
	return TimeBase{FromS: x.low, ToS: x.high, Left: x.from, PerSecond: (x.to - x.from) / (x.high - x.low)}
}

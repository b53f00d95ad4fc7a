package chart

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Timeline is the chart of one figure through the years: a mark with its bracket for each edition, and between neighbours a line whose form says what
// may be said of the change: whole where something changed, double where the two are level, dotted where it is not resolved, broken where they
// are not comparable. Under the marks stand the figures and what was under test; what is another than before is bold.
//
// Marks stand at their days. Where days are so near that marks would meet they stand side by side, and words at their foot likewise: a thread leads to
// the mark. Of more editions than have room the words of those are left out where the least happened; their marks are there.
type Timeline struct {
	Head
	Row
	Unit     string // in words: "frames per second"
	Better   Direction
	Decimals int
	Margin   string   // how near level is: "within 1 %"
	Facts    []string // what the facts of stops are: "measured", "driver", "build"
	Stops    []Stop
}

// Stop is the figure in one edition; stops come in the order of their days.
type Stop struct {
	Day     float64 // since any one day
	Figure  Figure
	Open    bool // no verdict may rest on it: the mark is hollow
	Facts   []string
	Link    Link
	Against int    // which stop the link is to: the one before, or an earlier one
	Change  string // "+3.0 %"
	Under   string // its interval, or why there is none
}

// Link is what may be said of two stops.
type Link int

// The links. NoLink is the first stop's.
const (
	NoLink Link = iota
	ChangedLink
	LevelLink
	OpenLink // not resolved, or no verdict
	BrokenLink
)

type linePlan struct {
	s        *sheet
	c        Timeline
	x, y     scale
	at       []float64 // of the marks, along the picture
	rows     [][]string
	heads    []string
	shown    []int     // stops with words at their foot
	foot     []float64 // where these stand
	column   float64
	labels   []int // stops whose links have words
	above    []float64
	plotLow  float64
	plotHigh float64
}

// Picture lays the chart out.
func (c Timeline) Picture(f Format, look Look) Picture {
	s := look.enlarged(f, func(f Format) *sheet {
		need := (11 + float64(len(c.Facts))) * lineHeight * f.small()
		return newSheet(c.Head, f, look, c.keys(), need, need)
	})
	p := planLine(s, c)
	p.frame()
	p.stops()
	return s.picture(c.describe())
}

// planLine gives the foot a column a stop, as many as fit, and the plot what is left.
func planLine(s *sheet, c Timeline) *linePlan {
	if c.Stops = slices.Clone(c.Stops); len(c.Stops) > 0 {
		c.Stops[0].Link = NoLink // whatever came before it is not here
	}
	p := &linePlan{s: s, c: c}
	small := s.small()
	p.y.low, p.y.high = c.extent()
	gutter := p.gutter()
	p.x.from, p.x.to = s.body.Left+gutter, s.body.Right
	p.feet()
	p.plotHigh = s.body.Top + 3.9*lineHeight*small
	p.plotLow = s.body.Bottom - (float64(len(p.rows))+1.1)*lineHeight*small
	p.y.from, p.y.to = p.plotLow, p.plotHigh
	p.places()
	p.words()
	return p
}

// gutter is what the figures of the scale and the heads of the foot take.
func (p *linePlan) gutter() float64 {
	small := p.s.small()
	most := 0.3 * (p.s.body.Right - p.s.body.Left)
	p.heads = append([]string{"mean", "interval"}, p.c.Facts...)
	var wide float64
	for i, h := range p.heads {
		p.heads[i] = p.s.fonts.fit(clean(h), false, most/small)
		wide = max(wide, p.s.width(p.heads[i], small, false))
	}
	for _, v := range ticks(p.y.low, p.y.high, 8) {
		wide = max(wide, p.s.width(short(v), small, false))
	}
	return wide + 0.8*small
}

// feet words the foot and chooses which stops have one.
func (p *linePlan) feet() {
	small, room := p.s.small(), p.x.to-p.x.from
	texts := func(interval bool) (rows [][]string, wide float64) {
		for r := range p.heads {
			if r == 1 && !interval {
				continue
			}
			var row []string
			for i, stop := range p.c.Stops {
				text := p.s.fonts.fit(p.footText(stop, r), true, min(9, room/small-1))
				row, wide = append(row, text), max(wide, p.s.width(text, small, p.bold(i, r)))
			}
			rows = append(rows, row)
		}
		return rows, wide + small
	}
	if p.rows, p.column = texts(true); p.column*float64(len(p.c.Stops)) > room {
		p.rows, p.column = texts(false)
		p.heads = slices.Delete(p.heads, 1, 2)
	}
	p.shown = p.chosen(room, func(int) float64 { return p.column }, func(i int) bool { return i == 0 || i == len(p.c.Stops)-1 })
}

// footText is what stands in a row of the foot.
func (p *linePlan) footText(s Stop, row int) string {
	switch {
	case row == 0 && !s.Figure.Known:
		return "–"
	case row == 0:
		return number(s.Figure.X, p.c.Decimals)
	case row == 1:
		return bracket(s.Figure, p.c.Decimals)
	case row-2 < len(s.Facts):
		return clean(s.Facts[row-2])
	}
	return ""
}

// bold tells whether a text of the foot stands out: the figure, and facts that are others than before. Days always are.
func (p *linePlan) bold(i, row int) bool {
	if row == 0 {
		return true
	}
	k := row - 2
	if i == 0 || k < 1 || k >= len(p.c.Stops[i].Facts) || k >= len(p.c.Stops[i-1].Facts) {
		return false
	}
	return p.c.Stops[i].Facts[k] != p.c.Stops[i-1].Facts[k]
}

// chosen picks stops whose words fit into the room; one of no width has none. First come those that must be there, then what broke, what changed, and
// of the rest every second, every third and so on.
func (p *linePlan) chosen(room float64, width func(int) float64, must func(int) bool) (list []int) {
	weight := func(i int) int {
		switch s := p.c.Stops[i]; {
		case must(i):
			return 0
		case s.Link == BrokenLink:
			return 1
		case s.Link == ChangedLink:
			return 2
		}
		return 3 + len(p.c.Stops) - i&-i // those first whose number has the most factors of two
	}
	var all []int
	for i := range p.c.Stops {
		if width(i) > 0 {
			all = append(all, i)
		}
	}
	slices.SortStableFunc(all, func(a, b int) int { return weight(a) - weight(b) })
	for _, i := range all {
		if room -= width(i); room < 0 {
			break
		}
		list = append(list, i)
	}
	slices.Sort(list)
	return list
}

// places sets the marks at their days, no nearer than they can be told apart, and the feet under them.
func (p *linePlan) places() {
	small, n := p.s.small(), float64(len(p.c.Stops))
	pad := p.column / 2 // words stand under their marks
	if len(p.shown) < len(p.c.Stops) {
		pad = small // they will not all, and marks need the room more
	}
	x := scale{from: p.x.from + pad, to: p.x.to - pad}
	x.low, x.high = math.Inf(1), math.Inf(-1)
	for _, s := range p.c.Stops {
		x.low, x.high = min(x.low, s.Day), max(x.high, s.Day)
	}
	var want []float64
	for i, s := range p.c.Stops {
		switch {
		case x.high > x.low:
			want = append(want, x.at(s.Day))
		default:
			want = append(want, x.from+(x.to-x.from)*(float64(i)+0.5)/n)
		}
	}
	apart := min(1.2*small, (x.to-x.from+small)/max(n, 1))
	p.at = spread(want, apart, x.from-apart/2, x.to+apart/2)
	want = nil
	for _, i := range p.shown {
		want = append(want, p.at[i])
	}
	p.foot = spread(want, p.column, p.x.from, p.x.to)
}

// words chooses which links have words over the plot, and sets them over the middle of their lines.
func (p *linePlan) words() {
	small, body := p.s.small(), p.s.body
	width := func(i int) (wide float64) {
		for row, text := range p.linkWords(i) {
			wide = max(wide, p.s.width(text, small, row == 0)+1.2*small)
		}
		return wide
	}
	p.labels = p.chosen(body.Right-body.Left, width, func(int) bool { return false })
	var want, sizes []float64
	for _, i := range p.labels {
		want, sizes = append(want, p.middle(i)), append(sizes, width(i))
	}
	p.above = spreadOut(want, sizes, body.Left, body.Right)
}

func (p *linePlan) middle(i int) float64 { return (p.at[i-1] + p.at[i]) / 2 }

// linkWords are the two lines over a link.
func (p *linePlan) linkWords(i int) []string {
	s := p.c.Stops[i]
	if s.Link == NoLink {
		return nil
	}
	first := map[Link]string{ChangedLink: s.Change, LevelLink: "level", OpenLink: cmp.Or(s.Change, "not resolved"), BrokenLink: "not comparable"}[s.Link]
	ems := min(16, (p.s.body.Right-p.s.body.Left)/p.s.small()-1.2)
	return []string{p.s.fonts.fit(clean(first), true, ems), p.s.fonts.cut(clean(s.Under), false, ems)}
}

// extent is what the scale reaches: all figures with their intervals, and a tenth of the figures at least, so that a change too small to matter does not
// look like one that does.
func (c Timeline) extent() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, s := range c.Stops {
		if s.Figure.Known {
			low, high = min(low, s.Figure.X), max(high, s.Figure.X)
		}
		if s.Figure.Known && s.Figure.Interval {
			low, high = min(low, s.Figure.Low), max(high, s.Figure.High)
		}
	}
	if !(high >= low) || math.IsInf(high-low, 0) {
		return 0, 1
	}
	least := 0.1 * max(math.Abs(low), math.Abs(high))
	if least == 0 {
		least = 1
	}
	if more := least - (high - low); more > 0 {
		low, high = low-more/2, high+more/2
	}
	step := roundStep((high - low) / 6)
	return math.Floor(low/step) * step, math.Ceil(high/step) * step
}

func (c Timeline) keys() []key {
	has := func(l Link) bool { return slices.ContainsFunc(c.Stops, func(s Stop) bool { return s.Link == l }) }
	sample := func(l Link) func(x, y, size float64) []Shape {
		return func(x, y, size float64) []Shape {
			return linkShapes(l, Point{x, y}, Point{x + 2*size, y}, 0, 0.6*size, InkSoft)
		}
	}
	keys := []key{{width: 0.6, words: "mean with its 95 % interval", brief: "mean", draw: func(x, y, size float64) []Shape {
		return append(standing(y-0.5*size, y+0.5*size, Point{x + 0.3*size, y}, 0.24*size, 0.3*size), Shape{Path: circle(x+0.3*size, y, 0.24*size), Fill: InkSoft})
	}}}
	for _, k := range []struct {
		link  Link
		words string
	}{{ChangedLink, "changed"}, {LevelLink, strings.TrimSpace("level " + c.Margin)}, {OpenLink, "not resolved"}, {BrokenLink, "not comparable"}} {
		if has(k.link) {
			keys = append(keys, key{width: 2, words: k.words, draw: sample(k.link)})
		}
	}
	if slices.ContainsFunc(c.Stops, func(s Stop) bool { return s.Open }) {
		keys = append(keys, key{width: 0.6, words: "no verdict rests on it", draw: func(x, y, size float64) []Shape {
			return []Shape{openMark(0, x+0.3*size, y, 0.24*size, InkSoft)}
		}})
	}
	return keys
}

// describe says of each stop what the picture shows of it.
func (c Timeline) describe() (out []string) {
	words := map[Link]string{ChangedLink: "changed", LevelLink: "level", OpenLink: "not resolved", BrokenLink: "not comparable"}
	for _, s := range c.Stops {
		parts := []string{"no figure"}
		if s.Figure.Known {
			parts[0] = strings.TrimSpace(number(s.Figure.X, c.Decimals) + " " + bracket(s.Figure, c.Decimals))
		}
		for i, f := range s.Facts {
			if i < len(c.Facts) && f != "" {
				parts = append(parts, clean(c.Facts[i])+" "+clean(f))
			}
		}
		if w := words[s.Link]; w != "" {
			parts = append(parts, strings.TrimSpace(w+" "+clean(s.Change)), clean(s.Under))
		}
		out = append(out, strings.Join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }), ", "))
	}
	return out
}

package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Soak is the chart of what happens over a long load: temperatures, clocks, power or noise over time, each curve measured, with the model that
// was fitted to it where there is one; or over another figure that was gone through in steps, such as the noise of a fan. Curves carry their names at their ends, in their order there; there is no box to look them up in.
type Soak struct {
	Head
	Unit   string // in words: "temperature, °C"
	Sign   string // of the unit, behind a figure: "°C"
	Better Direction
	Across string // of the figures along the picture where they are no time: "dB", "%"; empty: seconds
	Curves []Curve
	Marks  []Moment
}

// Curve is one channel of one card; Points rise in time.
type Curve struct {
	Row
	Points []Reading
	Steps  bool      // each point was measured by itself, and has a mark
	Model  []Reading // drawn thin and broken over the points
	Quiet  bool      // the room, say: drawn without hue
	Said   string    // stands after the name: "71.3 °C at the end"
}

// Reading is a figure at a time, or at what the picture goes across.
type Reading struct {
	Seconds float64
	X       float64
}

// Moment is a time worth a line: "load ends".
type Moment struct {
	Seconds float64
	Words   string
}

type soakPlan struct {
	s       *sheet
	c       Soak
	x, y    scale
	words   [][]string // of each curve: one line, or two where one is too narrow for name and figure
	lines   int
	minutes bool
}

// Picture lays the chart out.
func (c Soak) Picture(f Format, look Look) Picture {
	s := look.enlarged(f, func(f Format) *sheet {
		need := (float64(len(c.Curves)) + 4) * lineHeight * f.small()
		return newSheet(c.Head, f, look, c.keys(), need, need)
	})
	p := planSoak(s, c)
	p.frame()
	p.moments()
	order := p.order()
	places := p.labels(order)
	for k, i := range order {
		p.curve(c.Curves[i], p.words[i], places[k])
	}
	return s.picture(c.describe())
}

func (c Soak) keys() []key {
	if !slices.ContainsFunc(c.Curves, func(v Curve) bool { return len(v.Model) > 0 }) {
		return nil
	}
	return []key{
		{width: 1.3, words: "measured", draw: func(x, y, size float64) []Shape {
			return []Shape{{Path: line(Point{x, y}, Point{x + 1.3*size, y}), Stroke: InkSoft, Width: 5}}
		}},
		{width: 1.3, words: "fitted model", draw: func(x, y, size float64) []Shape {
			return []Shape{{Path: line(Point{x, y}, Point{x + 1.3*size, y}), Stroke: InkText, Width: 2, Dash: []float64{9, 7}}}
		}},
	}
}

// finite tells whether a reading can be drawn.
func (r Reading) finite() bool {
	return !math.IsNaN(r.X) && !math.IsInf(r.X, 0) && !math.IsNaN(r.Seconds) && !math.IsInf(r.Seconds, 0)
}

// planSoak gives the names at the right up to two fifths of the picture; figures are shown from a round one under the least to one over the most.
func planSoak(s *sheet, c Soak) *soakPlan {
	p := &soakPlan{s: s, c: c}
	small := s.small()
	names := p.name(0.37 * (s.body.Right - s.body.Left))
	p.x.low, p.x.high, p.y.low, p.y.high = c.extent()
	p.minutes = c.Across == "" && p.x.high-p.x.low > 180
	step := roundStep((p.y.high - p.y.low) / 6)
	p.y.low, p.y.high = math.Floor(p.y.low/step)*step, math.Ceil(p.y.high/step)*step
	gutter := max(s.width(short(p.y.low), small, false), s.width(short(p.y.high), small, false), s.width(short(p.y.low+step), small, false))
	p.x.from, p.x.to = s.body.Left+gutter+0.5*small, s.body.Right-names-2.1*small
	p.y.from, p.y.to = s.body.Bottom-lineHeight*small*1.25, s.body.Top+lineHeight*small*2.4
	return p
}

// name makes the words at the curves' ends and gives their width, at most so much.
func (p *soakPlan) name(most float64) float64 {
	small, f := p.s.small(), p.s.fonts
	p.lines = 1
	for _, v := range p.c.Curves {
		if p.s.width(v.words(), small, false) > most && (v.Said != "" || v.Mode != "") {
			p.lines = 2
		}
	}
	if 2*lineHeight*small*float64(len(p.c.Curves)) > 0.8*(p.s.body.Bottom-p.s.body.Top) {
		p.lines = 1
	}
	var names float64
	short := p.shortNames(most)
	for i, v := range p.c.Curves {
		words := []string{v.words()}
		if p.s.width(words[0], small, false) > most {
			words[0] = short[i]
		}
		if p.lines == 2 {
			words = v.twoLines()
		}
		for i := range words {
			words[i] = f.fit(words[i], false, most/small)
			names = max(names, p.s.width(words[i], small, false))
		}
		p.words = append(p.words, words)
	}
	return names
}

// shortNames are the words of curves that stand on one line of so many units: the name shortened, and of what is said the first part.
func (p *soakPlan) shortNames(most float64) []string {
	f, small := p.s.fonts, p.s.small()
	var rows []Row
	var said []string
	widest := 0.0
	for _, v := range p.c.Curves {
		first, _, _ := strings.Cut(clean(v.Said), ",")
		if first != "" {
			first = f.fit(": "+first, false, 0.5*most/small)
		}
		rows, said, widest = append(rows, v.Row), append(said, first), max(widest, f.Width(first, false))
	}
	out := f.namesOf(rows, false, most/small-widest)
	for i := range out {
		out[i] += said[i]
	}
	return out
}

// twoLines parts a curve's words: what is said of it from its name, else the mode.
func (v Curve) twoLines() []string {
	switch {
	case v.Said == "" && v.Mode == "":
		return []string{clean(v.Name)}
	case v.Said == "":
		return []string{clean(v.Name), clean(v.Mode)}
	}
	return []string{clean(v.label()), clean(v.Said)}
}

// words are a curve's name and what is said of it.
func (v Curve) words() string {
	if v.Said == "" {
		return clean(v.label())
	}
	return clean(v.label()) + ": " + clean(v.Said)
}

// extent is what all curves and models reach.
func (c Soak) extent() (t0, t1, y0, y1 float64) {
	t0, y0, t1, y1 = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, v := range c.Curves {
		for _, list := range [][]Reading{v.Points, v.Model} {
			for _, r := range list {
				if r.finite() {
					t0, t1, y0, y1 = min(t0, r.Seconds), max(t1, r.Seconds), min(y0, r.X), max(y1, r.X)
				}
			}
		}
	}
	if !(t1 > t0) {
		if math.IsInf(t0, 0) {
			t0 = 0
		}
		t1 = t0 + 1
	}
	if !(y1 > y0) {
		if math.IsInf(y0, 0) {
			y0 = 0
		}
		y0, y1 = y0-1, y0+1
	}
	return t0, t1, y0, y1
}

// order lists the curves as they end, from the top down.
func (p *soakPlan) order() []int {
	order := make([]int, len(p.c.Curves))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch x, y := p.end(a).Y, p.end(b).Y; {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	return order
}

// end is where a curve's last reading stands.
func (p *soakPlan) end(i int) Point {
	list := p.c.Curves[i].Points
	for k := len(list) - 1; k >= 0; k-- {
		if list[k].finite() {
			return Point{p.x.at(list[k].Seconds), p.y.at(list[k].X)}
		}
	}
	return Point{p.x.to, p.y.from}
}

// label is the middle of a curve's words, and where its curve ends.
type label struct {
	y   float64
	end Point
}

func (p *soakPlan) labels(order []int) []label {
	var want []float64
	for _, i := range order {
		want = append(want, p.end(i).Y)
	}
	var out []label
	for k, y := range spread(want, float64(p.lines)*lineHeight*p.s.small(), p.s.body.Top+lineHeight*p.s.small(), p.y.from+0.5*lineHeight*p.s.small()) {
		out = append(out, label{y, p.end(order[k])})
	}
	return out
}

func (c Soak) describe() []string {
	var out []string
	for _, v := range c.Curves {
		said := v.words()
		if n := len(v.Points); n > 0 {
			said += fmt.Sprintf(", from %s to %s", short(v.Points[0].X), short(v.Points[n-1].X))
		}
		out = append(out, said)
	}
	return out
}

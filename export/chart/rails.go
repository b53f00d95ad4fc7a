package chart

import (
	"cmp"
	"math"
	"strings"
)

// Rails is the chart of one figure: a rail a card from zero, a mark for the figure with its interval, and a second mark beside it (the low
// of a mean, the peak of a power). It serves frame rates, power, noise, temperatures and value alike.
type Rails struct {
	Head
	Unit     string // in words: "frames per second"
	Better   Direction
	Decimals int
	Mark     string // what the mark is: "mean of 3 launches"; heads its column by its first word
	Second   string // what the second mark is: "1 % low"; empty: there is none
	Means    string // what that means, for the legend: "the rate that 99 % of frames beat"
	Interval string // what the bracket is: "95 % interval"; empty: "95 % interval"
	Against  string // heads the column of comparisons; empty: "against baseline"
	Note     string // heads a column of words, such as a price; empty: there is none
	Rails    []Rail

	signed bool   // figures are percent against a baseline at zero (Summary)
	wider  string // what the wider interval of a summary is
}

// Rail is one row.
type Rail struct {
	Row
	Figure   Figure
	Second   Figure
	Standing Standing // the first with Base is the baseline
	Percent  Figure   // against the baseline, shown where the standing is Ahead or Behind; its interval also elsewhere
	Apart    string   // the unit of Percent where that is another: "K"
	Note     string
	Absent   string // why there is no figure: "does not run: needs 12 GB"

	signed bool   // the figure is the comparison itself (Summary)
	wider  Figure // its interval is the wider one of a summary
	long   string // the note where no heading stands over it
}

// Picture lays the chart out.
func (c Rails) Picture(f Format, look Look) Picture {
	s := look.enlarged(f, func(f Format) *sheet { return newSheet(c.Head, f, look, c.keys(), c.wish(f), c.need(f)) })
	p := planRows(s, c)
	p.headings()
	base := c.baseline()
	for i, r := range c.Rails {
		p.row(i, r)
	}
	if c.signed {
		p.baseline(0)
	} else if base >= 0 {
		p.baseline(c.Rails[base].Figure.X)
	}
	return s.picture(c.describe())
}

// need is the least height of the rows: a line a card.
func (c Rails) need(f Format) float64 {
	lines := float64(len(c.Rails)) + 3
	if f.Height > f.Width {
		lines++ // the axis' words have one of their own
	}
	return (lineHeight*lines + 0.7) * f.small()
}

// wish is the height at which an upright picture of a dozen cards or fewer has the rails under the words.
func (c Rails) wish(f Format) float64 {
	if rows := float64(len(c.Rails)); f.Height > f.Width && rows <= 12 {
		return (lineHeight*(2.2*rows+3) + 0.7) * f.small()
	}
	return c.need(f)
}

// baseline is the row of the baseline, -1 where there is none with a figure.
func (c Rails) baseline() int {
	for i, r := range c.Rails {
		if r.Standing == Base && r.Figure.Known {
			return i
		}
	}
	return -1
}

// reach is what the axis must show: from zero on, or on both sides of it.
func (c Rails) reach() (low, high float64) {
	for _, r := range c.Rails {
		if !r.Figure.Known {
			continue
		}
		if c.Second == "" {
			r.Second = Figure{}
		}
		for _, f := range []Figure{r.Figure, r.Second, r.wider} {
			if f.Known {
				low, high = min(low, f.X), max(high, f.X)
			}
			if f.Known && f.Interval {
				low, high = min(low, f.Low), max(high, f.High)
			}
		}
	}
	if !c.signed {
		low = 0
	}
	if !(high-low > 0) || math.IsInf(high-low, 0) {
		return 0, 1
	}
	room := 0.02 * (high - low)
	if low < 0 {
		low -= room
	}
	return low, high + room
}

func (c Rails) against() string {
	if c.Against != "" {
		return clean(c.Against)
	}
	return "against baseline"
}

func (c Rails) intervalWords() string {
	if c.Interval != "" {
		return clean(c.Interval)
	}
	return "95 % interval"
}

// keys is the legend: only what the chart shows.
func (c Rails) keys() []key {
	var keys []key
	var second, bracketed, open, base, wider bool
	for _, r := range c.Rails {
		second = second || r.Second.Known
		bracketed = bracketed || r.Figure.Known && r.Figure.Interval
		open = open || r.Figure.Known && !r.Standing.resolved()
		wider = wider || r.Figure.Known && r.wider.Known && r.wider.Interval
		base = base || r.Standing == Base && r.Figure.Known
	}
	if c.Second != "" && second {
		words := c.Second
		if c.Means != "" {
			words += ": " + c.Means
		}
		keys = append(keys, key{width: 0.9, words: words, brief: c.Second, draw: func(x, y, size float64) []Shape {
			return []Shape{secondMark(x+0.45*size, y, 0.4*size, InkSoft)}
		}})
	}
	if c.Mark != "" {
		keys = append(keys, key{width: 0.8, words: c.Mark, brief: firstWord(clean(c.Mark)), draw: func(x, y, size float64) []Shape {
			return []Shape{{Path: circle(x+0.4*size, y, 0.36*size), Fill: InkSoft}}
		}})
	}
	if open {
		keys = append(keys, key{width: 0.9, words: "open: not resolved", brief: "not resolved", draw: func(x, y, size float64) []Shape {
			return []Shape{openMark(0, x+0.45*size, y, 0.38*size, InkSoft)}
		}})
	}
	if bracketed {
		keys = append(keys, key{width: 1.1, words: c.intervalWords(), draw: func(x, y, size float64) []Shape {
			return bracketMark(x+0.1*size, x+size, Point{x, y}, 0, 0.42*size)
		}})
	}
	if wider && c.wider != "" {
		keys = append(keys, key{width: 1.6, words: c.wider, draw: func(x, y, size float64) []Shape {
			return widerMark(x, x+1.6*size, y, 0.25*size)
		}})
	}
	if base || c.signed {
		keys = append(keys, key{width: 0.4, words: "baseline", draw: func(x, y, size float64) []Shape {
			return []Shape{{Path: line(Point{x + 0.2*size, y - 0.5*size}, Point{x + 0.2*size, y + 0.5*size}), Stroke: InkBase, Width: 3, Dash: []float64{6, 6}}}
		}})
	}
	return keys
}

// describe says the chart in words, for who cannot see it.
func (c Rails) describe() []string {
	var out []string
	for _, r := range c.Rails {
		if !r.Figure.Known {
			out = append(out, clean(r.label())+": "+clean(r.absent()))
			continue
		}
		said := clean(r.label()) + ": " + number(r.Figure.X, c.Decimals) + " " + clean(c.Unit)
		if b := bracket(r.Figure, c.Decimals); b != "" {
			said += " " + b
		}
		if r.Second.Known && c.Second != "" {
			said += ", " + clean(c.Second) + " " + number(r.Second.X, c.Decimals)
		}
		if v := r.verdict(); v != "" {
			said += ", " + strings.TrimSpace(v+" "+r.interval()) + " " + c.against()
		}
		out = append(out, strings.TrimSuffix(said, ", baseline "+c.against())+noteOf(r))
	}
	return out
}

func noteOf(r Rail) string {
	if r.Note == "" {
		return ""
	}
	return ", " + clean(r.Note)
}

func (r Rail) absent() string {
	if r.Absent != "" {
		return r.Absent
	}
	return "no figure"
}

// interval is that of the comparison; the baseline is not compared with itself.
func (r Rail) interval() string {
	if r.signed && r.Standing != Base {
		return r.Standing.bracketed(r.Figure)
	}
	if r.Standing == Base || r.Standing == None {
		return ""
	}
	return r.Standing.bracketed(r.Percent)
}

// bracketed gives an interval with the digits that its standing needs: one that leaves out 0 must not look as if it touched it, nor one that holds 0
// as if it did not.
func (s Standing) bracketed(f Figure) string {
	text := bracket(f, 1)
	if sided := s == Ahead || s == Behind || s == Unresolved; sided && (strings.Contains(text, "[0.0,") || strings.Contains(text, " 0.0]")) {
		return bracket(f, 2)
	}
	return text
}

// verdict is what stands in the column of comparisons.
func (r Rail) verdict() string {
	if r.signed {
		return r.Standing.words() // the figure is the percentage
	}
	if (r.Standing == Ahead || r.Standing == Behind) && r.Percent.Known {
		return signed(r.Percent.X, 1) + " " + cmp.Or(clean(r.Apart), "%")
	}
	return r.Standing.words()
}

// secondMark is a hollow diamond.
func secondMark(x, y, r float64, ink Ink) Shape {
	return Shape{Path: regular(x, y, r, 4, -90), Stroke: ink, Width: 0.32 * r}
}

// openMark is the mean's form, hollow and broken: what is not resolved looks so.
func openMark(form int, x, y, r float64, ink Ink) Shape {
	return Shape{Path: meanMark(form, x, y, 0.86*r), Stroke: ink, Width: 0.3 * r, Dash: []float64{0.45 * r, 0.34 * r}}
}

// widerMark is a second, wider interval: a line with two short ends.
func widerMark(low, high, y, h float64) []Shape {
	return []Shape{
		{Path: line(Point{low, y}, Point{high, y}), Stroke: InkSoft, Width: 3},
		{Path: line(Point{low, y - h}, Point{low, y + h}), Stroke: InkSoft, Width: 3},
		{Path: line(Point{high, y - h}, Point{high, y + h}), Stroke: InkSoft, Width: 3},
	}
}

// bracketMark is an interval: two square brackets around the mark at its middle. A side that would run through the mark stops above it
// and goes on below, so that the mark's form stays to be seen.
func bracketMark(low, high float64, middle Point, mark, h float64) []Shape {
	foot := min(0.35*h, 0.42*(high-low))
	width := max(2, 0.14*h)
	var out []Shape
	side := func(x, inward float64) {
		stroke := func(points ...Point) { out = append(out, Shape{Path: line(points...), Stroke: InkText, Width: width}) }
		up, down := middle.Y-h, middle.Y+h
		if off := x - middle.X; off < -1.1*mark-width || off > 1.1*mark+width {
			stroke(Point{x + inward*foot, up}, Point{x, up}, Point{x, down}, Point{x + inward*foot, down})
			return
		}
		stroke(Point{x + inward*foot, up}, Point{x, up}, Point{x, middle.Y - 1.15*mark})
		stroke(Point{x, middle.Y + 1.15*mark}, Point{x, down}, Point{x + inward*foot, down})
	}
	side(low, 1)
	side(high, -1)
	return out
}

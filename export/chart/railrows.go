package chart

import (
	"math"
	"strings"
)

// rowPlan is where the rows of a Rails chart go. Two forms: a row on one line of columns (names, rail, figures), or, on an upright picture with few
// cards, a deck: words over a rail as wide as the picture.
type rowPlan struct {
	s       *sheet
	c       Rails
	deck    bool
	narrow  bool    // one-line rows on an upright picture: short words for verdicts
	whole   bool    // columns are as wide as their headings
	apart   bool    // the axis' words stand over the columns' headings
	third   bool    // a deck has a third line: the second figure and the interval
	two     bool    // columns are two lines high: mode under name, interval under verdict
	share   float64 // of a shortened name that stands before its gap
	pitch   float64
	top     float64
	head    int // lines of the columns' headings
	name    float64
	mean    float64
	other   float64
	columns []column
	axis    scale
}

// column is one column of figures at the right.
type column struct {
	kind    columnKind
	heading []string
	left    float64
	right   float64
}

type columnKind int

const (
	meanColumn columnKind = iota
	secondColumn
	noteColumn
	verdictColumn
	intervalColumn
)

// headGap is the air between headings and rows, in ems: the foot of the baseline stands in it.
const headGap = 0.3

// planRows finds sizes and columns. Columns give way before the rails become too short to compare, the least needed first.
func planRows(s *sheet, c Rails) *rowPlan {
	p := &rowPlan{s: s, c: c, share: 0.5}
	small := s.small()
	n := float64(max(len(c.Rails), 1))
	upright := s.Height > s.Width
	room := s.body.Bottom - s.body.Top - (1.15*lineHeight+headGap)*small // the axis' figures, and air under the headings
	p.head = 1
	if s.width(better(clean(c.Unit), c.Better), small, false)+2*small > s.body.Right-s.body.Left {
		p.head = 2 // a deck has nothing over it but these words
	}
	if high := (room - lineHeight*small*float64(p.head)) / n; upright && high >= 2*lineHeight*small+0.2*small {
		p.deck, p.pitch = true, min(high, 5.2*small)
		p.third = p.pitch >= 3*lineHeight*small+0.5*small
		p.sizes(p.pitch)
		p.place(p.kinds())
	} else {
		p.lines(room, n, upright)
	}
	block := lineHeight*small*float64(p.head) + p.pitch*n
	p.top = s.body.Top + (lineHeight*float64(p.head)+headGap)*small + max(0, room-block)*0.35
	p.axis.low, p.axis.high = c.reach()
	p.tellApart()
	return p
}

// tellApart moves the gap of shortened names to where fewest of them become the same.
func (p *rowPlan) tellApart() {
	most, best := 0, p.share
	for _, share := range shares {
		p.share = share
		seen := map[string]bool{}
		for _, r := range p.c.Rails {
			seen[p.oneLine(r, r.Standing == Base, p.nameRoom(r)/p.name)] = true
		}
		if len(seen) > most {
			most, best = len(seen), share
		}
	}
	p.share = best
}

// nameRoom is what a row has for its name.
func (p *rowPlan) nameRoom(r Rail) float64 {
	left, small := p.s.body.Left, p.s.small()
	if !p.deck {
		return p.axis.from - left - 1.1*small
	}
	if len(p.columns) > 0 && r.Figure.Known {
		return p.columns[0].left - left - small
	}
	return p.s.body.Right - left
}

// lines plans rows of one line of columns; headings that need more lines leave the rows less.
func (p *rowPlan) lines(room, n float64, upright bool) {
	small, inner := p.s.small(), p.s.body.Right-p.s.body.Left
	least := 0.30
	if upright {
		least, p.narrow = 0.2, true
	}
	p.whole = !upright // headings on one line, if the rails stay long
	for p.head = 1; ; p.head++ {
		p.pitch = min((room-lineHeight*small*float64(p.head))/n, 7.5*small)
		p.two = p.pitch >= 2*lineHeight*small*1.06
		p.sizes(p.pitch)
		kinds := p.kinds()
		if p.whole && p.place(kinds) < 0.45*inner {
			p.whole = false
		}
		for p.place(kinds) < least*inner && len(kinds) > 1 {
			kinds = dropColumn(kinds)
		}
		if p.headLines() <= p.head || p.head == 3 {
			return
		}
	}
}

// sizes follow the room of a row; none is under the least.
func (p *rowPlan) sizes(pitch float64) {
	small := p.s.small()
	between := func(x, most float64) float64 { return min(max(x, small), most*small) }
	switch {
	case p.narrow: // larger figures would cost columns
		p.name, p.mean, p.other = small, small, small
	case p.deck:
		p.name, p.mean, p.other = small, small, small
		if p.third {
			p.name, p.mean = 1.1*small, 1.15*small
		}
	case p.two:
		p.name = min(between(0.34*pitch, 1.8), (pitch/1.04-lineHeight*small)/lineHeight)
		p.mean, p.other = between(0.42*pitch, 2.2), min(between(0.34*pitch, 1.4), (pitch/1.04-lineHeight*small)/lineHeight)
	default:
		one := pitch / lineHeight * 0.97
		p.name, p.mean, p.other = min(between(0.6*pitch, 1.3), max(one, small)), min(between(0.7*pitch, 1.4), max(one, small)), min(between(0.6*pitch, 1.2), max(one, small))
	}
}

// kinds lists the columns that the data fill.
func (p *rowPlan) kinds() []columnKind {
	kinds := []columnKind{meanColumn}
	var second, verdict, interval bool
	for _, r := range p.c.Rails {
		second = second || r.Second.Known && p.c.Second != ""
		verdict = verdict || r.Standing != Base && r.verdict() != "" || (p.two || p.deck) && r.interval() != ""
		interval = interval || r.interval() != ""
	}
	if second && !p.deck {
		kinds = append(kinds, secondColumn)
	}
	if p.c.Note != "" && !p.deck {
		kinds = append(kinds, noteColumn)
	}
	if verdict {
		kinds = append(kinds, verdictColumn)
	}
	if interval && !p.two && !p.deck {
		kinds = append(kinds, intervalColumn)
	}
	return kinds
}

func dropColumn(kinds []columnKind) []columnKind {
	for _, gone := range []columnKind{intervalColumn, noteColumn, secondColumn, verdictColumn} {
		for i, k := range kinds {
			if k == gone {
				return append(append([]columnKind{}, kinds[:i]...), kinds[i+1:]...)
			}
		}
	}
	return kinds[:1]
}

// cell is what a row shows in a column: the text, its size and weight, and a second line under it.
func (p *rowPlan) cell(r Rail, kind columnKind) (t Text, under string) {
	decimals := p.c.Decimals
	switch kind {
	case meanColumn:
		if r.Figure.Known {
			t = Text{S: number(r.Figure.X, decimals), Size: p.mean, Bold: true, Ink: InkText}
			if r.signed {
				t.S = signed(r.Figure.X, 1) + " %"
				t.Bold = r.Standing.resolved()
			}
		}
	case secondColumn:
		if r.Second.Known && r.Figure.Known {
			t = Text{S: number(r.Second.X, decimals), Size: p.other, Ink: InkSoft}
		}
	case noteColumn:
		t = Text{S: clean(r.Note), Size: p.other, Ink: InkSoft}
	case verdictColumn:
		if !r.Figure.Known {
			return t, ""
		}
		t = Text{S: r.verdict(), Size: p.other, Ink: InkSoft}
		if p.narrow && !r.Standing.resolved() {
			t.S = "open" // as its mark is, and the legend says
		}
		if (r.Standing == Ahead || r.Standing == Behind) && r.Percent.Known {
			t.Bold, t.Ink = true, InkText
		}
		if p.two || p.deck && t.S == "" {
			under = p.interval(r)
		}
		if t.S == "" && under != "" {
			return Text{S: under, Size: p.s.small(), Ink: InkSoft}, ""
		}
	case intervalColumn:
		if r.Figure.Known {
			t = Text{S: p.interval(r), Size: p.s.small(), Ink: InkSoft}
		}
	}
	return t, under
}

func (p *rowPlan) heading(kind columnKind) string {
	switch kind {
	case meanColumn:
		return firstWord(clean(p.c.Mark))
	case secondColumn:
		return clean(p.c.Second)
	case noteColumn:
		return clean(p.c.Note)
	case verdictColumn:
		if !p.c.signed || p.two {
			return p.c.against()
		}
	case intervalColumn:
		if p.c.signed {
			return p.c.against()
		}
	}
	return ""
}

func firstWord(s string) string {
	for i, r := range s {
		if r == ' ' {
			return s[:i]
		}
	}
	return s
}

// place sets the columns from the right and gives the length that is left for the rails.
func (p *rowPlan) place(kinds []columnKind) float64 {
	small, body := p.s.small(), p.s.body
	gap := 1.1 * small
	p.columns = nil
	right := body.Right
	for i := len(kinds) - 1; i >= 0; i-- {
		var wide float64
		for _, r := range p.c.Rails {
			t, under := p.cell(r, kinds[i])
			wide = max(wide, p.s.width(t.S, t.Size, t.Bold), p.s.width(under, small, false))
		}
		wide = min(wide, 0.3*(body.Right-body.Left))
		heading := p.heading(kinds[i])
		if !p.deck {
			if p.whole {
				wide = max(wide, p.s.width(heading, small, false))
			}
			wide = max(wide, min(p.onTwoLines(heading)*small, 0.2*(body.Right-body.Left)))
		}
		col := column{kind: kinds[i], left: right - wide, right: right}
		if !p.deck {
			col.heading = p.s.fonts.wrap(heading, false, wide/small, 2)
		}
		p.columns = append([]column{col}, p.columns...)
		right = col.left - gap
	}
	if p.deck {
		p.axis.from, p.axis.to = body.Left+0.6*small, body.Right-0.6*small
		return p.axis.to - p.axis.from
	}
	p.axis.from, p.axis.to = body.Left+p.nameWidth()+gap, right-0.3*small
	return p.axis.to - p.axis.from
}

// onTwoLines is the least width, in ems, at which a heading takes two lines.
func (p *rowPlan) onTwoLines(heading string) float64 {
	words := strings.Split(heading, " ")
	least := math.Inf(1)
	for k := range words {
		first, rest := strings.Join(words[:k+1], " "), strings.Join(words[k+1:], " ")
		least = min(least, max(p.s.fonts.Width(first, false), p.s.fonts.Width(rest, false)))
	}
	return least
}

// headLines is how many lines the headings need, with a line of their own for the axis' words where the rails are short.
func (p *rowPlan) headLines() int {
	n, words := 1, p.s.width(better(clean(p.c.Unit), p.c.Better), p.s.small(), false)+2*p.s.small()
	for _, c := range p.columns {
		n = max(n, len(c.heading))
	}
	p.apart = p.narrow && p.axis.to-p.axis.from < words
	if p.apart {
		return n + 1
	}
	if p.axis.to-p.axis.from < words {
		n = max(n, 2)
	}
	return n
}

// interval of a comparison, where the row has a figure at all.
func (p *rowPlan) interval(r Rail) string {
	if !r.Figure.Known {
		return ""
	}
	return r.interval()
}

// nameWidth is what the names need, up to a third of the picture. Long ones are set smaller before they are shortened.
func (p *rowPlan) nameWidth() float64 {
	most := 0.34 * (p.s.body.Right - p.s.body.Left)
	var modes, names float64 // names in ems
	for _, r := range p.c.Rails {
		bold := r.Standing == Base
		if p.two {
			modes = max(modes, p.s.width(clean(r.Mode), p.s.small(), false))
			names = max(names, p.s.fonts.Width(clean(r.Name), bold))
		} else {
			names = max(names, p.s.fonts.Width(p.oneLine(r, bold, most/p.s.small()), bold))
		}
	}
	if names*p.name > most {
		p.name = max(most/names, p.s.small())
	}
	return min(max(names*p.name, modes), most)
}

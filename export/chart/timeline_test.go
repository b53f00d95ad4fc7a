package chart

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestTimelineLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Timeline{Head: anyHead().Draw(t, "head"), Row: anyRow(rapid.IntRange(0, 30).Draw(t, "order")).Draw(t, "row"), Unit: rapid.SampledFrom([]string{"frames per second", "W"}).Draw(t, "unit"),
			Better: Direction(rapid.IntRange(0, 2).Draw(t, "better")), Decimals: rapid.IntRange(0, 2).Draw(t, "decimals"), Facts: []string{"measured", "driver", "build"}, Margin: "within 1 %"}
		day := 0.0
		for i := range rapid.IntRange(1, 40).Draw(t, "stops") {
			day += rapid.SampledFrom([]float64{0, 1, 30, 365, 4000}).Draw(t, "later")
			c.Stops = append(c.Stops, Stop{Day: day, Figure: anyFigure(2000).Draw(t, "figure"), Open: rapid.Bool().Draw(t, "open"),
				Facts: []string{"2027-04-01", anyName().Draw(t, "driver"), anyName().Draw(t, "build")}, Link: Link(rapid.IntRange(0, 4).Draw(t, "link")),
				Against: rapid.IntRange(0, max(i-1, 0)).Draw(t, "against"), Change: "+3.0 %", Under: rapid.OneOf(rapid.Just("[2.5, 3.6]"), anyName()).Draw(t, "under")})
		}
		checkLayout(t, c.Picture(anyFormat().Draw(t, "format"), anyLook().Draw(t, "look")))
	})
}

// years is a card over so many editions, with every kind of link.
func years(n int) Timeline {
	c := Timeline{Head: Head{Name: "line", Title: "heron_x·stock fjord·plain", Settings: "uhd · mean"}, Row: Row{ID: "heron_x.stock", Order: 1, Name: "heron_x"},
		Unit: "frames per second", Better: More, Decimals: 1, Margin: "within 1 %", Facts: []string{"measured", "driver", "build"}}
	for i := range n {
		k := i % 5
		x := []float64{108, 111.3, 111.3, 96, 112}[k]
		s := Stop{Day: 200 * float64(i), Figure: Between(x, x-0.4, x+0.4), Against: i - 1, Facts: []string{fmt.Sprintf("20%02d-04-01", 26+i), fmt.Sprint(612 + i/2), "1.0"},
			Link: []Link{OpenLink, ChangedLink, LevelLink, BrokenLink, LevelLink}[k], Change: []string{"", "+3.0 %", "", "", ""}[k],
			Under: []string{"[−0.6, 3.1]", "[2.5, 3.6]", "[−0.6, 0.5]", "build", "[−0.6, 0.5]"}[k]}
		switch k {
		case 3:
			s.Facts[2] = "2.0"
		case 4: // back on the build before: set against the edition that it can be compared with
			s.Against = i - 2
		}
		c.Stops = append(c.Stops, s)
	}
	return c
}

// What may be said of a change is told by the form of the line, and in words: whole, double, dotted, broken. None of it is told by colour alone.
func TestLinksAreToldByForm(t *testing.T) {
	forms := map[string]Link{}
	for _, l := range []Link{ChangedLink, LevelLink, OpenLink, BrokenLink} {
		shapes := linkShapes(l, Point{0, 0}, Point{400, 0}, 20, 20, InkHue)
		form := fmt.Sprint(len(shapes), len(shapes[0].Dash))
		if other, taken := forms[form]; taken {
			t.Errorf("links %d and %d are both drawn as %s", l, other, form)
		}
		forms[form] = l
		for _, s := range shapes {
			if s.Stroke != InkHue {
				t.Errorf("link %d has a colour of its own", l)
			}
		}
	}
	p := years(6).Picture(Wide, Look{})
	for _, want := range []string{"+3.0 %", "[2.5, 3.6]", "level", "not comparable", "not resolved", "build", "111.3", "[107.6, 108.4]", "2026-04-01", "612"} {
		if !slices.ContainsFunc(p.Texts(), func(t Text) bool { return t.S == want }) {
			t.Errorf("the picture does not say %s", want)
		}
	}
	bold := map[string]int{} // what is another than before
	for _, x := range p.Texts() {
		if x.Bold {
			bold[x.S]++
		}
	}
	for text, want := range map[string]int{"612": 0, "613": 1, "614": 1, "2.0": 1, "1.0": 1, "2026-04-01": 0} {
		if bold[text] != want {
			t.Errorf("%s stands out %d times, want %d", text, bold[text], want)
		}
	}
}

// A broken line has a gap in its middle half; nothing is drawn across it.
func TestBrokenLinkHasAGap(t *testing.T) {
	for _, s := range linkShapes(BrokenLink, Point{0, 0}, Point{400, 0}, 20, 20, InkHue) {
		for _, seg := range s.Path {
			if x := seg.P[0].X; x > 130 && x < 270 {
				t.Errorf("a point at %v", x)
			}
		}
	}
}

// Days are told true: twice the time is twice the way. Only marks that would meet give way.
func TestTimelineKeepsTime(t *testing.T) {
	c := years(4)
	c.Stops[1].Day, c.Stops[2].Day, c.Stops[3].Day = 365, 1095, 1096
	p := planLine(newSheet(c.Head, Wide, Look{}, c.keys(), 0, 0), c)
	if one, two := p.at[1]-p.at[0], p.at[2]-p.at[1]; two < 1.9*one || two > 2.05*one {
		t.Errorf("one year is %v long, two are %v", one, two)
	}
	if p.at[3]-p.at[2] < p.s.small() {
		t.Errorf("marks a day apart stand %v apart", p.at[3]-p.at[2])
	}
}

// A change of a tenth of what matters to a buyer does not fill the picture.
func TestScaleOfTimeline(t *testing.T) {
	c := Timeline{Stops: []Stop{{Figure: Known(100)}, {Figure: Known(100.1)}}}
	if low, high := c.extent(); high-low < 10 || low > 100 || high < 100.1 {
		t.Errorf("the scale runs from %v to %v", low, high)
	}
	if low, high := (Timeline{Stops: []Stop{{}}}).extent(); low != 0 || high != 1 {
		t.Errorf("without a figure the scale runs from %v to %v", low, high)
	}
}

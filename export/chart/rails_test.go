package chart

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"pgregory.net/rapid"
)

// checkLayout holds a picture to what the trade asks of one that goes on screen: no two texts meet, all text stands in the title-safe area (90 % of
// each side: SMPTE ST 2046-1, EBU R 95, from memory) and is at least 2.2 % of the height, and marks stay in that area too.
func checkLayout(t interface{ Fatalf(string, ...any) }, p Picture) {
	texts := p.Texts()
	safe := p.safe()
	for i, a := range texts {
		box := a.Box()
		if box.Left < safe.Left-0.01 || box.Top < safe.Top-0.01 || box.Right > safe.Right+0.01 || box.Bottom > safe.Bottom+0.01 {
			t.Fatalf("%q leaves the title-safe area: %v of %v", a.S, box, safe)
		}
		if least := 0.022 * max(p.Height, 1080); a.Size < least { // a band lies over a picture of 1080
			t.Fatalf("%q is %.1f of %.0f high, less than 2.2 %%", a.S, a.Size, p.Height)
		}
		for _, b := range texts[i+1:] {
			if box.Meets(b.Box()) {
				t.Fatalf("%q %v meets %q %v", a.S, box, b.S, b.Box())
			}
		}
	}
	var walk func([]Layer)
	walk = func(layers []Layer) {
		for _, l := range layers {
			for _, s := range l.Shapes {
				for _, seg := range s.Path {
					for k := range points(seg) {
						if q := seg.P[k]; !(q.X >= safe.Left-8 && q.X <= safe.Right+8 && q.Y >= safe.Top-8 && q.Y <= safe.Bottom+8) {
							t.Fatalf("layer %s draws at %v, outside %v", l.ID, q, safe)
						}
					}
				}
			}
			walk(l.Layers)
		}
	}
	walk(p.Layers)
}

// anyName draws names of up to 40 characters: plain ones, wide ones, and the hostile ones that a plan may carry.
func anyName() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[A-Za-z0-9 +\-]{1,40}`),
		rapid.SampledFrom([]string{strings.Repeat("W", 40), strings.Repeat("😀", 40), "<script>alert(1)</script>", `"quoted" & 'so'`, "שלום עולם", "a\nb\tc",
			"\u202egnp.exe", "=cmd()", "Heron 7 X", strings.Repeat("i", 40), "", "e\u0301\u0301\u0301", "\xff\xfe", "]]>"}),
		rapid.StringN(0, 40, -1),
	)
}

func anyFigure(most float64) *rapid.Generator[Figure] {
	return rapid.Custom(func(t *rapid.T) Figure {
		x := rapid.Float64Range(0.01, most).Draw(t, "x")
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			return Figure{}
		case 1:
			return Known(x)
		}
		return Between(x, x*rapid.Float64Range(0.5, 1).Draw(t, "low"), x*rapid.Float64Range(1, 1.5).Draw(t, "high"))
	})
}

func anyRow(i int) *rapid.Generator[Row] {
	return rapid.Custom(func(t *rapid.T) Row {
		return Row{ID: fmt.Sprint("card", i), Card: rapid.SampledFrom([]string{"", "a", "b"}).Draw(t, "card"), Order: i,
			Name: anyName().Draw(t, "name"), Mode: rapid.OneOf(rapid.Just(""), anyName()).Draw(t, "mode")}
	})
}

func anyHead() *rapid.Generator[Head] {
	return rapid.Custom(func(t *rapid.T) Head {
		text := rapid.OneOf(rapid.Just(""), anyName(), rapid.StringMatching(`([a-z]{1,12} ){1,30}`))
		return Head{Title: anyName().Draw(t, "title"), Settings: text.Draw(t, "settings"), Notes: text.Draw(t, "notes")}
	})
}

// mono is a typeface that is much wider than the built-in one.
var mono, _ = ParseFonts("", gomono.TTF, gomonobold.TTF)

func anyLook() *rapid.Generator[Look] {
	return rapid.Custom(func(t *rapid.T) Look {
		return Look{Fonts: rapid.SampledFrom([]*Fonts{nil, mono}).Draw(t, "fonts"), Footer: rapid.OneOf(rapid.Just(""), anyName()).Draw(t, "footer"), Size: rapid.SampledFrom([]float64{0, 100, 115, 150}).Draw(t, "size")}
	})
}

func anyFormat() *rapid.Generator[Format] { return rapid.SampledFrom([]Format{Wide, Tall}) }

func anyRails(t *rapid.T) Rails {
	c := Rails{Head: anyHead().Draw(t, "head"), Unit: rapid.SampledFrom([]string{"frames per second", "W", "rise over the room, K"}).Draw(t, "unit"),
		Better: Direction(rapid.IntRange(0, 2).Draw(t, "better")), Decimals: rapid.IntRange(0, 2).Draw(t, "decimals"),
		Mark: "mean of 3 launches", Second: rapid.SampledFrom([]string{"", "1 % low"}).Draw(t, "second"),
		Means: "the rate that 99 % of frames beat", Note: rapid.SampledFrom([]string{"", "price"}).Draw(t, "note")}
	for i := range rapid.IntRange(2, 24).Draw(t, "cards") {
		c.Rails = append(c.Rails, Rail{Row: anyRow(i).Draw(t, "row"), Figure: anyFigure(2000).Draw(t, "figure"), Second: anyFigure(2000).Draw(t, "second"),
			Standing: Standing(rapid.IntRange(0, 6).Draw(t, "standing")), Percent: anyFigure(400).Draw(t, "percent"),
			Apart: rapid.SampledFrom([]string{"", "K", "percentage points"}).Draw(t, "apart"), Note: rapid.SampledFrom([]string{"", "1 299 €"}).Draw(t, "note"), Absent: rapid.OneOf(rapid.Just(""), anyName()).Draw(t, "absent")})
	}
	return c
}

func TestRailsLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		checkLayout(t, anyRails(t).Picture(anyFormat().Draw(t, "format"), anyLook().Draw(t, "look")))
	})
}

func TestSummaryLayout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Summary{Head: anyHead().Draw(t, "head"), Unit: "frame rate against Tern 7, percent", Better: Direction(rapid.IntRange(0, 2).Draw(t, "better")), Mark: "mean of 8 games"}
		figure := rapid.Custom(func(t *rapid.T) Figure {
			x := rapid.Float64Range(-90, 300).Draw(t, "x")
			return rapid.SampledFrom([]Figure{{}, Known(x), Between(x, x-rapid.Float64Range(0, 50).Draw(t, "under"), x+rapid.Float64Range(0, 50).Draw(t, "over"))}).Draw(t, "figure")
		})
		for i := range rapid.IntRange(1, 24).Draw(t, "cards") {
			c.Rows = append(c.Rows, SummaryRow{Row: anyRow(i).Draw(t, "row"), Percent: figure.Draw(t, "percent"), Wider: figure.Draw(t, "wider"),
				Standing: Standing(rapid.IntRange(0, 6).Draw(t, "standing")), Leads: rapid.IntRange(0, 20).Draw(t, "leads"), Absent: anyName().Draw(t, "absent")})
		}
		checkLayout(t, c.Picture(anyFormat().Draw(t, "format"), anyLook().Draw(t, "look")))
	})
}

// A chart that cannot show what it is for is no chart: with 24 cards the figures still stand, and the rails are long enough to compare.
func TestRailsKeepWhatMatters(t *testing.T) {
	for _, f := range []Format{Wide, Tall} {
		for n := 2; n <= 24; n++ {
			c := stress(n)
			p := c.Picture(f, Look{})
			shown := map[string]int{}
			for _, text := range p.Texts() {
				shown[text.S]++
			}
			for _, r := range c.Rails {
				if want := number(r.Figure.X, 1); shown[want] == 0 {
					t.Errorf("%v, %d cards: figure %s is not shown", f, n, want)
				}
			}
			if shown[c.Notes] == 0 {
				t.Errorf("%v, %d cards: the notes are not shown", f, n)
			}
			names := map[string]bool{}
			for _, l := range p.Layers {
				if strings.HasPrefix(l.ID, "card-") {
					names[l.Texts[0].S] = true
				}
			}
			if len(names) != n {
				t.Errorf("%v: %d cards have %d names", f, n, len(names))
			}
			plan := planRows(newSheet(c.Head, f, Look{}, c.keys(), c.wish(f), c.need(f)), c)
			if share := (plan.axis.to - plan.axis.from) / f.Width; share < 0.15 {
				t.Errorf("%v, %d cards: rails take %.0f %% of the width", f, n, 100*share)
			}
		}
	}
}

// stress is a review of n cards whose names have 40 characters.
func stress(n int) Rails {
	c := Rails{Head: Head{Title: "Fjord Runner, ray traced", Settings: "3840 × 2160 · highest preset · rays high · driver 612.4 · 60 s harbour flyover",
		Notes: "Of 23 verdicts here, 1.15 may be chance."}, Unit: "frames per second", Better: More, Decimals: 1, Mark: "mean of 3 launches", Second: "1 % low",
		Means: "the rate that 99 % of frames beat"}
	for i := range n {
		x := 151 - 3.1*float64(i)
		r := Rail{Row: Row{ID: fmt.Sprint("c", i), Order: i, Name: fmt.Sprintf("%-40s", fmt.Sprintf("Gannet %d Duo Long Quiet Board Edition II", i))[:40], Mode: "as shipped"},
			Figure: Between(x, x-1.2, x+1.4), Second: Known(x * 0.75), Standing: Ahead, Percent: Between(x-100, x-102, x-98)}
		switch {
		case i == n/2:
			r.Standing = Base
		case i%5 == 2:
			r.Standing = Unresolved
		case i > n/2:
			r.Standing = Behind
		}
		c.Rails = append(c.Rails, r)
	}
	return c
}

// Rails begin at zero, and equal steps of a figure are equal lengths.
func TestRailsFromZero(t *testing.T) {
	c := stress(5)
	plan := planRows(newSheet(c.Head, Wide, Look{}, nil, 0, 0), c)
	if at := plan.axis.at(0); at != plan.axis.from {
		t.Errorf("zero is at %v, the rails begin at %v", at, plan.axis.from)
	}
	if half, whole := plan.axis.at(50)-plan.axis.from, plan.axis.at(100)-plan.axis.from; half*2 != whole {
		t.Errorf("50 lies %v along, 100 %v", half, whole)
	}
}

// What is not resolved is drawn hollow and said in words, not as a percentage; what does not run says so and has no mark.
func TestRailsShowDoubt(t *testing.T) {
	c := stress(4)
	c.Rails[1].Standing, c.Rails[3].Figure, c.Rails[3].Absent = Unresolved, Figure{}, "does not run: needs 12 GB"
	p := c.Picture(Wide, Look{})
	filled := func(l Layer) (n int) {
		for _, s := range l.Shapes {
			if s.Fill >= InkHue {
				n++
			}
		}
		return n
	}
	said := func(l Layer) string {
		var words []string
		for _, text := range l.Texts {
			words = append(words, text.S)
		}
		return strings.Join(words, "|")
	}
	for _, l := range p.Layers {
		switch l.ID {
		case "card-c0":
			if filled(l) != 1 || !strings.Contains(said(l), "+51.0 %") {
				t.Errorf("resolved: %d filled marks, %s", filled(l), said(l))
			}
		case "card-c1":
			if filled(l) != 0 || !strings.Contains(said(l), "not resolved") || strings.Contains(said(l), "+") {
				t.Errorf("not resolved: %d filled marks, %s", filled(l), said(l))
			}
		case "card-c3":
			if filled(l) != 0 || !strings.Contains(said(l), "does not run: needs 12 GB") || strings.Contains(said(l), "%") {
				t.Errorf("does not run: %d filled marks, %s", filled(l), said(l))
			}
		}
	}
}

func TestPicturesRepeat(t *testing.T) {
	for _, f := range []Format{Wide, Tall} {
		for _, theme := range []Theme{Light, Dark, Clear} {
			var svg, png [2]bytes.Buffer
			for i := range 2 {
				p := stress(6).Picture(f, Look{})
				if err := p.WriteSVG(&svg[i], theme); err != nil {
					t.Fatal(err)
				}
				if err := p.WritePNG(&png[i], theme, 480); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(svg[0].Bytes(), svg[1].Bytes()) || !bytes.Equal(png[0].Bytes(), png[1].Bytes()) {
				t.Errorf("%v, %s: two pictures of one chart differ", f, theme)
			}
		}
	}
}

// The interval of a verdict that leaves out 0 does not read as if it touched it.
func TestIntervalsLookResolved(t *testing.T) {
	for _, x := range []struct {
		standing Standing
		f        Figure
		want     string
	}{{Behind, Between(-0.8, -1.54, -0.03), "[−1.54, −0.03]"}, {Unresolved, Between(0.5, -0.02, 1.1), "[−0.02, 1.10]"}, {Level, Between(0, -0.5, 0.04), "[−0.5, 0.0]"},
		{Ahead, Between(5, 4.1, 6.3), "[4.1, 6.3]"}} {
		if got := (Rail{Standing: x.standing, Percent: x.f}).interval(); got != x.want {
			t.Errorf("%v: %q, want %q", x.f, got, x.want)
		}
	}
}

// A difference in kelvins or decibels stands where one in percent does, with its unit.
func TestDifferencesHaveTheirUnit(t *testing.T) {
	for _, x := range []struct {
		r    Rail
		want string
	}{{Rail{Standing: Ahead, Percent: Between(-14, -17.1, -10.9), Apart: "K"}, "−14.0 K"}, {Rail{Standing: Behind, Percent: Known(2.25), Apart: "dB"}, "+2.2 dB"},
		{Rail{Standing: Ahead, Percent: Known(5)}, "+5.0 %"}, {Rail{Standing: Unresolved, Percent: Known(1), Apart: "K"}, Unresolved.words()}} {
		if got := x.r.verdict(); got != x.want {
			t.Errorf("%+v: %q, want %q", x.r, got, x.want)
		}
	}
}

// A look's size makes the text of a chart with room to spare larger, and takes no figure from one without.
func TestSizeOfText(t *testing.T) {
	for _, f := range []Format{Wide, Tall} {
		for n := 2; n <= 24; n++ {
			c := stress(n)
			p, plain := c.Picture(f, Look{Size: 130}), c.Picture(f, Look{})
			least := func(p Picture) float64 {
				return slices.MinFunc(p.Texts(), func(a, b Text) int { return cmp.Compare(a.Size, b.Size) }).Size
			}
			if f == Wide && n <= 6 && least(p) < 1.29*least(plain) {
				t.Errorf("%d cards: text is %v, %v without a look", n, least(p), least(plain))
			}
			for _, r := range c.Rails {
				if want := number(r.Figure.X, 1); !slices.ContainsFunc(p.Texts(), func(t Text) bool { return t.S == want }) {
					t.Errorf("%v, %d cards: figure %s is not shown", f, n, want)
				}
			}
			checkLayout(t, p)
		}
	}
}

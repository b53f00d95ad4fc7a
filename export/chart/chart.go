// Package chart draws the pictures of a review: plain figures in, SVG and PNG out. It knows no plan, no archive and no pipeline, and it
// works no figure out: what is drawn is what it was handed.
//
// The model: a kind of chart (Rails, Summary, FrameTimes, …) is a struct of data. Its Picture method lays it out once, in units of which the
// short side has 1080, into named layers of shapes and boxes of text whose colours are roles. One picture is then written in any theme,
// as SVG or as PNG, so that the page, the paper and the video show the same thing, and a test can ask of a layout whether two texts meet
// without looking at pixels. Text is measured with the font that draws it. A card's hue and shape follow from its place in the plan and from
// nothing else, so a card looks the same on every picture; hue never says alone what shape, place or words do not say too.
//
// Rejected: the plots of a plotting library. Their legends, grids and bars are what everybody shows, their SVG has no groups for reveals, no
// title and no description, and their labels may overlap. So of gonum's plot only the drawing surface for PNG (vg, vgimg) is used; ticks,
// layout and SVG are ours, the SVG through the encoder of encoding/xml. Also rejected: one layout a theme, which lets a chart change
// shape between the page and the video.
package chart

// A Format is the shape of a picture in units; PNG scales it to pixels.
type Format struct {
	Width, Height float64
	Text          float64 // size of the smallest text; 0: 2.2 % of the height
}

// The formats of a review: for a video as everybody films it, for one held upright, and a band that lies over the lower part of the first.
var (
	Wide = Format{Width: 1920, Height: 1080}
	Tall = Format{Width: 1080, Height: 1920}
	Band = Format{Width: 1920, Height: 420, Text: 24}
)

const (
	// titleSafe is the share of each side that titles keep to: 90 % of width and height (SMPTE ST 2046-1 and EBU R 95, from memory).
	titleSafe = 0.90
	// leastText is the least size of letters (the em), as a share of the picture's height: 24 pixels of 1080.
	leastText = 0.0222
)

// Look is what a reviewer may choose for all pictures.
type Look struct {
	Fonts  *Fonts  // nil: the built-in ones
	Accent string  // a colour as #rrggbb for the mark beside a title; left out where it cannot be told from the background
	Footer string  // stands at the foot of every picture: the name of the publication, say
	Size   float64 // of text, in percent of what it is without a look; less than 100 is 100, and more only where it leaves the figures their room
}

// Head is what every chart says of itself.
type Head struct {
	Name     string // of the chart: begins the ids of its SVG, so that two may stand on one page; may be empty for a file
	Title    string
	Settings string // resolution, preset, driver, scene: what makes the figures mean something
	Notes    string // what a viewer should be told under the chart
}

// Direction says which way is better.
type Direction int

// The directions. Neither is for what has no better way.
const (
	Neither Direction = iota
	More
	Less
)

// Standing is how a figure compares with the baseline.
type Standing int

// The standings. None is a figure without a comparison.
const (
	None Standing = iota
	Base
	Ahead
	Behind
	Level
	Unresolved
	Single // one launch and no spread: there is nothing to compare by
)

// resolved tells whether a mark may look certain.
func (s Standing) resolved() bool { return s != Unresolved && s != Single }

// words gives the standing as a viewer reads it where no percentage stands.
func (s Standing) words() string {
	switch s {
	case Base:
		return "baseline"
	case Level:
		return "level"
	case Unresolved:
		return "not resolved"
	case Single:
		return "one launch"
	}
	return ""
}

// Figure is a number that may be absent, and may have an interval. The zero Figure is absent.
type Figure struct {
	X         float64
	Known     bool
	Low, High float64
	Interval  bool // Low and High are there
}

// Known gives a figure without an interval.
func Known(x float64) Figure { return Figure{X: x, Known: true} }

// Between gives a figure with its interval.
func Between(x, low, high float64) Figure {
	return Figure{X: x, Known: true, Low: low, High: high, Interval: true}
}

// Row names what one rail, lane or curve is about.
type Row struct {
	ID    string // names the layer: "heron_x.tuned"; what an editor's timeline links to
	Card  string // rows of one card share a layer: "heron_x"; empty: the row stands alone
	Order int    // of the card in the plan, from 0: its hue and shape
	Name  string // of the card, as a viewer reads it
	Mode  string // "as shipped", "tuned, +90 MHz"; may be empty
}

// label gives name and mode on one line.
func (r Row) label() string {
	if r.Mode == "" {
		return r.Name
	}
	return r.Name + " · " + r.Mode
}

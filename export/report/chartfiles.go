package report

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"path"
	"regexp"
	"strings"
	"sync"

	"github.com/rigslate/rigslate/export/chart"
)

// Charts says which charts are written as files: all, svg or none, or names of those that are wanted as PNG beside the SVG of all, parted by commas.
// A name may have the signs of a shell, *, ? and […], and is that of a chart, or of a picture of it: summary-*, or fjord-plain-uhd.wide.dark.3840.
type Charts string

// The choices that are words.
const (
	AllCharts Charts = "all" // SVG and PNG
	SVGCharts Charts = "svg"
	NoCharts  Charts = "none"
)

// ParseCharts reads a choice.
func ParseCharts(s string) (Charts, error) {
	for _, name := range strings.Split(s, ",") {
		if _, err := path.Match(name, ""); err != nil || name == "" {
			return "", fmt.Errorf("charts %q: %q is no name of a chart; all, svg, none or names such as summary-* are expected", s, name)
		}
	}
	return Charts(s), nil
}

// asked tells whether charts are written at all.
func (c Charts) asked() bool { return c != NoCharts && c != "" }

// dots tells whether a picture of a chart is wanted as PNG.
func (c Charts) dots(chart, picture string) bool {
	switch c {
	case AllCharts:
		return true
	case SVGCharts, NoCharts:
		return false
	}
	for _, name := range strings.Split(string(c), ",") {
		name = strings.TrimSuffix(name, ".png")
		a, _ := path.Match(name, chart) // what is no pattern matches nothing, and was told of by ParseCharts
		b, _ := path.Match(name, picture)
		if a || b {
			return true
		}
	}
	return false
}

// pictured is what the name of a picture has behind that of its chart: shape, theme and width.
var pictured = regexp.MustCompile(`\.[a-z]+\.[a-z]+\.\d+$`)

// Unknown lists the names of a choice that no picture has.
func (c Charts) Unknown(files []File) (names []string) {
	switch c {
	case AllCharts, SVGCharts, NoCharts, "":
		return nil
	}
	for _, name := range strings.Split(string(c), ",") {
		found := false
		for _, f := range files {
			base, ok := strings.CutSuffix(path.Base(f.Path), ".png")
			found = found || ok && Charts(name).dots(pictured.ReplaceAllString(base, ""), base)
		}
		if !found {
			names = append(names, name)
		}
	}
	return names
}

// shape is a format of a chart's files, with the widths in pixels of its pictures of dots and the themes that it is drawn in.
type shape struct {
	name   string
	format chart.Format
	pixels []int
	themes []chart.Theme
}

var (
	everyTheme = []chart.Theme{chart.Light, chart.Dark, chart.Clear}
	shapes     = []shape{{"wide", chart.Wide, []int{1920, 3840}, everyTheme}, {"tall", chart.Tall, []int{1080}, everyTheme}}
	// Strips lie over or under footage, and there are as many as cells.
	stripShapes = []shape{{"band", chart.Band, []int{1920, 3840}, []chart.Theme{chart.Clear}}}
)

// chartFiles are the charts as files: charts/NAME.SHAPE.THEME.svg, and .PIXELS.png beside it; charts/strips.csv says where time stands on strips.
func chartFiles(s Source, which Charts) (files []File, err error) {
	if !which.asked() {
		return nil, nil
	}
	if s, err = s.withPasses(); err != nil {
		return nil, err
	}
	all, _, err := allCharts(s, 0)
	if err != nil {
		return nil, err
	}
	files = asFiles(append(all, distributionCharts(s)...), shapes, which, s.Look)
	for _, x := range s.strips() {
		strip := named{x.name, func(f chart.Format) chart.Picture { return x.chart().Picture(f, s.Look) }}
		files = append(files, asFiles([]named{strip}, stripShapes, which, s.Look)...)
	}
	if table, ok, fail := stripTimes(s); ok || fail != nil {
		files, err = append(files, table), errors.Join(err, fail)
	}
	return files, err
}

// asFiles are charts in all shapes.
func asFiles(list []named, shapes []shape, which Charts, look chart.Look) (files []File) {
	if !which.asked() {
		return nil
	}
	for _, c := range list {
		for _, x := range shapes {
			files = append(files, c.files(x, which, look)...)
		}
	}
	return files
}

// files are a chart's in one shape. They are drawn when they are made, the SVG of all themes from one layout.
func (c named) files(x shape, which Charts, look chart.Look) (files []File) {
	layout := &laid{draw: func() chart.Picture { return c.pic(x.format) }, uses: len(x.themes)}
	for _, theme := range x.themes {
		name := fmt.Sprintf("%s.%s.%s", fileName(c.name), x.name, theme)
		drawing := new(svgSum)
		files = append(files, File{Path: "charts/" + name + ".svg", Make: func() ([]byte, error) {
			var svg bytes.Buffer
			err := layout.use().WriteSVG(&svg, theme)
			drawing.sum = sha256.Sum256(svg.Bytes())
			return svg.Bytes(), err
		}})
		for _, width := range x.pixels {
			picture := fmt.Sprintf("%s.%d", name, width)
			if !which.dots(fileName(c.name), picture) {
				continue
			}
			files = append(files, File{Path: "charts/" + picture + ".png", After: true,
				Holds: func(old []byte) bool { return chart.Sealed(old, look.Origin(drawing.sum, width)) },
				Make: func() ([]byte, error) {
					var png bytes.Buffer
					if err := c.pic(x.format).WritePNG(&png, theme, width); err != nil {
						return nil, err
					}
					return chart.Seal(png.Bytes(), look.Origin(drawing.sum, width))
				}})
		}
	}
	return files
}

// svgSum is the hash of a chart's SVG, for the pictures of dots that are made after it.
type svgSum struct{ sum [sha256.Size]byte }

// laid is a layout that several files are written from, and which is forgotten after the last: those of all charts do not fit into memory.
type laid struct {
	draw func() chart.Picture

	lock    sync.Mutex
	picture *chart.Picture
	uses    int
}

func (l *laid) use() chart.Picture {
	l.lock.Lock()
	defer l.lock.Unlock()
	if l.picture == nil {
		p := l.draw()
		l.picture = &p
	}
	p := *l.picture
	if l.uses--; l.uses <= 0 {
		l.picture = nil
	}
	return p
}

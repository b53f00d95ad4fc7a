package report

import (
	"bytes"
	"fmt"
	"html/template"
	"strings"

	"github.com/rigslate/rigslate/export/chart"
)

// Pictures are charts to be set into the page, whole SVG elements by the name that their files have.
type Pictures struct {
	order []string
	svg   map[string]template.HTML
	left  []string // frame times that the page has no room for

	columns int // to how many stretches of time each pass is reduced; 0 where there are no frame times
}

const (
	// mostFrameTimes is how many bytes of frame times the page takes, so that it can be opened at once. What is beyond are files.
	mostFrameTimes = 6_500_000
	// mostColumns is to how many columns the frame times of all passes on the page are reduced together; one takes some nine bytes.
	mostColumns = 500_000
	// screenColumns is how many a screen can show of one pass: more than the page has points of width.
	screenColumns = 1600
	fewestColumns = 240
)

// columns is to how many stretches of time the page reduces each pass. A column is drawn from its shortest to its longest frame, so no peak is lost
// in a review of any size.
func columns(s Source) int {
	return min(screenColumns, max(fewestColumns, mostColumns/max(1, len(s.Words.Cells))))
}

// pictures draws the charts that the page shows beside its tables: the same that are written as files, coloured by the page's style. What the
// encoder of XML writes has no markup but the chart's own, whatever a plan calls its things.
func pictures(s Source) (Pictures, error) {
	p := Pictures{svg: map[string]template.HTML{}}
	all, times, err := allCharts(s, columns(s))
	if err != nil {
		return p, err
	}
	if times < len(all) {
		p.columns = columns(s)
	}
	room := mostFrameTimes
	for i, c := range all {
		var svg bytes.Buffer
		if err := c.pic(chart.Wide).WriteSVG(&svg, chart.Page); err != nil {
			return p, fmt.Errorf("chart %s: %w", c.name, err)
		}
		if i >= times {
			if room -= svg.Len(); room < 0 {
				p.left = append(p.left, c.name)
				continue
			}
		}
		p.order = append(p.order, c.name)
		p.svg[c.name] = template.HTML(svg.String())
	}
	return p, nil
}

// plots says what plots over time show of what was measured, or why there are none.
func (v view) plots() string {
	switch {
	case v.Frames == nil && v.Origin.Edition == "":
		return "A draft keeps no frames and no logs, so it has no plots of frame times and of soaks. An edition has them; run --partial publishes what there is."
	case v.charts.columns == 0:
		return ""
	}
	return fmt.Sprintf("Frame times are drawn as up to %d columns a pass. Each reaches from the shortest to the longest frame that was on screen in it, so no peak is lost.",
		v.charts.columns)
}

// of is one picture, or all whose names begin so.
func (p Pictures) of(name string) (out []template.HTML) {
	if svg, ok := p.svg[name]; ok {
		return []template.HTML{svg}
	}
	return nil
}

func (p Pictures) beginning(prefix string) (out []template.HTML) {
	for _, name := range p.order {
		if strings.HasPrefix(plainName(name), plainName(prefix)) {
			out = append(out, p.svg[name])
		}
	}
	return out
}

// Drawing is one chart of a report, by the name that its files have.
type Drawing struct {
	Name string
	// SVG is the chart in every shape, one after the other.
	SVG func() ([]byte, error)
}

// Drawings lists all charts of a report in the order of its files. Each is drawn when it is asked for.
func Drawings(s Source) (out []Drawing, err error) {
	all, _, err := allCharts(s, 0)
	if err != nil {
		return nil, err
	}
	for _, c := range all {
		out = append(out, Drawing{c.name, func() ([]byte, error) {
			var svg bytes.Buffer
			for _, shape := range shapes {
				if err := c.pic(shape.format).WriteSVG(&svg, chart.Light); err != nil {
					return nil, fmt.Errorf("chart %s: %w", c.name, err)
				}
			}
			return svg.Bytes(), nil
		}})
	}
	return out, nil
}

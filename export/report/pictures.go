package report

import (
	"bytes"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"github.com/rigslate/rigslate/export/chart"
)

// Pictures are charts to be set into the page, whole SVG elements by the name that their files have.
type Pictures struct {
	order []string
	svg   map[string]template.HTML
	left  []string // frame times that the page has no room for
}

// mostFrameTimes is how many bytes of frame times the page takes: a review of a hundred plots would be too heavy to open. The others are files.
const mostFrameTimes = 6 << 20

// pictures draws the charts that the page shows beside its tables: the same that are written as files, coloured by the page's style. What the
// encoder of XML writes has no markup but the chart's own, whatever a plan calls its things.
func pictures(s Source) (Pictures, error) {
	p := Pictures{svg: map[string]template.HTML{}}
	curves, err := soakCurves(s)
	if err != nil {
		return p, err
	}
	times, err := frameCharts(s)
	if err != nil {
		return p, err
	}
	room := mostFrameTimes
	for _, c := range slices.Concat(charts(s), curves, times) {
		var svg bytes.Buffer
		if err := c.pic(chart.Wide).WriteSVG(&svg, chart.Page); err != nil {
			return p, fmt.Errorf("chart %s: %w", c.name, err)
		}
		if slices.ContainsFunc(times, func(t named) bool { return t.name == c.name }) {
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

// of is one picture, or all whose names begin so.
func (p Pictures) of(name string) (out []template.HTML) {
	if svg, ok := p.svg[name]; ok {
		return []template.HTML{svg}
	}
	return nil
}

func (p Pictures) beginning(prefix string) (out []template.HTML) {
	for _, name := range p.order {
		if strings.HasPrefix(name, prefix) {
			out = append(out, p.svg[name])
		}
	}
	return out
}

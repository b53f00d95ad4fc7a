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
}

// pictures draws the charts that the page shows beside its tables: the same that are written as files, coloured by the page's style. What the
// encoder of XML writes has no markup but the chart's own, whatever a plan calls its things.
func pictures(s Source) (Pictures, error) {
	p := Pictures{svg: map[string]template.HTML{}}
	for _, c := range charts(s) {
		var svg bytes.Buffer
		if err := c.pic(chart.Wide).WriteSVG(&svg, chart.Page); err != nil {
			return p, fmt.Errorf("chart %s: %w", c.name, err)
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

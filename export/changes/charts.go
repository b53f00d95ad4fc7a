package changes

import (
	"bytes"

	"github.com/rigslate/rigslate/export/report"
)

// ChartChange is a chart that is drawn otherwise, or that only one edition has.
type ChartChange struct {
	Name string `json:"name"` // of its files, without shape, theme and ending
	Word Word   `json:"change"`
}

// CompareCharts draws each chart of both editions and lists those that come out otherwise. Both are drawn by this release, so that what differs is
// what they show. An edition without words for reports cannot be drawn as it was; NoCharts then says so.
func (p Pair) CompareCharts(c *Changes) error {
	for _, e := range []Edition{p.was, p.is} {
		if e.Bare {
			c.NoCharts = "edition " + e.Edition.Edition + " is older than the words of reports, so what its charts were cannot be told"
			return nil
		}
	}
	before, err := report.Drawings(p.was.Source)
	if err != nil {
		return err
	}
	now, err := report.Drawings(p.is.Source)
	if err != nil {
		return err
	}
	at := map[string]report.Drawing{}
	for _, d := range before {
		at[d.Name] = d
	}
	for _, d := range now {
		old, ok := at[d.Name]
		delete(at, d.Name)
		if !ok {
			c.Charts = append(c.Charts, ChartChange{d.Name, Added})
			continue
		}
		was, err := old.SVG()
		if err != nil {
			return err
		}
		is, err := d.SVG()
		if err != nil {
			return err
		}
		if !bytes.Equal(was, is) {
			c.Charts = append(c.Charts, ChartChange{d.Name, Shown})
		}
	}
	for _, d := range before {
		if _, gone := at[d.Name]; gone {
			c.Charts = append(c.Charts, ChartChange{d.Name, Withdrawn})
		}
	}
	return nil
}

package review

import (
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/export/archive"
)

// notInRuns are metrics that are shown and compared but have no column of their own.
var notInRuns = map[string]bool{"over_display_share": true} // the display's rate differs from rig to rig

func TestEveryMetricHasItsColumn(t *testing.T) {
	for _, m := range compute.Metrics() {
		var row archive.RunRow
		if ok := archive.SetFigure(&row, m.Name, 1); ok == notInRuns[m.Name] {
			t.Errorf("%s: column there is %v", m.Name, ok)
		}
	}
}

package review

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/rigslate/rigslate/compute/calibration"
)

// The demo's page is about the demo: its launches, as its bench log has them, and its baseline. Whoever simulates, it says the same.
func TestCalibrationOfTheDemo(t *testing.T) {
	long(t)
	r := do(t, options(copied(t, "demo")))
	d := r.design()
	used := 0
	for i, c := range d.Cells {
		used += len(c.Launches)
		for _, l := range c.Launches {
			if l.Session == "" || l.Passes != 1 {
				t.Errorf("cell %d: %+v", i, l)
			}
		}
		if c.Base >= 0 && (d.Cells[c.Base].Base >= 0 || d.Cells[c.Base].Game != c.Game || d.Cells[c.Base].Card == c.Card) {
			t.Errorf("cell %d is compared with %d", i, c.Base)
		}
		if !(c.Spread > 0 && c.Spread < 0.1) {
			t.Errorf("cell %d: spread %g", i, c.Spread)
		}
	}
	passes := 0
	for _, p := range r.Passes {
		if p.Status == Used {
			passes++
		}
	}
	if used != passes { // in the demo each pass is a launch of its own
		t.Errorf("%d launches of %d passes", used, passes)
	}
	one, many := r.calibration(Options{Workers: 1}), r.calibration(Options{Workers: 3})
	if !reflect.DeepEqual(one, many) {
		t.Errorf("one worker says %+v, three %+v", one, many)
	}
	const exact = 1 // the claim on a length is no test
	compared := 0
	for _, x := range r.Comparisons {
		if x.Metric.Name == headline && x.Base.CardMode() == r.Plan.Review.Baseline && x.P.OK {
			compared++
		}
	}
	if one.Cells != len(d.Cells) || one.Comparisons != compared || one.Claims != len(r.Plan.Claims)-exact || len(one.Promises) != len(calibration.Promises()) {
		t.Errorf("%+v, and %d comparisons", one, compared)
	}
}

// A review without a pass has a page that says so.
func TestCalibrationOfNothing(t *testing.T) {
	long(t)
	o := options(copied(t, "demo"))
	if err := os.RemoveAll(filepath.Join(o.Plans[0], "captures")); err != nil {
		t.Fatal(err)
	}
	r, err := Do(t.Context(), o)
	if r == nil || r.Kept.Report == "" {
		t.Fatalf("no report: %v", err)
	}
	if page := r.calibration(o); page.Reviews != 0 || page.Nothing == "" {
		t.Errorf("%+v", page)
	}
	if _, err := os.Stat(filepath.Join(r.Kept.Report, "calibration.html")); err != nil {
		t.Error(err)
	}
}

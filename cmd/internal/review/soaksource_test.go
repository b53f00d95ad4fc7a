package review

import (
	"slices"
	"strings"
	"testing"
)

// Every figure of the demo's soaks that is there can be followed to a log, to frames or to readings; what was noted, to the plan.
func TestWhereFiguresOfSoaksAreFrom(t *testing.T) {
	long(t)
	r := do(t, options(copied(t, "demo")))
	from := map[string][]string{} // the channels of each log, by run_id
	for _, s := range r.Soaks {
		for _, f := range s.Files {
			from[runID(Pass{SHA256: f.SHA256})] = f.channels
		}
	}
	logged, noted := 0, 0
	for _, f := range r.Bench {
		if f.Repeat == 0 || f.IsFact() || !f.Value.OK {
			continue
		}
		switch channels, there := from[f.Source]; {
		case there && (slices.Contains(channels, f.Sensor) || strings.HasPrefix(f.Name, "frame_rate_") && channels == nil):
			logged++
		case strings.HasPrefix(f.Source, "reading."):
			noted++
		default:
			t.Errorf("%s %s of %s is from %q", f.Of, f.Name, f.Sensor, f.Source)
		}
	}
	if logged == 0 || noted == 0 {
		t.Errorf("%d figures of logs, %d of readings", logged, noted)
	}
}

package review

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/ingest/text"
	"github.com/rigslate/rigslate/plan"
)

// Dates and times that a plan can declare are those that logs are read in: neither package knows the other.
func TestPlanAndIngestHaveTheSameLayouts(t *testing.T) {
	if diff := cmp.Diff(text.Forms(), plan.TimeLayouts); diff != "" {
		t.Errorf("layouts (-ingest +plan):\n%s", diff)
	}
}

package review

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/compute/thermal"
	"github.com/rigslate/rigslate/ingest/text"
	"github.com/rigslate/rigslate/plan"
	"github.com/rigslate/rigslate/plan/glossary"
)

// Dates and times that a plan can declare are those that logs are read in: neither package knows the other.
func TestPlanAndIngestHaveTheSameLayouts(t *testing.T) {
	if diff := cmp.Diff(text.Forms(), plan.TimeLayouts); diff != "" {
		t.Errorf("layouts (-ingest +plan):\n%s", diff)
	}
}

// What a claim can name of a soak, of value and of facts is called as where it is worked out.
func TestPlanAndComputeHaveTheSameNames(t *testing.T) {
	entries := slices.Concat(power.Entries(), sound.Entries(), thermal.Entries(), compute.BenchEntries())
	has := func(name string) bool {
		return slices.ContainsFunc(entries, func(e glossary.Entry) bool { return e.Name == name })
	}
	for _, m := range plan.SoakMetrics {
		if !has(m.Name) {
			t.Errorf("a claim can name %s, which nothing explains", m.Name)
		}
		if _, ok := compute.SoakMetric(m.Name); !ok {
			t.Errorf("a claim can name %s, which is not compared", m.Name)
		}
	}
	for _, name := range []string{"price_per_fps", "break_even_price"} {
		if !slices.Contains(plan.ValueMetrics, name) || !has(name) {
			t.Errorf("%s is not called so on both sides", name)
		}
	}
	card := plan.Card{Memory: &plan.Memory{RateGTps: 20, BusBits: 256}, Phases: []plan.Phases{{Feeds: "core", Count: 8, StagesEach: 2}}}
	if _, ok := card.Fact("stock", "power_stages"); !ok || !has("power_stages") {
		t.Error("power_stages is not called so on both sides")
	}
}

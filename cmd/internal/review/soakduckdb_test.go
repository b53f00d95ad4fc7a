package review

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/export/archive"
)

// DuckDB works out from the archived sensors what the readings say of each soak, of the demo and of the real captures: time-weighted means by
// the trapezoid, peaks, energy, to 1e-9. Which stretch
// is the load stands in the readings; R finds it by itself.
func TestArchivedSoaksAgreeWithDuckDB(t *testing.T) {
	long(t)
	readers := filepath.Join(ciDir, "parquet-readers")
	node := needOutside(t, "node", filepath.Join(readers, "node_modules"))
	for name, c := range map[string]struct {
		review func(*testing.T) *Review
		least  int // figures
	}{
		// Eight soaks of half an hour have six probes with end and peak each, the peak of a group, three figures of power and one of a clock.
		"demo": {func(t *testing.T) *Review { return do(t, options(copied(t, "demo"))) }, 8 * 17},
		"real": {publishedRealSoaks, 14}, // two soaks: end and peak of one probe, four figures of power, one of a clock
	} {
		t.Run(name, func(t *testing.T) {
			r := c.review(t)
			if r.Kept.Folder == "" {
				t.Fatal("no edition was published")
			}
			o := askOutside(t, exec.CommandContext(t.Context(), node, filepath.Join(readers, "soaks.mjs"), r.Kept.Folder))
			for _, row := range archivedReadings(t, r) {
				if row.Protocol == nil || row.Repeat == nil || row.BaseCard != nil || row.Sensor == nil || row.Value == nil || noteSource(row) {
					continue
				}
				figure := row.Figure
				if row.ProbeGroup != nil {
					figure = "group " + figure
				}
				key := strings.Join([]string{*row.Protocol, row.Card, *row.Mode, fmt.Sprint(*row.Repeat), *row.Sensor}, " ")
				if slices.Contains([]string{"mean_power_w", "peak_power_w", "energy_j", "energy_per_frame_j", "clock_mean_mhz", "end_c", "peak_c", "group peak_c"}, figure) {
					o.figure("readings", key, figure, row.Value)
				}
			}
			o.done()
			if o.compared["readings"] < c.least {
				t.Errorf("%d figures, want at least %d", o.compared["readings"], c.least)
			}
		})
	}
}

// noteSource reports whether a reading was noted by a person, of which sensors know nothing.
func noteSource(row archive.ReadingRow) bool {
	return row.Source != nil && strings.HasPrefix(*row.Source, "reading.")
}

func archivedReadings(t *testing.T, r *Review) []archive.ReadingRow {
	t.Helper()
	m, err := archive.ReadManifest(r.Kept.Folder)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := archive.ReadTable[archive.ReadingRow](archive.Edition{Manifest: m, Dir: r.Kept.Folder}, "readings.parquet")
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func publishedRealSoaks(t *testing.T) *Review {
	t.Helper()
	dir := realSoaks(t)
	o := options(dir)
	o.Partial = true // the other soak is shorter than is declared, and no pass is there
	return do(t, o)
}

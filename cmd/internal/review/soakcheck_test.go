package review

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"github.com/rigslate/rigslate/compute"
)

// R works out what the demo's half hours come to, from the loggers' files, by how much two cards and modes differ from the baseline, and the fan
// sweeps with what they say of the target level: each figure to 1e-9.
func TestSoaksAgreeWithR(t *testing.T) {
	long(t)
	rscript := needOutside(t, "Rscript")
	dir := copied(t, "demo")
	r := do(t, options(dir))
	unpack(t, dir)
	other := askOutside(t, exec.CommandContext(t.Context(), rscript, filepath.Join(ciDir, "crosscheck", "soaks.R"), dir))
	figures := []string{"peak_c", "sustained_peak_c", "end_c", "rise_k", "mean_power_w", "peak_power_w", "peak_1s_power_w", "clock_median_mhz",
		"clock_mean_mhz", "fan_typical_rpm"}
	for _, f := range r.Bench {
		if f.Protocol != "half_hour" || f.Of.Card == "skua" || f.FanPct.OK || f.Sensor == "" || !slices.Contains(figures, f.Name) {
			continue
		}
		sensor := f.Sensor
		if f.Group != "" {
			sensor = f.Group
		}
		key := fmt.Sprintf("%s %s %d %s", f.Of.Card, f.Of.Mode, f.Repeat, sensor)
		other.value("soaks", key, f.Name, f.Value)
		if f.U.Standard.OK {
			other.value("soaks", key+" uncertainty of "+f.Name, "u", f.U.Standard)
			other.value("soaks", key+" uncertainty of "+f.Name, "expanded", f.U.Expanded)
		}
	}
	for _, f := range r.Bench {
		switch {
		case f.Protocol != "fan" || f.Text != "":
		case slices.Contains(f.Flags, flagInterpolated):
			other.value("at target", f.Of.Card, f.Name, f.Value)
			if f.Name == "fan_at_target_rpm" {
				other.value("at target", f.Of.Card, "fan_pct", f.FanPct)
			}
		default:
			key := fmt.Sprintf("%s %g", f.Of.Card, f.FanPct.X)
			other.value("sweep", key, f.Name, f.Value)
			if f.U.Standard.OK {
				other.value("sweep", key+" uncertainty", "u", f.U.Standard)
				other.value("sweep", key+" uncertainty", "expanded", f.U.Expanded)
			}
		}
	}
	for _, d := range r.BenchDiffs {
		if d.Soak != "half_hour" || d.Of.Card == "skua" || d.Base != r.Plan.Review.Baseline || !slices.Contains(figures, d.Metric.Name) {
			continue
		}
		sensor := d.Sensor.Name()
		if d.At != "" {
			sensor = "power"
		}
		shown := d.Difference
		if d.Metric.Scale == compute.Ratio {
			shown = d.Percent
		}
		key := fmt.Sprintf("%s %s %s %s", d.Of.Card, d.Of.Mode, sensor, d.Metric.Name)
		for column, v := range map[string]compute.Value{"difference": shown, "low": d.Low, "high": d.High, "df": d.DF, "p": d.P} {
			other.value("differences", key, column, v)
		}
	}
	other.done()
}

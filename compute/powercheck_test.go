package compute

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// R's power.t.test, and an integral of R's for showing equality, at this very moment: the least launches a side for a grid of
// spreads, sizes and session spreads, what a number of launches resolves, and the power itself. .ci/crosscheck/power.R says how.
func TestRepeatsAgreeWithR(t *testing.T) {
	if testing.Short() {
		t.Skip("asks R six hundred questions")
	}
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("R is not installed: %v", err)
		}
		t.Skipf("needs R: %v", err)
	}
	cmd := exec.CommandContext(t.Context(), rscript, "../.ci/crosscheck/power.R")
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, stderr.String())
	}
	m := metric(t, "mean_fps")
	checked := map[string]int{}
	reached := 0
	for line := range strings.Lines(string(out)) {
		part := strings.Split(strings.TrimSpace(line), "\t")
		kind, x := part[0], make([]float64, len(part)-1)
		for i, s := range part[1:] {
			if x[i] = math.NaN(); s != "NA" {
				x[i] = parse(t, s)
			}
		}
		checked[kind]++
		var noise Noise
		var sessions SessionSpread
		if kind != "power" {
			noise, sessions = ExpectedNoise(m, x[0], 0), PlanSessionSpread(m, x[2], 0)
			noise.Looks = int(x[3])
		}
		switch kind {
		case "differ":
			reached += wantRepeats(t, line, RepeatsToDiffer(m, x[1], Margin{Percent: 0.1}, noise, sessions), x[4])
		case "level":
			reached += wantRepeats(t, line, RepeatsToLevel(m, Margin{Percent: x[1]}, noise, sessions), x[4])
		case "resolve":
			wantValue(t, line, ResolvableAt(m, int(x[1]), noise, sessions), x[4], 1e-9)
		case "power":
			wantValue(t, line+"differ", Known(differPower(x[0], x[1], 0.05)), x[2], 1e-9)
			if x[3] > 1e-12 { // what is further out is none
				wantValue(t, line+"level", Known(levelPower(x[0], x[1], 0.05)), x[3], 1e-9)
			} else if p := levelPower(x[0], x[1], 0.05); !(p >= 0 && p <= 1e-12) {
				t.Errorf("%q: level power %g", line, p)
			}
		}
	}
	if checked["differ"] != 6*3*2*7 || checked["level"] != 6*3*2*4 || checked["resolve"] != 6*3*2*10 || checked["power"] != 9*9 || reached < 150 {
		t.Errorf("checked %v, %d of the repeats reachable", checked, reached)
	}
}

// wantRepeats compares a number of repeats, NaN for one that is out of reach, and returns 1 if it is in reach.
func wantRepeats(t *testing.T, what string, got Repeats, want float64) int {
	t.Helper()
	if got.OK != !math.IsNaN(want) || got.OK && strconv.Itoa(got.K) != strconv.FormatFloat(want, 'f', -1, 64) {
		t.Errorf("%q: %+v, want %g", what, got, want)
	}
	if got.OK {
		return 1
	}
	return 0
}

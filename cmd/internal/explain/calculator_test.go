package explain

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// The sums that examples show are worked out again from the numbers as printed, by school arithmetic: what a reader with a pocket
// calculator does.
func TestExamplesAgreeWithACalculator(t *testing.T) {
	sum := regexp.MustCompile(`(?:([\d.]+) × )?(√\()?([\d.]+)(?: [a-z]+)? / ([\d.]+)(?: [a-z]+)?\)? = ([\d.]*\d)`)
	checked := map[string]bool{}
	for name, text := range examples() {
		for _, m := range sum.FindAllStringSubmatch(text, -1) {
			a, b, want := number(t, m[3]), number(t, m[4]), m[5]
			got, off := a/b, inPrint(m[3])/a+inPrint(m[4])/b // and by how much, as a share, rounding in print may move it
			if m[1] != "" {
				got *= number(t, m[1])
			}
			if m[2] != "" {
				got = math.Sqrt(got)
			}
			if math.Abs(got-number(t, want)) > got*off+inPrint(want)*(1+1e-9) {
				t.Errorf("%s: %q, a calculator has %g", name, m[0], got)
			}
			checked[name] = true
		}
	}
	for _, name := range []string{"mean_fps", "frame_ms_mean", "frame_ms_sd", "rmssd_ms", "lag1", "hitch_time_share", "difference", "low1_quantile_fps",
		"low1_tail_mean_fps", "low1_time_share_fps", "low01_quantile_fps", "low01_tail_mean_fps", "low01_time_share_fps"} {
		if !checked[name] {
			t.Errorf("no sum was found in the example of %s: %s", name, Example(name))
		}
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// inPrint is half a unit of a number's last decimal; nothing for a whole number, which is a count.
func inPrint(text string) float64 {
	_, decimals, has := strings.Cut(text, ".")
	if !has {
		return 0
	}
	return 0.5 * math.Pow10(-len(decimals))
}

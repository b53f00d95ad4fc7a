package thermal

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

// heatingCase is a course with noise to be fitted, and where R is told to begin.
type heatingCase struct {
	name                      string
	log                       *series.Series
	load                      series.Span
	final, a1, tau1, a2, tau2 float64
}

// heatings are soaks as benches have them, and some that a fit finds hard. The two terms of R's start are the true ones, and near
// them where there is but one.
func heatings(t *testing.T) (cases []heatingCase) {
	for i, c := range []struct {
		length, every, noise, final, a1, tau1, a2, tau2 float64
	}{
		{1800, 1, 0.05, 71, -14, 7, -31, 260}, // a chip and its heatsink
		{1800, 1, 0.2, 63, -45, 25, 9, 300},   // a fan that catches up late
		{1800, 5, 0.1, 78, -10, 40, -40, 200}, // a logger of five seconds
		{1200, 1, 0.02, 55, -12, 60, -18, 180},
		{900, 0.2, 0.3, 66, -20, 5, -20, 90}, // on means of whole seconds
		{300, 1, 0.05, 70, -9, 5, -19, 180},  // shorter than twice the slowest
		{1800, 1, 0.5, 63, -8, 30, -30, 500},
	} {
		log, load := sampled(t, c.length, c.every, c.noise, uint64(i+20), func(s float64) float64 {
			return c.final + c.a1*math.Exp(-s/c.tau1) + c.a2*math.Exp(-s/c.tau2)
		})
		cases = append(cases, heatingCase{name: fmt.Sprintf("soak%d", i), log: log, load: load, final: c.final, a1: c.a1, tau1: c.tau1, a2: c.a2, tau2: c.tau2})
	}
	return cases
}

// R's nls, from the true values on, finds the curves that the fit finds without being told where to begin: final temperature, its
// uncertainty, time constants, sum of squares, BIC and the residuals' r₁, for one term and for two. .ci/crosscheck/heating.R says how.
func TestFitAgreesWithR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("R is not installed: %v", err)
		}
		t.Skipf("needs R: %v", err)
	}
	cases := heatings(t)
	var points, starts bytes.Buffer
	fmt.Fprintln(&points, "case t y")
	fmt.Fprintln(&starts, "case final a1 tau1 a2 tau2")
	ours := map[string][2]fit{}
	for _, c := range cases {
		atS, values := c.log.Points(c.load)
		for i := range atS {
			fmt.Fprintf(&points, "%s %.17g %.17g\n", c.name, atS[i]-atS[0], values[i])
		}
		fmt.Fprintln(&starts, c.name, c.final, c.a1, c.tau1, c.a2, c.tau2)
		d := newDecays(atS, values)
		ours[c.name] = [2]fit{d.one(), d.two()}
	}
	folder := t.TempDir()
	files := []string{filepath.Join(folder, "points"), filepath.Join(folder, "starts")}
	for i, b := range []bytes.Buffer{points, starts} {
		if err := os.WriteFile(files[i], b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.CommandContext(t.Context(), rscript, append([]string{"../../.ci/crosscheck/heating.R"}, files...)...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, stderr.String())
	}
	checked := 0
	for line := range strings.Lines(string(out)) {
		part := strings.Split(strings.TrimSpace(line), "\t")
		terms, err := strconv.Atoi(part[1])
		if err != nil {
			t.Fatal(err)
		}
		compareFit(t, part[0]+" "+part[1], ours[part[0]][terms-1], part[2:])
		checked++
	}
	if checked != 2*len(cases) {
		t.Errorf("R fitted %d curves: %s", checked, stderr.String())
	}
}

func compareFit(t *testing.T, name string, f fit, r []string) {
	t.Helper()
	var want []float64
	for _, text := range r {
		x := math.NaN()
		if text != "NA" {
			var err error
			if x, err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		want = append(want, x)
	}
	n := float64(len(f.residuals))
	u := math.Sqrt(f.rss/(n-float64(f.parameters()))) / f.finalOwn
	wantNear(t, name+" final", compute.Known(f.final), want[0], 1e-5*want[1])
	wantNear(t, name+" u", compute.Known(u), want[1], 1e-5*want[1])
	for k, tau := range f.taus {
		wantNear(t, name+" tau", compute.Known(tau), want[2+k], 1e-5*want[2+k])
	}
	wantNear(t, name+" rss", compute.Known(f.rss), want[4], 1e-10*want[4])
	wantNear(t, name+" bic", compute.Known(bic(f)), want[5], 1e-7)
	wantNear(t, name+" r1", compute.Known(compute.LagOne(f.residuals)), want[6], 1e-7)
}

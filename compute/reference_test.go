package compute

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The files read here and their sources are described in testdata/reference/README.md.

func referenceRows(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func referenceJSON(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

func parse(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// agree reports whether two numbers agree to a relative tolerance.
func agree(got, want, tolerance float64) bool {
	return math.Abs(got-want) <= tolerance*math.Abs(want)
}

func wantValue(t *testing.T, what string, got Value, want, tolerance float64) {
	t.Helper()
	if !got.OK || !agree(got.X, want, tolerance) {
		t.Errorf("%s: got %.17g (ok %v, %q), want %.17g", what, got.X, got.OK, got.Why, want)
	}
}

// All 9 types of R 4.2.2's quantile on 12 vectors at 13 probabilities, to 1e-12.
func TestQuantilesAgreeWithR(t *testing.T) {
	vectors := map[string][]float64{}
	for _, row := range referenceRows(t, "quantile_vectors.csv") {
		vectors[row[0]] = append(vectors[row[0]], parse(t, row[2]))
	}
	checked := 0
	for _, row := range referenceRows(t, "quantile_expected.csv") {
		sorted := slices.Sorted(slices.Values(vectors[row[0]]))
		for kind := 1; kind <= 9; kind++ {
			wantValue(t, row[0]+" at "+row[2]+" type "+strconv.Itoa(kind), Quantile(sorted, parse(t, row[2]), kind), parse(t, row[2+kind]), 1e-12)
			checked++
		}
	}
	if checked != 12*13*9 {
		t.Errorf("%d values checked", checked)
	}
}

// strdSet is a data set with its values as decimals, and as integers at the scale of its longest fraction.
type strdSet struct {
	floats []float64
	whole  []int64
	scale  float64
}

func strdSets(t *testing.T) map[string]*strdSet {
	decimals := map[string]int{}
	text := map[string][]string{}
	for _, row := range referenceRows(t, "strd_univariate_data.csv") {
		_, fraction, _ := strings.Cut(row[2], ".")
		decimals[row[0]] = max(decimals[row[0]], len(fraction))
		text[row[0]] = append(text[row[0]], row[2])
	}
	sets := map[string]*strdSet{}
	for name, values := range text {
		set := &strdSet{scale: math.Pow10(decimals[name])}
		for _, v := range values {
			whole, fraction, _ := strings.Cut(v, ".")
			i, err := strconv.ParseInt(whole+fraction+strings.Repeat("0", decimals[name]-len(fraction)), 10, 64)
			if err != nil {
				t.Fatal(err)
			}
			set.whole = append(set.whole, i)
			set.floats = append(set.floats, parse(t, v))
		}
		sets[name] = set
	}
	return sets
}

// NIST's certified mean, standard deviation and lag-1 autocorrelation, to 15 digits, and the exactly computed root mean square
// successive difference: the data as whole numbers, as frame times are, reach the certified digits even for NumAcc4, which a
// one-pass formula fails. The float64 mean and variance that cells use reach what decimal input in binary allows.
func TestStatisticalReferenceDatasets(t *testing.T) {
	sets := strdSets(t)
	for _, row := range referenceRows(t, "strd_univariate_certified.csv") {
		set := sets[row[0]]
		mean, sd, lag1, rmssd := parse(t, row[3]), parse(t, row[4]), parse(t, row[5]), parse(t, row[6])
		total := Duration(set.whole)
		got := spread(set.whole, total)
		wantValue(t, row[0]+" mean", Known(float64(total)/float64(len(set.whole))/set.scale), mean, 2e-15)
		wantValue(t, row[0]+" sd", Known(got.sd.X/set.scale), sd, 2e-15)
		wantValue(t, row[0]+" lag1", got.lag1, lag1, 1e-14)
		wantValue(t, row[0]+" rmssd", Known(got.rmssd.X/set.scale), rmssd, 5e-15)

		tolerance := 1e-13
		if row[0] == "NumAcc4" {
			tolerance = 1e-8 // its input as float64 has lost that much
		}
		wantValue(t, row[0]+" float mean", Known(meanOf(set.floats)), mean, 1e-15)
		wantValue(t, row[0]+" float sd", Known(math.Sqrt(varianceOf(set.floats))), sd, tolerance)
	}
}

// R's qt, upper points, to 1e-9.
func TestTQuantiles(t *testing.T) {
	points := []float64{0.90, 0.95, 0.975, 0.99, 0.995, 0.9995}
	for _, row := range referenceRows(t, "t_quantiles.csv") {
		nu := parse(t, row[0])
		for i, p := range points {
			want := parse(t, row[1+i])
			wantValue(t, "t("+row[0]+")", Known(TQuantile(p, nu)), want, 1e-9)
			// and back: the two-sided probability beyond it
			wantValue(t, "P(|t|) at "+row[0], Known(tTwoSided(want, nu)), 2*(1-p), 1e-9)
		}
	}
	// The expansion for many degrees of freedom joins the inverse without a step.
	wantValue(t, "at the joint", Known(TQuantile(0.975, 1e5)), TQuantile(0.975, math.Nextafter(1e5, 0)), 1e-9)
}

// plainMetric compares values as they are.
var plainMetric = Metric{Name: "y", Unit: "K", Scale: Difference}

// 2·pt(−t, ν) of R 4, {ν, t, p}. A comparison whose passes hardly vary beside a session spread that is given has any ν up to 10²⁰.
func TestProbabilitiesOfStudentsT(t *testing.T) {
	for _, c := range [][3]float64{
		{3, 0.001, 0.9992648949694609}, {3, 1, 0.3910022189557705}, {3, 1.96, 0.1448522085648536}, {3, 5, 0.0153924380733023}, {3, 10, 0.002128399058414149},
		{30, 0.001, 0.9992087357664852}, {30, 1, 0.3253086154260298}, {30, 1.96, 0.05934231289605053}, {30, 5, 2.329668546700779e-05}, {30, 10, 4.57525140822961e-11},
		{1000, 0.001, 0.9992023150184528}, {1000, 1, 0.3175524180846727}, {1000, 1.96, 0.05027318495574872}, {1000, 5, 6.767256364648614e-07}, {1000, 10, 1.667070295860008e-22},
		{10000, 0.001, 0.9992021355190526}, {10000, 1, 0.3173347043304294}, {10000, 1.96, 0.05002352023183303}, {10000, 5, 5.830326613662642e-07}, {10000, 10, 1.963280742866402e-23},
		{100000, 0.001, 0.9992021175668877}, {100000, 1, 0.3173129275641102}, {100000, 1.96, 0.04999856319430168}, {100000, 5, 5.742701678641648e-07}, {100000, 10, 1.563301530020741e-23},
		{1e+06, 0.001, 0.9992021157716491}, {1e+06, 1, 0.3173107498335782}, {1e+06, 1.96, 0.0499960675852698}, {1e+06, 5, 5.733997870890735e-07}, {1e+06, 10, 1.52786107681783e-23},
		{1e+10, 0.001, 0.9992021155721978}, {1e+10, 1, 0.3173105078871108}, {1e+10, 1.96, 0.04999579032416966}, {1e+10, 5, 5.733031534220639e-07}, {1e+10, 10, 1.523970993409382e-23},
		{1e+14, 0.001, 0.9992021155721779}, {1e+14, 1, 0.3173105078629168}, {1e+14, 1.96, 0.04999579029644367}, {1e+14, 5, 5.733031437593544e-07}, {1e+14, 10, 1.523970604870966e-23},
		{1e+16, 0.001, 0.9992021155721779}, {1e+16, 1, 0.3173105078629143}, {1e+16, 1.96, 0.04999579029644089}, {1e+16, 5, 5.73303143758396e-07}, {1e+16, 10, 1.523970604832474e-23},
		{1e+20, 0.001, 0.9992021155721779}, {1e+20, 1, 0.3173105078629143}, {1e+20, 1.96, 0.04999579029644089}, {1e+20, 5, 5.733031437583861e-07}, {1e+20, 10, 1.523970604832098e-23},
	} {
		wantValue(t, fmt.Sprintf("P(|t| ≥ %g) at ν = %g", c[1], c[0]), Known(tTwoSided(c[1], c[0])), c[2], 1e-11)
		wantValue(t, fmt.Sprintf("P(|t| ≥ %g) at ν = %g", -c[1], c[0]), Known(tTwoSided(-c[1], c[0])), c[2], 1e-11)
	}
}

// launchesOf makes each value a pass of a launch of its own.
func launchesOf(values ...float64) []Sample {
	samples := make([]Sample, len(values))
	for i, v := range values {
		samples[i] = Sample{Value: Known(v), Launch: strconv.Itoa(i), Session: "s", Minutes: 1}
	}
	return samples
}

var noSessionSpread = SessionSpread{DF: math.Inf(1), Source: "none"}

type twoSampleCase struct {
	ID, Test string
	A, B     []float64
	Computed struct {
		Difference, DF float64
		P              float64 `json:"p_two_sided"`
		CI95, CI90     []float64
		Equivalent     bool    `json:"equivalent_at_5pct"`
		Margin         float64 `json:"upper_margin"`
	}
}

// Welch's test as SciPy and R have it, to 1e-9: difference, degrees of freedom, p and 95 % interval. Two one-sided tests: the
// verdict at the margin of the case, and that it turns exactly at the far end of the 90 % interval.
func TestTwoSamples(t *testing.T) {
	var file struct{ Cases []twoSampleCase }
	referenceJSON(t, "two_sample_tests.json", &file)
	welch, tost := 0, 0
	for _, c := range file.Cases {
		if c.Test != "welch" && c.Test != "tost_welch" {
			continue // pooled variances, ranks and Fieller's interval are other methods
		}
		judge := func(margin float64) Comparison {
			return Compare(plainMetric, Cell(plainMetric, launchesOf(c.A...)), Cell(plainMetric, launchesOf(c.B...)),
				noSessionSpread, Margin{Points: margin})
		}
		r := judge(c.Computed.Margin)
		wantValue(t, c.ID+" difference", r.Difference, c.Computed.Difference, 1e-9)
		wantValue(t, c.ID+" df", r.DF, c.Computed.DF, 1e-9)
		if c.Test == "welch" {
			welch++
			wantValue(t, c.ID+" p", r.P, c.Computed.P, 1e-9)
			wantValue(t, c.ID+" low", r.Low, c.Computed.CI95[0], 1e-9)
			wantValue(t, c.ID+" high", r.High, c.Computed.CI95[1], 1e-9)
			continue
		}
		tost++
		if level := r.Verdict == Level; level != c.Computed.Equivalent {
			t.Errorf("%s: verdict %s", c.ID, r.Verdict)
		}
		edge := max(math.Abs(c.Computed.CI90[0]), math.Abs(c.Computed.CI90[1]))
		if judge(edge*(1+1e-9)).Verdict != Level || judge(edge*(1-1e-9)).Verdict == Level {
			t.Errorf("%s: the verdict does not turn at the 90 %% interval's end %g", c.ID, edge)
		}
	}
	if welch != 4 || tost != 1 {
		t.Errorf("%d Welch and %d TOST cases", welch, tost)
	}
}

// The t interval of a geometric mean, exp(t.test(log(x))$conf.int) in R, geometric and harmonic means, to 1e-9 and 1e-12.
func TestGeometricMeans(t *testing.T) {
	var file struct {
		Cases []struct {
			ID       string
			Ratios   []float64
			Computed json.RawMessage
		}
	}
	referenceJSON(t, "benchmark_means.json", &file)
	ratio := Metric{Name: "r", Scale: Ratio}
	seen := 0
	for _, c := range file.Cases {
		seen++
		switch c.ID {
		default:
			seen--
		case "geomean_interval_1":
			var want struct {
				Mean float64 `json:"geometric_mean"`
				SD   float64 `json:"geometric_sd"`
				CI95 []float64
			}
			if err := json.Unmarshal(c.Computed, &want); err != nil {
				t.Fatal(err)
			}
			got := Cell(ratio, launchesOf(c.Ratios...))
			wantValue(t, "mean", got.Mean, want.Mean, 1e-9)
			wantValue(t, "sd", got.SD, 100*math.Log(want.SD), 1e-9)
			wantValue(t, "low", got.OwnLow, want.CI95[0], 1e-9)
			wantValue(t, "high", got.OwnHigh, want.CI95[1], 1e-9)
		case "fleming_wallace_1986":
			var groups map[string]map[string]struct {
				Values    []float64
				Geometric float64
			}
			if err := json.Unmarshal(c.Computed, &groups); err != nil {
				t.Fatal(err)
			}
			for group, machines := range groups {
				for name, m := range machines {
					wantValue(t, group+" "+name, Cell(ratio, launchesOf(m.Values...)).Mean, m.Geometric, 1e-12)
				}
			}
		case "smith_1988":
			var groups map[string]map[string]struct {
				Values              []float64
				Geometric, Harmonic float64
			}
			if err := json.Unmarshal(c.Computed, &groups); err != nil {
				t.Fatal(err)
			}
			for group, machines := range groups {
				for name, m := range machines {
					wantValue(t, group+" "+name, Cell(ratio, launchesOf(m.Values...)).Mean, m.Geometric, 1e-12)
				}
			}
			// Frames at those rates are equal work: their rate is the harmonic mean, frames over time.
			for name, m := range groups["mflops"] {
				var frames []int64
				for _, rate := range m.Values {
					frames = append(frames, int64(math.Round(nsPerSecond/rate)))
				}
				wantValue(t, "mean rate of "+name, figure(frames).MeanFPS, m.Harmonic, 1e-12)
			}
		}
	}
	if seen != 3 {
		t.Errorf("%d cases", seen)
	}
}

// The ratio of von Neumann, here (RMSSD/s)², of independent normal frames: as many passes of a seeded simulation lie beyond each
// percentage point as ought to, within four standard errors.
func TestVonNeumannRatio(t *testing.T) {
	const passes = 40_000
	random := rand.New(rand.NewPCG(7, 1941))
	checked := 0
	for _, row := range referenceRows(t, "von_neumann_critical.csv") {
		n := int(parse(t, row[0]))
		if n > 25 {
			continue // long passes add time and nothing else
		}
		beyond := [4]float64{}
		frames := make([]int64, n)
		for range passes {
			for i := range frames {
				frames[i] = int64(math.Round(1e7 + 1e6*random.NormFloat64()))
			}
			s := spread(frames, Duration(frames))
			ratio := s.rmssd.X / s.sd.X * (s.rmssd.X / s.sd.X)
			for i := range beyond {
				if ratio < parse(t, row[1+i]) {
					beyond[i]++
				}
			}
		}
		for i, p := range []float64{0.01, 0.05, 0.95, 0.99} {
			if off := beyond[i]/passes - p; math.Abs(off) > 4*math.Sqrt(p*(1-p)/passes) {
				t.Errorf("n = %d: a share of %g is below the %g point", n, beyond[i]/passes, p)
			}
			checked++
		}
	}
	if checked < 4*8 {
		t.Errorf("%d points checked", checked)
	}
}

package compute

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

var controlReviews = flag.Int("control-reviews", 2000, "reviews with control passes to simulate")

// controlOf is a control whose sessions a, b, c … have passes of the rates given, each in a launch of its own.
func controlOf(leastPct float64, sessions ...[]float64) Control {
	c := Control{LeastPct: leastPct}
	for i, rates := range sessions {
		for j, fps := range rates {
			c.Samples = append(c.Samples, Sample{Value: Known(fps), Session: string(rune('a' + i)), Launch: strconv.Itoa(j), Minutes: 1})
		}
	}
	return c
}

func statedSpreads(m Metric) (SessionSpread, Noise) {
	return PlanSessionSpread(m, 0.2, 0), ExpectedNoise(m, 0.4, 0)
}

// rstudent(lm(y ~ 1)) of R 4.2.2: where nothing is stated beforehand, a session against the others is that residual.
func TestControlIsTheStudentisedResidual(t *testing.T) {
	c := sessionMeans{means: []float64{4.6052, 4.6093, 4.5861, 4.6071, 4.6032}, launches: [][]float64{{0}, {0}, {0}, {0}, {0}}}
	for i, want := range []float64{0.320852027315983, 0.823597592927500, -6.890866074707466, 0.538210328518560, 0.106756643639694} {
		away, spread := c.fromOthers(i, 0, 0, 0)
		if got := away / math.Sqrt(spread.v); math.Abs(got-want) > 1e-9 || spread.df != 3 {
			t.Errorf("session %d: %.12f on %g degrees of freedom, want %.12f on 3", i+1, got, spread.df, want)
		}
	}
}

// The formulas of the doc comment written out in R, with its qt: a stated session spread of 0.2 % and launches of 0.4 %.
func TestControlLimits(t *testing.T) {
	m := metric(t, "mean_fps")
	u, expected := statedSpreads(m)
	for _, c := range []struct {
		name     string
		sessions [][]float64
		want     [][2]float64 // % from the others, limit
		out      string
		apart    bool
	}{
		{"three, the last off", [][]float64{{100}, {100.2}, {97}},
			[][2]float64{{1.43323394538025, 6.05001251365686}, {1.73768574638857, 5.70732642002163}, {-3.09685474207639, -1.88838461126135}}, "c", false},
		{"two apart", [][]float64{{100}, {96}}, [][2]float64{{4.16666666666673, 2.02946117988168}, {-4.00000000000006, -1.98909330345641}}, "", true},
		{"unequal launches", [][]float64{{100, 100.5, 99.5}, {100.2}, {99.8}, {100.4}},
			[][2]float64{{-0.133677957113816, -1.84202918964165}, {0.133833571521273, 1.91087507755925},
				{-0.398792651910888, -1.76503434263151}, {0.400412760157934, 1.79673210756592}}, "", false},
	} {
		k := CheckControls(m, []Control{controlOf(0, c.sessions...)}, u, Prior{}, expected)[0]
		out := ""
		for i, s := range k.Sessions {
			if math.Abs(s.FromOthersPct-c.want[i][0]) > 1e-9 || math.Abs(s.LimitPct-c.want[i][1]) > 1e-7 {
				t.Errorf("%s, session %s: %.12f %%, limit %.12f; want %.12f, %.12f", c.name, s.Name, s.FromOthersPct, s.LimitPct, c.want[i][0], c.want[i][1])
			}
			if s.Out {
				out += s.Name
			}
		}
		if out != c.out || k.Apart != c.apart || len(k.Sessions) != len(c.want) {
			t.Errorf("%s: out %q, apart %v, %d sessions; want %q, %v, %d", c.name, out, k.Apart, len(k.Sessions), c.out, c.apart, len(c.want))
		}
	}
}

func TestControlIsSilentWhereNothingCanBeTold(t *testing.T) {
	m := metric(t, "mean_fps")
	u, expected := statedSpreads(m)
	unrecorded := controlOf(0, []float64{100, 90})
	for i := range unrecorded.Samples {
		unrecorded.Samples[i].SessionAssumed = true
	}
	for _, c := range []struct {
		control Control
		why     string
	}{
		{Control{}, "no pass of it is of a recorded session"},
		{unrecorded, "no pass of it is of a recorded session"},
		{controlOf(0, []float64{100, 90, 80}), "all its passes are of one session"},
	} {
		if k := CheckControls(m, []Control{c.control}, u, Prior{}, expected)[0]; k.Why != c.why || k.Sessions != nil || k.Apart {
			t.Errorf("%+v, want %q", k, c.why)
		}
	}
	if k := CheckControls(metric(t, "over_60hz_share"), []Control{controlOf(0, []float64{1}, []float64{2}, []float64{3})}, u, Prior{}, expected)[0]; k.Why == "" {
		t.Errorf("a share has no percent: %+v", k)
	}
	// Nothing varies and nothing is stated: what is left is what matters to somebody.
	still := CheckControls(m, []Control{controlOf(1.5, []float64{100}, []float64{100}, []float64{100}, []float64{98.6}, []float64{98.4})},
		SessionSpread{}, Prior{}, Noise{})[0]
	for i, s := range still.Sessions {
		if s.Out || !(math.Abs(s.LimitPct) >= 1.5) || math.IsInf(s.LimitPct, 0) {
			t.Errorf("session %d: %+v", i, s)
		}
	}
	same := CheckControls(m, []Control{controlOf(1.5, []float64{100}, []float64{100}, []float64{98.6})}, SessionSpread{}, Prior{}, Noise{})[0]
	if s := same.Sessions[2]; s.Out || s.LimitPct != -1.5 {
		t.Errorf("1.4 %% off with a limit of 1.5: %+v", s)
	}
	same = CheckControls(m, []Control{controlOf(1.5, []float64{100}, []float64{100}, []float64{98.4})}, SessionSpread{}, Prior{}, Noise{})[0]
	if s := same.Sessions[2]; !s.Out || same.Sessions[0].Out {
		t.Errorf("1.6 %% off sessions that agree: %+v", same)
	}
}

// The error is split over the sessions of all controls: beside a second control the limits are those of twice as many tests.
func TestControlsShareTheError(t *testing.T) {
	m := metric(t, "mean_fps")
	u, expected := statedSpreads(m)
	one := controlOf(0, []float64{100}, []float64{100.2}, []float64{97})
	alone := CheckControls(m, []Control{one}, u, Prior{}, expected)[0]
	beside := CheckControls(m, []Control{one, controlOf(0, []float64{50}, []float64{50.2}, []float64{50.1})}, u, Prior{}, expected)[0]
	ratio := math.Log1p(beside.Sessions[2].LimitPct/100) / math.Log1p(alone.Sessions[2].LimitPct/100)
	if want := 4.851008 / 3.96079; math.Abs(ratio-want) > 1e-4 { // R's qt(1 - 0.05/12, 4) / qt(1 - 0.05/6, 4)
		t.Errorf("limits grew by %.5f, want %.5f", ratio, want)
	}
}

// What the launches of other cells say is used, unless this control's own are far noisier.
func TestControlLeansOnTheLaunchesOfAllCells(t *testing.T) {
	c := sessionMeans{launches: [][]float64{{0, 0.02}, {0, 0.02}, {0.01}}} // variance 0.0002 on two degrees of freedom
	if got := launchVariance(c, Prior{OK: true, Variance: 1e-4, DF: 2, TotalDF: 100}, Noise{}); math.Abs(got-1.5e-4) > 1e-15 {
		t.Errorf("moderated: %g, want (2·0.0001 + 2·0.0002)/4", got)
	}
	if got := launchVariance(c, Prior{OK: true, Variance: 1e-6, DF: 20, TotalDF: 100}, Noise{}); math.Abs(got-2e-4) > 1e-15 {
		t.Errorf("far noisier: %g, want its own 0.0002", got)
	}
	c.launches = [][]float64{{0}, {0.02}, {0.01}}
	if got := launchVariance(c, Prior{OK: true, Variance: 1e-4, DF: math.Inf(1), TotalDF: 100}, Noise{}); got != 1e-4 {
		t.Errorf("one launch a session: %g, want the prior's", got)
	}
}

// Neither the unit of the frame rate nor the order of passes is seen in what is found.
func TestControlProperties(t *testing.T) {
	m := metric(t, "mean_fps")
	u, expected := statedSpreads(m)
	rapid.Check(t, func(t *rapid.T) {
		var sessions [][]float64
		for range rapid.IntRange(2, 5).Draw(t, "sessions") {
			sessions = append(sessions, rapid.SliceOfN(rapid.Float64Range(95, 105), 1, 3).Draw(t, "rates"))
		}
		k := CheckControls(m, []Control{controlOf(1, sessions...)}, u, Prior{}, expected)[0]
		factor := rapid.Float64Range(0.1, 10).Draw(t, "factor")
		other := controlOf(1, sessions...)
		for i := range other.Samples {
			other.Samples[i].Value.X *= factor
		}
		for i := range other.Samples {
			j := rapid.IntRange(0, i).Draw(t, "place")
			other.Samples[i], other.Samples[j] = other.Samples[j], other.Samples[i]
		}
		again := map[string]ControlSession{}
		for _, s := range CheckControls(m, []Control{other}, u, Prior{}, expected)[0].Sessions {
			again[s.Name] = s
		}
		for _, s := range k.Sessions {
			o := again[s.Name]
			if math.Abs(s.FromOthersPct-o.FromOthersPct) > 1e-9 || math.Abs(math.Abs(s.LimitPct)-math.Abs(o.LimitPct)) > 1e-6 && s.FromOthersPct*o.FromOthersPct > 0 {
				t.Fatalf("%+v, then %+v", s, o)
			}
			if math.IsNaN(s.LimitPct) || math.IsInf(s.LimitPct, 0) || !(math.Abs(s.LimitPct) >= 1) {
				t.Fatalf("limit %g", s.LimitPct)
			}
		}
	})
}

// controlBench is a simulated review with a control: so many sessions with so many passes each, that vary by session and by launch, in %.
type controlBench struct {
	sessions, launches int
	session, launch    float64
}

// out simulates how often, in percent of reviews, a session is called out of limits that is not, and how often the first one, which
// is slow by fault percent, or, of two, that they are apart. Limits are at least the 1.5 % that a max_spread of 3 % gives.
func (b controlBench) out(t *testing.T, fault float64) (falsely, found float64) {
	m := metric(t, "mean_fps")
	u, expected := statedSpreads(m)
	rng := rand.New(rand.NewPCG(uint64(b.sessions), uint64(b.launches*100+int(10*b.session))))
	for range *controlReviews {
		rates := make([][]float64, b.sessions)
		for i := range rates {
			centre := math.Log(80) + b.session/100*rng.NormFloat64()
			if i == 0 {
				centre += math.Log1p(-fault / 100)
			}
			for range b.launches {
				rates[i] = append(rates[i], math.Exp(centre+b.launch/100*rng.NormFloat64()))
			}
		}
		wrong := false
		k := CheckControls(m, []Control{controlOf(1.5, rates...)}, u, Prior{}, expected)[0]
		for i, s := range k.Sessions {
			if s.Out && i == 0 && fault > 0 {
				found++
			} else if s.Out {
				wrong = true
			}
		}
		if k.Apart && fault > 0 {
			found++
		}
		wrong = wrong || k.Apart && fault == 0
		if wrong {
			falsely++
		}
	}
	n := float64(*controlReviews) / 100
	return falsely / n, found / n
}

// Stated: 0.2 % between sessions, 0.4 % between launches. False alarms stay below 5 % of reviews where sessions vary by as much or
// twice as much as stated, and a session 3 % slow is found in at least 85 % where they vary as stated. Bounds are three standard errors off.
func TestControlCalibration(t *testing.T) {
	slack := 300 * math.Sqrt(0.05*0.95/float64(*controlReviews))
	for _, sessions := range []int{2, 3, 4, 7} {
		for _, launches := range []int{1, 2} {
			for _, session := range []float64{0, 0.2, 0.4} {
				b := controlBench{sessions, launches, session, 0.4}
				name := fmt.Sprintf("%d sessions of %d, %.1f %%", sessions, launches, session)
				falsely, _ := b.out(t, 0)
				wrongly, found := b.out(t, 3)
				t.Logf("%s: false alarms %.2f %% of reviews; one 3 %% slow: found in %.1f %%, another blamed in %.2f %%", name, falsely, found, wrongly)
				if falsely > 5+slack {
					t.Errorf("%s: false alarms in %.2f %% of reviews", name, falsely)
				}
				if wrongly > 1 || session <= 0.2 && found < 85 {
					t.Errorf("%s, one 3 %% slow: found in %.1f %%, another blamed in %.2f %%", name, found, wrongly)
				}
			}
		}
	}
	noisy, _ := controlBench{5, 2, 0.4, 0.8}.out(t, 0) // launches twice as noisy as expected, which launches of one session show
	if noisy > 5+slack {
		t.Errorf("noisy launches: false alarms in %.2f %% of reviews", noisy)
	}
}

package compute

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
)

// inSession are launches of one pass each in a session, their values e^y.
func inSession(name string, ys ...float64) (out []Sample) {
	for i, y := range ys {
		out = append(out, Sample{Value: Known(math.Exp(y)), Launch: string(rune('1' + i)), Session: name})
	}
	return out
}

func cellOf(parts ...[]Sample) (out []Sample) {
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// By hand, on the scale of the logarithm. Card one: a cell with session means 1.00, 1.02, 1.04 (variance 4e-4) and one with 2.00,
// 2.00, 2.06 (variance 12e-4): u² = 8e-4 with 2 degrees of freedom. Card two: 3.00, 3.02 (2e-4) with 1. Pooled:
// (2·8e-4 + 2e-4)/3 = 6e-4 with 3.
func TestSpreadOfSessions(t *testing.T) {
	m := metric(t, "mean_fps")
	one := [][]Sample{
		cellOf(inSession("a", 0.99, 1.01), inSession("b", 1.02), inSession("c", 1.04)),
		cellOf(inSession("a", 2), inSession("b", 1.99, 2.01), inSession("c", 2.06)),
		inSession("a", 5, 6, 7), // one session tells nothing of sessions
	}
	two := [][]Sample{cellOf(inSession("d", 3), inSession("e", 3.02))}
	u, why := SpreadOfSessions(m, [][][]Sample{one, two, nil})
	if why != "" || u.Source != "sessions" {
		t.Fatalf("%+v: %s", u, why)
	}
	wantValue(t, "u²", Known(u.U*u.U), 6e-4, 1e-9)
	wantValue(t, "ν", Known(u.DF), 3, 1e-12)
	if _, why = SpreadOfSessions(m, [][][]Sample{one}); why != "2 degrees of freedom from cells passed in several sessions, of the 3 needed" {
		t.Errorf("of two degrees of freedom: %q", why)
	}
}

// A session with two launches weighs as much as one with a single one; within a launch the passes are averaged first.
func TestSessionMeans(t *testing.T) {
	m := metric(t, "over_60hz_share")
	samples := []Sample{
		{Value: Known(0.1), Launch: "1", Session: "a"}, {Value: Known(0.3), Launch: "1", Session: "a"}, {Value: Known(0.5), Launch: "2", Session: "a"},
		{Value: Known(0.4), Launch: "1", Session: "b"},
		{Value: Known(9), Launch: "1", Session: "c", SessionAssumed: true}, {Value: Known(9), Launch: "1"}, {Value: Absent("no frames"), Session: "d"},
	}
	c := bySession(m, samples)
	if len(c.names) != 2 {
		t.Fatalf("%+v", c)
	}
	wantValue(t, "a", Known(c.means[0]), (0.2+0.5)/2, 1e-15)
	wantValue(t, "b", Known(c.means[1]), 0.4, 1e-15)
	// Passes without a launch are launches of their own.
	c = bySession(m, []Sample{{Value: Known(0.1), Session: "a"}, {Value: Known(0.3), Session: "a"}, {Value: Known(0.4), Session: "b"}})
	wantValue(t, "launches assumed", Known(c.means[0]), 0.2, 1e-15)
}

func TestNoSessionSpread(t *testing.T) {
	m := metric(t, "mean_fps")
	control := cellOf(inSession("a", 1), inSession("b", 1.1), inSession("c", 1.2), inSession("d", 1.3))
	assumed := cellOf(control)
	for i := range assumed {
		assumed[i].SessionAssumed = true
	}
	zero := cellOf(control)
	zero[0].Value = Known(0)
	for name, cells := range map[string][]Sample{"nothing": nil, "assumed": assumed, "a figure that is 0": zero} {
		if u, why := SpreadOfSessions(m, [][][]Sample{{cells}}); why == "" || u != (SessionSpread{}) {
			t.Errorf("%s: %+v", name, u)
		}
		if TellsOfSessions(m, cells) {
			t.Errorf("%s tells of sessions", name)
		}
	}
	if _, why := SpreadOfSessions(metric(t, "hitch_events"), [][][]Sample{{control}}); why == "" {
		t.Error("of counts")
	}
	if !TellsOfSessions(m, control) || TellsOfSessions(m, inSession("a", 1, 2)) || TellsOfSessions(metric(t, "hitch_events"), control) {
		t.Error("four sessions tell, one does not, and counts do not")
	}
}

// Cells of the same S sessions have S − 1 degrees of freedom together, since a session moves them all; cells without a session in
// common add theirs up. One of three sessions and one of two of those: A = (C₃/2 + C₂)/2, and with tr C₃² = 2, tr C₂² = 1 and
// tr C₃C₂ = 1, tr A² = (2/4 + 2·1/2 + 1)/4 = 5/8, so 1.6.
func TestSessionDF(t *testing.T) {
	of := func(names ...string) sessionMeans { return sessionMeans{names: names} }
	for _, c := range []struct {
		cells []sessionMeans
		want  float64
	}{
		{[]sessionMeans{of("a", "b")}, 1},
		{[]sessionMeans{of("a", "b", "c", "d")}, 3},
		{[]sessionMeans{of("a", "b", "c"), of("c", "a", "b"), of("b", "a", "c")}, 2},
		{[]sessionMeans{of("a", "b"), of("c", "d")}, 2},
		{[]sessionMeans{of("a", "b", "c"), of("a", "b")}, 1.6},
	} {
		wantValue(t, "ν", Known(sessionDF(c.cells)), c.want, 1e-13)
	}
}

// inSessions makes samples of launches that are each of a session.
func inSessions(launches map[string][]float64) (out []Sample) {
	for _, name := range slices.Sorted(maps.Keys(launches)) {
		for i, v := range launches[name] {
			out = append(out, Sample{Value: Known(v), Launch: strconv.Itoa(i), Session: name, Minutes: 1})
		}
	}
	return out
}

// By hand: three launches of one session and one of each of three more keep (9 + 1 + 1 + 1)/36 of a session's variance. A second pass
// of a launch changes nothing, and what nobody recorded brings nothing.
func TestSeveralSessionsKeepPartOfTheSpread(t *testing.T) {
	m := metric(t, "over_60hz_share")
	control := inSessions(map[string][]float64{"s1": {1, 2, 3}, "s3": {2}, "s5": {1}, "s7": {2}})
	other := inSessions(map[string][]float64{"s2": {4, 6, 5}})
	a, b := Cell(m, control), Cell(m, other)
	wantValue(t, "kept", Known(a.PerSession), 1.0/3, 1e-15)
	wantValue(t, "of one session", Known(b.PerSession), 1, 0)
	u := SessionSpread{U: 3, DF: 5}
	wantValue(t, "squared error", Known(errorOf(a, b, u).v), a.Variance.X/6+b.Variance.X/3+4.0/3*9, 1e-14)
	wantValue(t, "its own", Known(ownErrorOf(a, b, u).v), a.Variance.X/6+b.Variance.X/3+4.0/3*9, 1e-14)

	again := append(slices.Clone(control), control[0])
	wantValue(t, "a second pass of a launch", Known(Cell(m, again).PerSession), 1.0/3, 1e-15)
	again[6].SessionAssumed = true
	wantValue(t, "one session assumed", Known(Cell(m, again).PerSession), 1, 0)

	// Over two games, one of which has the control cell, the side keeps what its other cell does.
	o := meanOverGames([]part{partBetween("fjord", b, a), partBetween("kelp", b, b)})
	if !slices.Equal(o.sessions, []float64{1, 1}) {
		t.Errorf("over games %v", o.sessions)
	}
	if o = meanOverGames([]part{partOf("fjord", a), partOf("kelp", a)}); !slices.Equal(o.sessions, []float64{a.PerSession}) {
		t.Errorf("over games of one side %v", o.sessions)
	}
}

// Simulated with known truth: intervals of cells that were passed in several sessions cover at least 95 %, and not nearly all, as those
// do that count u² in full.
func TestIntervalsOverSeveralSessions(t *testing.T) {
	m := metric(t, "over_60hz_share")
	rng := rand.New(rand.NewPCG(20270304, 1))
	for _, sessions := range []int{1, 2, 4} {
		covered, full, all := 0, 0, 4000
		for range all {
			side := func() CellStat {
				launches := map[string][]float64{}
				for s := range sessions {
					moved := rng.NormFloat64()
					for range 3 {
						launches[strconv.Itoa(s)] = append(launches[strconv.Itoa(s)], moved+rng.NormFloat64())
					}
				}
				return Cell(m, inSessions(launches))
			}
			a, b := side(), side()
			u := SessionSpread{U: 1, DF: math.Inf(1)}
			d := math.Abs(a.Centre.X - b.Centre.X)
			if d <= errorOf(a, b, u).half(0.025) {
				covered++
			}
			a.PerSession, b.PerSession = 1, 1
			if d <= errorOf(a, b, u).half(0.025) {
				full++
			}
		}
		share, before := float64(covered)/float64(all), float64(full)/float64(all)
		if share < 0.94 || share > 0.98 || sessions > 1 && before < 0.985 {
			t.Errorf("%d sessions a side: %.1f %% covered, %.1f %% with u² in full", sessions, 100*share, 100*before)
		}
	}
}

// A control cell without a single slow frame says nothing of what a session does to cells that have some.
func TestCellsThatNeverVaryTellNothingOfSessions(t *testing.T) {
	m := metric(t, "over_60hz_share")
	var samples []Sample
	for _, session := range []string{"a", "b", "c", "d"} {
		samples = append(samples, Sample{Value: Known(0), Launch: "1", Session: session, Minutes: 1})
	}
	if u, why := SpreadOfSessions(m, [][][]Sample{{samples}}); why == "" {
		t.Errorf("%+v", u)
	}
	samples[0].Value = Known(0.01)
	if u, why := SpreadOfSessions(m, [][][]Sample{{samples}}); why != "" || math.Abs(u.U-0.005) > 1e-12 {
		t.Errorf("%+v, %s", u, why) // the standard deviation of 0.01, 0, 0, 0
	}
}

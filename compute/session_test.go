package compute

import (
	"math"
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
	}
	if _, why := SpreadOfSessions(metric(t, "hitch_events"), [][][]Sample{{control}}); why == "" {
		t.Error("of counts")
	}
	// Sessions that agree exactly are an answer: no spread, with 3 degrees of freedom.
	same := cellOf(inSession("a", 1), inSession("b", 1), inSession("c", 1), inSession("d", 1))
	if u, why := SpreadOfSessions(m, [][][]Sample{{same}}); why != "" || u.U != 0 || !agree(u.DF, 3, 1e-12) {
		t.Errorf("of equal sessions: %+v %s", u, why)
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

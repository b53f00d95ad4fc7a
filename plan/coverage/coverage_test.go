package coverage

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/rigslate/rigslate/plan"
)

var (
	cell  = plan.Cell{Key: plan.Key{Card: "heron_x", Mode: "stock", Game: "fjord", Variant: "plain", Resolution: "uhd"}, Repeats: 3, Launches: 3}
	spent = []Pass{{Repeat: 1}, {Repeat: 2}, {Repeat: 3}}
	wide  = Reason{Kind: "spread", Pass: 2, Text: "8.1 % below passes 1 and 3"}
	cap   = Reason{Kind: "cap", Text: "held at 60 fps"}
	old   = Reason{Kind: "driver", Pass: 3, Text: "driver 612.4 then, 615.0 now"}
)

func with(ps []Pass, i int, f func(*Pass)) []Pass {
	out := append([]Pass(nil), ps...)
	f(&out[i])
	return out
}

func TestJudge(t *testing.T) {
	waived := cell
	waived.Waived = "tuned profile is for the soak only"
	stale := with(spent, 2, func(p *Pass) { p.Stale = []Reason{old} })
	short := with(spent, 0, func(p *Pass) { p.Doubts = []Reason{{Kind: "length", Pass: 1, Text: "41.2 s kept of 54.0 s"}} })
	for _, c := range []struct {
		name  string
		facts Facts
		state State
		again []int
	}{
		{"nothing there", Facts{Cell: cell}, Absent, []int{1, 2, 3}},
		{"one pass of three", Facts{Cell: cell, Passes: []Pass{{Repeat: 2}}}, Short, []int{1, 3}},
		{"short and doubtful is short, and both are to run", Facts{Cell: cell, Passes: short[:2]}, Short, []int{1, 3}},
		{"all good", Facts{Cell: cell, Passes: spent}, Ready, nil},
		{"a pass too short", Facts{Cell: cell, Passes: short}, Doubtful, []int{1}},
		{"spread names the pass", Facts{Cell: cell, Passes: spent, Doubts: []Reason{wide}}, Doubtful, []int{2}},
		{"a cap is in all passes", Facts{Cell: cell, Passes: spent, Doubts: []Reason{cap}}, Doubtful, []int{1, 2, 3}},
		{"another driver", Facts{Cell: cell, Passes: stale}, Stale, []int{3}},
		{"doubtful is worse than stale", Facts{Cell: cell, Passes: stale, Doubts: []Reason{wide}}, Doubtful, []int{2, 3}},
		{"vouched", Facts{Cell: cell, Passes: stale, Doubts: []Reason{wide}, Vouch: "seen"}, Vouched, nil},
		{"a vouch does not make up for a missing pass", Facts{Cell: cell, Passes: spent[:2], Vouch: "seen"}, Short, []int{3}},
		{"a vouch on a good cell changes nothing", Facts{Cell: cell, Passes: spent, Vouch: "seen"}, Ready, nil},
		{"does not run", Facts{Cell: cell, Failures: []Reason{{Kind: "unsupported", Text: "no ray tracing"}}}, Failed, nil},
		{"ran in the end", Facts{Cell: cell, Passes: spent, Failures: []Reason{{Kind: "crash", Text: "first try"}}}, Ready, nil},
		{"ran once, crashed once", Facts{Cell: cell, Passes: spent[:1], Failures: []Reason{{Kind: "crash", Text: "second try"}}}, Short, []int{2, 3}},
		{"waived", Facts{Cell: waived}, Waived, nil},
		{"by the passes of an earlier review", Facts{Cell: cell, Passes: spent, Reused: true}, Reused, nil},
		{"an earlier review's passes that fail a check are replaced whole", Facts{Cell: cell, Passes: spent, Doubts: []Reason{wide}, Reused: true}, Doubtful,
			[]int{1, 2, 3}},
		{"an earlier review's passes, vouched for", Facts{Cell: cell, Passes: with(spent, 0, func(p *Pass) { p.Doubts = []Reason{wide} }), Vouch: "seen",
			Reused: true}, Vouched, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := Judge(c.facts)
			if j.State != c.state {
				t.Errorf("state %v, want %v", j.State, c.state)
			}
			if d := cmp.Diff(c.again, j.Again); d != "" {
				t.Errorf("to run again (-want +got):\n%s", d)
			}
			if c.state == Vouched && !c.facts.Reused && (len(j.Why) != 3 || j.Why[0].Kind != "vouched") {
				t.Errorf("a vouched cell must still say what it was vouched for: %v", j.Why)
			}
		})
	}
}

func TestReadyToFilm(t *testing.T) {
	for s := Absent; s <= Waived; s++ {
		got := ReadyToFilm([]Judgement{{State: Ready}, {State: s}})
		if want := s != Absent && s != Short && s != Doubtful && s != Stale; got != want {
			t.Errorf("with one cell %v: ready %v, want %v", s, got, want)
		}
	}
	if ReadyToFilm(nil) {
		t.Error("a review without cells is ready")
	}
}

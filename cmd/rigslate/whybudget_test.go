package main

import (
	"testing"

	"github.com/rigslate/rigslate/compute"
)

// Whole percents sum to 100, the largest first and taking what rounding leaves; what cannot be told apart stands together.
func TestSharesInWords(t *testing.T) {
	m, _ := compute.MetricByName("mean_fps")
	v := compute.Known
	for _, c := range []struct {
		b    compute.Budget
		want string
	}{
		{compute.Budget{SE: v(0.366), Session: v(0.71), Together: v(0.29)}, "standard error 0.37 %: session 71 %, launch and pass together 29 %"},
		{compute.Budget{SE: v(1), Session: v(0.334), Launch: v(0.333), Pass: v(0.333)}, "standard error 1.00 %: session 34 %, launch 33 %, pass 33 %"},
		{compute.Budget{SE: v(1), Session: v(0), Launch: v(0.395), Pass: v(0.605)}, "standard error 1.00 %: pass 60 %, launch 40 %, session 0 %"},
		{compute.NoBudget("nothing varies"), "not to be told, nothing varies"},
	} {
		if got := shares(cellBudget{metric: m, Budget: c.b}); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

func TestHalvingInWords(t *testing.T) {
	in := func(s, k, n int, minutes float64) compute.Halving {
		return compute.Halving{Design: compute.Design{Sessions: s, Launches: k, Passes: n}, Minutes: minutes, OK: true}
	}
	no := compute.Halving{Why: "not reachable with this session spread"}
	for _, c := range []struct {
		cheapest, inSession compute.Halving
		absolute            bool
		want                string
	}{
		{in(1, 12, 1, 47.2), in(1, 12, 1, 47.2), false, "plan 12 launches a side, 48 min more"},
		{in(2, 6, 2, 72), in(1, 65, 1, 565), false, "plan 6 launches a side of 2 passes each in 2 sessions, 1 h 12 min more; " +
			"or, without mounting a card again, 65 launches a side, 9 h 25 min more"},
		{in(3, 6, 1, 60), no, true, "plan 6 launches in 3 sessions, 1 h more; without mounting a card again it is not reachable with this session spread"},
		{no, no, false, "not reachable with this session spread"},
	} {
		if got := halving(compute.Budget{Cheapest: c.cheapest, InSession: c.inSession}, c.absolute); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}

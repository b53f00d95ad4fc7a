package coverage

import (
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/plan"
)

// With looks at 3, 5 and 8 passes a cell is complete at each of them and short between: what is left to the next is to be run.
func TestJudgeAtLooks(t *testing.T) {
	looked := plan.Cell{Key: cell.Key, Repeats: 3, Launches: 3, Looks: []int{3, 5, 8}}
	for _, c := range []struct {
		passes int
		state  State
		of     int
		again  []int
	}{
		{0, Absent, 3, []int{1, 2, 3}},
		{2, Short, 3, []int{3}},
		{3, Ready, 3, nil},
		{4, Short, 5, []int{5}},
		{5, Ready, 5, nil},
		{6, Short, 8, []int{7, 8}},
		{7, Short, 8, []int{8}},
		{8, Ready, 8, nil},
	} {
		f := Facts{Cell: looked, Vouch: "seen"}
		for n := range c.passes {
			f.Passes = append(f.Passes, Pass{Repeat: n + 1})
		}
		j := Judge(f)
		if j.State != c.state || j.Cell.Repeats != c.of || !slices.Equal(j.Again, c.again) {
			t.Errorf("%d passes: %s of %d, to run %v; want %s of %d, %v", c.passes, j.State, j.Cell.Repeats, j.Again, c.state, c.of, c.again)
		}
		if between := c.state == Short && c.passes > 3; between != (j.State == Short && strings.Contains(j.Why[0].Text, "between two looks")) {
			t.Errorf("%d passes: %v", c.passes, j.Why)
		}
	}
	doubtful := with(spent, 1, func(p *Pass) { p.Doubts = []Reason{wide} })
	if j := Judge(Facts{Cell: looked, Passes: doubtful}); j.State != Doubtful || !slices.Equal(j.Again, []int{2}) {
		t.Errorf("a doubtful pass at the first look: %s, to run %v", j.State, j.Again)
	}
	if j := Judge(Facts{Cell: looked, Passes: append(slices.Clone(doubtful), Pass{Repeat: 5}), Taken: []int{4}}); j.State != Short || !slices.Equal(j.Again, []int{2, 6}) {
		t.Errorf("between looks, number 4 taken: %s, to run %v", j.State, j.Again)
	}
}

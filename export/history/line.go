package history

import (
	"math"

	"github.com/rigslate/rigslate/compute"
)

// Change is what may be said of two points of one cell.
type Change string

const (
	Changed    Change = "changed"
	Same       Change = "level"
	Unresolved Change = "unresolved"
	OneLaunch  Change = "single"
)

// Step sets a point against an earlier one of its line: the nearest that it may be compared with, else the one before it. Against is that
// one's index in the line. Change is "" where Why says why nothing may be said. Mixed says that the two are not comparable and were
// compared because that was asked for.
type Step struct {
	Against    int
	Word       Comparability
	Differ     []Difference
	Comparison compute.Comparison
	Change     Change
	Mixed      bool
	Why        string
}

// Line is one cell over time. Steps has one for each point, nil for the first.
type Line struct {
	Key
	Points []Point
	Steps  []*Step
}

// Lines lays points, in their order, out as lines, a cell each, and compares them along it.
func Lines(points []Point, m compute.Metric, margin compute.Margin, mix bool) (out []Line) {
	for _, p := range points {
		if n := len(out); n == 0 || out[n-1].Key != p.Key {
			out = append(out, Line{Key: p.Key})
		}
		l := &out[len(out)-1]
		l.Points = append(l.Points, p)
		l.Steps = append(l.Steps, l.step(m, margin, mix))
	}
	return out
}

// step sets the last point against an earlier one.
func (l Line) step(m compute.Metric, margin compute.Margin, mix bool) *Step {
	last := len(l.Points) - 1
	if last == 0 {
		return nil
	}
	now := l.Points[last]
	s := &Step{Against: last - 1}
	for i := last - 1; i >= 0; i-- {
		word, differ := Compare(l.Points[i].Facts, now.Facts)
		if i == last-1 || word != NotComparable {
			s.Against, s.Word, s.Differ = i, word, differ
		}
		if word != NotComparable {
			break
		}
	}
	before := l.Points[s.Against]
	s.Mixed = s.Word == NotComparable && mix
	switch {
	case s.Word == NotComparable && !mix:
		s.Why = "not comparable"
		return s
	case m.Scale == compute.Count:
		s.Why = "counts are not compared over time"
		return s
	}
	s.Comparison = compute.Compare(m, now.Stat, before.Stat, mounting(before.Spread, now.Spread), margin)
	switch {
	case !now.Holds():
		s.Why = "the later one is " + now.State
	case !before.Holds():
		s.Why = "the earlier one is " + before.State
	case s.Comparison.Verdict == "":
		s.Why = s.Comparison.Why
	default:
		s.Change = changes[s.Comparison.Verdict]
	}
	return s
}

var changes = map[compute.Verdict]Change{compute.Ahead: Changed, compute.Behind: Changed, compute.Level: Same, compute.Unresolved: Unresolved,
	compute.Single: OneLaunch}

// mounting is the session spread between two editions: the mean of both variances, with the fewer degrees of freedom.
func mounting(a, b compute.SessionSpread) compute.SessionSpread {
	u := a
	u.U = math.Sqrt((float64(a.U*a.U) + float64(b.U*b.U)) / 2)
	u.DF = min(a.DF, b.DF)
	if b.Source != a.Source {
		u.Source += " and " + b.Source
	}
	return u
}

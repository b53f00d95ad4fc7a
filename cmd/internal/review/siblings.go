package review

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"github.com/rigslate/rigslate/cmd/internal/screen"
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/coverage"
)

// compareSiblings lays the passes of each cell beside each other at the same place of the scene: a stretch that is slow in one
// alone, and a drift that the others do not have, are doubts about that pass.
func (r *Review) compareSiblings() {
	for n, c := range r.Cells {
		var used []int
		var figures []*compute.Pass
		for _, i := range c.Passes {
			if p := r.Passes[i]; p.Status == Used {
				used = append(used, i)
				figures = append(figures, p.Figures)
			}
		}
		s := compute.CompareSiblings(figures)
		if s.NotReproducible {
			r.flag(n, flagNotReproducible, "the passes do not follow one scene, so they cannot be compared second by second")
		}
		for j, i := range used {
			p := &r.Passes[i]
			check := s.Checks[j]
			p.DriftPct, p.Off = check.DriftPct, check.Off
			others := r.others(used, i)
			if check.Drifts {
				p.doubt(kindDrift, "drifts by %s %% from start to end, against %s", screen.Signed(check.DriftPct.X, 1), others)
			}
			if longest, ok := check.Longest(); ok {
				p.Disturbed = &longest
			}
			told, more := worthTelling(check.Disturbances)
			for _, x := range told {
				p.doubt(kindDisturbed, "slow from %s to %s s, %.1f %% below %s", seconds(x.FromS), seconds(x.ToS), x.BelowPct, others)
			}
			if more > 0 {
				p.doubt(kindDisturbed, "slow in %s beside", screen.Count(more, "shorter stretch", "shorter stretches"))
			}
		}
		r.compareStarts(used)
	}
}

// stretchesTold is how many slow stretches of a pass are told apart: a pass that has more is no pass of this scene, or its unit is
// another, and a list of hundreds says no more.
const stretchesTold = 3

// worthTelling returns the longest stretches in order of time, and how many it leaves out.
func worthTelling(all []compute.Stretch) (told []compute.Stretch, more int) {
	if len(all) <= stretchesTold {
		return all, 0
	}
	longestFirst := slices.SortedStableFunc(slices.Values(all), func(a, b compute.Stretch) int { return cmp.Compare(b.ToS-b.FromS, a.ToS-a.FromS) })
	told = slices.SortedFunc(slices.Values(longestFirst[:stretchesTold]), func(a, b compute.Stretch) int { return cmp.Compare(a.FromS, b.FromS) })
	return told, len(all) - stretchesTold
}

// seconds gives a time of the capture in whole seconds, as an eye finds it in a picture.
func seconds(s float64) string { return strconv.Itoa(int(math.Round(s))) }

// others names the passes that stand beside pass i.
func (r *Review) others(used []int, i int) string {
	var words []string
	for _, j := range used {
		if j != i {
			words = append(words, strconv.Itoa(r.Passes[j].Repeat))
		}
	}
	if len(words) == 1 {
		return "pass " + words[0]
	}
	return "passes " + screen.List(words)
}

func (p *Pass) doubt(kind coverage.Kind, format string, args ...any) {
	p.Doubts = append(p.Doubts, coverage.Reason{Kind: kind, Pass: p.Repeat, Text: fmt.Sprintf(format, args...)})
}

// findSuspects looks for passes that no other cell's scatter explains. Nothing is dropped for it: only a void takes a pass out.
func (r *Review) findSuspects() {
	var rates [][]float64
	var limits []float64
	var of [][]int
	for _, c := range r.Cells {
		game, _ := r.Plan.Game(c.Cell.Game)
		var fps []float64
		var passes []int
		for _, i := range c.Passes {
			if p := r.Passes[i]; p.Status == Used {
				fps, passes = append(fps, p.Figures.MeanFPS.X), append(passes, i)
			}
		}
		rates, limits, of = append(rates, fps), append(limits, game.Accept.MaxSpread), append(of, passes)
	}
	for n, cell := range compute.Suspects(rates, limits) {
		for j, x := range cell {
			if x.Suspect {
				side := "above"
				if x.FromMedianPct.X < 0 {
					side = "below"
				}
				r.Passes[of[n][j]].doubt(kindSuspect, "%.1f %% %s the cell's median, farther than the scatter of the review explains",
					math.Abs(x.FromMedianPct.X), side)
			}
		}
	}
}

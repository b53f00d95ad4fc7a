package calibration

import (
	"math"
	"math/rand/v2"

	"github.com/rigslate/rigslate/compute"
)

// claimed is a claim of a simulated review, whose truth lies on an edge of what it claims: it is just true, so that it must not be
// contradicted, and by a hair it would not be, so that it must not be supported.
type claimed struct {
	hope     compute.Hope
	absolute bool
	cells    []int // with their bases
}

// claims judges a family of them, of every kind in turn.
func (d Design) claims(r *Result, rng *rand.Rand, s simulated, stats []compute.CellStat) {
	var compared []int
	for i, c := range d.Cells {
		if c.Base >= 0 {
			compared = append(compared, i)
		}
	}
	if len(compared) == 0 {
		return
	}
	var family []compute.ClaimFigures
	for n := range d.Claims {
		c := d.claim(n, compared[rng.IntN(len(compared))], s)
		u := s.session
		var pairs []compute.Pair
		for _, i := range c.cells {
			p := compute.Pair{Game: d.Cells[i].Game, Of: stats[i], Base: stats[d.Cells[i].Base]}
			if len(c.cells) == 1 && !c.absolute {
				u = u.Between(p.Of, p.Base)
			}
			if c.absolute {
				p.Base = compute.CellStat{}
			}
			pairs = append(pairs, p)
		}
		family = append(family, compute.Claim(metric(), c.hope, c.absolute, pairs, u, d.Margin))
	}
	compute.JudgeClaims(family)
	contradicted, supported := false, false
	for _, f := range family {
		contradicted = contradicted || f.Verdict == compute.Contradicted
		supported = supported || f.Verdict == compute.Supported
	}
	r.Contradicted.count(contradicted)
	r.Supported.count(supported)
}

// claim makes the n-th kind of claim of a compared cell, the edge where the truth is.
func (d Design) claim(n, cell int, s simulated) claimed {
	const kinds, within = 7, 1.0
	truth := s.centres[cell] - s.centres[d.Cells[cell].Base]
	percent := 100 * math.Expm1(truth)
	one := []int{cell}
	atLeast := func(x float64) compute.Hope { return compute.Hope{Low: x, High: math.Inf(1)} }
	near := func(x float64) compute.Hope { return compute.Hope{Near: x, Within: within, IsNear: true} }
	switch n % kinds {
	case 0:
		return claimed{hope: atLeast(percent), cells: one}
	case 1:
		return claimed{hope: compute.Hope{Low: math.Inf(-1), High: percent}, cells: one}
	case 2:
		return claimed{hope: near(percent - within), cells: one}
	case 3:
		return claimed{hope: near(percent + within), cells: one}
	case 4: // the same, of a cell that differs by the margin; if this one does not, what it is
		if math.Abs(math.Abs(truth)-d.margin()) < d.margin()/2 {
			return claimed{hope: compute.Hope{Same: true}, cells: one}
		}
		return claimed{hope: near(percent - within), cells: one}
	case 5:
		return claimed{hope: atLeast(math.Exp(s.centres[cell])), absolute: true, cells: one}
	}
	cells, mean := d.ofCard(cell, s)
	return claimed{hope: atLeast(100 * math.Expm1(mean)), cells: cells}
}

// ofCard returns all compared cells of a cell's card, and their true difference as it is averaged: within games, then over games.
func (d Design) ofCard(cell int, s simulated) (cells []int, mean float64) {
	sums, counts := map[string]float64{}, map[string]float64{}
	var games []string
	for i, c := range d.Cells {
		if c.Card != d.Cells[cell].Card || c.Base < 0 {
			continue
		}
		cells = append(cells, i)
		if counts[c.Game] == 0 {
			games = append(games, c.Game)
		}
		sums[c.Game] += s.centres[i] - s.centres[c.Base]
		counts[c.Game]++
	}
	for _, g := range games {
		mean += sums[g] / counts[g] / float64(len(games))
	}
	return cells, mean
}

package compute

import (
	"math"
	"slices"
)

// Standing is how a pass stands in its cell. FromMedianPct is by how many percent its mean frame rate is above the cell's median,
// below it if negative ("2.3 % below the cell's median"); it is absent for a pass alone. Suspect says that this is more than
// chance and more than a plan lets pass; nothing is left out for it.
type Standing struct {
	FromMedianPct Value
	Suspect       bool
}

const (
	suspectError = 0.05 // of naming any pass of a review whose passes are all alike; of Grubbs' test, of any of a cell
	grubbsFrom   = 6    // passes
)

// Suspects says of each pass of each cell of a review whether it stands apart (definitions, section 2). cells holds the mean frame
// rates of the passes in fps, those that are not above 0 taking no part; maxSpreadPct is the plan's limit for each cell, in percent.
//
// Two tests look for it. Three passes cannot show that one of them is off, so it is measured by the spread pooled over all cells,
// with the error split over all passes; from six passes on a cell is also its own measure (F. E. Grubbs and G. Beck, Technometrics
// 14(4), 1972).
func Suspects(cells [][]float64, maxSpreadPct []float64) [][]Standing {
	logs := make([][]float64, len(cells))
	var squares []float64 // of the cells
	passes, df := 0, 0
	for c, rates := range cells {
		for _, fps := range rates {
			if isRate(fps) {
				logs[c] = append(logs[c], math.Log(fps))
			}
		}
		if n := len(logs[c]); n >= 2 {
			squares = append(squares, float64(varianceOf(slices.Sorted(slices.Values(logs[c])))*float64(n-1)))
			passes, df = passes+n, df+n-1
		}
	}
	limit := math.Inf(1) // in ln y, for a pass of a cell of many
	if df > 0 {
		limit = math.Sqrt(orderFree(squares)/float64(df)) * TQuantile(1-suspectError/float64(2*passes), float64(df))
	}
	standings := make([][]Standing, len(cells))
	for c, rates := range cells {
		standings[c] = standCell(rates, logs[c], limit, maxSpreadPct[c])
	}
	return standings
}

// isRate reports whether a mean frame rate can be looked at.
func isRate(fps float64) bool { return fps > 0 && !math.IsInf(fps, 1) }

// standCell works out one cell: logs are those of its usable rates, in order.
func standCell(rates, logs []float64, limit, maxSpreadPct float64) []Standing {
	standings := make([]Standing, len(rates))
	n := len(logs)
	if n < 2 {
		for i := range standings {
			standings[i].FromMedianPct = Absent("no other pass to stand beside")
		}
		return standings
	}
	var usable []float64
	for _, fps := range rates {
		if isRate(fps) {
			usable = append(usable, fps)
		}
	}
	middle := medianOf(usable)
	mean := meanOf(slices.Sorted(slices.Values(logs)))
	limit *= math.Sqrt(float64(n-1) / float64(n))
	named := grubbsNames(logs)
	k := 0
	for i, fps := range rates {
		if !isRate(fps) {
			standings[i].FromMedianPct = Absent("no mean frame rate above 0")
			continue
		}
		away := Known(100 * (fps/middle - 1))
		apart := math.Abs(logs[k]-mean) > limit || k == named
		standings[i] = Standing{FromMedianPct: away, Suspect: apart && math.Abs(away.X) > maxSpreadPct/2}
		k++
	}
	return standings
}

// grubbsNames returns which of the values Grubbs' test names, -1 for none: the one furthest from the mean, if beyond what chance
// makes of six or more values in one of twenty sets (two-sided).
func grubbsNames(ys []float64) int {
	at, g := furthest(ys)
	if n := len(ys); n < grubbsFrom || g <= grubbsCritical(n, suspectError/2) {
		return -1
	}
	return at
}

// furthest returns which of two or more values lies furthest from their mean, and how far, in standard deviations; 0 where
// nothing varies.
func furthest(ys []float64) (at int, g float64) {
	sorted := slices.Sorted(slices.Values(ys))
	mean := meanOf(sorted)
	for i, y := range ys {
		if away := math.Abs(y - mean); away > math.Abs(ys[at]-mean) {
			at = i
		}
	}
	if s := math.Sqrt(varianceOf(sorted)); s > 0 {
		g = math.Abs(ys[at]-mean) / s
	}
	return at, g
}

// grubbsCritical is what max |y − mean|/s of n normal values exceeds on one given side with the probability given.
func grubbsCritical(n int, p float64) float64 {
	t := TQuantile(1-p/float64(n), float64(n-2))
	t2 := float64(t * t)
	return float64(n-1) / math.Sqrt(float64(n)) * math.Sqrt(t2/(float64(n-2)+t2))
}

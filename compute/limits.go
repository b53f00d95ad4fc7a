package compute

import (
	"math"
	"slices"
)

// Limits of definitions, section 7.
const (
	alikeRates  = 1.03 // rates this close at resolutions far apart are set by something else than the card
	orderChance = 0.01 // p below which the order of the passes is said to matter
	// Two cells that agree to the last digit have a small p and little weight.
	leastOrderCells = 3
)

// LimitedElsewhere reports whether a card runs two resolutions at so nearly one rate that something else limits both. Pixels are
// width times height; rates are the cells' mean fps.
func LimitedElsewhere(pixels, otherPixels int64, fps, otherFPS float64) bool {
	farApart := 2*max(pixels, otherPixels) >= 3*min(pixels, otherPixels) // 1.5 times the pixels
	return farApart && withinRatio(fps, otherFPS, alikeRates)
}

// Alike reports whether two different cards run a cell within 0.3 %, which is noted but leaves nothing out.
func Alike(fps, otherFPS float64) bool { return withinRatio(fps, otherFPS, 1+near) }

// PassOrder is what the order of passes does over many cells: Percent is the first pass against the mean of the later ones.
type PassOrder struct {
	Cells   int
	Percent Value
	DF, P   Value
	Matters bool
}

// FindPassOrder tests whether first passes differ from later ones: per cell the difference of ln mean fps between the first pass
// and the mean of the others, over the cells a t test. cells hold the mean fps of their passes in the order they were run; those
// with fewer than two, or with a rate that is not above 0, take no part.
func FindPassOrder(cells [][]float64) PassOrder {
	var diffs []float64
	for _, fps := range cells {
		logs := make([]float64, 0, len(fps))
		for _, f := range fps {
			if f > 0 {
				logs = append(logs, math.Log(f))
			}
		}
		if len(logs) < 2 || len(logs) < len(fps) {
			continue
		}
		slices.Sort(logs[1:])
		diffs = append(diffs, logs[0]-meanOf(logs[1:]))
	}
	slices.Sort(diffs)
	o := PassOrder{Cells: len(diffs)}
	if len(diffs) == 0 {
		none := Absent("no cell with two passes")
		o.Percent, o.DF, o.P = none, none, none
		return o
	}
	d := meanOf(diffs)
	o.Percent = Known(100 * math.Expm1(d))
	if len(diffs) < 2 {
		o.DF, o.P = Absent("one cell"), Absent("one cell")
		return o
	}
	se := math.Sqrt(varianceOf(diffs) / float64(len(diffs)))
	o.DF = Known(float64(len(diffs) - 1))
	if se == 0 {
		o.P = Absent("nothing varies")
		o.Matters = d != 0
		return o
	}
	o.P = Known(tTwoSided(d/se, o.DF.X))
	o.Matters = o.P.X < orderChance && o.Cells >= leastOrderCells
	return o
}

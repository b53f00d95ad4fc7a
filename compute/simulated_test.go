package compute

import "flag"

// The simulations of whole reviews are in compute/calibration; those of single figures are here, and are as long as they are.
var calibrationReviews = flag.Int("calibration-reviews", 300, "reviews to simulate")

// held counts how often intervals hold the truth.
type held struct{ hits, n float64 }

func (c *held) add(low, high Value, truth float64) {
	c.n++
	if low.OK && high.OK && low.X <= truth && truth <= high.X {
		c.hits++
	}
}

func (c held) percent() float64 { return 100 * c.hits / c.n }

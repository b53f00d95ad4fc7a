package report

import "math"

// Calibration is the page on how far to trust a review's numbers: reviews laid out like it, simulated with known truth.
type Calibration struct {
	Head        `json:"-"`
	Reviews     int // simulated; 0 where there is nothing to simulate, which Nothing explains
	Nothing     string
	Cells       int
	Comparisons int
	Claims      int
	Launches    []LaunchCount

	LeastSpreadPct, MiddleSpreadPct, MostSpreadPct float64 // of launches, over the cells

	SessionPct    float64
	SessionSource string
	MarginPct     float64

	Promises, Powers []Promised
}

// LaunchCount is how many cells have so many launches.
type LaunchCount struct{ Launches, Cells int }

// Promised is one line of the tables, in percent: asked is at least Least and at most Most, found is Percent, with the standard error
// that comes from simulating no more reviews. Kept is empty where nothing is asked.
type Promised struct {
	Name, Means    string
	Least, Most    float64
	Percent, Error float64
	Found          bool // there was anything to count
	Kept           string
	Missed         bool
}

// File is the page, calibration.html.
func (c Calibration) File() (File, error) {
	page, err := render("calibration", c.Look, c)
	return File{Path: "calibration.html", Content: page}, err
}

// Asked gives the limits of a promise in words.
func (p Promised) Asked() string {
	switch {
	case p.Least > 0 && p.Most < 100:
		return short(p.Least) + " to " + short(p.Most) + " %"
	case p.Least > 0:
		return "at least " + short(p.Least) + " %"
	}
	return "at most " + short(p.Most) + " %"
}

// OfHundred gives a line's figure as a count that anybody can picture: "96 of 100"; "" where there was nothing to count.
func (c Calibration) OfHundred(name string) string {
	for _, list := range [][]Promised{c.Promises, c.Powers} {
		for _, p := range list {
			switch {
			case p.Name != name || !p.Found:
			case p.Percent > 0 && p.Percent < 0.5:
				return "fewer than 1 of 100"
			case p.Percent < 100 && p.Percent > 99.5:
				return "more than 99 of 100"
			default:
				return number(math.Round(p.Percent), 0) + " of 100"
			}
		}
	}
	return ""
}

// Missed counts the promises that are not kept.
func (c Calibration) Missed() (n int) {
	for _, p := range c.Promises {
		if p.Missed {
			n++
		}
	}
	return n
}

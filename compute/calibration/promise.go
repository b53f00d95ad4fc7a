package calibration

import "math"

// Measured is what a simulation came to, in percent, with its standard error. Without trials OK is false.
type Measured struct {
	Percent, Error float64
	OK             bool
}

// Promise is what the figures are asked to hold, in percent: at least Least, at most Most.
type Promise struct {
	Name        string // one word or two, as in tables
	Means       string // in words for somebody who is not a statistician
	Least, Most float64
	Of          func(Result) Measured
}

// Kept says whether a promise is.
type Kept string

const (
	Yes   Kept = "kept"
	Close Kept = "within the error of the simulation" // outside, by no more than two of its standard errors
	Wide  Kept = "more often than need be"            // intervals that are too wide, which misleads nobody
	No    Kept = "missed"
)

// Kept judges what was measured.
func (p Promise) Kept(m Measured) Kept {
	switch outside := math.Max(p.Least-m.Percent, m.Percent-p.Most); {
	case outside <= 0:
		return Yes
	case outside <= 2*m.Error:
		return Close
	case p.Least > 0 && m.Percent > p.Most:
		return Wide
	}
	return No
}

// Promises lists what is asked, in the order in which it is shown. The limits are set beforehand and are not what it comes to: those of
// intervals and of `level` are what the tool is made to hold, a lead is false where an interval of 93.5 % misses 0, and the last
// three are the 5 % of the procedures by Benjamini and Hochberg, and by Holm.
func Promises() []Promise {
	return []Promise{
		{"own, cells", "the 95 % interval of a cell, from its own spread alone, holds the true frame rate", 93.5, 98,
			func(r Result) Measured { return r.CellOwn.measured() }},
		{"own, differences", "the 95 % interval of a difference, from the two cells' own spreads, holds the true difference", 93.5, 98,
			func(r Result) Measured { return r.DiffOwn.measured() }},
		{"shown, cells", "the 95 % interval of a cell as shown, from the borrowed spread, holds the true frame rate", 94, 100,
			func(r Result) Measured { return r.CellShown.measured() }},
		{"shown, differences", "the 95 % interval of a difference as shown holds the true difference", 94, 100,
			func(r Result) Measured { return r.DiffShown.measured() }},
		{"noisiest cells", "the same for single cells of the noisiest tenth", 88, 100,
			func(r Result) Measured { return r.CellNoisy.measured() }},
		{"noisiest differences", "the same for differences with a cell of the noisiest tenth", 88, 100,
			func(r Result) Measured { return r.DiffNoisy.measured() }},
		{"false level", "a verdict of level, although the difference is as large as the margin", 0, 5.5,
			func(r Result) Measured { return r.FalseLevel.measured() }},
		{"false lead", "a verdict of ahead or behind, although there is no difference", 0, 6.5,
			func(r Result) Measured { return r.FalseLead.measured() }},
		{"false firm", "of a review's firm leads and deficits, the part that is not real", 0, 5,
			func(r Result) Measured { return r.FalseFirm.measured() }},
		{"false contradicted", "a review contradicts any of its claims although all are just true", 0, 5,
			func(r Result) Measured { return r.Contradicted.measured() }},
		{"false supported", "a review supports any of its claims although all are just not true", 0, 5,
			func(r Result) Measured { return r.Supported.measured() }},
	}
}

// Powers lists what is found of what is there. Nothing is asked of it: it depends on how noisy the review is.
func Powers() []Promise {
	return []Promise{
		{"found level", "a verdict of level, where there is no difference", 0, 100, func(r Result) Measured { return r.FoundLevel.measured() }},
		{"found margin", "the right lead, where the difference is as large as the margin", 0, 100,
			func(r Result) Measured { return r.FoundMargin.measured() }},
		{"found thrice", "the right lead, where the difference is three times the margin", 0, 100,
			func(r Result) Measured { return r.FoundThrice.measured() }},
	}
}

package sound

import (
	"fmt"

	"github.com/rigslate/rigslate/compute"
)

// Difference is a − b in dB and its uncertainty. With the same meter the meter's error is in both and drops out. Levels that are not
// alike are refused, with the reason: of other weighting, an upper bound, one with its background and one without, or of other distance
// unless both are declared to be of a free field; then b is moved to the distance of a. A background that both share counts for each, which
// errs to the wide side.
func Difference(a, b Level, sameMeter bool) (compute.Value, compute.Uncertainty) {
	of, by := a.DB, b.DB
	if why := unlike(a, b); why != "" {
		return compute.Absent(why), compute.NoUncertainty(why)
	}
	by = Move(by.X, b.Distance, a.Distance, a.FreeField && b.FreeField)
	if !by.OK {
		return by, compute.NoUncertainty(by.Why)
	}
	var parts []compute.Contribution
	for _, l := range []Level{a, b} {
		if sameMeter {
			parts = append(parts, l.ofReadings...)
		} else {
			parts = append(parts, l.Uncertainty.Budget...)
		}
	}
	return compute.Known(of.X - by.X), compute.Combine(parts...)
}

// unlike says why two levels may not be set against each other, "" where only the distance may stand in the way.
func unlike(a, b Level) string {
	switch {
	case !a.DB.OK:
		return a.DB.Why
	case !b.DB.OK:
		return "the other side: " + b.DB.Why
	case a.Weighting != b.Weighting:
		return fmt.Sprintf("weighted %q and %q; unlike weightings are never compared", a.Weighting, b.Weighting)
	case a.Treatment == UpperBound:
		return "an upper bound is not compared"
	case b.Treatment == UpperBound:
		return "the other side: an upper bound is not compared"
	case (a.Treatment == Uncorrected) != (b.Treatment == Uncorrected):
		return "the background was measured on one side only"
	}
	return ""
}

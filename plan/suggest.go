package plan

import (
	"fmt"
	"slices"
	"strings"

	"github.com/agext/levenshtein"
)

// listed is how many known names a mend names, and comparable how many a misspelling is held against.
const (
	listed     = 12
	comparable = 300
)

// nearest returns the known name that a misspelling most likely meant, "" if none is near. Equally near ones: the first by name.
func nearest(got string, known []string) string {
	if len(got) > 100 || len(known) > comparable {
		return ""
	}
	got = strings.NewReplacer("µ", "u", "μ", "u").Replace(strings.ToLower(got)) // µs is us
	known = slices.Sorted(slices.Values(known))
	best, at := "", 3
	for _, k := range known {
		if d := levenshtein.Distance(got, k, nil); d < at && d <= max(1, len(k)/2) {
			best, at = k, d
		}
	}
	return best
}

// didYouMean is the mend for a misspelt name: the nearest one, else all of them.
func didYouMean(got string, known []string) string {
	if best := nearest(got, known); best != "" {
		return fmt.Sprintf("Did you mean %s?", best)
	}
	return oneOf(known)
}

// oneOf lists what may be written.
func oneOf(known []string) string {
	switch {
	case len(known) == 0:
		return ""
	case len(known) > listed:
		return fmt.Sprintf("Known here: %s … (%d in all).", strings.Join(known[:listed], ", "), len(known))
	}
	return fmt.Sprintf("Known here: %s.", strings.Join(known, ", "))
}

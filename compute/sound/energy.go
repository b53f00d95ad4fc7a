// Package sound does arithmetic on sound levels: means of readings, what the background adds, distance, and how far all of that may be
// off.
//
// The model: levels are logarithms of energies, so energies are averaged, added and subtracted, never the decibels. A reading of a card
// holds the room's background too; what the card alone makes can be told only where it stands well above that. What a formula cannot
// take out of a reading, such as a room's reflections, is said and left in. Rejected: frequency weighting of our own. A meter applies
// its weighting to the signal, and no level without its spectrum can be weighted again.
//
// Levels and their differences are in dB, distances in m. Sections named in comments are those of the project's definitions.
package sound

import (
	"fmt"
	"math"
	"slices"

	"github.com/rigslate/rigslate/compute"
)

// Energy is the energy of a level, over that of 0 dB. A mean over time is taken of energies, and turned back by FromEnergy.
func Energy(db float64) float64 { return math.Pow(10, db/10) }

// FromEnergy is the level of an energy over that of 0 dB.
func FromEnergy(energy float64) compute.Value {
	if !(energy > 0) {
		return compute.Absent(fmt.Sprintf("an energy of %g has no level", energy))
	}
	return compute.Known(10 * math.Log10(energy))
}

// Mean is the energy mean of levels, 10·lg(mean 10^(L/10)) (definitions, section 6; ISO 1996-1).
func Mean(db []float64) compute.Value { return combined(db, float64(len(db))) }

// Sum is the level of sources together that are not in step, 10·lg(Σ 10^(L/10)).
func Sum(db []float64) compute.Value { return combined(db, 1) }

// combined is the level of the energies' sum over share, worked out above the highest level so that neither end of float64 is met.
func combined(db []float64, share float64) compute.Value {
	if len(db) == 0 {
		return compute.Absent("no reading of the level")
	}
	highest := slices.Max(db)
	var energies float64
	for _, l := range slices.Sorted(slices.Values(db)) { // so that the order of readings shows in no digit
		energies += Energy(l - highest)
	}
	over := FromEnergy(energies / share)
	if !over.OK {
		return compute.Absent("a reading of the level is no number")
	}
	return compute.Known(highest + over.X)
}

// Move is a level heard at another distance, L − 20·lg(to/from). That holds for a small source with nothing around it that reflects, so it
// is refused unless the surroundings are declared to be such a free field.
func Move(db, from, to float64, freeField bool) compute.Value {
	switch {
	case !(from > 0) || !(to > 0):
		return compute.Absent(fmt.Sprintf("distances of %g and %g m; both must be above 0", from, to))
	case from == to:
		return compute.Known(db)
	case !freeField:
		return compute.Absent("the room reflects, so a level cannot be moved to another distance; free_field = true declares that it does not")
	}
	return compute.Known(db - float64(20*math.Log10(to/from)))
}

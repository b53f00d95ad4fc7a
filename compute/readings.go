package compute

// MeanOfReadings is the arithmetic mean of what an instrument showed, in its unit: of temperatures, powers and speeds. Levels are averaged
// by their energy instead (sound.Mean). It is absent for no reading.
func MeanOfReadings(readings []float64) Value {
	if len(readings) == 0 {
		return Absent("not noted")
	}
	return Known(meanOf(readings))
}

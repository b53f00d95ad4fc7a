package plan

import "time"

// Everything a plan may leave out and still have a meaning stands here, in one place.
const (
	DefaultRepeats    = 3
	DefaultBenchDay   = 8 * time.Hour
	DefaultMaxSpread  = 3.0 // percent, three passes
	DefaultMinKept    = 0.9 // of the kept length, where min_length is not stated
	DefaultQuantile   = 7   // Hyndman & Fan
	DefaultLows       = "quantile"
	DefaultArchive    = "archive"
	DefaultMarginPct  = 1.0
	DefaultMarginK    = 1.0
	DefaultMarginDB   = 1.0
	DefaultSpreadPct  = 0.2
	DefaultSpreadK    = 0.5
	DefaultSpreadDB   = 0.5
	DefaultCellSpread = 0.5         // percent, expected spread of a cell before any data
	DefaultPassLength = time.Minute // for the time estimate, where a game keeps all and states no min_length

	DefaultSettle           = 2 * time.Minute // the end of a soak, over which its figures are means
	DefaultAmbientTolerance = 1.0             // °C around the target
	DefaultMount            = 1.0             // °C, standard uncertainty of placing a probe
	DefaultNoiseTolerance   = 0.5             // dB around a target level

	DefaultDelimiter = ","
	DefaultDecimal   = "."
	DefaultEncoding  = "auto"
)

// DefaultTakes is what bench time is made of unless the plan says otherwise.
func DefaultTakes() Takes {
	return Takes{
		Startup:      2 * time.Minute,
		Reset:        45 * time.Second,
		FirstLaunch:  6 * time.Minute,
		Swap:         15 * time.Minute,
		DriverChange: 25 * time.Minute,
		Preheat:      5 * time.Minute,
		Probes:       20 * time.Minute,
		Redo:         0.10,
	}
}

// MinKept is how much of a pass must be kept: the stated min_length, else DefaultMinKept of the kept length, else 0.
func (g Game) MinKept() time.Duration {
	switch {
	case g.Accept.MinLength > 0:
		return g.Accept.MinLength
	case g.Keep.All:
		return 0
	}
	return time.Duration(DefaultMinKept * float64(g.Keep.Length))
}

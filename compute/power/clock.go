package power

import (
	"fmt"
	"math"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

const (
	sagBlocks   = 10
	sagPct      = 2.0
	sagP        = 0.05
	halfOfBlock = 0.5 // that must be logged
)

// Clock is how fast a chip ran under load, in MHz, time-weighted. DriftPct is how far the means of ten tenths of the load drift over it, in
// percent, DriftP how likely that is without a drift. BelowFromNS is the beginning, in ns from the log's start, of the first tenth from
// which all lie more than 2 % below the first; it holds where Below is true.
type Clock struct {
	MedianMHz, MeanMHz compute.Value
	DriftPct, DriftP   compute.Value
	Sags               bool
	Below              bool
	BelowFromNS        int64
	Notes              []series.Note
}

// OfClock works out the clock of a load and whether it sags: the drift of the tenths (compute.Drift, on their logarithms) is below −2 %
// with p < 0.05; or half of the load or more, to its end, lies more than 2 % below the first tenth. The second finds what the trend
// cannot: a step down early in the load leaves two levels, and the long one has no trend.
func OfClock(log *series.Series, load series.Span) Clock {
	c := Clock{MedianMHz: log.Quantile(load, 0.5), MeanMHz: log.Mean(load), Notes: log.GapNotes(load)}
	blocks := load.Blocks(sagBlocks)
	means, why := tenths(log, blocks)
	if why != "" {
		c.DriftPct = compute.Absent(why)
		c.DriftP = c.DriftPct
		return c
	}
	logs := make([]float64, len(means))
	for i, mean := range means {
		logs[i] = math.Log(mean)
	}
	c.DriftPct, c.DriftP = compute.Drift(logs)
	first := len(means)
	for first > 1 && means[first-1] < means[0]*(1-sagPct/100) {
		first--
	}
	if first < len(means) {
		c.Below, c.BelowFromNS = true, blocks[first].FromNS
	}
	drifts := c.DriftPct.X < -sagPct && c.DriftP.X < sagP
	if c.Sags = drifts || first <= sagBlocks/2; c.Sags {
		c.Notes = append(c.Notes, c.sag(means, load))
	}
	return c
}

// tenths are the mean clocks of the blocks of a load, or why there are none.
func tenths(log *series.Series, blocks []series.Span) (means []float64, why string) {
	for _, b := range blocks {
		mean := log.Mean(b)
		switch {
		case !mean.OK:
			return nil, mean.Why
		case log.Coverage(b).X < halfOfBlock:
			return nil, "less than half of a tenth of the load was logged"
		case mean.X <= 0:
			return nil, fmt.Sprintf("the clock is %g MHz in a tenth of the load; a ratio needs values above 0", mean.X)
		}
		means = append(means, mean.X)
	}
	return means, ""
}

func (c Clock) sag(means []float64, load series.Span) series.Note {
	n := series.Note{Flag: FlagSag, Span: load, Says: fmt.Sprintf("the clock drifts by %+.1f %% over the load", c.DriftPct.X)}
	if c.Below {
		n.Span.FromNS = c.BelowFromNS
		n.Says = fmt.Sprintf("the clock sags from %.0f MHz in the first tenth of the load to %.0f MHz in the last, more than %g %% below from %s on",
			means[0], means[len(means)-1], sagPct, series.Span{FromNS: load.FromNS, ToNS: c.BelowFromNS}.Long())
	}
	return n
}

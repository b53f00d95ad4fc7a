// Package calibration asks whether the figures of package compute hold what they promise: it simulates reviews whose truth is known,
// has the real code judge them, and counts how often that was right. A review is simulated as it is measured: sessions move all that
// is passed in them, launches differ within a session, passes within a launch, and each cell is as noisy as it is.
//
// Frame times are not simulated, only the mean frame rates of passes, so that thousands of reviews take seconds. Working out the
// figures by formula instead was rejected: what is to be trusted is the code, not the theory it was written from.
package calibration

import (
	"math"
	"math/rand/v2"
	"slices"

	"github.com/rigslate/rigslate/compute"
)

// Design is a review to simulate: what was passed how often, and how noisy it is. Spreads are standard deviations of ln fps.
type Design struct {
	Cells   []Cell
	Session compute.SessionSpread // what a session moves; estimated anew in each review where it is an estimate
	Margin  compute.Margin
	Claims  int // in a review, judged as one family

	// Vary draws the launch spreads of a review's cells; nil where they are as the cells have them.
	Vary func(rng *rand.Rand, spreads []float64)
}

// Cell is one cell of a design. Base is the index of the cell it is compared with, which must not have a base itself; negative for none.
type Cell struct {
	Card     int // and mode: what is mounted, or set, in one go
	Game     string
	Base     int
	Launches []Launch
	Spread   float64 // of the means of launches about the cell's mean, sessions apart
	Within   float64 // of passes about their launch's mean
	Looks    int     // declared looks, over which its comparisons split their error; 0 is one
}

// Launch is one launch of the game, with its passes. Without a recorded session it is of one session with all such of its card.
type Launch struct {
	Session string
	Passes  int
}

// metric is the one that is simulated. It stands for all on the ratio scale: the code knows them by their scale alone.
func metric() compute.Metric {
	m, _ := compute.MetricByName("mean_fps")
	return m
}

// margin is the design's on the metric's scale.
func (d Design) margin() float64 { return math.Log1p(d.Margin.Percent / 100) }

// noisiestTenth returns the spread from which on a cell is of the noisiest tenth.
func noisiestTenth(spreads []float64) float64 {
	return slices.Sorted(slices.Values(spreads))[len(spreads)*9/10]
}

// simulated is one review: what is true of it, and what was measured.
type simulated struct {
	centres []float64 // true ln fps of the cells
	moved   []float64 // by their sessions, the mean over the launches
	spreads []float64
	samples [][]compute.Sample
	session compute.SessionSpread // as the reviewer would have it
}

// draw simulates the measuring of a review.
func (d Design) draw(rng *rand.Rand) (s simulated) {
	for _, c := range d.Cells {
		s.spreads = append(s.spreads, c.Spread)
	}
	if d.Vary != nil {
		d.Vary(rng, s.spreads)
	}
	s.centres = d.truths(rng)
	sessions := map[string]float64{}
	for i, c := range d.Cells {
		var samples []compute.Sample
		moved := 0.0
		for at, l := range c.Launches {
			name := l.Session
			if name == "" {
				name = unrecorded(c.Card)
			}
			effect, known := sessions[name]
			if !known {
				effect = d.Session.U * rng.NormFloat64()
				sessions[name] = effect
			}
			moved += effect / float64(len(c.Launches))
			samples = append(samples, l.draw(rng, at, s.centres[i]+effect, s.spreads[i], c.Within)...)
		}
		s.moved, s.samples = append(s.moved, moved), append(s.samples, samples)
	}
	s.session = d.sessionSpread(rng, s.samples)
	return s
}

// unrecorded names the session of a card none is recorded for. No recorded one has a name that begins like it.
func unrecorded(card int) string { return "\x00" + string(rune(card)) }

// draw simulates the passes of a launch about a centre. A launch's mean varies by its spread, of which its passes make a part.
func (l Launch) draw(rng *rand.Rand, at int, centre, spread, within float64) (samples []compute.Sample) {
	own := math.Sqrt(math.Max(0, float64(spread*spread)-float64(within*within)/float64(l.Passes)))
	centre += own * rng.NormFloat64()
	for range l.Passes {
		y := centre
		if within > 0 {
			y += math.Min(within, float64(spread*math.Sqrt(float64(l.Passes)))) * rng.NormFloat64()
		}
		samples = append(samples, compute.Sample{Value: compute.Known(math.Exp(y)), Launch: string(rune('a' + at)), Session: l.Session,
			SessionAssumed: l.Session == "", Minutes: 1})
	}
	return samples
}

// truths draws the cells' true centres: of the cells that are compared half are as fast as their base, a quarter is faster or slower
// by the margin exactly, and a quarter by three times that.
func (d Design) truths(rng *rand.Rand) []float64 {
	steps := []float64{0, 0, 0, 0, 1, -1, 3, -3}
	centres := make([]float64, len(d.Cells))
	for i, c := range d.Cells {
		if c.Base < 0 {
			centres[i] = math.Log(60) + rng.Float64()
		}
	}
	for i, c := range d.Cells {
		if c.Base >= 0 {
			centres[i] = centres[c.Base] + float64(steps[rng.IntN(len(steps))]*d.margin())
		}
	}
	return centres
}

// sessionSpread is what the reviewer takes for u: where the review's own sessions told, they tell again; an estimate from elsewhere
// strays by its degrees of freedom; one that is given is right.
func (d Design) sessionSpread(rng *rand.Rand, samples [][]compute.Sample) compute.SessionSpread {
	u := d.Session
	if math.IsInf(u.DF, 1) {
		return u
	}
	if u.Source != compute.OwnSessions {
		var chi float64
		for range int(math.Round(u.DF)) {
			z := rng.NormFloat64()
			chi += float64(z * z)
		}
		u.U *= math.Sqrt(chi / math.Round(u.DF))
		return u
	}
	var cards [][][]compute.Sample
	for i, c := range d.Cells {
		if i == 0 || c.Card != d.Cells[i-1].Card {
			cards = append(cards, nil)
		}
		cards[len(cards)-1] = append(cards[len(cards)-1], samples[i])
	}
	own, why := compute.SpreadOfSessions(metric(), cards)
	if why != "" {
		return compute.SessionSpread{U: u.U, DF: math.Inf(1)}
	}
	return own
}

package thermocouple

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/rigslate/rigslate/compute"
)

// Two cards are soaked in a made-up world in which everything that a plan states is true: the probe is off by a share of its class's slope
// and the logger by a share of its accuracy, the same on both cards; each mounting of card and of probe, and each soak, is off by its own
// amount; the samples of a soak's end resemble each other. The interval of the difference must hold the true one in about 95 of 100
// worlds. Uniform errors make it a little wide, so more than 95 is expected and 98 the most.
func TestDifferenceOfSoaksHoldsTheTruth(t *testing.T) {
	const accuracy, step, mount, between, session = 0.5, 0.1, 1.0, 0.6, 0.5
	m, _ := compute.SoakMetric("end_c")
	chain := Chain{Class: 1, Accuracy: compute.Known(accuracy), Resolution: compute.Known(step), Mount: mount}
	for _, soaks := range []int{1, 3} {
		rng := rand.New(rand.NewPCG(11, uint64(soaks)))
		uniform := func(half float64) float64 { return half * (2*rng.Float64() - 1) }
		held, n := 0, 2000
		for range n {
			slope, logger := uniform(0.004), uniform(accuracy)
			side := func(truth float64) (values []compute.Value, first Mean) {
				at := truth + rng.NormFloat64()*session + rng.NormFloat64()*mount
				for i := range soaks {
					centre := at + rng.NormFloat64()*between
					samples, wave, sum := make([]float64, 60), 0.0, 0.0
					for j := range samples {
						wave = 0.8*wave + 0.1*rng.NormFloat64()
						samples[j] = math.Round(((centre+wave)*(1+slope)+logger)/step) * step
						sum += samples[j]
					}
					mean := sum / float64(len(samples))
					if values = append(values, compute.Known(mean)); i == 0 {
						first = Mean{Celsius: mean, Samples: samples}
					}
				}
				return values, first
			}
			of, a := side(63)
			by, b := side(78)
			u := compute.SessionSpread{U: session, DF: math.Inf(1)}.Instruments(m, chain.DifferenceUncertainty(a, b), false)
			r := compute.CompareSoaks(m, compute.OfSoaks(m, of, between), compute.OfSoaks(m, by, between), u, compute.Margin{Points: 1})
			if r.Low.X <= -15 && -15 <= r.High.X {
				held++
			}
		}
		if share := float64(held) / float64(n); share < 0.94 || share > 0.98 {
			t.Errorf("with %d soaks a side %.1f %% of the intervals hold the truth", soaks, 100*share)
		} else {
			t.Logf("with %d soaks a side %.1f %% of the intervals hold the truth", soaks, 100*share)
		}
	}
}

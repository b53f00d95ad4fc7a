package main

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// seed is the one seed of everything. Another value gives another review with the same truth.
const seed = 20261012

// draw is a stream of random numbers of its own, named after what it is drawn for.
type draw struct{ pcg *rand.PCG }

func newDraw(name string) draw {
	h := fnv.New64a()
	h.Write([]byte(name))
	return draw{rand.NewPCG(seed, h.Sum64())}
}

// uniform is in [0, 1), in steps of 2⁻⁵³.
func (d draw) uniform() float64 { return float64(d.pcg.Uint64()>>11) / (1 << 53) }

// normal has mean 0 and variance 1: the sum of twelve uniforms less 6. It never leaves ±6, which frame times do not miss.
func (d draw) normal() float64 {
	sum := -6.0
	for range 12 {
		sum += d.uniform()
	}
	return sum
}

// exp is eˣ for |x| < 2 to about 1e-15 relative: the series on x/32, then five squarings. The conversions keep a compiler from
// fusing a product into the following sum, which would change the last digit on some processors.
func exp(x float64) float64 {
	y, sum := x/32, 1.0
	for k := 9.0; k >= 1; k-- {
		sum = 1 + float64(y*sum)/k
	}
	for range 5 {
		sum = float64(sum * sum)
	}
	return sum
}

// decay is e⁻ˣ for x ≥ 0: exp of x halved until it is small enough, and as many squarings.
func decay(x float64) float64 {
	if x > 700 {
		return 0
	}
	halvings := 0
	for ; x >= 1; x /= 2 {
		halvings++
	}
	y := exp(-x)
	for range halvings {
		y = float64(y * y)
	}
	return y
}

// pow8 and root8 are exact operations repeated, so they too give the same bits everywhere.
func pow8(x float64) float64 {
	for range 3 {
		x = float64(x * x)
	}
	return x
}

func root8(x float64) float64 { return math.Sqrt(math.Sqrt(math.Sqrt(x))) }

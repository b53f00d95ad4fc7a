package compute

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// synthetic is a seeded pass: log-normal frame times with an AR(1) logarithm and rare hitches, to 3 decimals of a ms.
func synthetic(fps, seconds float64, seed uint64) []int64 {
	r := rand.New(rand.NewPCG(seed, 7))
	sigma, rho := 0.04+0.10*r.Float64(), 0.3+0.6*r.Float64()
	var frames []int64
	z := sigma * r.NormFloat64()
	for t := 0.0; t < seconds*1000; {
		z = rho*z + sigma*math.Sqrt(1-rho*rho)*r.NormFloat64()
		v := 1000 / fps * math.Exp(z-sigma*sigma/2)
		if r.Float64() < 0.0008 {
			v *= 2 + 6*r.ExpFloat64()
		}
		frames = append(frames, int64(math.RoundToEven(v*1000))*1000)
		t += v
	}
	return frames
}

// benchPasses is a fortieth of a large review: 60 to 400 fps, 60 s each.
func benchPasses() (passes [][]int64, frames int) {
	for i := range 10 {
		p := synthetic(60+37.8*float64(i), 60, uint64(i))
		passes = append(passes, p)
		frames += len(p)
	}
	return passes, frames
}

// perFrame runs one stage over all passes and reports its cost by frame.
func perFrame(b *testing.B, stage func(s *Scratch, x []int64)) {
	passes, frames := benchPasses()
	var s Scratch
	b.ReportAllocs()
	for b.Loop() {
		for _, x := range passes {
			stage(&s, x)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(frames), "ns/frame")
}

func BenchmarkFigure(b *testing.B) {
	perFrame(b, func(s *Scratch, x []int64) { Figure(x, 0, PassOptions{DisplayHz: 144}, s) })
}

func BenchmarkSort(b *testing.B) {
	b.Run("radix", func(b *testing.B) { perFrame(b, func(s *Scratch, x []int64) { s.sortFrames(x) }) })
	b.Run("comparison", func(b *testing.B) {
		perFrame(b, func(s *Scratch, x []int64) {
			s.sorted = append(s.sorted[:0], x...)
			slices.Sort(s.sorted)
		})
	})
}

// The sort is part of it, since the ranks come from it: subtract BenchmarkSort/radix.
func BenchmarkHitches(b *testing.B) {
	perFrame(b, func(s *Scratch, x []int64) { s.findHitches(x, s.sortFrames(x)) })
}

func BenchmarkSpread(b *testing.B) {
	perFrame(b, func(_ *Scratch, x []int64) { spread(x, Duration(x)) })
}

func BenchmarkProfileAndSeconds(b *testing.B) {
	rates := make([]float64, 59)
	perFrame(b, func(_ *Scratch, x []int64) {
		blockRates(rates[:profileBlocks], x, Duration(x))
		blockRates(rates, x, secondTenths)
	})
}

// The worst a pass can do to the sliding window: every second frame is a candidate, and the median sits between two clusters.
func BenchmarkHitchesDense(b *testing.B) {
	for _, n := range []int{10_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			x := make([]int64, n)
			for i := range x {
				x[i] = 50_000 + int64(i%97)
				if i%2 == 1 {
					x[i] = 8_100_000 + int64(i%89)
				}
			}
			var s Scratch
			for b.Loop() {
				s.findHitches(x, s.sortFrames(x))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/frame")
		})
	}
}

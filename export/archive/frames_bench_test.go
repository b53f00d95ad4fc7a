package archive

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// benchRun is a pass of n frames around 7 ms, to the tenth of a microsecond, and two extras of the same kind.
func benchRun(n int, seed uint64) (frames *array.Int64, extras []arrow.Array, release func()) {
	r := rand.New(rand.NewPCG(seed, 1))
	column := func(scale float64) *array.Int64 {
		b := array.NewInt64Builder(memory.DefaultAllocator)
		defer b.Release()
		for range n {
			b.Append(int64(math.Round(7e4*scale*math.Exp(0.1*r.NormFloat64()))) * 100)
		}
		return b.NewInt64Array()
	}
	f, x, y := column(1), column(0.9), column(0.3)
	return f, []arrow.Array{x, y}, func() { f.Release(); x.Release(); y.Release() }
}

// BenchmarkFrames writes 400 passes of 13,450 frames with two extra columns.
func BenchmarkFrames(b *testing.B) {
	const runs, n = 400, 13450
	frames, extras, release := benchRun(n, 1)
	defer release()
	b.SetBytes(runs * n * 3 * 8)
	b.ReportAllocs()
	var size int64
	for b.Loop() {
		a, err := Open(b.TempDir())
		if err != nil {
			b.Fatal(err)
		}
		s, err := a.Begin("spring")
		if err != nil {
			b.Fatal(err)
		}
		w, err := s.Frames("heron_x", []string{"gpu_ns", "cpu_ns"})
		if err != nil {
			b.Fatal(err)
		}
		for range runs {
			if err := w.Write(Run{ID: "0123456789abcdef", FrameNS: frames, KeptLo: 100, KeptHi: n - 100, Extras: extras}); err != nil {
				b.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
		size = w.out.bytes
		if err := s.Abandon(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(runs*n)*float64(b.N)/b.Elapsed().Seconds(), "frames/s")
	b.ReportMetric(float64(size)/(runs*n), "B/frame")
}

package text

import (
	"bytes"
	"io"
	"math"
	"math/rand"
	"strconv"
	"testing"
)

// capture writes lines frame,time_ms,gpu_ms,cpu_ms with log-normal times, about 25 bytes each.
func capture(rows int) []byte {
	rnd := rand.New(rand.NewSource(1))
	b := []byte("frame,time_ms,gpu_ms,cpu_ms\n")
	for i := range rows {
		ms := 5 * math.Exp(0.1*rnd.NormFloat64())
		b = strconv.AppendInt(b, int64(i), 10)
		for _, x := range []float64{ms, 0.9 * ms, 3 * math.Exp(0.12*rnd.NormFloat64())} {
			b = append(b, ',')
			b = strconv.AppendFloat(b, x, 'f', 4, 64)
		}
		b = append(b, '\n')
	}
	return b
}

var threeTimes = Layout{
	FrameTime: &Column{Name: "time_ms", Unit: Milliseconds},
	Extra: []Extra{
		{Key: "gpu", Column: Column{Name: "gpu_ms", Unit: Milliseconds}, Time: true},
		{Key: "cpu", Column: Column{Name: "cpu_ms", Unit: Milliseconds}, Time: true},
	},
}

func benchmark(b *testing.B, data []byte, l Layout) {
	r := NewReader()
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if err := r.Reset(bytes.NewReader(data), "bench", l); err != nil {
			b.Fatal(err)
		}
		for {
			if _, err := r.Next(); err == io.EOF && r.Stats().BadLines == 0 {
				break
			} else if err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkThreeTimes(b *testing.B) { benchmark(b, capture(200_000), threeTimes) }

func BenchmarkOneTime(b *testing.B) {
	benchmark(b, capture(200_000), Layout{FrameTime: threeTimes.FrameTime})
}

// The patient way: each line has a quoted field.
func BenchmarkQuoted(b *testing.B) {
	benchmark(b, bytes.ReplaceAll(capture(200_000), []byte{'\n'}, []byte(",\"a, b\"\n")), threeTimes)
}

func BenchmarkBlanks(b *testing.B) {
	l := threeTimes
	l.Delimiter = " "
	benchmark(b, bytes.ReplaceAll(capture(200_000), []byte{','}, []byte("  ")), l)
}

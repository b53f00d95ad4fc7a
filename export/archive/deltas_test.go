package archive

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/parquet-go/parquet-go/encoding/delta"
	"pgregory.net/rapid"
)

// The first two are the examples of the Parquet format specification ("Encodings", Delta Encoding), in blocks of 128; all packed by hand.
func TestDeltasBySpecification(t *testing.T) {
	header := func(n, first byte) []byte { return []byte{0x80, 0x01, 4, n, first} } // 128, 4 miniblocks; first in zigzag
	for _, tt := range []struct {
		name   string
		values []int64
		want   []byte
	}{
		{"steps of one", []int64{1, 2, 3, 4, 5}, append(header(5, 2), 2, 0, 0, 0, 0)},
		// Differences -2 -2 -2 1 1 1 1 exceed -2 by 0 0 0 3 3 3 3: two bits each, the first lowest, and 25 times 0.
		{"specification", []int64{7, 5, 3, 1, 2, 3, 4, 5}, append(header(8, 14), 3, 2, 0, 0, 0, 0xc0, 0x3f, 0, 0, 0, 0, 0, 0)},
		{"one", []int64{-1}, header(1, 1)},
		// Differences -1 and 1; the second exceeds the first by 2.
		{"down and up", []int64{0, -1, 0}, append(header(3, 0), 1, 2, 0, 0, 0, 0x08, 0, 0, 0, 0, 0, 0, 0)},
	} {
		if got := appendDeltas(nil, tt.values); !bytes.Equal(got, tt.want) {
			t.Errorf("%s: % x, want % x", tt.name, got, tt.want)
		}
	}
	// The same differences: MaxInt64 - MinInt64 wraps around to -1. Before the block stand 4 bytes and ten of the first value.
	got := appendDeltas(nil, []int64{math.MinInt64, math.MaxInt64, math.MinInt64})[4+10:]
	if want := []byte{1, 2, 0, 0, 0, 0x08, 0, 0, 0, 0, 0, 0, 0}; !bytes.Equal(got, want) {
		t.Errorf("ends of the range: block % x, want % x", got, want)
	}
}

// drawWhole draws whole numbers of every width, by the lengths at which blocks and miniblocks end.
func drawWhole(t *rapid.T) []int64 {
	n := rapid.OneOf(rapid.IntRange(1, 1000), rapid.SampledFrom([]int{1, 2, 32, 33, 34, 64, 65, 97, 128, 129, 130, 160, 161, 257, 1025})).Draw(t, "n")
	width := rapid.IntRange(0, 64).Draw(t, "width")
	base := rapid.Int64().Draw(t, "base")
	extreme := rapid.Bool().Draw(t, "extreme")
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)) // a draw for every value would be slow
	values := make([]int64, n)
	for i := range values {
		values[i] = base + int64(r.Uint64()>>(64-width))
		if extreme {
			values[i] = []int64{math.MinInt64, math.MaxInt64, 0, -1}[r.IntN(4)]
		}
	}
	return values
}

func TestDeltasDecode(t *testing.T) {
	var e delta.BinaryPackedEncoding
	var scratch []byte
	rapid.Check(t, func(t *rapid.T) {
		values := drawWhole(t)
		// Appended to a page with levels, in a buffer that was used before.
		scratch = appendDeltas(append(scratch[:0], "levels"...), values)
		got, err := e.DecodeInt64(nil, scratch[len("levels"):])
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got, values) {
			t.Fatalf("%d\nwant %d", got, values)
		}
	})
}

func TestStepsAreDeltasOfEvenNumbers(t *testing.T) {
	for _, step := range []int64{1, 0, -7, math.MaxInt64} {
		for n := 1; n < 700; n++ {
			values := make([]int64, n)
			for i := range values {
				values[i] = int64(pageRows) + step*int64(i)
			}
			if got, want := appendSteps(nil, n, values[0], step), appendDeltas(nil, values); !bytes.Equal(got, want) {
				t.Fatalf("%d by %d: % x, want % x", n, step, got, want)
			}
		}
	}
}

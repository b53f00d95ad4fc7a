package compute

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

const ms = 1_000_000 // ns

// naiveHitches is the definition read aloud: sort every window.
func naiveHitches(x []int64) hitches {
	half := halfWindow(slices.Sorted(slices.Values(x)))
	var found hitches
	before := false
	for i, v := range x {
		window := slices.Sorted(slices.Values(x[max(0, i-half):min(len(x), i+half+1)]))
		median2 := window[(len(window)-1)/2] + window[len(window)/2]
		is := 2*v > median2+max(16*ms, min(median2, 100*ms))
		if is {
			found.frames++
			found.lost2 += 2*v - median2
		}
		if is && !before {
			found.events++
		}
		before = is
	}
	return found
}

func slidHitches(s *Scratch, x []int64) hitches { return s.findHitches(x, s.sortFrames(x)) }

func TestHitchesAgreeWithSortingEveryWindow(t *testing.T) {
	var s Scratch // shared, so that what one pass leaves behind would be seen in the next
	scenes := map[string]*rapid.Generator[int64]{
		"steady with hitches": rapid.OneOf(rapid.Int64Range(16*ms, 17*ms), rapid.Int64Range(16*ms, 17*ms), rapid.Int64Range(10*ms, 60*ms)),
		"two clusters":        rapid.OneOf(rapid.Int64Range(1*ms, 2*ms), rapid.Int64Range(20*ms, 21*ms)),
		"few values":          rapid.SampledFrom([]int64{8 * ms, 16 * ms, 24*ms + 1, 24 * ms, 100 * ms}),
		"slow, small windows": rapid.Int64Range(100*ms, 400*ms),
		"anything":            rapid.Int64Range(0, 30_000*ms),
	}
	for name, frame := range scenes {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				x := rapid.SliceOfN(frame, 1, 400).Draw(t, "frames")
				if got, want := slidHitches(&s, x), naiveHitches(x); got != want {
					t.Fatalf("slid %+v, sorted %+v", got, want)
				}
			})
		})
	}
}

// Long passes cross words and summary words of the rank set, which short ones from rapid do not.
func TestHitchesOfLongPasses(t *testing.T) {
	var s Scratch
	for _, n := range []int{4095, 4096, 4097, 9000} {
		x := make([]int64, n)
		state := uint64(n)
		for i := range x {
			state = state*6364136223846793005 + 1442695040888963407
			x[i] = 12*ms + int64(state>>40)%(9*ms)
			if state>>33%37 == 0 {
				x[i] *= 3
			}
			if i/700%2 == 1 {
				x[i] *= 4 // slow stretches: the median walks between two clusters
			}
		}
		if got, want := slidHitches(&s, x), naiveHitches(x); got != want || got.frames == 0 {
			t.Errorf("n = %d: slid %+v, sorted %+v", n, got, want)
		}
	}
}

// By hand: frames of 10 ms, so the window reaches 200 frames either way and every median is 10 ms; the limit is
// 10 + max(8, min(10, 50)) = 20 ms, and a frame of exactly that is none.
func TestHitchByHand(t *testing.T) {
	x := make([]int64, 40)
	for i := range x {
		x[i] = 10 * ms
	}
	x[0] = 9 * ms             // so that the limit above the shortest frame does not decide
	x[5], x[6] = 30*ms, 25*ms // one event of two frames
	x[20] = 20 * ms           // at the limit
	x[39] = 20*ms + 1         // just above it, at the very end
	var s Scratch
	want := hitches{frames: 3, events: 2, lost2: 2 * (20*ms + 15*ms + 10*ms + 1)}
	if got := slidHitches(&s, x); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// The three parts of the limit: 8 ms above fast frames, twice the median in between, 50 ms above slow ones.
func TestHitchLimit(t *testing.T) {
	for _, c := range []struct{ median, limit int64 }{{0, 8}, {4, 12}, {8, 16}, {20, 40}, {50, 100}, {60, 110}, {200, 250}} {
		if got := hitchLimit2(2 * c.median * ms); got != 2*c.limit*ms {
			t.Errorf("median %d ms: limit %d half ns, want %d ms", c.median, got, c.limit)
		}
	}
}

// h = max(15, ⌈2000/median⌉), by hand; at most the whole pass.
func TestHalfWindow(t *testing.T) {
	for _, c := range []struct {
		median int64
		want   int
	}{{16_666_667, 120}, {10 * ms, 200}, {7 * ms, 286}, {133 * ms, 16}, {134 * ms, 15}, {500 * ms, 15}, {1, 1000}, {0, 1000}} {
		x := make([]int64, 1000)
		for i := range x {
			x[i] = c.median
		}
		if got := halfWindow(x); got != c.want {
			t.Errorf("median %d ns: %d frames, want %d", c.median, got, c.want)
		}
	}
}

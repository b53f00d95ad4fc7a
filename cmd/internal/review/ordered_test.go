package review

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"
)

func TestOrderedKeepsOrderAndBound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, workers := rapid.IntRange(0, 50).Draw(t, "n"), rapid.IntRange(1, 8).Draw(t, "workers")
		var alive, running atomic.Int32
		var got []int
		err := ordered(context.Background(), n, workers, func(_ context.Context, i int) int {
			if r := running.Add(1); int(r) > workers {
				t.Errorf("%d at work, want at most %d", r, workers)
			}
			if a := alive.Add(1); int(a) > workers+1 {
				t.Errorf("%d results alive, want at most %d", a, workers+1)
			}
			running.Add(-1)
			return i
		}, func(i, v int) error {
			if i != v {
				t.Errorf("result %d handed over as %d", v, i)
			}
			got = append(got, v)
			alive.Add(-1)
			return nil
		})
		if err != nil || len(got) != n {
			t.Fatalf("%d of %d results, error %v", len(got), n, err)
		}
	})
}

func TestOrderedLetsGoOfEveryResultAfterAFailure(t *testing.T) {
	stop := errors.New("disk full")
	var begun, used atomic.Int32
	err := ordered(context.Background(), 100, 4, func(context.Context, int) int { begun.Add(1); return 0 }, func(i, _ int) error {
		used.Add(1)
		if i == 10 {
			return stop
		}
		return nil
	})
	if !errors.Is(err, stop) {
		t.Errorf("error %v, want %v", err, stop)
	}
	if begun.Load() != used.Load() {
		t.Errorf("%d results begun, %d handed over", begun.Load(), used.Load())
	}
	if begun.Load() > 20 {
		t.Errorf("%d begun after the failure at 10", begun.Load())
	}
}

func TestOrderedStopsWhenCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	var begun, used atomic.Int32
	err := ordered(ctx, 1000, 2, func(context.Context, int) int { begun.Add(1); return 0 }, func(i, _ int) error {
		used.Add(1)
		if i == 3 {
			cancel()
		}
		return nil
	})
	if !errors.Is(err, context.Canceled) || begun.Load() != used.Load() || begun.Load() > 20 {
		t.Errorf("error %v after %d begun and %d handed over", err, begun.Load(), used.Load())
	}
}

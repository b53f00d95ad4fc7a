package review

import (
	"context"
	"runtime"
)

// several is how many goroutines work at once where so many are asked for; 0 is one a core.
func several(workers int) int {
	if workers == 0 {
		return runtime.GOMAXPROCS(0)
	}
	return max(1, workers)
}

// ordered runs do(i) for i in 0…n−1 on up to workers goroutines and hands the results to use in index order, one at a time. At
// most workers+1 results exist at once, so memory does not grow with n. use sees every result that do began, also after a
// failure or cancellation, so that it can let go of what the result holds. The first error of use stops what has not begun.
func ordered[T any](ctx context.Context, n, workers int, do func(ctx context.Context, i int) T, use func(i int, v T) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	queue := make(chan chan T, workers+1) // results to come, in index order
	slots := make(chan struct{}, workers+1)
	turn := make(chan struct{}, workers)
	go func() {
		defer close(queue)
		for i := range n {
			select {
			case slots <- struct{}{}:
			case <-ctx.Done():
				return
			}
			if ctx.Err() != nil {
				return
			}
			result := make(chan T, 1)
			queue <- result
			go func() {
				turn <- struct{}{}
				v := do(ctx, i)
				<-turn
				result <- v
			}()
		}
	}()
	i := 0
	for result := range queue {
		if err := use(i, <-result); err != nil {
			cancel(err)
		}
		i++
		<-slots
	}
	return context.Cause(ctx)
}

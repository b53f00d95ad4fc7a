package main

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"github.com/rigslate/rigslate/cmd/internal/review"
)

// Scripts rely on these numbers; they are written out here so that a change of a constant fails.
func TestExitCodes(t *testing.T) {
	other := errors.New("anything")
	for _, c := range []struct {
		name string
		err  error
		want int
	}{
		{"done", nil, 0},
		{"not ready", errNotReady, 1},
		{"wrong usage", fmt.Errorf("%w: --now", errUsage), 2},
		{"plan has errors", errPlan, 2},
		{"plan cannot be read", fmt.Errorf("%w: %w", review.ErrPlan, other), 2},
		{"input file cannot be used", errInput, 3},
		{"captures' folder cannot be read", fmt.Errorf("%w: %w", review.ErrInput, other), 3},
		{"archive or disk", fmt.Errorf("%w: %w", review.ErrDisk, other), 4},
		{"damage found", errDamaged, 4},
		{"anything else", other, 5},
		{"interrupted", fmt.Errorf("publish: %w", context.Canceled), 130},

		// of several, 130 before 4, 2, 3, 1
		{"interrupted and disk", errors.Join(review.ErrDisk, context.Canceled), 130},
		{"disk and plan", errors.Join(errPlan, review.ErrDisk), 4},
		{"plan and input", errors.Join(errInput, errPlan), 2},
		{"input and not ready", errors.Join(errNotReady, errInput), 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := int(exitFor(c.err)); got != c.want {
				t.Errorf("exit code %d, want %d", got, c.want)
			}
		})
	}
}

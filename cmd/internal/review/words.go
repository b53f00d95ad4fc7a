package review

import (
	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/plan/coverage"
)

// What stands against a cell or a pass, one word each.
const (
	kindSpread      coverage.Kind = "spread"
	kindSuspect     coverage.Kind = "suspect"
	kindDrift       coverage.Kind = "drift"
	kindDisturbed   coverage.Kind = "disturbed"
	kindCap         coverage.Kind = "cap"
	kindLength      coverage.Kind = "length"
	kindBadLines    coverage.Kind = "bad_lines"
	kindFramesLost  coverage.Kind = "frames_lost"
	kindNoFigures   coverage.Kind = "no_figures"
	kindImplausible coverage.Kind = "implausible"
	kindUnusable    coverage.Kind = "unusable"
	kindSameContent coverage.Kind = "same_content"
)

// What must be known of a figure beside the flags of compute.
const (
	flagSessionAssumed   compute.Flag = "session_assumed"
	flagLimitedElsewhere compute.Flag = "limited_elsewhere"
	flagAlike            compute.Flag = "alike"
	flagNotReproducible  compute.Flag = "not_reproducible"
	flagNotComparable    compute.Flag = "not_comparable"
	flagBuildDiffers     compute.Flag = "build_differs"
	flagDriverDiffers    compute.Flag = "driver_differs"
)

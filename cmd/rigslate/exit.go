package main

import (
	"context"
	"errors"

	"github.com/rigslate/rigslate/cmd/internal/review"
)

// exitCode is what the shell sees. Scripts rely on the numbers.
type exitCode int

const (
	exitDone        exitCode = 0
	exitNotReady    exitCode = 1
	exitUsage       exitCode = 2
	exitInput       exitCode = 3
	exitArchive     exitCode = 4
	exitFailure     exitCode = 5
	exitInterrupted exitCode = 130
)

// errNotReady and errPlan end a command whose output has already said everything.
var (
	errNotReady = errors.New("the review is not ready")
	errPlan     = errors.New("the plan has errors")
	errInput    = errors.New("an input file cannot be used")
	errUsage    = errors.New("wrong usage")
)

// said reports whether the command's own output has told the whole story of the error.
func said(err error) bool {
	return !errors.Is(err, review.ErrDisk) && (errors.Is(err, errDamaged) || errors.Is(err, errNotReady) || errors.Is(err, errPlan) || errors.Is(err, errInput))
}

// exitFor maps an error to its code. Of several joined ones the first in this order wins: interrupted, archive or disk,
// usage or plan, input, not ready.
func exitFor(err error) exitCode {
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.Is(err, review.ErrDisk), errors.Is(err, errDamaged):
		return exitArchive
	case errors.Is(err, errUsage), errors.Is(err, errPlan), errors.Is(err, review.ErrPlan):
		return exitUsage
	case errors.Is(err, errInput), errors.Is(err, review.ErrInput):
		return exitInput
	case errors.Is(err, errNotReady):
		return exitNotReady
	}
	return exitFailure
}

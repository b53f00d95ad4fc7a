// Command rigslate declares a graphics-card review, checks what is missing, computes its figures and archives them.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// The garbage collector runs seldom while little memory is in use and harder near the limit, so that memory stays level however
// many captures there are. GOGC and GOMEMLIMIT overrule both.
const (
	collectorLimit   = 128 << 20
	collectorPercent = 400
)

func main() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(collectorLimit)
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(collectorPercent)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// Command rigslate declares a graphics-card review, checks what is missing, computes its figures and archives them.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
)

func main() {
	os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr))
}

// run is the whole program; it returns the exit code.
func run(_ context.Context, args []string, _, stderr io.Writer) int {
	if len(args) > 0 {
		fmt.Fprintf(stderr, "rigslate: there is no command %q yet\n", args[0])
	}
	return 2
}

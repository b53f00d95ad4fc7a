// Command demogen writes the captures and bench logs of the two demo reviews: invented cards in invented games, so that every
// figure the tool finds can be held against the truth that was put in.
//
// The model of one pass. A game's scene has a rate at every moment, a line through one random knot a second, the same for every
// card and pass and averaging exactly 1 over the kept time. A card's rate in a game is a figure of the truth table, bent where
// the host gives out (the eighth-power mean of card time and host time) and cut where the game has a cap. A frame takes
// 1/(rate of the card · rate of the scene), times a launch effect drawn once per pass, times a session effect drawn once per
// mounting of the card, times log-normal noise of mean 1 that remembers part of the frame before (first-order autoregression).
// Where the scene streams, a frame may lengthen by 20 to 32 ms: a hitch. The first two seconds, which the plan cuts, run slow.
// Times are whole microseconds, summed exactly.
//
// The model of a soak. A temperature approaches the room plus a final rise as one or two exponentials, and goes back likewise after the load; the
// room wanders along a line through random knots. A fan follows the core, between standing and turning with a hysteresis; the level follows
// the fan. Each thermocouple is off by what it is off by and by how it sits, each repeat by a little of everything, and each sample by noise.
//
// Every draw comes from a PCG generator seeded by one constant and a hash of what is drawn for, by name, so one pass can be
// made without the others and adding one moves none. Normal deviates are sums of twelve uniforms, the exponential is a short
// polynomial, and every product that enters a sum is rounded by a conversion: the same bytes on every system and processor,
// which the standard library's math functions and fused multiply-adds would not promise. Recording a real game instead was
// rejected: its true differences are unknown, and no reader could check a verdict.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

func main() {
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// run is the whole program; it returns the exit code.
func run(args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("demogen", flag.ContinueOnError)
	flags.SetOutput(stderr)
	out := flags.String("out", "", "folder that gets demo/ and demo-unready/")
	truth := flags.Bool("truth", false, "print what was put in instead: mean frame rates, and what the soaks are made of")
	bench := flags.String("soaks", "", "folder with demo/ and demo-doubtful/ that gets the logs of soaks instead")
	noted := flags.Bool("readings", false, "print the readings of the demo's plan instead")
	if err := flags.Parse(args); err != nil {
		return 2
	}
	if *truth {
		printTruth(stdout)
		printSoakTruth(stdout)
		return 0
	}
	if *noted {
		printReadings(stdout)
		return 0
	}
	if *bench != "" && *out == "" && flags.NArg() == 0 {
		written, err := writeSoaks(filepath.Join(*bench, "demo"))
		if err == nil {
			var more int
			more, err = writeDoubtful(filepath.Join(*bench, "demo-doubtful"))
			written += more
		}
		if err != nil {
			fmt.Fprintf(stderr, "demogen: %v\n", err)
			return 4
		}
		fmt.Fprintf(stdout, "soaks: %d bytes\n", written)
		return 0
	}
	if *out == "" || *bench != "" || flags.NArg() > 0 {
		fmt.Fprintln(stderr, "demogen: say where to write: go run ./cmd/demogen -out FOLDER")
		return 2
	}
	for _, r := range []*review{demo(), unready()} {
		written, err := r.write(filepath.Join(*out, r.name))
		if err != nil {
			fmt.Fprintf(stderr, "demogen: %v\n", err)
			return 4
		}
		fmt.Fprintf(stdout, "%s: %d captures, %d bytes\n", r.name, len(r.passes), written)
	}
	return 0
}

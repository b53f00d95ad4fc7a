package main

import (
	"fmt"
	"io"
	"text/tabwriter"
)

// term is one exponential of a heating or cooling: which share of the way it goes, and its time constant in s.
type term struct{ share, tau float64 }

// curve is a temperature in K above the room: before the load, where the load leads to, and how it gets there and back.
type curve struct {
	idle, final  float64
	heats, cools []term
}

// at is the temperature s seconds after the beginning of a load that lasts so long.
func (c curve) at(s, load float64) float64 {
	switch {
	case s <= 0:
		return c.idle
	case s <= load:
		return c.final - float64((c.final-c.idle)*left(c.heats, s))
	}
	return c.idle + float64((c.at(load, load)-c.idle)*left(c.cools, s-load))
}

// left is the share of a way that is still to go after s seconds.
func left(terms []term, s float64) float64 {
	sum := 0.0
	for _, t := range terms {
		sum += float64(t.share * decay(s/t.tau))
	}
	return sum
}

// board is the truth about one card in one mode on the bench: what it does under the load of the soaks, fjord plain at uhd.
type board struct {
	mode                string
	idleW, watts        float64 // W
	limited             bool    // the power creeps up to watts until throttleS and is held there by a limit from then on
	throttleS           float64 // seconds into half_hour after which the clock gives way; 0: never
	mhz, sag            float64 // MHz; the share of it that the clock has lost by the end
	rpm, perK           float64 // of the fan once warm, and by how much it turns faster for each K
	level               float64 // dB at the meter once warm, with the background in it
	wholeDegrees        bool    // how the core is reported: else in tenths
	core                curve
	board               curve
	stages              [4]curve
	edge                float64 // K below the core, of a card that reports it
	displaysW, displayC float64 // with two displays and nothing else: W at the wall, °C of the core in a room at 21 °C
}

// What all cards have in common.
const (
	fanStartC   = 55.0 // where the fans begin to turn as the core warms up, °C
	fanStopC    = 46.0 // and where they stand again
	perRPM      = 0.011
	background  = 30.7 // dB at the meter's place with everything but the card running
	meterOff    = 0.3  // dB by which the meter reads too much, within what its class allows
	wattsNoise  = 0.02 // of the power, a sample
	limitNoise  = 0.006
	levelNoise  = 0.3  // dB
	coreNoise   = 0.25 // K
	wireNoise   = 0.05 // K
	remembers   = 0.15 // of its noise, from one sample of a temperature to the next
	roomC       = 21.0
	roomSoak    = 0.25  // K, standard deviation of the room from soak to soak
	roomWanders = 0.1   // K, the same within one
	wireOff     = 0.4   // K, standard deviation of what a thermocouple and its input are off by, the same on all cards
	mountOff    = 0.012 // of the rise, standard deviation of what the placing of a probe takes away or adds, the same in all soaks of a card
	againRise   = 0.004 // standard deviations of what a soak repeated on the same card comes out otherwise: of rises,
	againWatts  = 0.003 // of the power,
	againLevel  = 0.2   // in dB of the level
)

// one is a single exponential, two a chip's block and the fins behind it.
func one(tau float64) []term                      { return []term{{1, tau}} }
func two(share, fast, slow float64) []term        { return []term{{share, fast}, {1 - share, slow}} }
func wire(idle, final float64, h, c []term) curve { return curve{idle, final, h, c} }

// fourStages places the four probes of the power stages about the hottest of them, which is the third.
func fourStages(idle, final float64, h, c []term) [4]curve {
	return [4]curve{wire(idle, final-5.5, h, c), wire(idle, final-4, h, c), wire(idle, final, h, c), wire(idle, final-7, h, c)}
}

// boards: tern_ref has a cooler of one stage, heron_x one of two that keeps the core 15 K cooler; gannet's two firmwares have one power limit
// and differ in the fan's curve; skua has a heavy plate on its back, which still warms up after half an hour, and gives way to its limit.
var boards = []*board{
	{mode: "tern_ref.stock", idleW: 16, watts: 250, mhz: 2450, rpm: 1720, perK: 26, level: 44.2, displaysW: 61, displayC: 39,
		core: curve{14, 57, one(240), one(110)}, board: curve{11, 49, one(290), one(140)}, stages: fourStages(12, 63, one(220), one(120))},
	{mode: "heron_x.stock", idleW: 18, watts: 252, mhz: 2540, rpm: 1340, perK: 24, level: 38.3, displaysW: 64, displayC: 36,
		core: curve{11, 42, two(0.55, 60, 360), two(0.6, 40, 260)}, board: curve{9, 38, two(0.4, 75, 400), two(0.4, 60, 300)},
		stages: fourStages(10, 49, two(0.5, 55, 340), two(0.5, 45, 240))},
	{mode: "gannet.stock", idleW: 15, watts: 249, mhz: 2440, rpm: 1980, perK: 30, level: 43.1, displaysW: 60, displayC: 38,
		core: curve{13, 53, one(200), one(100)}, board: curve{11, 47, one(260), one(130)}, stages: fourStages(12, 60, one(190), one(110))},
	{mode: "gannet.quiet", idleW: 15, watts: 249, mhz: 2430, rpm: 1450, perK: 22, level: 37.3, displaysW: 60, displayC: 38,
		core: curve{13, 60, one(230), one(100)}, board: curve{11, 52, one(280), one(130)}, stages: fourStages(12, 68, one(215), one(110))},
	{mode: "skua.stock", idleW: 11, watts: 200, limited: true, throttleS: 840, mhz: 2380, sag: 0.064, rpm: 1900, perK: 28, level: 41.6,
		wholeDegrees: true, edge: 9, displaysW: 56, displayC: 41,
		core: curve{15, 59, two(0.72, 80, 1500), two(0.5, 70, 900)}, board: curve{12, 58, two(0.45, 110, 1600), two(0.4, 100, 900)},
		stages: fourStages(13, 66, two(0.65, 85, 1500), two(0.5, 80, 700))},
}

func (b *board) String() string { return b.mode }

// sweepPct are the steps of the fan sweep, and sweepRise the core's rise at each, in K.
var (
	sweepPct  = []float64{30, 45, 60, 75}
	sweepRise = map[string][]float64{
		"tern_ref.stock": {69.5, 59.2, 53.9, 50.6},
		"heron_x.stock":  {47.6, 41.9, 38.7, 36.6},
		"gannet.stock":   {63.8, 56.1, 51.0, 48.0},
	}
)

// fullSpeed is the fan at 100 %, rpm.
var fullSpeed = map[string]float64{"tern_ref.stock": 3400, "heron_x.stock": 3000, "gannet.stock": 3600}

// levelAt is the level at the meter, background included, with the fan at such a speed; dB.
func (b *board) levelAt(rpm float64) float64 {
	if rpm == 0 {
		return background + 0.2
	}
	return max(background+0.5, b.level+float64(perRPM*(rpm-b.rpm)))
}

// printSoakTruth writes what the soaks are made of, as the demo's README shows it.
func printSoakTruth(out io.Writer) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "card and mode\tcore\tboard\thottest stage\tpower\tclock\tfan\tat the meter")
	for _, b := range boards {
		fmt.Fprint(w, b.mode)
		for _, c := range []curve{b.core, b.board, b.stages[2]} {
			fmt.Fprintf(w, "\t%g K", c.final)
			for i, t := range c.heats {
				fmt.Fprintf(w, "%s %g", []string{",", " and"}[i], t.tau)
			}
			fmt.Fprint(w, " s")
		}
		fmt.Fprintf(w, "\t%g W\t%g MHz\t%g rpm\t%.1f dB\n", b.watts, b.mhz, b.rpm, b.level)
	}
	w.Flush()
}

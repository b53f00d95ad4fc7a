package main

import (
	"fmt"
	"io"
	"strings"
)

// byEar are the modes whose level nobody logged: it was read off the meter three times at the end of each soak.
var byEar = []string{"gannet.stock", "gannet.quiet", "skua.stock"}

// onDesk are the modes that were measured with two displays and nothing to do, and of which one soak each was made.
var onDesk = []string{"tern_ref.stock", "heron_x.stock"}

// meterReads is what a person reads off the meter, n times, as a list of the plan.
func meterReads(d draw, level float64, n int) string {
	var all []string
	for range n {
		all = append(all, fixed(level+meterOff+float64(levelNoise*d.normal()), 1, "."))
	}
	if n == 1 {
		return all[0]
	}
	return "[" + strings.Join(all, ", ") + "]"
}

// backgroundReads is the background of the plan's noise.
func backgroundReads() string { return meterReads(newDraw("demo background"), background, 3) }

// printReadings writes the blocks of the demo's plan that hold what was noted by hand.
func printReadings(w io.Writer) {
	fmt.Fprintf(w, "background_db = %s\n", backgroundReads())
	for _, s := range soaks() {
		card, mode, _ := strings.Cut(s.board.mode, ".")
		lines := []string{"card = card." + s.board.mode, "soak = soak." + s.name}
		switch {
		case s.frames:
			room := s.roomAt(float64(s.leadIn + s.load))
			printReading(w, "room_"+card, append(lines, "ambient_c = "+fixed(room, 1, "."))...)
			continue
		case !among(byEar, s.board.mode):
			continue
		}
		warm := s.board.level + s.louder
		if s.repeat > 1 {
			lines = append(lines, fmt.Sprintf("repeat = %d", s.repeat))
		}
		printReading(w, fmt.Sprintf("sound_%s_%s_%d", card, mode, s.repeat), append(lines, "db = "+meterReads(s.draw("meter"), warm, 3))...)
	}
	for _, name := range onDesk {
		b := find(boards, name)
		card, _, _ := strings.Cut(name, ".")
		d := newDraw("demo desk " + name)
		draws := func(x, sd float64) string { return fixed(x+float64(sd*d.normal()), 1, ".") }
		printReading(w, "desk_"+card, "card = card."+name, "soak = soak.desk",
			fmt.Sprintf("power_w = [%s, %s]", draws(b.displaysW, 0.5), draws(b.displaysW, 0.5)), `at = "wall"`,
			"db = "+meterReads(d, background+0.2, 2), "rpm = 0", "probe = \"core\"", "temperature_c = "+fixed(b.displayC+d.normal(), 0, "."),
			"fan_start_c = "+fixed(fanStartC, 0, "."), "fan_stop_c = "+fixed(fanStopC, 0, "."), "ambient_c = "+draws(roomC, roomSoak))
	}
	for _, b := range boards {
		if rises := sweepRise[b.mode]; rises != nil {
			printSweep(w, b, rises)
		}
	}
}

func among(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// printReading writes a block with its arguments lined up, as the plan's other blocks are.
func printReading(w io.Writer, name string, lines ...string) {
	fmt.Fprintf(w, "\nreading %q {\n", name)
	longest := 0
	for _, l := range lines {
		key, _, _ := strings.Cut(l, " = ")
		longest = max(longest, len(key))
	}
	for _, l := range lines {
		key, value, _ := strings.Cut(l, " = ")
		fmt.Fprintf(w, "  %-*s = %s\n", longest, key, value)
	}
	fmt.Fprintln(w, "}")
}

// printSweep writes a fan sweep as a table: the core's temperature after five minutes at each speed.
func printSweep(w io.Writer, b *board, rises []float64) {
	card, _, _ := strings.Cut(b.mode, ".")
	d := newDraw("demo sweep " + b.mode)
	fmt.Fprintf(w, "\nreading \"fan_%s\" {\n  card  = card.%s\n  sweep = sweep.fan\n  probe = \"core\"\n  table = [\n", card, b.mode)
	for i, percent := range sweepPct {
		rpm := float64(fullSpeed[b.mode]*percent) / 100
		room := roomC + float64(roomSoak*d.normal())
		fmt.Fprintf(w, "    { percent = %g, rpm = %s, db = %s, temperature_c = %s, ambient_c = %s },\n", percent, fixed(rpm+float64(6*d.normal()), 0, "."),
			meterReads(d, b.levelAt(rpm), 2), fixed(room+rises[i]+float64(coreNoise*d.normal()), 1, "."), fixed(room, 1, "."))
	}
	fmt.Fprintln(w, "  ]\n}")
}

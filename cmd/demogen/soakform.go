package main

import (
	"bytes"
	"fmt"
	"math"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// soakLog is one file of a soak, as saved.
type soakLog struct {
	file string // slash-separated, relative to the review's folder
	text []byte
	pack func([]byte) ([]byte, error)
}

// writeSoaks makes every log of the demo's soaks under dir and returns their bytes.
func writeSoaks(dir string) (bytes int, err error) {
	for _, s := range soaks() {
		for _, l := range s.logs() {
			data, err := l.pack(l.text)
			if err != nil {
				return bytes, fmt.Errorf("compressing %s: %w", l.file, err)
			}
			if err := save(filepath.Join(dir, filepath.FromSlash(l.file)), data); err != nil {
				return bytes, err
			}
			bytes += len(data)
		}
	}
	return bytes, nil
}

// fixed writes a number with so many decimals, whole units of the last one: the same on every processor.
func fixed(x float64, decimals int, point string) string {
	scale := int64(1)
	for range decimals {
		scale *= 10
	}
	n := int64(math.Round(float64(x * float64(scale))))
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	if decimals == 0 {
		return fmt.Sprintf("%s%d", sign, n)
	}
	return fmt.Sprintf("%s%d%s%0*d", sign, n/scale, point, decimals, n%scale)
}

// hum is the noise of a channel: a first-order autoregression of variance 1.
type hum struct {
	d         draw
	z, memory float64
}

func newHum(d draw, memory float64) *hum { return &hum{d, d.normal(), memory} }

func (h *hum) next() float64 {
	now := h.z
	h.z = float64(h.memory*h.z) + float64(math.Sqrt(1-float64(h.memory*h.memory))*h.d.normal())
	return now
}

// logs makes all files of a soak.
func (s *soak) logs() (out []soakLog) {
	card, mode, _ := strings.Cut(s.board.mode, ".")
	dir := path.Join("soak", s.name)
	if s.frames {
		return append(out, soakLog{path.Join(dir, card+".csv.zst"), s.cardText(s.cardLines()), zstandard},
			soakLog{path.Join(dir, card+"-frames.csv.zst"), s.framesText(), zstandard})
	}
	name := func(rest string) string { return path.Join(dir, fmt.Sprintf("%s-%s-%d%s", card, mode, s.repeat, rest)) }
	switch card {
	case "skua": // its maker's own program, and the logger's inputs saved as voltages
		return append(out, soakLog{name(".tsv.gz"), s.otherCardText(s.cardLines()), gzipped}, soakLog{name("-probes.tsv.gz"), s.voltText(), gzipped})
	case "gannet": // saved in °F, by a program that writes dates with the month first
		return append(out, soakLog{name(".csv.zst"), s.cardText(s.cardLines()), zstandard}, soakLog{name("-probes.csv.gz"), s.fahrenheitText(), gzipped})
	}
	return append(out, soakLog{name(".csv.zst"), s.cardText(s.cardLines()), zstandard}, soakLog{name("-probes.txt.gz"), s.celsiusText(), gzipped})
}

// cardLine is what a card reports in one second.
type cardLine struct{ core, edge, watts, rpm, mhz float64 }

// cardLines samples a card's own sensors once a second.
func (s *soak) cardLines() (out []cardLine) {
	b := s.board
	core, edge := newHum(s.draw("core"), remembers), newHum(s.draw("edge"), remembers)
	watts, mhz, rpm := newHum(s.draw("power"), 0), newHum(s.draw("clock"), 0), newHum(s.draw("fan"), 0)
	var f fan
	for i := range s.leadIn + s.load + s.cooling + 1 {
		at := float64(i)
		truth := s.roomAt(at) + s.above(b.core, at)
		l := cardLine{core: truth + float64(coreNoise*core.next()), rpm: f.rpm(s, truth), watts: s.watts(at), mhz: 300}
		l.edge = l.core - float64(b.edge*min(1, s.above(b.core, at)/b.core.final)) + float64(coreNoise*edge.next())
		noise := wattsNoise
		if b.limited {
			noise = limitNoise
		}
		l.watts = float64(l.watts * (1 + float64(noise*watts.next())))
		if z := mhz.next(); s.underLoad(at) {
			l.mhz = float64(b.mhz*(1-float64(b.sag*s.throttled(at)))) + float64(4*z)
		}
		if z := rpm.next(); l.rpm > 0 {
			l.rpm += float64(6 * z)
		}
		out = append(out, l)
	}
	return out
}

// cardText is comma-separated with points, a line a second.
func (s *soak) cardText(lines []cardLine) []byte {
	var b bytes.Buffer
	b.WriteString("elapsed_s,core_temp_c,board_power_w,fan_rpm,core_clock_mhz\n")
	for i, l := range lines {
		core := 1
		if s.board.wholeDegrees {
			core = 0
		}
		fmt.Fprintf(&b, "%d,%s,%s,%s,%s\n", i, fixed(l.core, core, "."), fixed(l.watts, 1, "."), fixed(l.rpm, 0, "."), fixed(l.mhz, 0, "."))
	}
	return b.Bytes()
}

// otherCardText is tab-separated in milliseconds and whole degrees, with the edge of the chip too.
func (s *soak) otherCardText(lines []cardLine) []byte {
	var b bytes.Buffer
	b.WriteString("t_ms\tedge\thot_spot\tboard_w\tfan\tclock\n")
	for i, l := range lines {
		fmt.Fprintf(&b, "%d\t%s\t%s\t%s\t%s\t%s\n", i*1000, fixed(l.edge, 0, "."), fixed(l.core, 0, "."), fixed(l.watts, 1, "."), fixed(l.rpm, 0, "."),
			fixed(l.mhz, 0, "."))
	}
	return b.Bytes()
}

// probeNames are the logger's inputs in order.
var probeNames = []string{"board", "stage_1", "stage_2", "stage_3", "stage_4", "room"}

const loggerEvery = 2 // seconds

// probeLines samples the logger's inputs, in °C, and the level that the meter hands to it.
func (s *soak) probeLines() (temperatures [][]float64, levels []float64) {
	b := s.board
	card, _, _ := strings.Cut(b.mode, ".")
	curves := append([]curve{b.board}, b.stages[:]...)
	noises := make([]*hum, len(probeNames))
	for k, name := range probeNames {
		noises[k] = newHum(s.draw(name), remembers)
	}
	level := newHum(s.draw("level"), 0)
	var f fan
	for i := range int(float64(s.leadIn+s.load+s.cooling)+loggerAhead)/loggerEvery + 1 {
		at := float64(i*loggerEvery) - loggerAhead
		var line []float64
		for k, name := range probeNames {
			off, share := wireError(name, card)
			c := s.roomAt(at) + off + float64(wireNoise*noises[k].next())
			if k < len(curves) {
				c += float64(s.above(curves[k], at) * (1 + share))
			}
			line = append(line, c)
		}
		temperatures = append(temperatures, line)
		rpm := f.rpm(s, s.roomAt(at)+s.above(b.core, at))
		loud := b.levelAt(rpm) + meterOff + float64(levelNoise*level.next())
		if rpm > 0 {
			loud += s.louder
		}
		levels = append(levels, loud)
	}
	return temperatures, levels
}

// dated writes a logger's file with dates, in a unit that f gives, with or without the level.
func (s *soak) dated(delimiter, point, layout, header string, level bool, f func(float64) float64) []byte {
	var b bytes.Buffer
	b.WriteString(header + "\r\n")
	temperatures, levels := s.probeLines()
	for i, line := range temperatures {
		b.WriteString(s.began.Add(time.Duration(i*loggerEvery) * time.Second).Format(layout))
		for _, c := range line {
			b.WriteString(delimiter + fixed(f(c), 2, point))
		}
		if level {
			b.WriteString(delimiter + fixed(levels[i], 1, point))
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

func (s *soak) celsiusText() []byte {
	return s.dated(";", ",", "02.01.2006 15:04:05", "Zeit;K1;K2;K3;K4;K5;K6;LAeq", true, func(c float64) float64 { return c })
}

func (s *soak) fahrenheitText() []byte {
	return s.dated(",", ".", "01/02/2006 15:04:05", "when,board_f,s1_f,s2_f,s3_f,s4_f,room_f", false,
		func(c float64) float64 { return 32 + float64(1.8*c) })
}

// voltText is what the same inputs give as voltages against their terminals, which stand a little above the room; the room itself is in °C.
func (s *soak) voltText() []byte {
	var b bytes.Buffer
	b.WriteString("ms\tterminals_c\tboard_mv\ts1_mv\ts2_mv\ts3_mv\ts4_mv\troom_c\n")
	temperatures, _ := s.probeLines()
	for i, line := range temperatures {
		cold := s.roomAt(float64(i*loggerEvery)-loggerAhead) + 2.6
		fmt.Fprintf(&b, "%d\t%s", i*loggerEvery*1000, fixed(cold, 2, "."))
		inputs := len(line) - 1
		for _, c := range line[:inputs] {
			b.WriteString("\t" + fixed(typeK(c)-typeK(cold), 4, "."))
		}
		b.WriteString("\t" + fixed(line[inputs], 2, ".") + "\n")
	}
	return b.Bytes()
}

// framesText is the frames under load, in hundredths of a millisecond: fjord at uhd, its scene over and over, slower as the clock gives way.
func (s *soak) framesText() []byte {
	g, m := find(games, "fjord.plain"), find(modes, s.board.mode)
	sc := newScene("demo", g, demoWarmup, demoLength)
	d := s.draw("frames")
	noise := noise{sigma: g.noise, memory: g.memory, z: d.normal()}
	steady := steadyRate(m, g, "uhd")
	var b bytes.Buffer
	b.WriteString("frame_ms\n")
	for clock := int64(0); clock < int64(s.load)*100_000; { // in hundredths of a millisecond
		t := float64(clock) / 100_000
		loop := float64(demoWarmup) + t - float64(demoLength*float64(int(t)/demoLength))
		rate := float64(steady * (1 - float64(s.board.sag*s.throttled(float64(s.leadIn)+t))))
		x := int64(math.Round(float64(100_000 / float64(rate*sc.at(loop)) * noise.next(d))))
		fmt.Fprintf(&b, "%d.%02d\n", x/100, x%100)
		clock += x
	}
	return b.Bytes()
}

package main

import (
	"bytes"
	"fmt"
	"path/filepath"
)

// doubt is one soak of demo-doubtful, of which one thing is not as it should be; times in s of the load.
type doubt struct {
	file       string
	flag       string // what the tool has to find
	detached   float64
	stuck      [2]float64
	pause      [2]float64 // in which the load rests, so that the power moves
	gap        [2]float64
	stop       int
	roomDrifts float64 // K over the load
	roomAbove  float64 // K
	sags       float64 // share of the clock lost by the end, from the second minute on
	held       bool    // by a power limit, from the first seconds on
}

var doubts = []doubt{
	{file: "probe-comes-off", flag: "detached", detached: 400},
	{file: "sensor-stuck", flag: "stuck", stuck: [2]float64{180, 480}, pause: [2]float64{240, 420}},
	{file: "log-has-a-gap", flag: "gap", gap: [2]float64{300, 420}},
	{file: "room-warms-up", flag: "room_drift", roomDrifts: 1.7},
	{file: "room-too-warm", flag: "room_outside", roomAbove: 1.6},
	{file: "stopped-early", flag: "short_soak", stop: 560},
	{file: "clock-gives-way", flag: "clock_sag", sags: 0.09},
	{file: "held-by-limit", flag: "power_limited", held: true},
}

const (
	doubtfulLoad  = 720 // seconds
	doubtfulEvery = 5
)

func within(at float64, span [2]float64) bool { return span[0] < at && at < span[1] }

// text is the log of a soak with that doubt.
func (d doubt) text() []byte {
	core, board := curve{14, 57, one(100), nil}, curve{11, 49, one(120), nil}
	x := newDraw("demo-doubtful " + d.file)
	var b bytes.Buffer
	b.WriteString("elapsed_s,core_c,board_c,room_c,power_w,clock_mhz\n")
	end := doubtfulLoad
	if d.stop != 0 {
		end = d.stop
	}
	for i := 0; i <= end; i += doubtfulEvery {
		at := float64(i)
		if within(at, d.gap) {
			continue
		}
		room := roomC + d.roomAbove + float64(d.roomDrifts*(at/doubtfulLoad-0.5))
		coreC := room + core.at(at, doubtfulLoad) + float64(coreNoise*x.normal())
		if within(at, d.stuck) {
			coreC = room + core.at(d.stuck[0], doubtfulLoad)
		}
		boardC := room + board.at(at, doubtfulLoad)
		if d.detached != 0 && at >= d.detached {
			boardC = room - 0.4 // as much as its input is off by
		}
		watts, mhz := 250.0, 2450.0
		switch lost := float64(d.sags * max(0, at-120) / (doubtfulLoad - 120)); {
		case within(at, d.pause):
			watts, mhz = 90, 1900
		case d.held && at < 15:
			watts, mhz = 251, 2640
		default:
			mhz = float64(mhz * (1 - lost))
			watts = float64(watts * (1 - float64(1.3*lost)))
		}
		fmt.Fprintf(&b, "%d,%s,%s,%s,%s,%s\n", i, fixed(coreC, 1, "."), fixed(boardC+float64(wireNoise*x.normal()), 2, "."),
			fixed(room+float64(wireNoise*x.normal()), 2, "."), fixed(float64(watts*(1+float64(limitNoise*x.normal()))), 1, "."),
			fixed(mhz+float64(4*x.normal()), 0, "."))
	}
	return b.Bytes()
}

// writeDoubtful makes the logs of demo-doubtful under dir and returns their bytes.
func writeDoubtful(dir string) (size int, err error) {
	for _, d := range doubts {
		text := d.text()
		if err := save(filepath.Join(dir, "soak", d.file+".csv"), text); err != nil {
			return size, err
		}
		size += len(text)
	}
	return size, nil
}

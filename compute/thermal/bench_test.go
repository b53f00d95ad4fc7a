package thermal

import (
	"math"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/power"
	"github.com/rigslate/rigslate/compute/series"
)

// benchSoak is half an hour at 10 Hz with eight channels: five probes, of which four are a group, the power, the clock and the fan; the
// room beside them once in ten seconds.
func benchSoak(b *testing.B) (probes []*series.Series, watts, mhz, rpm, room *series.Series, load series.Span) {
	for i := range 5 {
		var log *series.Series
		log, load = sampled(b, halfHour, 0.1, 0.05, uint64(i), func(s float64) float64 {
			return 70 + float64(i) - 10*math.Exp(-s/8) - 30*math.Exp(-s/(150+20*float64(i)))
		})
		probes = append(probes, log)
	}
	watts, _ = sampled(b, halfHour, 0.1, 8, 10, constant(300))
	mhz, _ = sampled(b, halfHour, 0.1, 10, 11, func(s float64) float64 { return 2000 - s/100 })
	rpm, _ = sampled(b, halfHour, 0.1, 5, 12, func(s float64) float64 { return 1500 + s/10 })
	room, _ = sampled(b, halfHour, 10, 0.02, 13, constant(21))
	return probes, watts, mhz, rpm, room, load
}

// BenchmarkSoak is all figures of one soak from its series.
func BenchmarkSoak(b *testing.B) {
	probes, watts, mhz, rpm, room, load := benchSoak(b)
	protocol := Protocol{Ambient: Ambient{Log: room, TargetC: compute.Known(21), ToleranceK: compute.Known(1), ReferenceC: compute.Known(21)}}
	b.ReportAllocs()
	for b.Loop() {
		g := OfGroup(probes[1:], load)
		for _, p := range append(probes, g.Log) {
			if r := OfProbe(p, load, protocol); !r.EndC.OK {
				b.Fatal(r.EndC.Why)
			}
			Stuck(p, watts)
		}
		protocol.Ambient.Check(load)
		power.OfPower(watts, load, 100_000)
		power.OfClock(mhz, load)
		power.OfLimit(watts, mhz, load)
		power.OfFan(rpm, probes[0], load)
	}
}

// BenchmarkHeatingModel is one probe's curve, of 1800 points, with its samples taken into seconds.
func BenchmarkHeatingModel(b *testing.B) {
	probes, _, _, _, _, load := benchSoak(b)
	b.ReportAllocs()
	for b.Loop() {
		if m := FitModel(probes[0], load, false); !m.Fitted() {
			b.Fatal(m.FinalC.Why)
		}
	}
}

// BenchmarkNewSeries is what a channel costs before any figure is asked for.
func BenchmarkNewSeries(b *testing.B) {
	var timesNS []int64
	var values []float64
	for i := range int64(18000) {
		timesNS, values = append(timesNS, i*1e8), append(values, float64(i%7))
	}
	for b.Loop() {
		if _, err := series.New(timesNS, values); err != nil {
			b.Fatal(err)
		}
	}
}

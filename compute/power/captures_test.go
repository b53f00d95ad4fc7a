package power

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"

	"github.com/rigslate/rigslate/compute/series"
)

// capture reads a channel of a real sensor log the stretch its frames cover, and their number; it skips where the captures are not at hand.
func capture(t *testing.T, name, channel string) (*series.Series, series.Span, int) {
	t.Helper()
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	read := func(kind string) (columns []string, rows [][]string) {
		f, err := os.Open(filepath.Join("..", "..", "..", "shared", "captures", name+"."+kind+".csv"))
		if os.IsNotExist(err) {
			t.Skip("needs the real captures beside the repository, ../shared/captures")
		}
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		rows, err = csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[0], rows[1:]
	}
	ns := func(s string) int64 { return int64(math.Round(number(s) * 1e9)) }
	columns, rows := read("sensors")
	at := slices.Index(columns, channel)
	var timesNS []int64
	var values []float64
	for _, row := range rows {
		if row[at] != "" {
			timesNS, values = append(timesNS, ns(row[0])), append(values, number(row[at]))
		}
	}
	log, err := series.New(timesNS, values)
	if err != nil {
		t.Fatal(err)
	}
	_, frames := read("frames")
	first, last := frames[0], frames[len(frames)-1]
	return log, series.Span{FromNS: ns(first[1]) - int64(math.Round(number(first[2])*1e6)), ToNS: ns(last[1])}, len(frames)
}

// The heat soak runs into its power limit within a second, from 1980 MHz to about 1380, as the README of the captures says. The digits are
// R 4.2.2's, worked out from the same files by approxfun and sums of its own.
func TestRealHeatSoak(t *testing.T) {
	watts, load, frames := capture(t, "kestrel.heatsoak", "board_power_w")
	mhz, _, _ := capture(t, "kestrel.heatsoak", "core_clock_mhz")
	l := OfLimit(watts, mhz, load)
	if !l.Holds || l.FromNS-load.FromNS != secondNS || len(l.Notes) != 1 || l.Notes[0].Flag != FlagPowerLimited ||
		l.Notes[0].Says != "a power limit holds it from 1.0 s into the load on: about 698 W, and a clock that was 1980 MHz is at 1365 MHz" {
		t.Errorf("%+v", l)
	}
	wantNear(t, "share", l.Share, 299.0/300, 1e-15)
	p, c := OfPower(watts, load, frames), OfClock(mhz, load)
	wantNear(t, "mean", p.MeanW, 696.8019897, 1e-6)
	wantNear(t, "1-s peak", p.SecondW.Value, 700.7343144, 1e-6)
	wantNear(t, "peak", p.PeakW.Value, 704.18, 0)
	wantNear(t, "energy per frame", p.EnergyPerFrameJ, 6.791348867, 1e-8)
	wantNear(t, "typical clock", c.MedianMHz, 1365, 0)
	wantNear(t, "mean clock", c.MeanMHz, 1372.338432, 1e-5)
	wantNear(t, "drift", c.DriftPct, -1.885416463, 1e-8)
	if c.Sags || len(c.Notes) != 0 { // it is down from its first tenth on
		t.Errorf("%+v", c)
	}
}

// In the other captures the clock stands at 1980 MHz and nothing holds the card.
func TestRealPasses(t *testing.T) {
	for _, name := range []string{"kestrel.soak", "kestrel.fjord.3840x2160.r1", "kestrel.bazaar.3840x2160.r1", "osprey.reactor.2560x1440.r2"} {
		watts, load, frames := capture(t, name, "board_power_w")
		mhz, _, _ := capture(t, name, "core_clock_mhz")
		p, c, l := OfPower(watts, load, frames), OfClock(mhz, load), OfLimit(watts, mhz, load)
		if c.MedianMHz.X != 1980 || c.MeanMHz.X != 1980 || c.Sags || l.Holds || !l.Share.OK || len(p.Notes) != 0 {
			t.Errorf("%s: %+v %+v %+v", name, p, c, l)
		}
		wantNear(t, name+" frames per joule", p.FramesPerJ, float64(frames)/(p.MeanW.X*load.Seconds()), 1e-12)
	}
}

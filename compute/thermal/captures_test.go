package thermal

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

// capture reads a channel of a real sensor log and the stretch its frames cover; it skips where the captures are not at hand.
func capture(t *testing.T, name, channel string) (*series.Series, series.Span) {
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
	return log, series.Span{FromNS: ns(first[1]) - int64(math.Round(number(first[2])*1e6)), ToNS: ns(last[1])}
}

// The heat soak climbs in several steps, is not settled after its five minutes, and nothing is forecast of it; its cooling can be
// fitted, but ninety seconds are too short for a forecast. No room temperature was logged, so nothing is said over one. All of this
// stands in the README of the captures.
func TestRealHeatSoak(t *testing.T) {
	log, load := capture(t, "kestrel.heatsoak", "core_temp_c")
	p := OfProbe(log, load, Protocol{LengthNS: 300e9})
	if p.Settling.State != NotSettled || !strings.Contains(p.Settling.Why, "no forecast") || !strings.Contains(p.Settling.Why, "needs 10 min of load") {
		t.Errorf("%+v", p.Settling)
	}
	if !p.Heating.Fitted() || len(p.Heating.Terms) != 2 {
		t.Errorf("%+v", p.Heating)
	}
	wantAbsent(t, "forecast", p.Heating.FinalC, "not first-order: no forecast")
	wantAbsent(t, "forecast", p.Heating.FinalC, "a course of its own")
	for name, v := range map[string]compute.Value{"rise": p.RiseK, "normalised": p.NormalisedC, "room": p.AmbientC} {
		wantAbsent(t, name, v, "no room temperature was recorded")
	}
	wantNear(t, "peak", p.PeakC.Value, 73, 0)                     // as the file has it
	wantNear(t, "sustained", p.SustainedC.Value, 72.460664, 1e-6) // and this by R 4.2.2 from it, with approxfun and sums of its own
	wantNear(t, "end of soak", p.EndC, 70.63585314, 1e-8)
	if len(p.Notes) != 0 || p.IntervalNS != 200e6 {
		t.Errorf("%+v", p)
	}
	power, _ := capture(t, "kestrel.heatsoak", "board_power_w")
	if notes := Stuck(log, power); len(notes) != 0 {
		t.Errorf("%+v", notes)
	}

	c := OfCooling(log, load, nil)
	if !c.Model.Fitted() || math.Abs(c.LastsS-90) > 0.5 || c.StartC.X != 72 || c.EndC.X != 46 {
		t.Errorf("%+v", c)
	}
	wantAbsent(t, "forecast of the cooling", c.Model.FinalC, "90 s are no more than twice the slowest time constant")
	for _, s := range []float64{5, 20, 60, 89} { // the curve runs through the log all the same
		wantNear(t, "cooling curve", compute.Known(c.Model.At(s)), log.At(load.ToNS+int64(s*1e9)).X, 1)
	}
}

// The other soak is of 200 s at a temperature that falls by a degree: short of the ten minutes that steadiness needs.
func TestRealSoak(t *testing.T) {
	for _, channel := range []string{"core_temp_c", "mem_temp_c"} {
		log, load := capture(t, "kestrel.soak", channel)
		p := OfProbe(log, load, Protocol{LengthNS: 30 * minuteNS})
		if p.Settling.State != NotSettled || p.PeakC.X != 48 || len(p.Notes) != 1 || p.Notes[0].Flag != FlagShortSoak {
			t.Errorf("%s: %+v", channel, p)
		}
		wantAbsent(t, channel, p.Heating.FinalC, "no forecast")
		wantAbsent(t, channel, p.RiseK, "no room temperature was recorded")
		wantAbsent(t, channel, OfCooling(log, load, nil).DropK, "ends with the load")
	}
}

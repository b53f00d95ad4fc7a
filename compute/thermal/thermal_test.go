package thermal

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute"
	"github.com/rigslate/rigslate/compute/series"
)

func constant(c float64) func(float64) float64 { return func(float64) float64 { return c } }

const halfHour = 1800

func flags(notes []series.Note) (names []string) {
	for _, n := range notes {
		names = append(names, string(n.Flag))
	}
	return names
}

// Facts of the trade (common practice, no source): temperature is reported after 30 minutes of load in a room of 21 °C, and 63 °C
// against 78 °C is a drop of 15 K.
func TestFactsOfTheTrade(t *testing.T) {
	room := Ambient{ReadingC: compute.Known(21), ReferenceC: compute.Known(21)}
	protocol := Protocol{LengthNS: 30 * minuteNS, Ambient: room}
	cool, load := sampled(t, halfHour, 1, 0.05, 1, heats(30, 63, 120))
	warm, _ := sampled(t, halfHour, 1, 0.05, 2, heats(30, 78, 120))
	a, b := OfProbe(cool, load, protocol), OfProbe(warm, load, protocol)
	wantNear(t, "drop", compute.Known(b.EndC.X-a.EndC.X), 15, 0.02)
	wantNear(t, "rise", a.RiseK, 42, 0.02)
	wantNear(t, "normalised", a.NormalisedC, a.EndC.X, 0)
	for _, p := range []Probe{a, b} {
		if p.Settling.State != Settled || len(p.Notes) != 0 || math.Abs(p.Settling.ToGoK.X) > 0.05 {
			t.Errorf("%+v", p)
		}
	}
}

// Common practice, no source: the power-stage figure is the highest of four probes.
func TestHottestOfGroup(t *testing.T) {
	var probes []*series.Series
	var load series.Span
	for i, end := range []float64{71, 74, 82, 79} {
		log, l := sampled(t, halfHour, 1, 0, 0, heats(30, end, 100+20*float64(i)))
		probes, load = append(probes, log), l
	}
	g := OfGroup(probes, load)
	if g.Hottest != 2 || g.Why != "" {
		t.Fatalf("%+v", g)
	}
	third := OfProbe(probes[2], load, Protocol{})
	if g.PeakC != third.PeakC {
		t.Errorf("%+v, want %+v", g.PeakC, third.PeakC)
	}
	wantNear(t, "end of the hottest", OfProbe(g.Log, load, Protocol{}).EndC, third.EndC.X, 1e-9)
	// Probes that take turns: what is hottest at each instant is hotter than either is on average.
	wave := func(sign float64) *series.Series {
		log, _ := sampled(t, halfHour, 1, 0, 0, func(s float64) float64 { return 60 + sign*5*math.Sin(s/50) })
		return log
	}
	turns := OfGroup([]*series.Series{wave(1), wave(-1)}, load)
	wantNear(t, "mean of |5 sin|", OfProbe(turns.Log, load, Protocol{SettleNS: int64(math.Round(500 * math.Pi * 1e9))}).EndC, 60+10/math.Pi, 0.01)
	if none := OfGroup(nil, load); none.Hottest != -1 || none.PeakC.OK || none.Log != nil || none.Why == "" {
		t.Errorf("%+v", none)
	}
}

// States by courses whose end is known.
func TestSettling(t *testing.T) {
	steps := func(course func(float64) float64) func(float64) float64 { // a sensor in whole degrees
		return func(s float64) float64 { return math.Round(course(s)) }
	}
	for _, c := range []struct {
		name   string
		length float64
		course func(float64) float64
		state  State
		why    string
	}{
		{"fifteen time constants", halfHour, heats(30, 63, 120), Settled, "from the forecast end"},
		{"two and a half: e^-2.3 of 40 K and more are left", 900, heats(30, 70, 360), NotSettled, "K from the forecast end"},
		{"whole degrees, long at its end", halfHour, steps(heats(30, 63.2, 120)), Steady, "the last 5 min are +0.00 K"},
		{"whole degrees, still climbing", halfHour, steps(heats(30, 90, 1200)), NotSettled, "steady is up to 0.3 K"},
		{"whole degrees, nine minutes", 540, steps(heats(30, 63.2, 60)), NotSettled, "needs 10 min of load, and there are 9 min"},
		{"constant", halfHour, constant(46), Steady, "does not change"},
		{"a straight line of 0.4 K in 5 min", halfHour, func(s float64) float64 { return 50 + 0.4*s/300 }, NotSettled, "are +0.40 K from the 5 min before, steady"},
		{"a straight line of 0.2 K in 5 min", halfHour, func(s float64) float64 { return 50 + 0.2*s/300 }, Steady, "are +0.20 K from the 5 min before, steady"},
	} {
		log, load := sampled(t, c.length, 1, 0.02, 4, c.course)
		if strings.HasPrefix(c.name, "whole") || c.name == "constant" {
			log, load = sampled(t, c.length, 1, 0, 4, c.course)
		}
		s := OfProbe(log, load, Protocol{}).Settling
		if s.State != c.state || !strings.Contains(s.Why, c.why) {
			t.Errorf("%s: %+v", c.name, s)
		}
	}
	// By hand: with 40 K·e^(−t/360 s) still to go, the mean of the last 2 min of 900 s is 40·360·(e^(−780/360) − e^(−900/360))/120 = 3.8965 K
	// below the end.
	log, load := sampled(t, 900, 1, 0, 0, heats(30, 70, 360))
	wantNear(t, "to go", OfProbe(log, load, Protocol{}).Settling.ToGoK, 40*360*(math.Exp(-780.0/360)-math.Exp(-900.0/360))/120, 1e-3)
}

// A room that is logged is taken off before the curve is fitted: a card at a constant 40 K above a room that warms is settled, and its
// own temperature is not.
func TestRoomIsTakenOff(t *testing.T) {
	roomCourse := func(s float64) float64 { return 20 + 2.5*s/halfHour + 0.4*math.Sin(s/90) }
	room, load := sampled(t, halfHour, 10, 0, 0, roomCourse)
	above := heats(5, 40, 150)
	card, _ := sampled(t, halfHour, 1, 0.03, 9, func(s float64) float64 { return roomCourse(s) + above(s) })
	ambient := Ambient{Log: room, TargetC: compute.Known(21), ToleranceK: compute.Known(1), ReferenceC: compute.Known(21)}
	p := OfProbe(card, load, Protocol{Ambient: ambient})
	if p.Settling.State != Settled || !p.Heating.OverAmbient {
		t.Errorf("%+v %+v", p.Settling, p.Heating)
	}
	wantNear(t, "final rise", p.Heating.FinalC, 40, 0.1)
	// The room's last 10 min: 20 + 2.5·1500/1800 and what is left of the sine over them.
	sine := 0.4 * 90 / 600 * (math.Cos(1200.0/90) - math.Cos(1800.0/90))
	wantNear(t, "room", p.AmbientC, 20+2.5*1500/1800+sine, 0.001)
	wantNear(t, "rise", p.RiseK, p.EndC.X-p.AmbientC.X, 0)
	wantNear(t, "normalised", p.NormalisedC, p.EndC.X+21-p.AmbientC.X, 1e-9)
	if bare := OfProbe(card, load, Protocol{}); bare.Settling.State == Settled || bare.Heating.FinalC.OK {
		t.Errorf("without the room: %+v", bare.Settling)
	}
	if got := flags(ambient.Check(load)); !slices.Equal(got, []string{"room_outside", "room_drift"}) {
		t.Errorf("%v", got)
	}
	cooler := OfProbe(card, load, Protocol{Ambient: Ambient{Log: nil, ReadingC: compute.Known(24.1), ReferenceC: compute.Known(21)}})
	wantAbsent(t, "normalised from 3.1 K", cooler.NormalisedC, "3.1 K from the reference")
	wantNear(t, "rise from a reading", cooler.RiseK, cooler.EndC.X-24.1, 0)
	wantAbsent(t, "normalised to nothing", OfProbe(card, load, Protocol{Ambient: Ambient{Log: room}}).NormalisedC, "no reference")
}

func TestAmbient(t *testing.T) {
	load := series.Span{FromNS: 60e9, ToNS: (60 + halfHour) * 1e9}
	declared := func(a Ambient) Ambient {
		a.TargetC, a.ToleranceK = compute.Known(21), compute.Known(1)
		return a
	}
	log := func(lengthS float64, course func(float64) float64) *series.Series {
		s, _ := sampled(t, lengthS, 5, 0.02, 6, course)
		return s
	}
	for _, c := range []struct {
		name  string
		room  Ambient
		flags []string
	}{
		{"not logged", declared(Ambient{}), nil},
		{"read off within", declared(Ambient{ReadingC: compute.Known(22)}), nil},
		{"read off outside", declared(Ambient{ReadingC: compute.Known(22.5)}), []string{"room_outside"}},
		{"read off without a target", Ambient{ReadingC: compute.Known(35)}, nil},
		{"constant", declared(Ambient{Log: log(1900, constant(21))}), nil},
		{"cold", declared(Ambient{Log: log(1900, constant(19.5))}), []string{"room_outside"}},
		{"from 20.3 to 21.7: within, and it drifted by 1.4 K", declared(Ambient{Log: log(1900, func(s float64) float64 { return 20.3 + 1.4*s/1860 })}), []string{"room_drift"}},
		{"swings without a drift", declared(Ambient{Log: log(1900, func(s float64) float64 { return 21 + 0.8*math.Sin(s/60) })}), nil},
	} {
		if got := flags(c.room.Check(load)); !slices.Equal(got, c.flags) {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	wantAbsent(t, "ends early", Ambient{Log: log(1200, constant(21))}.MeanC(load), "ends 11 min before the load does")
	wantNear(t, "ends a little early", Ambient{Log: log(1800, constant(21))}.MeanC(load), 21, 0.02)
	// The last 10 min are 22, all before 20; what comes after the load is not the load's room.
	wantNear(t, "last ten minutes", Ambient{Log: log(3600, func(s float64) float64 {
		switch {
		case s < 1260:
			return 20
		case s <= 1860:
			return 22
		}
		return 30
	})}.MeanC(load), 22, 0.02)
	late, err := series.New([]int64{4000e9, 4100e9}, []float64{20, 20})
	if err != nil {
		t.Fatal(err)
	}
	wantAbsent(t, "after the load", Ambient{Log: late}.MeanC(load), "not logged before the end")
	card, span := sampled(t, halfHour, 1, 0.05, 1, heats(30, 63, 120))
	if p := OfProbe(card, span, Protocol{Ambient: Ambient{Log: late}}); p.Settling.State != NotSettled || p.Heating.FinalC.OK || p.Heating.Fitted() {
		t.Errorf("%+v", p.Settling)
	}
}

func TestChecks(t *testing.T) {
	room := Ambient{ReadingC: compute.Known(21)}
	good := heats(22, 63, 120)
	log, load := sampled(t, halfHour, 1, 0.05, 1, good)
	if p := OfProbe(log, load, Protocol{LengthNS: 1810e9, Ambient: room}); len(p.Notes) != 0 {
		t.Errorf("within a hundredth of its length: %+v", p.Notes)
	}
	if got := OfProbe(log, load, Protocol{LengthNS: 2000e9, Ambient: room}).Notes; !slices.Equal(flags(got), []string{"short_soak"}) ||
		got[0].Says != "the load lasted 30 min, and 33 min 20 s are declared" {
		t.Errorf("%+v", got)
	}
	fallen, _ := sampled(t, halfHour, 1, 0.05, 1, func(s float64) float64 { // comes off after ten minutes
		if s > 600 {
			return 20.5 + 40*math.Exp(-(s-600)/30)
		}
		return good(s)
	})
	got := OfProbe(fallen, load, Protocol{Ambient: room}).Notes
	if !slices.Equal(flags(got), []string{"detached"}) || got[0].Span.FromNS < 720e9 || got[0].Span.FromNS > 840e9 {
		t.Errorf("%+v", got)
	}
	if got := OfProbe(fallen, load, Protocol{}).Notes; len(got) != 0 {
		t.Errorf("without a room: %+v", got)
	}
	cold, _ := sampled(t, halfHour, 1, 0, 1, func(s float64) float64 { return 20.8 + s/60 }) // colder than the room for the first 12 s
	if got := OfProbe(cold, load, Protocol{Ambient: room}).Notes; len(got) != 0 {
		t.Errorf("starts cold: %+v", got)
	}
	var timesNS []int64
	var values []float64
	for i := range int64(halfHour) {
		if i < 900 || i >= 1000 {
			timesNS, values = append(timesNS, i*1e9), append(values, good(float64(i)))
		}
	}
	holed, err := series.New(timesNS, values)
	if err != nil {
		t.Fatal(err)
	}
	p := OfProbe(holed, load, Protocol{Ambient: room})
	if !slices.Equal(flags(p.Notes), []string{"gap"}) || p.Notes[0].Says != "nothing logged for 101 s, from 14 min 59 s into the load on" {
		t.Errorf("%+v", p.Notes)
	}
	wantNear(t, "coverage", p.Coverage, (halfHour-101.0-1)/halfHour, 1e-9)
	wantNear(t, "the curve over the gap", p.Heating.FinalC, 63, 0.01)
	wantAbsent(t, "end in a load of a minute", OfProbe(log, series.Span{ToNS: 60e9}, Protocol{}).EndC, "the load of 60 s is shorter than the 2 min")
	late := series.Span{ToNS: (halfHour + 70) * 1e9}
	wantAbsent(t, "end not logged", OfProbe(log, late, Protocol{}).EndC, "covers 42 % of the last 2 min")
}

// One value for minutes is a fault only where the power moves meanwhile.
func TestStuck(t *testing.T) {
	power, _ := sampled(t, halfHour, 1, 2, 1, func(s float64) float64 {
		if s > 900 {
			return 300
		}
		return 60
	})
	level, _ := sampled(t, halfHour, 1, 2, 1, constant(300))
	frozen, _ := sampled(t, halfHour, 1, 0, 1, func(s float64) float64 {
		if s > 500 {
			return 47
		}
		return 40 + s/100
	})
	got := Stuck(frozen, power)
	if len(got) != 1 || got[0].Flag != FlagStuck || got[0].Span != (series.Span{FromNS: 501e9, ToNS: halfHour * 1e9}) ||
		!strings.Contains(got[0].Says, "47 °C for 21 min 39 s, while the power of a minute went between 60 and 300 W") {
		t.Errorf("%+v", got)
	}
	if got := Stuck(frozen, level); len(got) != 0 {
		t.Errorf("at level power: %+v", got)
	}
	moving, _ := sampled(t, halfHour, 1, 0.05, 1, heats(30, 63, 120))
	if got := Stuck(moving, power); len(got) != 0 {
		t.Errorf("a sensor that moves: %+v", got)
	}
	whole, _ := sampled(t, halfHour, 1, 0, 1, func(s float64) float64 { // settled in whole degrees on either side of the step
		return math.Round(heats(35, 36, 10)(s) + 25*max(0, 1-math.Exp(-(s-900)/100)))
	})
	if got := Stuck(whole, power); len(got) != 0 {
		t.Errorf("in whole degrees: %+v", got)
	}
	if got := Stuck(new(series.Series), power); len(got) != 0 {
		t.Errorf("no samples: %+v", got)
	}
}

// A cooling is a heating towards a lower end.
func TestCooling(t *testing.T) {
	const tau = 60
	course := func(s float64) float64 {
		if s < halfHour {
			return heats(30, 70, 120)(s)
		}
		return 25 + 45*math.Exp(-(s-halfHour)/tau)
	}
	log, _ := sampled(t, halfHour+300, 1, 0.02, 8, course)
	load := series.Span{ToNS: halfHour * 1e9}
	c := OfCooling(log, load, nil)
	wantNear(t, "end", c.Model.FinalC, 25, 0.1)
	wantNear(t, "tau", c.Model.TauS, tau, 0.5)
	wantNear(t, "drop", c.DropK, 45*(1-math.Exp(-5)), 0.3)
	wantNear(t, "half", c.Model.WithinS(22.5), tau*math.Ln2, 0.5)
	room, _ := sampled(t, halfHour+300, 10, 0, 0, constant(21))
	over := OfCooling(log, load, room)
	wantNear(t, "end over the room", over.Model.FinalC, 4, 0.1)
	brief := OfCooling(log, series.Span{ToNS: (halfHour + 200) * 1e9}, nil)
	wantAbsent(t, "late", brief.Model.FinalC, "no forecast")
}

func TestEntriesSayAll(t *testing.T) {
	for _, e := range append(Entries(), series.Entries()...) {
		if lacks := e.Lacks(); len(lacks) > 0 {
			t.Errorf("%s lacks %v", e.Name, lacks)
		}
	}
	said := map[string]bool{}
	for _, e := range append(Entries(), series.Entries()...) {
		said[e.Name] = true
	}
	for _, name := range []string{string(Settled), string(Steady), string(NotSettled), string(series.FlagGap), string(FlagShortSoak), string(FlagDetached),
		string(FlagStuck), string(FlagRoomOutside), string(FlagRoomDrift)} {
		if !said[name] {
			t.Errorf("nothing is said of %s", name)
		}
	}
}

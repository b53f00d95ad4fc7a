package speech

import (
	"testing"

	"github.com/rigslate/rigslate/compute"
)

// A fact is exact: no "about", the direction always, whole percents with ties away from zero (definitions, section 4).
func TestFacts(t *testing.T) {
	s := func(title, unit string) Subject {
		return Subject{Metric: compute.Metric{Title: title, Unit: unit}, Of: "Heron X", Base: "Tern 7"}
	}
	for _, x := range []struct{ got, want string }{
		{s("length", "mm").FactApart(318, 262, false, "mm"), "Heron X is 56 mm longer than Tern 7."},
		{s("length", "mm").FactApart(318, 262, true, "%"), "Heron X is 21 percent longer than Tern 7."},
		{s("mass", "g").FactApart(960, 1180.5, false, "g"), "Heron X is 220.5 g lighter than Tern 7."},
		{s("length", "mm").FactApart(263, 262, true, "%"), "Heron X is under one percent longer than Tern 7."},
		{s("length", "mm").FactApart(262, 262, true, "%"), "Heron X and Tern 7 have the same length, 262 mm."},
		{s("memory bandwidth", "GB/s").FactApart(640, 512, true, "%"), "The memory bandwidth of Heron X is 25 percent higher than that of Tern 7."},
		{s("temperature limit", "°C").FactApart(88, 90, false, "K"), "The temperature limit of Heron X is 2 K lower than that of Tern 7."},
		{s("power stages", "").FactApart(20, 12, false, "power_stages"), "Heron X has 20 power stages, Tern 7 has 12."},
		{s("slots", "").FactApart(2.5, 2.5, false, "slots"), "Heron X and Tern 7 have 2.5 slots each."},
		{s("power stages", "").Fact(20), "Heron X has 20 power stages."},
		{s("length", "mm").Fact(318), "The length of Heron X is 318 mm."},
	} {
		if x.got != x.want {
			t.Errorf("\n got %q\nwant %q", x.got, x.want)
		}
	}
}

func TestPrices(t *testing.T) {
	p := Priced{Subject{Of: "Heron X", Base: "Tern 7", Where: "4 games at uhd", MarginPct: 1}, "list", "EUR"}
	known, none := compute.Known, compute.Absent("none")
	speak := func(v compute.Verdict, d, low, high float64) compute.Spoken {
		return compute.Speak(v, known(d), known(low), known(high))
	}
	for _, x := range []struct{ got, want string }{
		{p.PerFrame(speak(compute.Ahead, -11.2, -12, -10.4)), "Heron X costs 11 percent less per frame than Tern 7 at list price in 4 games at uhd."},
		{p.PerFrame(speak(compute.Behind, 2, 0.5, 3.5)), "Heron X costs about 2 percent more per frame than Tern 7 at list price in 4 games at uhd."},
		{p.PerFrame(speak(compute.Level, 0.2, -0.5, 0.9)), "Heron X and Tern 7 cost the same per frame at list price in 4 games at uhd, within 1 percent."},
		{p.PerFrame(speak(compute.Unresolved, 1, -1, 3)),
			"There is no difference we can resolve between Heron X and Tern 7 in what a frame costs at list price in 4 games at uhd."},
		{p.PerFrame(speak(compute.Single, 1, -1, 3)), ""},
		{p.PerFrameAtLeast(known(-11.2), known(-12), known(-10.4)), "Heron X costs at least 10 percent less per frame than Tern 7 at list price in 4 games at uhd."},
		{p.PerFrameAtLeast(known(-1.2), known(-1.6), known(-0.8)), ""},
		{p.PerFrameAlone(known(4.071), known(3.99), known(4.15)), "Heron X costs about 4.07 EUR for each frame a second at list price in 4 games at uhd."},
		{p.PerFrameAlone(known(4.071), known(4.07), known(4.072)), "Heron X costs 4.07 EUR for each frame a second at list price in 4 games at uhd."},
		{p.PerFrameAlone(known(4.071), none, none),
			"What a frame a second costs on Heron X at list price in 4 games at uhd is not known to any accuracy: 4.07 EUR without an interval."},
		{p.BreakEven(known(632.4), known(647.1), 589), "Heron X is worth it below 632 EUR, and not above 648 EUR, beside Tern 7 at a list price of 589 EUR in 4 games at uhd."},
		{p.BreakEven(none, none, 589), ""},
		{p.Costs(618.90), "Heron X costs 618.90 EUR at list price."},
		{p.CostsApart(649, 589, false), "Heron X costs 60 EUR more than Tern 7 at list price."},
		{p.CostsApart(530.1, 589, true), "Heron X costs 10 percent less than Tern 7 at list price."},
		{p.CostsApart(589, 589, true), "Heron X and Tern 7 cost the same at list price, 589 EUR."},
	} {
		if x.got != x.want {
			t.Errorf("\n got %q\nwant %q", x.got, x.want)
		}
	}
}

package compute

import "testing"

// Facts of the trade: common practice, no source. The steps are worked out here from the figures given.
func TestSpeakRoundsToWholePercent(t *testing.T) {
	step := func(from, to float64) Value { return Known(100 * (to/from - 1)) }
	for _, x := range []struct {
		name      string
		v         Verdict
		percent   Value
		half      float64
		want      string
		higher    bool
		ok        bool
		from, to  float64
		differs   bool
		inDecimal int
	}{
		{"323 to 344 W is 6.5 %, said as 7", Behind, step(323, 344), 1, "7 percent", true, true, 323, 344, false, 0},
		{"344 to 357 W is 3.8 %, said as 4", Behind, step(344, 357), 1, "4 percent", true, true, 344, 357, false, 0},
		{"1730 to 1850 MHz is 6.9 %, said as 7 and not 5", Ahead, step(1730, 1850), 0.5, "7 percent", true, true, 1730, 1850, false, 0},
		{"ties go away from zero", Behind, Known(-2.5), 0.1, "3 percent", false, true, 100, 97.5, false, 1},
		{"below one", Ahead, Known(0.99), 0.2, "under one percent", true, true, 100, 101, true, 0},
		{"a wide interval is about", Ahead, Known(2), 1.1, "about 2 percent", true, true, 100, 102, false, 1},
		{"half of it is not yet about", Ahead, Known(2), 1, "2 percent", true, true, 100, 102, false, 1},
		{"displayed figures give another percent", Ahead, Known(5.4), 0.5, "5 percent", true, true, 9.4, 9.9, false, 1},
		{"and are marked where they do", Ahead, Known(5.6), 0.5, "6 percent", true, true, 9.4, 9.9, true, 1},
	} {
		s := Speak(x.v, x.percent, Known(x.percent.X-x.half), Known(x.percent.X+x.half))
		if s.OK != x.ok || s.Size() != x.want || s.Higher != x.higher {
			t.Errorf("%s: %+v %q, want %q", x.name, s, s.Size(), x.want)
		}
		if got := CalculatorDiffers(s, x.to, x.from, x.inDecimal, 1); got != x.differs {
			t.Errorf("%s: a calculator differs: %v, want %v", x.name, got, x.differs)
		}
	}
	level := Speak(Level, Known(0.4), Known(-0.2), Known(1))
	if !level.OK || CalculatorDiffers(level, 60.2, 60, 1, 1) || !CalculatorDiffers(level, 60.7, 60, 1, 1) {
		t.Errorf("level: %+v", level)
	}
	for _, v := range []Verdict{Single, ""} {
		if s := Speak(v, Known(5), Known(4), Known(6)); s.OK {
			t.Errorf("%q may be spoken: %+v", v, s)
		}
	}
	if s := Speak(Ahead, Known(5), Absent("none"), Absent("none")); s.OK {
		t.Errorf("a lead without an interval may be spoken: %+v", s)
	}
}

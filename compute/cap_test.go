package compute

import "testing"

func lookForCap(rates []float64, displayHz float64) CapFinding {
	return findCap(rates, make([]float64, len(rates)), displayHz)
}

func seconds(n int, fps ...float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = fps[i%len(fps)]
	}
	return out
}

func TestFindCap(t *testing.T) {
	for _, c := range []struct {
		name    string
		rates   []float64
		display float64
		kind    CapKind
		rate    float64
		share   float64
	}{
		{"no second", nil, 0, NoCap, 0, 0},
		{"held at 60", seconds(60, 60), 0, Capped, 60, 1},
		{"60 and 59.94 both fit; nearer is 59.94", seconds(60, 59.93), 0, Capped, 60 * 1000 / 1001.0, 1},
		{"just within 0.3 %", seconds(10, 60.18), 0, Capped, 60, 1},
		{"just outside, and level: a ceiling needs its 2nd percentile 2 % lower", seconds(10, 60.19), 0, NoCap, 0, 0},
		{"between two that fit, neither of 60 and 59.94 wins by its place in the list", seconds(10, 59.98), 0, Capped, 60, 1},
		{"half of the seconds suffice", seconds(10, 120, 97), 0, Capped, 120, 0.5},
		{"the display's own rate", seconds(10, 138), 138, Capped, 138, 1},
		{"the same without the display", seconds(10, 138), 0, NoCap, 0, 0},
		// 30 % at 137, the rest lower: type 7 at 0.95 of 20 values is place 19.05, so 137.
		{"a ceiling", append(seconds(6, 137), seconds(14, 110, 113, 116, 118.8, 122, 125, 128)...), 0, Ceiling, 137, 0.3},
		// Half at 137, half lower: type 7 at 0.02 of 20 values is place 1.38, so the lower rate. 137·0.98 = 134.26.
		{"2.1 % down to the slow seconds is a ceiling", seconds(20, 137, 134.1), 0, Ceiling, 137, 0.5},
		{"1.9 % is a steady pass", seconds(20, 137, 134.4), 0, NoCap, 0, 0},
		{"a share of 25 % is none", append(seconds(5, 137), seconds(15, 110, 113, 116, 118.8, 122, 125, 128)...), 0, NoCap, 0, 0},
	} {
		got := lookForCap(c.rates, c.display)
		if got.Kind != c.kind || !agree(got.Rate, c.rate, 1e-14) || !agree(got.Share, c.share, 1e-14) {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

func TestCapOfAPass(t *testing.T) {
	if got := figure(repeat(16_666_667, 600)).Cap; got.Kind != Capped || got.Rate != 60 || got.Share != 1 {
		t.Errorf("10 s of 16.67 ms: %+v", got)
	}
	if got := figure(repeat(16*ms, 20)).Cap; got.Kind != NoCap || got.Why != "shorter than a second" {
		t.Errorf("a third of a second: %+v", got)
	}
}

func TestCellCap(t *testing.T) {
	at := func(kind CapKind, rate float64) CapFinding { return CapFinding{Kind: kind, Rate: rate} }
	for _, c := range []struct {
		name   string
		passes []CapFinding
		kind   CapKind
		rate   float64
	}{
		{"no pass", nil, NoCap, 0},
		{"two of three", []CapFinding{at(Ceiling, 137), {}, at(Ceiling, 139)}, Ceiling, 138},
		{"half is not more than half", []CapFinding{at(Capped, 60), {}}, NoCap, 0},
		{"one of each kind", []CapFinding{at(Capped, 60), at(Ceiling, 61)}, NoCap, 0},
		{"median of three", []CapFinding{at(Capped, 60), at(Capped, 144), at(Capped, 120)}, Capped, 120},
	} {
		if got := CellCap(c.passes); got.Kind != c.kind || got.Rate != c.rate {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	certain := CertainCaps([]CapFinding{at(Capped, 60), at(Ceiling, 60.18), at(Ceiling, 60.37), {}, {Rate: 60}})
	if want := []bool{true, true, false, false, false}; len(certain) != 5 || certain[0] != want[0] || certain[1] != want[1] || certain[2] || certain[3] || certain[4] {
		t.Errorf("certain: %v, want %v", certain, want)
	}
}

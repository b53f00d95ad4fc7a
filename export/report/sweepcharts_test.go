package report

import (
	"slices"
	"strings"
	"testing"

	"github.com/rigslate/rigslate/compute/sound"
	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

// swept is the review of drawn with a fan sweep of both cards, the first of whose steps the background hides on tern.
func swept() Source {
	s := drawn()
	s.Words.Protocols[0].Sweeps, s.Words.Protocols[0].TargetDB = []string{"fan"}, 40
	add := func(r archive.ReadingRow) { s.Tables.Readings = append(s.Tables.Readings, r) }
	for _, card := range []string{"tern", "skua"} {
		for i, pct := range []float64{30, 60, 90} {
			step := archive.ReadingRow{Card: card, Mode: some("stock"), Protocol: some("fan"), FanPct: some(pct)}
			rise, level, treatment := step, step, step
			rise.Figure, rise.Sensor, rise.Value = "rise_k", some("core"), some(60-10*float64(i))
			level.Figure, level.Value = "sound_level_db", some(32+6*float64(i))
			treatment.Figure, treatment.Text = "sound_treatment", some("none")
			if card == "tern" && i == 0 {
				treatment.Text = some(string(sound.UpperBound))
			}
			add(rise)
			add(level)
			add(treatment)
		}
	}
	return s
}

// A sweep is drawn over its noise, without steps that the background hides; where that leaves a mode no curve, all are drawn over the speed of the fan.
func TestSweepsAreDrawnOverTheirNoise(t *testing.T) {
	s := swept()
	c := s.sweep("fan", "core")
	if c.Head.Name != "sweep-fan-rise_k-core" || c.Across != "dB" || len(c.Curves) != 2 {
		t.Fatalf("%q over %q, %d curves", c.Head.Name, c.Across, len(c.Curves))
	}
	if got, want := c.Curves[0].Points, []chart.Reading{{Seconds: 38, X: 50}, {Seconds: 44, X: 40}}; !slices.Equal(got, want) {
		t.Errorf("tern: %v, want %v", got, want)
	}
	if got := c.Curves[1].Points; len(got) != 3 || got[0] != (chart.Reading{Seconds: 32, X: 60}) {
		t.Errorf("skua: %v", got)
	}
	if !strings.Contains(c.Notes, "at 30, 60, 90 %") {
		t.Errorf("notes: %q", c.Notes)
	}
	for i, r := range s.Tables.Readings {
		if r.Figure == "sound_treatment" && r.Card == "tern" {
			s.Tables.Readings[i].Text = some(string(sound.UpperBound))
		}
	}
	if c = s.sweep("fan", "core"); c.Across != "%" || len(c.Curves) != 2 || c.Curves[0].Points[2] != (chart.Reading{Seconds: 90, X: 40}) {
		t.Errorf("over %q: %+v", c.Across, c.Curves)
	}
	if drawn := sweepCharts(s); len(drawn) != 1 || drawn[0].name != "sweep-fan-rise_k-core" {
		t.Errorf("%d charts", len(drawn))
	}
}

// At equal noise stand the modes that a sweep brings there; one that none does says how far off it was as soaked.
func TestModesAtEqualNoise(t *testing.T) {
	s := swept()
	s.Tables.Readings = append(s.Tables.Readings,
		archive.ReadingRow{Card: "tern", Mode: some("stock"), Protocol: some("fan"), Figure: "rise_at_target_k", Sensor: some("core"), Value: some(46.7), FanPct: some(70.4)},
		archive.ReadingRow{Card: "tern", Mode: some("stock"), Protocol: some("long"), Figure: "off_target_db", Value: some(-2.3), Flags: some("off_target")},
		archive.ReadingRow{Card: "skua", Mode: some("stock"), Protocol: some("long"), Figure: "off_target_db", Value: some(1.9), Flags: some("off_target")})
	if drawn := levelCharts(s); len(drawn) != 0 {
		t.Error("a chart of one mode")
	}
	rails := s.atLevel(s.Words.Modes[0], s.Words.Protocols[0], "core")
	if len(rails) != 1 || rails[0].Figure != chart.Known(46.7) || rails[0].Note != "fan at 70 %" {
		t.Errorf("%+v", rails)
	}
	rails = s.atLevel(s.Words.Modes[1], s.Words.Protocols[0], "core")
	if len(rails) != 1 || rails[0].Figure.Known || rails[0].Absent != "1.9 dB louder as soaked" {
		t.Errorf("%+v", rails)
	}
	last := &s.Tables.Readings[len(s.Tables.Readings)-1]
	last.Flags, last.Value = nil, some(0.2)
	s.Tables.Readings = append(s.Tables.Readings, archive.ReadingRow{Card: "skua", Mode: some("stock"), Protocol: some("long"), Figure: "rise_k", Sensor: some("core"), Value: some(44.0)})
	drawn := levelCharts(s)
	if len(drawn) != 1 || drawn[0].name != "soak-long-equal_noise" {
		t.Fatalf("%d charts", len(drawn))
	}
	if desc := drawn[0].pic(chart.Wide).Desc; !strings.Contains(desc, "46.7") || !strings.Contains(desc, "44.0") || !strings.Contains(desc, "its own curve") {
		t.Error(desc)
	}
}

package report

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"github.com/rigslate/rigslate/export/archive"
	"github.com/rigslate/rigslate/export/chart"
)

func some[T any](v T) *T { return &v }

// drawn is a review of two cards in one game, the second of which does not run at the second resolution, with a soak.
func drawn() Source {
	tern, skua := Mode{"tern", "stock"}, Mode{"skua", "stock"}
	s := Source{Words: Words{Review: "r", Baseline: tern,
		Modes:       []ModeWords{{Mode: tern, Title: "Tern", Alone: true}, {Mode: skua, Title: `Skua <b>&"x"`, Alone: true}},
		Games:       []GameWords{{Game: "fjord", Variant: "plain", Title: "Fjord", Alone: true, Settings: []Part{{"preset", "highest"}, {"generated_frames", "0"}}}},
		Resolutions: []SizeWords{{"uhd", 3840, 2160}, {"qhd", 2560, 1440}}, Statistics: StatisticsWords{Lows: "quantile"},
		Protocols: []ProtocolWords{{Soak: "long", Load: "fjord", LengthS: 1800, Grouped: []string{"stage_1"}}}}}
	for _, size := range []string{"uhd", "qhd"} {
		for _, m := range []Mode{tern, skua} {
			c := CellWords{Key: Key{Mode: m, Game: "fjord", Variant: "plain", Resolution: size}, State: "ready"}
			if m == skua && size == "qhd" {
				c.State, c.Why = "failed", []string{"crash"}
			}
			s.Words.Cells = append(s.Words.Cells, c)
			if c.State == "ready" {
				s.Tables.Cells = append(s.Tables.Cells, archive.CellRow{Card: m.Card, Mode: m.Mode, Game: "fjord", Variant: "plain", Resolution: size, Metric: "mean_fps",
					Mean: some(60.0), CILow: some(59.0), CIHigh: some(61.0)})
			}
		}
	}
	s.Tables.Comparisons = []archive.ComparisonRow{{Game: "fjord", Variant: "plain", Resolution: "uhd", Metric: "mean_fps", Card: "skua", Mode: "stock", BaseCard: "tern",
		BaseMode: "stock", Percent: some(-2.0), CILow: some(-3.0), CIHigh: some(-1.0), Verdict: some("behind")}}
	for _, x := range []struct {
		card, sensor string
		group        *string
		value        float64
	}{{"tern", "stage_1", nil, 40}, {"tern", "stage_1", some("stages"), 40}, {"skua", "stage_1", some("stages"), 44}, {"skua", "stage_1", some("stages"), 46}} {
		s.Tables.Readings = append(s.Tables.Readings, archive.ReadingRow{Card: x.card, Mode: some("stock"), Protocol: some("long"), Figure: "rise_k", Unit: "K",
			Sensor: some(x.sensor), ProbeGroup: x.group, Value: some(x.value), Expanded: some(2.0)})
	}
	return s
}

// A chart says what the tables say, and of a card that does not run, why.
func TestChartsSayWhatTheTablesSay(t *testing.T) {
	s := drawn()
	c, ok := cellRails(s, s.Words.Games[0], s.Words.Resolutions[0])
	if !ok || len(c.Rails) != 2 || c.Rails[0].Standing != chart.Base || c.Rails[1].Standing != chart.Behind || c.Rails[1].Percent != chart.Between(-2, -3, -1) ||
		c.Rails[1].Figure != chart.Between(60, 59, 61) || c.Rails[1].Order != 1 {
		t.Errorf("%+v", c)
	}
	if c, _ = cellRails(s, s.Words.Games[0], s.Words.Resolutions[1]); c.Rails[1].Absent != "does not run: crash" {
		t.Errorf("%+v", c.Rails[1])
	}
	for _, x := range []struct {
		state string
		why   []string
		want  string
	}{{"waived", []string{"lent for a day only"}, "waived: lent for a day only"}, {"absent", []string{"no pass is there"}, "no pass is there"}, {"failed", nil, "does not run"}} {
		s.Words.Cells[3].State, s.Words.Cells[3].Why = x.state, x.why
		if c, _ := cellRails(s, s.Words.Games[0], s.Words.Resolutions[1]); c.Rails[1].Absent != x.want {
			t.Errorf("%s: %q, want %q", x.state, c.Rails[1].Absent, x.want)
		}
	}
	s.Words.Cells[0].State, s.Words.Cells[0].Passes, s.Words.Cells[0].Of = "short", 2, 3
	if c, _ := cellRails(s, s.Words.Games[0], s.Words.Resolutions[0]); c.Rails[0].Note != "2 of 3 passes" {
		t.Errorf("a short cell says %q", c.Rails[0].Note)
	}
	s.Words.Cells[0].State = "doubtful"
	if c, _ := cellRails(s, s.Words.Games[0], s.Words.Resolutions[0]); c.Note == "" || c.Rails[0].Note != "doubtful" {
		t.Errorf("a doubtful cell looks like any other: %+v", c.Rails[0])
	}
	if c.Settings != "2560×1440 · preset highest" {
		t.Errorf("settings %q", c.Settings)
	}
	soaks := soakRails(s, s.Words.Protocols[0])
	if len(soaks) != 1 || soaks[0].Head.Name != "soak-long-rise_k-stages" || soaks[0].Rails[1].Figure != chart.Between(45, 43, 47) {
		t.Errorf("%+v", soaks)
	}
}

// Every chart is there in each shape and theme, the SVG is XML whatever a card is called, and the picture of dots has the width in its name.
func TestChartFiles(t *testing.T) {
	s := drawn()
	s.Tables.Summaries = []archive.SummaryRow{{Group: "all", Resolution: "uhd", Metric: "mean_fps", Card: "skua", Mode: "stock", Percent: some(-2.0), TheseLow: some(-3.0),
		TheseHigh: some(-1.0), Verdict: some("behind"), Trails: 1}}
	for _, card := range []string{"tern", "skua"} {
		s.Tables.Readings = append(s.Tables.Readings, archive.ReadingRow{Card: card, Mode: some("stock"), Figure: "price_per_fps", Unit: "EUR/fps", Value: some(8.0),
			PriceKind: some("list"), Price: some(500.0), PriceCurrency: some("EUR"), LeftOut: some(int32(1))})
	}
	if v := valueCharts(s); len(v) != 1 || v[0].name != "value-list" {
		t.Errorf("%d charts of value", len(v))
	}
	files, err := chartFiles(s, AllCharts)
	if err != nil {
		t.Fatal(err)
	}
	if want := 5 * 3 * (2 + 3); len(files) != want { // five charts, three themes; wide and tall SVG, wide PNG of two sizes and tall PNG of one
		t.Errorf("%d files, want %d", len(files), want)
	}
	for _, f := range files {
		if f.After {
			continue
		}
		content, err := f.Make()
		if err != nil {
			t.Fatal(err)
		}
		d := xml.NewDecoder(bytes.NewReader(content))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", f.Path, err)
			}
		}
	}
	i := slices.IndexFunc(files, func(f File) bool { return strings.HasSuffix(f.Path, ".tall.dark.1080.png") })
	content, err := files[i].Make()
	if err != nil {
		t.Fatal(err)
	}
	if size, err := png.DecodeConfig(bytes.NewReader(content)); err != nil || size.Width != 1080 || size.Height != 1920 {
		t.Errorf("%+v %v", size, err)
	}
}

// Of a chart that did not change no picture is drawn again, as long as the picture on disk is the one that was drawn, byte for byte.
func TestUnchangedChartsAreNotDrawnAgain(t *testing.T) {
	folder, s := t.TempDir(), drawn()
	writeAs := func(which Charts) []string {
		t.Helper()
		files, err := chartFiles(s, which)
		if err != nil {
			t.Fatal(err)
		}
		changed, err := WriteFiles(t.Context(), folder, files, 2)
		if err != nil {
			t.Fatal(err)
		}
		return changed
	}
	write := func() []string { return writeAs("fjord-plain-uhd.wide.light.1920") }
	const picture = "charts/fjord-plain-uhd.wide.light.1920.png"
	if first := write(); len(first) != 3*6+1 || !slices.Contains(first, picture) { // three charts in two shapes and three themes, and one picture
		t.Fatalf("%d files: %v", len(first), first)
	}
	path := filepath.Join(folder, filepath.FromSlash(picture))
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func() error{
		"nothing":  func() error { return nil },
		"its time": func() error { return os.Chtimes(path, time.Unix(0, 0), time.Unix(0, 0)) },
	} {
		if err := spoil(); err != nil {
			t.Fatal(err)
		}
		if again := write(); len(again) != 0 {
			t.Errorf("%s changed, and written were %v", name, again)
		}
	}
	for name, spoil := range map[string]func() error{
		"half of it is gone": func() error { return os.WriteFile(path, good[:len(good)/2], 0o666) },
		"a byte in its middle": func() error {
			return os.WriteFile(path, slices.Concat(good[:500], []byte{good[500] ^ 1}, good[501:]), 0o666)
		},
		"it is gone":               func() error { return os.Remove(path) },
		"it is of another release": func() error { return reseal(path, good) },
	} {
		if err := spoil(); err != nil {
			t.Fatal(err)
		}
		again := write()
		if now, err := os.ReadFile(path); err != nil || !slices.Equal(again, []string{picture}) || !bytes.Equal(now, good) {
			t.Errorf("%s: written were %v, %v", name, again, err)
		}
	}
	*s.Tables.Cells[0].Mean = 70 // of the first chart, in two shapes and three themes
	if again := write(); len(again) != 7 || !slices.Contains(again, picture) {
		t.Errorf("another figure: written were %v", again)
	}
	*s.Tables.Cells[0].Mean = 71 // seen first by a run that draws no pictures
	writeAs(SVGCharts)
	if again := write(); !slices.Equal(again, []string{picture}) {
		t.Errorf("a picture older than its drawing: written were %v", again)
	}
}

// reseal writes a picture as if it had been drawn from something else.
func reseal(path string, good []byte) error {
	im, err := png.Decode(bytes.NewReader(good))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		return err
	}
	other, err := chart.Seal(b.Bytes(), chart.Look{}.Origin([32]byte{}, 1920))
	if err != nil {
		return err
	}
	return os.WriteFile(path, other, 0o666)
}

// PNG may be asked for by names of charts or pictures; a name that none has is told of.
func TestChartsByName(t *testing.T) {
	s := drawn()
	for which, want := range map[Charts]int{"fjord-plain-uhd": 9, "fjord-*": 18, "*.dark.3840": 3, "*.tall.clear.1080.png,soak-*": 2 + 9, SVGCharts: 0} {
		files, err := chartFiles(s, which)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, f := range files {
			if strings.HasSuffix(f.Path, ".png") {
				n++
			}
		}
		if n != want || len(which.Unknown(files)) != 0 {
			t.Errorf("%s: %d pictures, want %d; unknown %v", which, n, want, which.Unknown(files))
		}
	}
	files, err := chartFiles(s, "fjord-*,kelp-*")
	if err != nil {
		t.Fatal(err)
	}
	if got := Charts("fjord-*,kelp-*").Unknown(files); !slices.Equal(got, []string{"kelp-*"}) {
		t.Errorf("unknown: %v", got)
	}
	for _, wrong := range []string{"", "a,", "[", "fjord-[a"} {
		if c, err := ParseCharts(wrong); err == nil {
			t.Errorf("%q is read as %q", wrong, c)
		}
	}
}

// Thinned to what a screen can show, a curve keeps its highest and lowest reading, its ends and the order of time.
func TestThinnedKeepsThePeaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 2000).Draw(t, "n")
		l := archive.SoakSeries{}
		at := int64(0)
		for range n {
			at += int64(rapid.IntRange(1, 3_000_000_000).Draw(t, "step"))
			l.TimesNS = append(l.TimesNS, at)
			l.Values = append(l.Values, rapid.Float64Range(-50, 150).Draw(t, "v"))
		}
		out := thinned(l)
		values := make([]float64, len(out))
		for i, p := range out {
			if values[i] = p.X; i > 0 && p.Seconds <= out[i-1].Seconds {
				t.Fatalf("%v after %v", p, out[i-1])
			}
		}
		if slices.Max(values) != slices.Max(l.Values) || slices.Min(values) != slices.Min(l.Values) || len(out) > 2*(curvePoints+1) {
			t.Errorf("%d points from %g to %g, of %d from %g to %g", len(out), slices.Min(values), slices.Max(values), n, slices.Min(l.Values), slices.Max(l.Values))
		}
	})
}

// The curve is of the probe that was the hottest at the end of the first soak, and says so.
func TestCurveIsOfTheHottestProbe(t *testing.T) {
	s := drawn()
	for probe, end := range map[string]float64{"core": 63, "stage_1": 70} {
		s.Tables.Readings = append(s.Tables.Readings, archive.ReadingRow{Card: "tern", Mode: some("stock"), Protocol: some("long"), Figure: "end_c", Repeat: some(int32(1)),
			Sensor: some(probe), Value: some(end)})
	}
	logs := []archive.SoakSeries{{Mode: "stock", Protocol: "long", Repeat: 1, Channel: "core", TimesNS: []int64{0}, Values: []float64{63}},
		{Mode: "stock", Protocol: "long", Repeat: 1, Channel: "stage_1", TimesNS: []int64{0, 2e9}, Values: []float64{30, 70}}}
	s.Soaks = func(card string) ([]archive.SoakSeries, error) {
		if card == "tern" {
			return logs, nil
		}
		return nil, nil
	}
	c, ok := s.curve(s.Words.Modes[0], "long", logs)
	if !ok || c.Said != "70.0 °C, stage_1" || !slices.Equal(c.Points, []chart.Reading{{Seconds: 0, X: 30}, {Seconds: 2, X: 70}}) {
		t.Errorf("%+v", c)
	}
	if drawn, err := soakCurves(s); err != nil || len(drawn) != 1 || drawn[0].name != "soak-long-curves" {
		t.Errorf("%d charts: %v", len(drawn), err)
	}
}
